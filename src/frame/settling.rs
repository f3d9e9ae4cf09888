//! One step of loading with contact: from one equilibrium to the next.
//!
//! A step tries Newton's method on the laws as they are: each iteration factors the tangent
//! and goes as far along the step as the unbalanced forces still push that way (a line
//! search: without friction the energy is convex, so this always descends). Where contact
//! changes too much for that, the way through the interior ([`Interior`]) finds out what
//! touches, and Newton's method ends it. Friction is bounded by the pressure in the last
//! equilibrium, which keeps the matrix symmetric; bounds are taken anew until the balance
//! with the pressure as it is holds.
//!
//! An iteration has converged when no free degree of freedom is left with more than 1e-9 of
//! the largest force that acts, pressures, gaps and friction bounds being those of the same
//! displacements.

use nalgebra::Vector6;

use super::contact::{Contact, Run};
use super::envelope::Factor;
use super::equations::{Balance, Loading, PIVOT_LIMIT, ratio};
use super::interior::Interior;
use super::law::{Bearing, Law, Press};

/// Largest unbalanced force accepted, as a share of those that act.
const TOLERANCE: f64 = 1e-9;
/// The same as a share of what is summed up inside stiff links, where rounding forbids more.
const ROUNDING: f64 = 1e-13;
/// Share of the largest forces met on the way that rounding may leave at the most.
const ROUNDED_SHARE: f64 = 1e-6;
/// Iterations of one step before it is cut in half.
pub(crate) const MOST_ITERATIONS: usize = 40;
/// Newton iterations on the laws as they are, before the way through the interior is taken.
const FIRST_TRIES: usize = 10;
/// The same at the end of that way.
const TRIES_AT_THE_END: usize = 6;
/// Beginnings of that way: pressure over gap as a share of a typical stiffness.
const SPRING_SCALES: [f64; 3] = [0.1, 10.0, 0.001];
/// The end of that way: mean pressure × gap over that of the largest. A hundredth of it
/// next time if Newton's method does not take over there.
const DECIDED: f64 = 1e-3;
/// Where it is pointless to go on.
const POINTLESS: f64 = 1e-14;
/// After so many times friction bounds move only half way, which ends most cycles.
const DAMPED_AFTER: usize = 12;
/// How often friction bounds are taken anew in one step.
const MOST_BINDINGS: usize = 40;
/// Where parts can move freely, every degree of freedom is sprung with this share of its own
/// stiffness without contact, which bends the step but not the equilibrium it leads to.
const RAISE: f64 = 1e-7;

/// Why a step did not converge.
pub(crate) struct Failure {
    pub coupling: Option<usize>,
    pub residual: f64,
}

impl Run<'_> {
    /// Finds the equilibrium under a loading from where the run stands.
    pub fn step(&mut self, loading: Loading) -> Result<(), Failure> {
        for (node, held) in self.equations.held.iter().enumerate() {
            for freedom in (0..6).filter(|&freedom| held[freedom]) {
                self.displacements[node][freedom] = loading.movements[node][freedom];
            }
        }
        self.loading = loading;
        self.bind_friction(false);
        let start = (self.displacements.clone(), self.contacts.clone());
        if self.close_in(FIRST_TRIES, None).is_ok() {
            return Ok(());
        }
        let mut result = Err(Failure {
            coupling: None,
            residual: f64::INFINITY,
        });
        for scale in SPRING_SCALES {
            (self.displacements, self.contacts) = start.clone();
            result = self.follow(scale * self.typical_spring());
            if result.is_ok() {
                break;
            }
        }
        result
    }

    /// Newton's method on the laws as they are.
    ///
    /// * `verdict`: how one-sided parts press in the first iteration
    fn close_in(&mut self, most: usize, verdict: Option<&[[Press; 6]]>) -> Result<(), Failure> {
        let mut last: Vec<f64> = Vec::new();
        let mut restless = None;
        let mut left = f64::INFINITY;
        let mut tries = 0;
        let mut bindings = 0;
        let mut inner = TOLERANCE;
        loop {
            let presses = verdict.filter(|_| tries == 0 && bindings == 0);
            self.linearise(presses);
            let mut balance = self.balance();
            if presses.is_none() {
                left = self.left(&balance);
                self.effort.unbalanced.push(left);
                if left <= inner || self.is_rounding(&balance) {
                    self.bind_friction(bindings > DAMPED_AFTER);
                    self.linearise(None);
                    balance = self.balance();
                    left = self.left(&balance);
                    if left <= TOLERANCE || self.is_rounding(&balance) {
                        self.come_to_rest();
                        return Ok(());
                    }
                    inner = (0.01 * left).max(TOLERANCE / 10.0);
                    (tries, bindings) = (0, bindings + 1);
                }
                restless = self.most_changed(&last).or(restless);
                last = self.contacts.iter().map(|c| c.pressure).collect();
            }
            if tries == most || bindings > MOST_BINDINGS || left.is_nan() {
                break;
            }
            let factor = self.factor();
            let step = self.equations.step(&factor, &balance);
            match presses {
                Some(_) => self.advance(&step, 1.0),
                None => self.go(&step, &balance),
            }
            tries += 1;
        }
        Err(Failure {
            coupling: restless,
            residual: left,
        })
    }

    /// Share of the acting forces that is left unbalanced.
    fn left(&mut self, balance: &Balance) -> f64 {
        self.most_acting = self.most_acting.max(balance.acting);
        ratio(self.equations.largest_free(balance), balance.acting)
    }

    /// Whether what is left unbalanced is no more than rounding in stiff links. Parts that have
    /// flown apart sum up without limit, so it must also be little of what has acted.
    fn is_rounding(&self, balance: &Balance) -> bool {
        let left = self.equations.largest_free(balance);
        left <= ROUNDED_SHARE * balance.acting.max(self.most_acting)
            && left <= ROUNDING * self.equations.summed(&self.displacements)
    }

    /// Comes to contact through the interior, then closes in on the laws as they are.
    ///
    /// * `spring`: pressure over gap at the beginning, N/mm
    fn follow(&mut self, spring: f64) -> Result<(), Failure> {
        let mut interior = Interior::enter(&self.bearings(), spring);
        if interior.is_empty() {
            return self.close_in(MOST_ITERATIONS, None);
        }
        let mut limit = DECIDED;
        let mut result = Err(Failure {
            coupling: None,
            residual: f64::INFINITY,
        });
        for _ in 0..MOST_ITERATIONS {
            let bearings = self.bearings();
            interior.look(&bearings);
            interior.aim_low();
            let presses = interior.presses(self.contacts.len());
            self.linearise(Some(&presses));
            self.bind_friction(false);
            self.linearise(Some(&presses));
            let factor = self.factor();
            let balance = self.balance();
            let first = self.equations.step(&factor, &balance);
            interior.aim(&interior.changes(&self.closing(&bearings, &first)));

            self.linearise(Some(&interior.presses(self.contacts.len())));
            let balance = self.balance();
            let left = ratio(self.equations.largest_free(&balance), balance.acting);
            self.effort.unbalanced.push(left);
            let step = self.equations.step(&factor, &balance);
            let changes = interior.changes(&self.closing(&bearings, &step));
            let share = interior.reach(&changes);
            interior.go(&changes, share);
            self.advance(&step, share);

            if interior.undecided() <= limit {
                limit *= 0.01;
                let kept = (self.displacements.clone(), self.contacts.clone());
                interior.look(&self.bearings());
                let verdict = interior.verdict(self.contacts.len());
                result = self.close_in(TRIES_AT_THE_END, Some(&verdict));
                if result.is_ok() {
                    return result;
                }
                (self.displacements, self.contacts) = kept;
            }
            if interior.undecided() < POINTLESS {
                break;
            }
        }
        result
    }

    /// How every one-sided part stands, by contact and part of it.
    fn bearings(&self) -> Vec<((usize, usize), Bearing)> {
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
    fn closing(&self, bearings: &[((usize, usize), Bearing)], step: &[Vector6<f64>]) -> Vec<f64> {
        let members = self.equations.frame.members.len();
        let closing = |((contact, _), bearing): &((usize, usize), Bearing)| {
            let index = self.contacts[*contact].coupling;
            let motion = self.equations.links[members + index].motion(step);
            let local = self.equations.frame.couplings[index].to_local(&motion);
            bearing.direction.dot(&local)
        };
        bearings.iter().map(closing).collect()
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

    pub fn balance(&self) -> Balance {
        self.equations.balance(&self.loading, &self.displacements)
    }

    /// Takes the answer of every law that is not linear at the displacements as they are.
    ///
    /// * `presses`: how one-sided parts press, if not as their laws have it
    pub fn linearise(&mut self, presses: Option<&[[Press; 6]]>) {
        let members = self.equations.frame.members.len();
        for index in 0..self.contacts.len() {
            let contact = &self.contacts[index];
            let coupling = &self.equations.frame.couplings[contact.coupling];
            let motion = self.motion(contact.coupling);
            let presses = presses.map(|presses| &presses[index]);
            let answer = coupling
                .law
                .answer(&motion, &contact.anchor, contact.bound, presses);
            let link = &mut self.equations.links[members + contact.coupling];
            link.stiffness = coupling.stiffness_to_global(&answer.stiffness);
            link.answered = Some(coupling.to_global(&answer.force));
            let contact = &mut self.contacts[index];
            contact.pressure = answer.pressure;
        }
    }

    /// Bounds friction by the pressure of the last answers, or half way to it.
    fn bind_friction(&mut self, damped: bool) {
        for contact in &mut self.contacts {
            if let Law::Touch(touch) = &self.equations.frame.couplings[contact.coupling].law {
                let bound = match self.friction {
                    true => touch.bound(contact.pressure),
                    false => 0.0,
                };
                contact.bound = match damped && bound > 0.0 {
                    true => (bound + contact.bound) / 2.0,
                    false => bound,
                };
            }
        }
    }

    fn advance(&mut self, step: &[Vector6<f64>], share: f64) {
        for (place, motion) in self.displacements.iter_mut().zip(step) {
            *place += motion * share;
        }
    }

    /// Factors the tangent, raised where parts can move freely.
    fn factor(&mut self) -> Factor {
        self.effort.factorisations += 1;
        let (factor, pivots) = self.equations.envelope().factor();
        self.effort.smallest_pivot_ratio = pivots.smallest_ratio;
        if pivots.smallest_ratio > PIVOT_LIMIT {
            return factor;
        }
        let mut raised = self.equations.envelope();
        for (row, own) in self.untouched.iter().enumerate() {
            let block = raised.block_mut(row, row);
            for i in 0..6 {
                block[(i, i)] += RAISE * own[i];
            }
        }
        self.effort.factorisations += 1;
        raised.factor().0
    }

    /// Goes along a step until the unbalanced forces no longer push along it.
    fn go(&mut self, step: &[Vector6<f64>], balance: &Balance) {
        let start = self.displacements.clone();
        let along = |balance: &Balance| -> f64 {
            let work = balance.unbalanced.iter().zip(step);
            work.map(|(force, motion)| force.dot(motion)).sum()
        };
        let first = along(balance);
        let mut push_at = |length: f64| {
            for (place, (from, motion)) in self.displacements.iter_mut().zip(start.iter().zip(step))
            {
                *place = from + motion * length;
            }
            self.linearise(None);
            along(&self.balance())
        };
        let (mut low, mut push_low) = (0.0, first);
        let (mut high, mut push_high) = (1.0, push_at(1.0));
        // False position, with the Illinois rule for the end that does not move.
        for _ in 0..60 {
            if push_high >= -0.1 * first.abs() {
                return;
            }
            let middle = (low * push_high - high * push_low) / (push_high - push_low);
            let middle = middle.clamp(low + 0.01 * (high - low), high - 0.01 * (high - low));
            let push = push_at(middle);
            if push.abs() <= 0.1 * first.abs() {
                return;
            }
            if push > 0.0 {
                (low, push_low) = (middle, push);
                push_high /= 2.0;
            } else {
                (high, push_high) = (middle, push);
                push_low /= 2.0;
            }
        }
    }

    /// After a step has converged: friction and grips start anew from where they are.
    fn come_to_rest(&mut self) {
        for index in 0..self.contacts.len() {
            let contact = &self.contacts[index];
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let motion = self.motion(contact.coupling);
            let answer = law.answer(&motion, &contact.anchor, contact.bound, None);
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
