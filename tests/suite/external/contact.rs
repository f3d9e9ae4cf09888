//! Rods in canals against closed forms and quadratic programs.

use approx::assert_relative_eq;
use clavibeam::frame::{Frame, Law, LoadCase, Moduli, Profile, Shape, Stage, Touch, settle};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

/// A straight rod of d = 3, E = 110000 along x, in a rigid canal whose centre line is
/// `centre(x)` in the x–y plane, with the given radial clearance, frictionless.
fn rod_in_canal(
    [from, to]: [f64; 2],
    elements: usize,
    clearance: f64,
    centre: impl Fn(f64) -> f64,
) -> (Frame, Vec<usize>) {
    let mut frame = Frame::default();
    let section = Section::circle(3.0, 0.3).without_shear();
    let moduli = Moduli {
        youngs: 110_000.0,
        shear: 110_000.0 / 2.6,
    };
    let mut nodes: Vec<usize> = Vec::new();
    for i in 0..=elements {
        let x = from + (to - from) * i as f64 / elements as f64;
        let node = frame.add_node(format!("rod {i}"), vector![x, 0.0, 0.0]);
        let wall = frame.add_node(format!("wall {i}"), vector![x, 0.0, 0.0]);
        frame.fix(wall);
        if let Some(&before) = nodes.last() {
            frame.add_member(
                "rod",
                [before, node],
                Vector3::z(),
                moduli,
                Profile::Prismatic(section),
            );
        }
        // Only movement in the plane, and nothing but the walls across it.
        frame.hold(node, [false, false, true, true, true, false]);
        let touch = Touch {
            shape: Shape::Ring {
                clearance,
                offset: [-centre(x), 0.0],
            },
            stiffness: 1e6,
            friction: 0.0,
            shear_stiffness: 0.0,
        };
        frame.add_coupling(
            format!("canal {i}"),
            [wall, node],
            vector![x, 0.0, 0.0],
            Law::Touch(touch),
        );
        nodes.push(node);
    }
    // The canal leaves the position along it open.
    frame.spring(nodes[0], [1.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
    (frame, nodes)
}

/// Arc canal of R = 200 over 100 mm, three points of contact: `F = 48 EI/L³ (L²/8R − 2c)`.
///
/// Source: closed form (beam with a centre force between two supports). Tolerance 1e-6: the
/// walls give by a force over 1e9 N/mm, and there is a node at the middle.
#[test]
fn rod_in_an_arc_on_three_points() {
    let (frame, _) = rod_in_canal([-50.0, 50.0], 100, 1.5, |x| x * x / 400.0);
    let case = LoadCase::named("put in");
    let stage = Stage {
        case: &case,
        steps: 1,
        friction: false,
    };
    let settled = settle(&frame, &[stage]).expect("it comes to rest");
    let forces = &settled[0].solution.coupling_forces;
    assert_relative_eq!(forces[50][1].abs(), 68.22950195, max_relative = 1e-6);
    assert_relative_eq!(forces[0][1].abs(), 34.11475097, max_relative = 1e-6);
}
