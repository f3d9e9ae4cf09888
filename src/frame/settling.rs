//! One step of loading with contact: from one equilibrium to the next.
//!
//! Newton's method on displacements, pressures and friction forces together. Each iteration
//! decides from the pressures and gaps that the last one expected which one-sided parts
//! press, and from the motions which slide; makes the laws linear there; and goes the whole
//! step of the linear equations, which also gives the pressure `p` and friction `t` to expect:
//!
//! ```text
//! pressing     p + c (depth − p/k) > 0,   then  p ← k (depth + n·δv),  else  p ← 0
//! push         k depth n, curved with the pressure expected:  k n nᵀ + p ∂n/∂v
//! sliding      t = μ p w/|w|,   ∂t/∂v ~ (μ p/|w|) (1 − τ dᵀ),   τ = t expected / μ p,  d = w/|w|
//! ```
//!
//! A stiff wall that is curved asks for next to no pressure where its curvature is taken from
//! the depth reached, and sliding with its own direction in place of `τ` overshoots; with
//! both expected, steps may be long. Sources: primal-dual active sets (Hintermüller, Ito &
//! Kunisch, *SIAM J. Optim.* 13 (2003) 865, from memory); `τ` as in primal-dual Newton
//! methods for sums of norms (Chan, Golub & Mulet, *SIAM J. Sci. Comput.* 20 (1999) 1964, from
//! memory). Where nothing rubs and this takes too long, the way through the interior
//! ([`Interior`]) finds out what touches first.
//!
//! An iteration has converged when no free degree of freedom is left with more than 1e-9 of
//! the largest force that acts, pressures, gaps and friction being those that the laws have at
//! the same displacements.

use std::rc::Rc;

use nalgebra::{Matrix6, Vector3, Vector6};

use super::assembly::PIVOT_LIMIT;
use super::balance::Balance;
use super::contact::{Contact, Factored, Run};
use super::element::stack;
use super::envelope::Envelope;
use super::equations::{Loading, ratio};
use super::interior::Interior;
use super::lanes::{self, Lanes};
use super::law::{Bearing, Press};
use super::slant::Slant;

/// Largest unbalanced force accepted, as a share of those that act.
const TOLERANCE: f64 = 1e-9;
/// The same as a share of what is summed up inside stiff links, where rounding forbids more.
const ROUNDING: f64 = 1e-13;
/// Share of the largest forces met on the way that rounding may leave at the most.
const ROUNDED_SHARE: f64 = 1e-6;
/// Iterations of one step before it is cut in half.
const MOST_ITERATIONS: usize = 30;
/// Iterations of one that does not rub, before the way through the interior is taken.
const FIRST_TRIES: usize = 6;
/// The same at the end of that way.
const TRIES_AT_THE_END: usize = 6;
/// Beginnings of that way: pressure over gap as a share of a typical stiffness.
const SPRING_SCALES: [f64; 3] = [0.1, 10.0, 0.001];
/// The end of that way: mean pressure × gap over that of the largest. A hundredth of it
/// next time if Newton's method does not take over there.
const DECIDED: f64 = 1e-3;
/// Where it is pointless to go on.
const POINTLESS: f64 = 1e-14;
/// Where surfaces rub, a step moves a body in a hole by no more than this share of the distance
/// over which directions change.
const LONGEST_STEP: f64 = 0.3;
/// Where parts can move freely, every degree of freedom is sprung with this share of its own
/// stiffness without contact, which bends the step but not the equilibrium it leads to.
const RAISE: f64 = 1e-7;

/// Tangents kept: the way from nothing that touches to what does is the same for like loads.
const KEPT_FACTORS: usize = 2;

/// Why a step did not converge.
pub(crate) struct Failure {
    /// The coupling that changes most from one iteration to the next.
    pub coupling: Option<usize>,
}

/// What an iteration expects of a contact after its step.
#[derive(Clone, Copy, Default)]
struct Expected {
    /// Of each one-sided part, N.
    pressures: [f64; 6],
    /// Friction, coupling axes, N; none before the first step.
    friction: Option<Vector3<f64>>,
}

/// A one-sided part: which contact, which part of it, and how it stands.
type Standing = ((usize, usize), Bearing);

impl Run<'_> {
    /// Finds the equilibrium under a loading from where the run stands.
    pub fn step(&mut self, loading: Loading) -> Result<(), Failure> {
        for (node, held) in self.equations.held.iter().enumerate() {
            for freedom in (0..6).filter(|&freedom| held[freedom]) {
                let movement = loading.movements.get(&(node, freedom));
                self.displacements[node][freedom] = movement.copied().unwrap_or_default();
            }
        }
        self.loading = loading;
        let start = self.displacements.clone();
        let most = match self.rubs {
            true => MOST_ITERATIONS,
            false => FIRST_TRIES,
        };
        let first = self.close_in(most, self.expected_of_laws());
        if first.is_ok() || self.rubs || self.bearings().is_empty() {
            return first;
        }
        for scale in SPRING_SCALES {
            self.displacements.clone_from(&start);
            if self.follow(scale * self.typical_spring()).is_ok() {
                return Ok(());
            }
        }
        self.displacements = start;
        self.close_in(MOST_ITERATIONS, self.expected_of_laws())
    }

    /// Newton's method.
    fn close_in(&mut self, most: usize, mut expected: Vec<Expected>) -> Result<(), Failure> {
        let spring = self.typical_spring();
        let mut last: Vec<f64> = Vec::new();
        let mut restless = None;
        for tries in 0..=most {
            self.linearise(None);
            let mut balance = self.balance();
            let left = self.left(&balance);
            self.effort.unbalanced.push(left);
            if left <= TOLERANCE || self.is_rounding(&balance) {
                self.come_to_rest();
                return Ok(());
            }
            restless = self.most_changed(&last).or(restless);
            last = self.contacts.iter().map(|c| c.pressure).collect();
            if tries == most || left.is_nan() {
                break;
            }

            let bearings = self.bearings();
            let presses = presses(&bearings, &expected, spring);
            self.linearise(Some(&presses));
            self.equations
                .answer_anew(&mut balance, self.contact_links());
            let factored = self.factor();
            let factor = &factored.factor;
            let step = self.equations.slanted_step(factor, &self.slants, &balance);
            let share = self.share(&step);
            self.expect(&mut expected, &bearings, &presses, &step, share);
            self.advance(&step, share);
        }
        Err(Failure { coupling: restless })
    }

    /// Pressures as the laws have them where the run stands.
    fn expected_of_laws(&self) -> Vec<Expected> {
        let mut expected = vec![Expected::default(); self.contacts.len()];
        for ((contact, part), bearing) in self.bearings() {
            expected[contact].pressures[part] = bearing.stiffness * bearing.depth.max(0.0);
        }
        expected
    }

    /// What a share of a step leads to.
    fn expect(
        &self,
        expected: &mut [Expected],
        bearings: &[Standing],
        presses: &[[Press; 6]],
        step: &[Vector6<f64>],
        share: f64,
    ) {
        for (((contact, part), bearing), closing) in
            bearings.iter().zip(self.closing(bearings, step))
        {
            let pressure = &mut expected[*contact].pressures[*part];
            let whole = presses[*contact][*part].stiffness * (bearing.depth + closing);
            *pressure += (whole - *pressure) * share;
        }
        if self.rubs {
            for (expected, contact) in expected.iter_mut().zip(&self.contacts) {
                let moved = self.motion_in(contact.coupling, step);
                expected.friction =
                    Some(contact.friction + contact.friction_rate * moved.fixed_rows::<3>(0));
            }
        }
    }

    /// How much of a step to go.
    fn share(&self, step: &[Vector6<f64>]) -> f64 {
        if !self.rubs {
            return 1.0;
        }
        let shares = self.contacts.iter().map(|contact| {
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let room = law.room(&self.motion(contact.coupling));
            let moved = self.motion_in(contact.coupling, step);
            LONGEST_STEP * room / moved[1].hypot(moved[2])
        });
        // Nothing over nothing is no limit.
        shares.fold(1.0, f64::min)
    }

    /// Share of the acting forces that is left unbalanced.
    fn left(&mut self, balance: &Balance<1>) -> f64 {
        let [acting] = balance.acting;
        self.most_acting = self.most_acting.max(acting);
        ratio(balance.left[0], acting)
    }

    /// Whether what is left unbalanced is no more than rounding in stiff links. Parts that have
    /// flown apart sum up without limit, so it must also be little of what has acted.
    fn is_rounding(&self, balance: &Balance<1>) -> bool {
        let [left] = balance.left;
        let summed = || self.equations.summed::<1>(&self.displacements_in_lanes())[0];
        left <= ROUNDED_SHARE * balance.acting[0].max(self.most_acting)
            && left <= ROUNDING * summed()
    }

    /// Comes to contact through the interior, then closes in.
    ///
    /// * `spring`: pressure over gap at the beginning, N/mm
    fn follow(&mut self, spring: f64) -> Result<(), Failure> {
        let mut interior = Interior::enter(&self.bearings(), spring);
        let mut limit = DECIDED;
        let mut result = Err(Failure { coupling: None });
        for _ in 0..MOST_ITERATIONS {
            let bearings = self.bearings();
            interior.look(&bearings);
            interior.aim_low();
            self.linearise(Some(&interior.presses(self.contacts.len())));
            let factored = self.factor();
            let factor = &factored.factor;
            let balance = self.balance();
            let first = self.equations.step(factor, &balance.unbalanced);
            let first = lanes::lane_of(&first, 0);
            interior.aim(&interior.changes(&self.closing(&bearings, &first)));

            self.linearise(Some(&interior.presses(self.contacts.len())));
            let balance = self.balance();
            let left = ratio(balance.left[0], balance.acting[0]);
            self.effort.unbalanced.push(left);
            let step = self.equations.step(factor, &balance.unbalanced);
            let step = lanes::lane_of(&step, 0);
            let changes = interior.changes(&self.closing(&bearings, &step));
            let share = interior.reach(&changes);
            interior.go(&changes, share);
            self.advance(&step, share);

            if interior.undecided() <= limit {
                limit *= 0.01;
                let kept = self.displacements.clone();
                let mut expected = vec![Expected::default(); self.contacts.len()];
                for ((contact, part), pressure) in interior.pressing() {
                    expected[contact].pressures[part] = pressure;
                }
                result = self.close_in(TRIES_AT_THE_END, expected);
                if result.is_ok() {
                    return result;
                }
                self.displacements = kept;
            }
            if interior.undecided() < POINTLESS {
                break;
            }
        }
        result
    }

    /// How every one-sided part stands.
    fn bearings(&self) -> Vec<Standing> {
        let mut bearings = Vec::new();
        for (index, contact) in self.contacts.iter().enumerate() {
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let motion = self.motion(contact.coupling);
            for (part, bearing) in law.bearings(&motion).into_iter().enumerate() {
                if let Some(bearing) = bearing.filter(|bearing| bearing.stiffness > 0.0) {
                    bearings.push(((index, part), bearing));
                }
            }
        }
        bearings
    }

    /// How much deeper a step brings each part, mm.
    fn closing(&self, bearings: &[Standing], step: &[Vector6<f64>]) -> Vec<f64> {
        let closing = |((contact, _), bearing): &Standing| {
            let moved = self.motion_in(self.contacts[*contact].coupling, step);
            bearing.direction.dot(&moved)
        };
        bearings.iter().map(closing).collect()
    }

    /// Relative motion of the bodies of a coupling in a step, its axes.
    fn motion_in(&self, coupling: usize, step: &[Vector6<f64>]) -> Vector6<f64> {
        let members = self.equations.frame.members.len();
        let motion = self.equations.links[members + coupling].motion(step);
        self.equations.frame.couplings[coupling].to_local(&motion)
    }

    /// Motion that the law of a coupling answers to, its axes.
    fn motion(&self, coupling: usize) -> Vector6<f64> {
        let index = self.equations.frame.members.len() + coupling;
        let motion = self
            .equations
            .strained_motion(index, &self.loading, &self.displacements);
        self.equations.frame.couplings[coupling].to_local(&motion)
    }

    /// The least stiffness of any node against displacement without contact, N/mm.
    fn typical_spring(&self) -> f64 {
        let least = |own: &Vector6<f64>| own.fixed_rows::<3>(0).min();
        self.untouched
            .iter()
            .map(least)
            .fold(f64::INFINITY, f64::min)
    }

    pub fn balance(&self) -> Balance<1> {
        let displacements = self.displacements_in_lanes();
        self.equations.balance([&self.loading], &displacements)
    }

    pub fn displacements_in_lanes(&self) -> Vec<Lanes<1>> {
        self.displacements.iter().map(lanes::alike).collect()
    }

    /// Takes the answer of every law that is not linear at the displacements as they are.
    ///
    /// * `presses`: how one-sided parts press, if not as their laws have it
    pub fn linearise(&mut self, presses: Option<&[[Press; 6]]>) {
        let members = self.equations.frame.members.len();
        self.slants.clear();
        for index in 0..self.contacts.len() {
            let contact = &self.contacts[index];
            let coupling = &self.equations.frame.couplings[contact.coupling];
            let motion = self.motion(contact.coupling);
            let presses = presses.map(|presses| &presses[index]);
            let answer = coupling
                .law
                .answer(&motion, &contact.anchor, self.friction, presses);
            let link = &mut self.equations.links[members + contact.coupling];
            link.stiffness = coupling.stiffness_to_global(&answer.stiffness);
            link.answered = Some(coupling.to_global(&answer.force));
            for (force, direction) in answer.slants.into_iter().flatten() {
                let global = |v| coupling.to_global(&stack(v, Vector3::zeros()));
                self.slants.push(Slant {
                    link: members + contact.coupling,
                    force: global(force),
                    direction: global(direction),
                });
            }
            let contact = &mut self.contacts[index];
            contact.pressure = answer.pressure;
            contact.friction = answer.friction;
            contact.friction_rate = answer.friction_rate;
        }
    }

    fn advance(&mut self, step: &[Vector6<f64>], share: f64) {
        for (place, motion) in self.displacements.iter_mut().zip(step) {
            *place += motion * share;
        }
    }

    /// The symmetric tangent factored, raised where parts can move freely; one of the last again
    /// if every contact is as stiff as it was then.
    pub fn factor(&mut self) -> Rc<Factored> {
        let stiffnesses = self
            .contact_links()
            .map(|link| self.equations.links[link].stiffness);
        let stiffnesses: Vec<Matrix6<f64>> = stiffnesses.collect();
        let mut last = self.factored.iter();
        if let Some(same) = last.position(|last| last.stiffnesses == stiffnesses) {
            let same = self.factored.remove(same);
            self.effort.smallest_pivot_ratio = same.pivots.smallest_ratio;
            self.factored.push(Rc::clone(&same));
            return same;
        }
        let oldest = (self.factored.len() == KEPT_FACTORS).then(|| self.factored.remove(0));
        self.effort.factorisations += 1;
        let storage = oldest.and_then(Rc::into_inner);
        let storage = storage.map_or_else(Envelope::default, |last| last.factor.into_storage());
        let (mut factor, pivots) = self.tangent(storage).factor();
        self.effort.smallest_pivot_ratio = pivots.smallest_ratio;
        if pivots.smallest_ratio <= PIVOT_LIMIT {
            let mut raised = self.tangent(factor.into_storage());
            for (row, own) in self.untouched.iter().enumerate() {
                let block = raised.block_mut(row, row);
                for i in 0..6 {
                    block[(i, i)] += RAISE * own[i];
                }
            }
            self.effort.factorisations += 1;
            factor = raised.factor().0;
        }
        let factored = Rc::new(Factored {
            stiffnesses,
            factor,
            pivots,
        });
        self.factored.push(Rc::clone(&factored));
        factored
    }

    /// The symmetric tangent, contacts as they were made linear last.
    fn tangent(&self, storage: Envelope) -> Envelope {
        let still = self.still.copied_into(storage);
        self.equations.completed(still, self.contact_links())
    }

    /// The links of the contacts.
    fn contact_links(&self) -> impl Iterator<Item = usize> {
        let members = self.equations.frame.members.len();
        let contacts = self.contacts.iter();
        contacts.map(move |contact| members + contact.coupling)
    }

    /// After a step has converged: friction and grips start anew from where they are.
    fn come_to_rest(&mut self) {
        for index in 0..self.contacts.len() {
            let contact = &self.contacts[index];
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let motion = self.motion(contact.coupling);
            let answer = law.answer(&motion, &contact.anchor, self.friction, None);
            let contact = &mut self.contacts[index];
            contact.status = answer.status;
            contact.slid += answer.slip;
            contact.anchor = law.rest(&motion, &answer);
        }
    }

    /// The coupling whose pressure changed most since the last iteration.
    fn most_changed(&self, last: &[f64]) -> Option<usize> {
        self.contacts
            .iter()
            .zip(last)
            .max_by(|a, b| {
                let change = |(contact, last): &(&Contact, &f64)| (contact.pressure - **last).abs();
                change(a).total_cmp(&change(b))
            })
            .map(|(contact, _)| contact.coupling)
    }
}

/// Which parts press, and how: by contact and part of it.
///
/// * `spring`: weighs gaps against pressures, N/mm
fn presses(bearings: &[Standing], expected: &[Expected], spring: f64) -> Vec<[Press; 6]> {
    let mut presses = vec![[Press::NOTHING; 6]; expected.len()];
    for ((contact, part), bearing) in bearings {
        let Expected {
            pressures,
            friction,
        } = expected[*contact];
        let pressure = pressures[*part];
        if pressure + spring * (bearing.depth - pressure / bearing.stiffness) > 0.0 {
            presses[*contact][*part] = Press {
                force: bearing.stiffness * bearing.depth,
                stiffness: bearing.stiffness,
                pressure: pressure.max(0.0),
                friction,
            };
        }
    }
    presses
}
