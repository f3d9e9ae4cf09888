//! Chances over virtual patients against closed forms of the interference of stress and strength.

use approx::assert_relative_eq;
use clavibeam::assess::{Assessment, Chances, Part, add_scatter, assess};
use clavibeam::case;
use clavibeam::construct::Mechanics;
use clavibeam::sampling::Share;
use statrs::distribution::{ContinuousCDF, Normal};

use crate::common::{NAIL_UNDER_STILL_CALLUS, scattered};

/// After 24 weeks of this one activity a nail has borne 16 800 equal cycles. Everything else is
/// fixed unless the test adds its own.
const ONE_ACTIVITY: &str = r#"
[[activity]]
name = "arm level"
arm_elevation_deg = 90
hand_mass_kg = 0.1
cycles_per_day = 100
weeks = [0, 52]
"#;

const CYCLES: f64 = 24.0 * 700.0;

/// A `[scatter]` in which nothing scatters but what is said.
fn only(what: &str) -> String {
    let quantities = [
        ("length_mm", 155.0),
        ("medial_curve_depth_mm", 10.8),
        ("lateral_curve_depth_mm", 10.5),
        ("superior_bow_mm", 5.0),
        ("outer_scale", 1.0),
        ("wall_scale", 1.0),
        ("youngs_modulus_gpa", 17.5),
        ("load_factor", 1.0),
        ("callus_modulus_factor", 1.0),
        ("healing_time_factor", 1.0),
        ("cycles_factor", 1.0),
        ("notch_factor", 1.0),
        ("thread_kf", 3.0),
        ("fatigue_strength_factor", 1.0),
        ("proof_stress_factor", 1.0),
    ];
    let key = what.split('.').next().unwrap_or_default();
    let fixed = quantities.iter().filter(|(name, _)| *name != key);
    let fixed: String = fixed
        .map(|(name, value)| format!("{name}.fixed.value = {value}\n"))
        .collect();
    format!("{NAIL_UNDER_STILL_CALLUS}{ONE_ACTIVITY}\n[scatter]\n{fixed}{what}\n")
}

fn chances(assessment: &Assessment) -> &Chances {
    let found = assessment.constructs[0].chances.as_ref();
    found.expect("the nail fits")
}

/// Stress of the nail in its one activity, MPa, by the comparison.
fn nail_stress(assessment: &Assessment) -> f64 {
    let sections = &assessment.constructs[0].critical_sections;
    let device = sections.iter().filter(|s| s.part == Part::Device);
    device
        .map(|section| section.activities[0].nominal_stress_mpa)
        .fold(0.0, f64::max)
}

/// Ti-6Al-7Nb: ultimate 900 MPa; 0.9 of it at 10³ and 500 MPa at 10⁷ reversed cycles.
const ULTIMATE: f64 = 900.0;

/// Amplitude that the two-point line bears for the cycles of the test, MPa.
fn borne() -> f64 {
    let exponent = (500.0_f64 / 810.0).ln() / 1e4_f64.ln();
    810.0 * (CYCLES / 1e3).powf(exponent)
}

/// Deviation of the logarithm for a coefficient of variation.
fn deviation(variation: f64) -> f64 {
    (variation * variation).ln_1p().sqrt()
}

/// Log-normal strength against a fixed stress: the chance to break is a normal quantile.
///
/// ```text
/// P = Φ(ln(σ / S) / s)    σ = σa / (1 − σa/Sut), S at the cycles done
/// ```
///
/// Source: interference of stress and strength (Shigley, *Mechanical Engineering Design*);
/// two-point line and Goodman by hand on the stress of the comparison. Tolerance 2e-4: the two
/// stresses differ by up to 1e-5, which the quantile raises about tenfold.
#[test]
fn log_normal_strength_against_a_fixed_stress() {
    for variation in [0.08, 0.3] {
        let strength = format!(
            "fatigue_strength_factor.lognormal.median = 1\n\
             fatigue_strength_factor.lognormal.coefficient_of_variation = {variation}"
        );
        let (_, assessment) = scattered(&only(&strength), (3, 1), 1);
        let amplitude = nail_stress(&assessment) / 2.0;
        let reversed = amplitude / (1.0 - amplitude / ULTIMATE);
        let score = (reversed / borne()).ln() / deviation(variation);
        let expected = Normal::standard().cdf(score);
        assert!(
            (0.001..0.999).contains(&expected),
            "tells nothing: {expected}"
        );
        let found = chances(&assessment).breaks.probability;
        assert_relative_eq!(found, expected, max_relative = 2e-4);
    }
}

/// Log-normal cycles against a fixed strength, and log-normal loads: the chance is again a normal
/// quantile, and of twenty intervals at 95 % all but a few hold it.
///
/// ```text
/// cycles: P = 1 − Φ(ln(N / n) / s)    loads: P = 1 − Φ(ln λ / s), λ σa = S / (1 + S/Sut)
/// ```
///
/// Source: as above. Tolerance: at least 17 of 20 intervals; fewer come by chance once in sixty.
#[test]
fn intervals_hold_the_truth() {
    let (_, fixed) = scattered(&only("load_factor.fixed.value = 1"), (1, 1), 1);
    let amplitude = nail_stress(&fixed) / 2.0;
    let reversed = amplitude / (1.0 - amplitude / ULTIMATE);
    let life = CYCLES * (borne() / reversed).powf(1e4_f64.ln() / (810.0_f64 / 500.0).ln());
    let factor = borne() / (1.0 + borne() / ULTIMATE) / amplitude;
    for (key, variation, score) in [
        ("cycles_factor", 2.5, (life / CYCLES).ln() / deviation(2.5)),
        ("load_factor", 0.3, factor.ln() / deviation(0.3)),
    ] {
        let expected = 1.0 - Normal::standard().cdf(score);
        assert!(
            (0.05..0.95).contains(&expected),
            "{key} tells nothing: {expected}"
        );
        let scatter = only(&format!(
            "{key}.lognormal.median = 1\n{key}.lognormal.coefficient_of_variation = {variation}"
        ));
        let held = (0..20).filter(|seed| {
            let (_, assessment) = scattered(&scatter, (30, *seed), 1);
            let share = chances(&assessment).breaks;
            (share.from..=share.to).contains(&expected)
        });
        let held = held.count();
        assert!(held >= 17, "{key}: only {held} of 20 hold {expected}");
    }
}

/// Twice the patients narrow the interval to about 1/√2.
///
/// Source: the standard error of a mean. Tolerance: 0.6 to 0.85, the two samples being others.
#[test]
fn more_patients_narrow_the_interval() {
    let scatter = only(
        "load_factor.lognormal.median = 1\nload_factor.lognormal.coefficient_of_variation = 0.3",
    );
    let width = |patients| {
        let (_, assessment) = scattered(&scatter, (patients, 3), 2);
        let share = chances(&assessment).breaks;
        // The strength is fixed, so that each patient's device breaks or does not.
        let wilson = Share::wilson(share.probability, patients as f64);
        assert_relative_eq!(share.from, wilson.from, epsilon = 1e-9);
        assert_relative_eq!(share.to, wilson.to, epsilon = 1e-9);
        share.to - share.from
    };
    let ratio = width(160) / width(80);
    assert!((0.6..0.85).contains(&ratio), "{ratio}");
}

/// The shipped cohort breaks in the published order: reconstruction plates in many comminuted
/// fractures, other plates in hardly any, neither in simple ones.
///
/// Source: Chiu et al., *J. Orthop. Surg. Res.* (2019): 53 % of reconstruction plates and 3 % of
/// other plates failed in comminuted fractures (15-2C), without a difference in simple ones.
/// Tolerance: the order, and tens of per cent against per cent; twelve patients tell no more.
#[test]
fn the_cohort_breaks_in_the_published_order() {
    let failing = |kind: &str| {
        let path = format!("models/cohort-{kind}.toml");
        let mut case = case::read(std::path::Path::new(&path)).unwrap_or_else(|e| panic!("{e}"));
        // The two superior plates.
        case.constructs.truncate(2);
        case.sizes.truncate(2);
        let mut assessment = assess(&case, Mechanics::Contact).expect("it holds");
        add_scatter(
            &mut assessment,
            &case,
            Mechanics::Contact,
            (12, 1),
            2,
            || (),
        );
        let found = assessment.constructs.iter();
        found
            .map(|c| c.chances.as_ref().expect("plates fit").fails.probability)
            .collect::<Vec<f64>>()
    };
    let (simple, comminuted) = (failing("simple"), failing("comminuted"));
    assert!(simple.iter().all(|share| *share < 0.1), "{simple:?}");
    assert!(comminuted[1] < 0.1, "{comminuted:?}");
    assert!((0.15..0.9).contains(&comminuted[0]), "{comminuted:?}");
}
