//! Fatigue against worked examples: S-N lines, factors, mean stress, damage, staircase.
//!
//! Units cancel in all of them, so stresses stand as printed, kpsi or MPa.

use approx::assert_relative_eq;
use clavibeam::fatigue::{
    Cycle, LessFrequent, Limits, MeanStress, Method, Surface, reliability_factor, size_factor,
    staircase,
};
use clavibeam::material::{Family, Material, Strength};

/// With its limit at 10⁷ the middle of the line is the geometric mean of its ends.
///
/// Source: as above, a straight line on logarithmic axes. Rounding only.
#[test]
fn line_of_implant_metals_ends_at_1e7() {
    let (steel, strength) = made_up(900.0, 400.0);
    let line = Method::default().line(&steel, &strength);
    assert_relative_eq!(line.strength(1e3), 810.0, max_relative = 1e-12);
    assert_relative_eq!(line.strength(1e7), 400.0, max_relative = 1e-12);
    let middle = (810.0_f64 * 400.0).sqrt();
    assert_relative_eq!(line.strength(1e5), middle, max_relative = 1e-12);
}

/// Factors are not given outside of the ranges of their fits, and a surface never strengthens.
#[test]
fn factors_outside_their_ranges() {
    assert_eq!(Surface::Machined.factor(200.0), 1.0, "never more than 1");
    assert_eq!(size_factor(2.5), None, "thinner than the fit");
    assert_eq!(reliability_factor(101.0), None);
    assert_eq!(staircase(400.0, 20.0, &[], LessFrequent::Failures), None);
}

/// Nothing that cycles has no margin, rather than an infinite one.
#[test]
fn nothing_cycles() {
    let (steel, strength) = made_up(900.0, 400.0);
    let cycle = Cycle::from_zero_to(0.0);
    let [margin] = Method::default().margins(&cycle, &steel, &strength, [1e5]);
    assert_eq!(margin, None);
}

/// A stress locked in costs margin, never more than up to proof stress, and under Soderberg's
/// rule in full: at proof stress nothing is left.
#[test]
fn standing_stress_is_relieved_at_proof_stress() {
    let limits = Limits {
        ultimate: 900.0,
        proof: 720.0,
    };
    let factor = |standing: f64, rule| {
        let cycle = Cycle {
            standing,
            ..Cycle::from_zero_to(200.0)
        };
        cycle.factor(400.0, rule, &limits).expect("it cycles")
    };
    // n 100/400 + (n 100 + 300)/900 = 1; then n 100 (1/400 − 1/900) + 720/900 = 1.
    let kept = (1.0 - 300.0 / 900.0) / (100.0 / 400.0 + 100.0 / 900.0);
    assert_relative_eq!(
        factor(300.0, MeanStress::Goodman),
        kept,
        max_relative = 1e-12
    );
    let relieved = 0.2 / (100.0 * (1.0 / 400.0 - 1.0 / 900.0));
    assert_relative_eq!(
        factor(720.0, MeanStress::Goodman),
        relieved,
        max_relative = 1e-12
    );
    assert!(factor(720.0, MeanStress::Soderberg) < 1e-12);
}

fn made_up(ultimate: f64, fatigue_amplitude_1e7: f64) -> (Material, Strength) {
    let strength = Strength {
        family: Family::Steel,
        proof_tension: 0.8 * ultimate,
        proof_compression: 0.8 * ultimate,
        ultimate_tension: ultimate,
        ultimate_compression: ultimate,
        fatigue_amplitude_1e7,
        source: "made up for a check",
    };
    let material = Material {
        strength: Some(strength.clone()),
        ..Material::isotropic("made up", 200_000.0, 0.3)
    };
    (material, strength)
}
