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
//! The rest of the frame being linear, iterations go by the motions of the contacts alone
//! ([`Flexibility`](super::flexibility::Flexibility)). The balance of the whole frame is looked at
//! where a step begins and wherever contacts come near to theirs.
//!
//! A step has converged when no free degree of freedom is left with more than 1e-9 of
//! the largest force that acts, pressures, gaps and friction being those that the laws have at
//! the same displacements.

use nalgebra::{Vector3, Vector6};

use super::balance::Balance;
use super::contact::Run;
use super::course::{Ahead, Answers, Course, Expected, closing, presses};
use super::equations::{Loading, larger, magnitude, ratio};
use super::flexibility::{Change, Touching};
use super::interior::Interior;
use super::lanes;
use super::law::Status;

/// Largest unbalanced force accepted, as a share of those that act.
const TOLERANCE: f64 = 1e-9;
/// The same as a share of what is summed up inside stiff links, where rounding forbids more.
const ROUNDING: f64 = 1e-13;
/// Share of the largest forces met on the way that rounding may leave at the most.
const ROUNDED_SHARE: f64 = 1e-6;
/// What contacts may be out of balance by, as a share of the forces that act, where the whole
/// frame is looked at again.
const NEARLY: f64 = 1e-6;
/// What is left has got no less if it is above this share of the least before.
const BETTER: f64 = 0.5;
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

/// Why a step did not converge.
pub(crate) struct Failure {
    /// The coupling that changes most from one iteration to the next.
    pub coupling: Option<usize>,
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
                self.come_to_rest(&motions, &answers);
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

    /// * `motions`, `answers`, `balance`: of the contacts and the frame where the run stands
    fn set_out(
        &mut self,
        motions: Vec<Vector6<f64>>,
        answers: &Answers,
        balance: &Balance<1>,
    ) -> Course {
        let flexibility = self.flexibility();
        let displacements = flexibility.displacements(&self.equations, &balance.unbalanced);
        let coming = lanes::lane_of(&self.touching().motions(&displacements), 0);
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
        let Run {
            equations,
            contacts,
            flexibility,
            ..
        } = self;
        let flexibility = flexibility.as_mut().expect("set out with it");
        let touching = Touching {
            equations,
            contacts,
        };
        let step = flexibility.step(touching, &course.coming, changes);
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
            let [motion, pushed] = [motion, pushed].map(|lanes| lanes::lane(lanes, 0));
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

    /// After a step has converged: friction and grips start anew from where they are.
    ///
    /// * `motions`, `answers`: of the contacts there
    fn come_to_rest(&mut self, motions: &[Vector6<f64>], answers: &Answers) {
        for (contact, motion) in self.contacts.iter_mut().zip(motions) {
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
