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

/// Cantilever, beam on two supports, four-point bending, torsion, column: the result with a letter
/// in the first sheet that has it, against the reference value of the frame file.
#[test]
fn beams_of_the_textbook() {
    for (name, symbol, quantity) in [
        ("cantilever", "w", "uz_mm"),
        ("cantilever", "σ", "peak_stress_mpa"),
        ("simple_beam_centre_force", "w", "uz_mm"),
        ("simple_beam_centre_force", "M", "moment_y_nmm"),
        ("simple_beam_line_load", "w", "uz_mm"),
        ("simple_beam_line_load", "M", "moment_y_nmm"),
        ("four_point_bending", "M", "moment_y_nmm"),
        ("torque", "θ", "rx_rad"),
        ("euler_column", "P_E", "buckling_load_factor"),
    ] {
        let path = format!("models/frames/{name}.toml");
        let file = frame_file::read(Path::new(&path)).unwrap();
        let calculation = of_frame(&file).unwrap();
        let mut steps = calculation.sheets.iter().flat_map(|sheet| &sheet.steps);
        let found = steps.find(|step| step.result.symbol == symbol);
        let found = found
            .unwrap_or_else(|| panic!("{path}: no {symbol}"))
            .result
            .value;
        let mut expected = file
            .expectations
            .iter()
            .map(|expected| expected.unsolved(&file));
        let expected = expected
            .find(|expected| expected.quantity == quantity)
            .unwrap();
        assert_relative_eq!(found, expected.reference, max_relative = FOUR_FIGURES);
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
