//! Holes and notches: limits. Handbook tables and worked examples stand among the checks.

use approx::assert_relative_eq;
use clavibeam::device::Hole;
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

/// Titanium takes the whole of Kt, for want of a published fit.
#[test]
fn titanium_is_fully_notch_sensitive() {
    let strength = Strength {
        family: Family::Titanium,
        ..steel(900.0, 500.0)
    };
    assert_relative_eq!(hole(10.0, 3.0, 4.0).kf(2.0, &strength), 2.0);
}

/// A small hole trebles the stress in tension; one as wide as the strip leaves two bars pulled
/// straight, 2.
///
/// Source: Kirsch's solution; statics of the two ligaments. The fit meets them to 6e-4 and exactly.
#[test]
fn limits_of_a_hole_in_tension() {
    assert_relative_eq!(hole(10.0, 3.0, 1e-9).tension_kt(), 3.0, epsilon = 6e-4);
    assert_relative_eq!(hole(10.0, 3.0, 10.0).tension_kt(), 2.0, epsilon = 1e-12);
}
