//! Straight prismatic beams: what the frame files of the checks do not show.
//!
//! Circle d = 10 mm, E = 110000 MPa, L = 100 mm, P = 100 N, without shear deformation.

use approx::assert_relative_eq;
use clavibeam::check::FRAME_FILES;
use clavibeam::frame::{LoadAxes, LoadCase, MemberAction};
use clavibeam::frame_file;
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

use crate::common::{TITANIUM, section, solved, straight};

const ROUNDING: f64 = 1e-10;
const LENGTH: f64 = 100.0;
const LOAD: f64 = 100.0;

fn rod() -> Section {
    Section::circle(10.0, 0.3).without_shear()
}

/// Straight even members are exact, so dividing them changes no answer: every linear frame file
/// whose members are one element each, its reference values again with seven.
///
/// Source: the reference values of the files. Tolerance: theirs, or 1e-8 where that is rounding.
#[test]
fn dividing_members_changes_nothing() {
    let mut divided = 0;
    for source in FRAME_FILES {
        let bent = [
            "elements",
            "arc_centre_mm",
            "section_end",
            "twist_deg",
            "[analysis",
        ];
        if bent.iter().any(|key| source.text.contains(key)) {
            continue;
        }
        let text = source
            .text
            .replace("[[member]]", "[[member]]\nelements = 7");
        // Nodes inside divided members are renamed.
        if source.text.contains('#') && source.text.lines().any(names_an_inner_node) {
            continue;
        }
        let file = frame_file::parse(&text, source.path).expect("still sound");
        for compared in file.solve().expect("still holds").references {
            let difference = compared.difference.expect("a result").abs();
            let allowed = compared.tolerance.max(1e-8);
            assert!(difference <= allowed, "{}: {compared:#?}", source.path);
        }
        divided += 1;
    }
    assert!(divided > 15, "only {divided} files");
}

fn names_an_inner_node(line: &str) -> bool {
    !line.starts_with('#') && line.contains('#')
}

/// A cantilever whose section has a product moment bends across the load too:
/// `[v w] = L³/3E · [Iz Iyz; Iyz Iy]⁻¹ [Py Pz]` with `Iz = ∫y²`, `Iy = ∫z²`, `Iyz = ∫yz`.
///
/// Source: unsymmetrical bending as in Timoshenko's *Strength of Materials* (from memory).
#[test]
fn product_moment() {
    let (iy, iz, iyz) = (40.0, 120.0, 30.0);
    let skew = Section {
        product_moment: iyz,
        ..section(20.0, iy, iz, 60.0)
    };
    let (mut frame, nodes) = straight(LENGTH, 2, TITANIUM, skew);
    frame.fix(nodes[0]);
    let scale = LENGTH.powi(3) / (3.0 * TITANIUM.youngs * (iy * iz - iyz * iyz));
    // Local y and z are the global ones: `up` is z and the beam runs along x.
    for (force, v, w) in [
        (
            vector![0.0, LOAD, 0.0],
            iy * LOAD * scale,
            -iyz * LOAD * scale,
        ),
        (
            vector![0.0, 0.0, LOAD],
            -iyz * LOAD * scale,
            iz * LOAD * scale,
        ),
    ] {
        let case = LoadCase::named("tip").with_force(nodes[2], force);
        let moved = solved(&frame, &case).displacement(nodes[2]);
        assert_relative_eq!(moved.y, v, max_relative = ROUNDING);
        assert_relative_eq!(moved.z, w, max_relative = ROUNDING);
    }
}

/// A line load that grows from nought at the root to q at the tip of a cantilever:
/// `w = 11 q L⁴/120 E I`, `M = q L²/3` at the root; the halves loaded by two actions.
#[test]
fn cantilever_triangular_load() {
    let (mut frame, nodes) = straight(LENGTH, 1, TITANIUM, rod());
    frame.fix(nodes[0]);
    let part = |stretch: [f64; 2], force: [f64; 2]| MemberAction::Line {
        stretch,
        force: force.map(|q| vector![0.0, 0.0, -q]),
        axes: LoadAxes::Local,
    };
    let case = LoadCase::named("triangle")
        .with_action(0, part([0.0, 50.0], [0.0, 0.5]))
        .with_action(0, part([50.0, 100.0], [0.5, 1.0]));
    let solution = solved(&frame, &case);
    let stiffness = TITANIUM.youngs * rod().second_moment_y;
    let tip = -solution.displacement(nodes[1]).z;
    assert_relative_eq!(
        tip,
        11.0 * LENGTH.powi(4) / (120.0 * stiffness),
        max_relative = ROUNDING
    );
    let root = solution.section_forces(&frame, &case, 0, 0.0).bending();
    assert_relative_eq!(root, LENGTH * LENGTH / 3.0, max_relative = ROUNDING);
}

/// An ellipse of 12 x 9 mm, L = 20: each direction has a shear area of its own. Second moments
/// and Cowper's coefficients evaluated independently; nine digits of the coefficients are printed.
#[test]
fn each_direction_has_its_own_shear_area() {
    let (length, area) = (20.0, 84.823001646924);
    let (mut frame, nodes) = straight(length, 1, TITANIUM, Section::ellipse(12.0, 9.0, 0.3));
    frame.fix(nodes[0]);
    for (direction, second_moment, coefficient) in [
        (Vector3::y(), 763.40701482232, 0.898074095),
        (Vector3::z(), 429.41644583755, 0.868424460),
    ] {
        let case = LoadCase::named("tip").with_force(nodes[1], LOAD * direction);
        let moved = solved(&frame, &case).displacement(nodes[1]).dot(&direction);
        let bent = LOAD * length.powi(3) / (3.0 * TITANIUM.youngs * second_moment);
        let sheared = LOAD * length / (coefficient * area * TITANIUM.shear);
        assert_relative_eq!(moved, bent + sheared, max_relative = 1e-9);
    }
}
