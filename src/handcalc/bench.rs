//! The finite-element witnesses of formulas that no construct of a case shows by itself: devices on
//! the rollers of their standard tests, and a straight bone with a plate that slips on it.

use nalgebra::vector;

use crate::device::Plate;
use crate::frame::{Frame, Law, LoadCase, Moduli, Profile, SolveError, solve};
use crate::section::Section;

/// Stiffness of a tie that keeps bone and plate together, N/mm. Assumption: a thousand times a
/// plate element of 1 mm in bending.
const TIE: f64 = 1e11;

/// Longest element of the two layers, mm.
const SPACING: f64 = 1.0;

/// Rollers of a four-point test: load roller to support, load roller to load roller, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rollers {
    pub outer: f64,
    pub inner: f64,
}

impl Rollers {
    /// For a plate: two or three holes between the inner rollers, none under a roller; none if the
    /// plate is too short.
    pub fn of(plate: &Plate) -> Option<Self> {
        let inner = if plate.hole_count.is_multiple_of(2) {
            2.0
        } else {
            3.0
        };
        let half = (plate.hole_count as f64 - 1.0) / 2.0;
        let outer = (half - inner / 2.0).floor();
        (outer >= 1.0).then_some(Rollers {
            outer: outer * plate.hole_spacing,
            inner: inner * plate.hole_spacing,
        })
    }

    /// Places from the middle: supports outside, loads inside.
    fn places(&self) -> [f64; 4] {
        let (inside, outside) = (self.inner / 2.0, self.inner / 2.0 + self.outer);
        [-outside, -inside, inside, outside]
    }
}

/// Total force on the load rollers over their movement, N/mm, of a bar with one section.
pub(super) fn even_bar(
    section: Section,
    moduli: Moduli,
    rollers: Rollers,
) -> Result<f64, SolveError> {
    four_point(&rollers.places(), |_, _| section, moduli, rollers)
}

/// The same of a straight plate with its holes and notches, flat on the rollers.
pub(super) fn flat_plate(plate: &Plate, rollers: Rollers) -> Result<f64, SolveError> {
    let mut places = rollers.places().to_vec();
    let reach = rollers.places()[3];
    let radius = plate.hole_diameter / 2.0;
    let holes: Vec<f64> = (1..=plate.hole_count)
        .filter(|number| plate.hole(*number).is_some())
        .map(|number| plate.hole_offset(number))
        .collect();
    let edges = holes.iter().flat_map(|hole| [hole - radius, hole + radius]);
    places.extend(edges.filter(|edge| edge.abs() < reach));
    places.sort_by(f64::total_cmp);
    let gross = Section::rectangle(plate.width, plate.thickness, plate.material.poisson_ratio);
    let section = |from: f64, to: f64| {
        let middle = (from + to) / 2.0;
        let holed = holes.iter().any(|hole| (middle - hole).abs() < radius);
        let left = match holed {
            true => plate
                .hole(1)
                .or(plate.hole(2))
                .map(|hole| hole.stiffness_factors()),
            false => plate
                .notches()
                .map(|notches| notches.stiffness_factors(to - from)),
        };
        let [flat, _] = left.unwrap_or([1.0; 2]);
        Section {
            second_moment_y: gross.second_moment_y * flat,
            ..gross
        }
    };
    four_point(&places, section, Moduli::from(&plate.material), rollers)
}

/// * `places`: where nodes stand, in order, the rollers among them
/// * `section`: of the piece between two of them
fn four_point(
    places: &[f64],
    section: impl Fn(f64, f64) -> Section,
    moduli: Moduli,
    rollers: Rollers,
) -> Result<f64, SolveError> {
    let mut frame = Frame::default();
    let nodes: Vec<usize> = places
        .iter()
        .map(|x| frame.add_node(format!("{x:.1} mm"), vector![*x, 0.0, 0.0]))
        .collect();
    for (at, pair) in places.windows(2).zip(nodes.windows(2)) {
        let profile = Profile::Prismatic(section(at[0], at[1]));
        frame.add_member(
            "piece",
            [pair[0], pair[1]],
            vector![0.0, 0.0, 1.0],
            moduli,
            profile,
        );
    }
    let node_at = |x: f64| {
        let found = places.iter().position(|place| (place - x).abs() < 1e-9);
        nodes[found.expect("rollers stand at nodes")]
    };
    let [left, load, other_load, right] = rollers.places().map(node_at);
    frame.hold(left, [true, true, true, true, false, false]);
    frame.hold(right, [false, true, true, false, false, false]);
    let half = vector![0.0, 0.0, -0.5];
    let case = LoadCase::named("1 N")
        .with_force(load, half)
        .with_force(other_load, half);
    let solution = solve(&frame, &[case])?;
    Ok(-1.0 / solution.cases[0].displacement(load).z)
}

/// A straight bone and a plate on it, joined by screws that give way along them.
pub(super) struct Layers {
    pub bone: (Moduli, Section),
    pub plate: (Moduli, Section),
    /// Distance between their axes, mm.
    pub distance: f64,
    /// Simply supported length, mm.
    pub span: f64,
    /// Screws from the medial end, mm.
    pub screws: Vec<f64>,
    /// Stiffness of one screw along the bone, N/mm.
    pub screw: f64,
}

impl Layers {
    /// Deflection under a force in the middle, mm; both layers bend alike.
    pub fn deflection(&self, force: f64) -> Result<f64, SolveError> {
        let count = 2 * (self.span / SPACING / 2.0).ceil() as usize;
        let mut places: Vec<f64> = (0..=count)
            .map(|i| self.span * i as f64 / count as f64)
            .collect();
        let nearest = |x: f64| (x / self.span * count as f64).round() as usize;
        for screw in &self.screws {
            places[nearest(*screw).clamp(1, count - 1)] = *screw;
        }
        let mut frame = Frame::default();
        let mut row = |z: f64| -> Vec<usize> {
            let named = |x: &f64| frame.add_node(format!("{x:.1} mm"), vector![*x, 0.0, z]);
            places.iter().map(named).collect()
        };
        let (bone, plate) = (row(0.0), row(self.distance));
        for (nodes, (moduli, section)) in [(&bone, &self.bone), (&plate, &self.plate)] {
            for pair in nodes.windows(2) {
                let profile = Profile::Prismatic(section.without_shear());
                let up = vector![0.0, 0.0, 1.0];
                frame.add_member("layer", [pair[0], pair[1]], up, *moduli, profile);
            }
        }
        for (index, x) in places.iter().enumerate() {
            let screws = self.screws.iter().filter(|screw| **screw == *x).count();
            let slip = self.screw * screws as f64;
            let at = vector![*x, 0.0, self.distance / 2.0];
            let law = Law::Springs([slip, 0.0, TIE, 0.0, 0.0, 0.0]);
            frame.add_coupling("joint", [bone[index], plate[index]], at, law);
        }
        for &node in bone.iter().chain(&plate) {
            frame.hold(node, [false, true, false, true, false, true]);
        }
        let middle = bone[nearest(self.span / 2.0)];
        frame.hold(bone[0], [true, false, true, false, false, false]);
        frame.hold(bone[count], [false, false, true, false, false, false]);
        let case = LoadCase::named("middle").with_force(middle, vector![0.0, 0.0, -force]);
        let solution = solve(&frame, &[case])?;
        Ok(-solution.cases[0].displacement(middle).z)
    }
}
