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

use std::mem::take;

use nalgebra::{Vector3, Vector6};

use super::assembly::PIVOT_LIMIT;
use super::balance::Balance;
use super::contact::{Contact, Run};
use super::envelope::{Envelope, Factor, Pivots};
use super::equations::{Loading, larger, magnitude, ratio};
use super::flexibility::{Change, Flexibility, Step, Stiffnesses, Touching};
use super::interior::Interior;
use super::lanes::{self, Lanes};
use super::law::{Answer, Bearing, Press, Presses, Pressing, Status};

/// Largest unbalanced force accepted, as a share of those that act.
const TOLERANCE: f64 = 1e-9;
/// The same as a share of what is summed up inside stiff links, where rounding forbids more.
const ROUNDING: f64 = 1e-13;
/// Share of the largest forces met on the way that rounding may leave at the most.
const ROUNDED_SHARE: f64 = 1e-6;
/// What contacts may be out of balance by, as a share of the forces that act, where the whole
/// frame is looked at again.
const NEARLY: f64 = 1e-6;
/// A force that is less than this share of what it is the difference of is rounding.
const ROUNDED_OFF: f64 = 1e-14;
/// What is left has got no less if it is above this share of the least before.
const BETTER: f64 = 0.5;
/// Contacts that may have become stiffer or less stiff than they are in the equations.
const MOST_CHANGED: usize = 64;
/// Iterations of one step before it is cut in half.
const MOST_ITERATIONS: usize = 30;
/// Iterations of one that does not rub, before the way through the interior is taken.
const FIRST_TRIES: usize = 2;
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

/// What an iteration is to go by.
struct Ahead {
    bearings: Vec<Standing>,
    presses: Vec<Pressing>,
    answers: Answers,
}

/// How far iterations have come since the frame's balance was looked at last.
struct Course {
    /// Motion and force of each contact at the start, coupling axes.
    first_motions: Vec<Vector6<f64>>,
    first_forces: Vec<Vector6<f64>>,
    /// Displacements that what was unbalanced at the start leads to, and the share of them gone.
    displacements: Vec<Vector6<f64>>,
    gone: f64,
    /// What those have still to move contacts by.
    coming: Vec<Vector6<f64>>,
    /// Motion of each contact now.
    motions: Vec<Vector6<f64>>,
    /// Its force now beyond the first and what the stiffness in the equations adds.
    extra: Vec<Vector6<f64>>,
    /// Largest force that acted at the start, N, and the share unbalanced.
    acting: f64,
    left: f64,
}

/// What the laws of those contacts say that say anything, in order.
struct Answers {
    of: Vec<(usize, Answer)>,
    /// Number of contacts.
    count: usize,
}

impl Answers {
    /// Something of every contact's answer.
    fn spread<T: Clone + Default>(&self, of: impl Fn(&Answer) -> T) -> Vec<T> {
        let mut spread = vec![T::default(); self.count];
        for (contact, answer) in &self.of {
            spread[*contact] = of(answer);
        }
        spread
    }

    fn pressures(&self) -> Vec<f64> {
        self.spread(|answer| answer.pressure)
    }

    fn stiffnesses(&self) -> Stiffnesses {
        self.spread(|answer| Some(answer.stiffness))
    }
}

impl Course {
    /// What contacts do that is neither in the equations nor in `extra` yet.
    ///
    /// * `stiffnesses`: those in the equations
    fn changes(&self, stiffnesses: &Stiffnesses, answers: &Answers) -> Vec<Change> {
        let mut answers = answers.of.iter().peekable();
        let mut changes = Vec::new();
        for (contact, stiffness) in stiffnesses.iter().enumerate() {
            let answer = answers.next_if(|(of, _)| *of == contact);
            let (first, extra) = (&self.first_forces[contact], &self.extra[contact]);
            let idle = answer.is_none() && stiffness.is_none();
            if idle && *first == Vector6::zeros() && *extra == Vector6::zeros() {
                continue;
            }
            let force = answer.map(|(_, answer)| answer.force).unwrap_or_default();
            let moved = self.motions[contact] - self.first_motions[contact];
            let added = stiffness.map(|stiffness| stiffness * moved);
            let added = added.unwrap_or_default();
            let beyond = Vector6::from_fn(|i, _| {
                let beyond = force[i] - first[i] - added[i];
                let summed = force[i].abs() + first[i].abs() + added[i].abs();
                match beyond.abs() <= ROUNDED_OFF * summed {
                    true => 0.0,
                    false => beyond,
                }
            });
            let was = stiffness.unwrap_or_default();
            let is = answer
                .map(|(_, answer)| answer.tangent())
                .unwrap_or_default();
            if is != was || beyond != *extra {
                changes.push(Change {
                    contact,
                    force: beyond - extra,
                    stiffness: is - was,
                });
            }
        }
        changes
    }

    fn go(&mut self, step: &Step, share: f64) {
        let Step { motions, forces } = step;
        for (at, motion) in self.motions.iter_mut().zip(motions) {
            *at += motion * share;
        }
        for (extra, force) in self.extra.iter_mut().zip(forces) {
            *extra += force * share;
        }
        for coming in &mut self.coming {
            *coming *= 1.0 - share;
        }
        self.gone += (1.0 - self.gone) * share;
    }
}

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
        if first.is_ok() || self.rubs || self.bearings(&self.motions()).is_empty() {
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
        let mut restless = None;
        let (mut tries, mut least) = (0, f64::INFINITY);
        loop {
            let motions = self.motions();
            let answers = self.answers(&motions, None);
            self.put(&answers);
            let balance = self.balance();
            let left = self.left(&balance);
            self.effort.unbalanced.push(left);
            let stays = left > BETTER * least;
            if left <= TOLERANCE || stays && self.is_rounding(&balance) {
                self.come_to_rest();
                return Ok(());
            }
            if tries == most || left.is_nan() {
                return Err(Failure { coupling: restless });
            }
            least = left.min(least);

            let mut next = self.look_ahead(&motions, &expected, spring);
            if !self.serves(&next.answers) {
                self.refer_to(next.answers.stiffnesses());
            }
            let mut course = self.set_out(motions, &answers, &balance);
            let mut changes = course.changes(&self.flexibility().stiffnesses, &next.answers);
            let mut last = answers.pressures();
            loop {
                tries += 1;
                self.iterate(&mut course, &mut expected, &next, &changes);
                next = self.look_ahead(&course.motions, &expected, spring);
                changes = course.changes(&self.flexibility().stiffnesses, &next.answers);
                let pressures = next.answers.pressures();
                restless = self.most_changed(&pressures, &last).or(restless);
                last = pressures;
                let left = self.left_of(&course, &next.answers, &changes);
                if left <= NEARLY || left.is_nan() || tries == most || !self.serves(&next.answers) {
                    break;
                }
                self.effort.unbalanced.push(left);
            }
            self.arrive(&course);
        }
    }

    /// What presses in the next iteration, and how.
    fn look_ahead(&self, motions: &[Vector6<f64>], expected: &[Expected], spring: f64) -> Ahead {
        let bearings = self.bearings(motions);
        let presses = presses(&bearings, expected, spring);
        let answers = self.answers(motions, Some(&presses));
        Ahead {
            bearings,
            presses,
            answers,
        }
    }

    /// Whether the equations made last serve contacts that answer like this: where they alone
    /// hold something up, or many have changed, new ones are better.
    fn serves(&self, answers: &Answers) -> bool {
        let Flexibility {
            stiffnesses, loose, ..
        } = self.flexibility();
        let stays = |(contact, answer): &&(usize, Answer)| {
            stiffnesses[*contact].is_some_and(|stiffness| stiffness == answer.stiffness)
        };
        let stay = answers.of.iter().filter(stays).count();
        let were = stiffnesses.iter().flatten().count();
        let changed = (were - stay).max(answers.of.len() - stay);
        !loose && changed <= MOST_CHANGED
    }

    /// * `motions`, `answers`, `balance`: of the contacts and the frame where the run stands
    fn set_out(
        &mut self,
        motions: Vec<Vector6<f64>>,
        answers: &Answers,
        balance: &Balance<1>,
    ) -> Course {
        let flexibility = self.flexibility();
        let displacements = flexibility.displacements(&self.equations, &balance.unbalanced);
        let in_lanes: Vec<Lanes<1>> = displacements.iter().map(lanes::alike).collect();
        let coming = lanes::lane_of(&self.touching().motions(&in_lanes), 0);
        Course {
            first_motions: motions.clone(),
            first_forces: answers.spread(|answer| answer.force),
            displacements,
            gone: 0.0,
            coming,
            extra: vec![Vector6::zeros(); motions.len()],
            motions,
            acting: balance.acting[0],
            left: ratio(balance.left[0], balance.acting[0]),
        }
    }

    /// One iteration.
    fn iterate(
        &mut self,
        course: &mut Course,
        expected: &mut [Expected],
        ahead: &Ahead,
        changes: &[Change],
    ) {
        let Ahead {
            bearings,
            presses,
            answers,
        } = ahead;
        let mut flexibility = self.flexibility.take().expect("set out with it");
        let step = flexibility.step(self.touching(), &course.coming, changes);
        self.flexibility = Some(flexibility);
        let share = self.share(&course.motions, &step.motions);
        let mut pressing = presses.iter().peekable();
        for ((at, bearing), closing) in bearings.iter().zip(closing(bearings, &step.motions)) {
            let press = pressing.next_if(|(of, _)| of == at);
            let whole = press.map(|(_, press)| press.stiffness * (bearing.depth + closing));
            let pressure = &mut expected[at.0].pressures[at.1];
            *pressure += (whole.unwrap_or_default() - *pressure) * share;
        }
        if self.rubs {
            for expected in expected.iter_mut() {
                expected.friction = Some(Vector3::zeros());
            }
            for (contact, answer) in &answers.of {
                let moved = step.motions[*contact].fixed_rows::<3>(0);
                expected[*contact].friction = Some(answer.friction + answer.friction_rate * moved);
            }
        }
        course.go(&step, share);
    }

    /// What is out of balance at the contacts, as a share of the forces that act.
    fn left_of(&self, course: &Course, answers: &Answers, changes: &[Change]) -> f64 {
        let size = |force: &Vector6<f64>| magnitude(force, self.equations.size());
        let largest = changes.iter().map(|change| size(&change.force));
        let largest = largest.fold(0.0, larger);
        let acting = answers.of.iter().map(|(_, answer)| size(&answer.force));
        let acting = acting.fold(course.acting, larger);
        ratio(largest, acting) + (1.0 - course.gone) * course.left
    }

    /// Takes the frame to where a course has led.
    fn arrive(&mut self, course: &Course) {
        let pushed = self.flexibility().pushed(self.touching(), &course.extra);
        let moved = course.displacements.iter().zip(&pushed);
        for (place, (motion, pushed)) in self.displacements.iter_mut().zip(moved) {
            *place += motion * course.gone + pushed;
        }
    }

    /// Pressures as the laws have them where the run stands.
    fn expected_of_laws(&self) -> Vec<Expected> {
        let mut expected = vec![Expected::default(); self.contacts.len()];
        for ((contact, part), bearing) in self.bearings(&self.motions()) {
            expected[contact].pressures[part] = bearing.stiffness * bearing.depth.max(0.0);
        }
        expected
    }

    /// How much of a step to go.
    fn share(&self, motions: &[Vector6<f64>], step: &[Vector6<f64>]) -> f64 {
        if !self.rubs {
            return 1.0;
        }
        let steps = self.contacts.iter().zip(motions).zip(step);
        let shares = steps.map(|((contact, motion), moved)| {
            let law = &self.equations.frame.couplings[contact.coupling].law;
            LONGEST_STEP * law.room(motion) / moved[1].hypot(moved[2])
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
        let mut interior = Interior::enter(&self.bearings(&self.motions()), spring);
        let mut limit = DECIDED;
        let mut result = Err(Failure { coupling: None });
        for _ in 0..MOST_ITERATIONS {
            let motions = self.motions();
            let bearings = self.bearings(&motions);
            interior.look(&bearings);
            interior.aim_low();
            let answers = self.answers(&motions, Some(&interior.presses()));
            self.put(&answers);
            let (factor, _) = self.factor(&answers.stiffnesses());
            let balance = self.balance();
            let step = self.equations.step(&factor, &balance.unbalanced);
            let first = lanes::lane_of(&self.touching().motions(&step), 0);
            interior.aim(&interior.changes(&closing(&bearings, &first)));

            let answers = self.answers(&motions, Some(&interior.presses()));
            self.put(&answers);
            let balance = self.balance();
            let left = ratio(balance.left[0], balance.acting[0]);
            self.effort.unbalanced.push(left);
            let step = self.equations.step(&factor, &balance.unbalanced);
            let moved = lanes::lane_of(&self.touching().motions(&step), 0);
            let changes = interior.changes(&closing(&bearings, &moved));
            let share = interior.reach(&changes);
            interior.go(&changes, share);
            for (place, motion) in self.displacements.iter_mut().zip(&step) {
                *place += lanes::lane(motion, 0) * share;
            }
            self.storage = factor.into_storage();

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
    fn bearings(&self, motions: &[Vector6<f64>]) -> Vec<Standing> {
        let mut bearings = Vec::with_capacity(motions.len());
        for (index, (contact, motion)) in self.contacts.iter().zip(motions).enumerate() {
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let parts = law
                .bearings(motion)
                .filter(|(_, bearing)| bearing.stiffness > 0.0);
            bearings.extend(parts.map(|(part, bearing)| ((index, part), bearing)));
        }
        bearings
    }

    fn touching(&self) -> Touching<'_> {
        Touching {
            equations: &self.equations,
            contacts: &self.contacts,
        }
    }

    /// Motions that the laws of the contacts answer to, coupling axes.
    fn motions(&self) -> Vec<Vector6<f64>> {
        let motion = |contact: &Contact| self.motion(contact.coupling);
        self.contacts.iter().map(motion).collect()
    }

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

    /// What the laws say to motions of their contacts.
    ///
    /// * `presses`: how one-sided parts press, in order, if not as their laws have it; the rest
    ///   does not
    fn answers(&self, motions: &[Vector6<f64>], presses: Option<&[Pressing]>) -> Answers {
        let mut of = Vec::new();
        let mut rest = presses.unwrap_or_default();
        for (index, (contact, motion)) in self.contacts.iter().zip(motions).enumerate() {
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let count = rest.iter().take_while(|((of, _), _)| *of == index).count();
            let (own, others) = rest.split_at(count);
            rest = others;
            let press = |part| {
                let own = own.iter().find(|((_, of), _)| *of == part);
                own.map_or(Press::NOTHING, |(_, press)| *press)
            };
            let press: Option<Presses> = presses.is_some().then_some(&press);
            let answer = law.answer(motion, &contact.anchor, self.friction, press);
            of.extend(answer.map(|answer| (index, answer)));
        }
        Answers {
            of,
            count: motions.len(),
        }
    }

    /// Takes forces of contacts into the equations.
    fn put(&mut self, answers: &Answers) {
        let members = self.equations.frame.members.len();
        let forces = answers.spread(|answer| answer.force);
        for (contact, force) in self.contacts.iter().zip(&forces) {
            let coupling = &self.equations.frame.couplings[contact.coupling];
            self.equations.links[members + contact.coupling].answered =
                Some(coupling.to_global(force));
        }
    }

    /// Takes forces and pressures as the laws have them where the run stands.
    ///
    /// * returns: stiffnesses of the contacts
    pub fn linearise(&mut self) -> Stiffnesses {
        let answers = self.answers(&self.motions(), None);
        self.put(&answers);
        for (contact, pressure) in self.contacts.iter_mut().zip(answers.pressures()) {
            contact.pressure = pressure;
        }
        answers.stiffnesses()
    }

    /// Makes the equations for contacts as stiff as they are, unless they are those made last.
    pub fn refer(&mut self) {
        let stiffnesses = self.linearise();
        let same = |flexibility: &Flexibility| flexibility.stiffnesses == stiffnesses;
        if !self.flexibility.as_ref().is_some_and(same) {
            self.refer_to(stiffnesses);
        }
    }

    fn refer_to(&mut self, stiffnesses: Stiffnesses) {
        if let Some(last) = self.flexibility.take() {
            self.storage = last.into_storage();
        }
        let (factor, pivots) = self.factor(&stiffnesses);
        let loose = pivots.smallest_ratio <= PIVOT_LIMIT;
        self.flexibility = Some(Flexibility::new(stiffnesses, factor, loose));
    }

    fn flexibility(&self) -> &Flexibility {
        self.flexibility.as_ref().expect("a stage begins with it")
    }

    /// The symmetric tangent factored, raised where parts can move freely, and the pivots without.
    ///
    /// * `stiffnesses`: of the contacts
    pub fn factor(&mut self, stiffnesses: &Stiffnesses) -> (Factor, Pivots) {
        let members = self.equations.frame.members.len();
        for (contact, stiffness) in self.contacts.iter().zip(stiffnesses) {
            let coupling = &self.equations.frame.couplings[contact.coupling];
            self.equations.links[members + contact.coupling].stiffness = stiffness
                .map(|stiffness| coupling.stiffness_to_global(&stiffness))
                .unwrap_or_default();
        }
        self.effort.factorisations += 1;
        let storage = take(&mut self.storage);
        let (factor, pivots) = self.tangent(storage).factor();
        self.effort.smallest_pivot_ratio = pivots.smallest_ratio;
        if pivots.smallest_ratio > PIVOT_LIMIT {
            return (factor, pivots);
        }
        let mut raised = self.tangent(factor.into_storage());
        for (row, own) in self.untouched.iter().enumerate() {
            let block = raised.block_mut(row, row);
            for i in 0..6 {
                block[(i, i)] += RAISE * own[i];
            }
        }
        self.effort.factorisations += 1;
        (raised.factor().0, pivots)
    }

    /// The symmetric tangent, contacts as stiff as their links are.
    fn tangent(&self, storage: Envelope) -> Envelope {
        let still = self.still.copied_into(storage);
        let members = self.equations.frame.members.len();
        let contacts = self.contacts.iter();
        let links = contacts.map(|contact| members + contact.coupling);
        self.equations.completed(still, links)
    }

    /// After a step has converged: friction and grips start anew from where they are.
    fn come_to_rest(&mut self) {
        let motions = self.motions();
        let answers = self.answers(&motions, None);
        for (contact, motion) in self.contacts.iter_mut().zip(&motions) {
            contact.status = Status::Open;
            contact.anchor = *motion;
        }
        for (index, answer) in &answers.of {
            let contact = &mut self.contacts[*index];
            let law = &self.equations.frame.couplings[contact.coupling].law;
            contact.status = answer.status;
            contact.slid += answer.slip;
            contact.anchor = law.rest(&motions[*index], answer);
        }
    }

    /// The coupling whose pressure changed most since the last iteration.
    fn most_changed(&self, pressures: &[f64], last: &[f64]) -> Option<usize> {
        let changes = pressures.iter().zip(last);
        let changes = changes.map(|(pressure, last)| (pressure - last).abs());
        (self.contacts.iter().zip(changes))
            .max_by(|(_, a), (_, b)| a.total_cmp(b))
            .map(|(contact, _)| contact.coupling)
    }
}

/// How much deeper motions of the contacts bring each part, mm.
fn closing(bearings: &[Standing], moved: &[Vector6<f64>]) -> Vec<f64> {
    let closing = |((contact, _), bearing): &Standing| bearing.direction.dot(&moved[*contact]);
    bearings.iter().map(closing).collect()
}

/// Which parts press, and how.
///
/// * `spring`: weighs gaps against pressures, N/mm
fn presses(bearings: &[Standing], expected: &[Expected], spring: f64) -> Vec<Pressing> {
    let press = |(at, bearing): &Standing| {
        let Expected {
            pressures,
            friction,
        } = expected[at.0];
        let pressure = pressures[at.1];
        let presses = pressure + spring * (bearing.depth - pressure / bearing.stiffness) > 0.0;
        let press = Press {
            force: bearing.stiffness * bearing.depth,
            stiffness: bearing.stiffness,
            pressure: pressure.max(0.0),
            friction,
        };
        presses.then_some((*at, press))
    };
    bearings.iter().filter_map(press).collect()
}
