//! Fatigue against worked examples: S-N lines, factors, mean stress, damage, staircase.
//!
//! Units cancel in all of them, so stresses stand as printed, kpsi or MPa.

use approx::assert_relative_eq;
use clavibeam::fatigue::{
    Cycle, LessFrequent, Limits, MeanStress, Method, SnLine, Surface, miner_damage,
    reliability_factor, size_factor, staircase,
};
use clavibeam::material::{Family, Material, Strength};

/// Sut = 900, Se = 400 at 10⁶ cycles, f = 0.9.
fn own_line() -> SnLine {
    SnLine::two_point(900.0, 0.9, (1e6, 400.0))
}

fn cycle(amplitude: f64, mean: f64) -> Cycle {
    Cycle {
        amplitude,
        mean,
        standing: 0.0,
    }
}

/// Sut = 90 kpsi, Se = 45 kpsi, f = 0.86: a = 133.1, b = −0.0785, S(10⁴) = 64.6 kpsi,
/// N(55 kpsi) = 77 500.
///
/// Source: Shigley, *Mechanical Engineering Design*, 9th ed., Ex. 6-2. Tolerance: the digits
/// of the same formula evaluated independently; the book rounded b before it went on, 0.3 % on N.
#[test]
fn shigley_6_2_two_point_line() {
    let line = SnLine::two_point(90.0, 0.86, (1e6, 45.0));
    assert_relative_eq!(line.coefficient, 133.128, max_relative = 1e-9);
    assert_relative_eq!(line.exponent, -0.078_509_482_3, max_relative = 1e-9);
    assert_relative_eq!(line.strength(1e4), 64.599_845_360_6, max_relative = 1e-11);
    assert_relative_eq!(line.life(55.0), 77_614.125_2, max_relative = 1e-9);
    assert_relative_eq!(line.life(55.0), 77_500.0, max_relative = 3e-3);
}

/// Sut = 551 MPa, Se = 276 MPa, f = 0.9: a = 891.0, b = −0.084828, N(358.5 MPa) = 45 800.
///
/// Source: Shigley, solutions, problem 6-15. Tolerance: the digits printed; N, which takes
/// them to the twelfth power, 0.3 %.
#[test]
fn shigley_problem_6_15() {
    let line = SnLine::two_point(551.0, 0.9, (1e6, 276.0));
    assert_relative_eq!(line.coefficient, 891.0, max_relative = 1e-4);
    assert_relative_eq!(line.exponent, -0.084_828, max_relative = 1e-4);
    assert_relative_eq!(line.life(358.5), 45_800.0, max_relative = 3e-3);
}

/// Sut = 900, Se = 400 MPa, f = 0.9.
///
/// Source: closed form of the two-point construction, evaluated independently. Rounding of
/// the ten digits printed.
#[test]
fn two_point_line_to_ten_digits() {
    let line = own_line();
    assert_relative_eq!(line.coefficient, 1640.25, max_relative = 1e-12);
    assert_relative_eq!(line.exponent, -0.102_141_675_85, max_relative = 1e-10);
    for (cycles, strength) in [
        (1e3, 810.0),
        (1e4, 640.240_794_8),
        (1e5, 506.059_599_2),
        (1e6, 400.0),
    ] {
        assert_relative_eq!(line.strength(cycles), strength, max_relative = 1e-9);
    }
    assert_relative_eq!(line.life(500.0), 112_517.395_075, max_relative = 1e-10);
    assert_relative_eq!(line.life(600.0), 18_880.334_730_3, max_relative = 1e-7);
}

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

/// Surface (machined, 690 MPa), size (32 mm), reliability.
///
/// Source: Shigley, 9th ed., tables 6-2 and 6-5, values evaluated independently; ground and
/// machined at 860 and 490 MPa to three digits. Tolerance: the digits printed.
#[test]
fn marin_factors() {
    let machined = Surface::Machined.factor(690.0);
    assert_relative_eq!(machined, 0.797_777, max_relative = 1e-6);
    for (surface, ultimate, factor) in [
        (Surface::Ground, 860.0, 0.890),
        (Surface::Machined, 860.0, 0.753),
        (Surface::Ground, 490.0, 0.933),
        (Surface::Machined, 490.0, 0.874),
    ] {
        assert_relative_eq!(surface.factor(ultimate), factor, epsilon = 6e-4);
    }
    assert_eq!(Surface::Machined.factor(200.0), 1.0, "never more than 1");
    let size = size_factor(32.0).expect("within the fit");
    assert_relative_eq!(size, 0.855_797, max_relative = 1e-6);
    assert_eq!(size_factor(2.5), None, "thinner than the fit");
    for (percent, factor) in [(50.0, 1.0), (90.0, 0.897), (95.0, 0.868), (99.0, 0.814)] {
        assert_eq!(reliability_factor(percent), Some(factor));
    }
    assert_eq!(reliability_factor(99.9), Some(0.753));
    assert_eq!(reliability_factor(101.0), None);
}

/// A cold-drawn bar: ka = 0.963, ke = 0.814, Se = 16.3 kpsi, Sut = 49 kpsi, f = 0.9: a = 119.3.
///
/// Source: Shigley, 9th ed., Ex. 6-8. Tolerance: the digits printed.
#[test]
fn shigley_6_8_modified_line() {
    let line = SnLine::two_point(49.0, 0.9, (1e6, 16.3));
    assert_relative_eq!(line.coefficient, 119.3, epsilon = 0.05);
    // The book's 2.70 for kpsi is our 4.51 for MPa.
    let ka = Surface::Machined.factor(49.0 * 6.894_757);
    assert_relative_eq!(ka, 0.963, epsilon = 1e-3);
}

/// A 1.5 in bar: Sut = 100, Sy = 84, Se = 33.9 kpsi, σa = σm = 8.375 kpsi (Kf included).
///
/// Source: Shigley, 9th ed., Ex. 6-10 (Gerber 3.66, from memory); closed forms evaluated
/// independently. Tolerance: the digits printed.
#[test]
fn shigley_6_10_mean_stress() {
    let limits = Limits {
        ultimate: 100.0,
        proof: 84.0,
    };
    let cycle = cycle(8.375_086_783, 8.375_086_783);
    for (rule, factor) in [
        (MeanStress::Goodman, 3.022_941_935),
        (MeanStress::Gerber, 3.666_123_743),
        (MeanStress::Soderberg, 2.883_871_221),
    ] {
        let found = cycle.factor(33.9, rule, &limits).expect("it cycles");
        assert_relative_eq!(found, factor, max_relative = 1e-9);
    }
}

/// Sut = 900, Se = 400 MPa, cycle 50 to 450 MPa, and σa = 450 on σm = 300 MPa.
///
/// Source: closed forms of the criteria in Shigley and of Smith, Watson and Topper, evaluated
/// independently. Tolerance: the digits printed.
#[test]
fn equivalent_fully_reversed_stress() {
    let limits = Limits {
        ultimate: 900.0,
        proof: 720.0,
    };
    for (rule, reversed) in [
        (MeanStress::Goodman, 276.923_076_9),
        (MeanStress::Gerber, 216.722_408_0),
        (MeanStress::SmithWatsonTopper, 300.0),
    ] {
        let found = rule.reversed(200.0, 250.0, &limits);
        assert_relative_eq!(found, reversed, max_relative = 1e-9);
    }
    let factor = cycle(200.0, 250.0).factor(400.0, MeanStress::Goodman, &limits);
    assert_relative_eq!(factor.unwrap(), 1.285_714_286, max_relative = 1e-9);

    let reversed = cycle(450.0, 300.0).reversed(1.0, MeanStress::Goodman, &limits);
    assert_relative_eq!(reversed, 675.0, max_relative = 1e-12);
    assert_relative_eq!(
        own_line().life(reversed),
        5_959.502_079,
        max_relative = 1e-8
    );
}

/// 10⁴ cycles at 500, 5×10³ at 600, 10⁵ at 420 MPa: D = 0.514932527, 1.942 times over.
///
/// Source: Miner's rule on the line above, evaluated independently. Tolerance: the digits
/// printed.
#[test]
fn miner_programme() {
    let line = own_line();
    let blocks = [(1e4, 500.0), (5e3, 600.0), (1e5, 420.0)];
    let damage = miner_damage(blocks.map(|(done, at)| (done, line.life(at))));
    assert_relative_eq!(damage, 0.514_932_527, max_relative = 1e-8);
    assert_relative_eq!(1.0 / damage, 1.942_002_003, max_relative = 1e-8);
}

/// A staircase worked by hand: failures are the less frequent event, at levels 0, 1, 2 one,
/// three and two times; S0 = 400, d = 20 MPa. F = 6, A = 7, B = 11: mean 400 + 20 (7/6 − ½) =
/// 413.333; (66 − 49)/36 = 0.47222, s = 1.62 × 20 × (0.47222 + 0.029) = 16.2396. With run-outs
/// in their place the mean lies one step higher; with all at one level s = 0.53 d.
///
/// Source: Dixon and Mood, formulas as printed in Çalışkan et al. 2021. Rounding only.
#[test]
fn dixon_mood_staircase() {
    let failures = staircase(400.0, 20.0, &[1, 3, 2], LessFrequent::Failures).unwrap();
    assert_relative_eq!(failures.mean, 400.0 + 40.0 / 3.0, max_relative = 1e-12);
    let deviation = 1.62 * 20.0 * (17.0 / 36.0 + 0.029);
    assert_relative_eq!(failures.deviation, deviation, max_relative = 1e-12);
    let run_outs = staircase(400.0, 20.0, &[1, 3, 2], LessFrequent::RunOuts).unwrap();
    assert_relative_eq!(run_outs.mean, failures.mean + 20.0, max_relative = 1e-12);
    let together = staircase(400.0, 20.0, &[0, 5], LessFrequent::Failures).unwrap();
    assert_relative_eq!(together.deviation, 0.53 * 20.0, max_relative = 1e-12);
    assert_eq!(staircase(400.0, 20.0, &[], LessFrequent::Failures), None);
}

/// Nothing that cycles has no margin, rather than an infinite one.
#[test]
fn nothing_cycles() {
    let (steel, strength) = made_up(900.0, 400.0);
    let cycle = Cycle::from_zero_to(0.0);
    let margin = Method::default().margin(&cycle, &steel, &strength, 1e5);
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
