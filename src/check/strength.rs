//! Notches, fatigue and screws.

use serde::Deserialize;

use super::formula::Named;
use crate::construct::held_in_cortex;
use crate::device::{EdgeNotches, Hole, Screw, notch_sensitivity};
use crate::fatigue::{
    Cycle, LessFrequent, Limits, MeanStress, SnLine, Surface, miner_damage, reliability_factor,
    size_factor, staircase,
};
use crate::material::{Family, Strength};
use crate::section::Section;

/// A plate with a hole.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Holed {
    width_mm: f64,
    thickness_mm: f64,
    diameter_mm: f64,
}

impl Holed {
    pub(super) fn results(&self) -> [(&'static str, f64); 5] {
        let hole = Hole {
            width: self.width_mm,
            thickness: self.thickness_mm,
            diameter: self.diameter_mm,
        };
        let [flat, edge] = hole.stiffness_factors();
        let net = 1.0 - self.diameter_mm / self.width_mm;
        [
            ("tension_kt_net", hole.tension_kt()),
            ("tension_kt_gross", hole.tension_kt() / net),
            ("flat_bending_kt_net", hole.flat_bending_kt()),
            ("stiffness_left_flat", flat),
            ("stiffness_left_on_edge", edge),
        ]
    }
}

/// A plate with a pair of edge notches.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EdgeNotched {
    width_mm: f64,
    thickness_mm: f64,
    net_width_mm: f64,
    length_mm: f64,
}

impl EdgeNotched {
    pub(super) fn results(&self) -> [(&'static str, f64); 4] {
        let notches = EdgeNotches {
            width: self.width_mm,
            thickness: self.thickness_mm,
            net_width: self.net_width_mm,
        };
        let [flat, edge] = notches.stiffness_factors(self.length_mm);
        [
            ("tension_kt_net", notches.tension_kt()),
            ("edge_bending_kt_net", notches.edge_bending_kt()),
            ("stiffness_left_flat", flat),
            ("stiffness_left_on_edge", edge),
        ]
    }
}

/// A notch in a metal.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Notched {
    family: Metal,
    ultimate_mpa: f64,
    radius_mm: f64,
    kt: f64,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Metal {
    Steel,
    Titanium,
}

impl Notched {
    pub(super) fn results(&self) -> [(&'static str, f64); 2] {
        let strength = Strength {
            family: match self.family {
                Metal::Steel => Family::Steel,
                Metal::Titanium => Family::Titanium,
            },
            proof_tension: 0.8 * self.ultimate_mpa,
            proof_compression: 0.8 * self.ultimate_mpa,
            ultimate_tension: self.ultimate_mpa,
            ultimate_compression: self.ultimate_mpa,
            fatigue_amplitude_1e7: 0.4 * self.ultimate_mpa,
            source: "of the check alone",
        };
        let hole = Hole {
            width: 10.0 * self.radius_mm,
            thickness: self.radius_mm,
            diameter: 2.0 * self.radius_mm,
        };
        [
            (
                "notch_sensitivity",
                notch_sensitivity(&strength, self.radius_mm),
            ),
            ("kf", hole.kf(self.kt, &strength)),
        ]
    }
}

/// A two-point S-N line; stresses in any one unit.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SnLineOf {
    ultimate: f64,
    share: f64,
    limit_cycles: f64,
    limit: f64,
    /// Cycles at which its strength is asked for.
    #[serde(default)]
    cycles: Vec<f64>,
    /// Amplitudes at which its life is asked for.
    #[serde(default)]
    amplitudes: Vec<f64>,
}

impl SnLineOf {
    fn line(&self) -> SnLine {
        SnLine::two_point(self.ultimate, self.share, (self.limit_cycles, self.limit))
    }

    pub(super) fn results(&self) -> Vec<Named> {
        let line = self.line();
        let mut results = vec![
            ("coefficient".to_owned(), line.coefficient),
            ("exponent".to_owned(), line.exponent),
        ];
        for &cycles in &self.cycles {
            results.push((
                format!("strength_at_{cycles:e}_cycles"),
                line.strength(cycles),
            ));
        }
        for &amplitude in &self.amplitudes {
            results.push((format!("life_at_{amplitude}_cycles"), line.life(amplitude)));
        }
        results
    }
}

/// Factors on the fatigue strength of a steel part.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MarinFactors {
    surface: Finish,
    ultimate_mpa: f64,
    diameter_mm: f64,
    reliability_percent: f64,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Finish {
    Ground,
    Machined,
}

impl MarinFactors {
    pub(super) fn results(&self) -> [(&'static str, f64); 3] {
        let surface = match self.surface {
            Finish::Ground => Surface::Ground,
            Finish::Machined => Surface::Machined,
        };
        let or_nan = |factor: Option<f64>| factor.unwrap_or(f64::NAN);
        [
            ("surface_factor", surface.factor(self.ultimate_mpa)),
            ("size_factor", or_nan(size_factor(self.diameter_mm))),
            (
                "reliability_factor",
                or_nan(reliability_factor(self.reliability_percent)),
            ),
        ]
    }
}

/// A stress cycle and the limits of the metal; stresses in any one unit.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LoadCycle {
    amplitude: f64,
    mean: f64,
    #[serde(default)]
    standing: f64,
    ultimate: f64,
    proof: f64,
    fatigue_strength: f64,
}

impl LoadCycle {
    pub(super) fn results(&self) -> [(&'static str, f64); 8] {
        let limits = Limits {
            ultimate: self.ultimate,
            proof: self.proof,
        };
        let cycle = Cycle {
            amplitude: self.amplitude,
            mean: self.mean,
            standing: self.standing,
        };
        let factor = |rule| {
            let factor = cycle.factor(self.fatigue_strength, rule, &limits);
            factor.unwrap_or(f64::NAN)
        };
        let reversed = |rule| cycle.reversed(1.0, rule, &limits);
        [
            ("goodman_factor", factor(MeanStress::Goodman)),
            ("gerber_factor", factor(MeanStress::Gerber)),
            ("soderberg_factor", factor(MeanStress::Soderberg)),
            (
                "smith_watson_topper_factor",
                factor(MeanStress::SmithWatsonTopper),
            ),
            ("goodman_reversed", reversed(MeanStress::Goodman)),
            ("gerber_reversed", reversed(MeanStress::Gerber)),
            ("soderberg_reversed", reversed(MeanStress::Soderberg)),
            (
                "smith_watson_topper_reversed",
                reversed(MeanStress::SmithWatsonTopper),
            ),
        ]
    }
}

/// A programme of blocks on an S-N line.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Damage {
    line: SnLineOf,
    /// Cycles and amplitude of each block.
    blocks: Vec<[f64; 2]>,
}

impl Damage {
    pub(super) fn results(&self) -> [(&'static str, f64); 1] {
        let line = self.line.line();
        let blocks = self.blocks.iter();
        let lives = blocks.map(|&[cycles, amplitude]| (cycles, line.life(amplitude)));
        [("damage", miner_damage(lives))]
    }
}

/// A staircase test.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Steps {
    lowest_mpa: f64,
    step_mpa: f64,
    counts: Vec<usize>,
    failures_are_fewer: bool,
}

impl Steps {
    pub(super) fn results(&self) -> [(&'static str, f64); 2] {
        let fewer = match self.failures_are_fewer {
            true => LessFrequent::Failures,
            false => LessFrequent::RunOuts,
        };
        let found = staircase(self.lowest_mpa, self.step_mpa, &self.counts, fewer);
        let found = found.expect("our own staircases have specimens");
        [("mean_mpa", found.mean), ("deviation_mpa", found.deviation)]
    }
}

/// A screw pulled out of bone.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ScrewInBone {
    outer_diameter_mm: f64,
    core_diameter_mm: f64,
    pitch_mm: f64,
    shear_strength_mpa: f64,
    engaged_mm: f64,
}

impl ScrewInBone {
    pub(super) fn results(&self) -> [(&'static str, f64); 2] {
        let screw = Screw {
            hole: 1,
            outer_diameter: self.outer_diameter_mm,
            core_diameter: self.core_diameter_mm,
            pitch: self.pitch_mm,
            bicortical: true,
            locking: false,
        };
        [
            ("thread_shape_factor", screw.thread_shape_factor()),
            (
                "pull_out_n",
                screw.pull_out(self.shear_strength_mpa, self.engaged_mm),
            ),
        ]
    }
}

/// A screw pushed across and tilted in one cortex.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ScrewInCortex {
    youngs_modulus_gpa: f64,
    core_diameter_mm: f64,
    foundation_n_per_mm2: f64,
    thickness_mm: f64,
}

impl ScrewInCortex {
    pub(super) fn results(&self) -> [(&'static str, f64); 2] {
        let core = Section::circle(self.core_diameter_mm, 0.3);
        let bending = 1000.0 * self.youngs_modulus_gpa * core.second_moment_y;
        let [across, tilt] = held_in_cortex(bending, self.foundation_n_per_mm2, self.thickness_mm);
        [("across_n_per_mm", across), ("tilt_nmm_per_rad", tilt)]
    }
}
