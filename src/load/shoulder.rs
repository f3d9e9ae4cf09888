//! The raised arm: a published envelope of section forces, scaled by posture and hand weight.
//!
//! ```text
//! M_arm = W · 0.53 · 0.332 H     M_hand = m g · 0.36 H     about the shoulder, the arm level
//! ```
//!
//! The free body of the arm, with those weights and levers, and that of the clavicle stand in the
//! figure `plots/roof-tiler-comminuted/free-body.svg` of the repository.

use nalgebra::vector;

use super::setup::{Action, Hold, Holds, Setup};
use super::{Arm, setup::POTS};
use crate::anatomy::{Clavicle, Patient};

/// Largest force in the clavicle while an unloaded arm is raised, N.
///
/// Source: Hoogervorst et al., *Clin. Biomech.* (2019), doi 10.1016/j.clinbiomech.2019.07.001.
pub const ENVELOPE_FORCE: f64 = 126.0;

/// Largest resultant moment in the clavicle while an unloaded arm is raised, N·mm.
///
/// Source: as [`ENVELOPE_FORCE`].
pub const ENVELOPE_MOMENT: f64 = 2400.0;

/// Moment at the shoulder of the straight arm held level by the person the envelope is
/// taken to stand for, N·mm.
///
/// Assumption: an average adult male (76 kg, 1.76 m: 0.53 × 0.332 × 1.76 m × 36.8 N); the
/// publication's healthy adult model is not described further where it was read.
const ENVELOPE_SHOULDER_MOMENT: f64 = 0.53 * 0.332 * 1760.0 * 36.8;

/// What the published envelope is multiplied by.
///
/// ```text
/// k = (M_arm + M_hand) / M_arm,average man × sin(min(elevation, 90°))
/// ```
///
/// so that a smaller person loads the bone less than the average man the envelope stands
/// for, a larger one more, and a weight in the hand counts by its moment at the shoulder.
///
/// Assumption: the forces in the clavicle go with the moment at the shoulder, and stay at
/// their peak above the level arm.
pub fn arm_scale(arm: &Arm, patient: &Patient) -> f64 {
    let moment = patient.shoulder_moment() + patient.hand_moment(arm.hand_mass);
    let level = arm.elevation.min(std::f64::consts::FRAC_PI_2).sin();
    moment / ENVELOPE_SHOULDER_MOMENT * level
}

/// The envelope as loads on the bone: held at the sternal end, pushed along the line of the
/// joint centres and bent down at the acromial end.
///
/// ```text
/// N = k × 126 N,   M(ξ) = (0, M0 + N z(ξ), −N y(ξ)),   max |M| between the pots = k × 2.4 N·m
/// ```
///
/// The S-curve turns the push into bending of its own; `M0` makes up the rest, so that the
/// largest resultant moment on the shaft is the published one.
pub(crate) fn arm_setup(arm: &Arm, patient: &Patient, clavicle: &Clavicle) -> Setup {
    let scale = arm_scale(arm, patient);
    let (push, target) = (scale * ENVELOPE_FORCE, scale * ENVELOPE_MOMENT);
    let moment = end_moment(clavicle, push, target);
    Setup {
        holds: Holds::At(vec![Hold {
            at: 0.0,
            fixed: [true; 6],
        }]),
        actions: vec![Action::Place {
            at: 1.0,
            force: vector![-push, 0.0, 0.0],
            moment: vector![0.0, moment, 0.0],
        }],
    }
}

/// `M0` of [`arm_setup`]; zero when the push alone already bends that much.
///
/// ```text
/// M0 = min over ξ of √(M² − (N y)²) − N z
/// ```
fn end_moment(clavicle: &Clavicle, push: f64, target: f64) -> f64 {
    const SAMPLES: usize = 100;
    (0..=SAMPLES)
        .map(|i| POTS[0] + (POTS[1] - POTS[0]) * i as f64 / SAMPLES as f64)
        .map(|at| {
            let point = clavicle.point(at);
            let [about_y, about_z] = [push * point.z, push * point.y];
            let left = target.powi(2) - about_z.powi(2);
            left.max(0.0).sqrt() - about_y
        })
        .fold(f64::INFINITY, f64::min)
        .max(0.0)
}
