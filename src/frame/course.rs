//! How far the iterations of a step have come, seen from the contacts alone.

use nalgebra::{Vector3, Vector6};

use super::flexibility::{Change, Step, Stiffnesses};
use super::lanes::Lanes;
use super::law::{Answer, Bearing, Press, Pressing};

/// A force that is less than this share of what it is the difference of is rounding.
const ROUNDED_OFF: f64 = 1e-14;

/// What an iteration expects of a contact after its step.
#[derive(Clone, Copy, Default)]
pub(crate) struct Expected {
    /// Of each one-sided part, N.
    pub pressures: [f64; 6],
    /// Friction, coupling axes, N; none before the first step.
    pub friction: Option<Vector3<f64>>,
}

/// A one-sided part: which contact, which part of it, and how it stands.
pub(crate) type Standing = ((usize, usize), Bearing);

/// What an iteration is to go by.
pub(crate) struct Ahead {
    pub bearings: Vec<Standing>,
    pub presses: Vec<Pressing>,
    pub answers: Answers,
}

/// How far iterations have come since the frame's balance was looked at last.
pub(crate) struct Course {
    /// Motion and force of each contact at the start, coupling axes.
    pub first_motions: Vec<Vector6<f64>>,
    pub first_forces: Vec<Vector6<f64>>,
    /// Displacements that what was unbalanced at the start leads to, and the share of them gone.
    pub displacements: Vec<Lanes<1>>,
    pub gone: f64,
    /// What those have still to move contacts by.
    pub coming: Vec<Vector6<f64>>,
    /// Motion of each contact now.
    pub motions: Vec<Vector6<f64>>,
    /// Its force now beyond the first and what the stiffness in the equations adds.
    pub extra: Vec<Vector6<f64>>,
    /// Largest force that acted at the start, N, and the share unbalanced.
    pub acting: f64,
    pub left: f64,
}

/// What the laws of those contacts say that say anything, in order.
pub(crate) struct Answers {
    pub of: Vec<(usize, Answer)>,
    /// Number of contacts.
    pub count: usize,
}

impl Answers {
    /// Something of every contact's answer.
    pub fn spread<T: Clone + Default>(&self, of: impl Fn(&Answer) -> T) -> Vec<T> {
        let mut spread = vec![T::default(); self.count];
        for (contact, answer) in &self.of {
            spread[*contact] = of(answer);
        }
        spread
    }

    pub fn pressures(&self) -> Vec<f64> {
        self.spread(|answer| answer.pressure)
    }

    pub fn stiffnesses(&self) -> Stiffnesses {
        self.spread(|answer| Some(answer.stiffness))
    }
}

impl Course {
    /// What contacts do that is neither in the equations nor in `extra` yet.
    ///
    /// * `stiffnesses`: those in the equations
    pub fn changes(&self, stiffnesses: &Stiffnesses, answers: &Answers) -> Vec<Change> {
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

    pub fn go(&mut self, step: &Step, share: f64) {
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

/// How much deeper motions of the contacts bring each part, mm.
pub(crate) fn closing(bearings: &[Standing], moved: &[Vector6<f64>]) -> Vec<f64> {
    let closing = |((contact, _), bearing): &Standing| bearing.direction.dot(&moved[*contact]);
    bearings.iter().map(closing).collect()
}

/// Which parts press, and how.
///
/// * `spring`: weighs gaps against pressures, N/mm
pub(crate) fn presses(bearings: &[Standing], expected: &[Expected], spring: f64) -> Vec<Pressing> {
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
