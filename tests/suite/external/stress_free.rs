//! Stress-free strains and curvatures: heat, a temperature gradient, a shortened plate.
//!
//! Circle d = 10 mm, E = 110000 MPa, α = 8.6e-6 /K, L = 100 mm.
//!
//! Source: closed form. Tolerance rounding: constant strains are within the element.

use approx::assert_relative_eq;
use clavibeam::frame::{Frame, LoadCase, MemberAction};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

use crate::common::{BONE, TITANIUM, join, section, solved, straight, tube};

const ROUNDING: f64 = 1e-10;
const EXPANSION: f64 = 8.6e-6;

/// A beam of `count` members along x, every one with the same stress-free strain.
fn strained(count: usize, strain: f64, curvature_y: f64) -> (Frame, LoadCase) {
    let (frame, _) = straight(100.0, count, TITANIUM, Section::circle(10.0, 0.3));
    let action = MemberAction::StressFree {
        strain,
        curvature_y,
        curvature_z: 0.0,
    };
    let case = (0..count).fold(LoadCase::named("strain"), |case, m| {
        case.with_action(m, action)
    });
    (frame, case)
}

/// 50 K on a bar clamped at both ends, and a prestrain of 1e-3.
#[test]
fn clamped_bar() {
    for (strain, expected) in [
        (EXPANSION * 50.0, -3714.9333128699),
        (1e-3, -8639.3797973719),
    ] {
        let (mut frame, case) = strained(3, strain, 0.0);
        frame.fix(0);
        frame.fix(3);
        let solution = solved(&frame, &case);
        let axial = solution.section_forces(&frame, &case, 1, 10.0).axial;
        assert_relative_eq!(axial, expected, max_relative = ROUNDING);
    }
}

/// 20 K across the depth: free, held at both ends, propped. The curvature about y lifts
/// nothing but turns the tip by κ L.
#[test]
fn temperature_gradient() {
    let curvature = EXPANSION * 20.0 / 10.0;
    for count in [1, 4] {
        let (mut frame, case) = strained(count, 0.0, curvature);
        frame.fix(0);
        let solution = solved(&frame, &case);
        assert_relative_eq!(
            -solution.displacement(count).z,
            0.086,
            max_relative = ROUNDING
        );
        assert_relative_eq!(solution.rotation(count).y, 0.00172, max_relative = ROUNDING);

        let mut built_in = frame.clone();
        built_in.fix(count);
        let solution = solved(&built_in, &case);
        for at in [0.0, 0.7 * 100.0 / count as f64] {
            let moment = solution.section_forces(&built_in, &case, 0, at).moment_y;
            assert_relative_eq!(moment, -928.73332821748, max_relative = ROUNDING);
        }
    }
    let (mut frame, case) = strained(1, 0.0, curvature);
    let rod = Section::circle(10.0, 0.3).without_shear();
    frame.members.clear();
    join(&mut frame, &[0, 1], TITANIUM, rod);
    frame.fix(0);
    frame.hold(1, [false, true, true, false, false, false]);
    let solution = solved(&frame, &case);
    assert_relative_eq!(
        solution.reaction_force(1).z,
        13.930999923262,
        max_relative = ROUNDING
    );
    let clamp = solution.reaction_moment(0).y.abs();
    assert_relative_eq!(clamp, 1393.0999923262, max_relative = ROUNDING);
}

/// A stress-free curvature about z swings the tip along +y by `κ L²/2`.
#[test]
fn curvature_about_z() {
    let (mut frame, _) = strained(2, 0.0, 0.0);
    frame.fix(0);
    let action = MemberAction::StressFree {
        strain: 0.0,
        curvature_y: 0.0,
        curvature_z: 1e-4,
    };
    let case = LoadCase::named("bent")
        .with_action(0, action)
        .with_action(1, action);
    let solution = solved(&frame, &case);
    assert_relative_eq!(solution.displacement(2).y, 0.5, max_relative = ROUNDING);
    assert_relative_eq!(solution.rotation(2).z, 0.01, max_relative = ROUNDING);
}

/// A plate 10 × 3 mm shortened by 1e-3, joined rigidly 8.5 mm above the axis of a bone
/// tube 12/6 mm: force in the plate, common curvature, tip of the cantilever. The plate
/// hangs on the bone's nodes by its own arms.
#[test]
fn shortened_plate_bends_the_bone() {
    let count = 4;
    let (mut frame, nodes) = straight(100.0, count, BONE, tube(12.0, 6.0));
    let plate = join(
        &mut frame,
        &nodes,
        TITANIUM,
        section(30.0, 22.5, 250.0, 73.0),
    );
    for &member in &plate {
        frame.members[member].arms = [vector![0.0, 0.0, 8.5]; 2];
    }
    frame.fix(nodes[0]);
    let shortening = MemberAction::StressFree {
        strain: -1e-3,
        curvature_y: 0.0,
        curvature_z: 0.0,
    };
    let case = plate.iter().fold(LoadCase::named("shortened"), |case, &m| {
        case.with_action(m, shortening)
    });
    let solution = solved(&frame, &case);
    for &member in &plate {
        let axial = solution.section_forces(&frame, &case, member, 5.0).axial;
        assert_relative_eq!(axial, 205.73212003437, max_relative = ROUNDING);
    }
    // The plate pulls its side together: the tip rises towards it.
    let tip = solution.displacement(nodes[count]).z;
    assert_relative_eq!(tip, 0.46763804265376, max_relative = ROUNDING);
    let curvature = solution.rotation(nodes[count]).norm() / 100.0;
    assert_relative_eq!(curvature, 9.3527608530752e-5, max_relative = ROUNDING);
    assert_eq!(solution.rotation(nodes[count]).y.signum(), -1.0);
    let along_x = Vector3::x().dot(&solution.displacement(nodes[count]));
    assert!(along_x < 0.0, "the pair also shortens");
}
