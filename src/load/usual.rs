//! What a patient usually does after the operation, week by week.

use super::{Activity, Arm, Loading, Phase, Strap};
use crate::anatomy::STANDARD_GRAVITY;

/// Share of a shoulder's strap load that lands on the clavicle.
///
/// Assumption: 0.4; plausible 0.2 to 0.6.
const SHARE_ON_CLAVICLE: f64 = 0.4;

/// What walking makes of a still load. Assumption.
const WALKING: f64 = 1.4;

/// Share of a pack that the shoulders keep with a hip belt.
///
/// Source: LaFiandra & Harman, *Med. Sci. Sports Exerc.* 36 (2004) 460, from memory.
const SHOULDERS_WITH_BELT: f64 = 0.7;

/// Force of one of two straps of a backpack on the clavicle while walking, N.
///
/// ```text
/// F = 0.4 × 1.4 × m g / 2    × 0.7 with a hip belt
/// ```
///
/// * `mass`: kg
///
/// Source: beside each number.
pub fn backpack_force(mass: f64, hip_belt: bool) -> f64 {
    let shoulders = if hip_belt { SHOULDERS_WITH_BELT } else { 1.0 };
    SHARE_ON_CLAVICLE * WALKING * shoulders * mass * STANDARD_GRAVITY / 2.0
}

/// Posture, mass in the hand and how often, in stretches of weeks.
type Row = (&'static str, f64, f64, &'static [([f64; 2], f64)]);

/// Movements of the arm: elevation (deg), mass (kg), weeks and cycles a day.
///
/// Cycles of the healthy shoulder are 11 500 a day below 80° and 730 above it (Langohr et al.,
/// *J. Shoulder Elbow Surg.* (2018), over 14 waking hours), at a mean elevation of 40°
/// (Chapman et al., *J. Biomech. Eng.* 141 (2019) 041001). After the operation 0.1 of them in
/// weeks 0 to 2, 0.4 to week 6, 0.8 to week 12: assumption. The rest is assumption, told row by
/// row. Beyond 90° the forces stay those of the level arm.
const ARM: [Row; 8] = [
    // Once, by the surgeon; as forceful as if the patient raised the arm: upper bound.
    (
        "full range at the end of the operation",
        90.0,
        0.0,
        &[([0.0, 0.14], 10.0)],
    ),
    // Most of the arm's weight hangs in the sling.
    ("arm in a sling", 15.0, 0.0, &[([0.0, 2.0], 1150.0)]),
    // Three times twenty swings.
    ("pendulum", 20.0, 0.0, &[([0.0, 6.0], 60.0)]),
    // To the level, the other hand bearing half: the moment of 30°. A couple of times a day is
    // enough against a stiff shoulder (common practice, no source).
    (
        "assisted elevation, half borne",
        30.0,
        0.0,
        &[([0.0, 6.0], 20.0)],
    ),
    (
        "small daily movements",
        40.0,
        0.0,
        &[
            ([2.0, 6.0], 4600.0),
            ([6.0, 12.0], 9200.0),
            ([12.0, 52.0], 11_500.0),
        ],
    ),
    // To 90° only up to week 6, higher after it.
    (
        "arm raised, empty hand",
        90.0,
        0.0,
        &[
            ([2.0, 6.0], 290.0),
            ([6.0, 12.0], 580.0),
            ([12.0, 52.0], 730.0),
        ],
    ),
    // The arm half raised before the body.
    ("full cup in the hand", 45.0, 0.4, &[([2.0, 52.0], 50.0)]),
    (
        "light household, 1 kg",
        45.0,
        1.0,
        &[([6.0, 12.0], 100.0), ([12.0, 52.0], 300.0)],
    ),
];

/// Driving, the wheel bearing half of both arms: the moment of 30°, from week 6. Assumption.
const DRIVING: Row = ("driving", 30.0, 0.0, &[([6.0, 52.0], 500.0)]);

/// A backpack without a hip belt from week 12, a cycle a step, 3000 steps. Assumption.
const BACKPACK_KG: f64 = 8.0;
const BACKPACK_STEPS: f64 = 3000.0;

/// The usual set: sling, pendulum, assisted and free elevation, cup, household, driving,
/// backpack.
///
/// Pushing off from a chair and a fall are not in it: they send forces up the arm that
/// [`Loading`] does not describe.
///
/// * `strap_position`: middle of the strap, fraction of bone length; `strap_width`: mm
pub fn usual_set(strap_position: f64, strap_width: f64) -> Vec<Activity> {
    let phases = |rows: &[([f64; 2], f64)]| {
        let phase = |&(weeks, cycles_per_day)| Phase {
            weeks,
            cycles_per_day,
        };
        rows.iter().map(phase).collect()
    };
    let arm = |&(name, elevation, hand_mass, rows): &Row| Activity {
        name: name.to_owned(),
        loading: Loading::Shoulder {
            arm: Some(Arm {
                elevation: elevation.to_radians(),
                hand_mass,
            }),
            strap: None,
        },
        phases: phases(rows),
    };
    let backpack = Activity {
        name: format!("backpack of {BACKPACK_KG} kg, no hip belt"),
        loading: Loading::Shoulder {
            arm: None,
            strap: Some(Strap {
                force: backpack_force(BACKPACK_KG, false),
                position: strap_position,
                width: strap_width,
            }),
        },
        phases: phases(&[([12.0, 52.0], BACKPACK_STEPS)]),
    };
    let arms = ARM.iter().chain([&DRIVING]).map(arm);
    arms.chain([backpack]).collect()
}
