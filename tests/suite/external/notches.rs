//! Holes and threads against handbook tables and worked examples.

use approx::assert_relative_eq;
use clavibeam::device::{EdgeNotches, Hole, notch_sensitivity};
use clavibeam::material::{Family, Strength};

fn hole(width: f64, thickness: f64, diameter: f64) -> Hole {
    Hole {
        width,
        thickness,
        diameter,
    }
}

fn steel(ultimate: f64, fatigue_amplitude_1e7: f64) -> Strength {
    Strength {
        family: Family::Steel,
        proof_tension: 0.8 * ultimate,
        proof_compression: 0.8 * ultimate,
        ultimate_tension: ultimate,
        ultimate_compression: ultimate,
        fatigue_amplitude_1e7,
        source: "made up for a check",
    }
}

/// Plate 10 × 3 mm with a 4 mm hole: what strips across the hole leave of the stiffness.
///
/// Source: the strip integrals, evaluated independently with a general-purpose numeric
/// library. Tolerance 1e-9: both are quadratures of smooth functions.
#[test]
fn strips_across_a_hole() {
    let [flat, edge] = hole(10.0, 3.0, 4.0).stiffness_factors();
    assert_relative_eq!(flat, 0.675_579_057_54, max_relative = 1e-9);
    assert_relative_eq!(edge, 0.961_835_356_94, max_relative = 1e-9);
}

/// Hole in a tension strip, on the net section.
///
/// Source: Young & Budynas, *Roark's Formulas for Stress and Strain*, table 17.1 (polynomial
/// with coefficients 3, 3.13, 3.66, 1.53); cross-check Heywood's `2 + (1 − x)³`, which agrees
/// within 2 % up to `x = 0.5`. Tolerance: the digits tabulated.
#[test]
fn roark_17_1_hole_in_tension() {
    let table = [
        (0.1, 2.722),
        (0.2, 2.508),
        (0.3, 2.349),
        (0.4, 2.236),
        (0.5, 2.159),
    ];
    assert_relative_eq!(hole(10.0, 3.0, 1e-9).tension_kt(), 3.0, epsilon = 6e-4);
    for (x, expected) in table {
        let kt = hole(10.0, 3.0, 10.0 * x).tension_kt();
        assert_relative_eq!(kt, expected, epsilon = 6e-4);
        let heywood = 2.0 + (1.0 - x).powi(3);
        assert_relative_eq!(kt, heywood, max_relative = 0.02);
    }
}

/// The same on the gross section, `Kt / (1 − x)`, against read-off chart values.
///
/// Source: as above, tabulated to two digits after the point; charts 3.03, 3.14, 3.34, 3.69, 4.25,
/// which stand up to 2 % below the polynomial. Tolerance: the digits, and those 2 %.
#[test]
fn roark_17_1_hole_in_tension_gross() {
    let table = [
        (0.1, 303.0, 303.0),
        (0.2, 314.0, 314.0),
        (0.3, 336.0, 334.0),
        (0.4, 373.0, 369.0),
        (0.5, 432.0, 425.0),
    ];
    // In hundredths.
    for (x, expected, chart) in table {
        let gross = 100.0 * hole(10.0, 3.0, 10.0 * x).tension_kt() / (1.0 - x);
        assert_relative_eq!(gross, expected, epsilon = 0.6);
        assert_relative_eq!(gross, chart, max_relative = 0.02);
    }
    // A hole as wide as the strip: 2, the two ligaments being bars pulled straight.
    assert_relative_eq!(hole(10.0, 3.0, 10.0).tension_kt(), 2.0, epsilon = 1e-12);
}

fn edge_notches(x: f64) -> EdgeNotches {
    EdgeNotches {
        width: 10.0,
        thickness: 3.0,
        net_width: 10.0 * (1.0 - x),
    }
}

/// Two semicircular edge notches, on the net section: tension and bending on edge.
///
/// Source: the polynomials of Roark's table 17.1 (from memory) in `x = 2h/W`, evaluated
/// independently; notches that meet are no notches, so that both tend to 1 (1.00 and 1.02).
/// Tolerance: the digits tabulated.
#[test]
fn roark_17_1_semicircular_edge_notches() {
    let table = [
        (0.0, 3.065, 3.065),
        (0.1, 2.735, 2.480),
        (0.2, 2.422, 2.038),
        (0.3, 2.130, 1.716),
        (0.4, 1.863, 1.494),
        (0.5, 1.624, 1.349),
        (1.0, 1.000, 1.021),
    ];
    for (x, tension, edge) in table {
        let notches = edge_notches(x);
        assert_relative_eq!(notches.tension_kt(), tension, epsilon = 6e-4);
        assert_relative_eq!(notches.edge_bending_kt(), edge, epsilon = 6e-4);
    }
}

/// Plate 10 mm wide, notched to 7.5 mm over 7 mm: what strips across it leave of the stiffness.
///
/// Source: the strip integrals by two million midpoints. Tolerance 1e-7: the error of that rule at
/// the ends, where the chord is a root.
#[test]
fn strips_across_edge_notches() {
    let [flat, edge] = edge_notches(0.25).stiffness_factors(7.0);
    assert_relative_eq!(flat, 0.918_054_231, max_relative = 1e-7);
    assert_relative_eq!(edge, 0.741_355_497, max_relative = 1e-7);
}

/// Hole in a plate bent out of its plane: infinite width, and with the width factor at 0.2 and 0.4.
///
/// Source: Young & Budynas, *Roark's Formulas*, table 17.1; width factor from memory, values
/// evaluated independently. Tolerance: the digits tabulated.
#[test]
fn roark_17_1_hole_in_flat_bending() {
    let table = [
        (0.5, 2.488, 2.092, 1.938),
        (1.0, 2.245, 1.887, 1.749),
        (1.25, 2.170, 1.825, 1.691),
        (1.5, 2.112, 1.776, 1.646),
        (2.0, 2.028, 1.705, 1.580),
        (3.0, 1.935, 1.627, 1.508),
    ];
    for (slenderness, wide, at_fifth, at_two_fifths) in table {
        let kt = |x: f64| hole(1.0 / x, 1.0 / slenderness, 1.0).flat_bending_kt();
        assert_relative_eq!(kt(1e-9), wide, epsilon = 6e-4);
        assert_relative_eq!(kt(0.2), at_fifth, epsilon = 6e-4);
        assert_relative_eq!(kt(0.4), at_two_fifths, epsilon = 6e-4);
    }
}

/// Notch sensitivity of steel: Sut = 690 MPa, r = 3 mm, Kt = 1.65.
///
/// Source: Shigley, *Mechanical Engineering Design*, 9th ed., Ex. 6-6 (Kf = 1.55, from memory);
/// q = 0.846677 and Kf = 1.550340 evaluated independently. Tolerance 1e-5: the factor from
/// MPa to kpsi is known to seven digits only.
#[test]
fn shigley_6_6_notch_sensitivity() {
    let strength = steel(690.0, 300.0);
    assert_relative_eq!(notch_sensitivity(&strength, 3.0), 0.846_677, epsilon = 1e-5);
    let kf = hole(20.0, 3.0, 6.0).kf(1.65, &strength);
    assert_relative_eq!(kf, 1.550_340, epsilon = 1e-5);
}

/// Titanium takes the whole of Kt, for want of a published fit.
#[test]
fn titanium_is_fully_notch_sensitive() {
    let strength = Strength {
        family: Family::Titanium,
        ..steel(900.0, 500.0)
    };
    assert_relative_eq!(hole(10.0, 3.0, 4.0).kf(2.0, &strength), 2.0);
}
