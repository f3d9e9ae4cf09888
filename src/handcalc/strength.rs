//! Fatigue and buckling of a device by hand.

use super::bone::TEXTBOOK;
use super::expression::{Expression, Function, Quantity};
use super::formula;
use super::sheet::{Sheet, Step};
use crate::assess::SectionStress;
use crate::material::{Material, Strength};

const SHIGLEY: &str = "Shigley, Mechanical Engineering Design";

/// How often a day the activity is repeated, and for how many days. Assumption: within the 500 to
/// 2000 elevations of the arm a day and the 84 to 112 days to union that suggest themselves.
const REPEATS_A_DAY: f64 = 1000.0;
const DAYS: f64 = 84.0;

/// Adds static margin, Goodman's margin at 10⁶ cycles and Miner's sum for a stress that goes from
/// nothing to `nominal` and back, raised by `notch` for fatigue.
///
/// Beside them the model's margins at the same section, if there is one.
pub(super) fn fatigue(
    sheet: &mut Sheet,
    nominal: &Quantity,
    notch: &Quantity,
    material: &Material,
    model: Option<&SectionStress>,
) {
    let Some(strength) = &material.strength else {
        return;
    };
    let proof = Quantity::given("R_p", "proof stress", strength.proof_tension, "MPa");
    let ultimate = Quantity::given("R_m", "ultimate stress", strength.ultimate_tension, "MPa");
    let whys = "as the nominal stress differs";
    sheet.add(
        Step::new(
            "margin against bending for good: proof stress over nominal stress",
            "n_p",
            "",
            &proof / nominal,
            TEXTBOOK,
        )
        .beside(model.and_then(|stress| stress.static_margin), whys),
    );
    let amplitude = sheet.add(Step::new(
        "stress amplitude at the notch, the load coming and going: half its peak, and as much mean",
        "σ_a",
        "MPa",
        notch * nominal / 2.0,
        SHIGLEY,
    ));
    let (slope, strength_at) = endurance(sheet, strength, &ultimate);
    sheet.add(
        Step::new(
            "margin against fatigue at 10⁶ cycles, Goodman: 1 / (σ_a/S + σ_m/R_m) with σ_m = σ_a",
            "n_G",
            "",
            formula::goodman(&amplitude, &amplitude, &strength_at, &ultimate),
            "Shigley, modified Goodman criterion",
        )
        .beside(
            model.and_then(|stress| stress.fatigue_margin_1e6),
            "as the nominal stress differs; the model raises each part of the stress by its own Kf",
        ),
    );
    miner(sheet, &amplitude, &ultimate, &slope);
}

/// The line between 0.9 of the ultimate stress at 10³ cycles and the amplitude known at 10⁷: its
/// exponent, and the amplitude borne for 10⁶ cycles.
fn endurance(sheet: &mut Sheet, strength: &Strength, ultimate: &Quantity) -> (Quantity, Quantity) {
    let known = strength.fatigue_amplitude_1e7;
    let known = Quantity::given("S_7", "amplitude borne for 10⁷ cycles", known, "MPa");
    let ratio = 0.9 * ultimate / &known;
    let slope = sheet.add(Step::new(
        "exponent of the S-N line from 0.9 R_m at 10³ to S_7 at 10⁷ cycles",
        "b",
        "",
        -(Expression::function(Function::Logarithm, ratio) / 4.0),
        "Shigley, two-point construction, its knee moved to 10⁷ cycles",
    ));
    let strength_at = sheet.add(Step::new(
        "amplitude borne for 10⁶ cycles",
        "S",
        "MPa",
        0.9 * ultimate * Expression::from(1000.0).power(&slope),
        SHIGLEY,
    ));
    (slope, strength_at)
}

/// One line of Miner's sum.
fn miner(sheet: &mut Sheet, amplitude: &Quantity, ultimate: &Quantity, slope: &Quantity) {
    let what = "the same without mean stress, after Goodman; beyond R_m it breaks at once";
    let reversed = amplitude / (1.0 - amplitude / ultimate);
    if amplitude.value >= 0.5 * ultimate.value {
        sheet.note(
            "The peak at the notch is beyond the ultimate stress: no fatigue life can be given by hand.",
        );
        return;
    }
    let reversed = sheet.add(Step::new(what, "σ_r", "MPa", reversed, SHIGLEY));
    let life = sheet.add(Step::new(
        "cycles to failure on that line; beyond 10⁷ it is an extrapolation",
        "N_f",
        "",
        formula::life(&reversed, ultimate, slope),
        SHIGLEY,
    ));
    let a_day = "times a day (assumption)";
    let a_day = Quantity::given("n_d", a_day, REPEATS_A_DAY, "");
    let days = Quantity::given("t_u", "days to union (assumption)", DAYS, "");
    sheet.add(Step::new(
        "Miner's sum for this activity alone until the bone has healed; 1 is failure",
        "D",
        "",
        &a_day * &days / &life,
        "Palmgren-Miner rule (textbook)",
    ));
}

/// Adds Euler's load of a device over its working length, and the push at which the lateral
/// fragment tips about the device as about a spring; `model` is the push at which the model
/// buckles.
pub(super) fn buckling(
    sheet: &mut Sheet,
    youngs: &Quantity,
    second_moment: &Quantity,
    working_length: &Quantity,
    fragment: &Quantity,
    model: Option<f64>,
) {
    sheet.add(Step::new(
        "Euler's load of the device by itself over its working length, as if hinged at its ends",
        "P_E",
        "N",
        formula::euler(youngs, second_moment, working_length),
        "Euler's column, hinged (textbook)",
    ));
    sheet.add(
        Step::new(
            "push at which the lateral fragment, rigid and free at its acromial end, tips about the \
             device as about a spring hinge",
            "P_h",
            "N",
            youngs * second_moment / (working_length * fragment),
            "rigid column on a spring hinge (textbook)",
        )
        .beside(
            model,
            "in the model the fragments bend, the bone is curved and begins bent, and the device's \
             holds in the bone give way, a smooth bar's above all in turning",
        ),
    );
}

/// Fatigue notch factor of a root of radius `radius`: `K_f = 1 + q (K_t − 1)`.
pub(super) fn notch_factor(
    sheet: &mut Sheet,
    kt: &Quantity,
    sensitivity: f64,
    model: Option<f64>,
) -> Quantity {
    let meaning = "notch sensitivity (Neuber for steel, 1 for other metals)";
    let q = Quantity::given("q", meaning, sensitivity, "");
    sheet.add(
        Step::new(
            "fatigue notch factor",
            "K_f",
            "",
            1.0 + &q * (kt - 1.0),
            "Shigley, Mechanical Engineering Design, eq. 6-35a for q (from memory)",
        )
        .beside(model, "the same formula; only rounding differs"),
    )
}
