//! The formulas of the hand calculation against closed forms evaluated elsewhere.
//!
//! Every input is rounded to four figures before it is used, by up to 0.05 % each: results agree
//! to 0.1 %, where several inputs are raised to powers or subtracted to 0.3 %.

use std::path::Path;

use approx::assert_relative_eq;
use clavibeam::frame_file;
use clavibeam::handcalc::{Quantity, formula, of_frame};

const FOUR_FIGURES: f64 = 1e-3;
const SEVERAL: f64 = 3e-3;

fn given(symbol: &'static str, value: f64) -> Quantity {
    Quantity::given(symbol, "", value, "")
}

/// The result with a letter, in the first sheet of a shipped frame file that has it.
fn worked_out(file: &str, symbol: &str) -> f64 {
    let path = format!("models/frames/{file}.toml");
    let file = frame_file::read(Path::new(&path)).unwrap();
    let calculation = of_frame(&file).unwrap();
    let mut steps = calculation.sheets.iter().flat_map(|sheet| &sheet.steps);
    let found = steps.find(|step| step.result.symbol == symbol);
    found
        .unwrap_or_else(|| panic!("{path}: no {symbol}"))
        .result
        .value
}

/// Cantilever, beam on two supports, four-point bending, torsion with shear deformation: d = 10 mm,
/// E = 110 GPa, L = 100 mm.
///
/// Source: textbook formulas, evaluated independently; Cowper's shear coefficient (from memory).
#[test]
fn beams_of_the_textbook() {
    for (file, symbol, expected) in [
        ("cantilever", "w", -0.620_723_569_566_65),
        ("cantilever", "σ", 101.859_163_578_81),
        ("simple_beam_centre_force", "w", -0.039_431_842_870_283),
        ("simple_beam_centre_force", "M", -2500.0),
        ("simple_beam_line_load", "w", -0.024_538_798_498_532),
        ("simple_beam_line_load", "M", -1250.0),
        ("four_point_bending", "w", -0.025_511_090_514_512),
        ("four_point_bending", "M", -1500.0),
        ("torque", "θ", 0.002_407_580_230_044_7),
        ("euler_column", "P_E", 5_921.337_560_474),
    ] {
        assert_relative_eq!(
            worked_out(file, symbol),
            expected,
            max_relative = FOUR_FIGURES
        );
    }
}

/// Ellipse 12 × 9 mm with a similar canal 6 × 4.5 mm.
///
/// Source: textbook formula, evaluated independently.
#[test]
fn hollow_ellipse() {
    let [a, b, c, d] = [("a", 12.0), ("b", 9.0), ("c", 6.0), ("d", 4.5)].map(|(s, v)| given(s, v));
    let flat = formula::hollow_ellipse(&a, &b, &c, &d).value();
    let upright = formula::hollow_ellipse(&b, &a, &d, &c).value();
    assert_relative_eq!(flat, 402.577_917_972_71, max_relative = 1e-10);
    assert_relative_eq!(upright, 715.694_076_395_92, max_relative = 1e-10);
}

/// Both standards' structural stiffness give back `E I` of an even bar: d = 10 mm, E = 110 GPa,
/// rollers 30, 40, 30 mm, 100 N in all, 0.025 001 794 7 mm at the load rollers without shear.
///
/// Source: beam theory by the unit-load method, evaluated independently; ASTM F382 and F1264 from
/// memory.
#[test]
fn structural_stiffness_of_plate_and_nail() {
    let [h, a, l] = [("h", 30.0), ("a", 40.0), ("l", 100.0)].map(|(s, v)| given(s, v));
    let slope = given("K", 100.0 / 0.025_001_794_696_618);
    let expected = 53_996_123.733_575;
    let plate = formula::plate_stiffness(&h, &a, &slope).value();
    let nail = formula::nail_stiffness(&h, &l, &a, &slope).value();
    assert_relative_eq!(plate, expected, max_relative = FOUR_FIGURES);
    assert_relative_eq!(nail, expected, max_relative = FOUR_FIGURES);
    let (youngs, inertia) = (given("E", 110_000.0), given("I", 490.873_852_123_41));
    let back = formula::four_point_slope(&youngs, &inertia, &h, &a).value();
    assert_relative_eq!(back, slope.value, max_relative = FOUR_FIGURES);
}

/// Bone 12/6 mm, E = 17 GPa, plate 10 × 3 mm, E = 110 GPa, axes 8.5 mm apart, L = 100 mm, 100 N in
/// the middle, slip moduli from loose to firm.
///
/// Source: Newmark, Siess & Viest (1951), in the form of Girhammar & Gopu (1993) (theory from
/// memory), closed form checked against a Fourier series.
#[test]
fn bone_and_plate_that_slip() {
    let of_bone = (given("E_b", 17_000.0), given("A_b", 84.823_001_646_924));
    let of_plate = (given("E_p", 110_000.0), given("A_p", 30.0));
    let (distance, force) = (given("r", 8.5), given("F", 100.0));
    let (loose, bonded) = (
        given("EI_0", 18_697_399.064_974),
        given("EI_∞", 91_200_005.843_53),
    );
    let length = given("l", 100.0);
    for (modulus, decay, deflection) in [
        (10.0, 0.697_186_468_278_35, 0.107_319_926_760_8),
        (100.0, 2.204_697_193_608_3, 0.082_557_830_611_498),
        (1000.0, 6.971_864_682_783_5, 0.038_450_488_986_379),
        (10_000.0, 22.046_971_936_083, 0.024_832_037_885_202),
    ] {
        let modulus = given("K", modulus);
        let layers = [(&of_bone.0, &of_bone.1), (&of_plate.0, &of_plate.1)];
        let alpha = formula::slip_decay(&modulus, layers, &distance, &loose).value();
        assert_relative_eq!(alpha * 100.0, decay, max_relative = FOUR_FIGURES);
        let alpha = given("α", alpha);
        let found = formula::partial_interaction(&force, &length, &bonded, &loose, &alpha).value();
        assert_relative_eq!(found, deflection, max_relative = SEVERAL);
    }
}

/// 3.5 mm cortical screw, core 2.4 mm, pitch 1.25 mm: TSF 0.754; 2.7 mm, core 1.9, pitch 1.0: 0.731;
/// 3.5 mm locking, core 2.9, pitch 0.8: 0.717. The printed digits are the tolerance.
///
/// Source: Chapman et al., *J. Biomech. Eng.* 118 (1996) 391–398 (formula from memory), evaluated
/// independently.
#[test]
fn thread_shape_factors() {
    for ([outer, core, pitch], expected) in [
        ([3.5, 2.4, 1.25], 0.754),
        ([2.7, 1.9, 1.0], 0.731),
        ([3.5, 2.9, 0.8], 0.717),
    ] {
        let (outer, core, pitch) = (given("D", outer), given("D_c", core), given("p", pitch));
        let found = formula::thread_shape_factor(&outer, &core, &pitch).value();
        assert_relative_eq!(found, expected, epsilon = 5.1e-4);
    }
}

/// Hole in flat bending, d/t of 0.5 to 3 with the width factor of d/w = 0.2 and 0.4. The printed
/// digits are the tolerance.
///
/// Source: Young & Budynas, *Roark's Formulas for Stress and Strain*, table 17.1 (as transcribed),
/// width factor from memory, evaluated independently.
#[test]
fn holes_bent_flat() {
    for (slenderness, narrow, expected) in [
        (0.5, 0.2, 2.092),
        (1.0, 0.2, 1.887),
        (2.0, 0.2, 1.705),
        (3.0, 0.2, 1.627),
        (1.25, 0.4, 1.691),
        (2.0, 0.4, 1.580),
    ] {
        let (d, t, w) = (
            given("d", 1.0),
            given("t", 1.0 / slenderness),
            given("w", 1.0 / narrow),
        );
        let found = formula::hole_in_flat_bending(&d, &t, &w).value();
        assert_relative_eq!(found, expected, epsilon = 6e-4);
    }
}

/// Cycle 50 to 450 MPa, Sut = 900, Se = 400 MPa: Goodman 1.2857; the line through 810 MPa at 10³
/// and 400 MPa at 10⁶ bears 500 MPa for 112 517 and 600 MPa for 18 880 cycles.
///
/// Source: Shigley, *Mechanical Engineering Design*, modified Goodman and two-point construction,
/// evaluated independently. The exponent's fourth figure moves a life by up to 0.3 %.
#[test]
fn goodman_and_life() {
    let (strength, ultimate) = (given("S", 400.0), given("R_m", 900.0));
    let margin = formula::goodman(
        &given("σ_a", 200.0),
        &given("σ_m", 250.0),
        &strength,
        &ultimate,
    );
    assert_relative_eq!(margin.value(), 1.285_714_286, max_relative = 1e-9);
    let slope = given("b", -0.102_141_675_85);
    for (reversed, cycles) in [(500.0, 112_517.395_075), (600.0, 18_880.334_897_3)] {
        let found = formula::life(&given("σ_r", reversed), &ultimate, &slope).value();
        assert_relative_eq!(found, cycles, max_relative = SEVERAL);
    }
}

/// Hinged column, d = 10 mm, L = 60 mm.
///
/// Source: Euler's load, evaluated independently.
#[test]
fn euler() {
    let (youngs, inertia) = (given("E", 110_000.0), given("I", 490.873_852_123_41));
    let found = formula::euler(&youngs, &inertia, &given("l", 60.0)).value();
    assert_relative_eq!(found, 148_033.439_011_8, max_relative = FOUR_FIGURES);
}

/// A quarter of a wave into the foundation `e^(−π/2)` of the moment is left, half a wave in
/// `−e^(−π)`.
///
/// Source: Hetényi, *Beams on Elastic Foundation* (1946), semi-infinite beam (from memory).
#[test]
fn moment_of_a_bedded_beam() {
    let pi = std::f64::consts::PI;
    let left = |angle: f64| formula::moment_left(&given("λ", 1.0), &given("x", angle)).value();
    assert_relative_eq!(left(pi / 2.0), (-pi / 2.0).exp(), max_relative = SEVERAL);
    assert_relative_eq!(left(pi), -(-pi).exp(), max_relative = SEVERAL);
}
