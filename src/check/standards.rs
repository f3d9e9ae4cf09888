//! Formulas of the hand calculation.

use serde::Deserialize;

use crate::handcalc::{Quantity, formula};

fn given(symbol: &'static str, value: f64) -> Quantity {
    Quantity::given(symbol, "", value, "")
}

/// Four-point bending of a plate or nail: its structural stiffness from force and movement.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FourPointBending {
    /// From a support to the next load roller.
    lever_mm: f64,
    /// Between the load rollers.
    inner_span_mm: f64,
    force_n: f64,
    roller_movement_mm: f64,
}

impl FourPointBending {
    pub(super) fn results(&self) -> [(&'static str, f64); 2] {
        let h = given("h", self.lever_mm);
        let a = given("a", self.inner_span_mm);
        let l = given("l", 2.0 * self.lever_mm + self.inner_span_mm);
        let slope = given("K", self.force_n / self.roller_movement_mm);
        [
            (
                "plate_nmm2",
                formula::plate_stiffness(&h, &a, &slope).value(),
            ),
            (
                "nail_nmm2",
                formula::nail_stiffness(&h, &l, &a, &slope).value(),
            ),
        ]
    }
}

/// Two layers that slip on each other, simply supported, under a force in the middle.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TwoLayers {
    youngs_moduli_mpa: [f64; 2],
    areas_mm2: [f64; 2],
    distance_mm: f64,
    loose_nmm2: f64,
    bonded_nmm2: f64,
    slip_modulus_n_per_mm2: f64,
    length_mm: f64,
    force_n: f64,
}

impl TwoLayers {
    pub(super) fn results(&self) -> [(&'static str, f64); 2] {
        let [e1, e2] = self.youngs_moduli_mpa.map(|e| given("E", e));
        let [a1, a2] = self.areas_mm2.map(|a| given("A", a));
        let modulus = given("K", self.slip_modulus_n_per_mm2);
        let distance = given("r", self.distance_mm);
        let loose = given("EI₀", self.loose_nmm2);
        let layers = [(&e1, &a1), (&e2, &a2)];
        let alpha = formula::slip_decay(&modulus, layers, &distance, &loose).value();
        let deflection = formula::partial_interaction(
            &given("F", self.force_n),
            &given("l", self.length_mm),
            &given("EI∞", self.bonded_nmm2),
            &loose,
            &given("α", alpha),
        );
        [
            ("alpha_times_length", alpha * self.length_mm),
            ("deflection_mm", deflection.value()),
        ]
    }
}

/// A hinged column.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EulerColumn {
    youngs_modulus_mpa: f64,
    second_moment_mm4: f64,
    length_mm: f64,
}

impl EulerColumn {
    pub(super) fn results(&self) -> [(&'static str, f64); 1] {
        let (e, i) = (self.youngs_modulus_mpa, self.second_moment_mm4);
        let load = formula::euler(&given("E", e), &given("I", i), &given("l", self.length_mm));
        [("buckling_force_n", load.value())]
    }
}
