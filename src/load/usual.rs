//! What a patient usually does after the operation, week by week.

use super::{Activity, Arm, Loading, Phase, Push, Strap};
use crate::anatomy::{Patient, STANDARD_GRAVITY};

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

/// Done once, by the surgeon; as forceful as if the patient raised the arm: an upper bound.
pub const BY_THE_SURGEON: &str = "full range at the end of the operation";

/// Movements of the arm: elevation (deg), mass (kg), weeks and cycles a day.
///
/// Cycles of the healthy shoulder are 11 500 a day below 80° and 730 above it (Langohr et al.,
/// *J. Shoulder Elbow Surg.* (2018), over 14 waking hours), at a mean elevation of 40°
/// (Chapman et al., *J. Biomech. Eng.* 141 (2019) 041001). After the operation 0.1 of them in
/// weeks 0 to 2, 0.4 to week 6, 0.8 to week 12: assumption. The rest is assumption, told row by
/// row. Beyond 90° the forces stay those of the level arm.
const ARM: [Row; 8] = [
    (BY_THE_SURGEON, 90.0, 0.0, &[([0.0, 0.14], 10.0)]),
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

/// Force of one hand on the arm of a chair, share of the body's weight.
///
/// Source: 20 to 30 % while standing up, in twenty healthy adults (Turner et al., *Proc. Inst.
/// Mech. Eng. H* 218 (2004) 461); 16 to 19 % in six over 50 (Anglin & Wyss, *Clin. Biomech.* 15
/// (2000) 441).
const CHAIR_PUSH: f64 = 0.25;

/// Standing up from a chair: 60 times a day (Dall & Kerr, *Appl. Ergon.* 41 (2010) 58, from
/// memory), with both hands each time and from week 6 on: assumption.
const CHAIR_RISES: &[([f64; 2], f64)] = &[([6.0, 52.0], 60.0)];

/// Force on the point of the shoulder in a fall, share of the body's weight.
///
/// Source: about the body's weight can break the clavicle (Stanley, Trowbridge & Norris, *J. Bone
/// Joint Surg. Br.* 70 (1988) 461, from memory); that a fall is as forceful is an assumption.
const FALL_PUSH: f64 = 1.0;

/// Pushing off with both hands: what the hand bears goes up the straight arm, which hangs on the
/// shoulder blade no longer.
///
/// ```text
/// F = 0.25 W_body − W_arm
/// ```
///
/// The moment of the push about the shoulder, some 12 N·m (Anglin & Wyss 2000), is as large as that
/// of the level arm, which the set has by itself; muscles that draw on the clavicle here are not
/// described.
fn push_off(patient: &Patient) -> Push {
    Push {
        up: (CHAIR_PUSH * patient.body_weight() - patient.arm_weight).max(0.0),
        inward: 0.0,
    }
}

/// The usual set: sling, pendulum, assisted and free elevation, cup, household, driving,
/// backpack, pushing off from a chair; and a fall, which has no cycles.
///
/// * `strap_position`: middle of the strap, fraction of bone length
pub fn usual_set(patient: &Patient, strap_position: f64) -> Vec<Activity> {
    let phases = |rows: &[([f64; 2], f64)]| {
        let phase = |&(weeks, cycles_per_day)| Phase {
            weeks,
            cycles_per_day,
        };
        rows.iter().map(phase).collect()
    };
    let activity = |name: String, loading, rows: &[([f64; 2], f64)]| Activity {
        name,
        loading,
        phases: phases(rows),
    };
    let arm = |&(name, elevation, hand_mass, rows): &Row| {
        let arm = Arm {
            elevation: elevation.to_radians(),
            hand_mass,
        };
        activity(name.to_owned(), Loading::arm(arm), rows)
    };
    let strap = Strap {
        force: backpack_force(BACKPACK_KG, false),
        position: strap_position,
        width: patient.strap_width,
    };
    let backpack = activity(
        format!("backpack of {BACKPACK_KG} kg, no hip belt"),
        Loading::strap(strap),
        &[([12.0, 52.0], BACKPACK_STEPS)],
    );
    let chair = activity(
        "push-off from a chair".to_owned(),
        Loading::push(push_off(patient)),
        CHAIR_RISES,
    );
    let onto_the_shoulder = Push {
        up: 0.0,
        inward: FALL_PUSH * patient.body_weight(),
    };
    let fall = activity(
        "fall on the shoulder".to_owned(),
        Loading::push(onto_the_shoulder),
        &[],
    );
    let arms = ARM.iter().chain([&DRIVING]).map(arm);
    arms.chain([backpack, chair, fall]).collect()
}
