//! Straight rods in curved canals, in one plane.

use nalgebra::{Vector3, vector};
use serde::Deserialize;

use super::formula::{Named, named};
use crate::anatomy::{Clavicle, Preset};
use crate::frame::{Frame, Law, LoadCase, Moduli, Profile, Shape, Stage, Touch, settle};
use crate::section::{GivenProperties, Section};

/// Stiffness of a wall meant to be rigid, N/mm.
const RIGID: f64 = 1e9;

/// Springs that keep a loose rod in place, N/mm: they leave less than 0.01 N.
const WEAK: f64 = 1e-3;

/// A straight rod, frictionless, that is put into a canal.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RodInCanal {
    diameter_mm: f64,
    youngs_modulus_gpa: f64,
    elements: usize,
    canal: Canal,
    /// Bending stiffness of the tube that holds the canal; rigid without.
    tube_nmm2: Option<f64>,
    /// Stretch along x over which forces are summed.
    #[serde(default)]
    summed_mm: [f64; 2],
    /// Whether it lies so loose that it must be kept in place.
    #[serde(default)]
    loose: bool,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "snake_case")]
enum Canal {
    /// `y = x²/2R` over a length about its middle.
    Arc {
        radius_mm: f64,
        length_mm: f64,
        clearance_mm: f64,
    },
    /// `y = A sin(2πx/L)`.
    Sine {
        amplitude_mm: f64,
        length_mm: f64,
        clearance_mm: f64,
    },
    /// The canal of a preset, seen from above, between two fractions of its length.
    Preset { name: String, from: f64, to: f64 },
}

/// Where the canal's axis runs, and how far the rod may stand off it, at a place.
type Course = Box<dyn Fn(f64) -> [f64; 2]>;

impl Canal {
    /// Both ends along x, and the course between them.
    fn course(&self, diameter: f64) -> ([f64; 2], Course) {
        match self {
            &Canal::Arc {
                radius_mm,
                length_mm,
                clearance_mm,
            } => (
                [-length_mm / 2.0, length_mm / 2.0],
                Box::new(move |x| [x * x / (2.0 * radius_mm), clearance_mm]),
            ),
            &Canal::Sine {
                amplitude_mm,
                length_mm,
                clearance_mm,
            } => (
                [0.0, length_mm],
                Box::new(move |x| {
                    let turn = std::f64::consts::TAU * x / length_mm;
                    [amplitude_mm * turn.sin(), clearance_mm]
                }),
            ),
            Canal::Preset { name, from, to } => {
                let preset = Preset::named(name).expect("our own presets exist");
                let bone = Clavicle::new(&preset.bone).expect("presets have a canal");
                let length = bone.length();
                let course = move |x: f64| {
                    let [ap, si] = bone.canal(x / length);
                    [bone.point(x / length).y, (ap.min(si) - diameter) / 2.0]
                };
                ([from * length, to * length], Box::new(course))
            }
        }
    }
}

impl RodInCanal {
    fn frame(&self) -> (Frame, Vec<f64>) {
        let youngs = 1000.0 * self.youngs_modulus_gpa;
        let moduli = Moduli {
            youngs,
            shear: youngs / 2.6,
        };
        let rod = Section::circle(self.diameter_mm, 0.3).without_shear();
        let ([from, to], course) = self.canal.course(self.diameter_mm);
        let place = |i: usize| from + (to - from) * i as f64 / self.elements as f64;
        let places: Vec<f64> = (0..=self.elements).map(place).collect();

        let mut frame = Frame::default();
        let plane = [false, false, true, true, true, false];
        let mut last: Option<[usize; 2]> = None;
        for &x in &places {
            let at = vector![x, 0.0, 0.0];
            let node = frame.add_node(format!("rod {x}"), at);
            let wall = frame.add_node(format!("wall {x}"), at);
            frame.hold(node, plane);
            match self.tube_nmm2 {
                Some(_) => frame.hold(wall, plane),
                None => frame.fix(wall),
            }
            if let Some([before, wall_before]) = last {
                let rod = Profile::Prismatic(rod);
                frame.add_member("rod", [before, node], Vector3::z(), moduli, rod);
                if let Some(stiffness) = self.tube_nmm2 {
                    let tube = Profile::Prismatic(tube(stiffness / youngs));
                    frame.add_member("tube", [wall_before, wall], Vector3::z(), moduli, tube);
                }
            }
            let [centre, clearance] = course(x);
            let touch = Touch {
                shape: Shape::Ring {
                    clearance,
                    offset: [-centre, 0.0],
                },
                stiffness: RIGID,
                friction: 0.0,
                shear_stiffness: 0.0,
            };
            frame.add_coupling(format!("canal {x}"), [wall, node], at, Law::Touch(touch));
            last = Some([node, wall]);
        }
        let [node, wall] = last.expect("a rod has elements");
        frame.spring(0, [1.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
        if self.tube_nmm2.is_some() {
            frame.hold(1, [true, true, false, false, false, false]);
            frame.hold(wall, [false, true, false, false, false, false]);
        }
        if self.loose {
            for end in [0, node] {
                frame.spring(end, [0.0, WEAK, 0.0, 0.0, 0.0, 0.0]);
            }
        }
        (frame, places)
    }

    pub(super) fn results(&self) -> Vec<Named> {
        let (frame, places) = self.frame();
        let case = LoadCase::named("put in");
        let stage = Stage {
            case: &case,
            steps: 1,
            friction: true,
        };
        let Ok(mut settled) = settle(&frame, &[stage]) else {
            return Vec::new();
        };
        let solution = settled.remove(0).solution;
        let forces: Vec<f64> = solution.coupling_forces.iter().map(|f| f[1]).collect();
        let rods = (0..frame.members.len()).filter(|&m| frame.members[m].name.to_string() == "rod");
        let moments = rods.map(|m| solution.section_forces(&frame, &case, m, 0.0).moment_z);
        let largest = |most: f64, value: f64| most.max(value.abs());
        let moment = moments.fold(0.0, largest);
        let [low, high] = self.summed_mm;
        let inside = places.iter().zip(&forces);
        let inside = inside.filter(|(x, _)| (low..=high).contains(*x));
        let resultant: f64 = inside.map(|(_, force)| force).sum();
        let radius = self.diameter_mm / 2.0;
        let second_moment = Section::circle(self.diameter_mm, 0.3).second_moment_z;
        named([
            ("middle_force_n", forces[forces.len() / 2].abs()),
            ("end_force_n", forces[0].abs()),
            ("resultant_n", resultant.abs()),
            ("largest_force_n", forces.iter().copied().fold(0.0, largest)),
            ("largest_moment_nmm", moment),
            ("surface_stress_mpa", moment * radius / second_moment),
        ])
    }
}

/// A section with a second moment, mm⁴, that hardly stretches.
fn tube(second_moment: f64) -> Section {
    Section::properties(GivenProperties {
        area: 100.0,
        second_moment_y: second_moment,
        second_moment_z: second_moment,
        product_moment: 0.0,
        torsion_constant: second_moment,
        shear_area_y: None,
        shear_area_z: None,
    })
}
