//! Models that can be made finer and finer, for the studies of convergence.

use nalgebra::{Vector3, vector};
use serde::Deserialize;

use super::variant::FrameVariant;
use crate::anatomy::{BoneInputs, Clavicle, Preset};
use crate::frame::{
    Follow, Frame, LoadCase, Moduli, PathOptions, PathState, Profile, follow_path, lobatto, solve,
};
use crate::section::Section;

/// The bone of a preset from 10 to 80 % of its length, flat and without shear deformation, as a
/// cantilever of straight tapered members between points of its axis; 1 N across its lateral end,
/// in its plane.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BoneAsChords {
    preset: String,
    elements: usize,
}

impl BoneAsChords {
    pub(super) fn results(&self) -> Vec<(&'static str, f64)> {
        let preset = Preset::named(&self.preset).expect("our own presets exist");
        let bone = Clavicle::new(&BoneInputs {
            superior_bow: 0.0,
            ..preset.bone
        });
        let bone = bone.expect("presets have a canal");
        let youngs = bone.cortex().youngs_modulus;
        let moduli = Moduli {
            youngs,
            shear: youngs / 2.6,
        };
        let mut frame = Frame::default();
        let fraction = |i: usize, along: f64| 0.1 + 0.7 * (i as f64 + along) / self.elements as f64;
        let mut last = frame.add_node("held", bone.point(0.1));
        frame.fix(last);
        for i in 0..self.elements {
            let node = frame.add_node("bone", bone.point(fraction(i, 1.0)));
            let stations = lobatto(12);
            let sections = stations
                .iter()
                .map(|(along, _)| bone.section(fraction(i, *along)));
            let sections = sections.map(Section::without_shear).collect();
            let profile = Profile::Varying(sections);
            frame.add_member("bone", [last, node], Vector3::z(), moduli, profile);
            last = node;
        }
        deflection(&frame, last, Vector3::y())
    }
}

/// A hollow cantilever whose outer diameter tapers, as equal members of the section at their
/// middles, without shear deformation; a force across its tip.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SteppedTaper {
    length_mm: f64,
    outer_diameters_mm: [f64; 2],
    inner_diameter_mm: f64,
    youngs_modulus_gpa: f64,
    force_n: f64,
    elements: usize,
}

impl SteppedTaper {
    pub(super) fn results(&self) -> Vec<(&'static str, f64)> {
        let youngs = 1000.0 * self.youngs_modulus_gpa;
        let moduli = Moduli {
            youngs,
            shear: youngs / 2.6,
        };
        let [thick, thin] = self.outer_diameters_mm;
        let spacing = self.length_mm / self.elements as f64;
        let mut frame = Frame::default();
        let mut last = frame.add_node("root", Vector3::zeros());
        frame.fix(last);
        for i in 0..self.elements {
            let middle = (i as f64 + 0.5) / self.elements as f64;
            let outer = thick + (thin - thick) * middle;
            let section = match self.inner_diameter_mm {
                0.0 => Section::circle(outer, 0.3),
                inner => Section::tube(outer, inner, 0.3),
            };
            let node = frame.add_node("step", Vector3::x() * (spacing * (i + 1) as f64));
            let profile = Profile::Prismatic(section.without_shear());
            frame.add_member("step", [last, node], Vector3::z(), moduli, profile);
            last = node;
        }
        deflection(&frame, last, Vector3::y() * self.force_n)
    }
}

/// How far a node moves under a force, in its direction.
fn deflection(frame: &Frame, node: usize, force: Vector3<f64>) -> Vec<(&'static str, f64)> {
    let case = LoadCase::named("tip").with_force(node, force);
    let Ok(solution) = solve(frame, &[case]) else {
        return Vec::new();
    };
    let moved = solution.cases[0].displacement(node).dot(&force.normalize());
    vec![("deflection_mm", moved)]
}

/// The work of a dead load along its path, by the trapezoidal rule over the states, over the
/// strain energy at its end; a frame's first load case.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PathWork {
    frame: FrameVariant,
    /// The node that the load moves down, and up to which load factor.
    node: String,
    load_factor: f64,
    steps: usize,
}

impl PathWork {
    pub(super) fn results(&self) -> Vec<(&'static str, f64)> {
        let file = self.frame.frame();
        let nodes = &file.frame.nodes;
        let node = nodes
            .iter()
            .position(|node| node.name.to_string() == self.node);
        let node = node.expect("our own studies name nodes");
        let options = PathOptions {
            follow: Follow::Path,
            steps: self.steps,
            growth: 1.0,
            load_factors: [f64::NEG_INFINITY, self.load_factor],
            ..PathOptions::default()
        };
        let Ok(path) = follow_path(&file.frame, &file.load_cases[0], &options) else {
            return Vec::new();
        };
        let along = |state: &PathState| state.displacement(node).dot(&vector![0.0, -1.0, 0.0]);
        let pairs = path.states.windows(2).map(|pair| {
            let mean = (pair[0].load_factor + pair[1].load_factor) / 2.0;
            mean * (along(&pair[1]) - along(&pair[0]))
        });
        let work: f64 = pairs.sum();
        vec![("work_over_energy", work / path.last().energy)]
    }
}
