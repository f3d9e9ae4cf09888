//! Large displacements and rotations against published cases and exact rod equations.
//!
//! Where a doc comment says "exact rod equations", a planar or spatial rod of finite
//! stretch and shear was integrated by shooting or by elliptic integrals with
//! general-purpose numeric libraries, independently of this program. Lengths, forces and
//! stresses are in any consistent units.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use clavibeam::frame::{
    Follow, Frame, LoadCase, LoadPath, Moduli, PathEnd, PathOptions, PathState, follow_path,
    rotation_matrix,
};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

use crate::common::{join, section, straight};

fn followed(frame: &Frame, case: &LoadCase, options: &PathOptions) -> LoadPath {
    follow_path(frame, case, options).unwrap_or_else(|error| panic!("{error}"))
}

/// Holds all but the motions in the x–y plane at every node.
fn keep_in_plane(frame: &mut Frame) {
    for node in 0..frame.nodes.len() {
        frame.hold(node, [false, false, true, true, true, false]);
    }
}

/// EI = 1e6 on a length of 100, EA = 1e4 times the area.
fn slender(area: f64) -> (Moduli, Section) {
    let moduli = Moduli {
        youngs: 1e4,
        shear: 4e3,
    };
    (moduli, section(area, 100.0, 100.0, 200.0))
}

/// Unit vectors of a bending plane turned about the member: deflection, and axis.
fn turned_plane(degrees: f64) -> [Vector3<f64>; 2] {
    let (sin, cos) = degrees.to_radians().sin_cos();
    [vector![0.0, cos, sin], vector![0.0, -sin, cos]]
}

/// Deflection, shortening (over the length) and slope of a cantilever's tip under a dead
/// transverse force, `P L²/EI = load`.
fn elastica(count: usize, load: f64, plane_deg: f64) -> [f64; 3] {
    let (moduli, slender) = slender(1e5);
    let (mut frame, nodes) = straight(100.0, count, moduli, slender);
    frame.fix(nodes[0]);
    let [across, axis] = turned_plane(plane_deg);
    let case = LoadCase::named("tip").with_force(nodes[count], across * (load * 100.0));
    let path = followed(&frame, &case, &PathOptions::default());
    let (moved, turned) = (
        path.last().displacement(nodes[count]),
        path.last().rotation(nodes[count]),
    );
    // Rounding of the large axial stiffness.
    assert!(moved.dot(&axis).abs() < 1e-4, "leaves its plane: {moved}");
    [
        moved.dot(&across) / 100.0,
        -moved.x / 100.0,
        turned.dot(&axis),
    ]
}

/// The same in every plane, with few elements that turn far: a moving frame that favoured one of
/// its axes would show. The values themselves stand among the checks.
///
/// Source: symmetry of a round section. Tolerance 1e-7: where the iteration ends.
#[test]
fn no_bending_plane_is_favoured() {
    for load in [1.0, 5.0, 15.0] {
        let straight_on = elastica(5, load, 0.0);
        for plane in [37.0, 90.0, 200.0] {
            for (found, expected) in elastica(5, load, plane).into_iter().zip(straight_on) {
                assert_relative_eq!(found, expected, max_relative = 1e-7);
            }
        }
    }
}

/// A cantilever rolled up by an end moment, `M L/EI = t`, in a plane turned by 37°:
/// `x/L = sin t/t`, `y/L = (1 − cos t)/t`, the tip turned by `t`; at `t = 2π` the circle
/// closes. Constant curvature is exact in the moving frame but for the chord's bowing, of
/// fourth order in the angle of an element: 1e-4 of the length with 20 elements, 1e-6 with 80.
///
/// Source: closed form.
#[test]
fn roll_up_to_a_circle() {
    let (moduli, slender) = slender(100.0);
    let [across, axis] = turned_plane(37.0);
    for (count, share) in [(20, 1e-4), (80, 1e-6)] {
        for t in [PI / 4.0, PI / 2.0, PI, 2.0 * PI, 5.0 * PI] {
            let share = share * (t / (2.0 * PI)).powi(5).max(1.0);
            let (mut frame, nodes) = straight(100.0, count, moduli, slender);
            frame.fix(nodes[0]);
            let case = LoadCase::named("tip").with_moment(nodes[count], axis * (t * 1e4));
            let path = followed(&frame, &case, &PathOptions::default());
            let tip = vector![100.0, 0.0, 0.0] + path.last().displacement(nodes[count]);
            let expected = (Vector3::x() * t.sin() + across * (1.0 - t.cos())) * (100.0 / t);
            let apart = (tip - expected).norm() / 100.0;
            assert!(
                apart < share,
                "t = {t}, {count} elements: off by {apart:.2e}"
            );
            // A rotation vector says nothing about its axis at whole turns: matrices do.
            let turned = rotation_matrix(&path.last().rotation(nodes[count]));
            let apart = (turned - rotation_matrix(&(axis * t))).norm();
            assert!(
                apart < 2.0 * share,
                "t = {t}, {count} elements: turned off by {apart:.2e}"
            );
            let at_end = 100.0 / count as f64;
            let moment = path
                .solution
                .section_forces(&frame, &case, count / 2, at_end);
            let moment = moment.resultant_moment();
            assert_relative_eq!(moment, t * 1e4, max_relative = 1e-8);
        }
    }
}

/// Lee's frame: column (0, 0)–(0, 120) and beam to (120, 120), hinged at both far ends; a
/// force down at (24, 120) per load factor 1. `half` elements in each.
fn lee_frame(half: usize) -> (Frame, LoadCase, usize) {
    let mut frame = Frame::default();
    let spacing = 120.0 / half as f64;
    let nodes: Vec<usize> = (0..=2 * half)
        .map(|i| {
            let (up, right) = (i.min(half), i.saturating_sub(half));
            let place = vector![right as f64, up as f64, 0.0] * spacing;
            frame.add_node(format!("{i}"), place)
        })
        .collect();
    let moduli = Moduli {
        youngs: 720.0,
        shear: 300.0,
    };
    join(&mut frame, &nodes, moduli, section(6.0, 2.0, 2.0, 4.0));
    keep_in_plane(&mut frame);
    for end in [0, 2 * half] {
        frame.hold(nodes[end], [true, true, true, true, true, false]);
    }
    let loaded = nodes[half + half / 5];
    let case = LoadCase::named("down").with_force(loaded, vector![0.0, -1.0, 0.0]);
    (frame, case, loaded)
}

/// The extreme of a quantity along a path: parabola through the three states about it.
fn turning(states: &[PathState], quantity: impl Fn(&PathState) -> f64, highest: bool) -> f64 {
    let sign = if highest { 1.0 } else { -1.0 };
    let value = |i: usize| sign * quantity(&states[i]);
    let i = (1..states.len() - 1)
        .find(|&i| value(i) > value(i - 1) && value(i) >= value(i + 1) && i > 3)
        .expect("the quantity turns");
    let (left, right) = (value(i) - value(i - 1), value(i) - value(i + 1));
    sign * (value(i) + (left - right).powi(2) / (8.0 * (left + right)))
}

/// Frame that snaps through and back: limit loads, where they are met, and the turning
/// points of the deflection between them. Tolerance: 0.5 % with 20 elements, 0.1 % with 80.
///
/// Source: Lee, Manuel & Rossow, *J. Engrg. Mech. Div. ASCE* 94 (1968) (from memory);
/// exact rod equations for E = 720, stretch included.
#[test]
fn lee_frame_snaps_back() {
    for (half, share) in [(10, 5e-3), (40, 1e-3)] {
        let (frame, case, node) = lee_frame(half);
        let down = |state: &PathState| -state.displacement(node).y;
        let right = |state: &PathState| state.displacement(node).x;
        let options = PathOptions {
            follow: Follow::Path,
            steps: 30,
            growth: 2.0,
            load_factors: [f64::NEG_INFINITY, 2.0],
            ..PathOptions::default()
        };
        let path = followed(&frame, &case, &options);
        assert_eq!(path.end, PathEnd::LoadFactor);
        assert_relative_eq!(path.last().load_factor, 2.0, max_relative = 1e-9);
        assert_eq!(path.limit_points.len(), 2);
        let [upper, lower] = [&path.limit_points[0], &path.limit_points[1]];
        assert_relative_eq!(upper.load_factor, 1.85567275, max_relative = share);
        assert_relative_eq!(down(upper), 48.73514, max_relative = share);
        assert_relative_eq!(right(upper), 26.88058, max_relative = share);
        assert_relative_eq!(lower.load_factor, -0.94144316, max_relative = share);
        assert_relative_eq!(down(lower), 58.21681, max_relative = share);
        assert_relative_eq!(right(lower), 90.19567, max_relative = share);
        let furthest = turning(&path.states, down, true);
        assert_relative_eq!(furthest, 60.990, max_relative = share);
        let back = turning(&path.states, down, false);
        assert_relative_eq!(back, 50.750, max_relative = share);
        // Between the limit points the tangent has one negative eigenvalue.
        assert!(path.states.iter().any(|state| state.negative == 1));
        assert_eq!(path.last().negative, 0);

        let half_way = PathOptions {
            load_factors: [f64::NEG_INFINITY, 0.5],
            ..PathOptions::default()
        };
        let path = followed(&frame, &case, &half_way);
        assert_relative_eq!(down(path.last()), 3.79148183, max_relative = share);
        assert_relative_eq!(right(path.last()), 0.30961377, max_relative = share);
    }
}

/// Toggle of two members with clamped feet, `count` elements each; its apex node.
fn toggle(rise: f64, count: usize) -> (Frame, usize) {
    let mut frame = Frame::default();
    let nodes: Vec<usize> = (0..=2 * count)
        .map(|i| {
            let across = i as f64 / count as f64;
            let up = rise * (1.0 - (1.0 - across).abs());
            frame.add_node(format!("{i}"), vector![12.943 * across, up, 0.0])
        })
        .collect();
    let moduli = Moduli {
        youngs: 1.03e7,
        shear: 4e6,
    };
    let (width, depth) = (0.753_f64, 0.243_f64);
    let bending = width * depth.powi(3) / 12.0;
    join(
        &mut frame,
        &nodes,
        moduli,
        section(width * depth, bending, bending, bending),
    );
    keep_in_plane(&mut frame);
    frame.fix(nodes[0]);
    frame.fix(nodes[2 * count]);
    (frame, nodes[count])
}

/// The same toggle under a dead force: its two limit points, found along the path; the
/// flatter toggle has none. Tolerance as above.
///
/// Source: as above.
#[test]
fn williams_toggle_limit_points() {
    for (count, share) in [(8, 5e-3), (32, 1e-3)] {
        let (frame, apex) = toggle(0.386, count);
        let case = LoadCase::named("down").with_force(apex, vector![0.0, -1.0, 0.0]);
        let options = PathOptions {
            follow: Follow::Path,
            load_factors: [f64::NEG_INFINITY, 60.0],
            ..PathOptions::default()
        };
        let path = followed(&frame, &case, &options);
        let found: Vec<[f64; 2]> = path
            .limit_points
            .iter()
            .map(|point| [point.load_factor, -point.displacement(apex).y])
            .collect();
        let expected = [[33.870385, 0.2321567], [31.281774, 0.3915943]];
        assert_eq!(found.len(), 2, "{found:?}");
        for (found, expected) in found.iter().zip(expected) {
            assert_relative_eq!(found[0], expected[0], max_relative = share);
            // A load within a share of its limit is met within the root of that share.
            assert_relative_eq!(found[1], expected[1], max_relative = 4.0 * share);
        }
        let (flat, apex) = toggle(0.32, count);
        let case = LoadCase::named("down").with_force(apex, vector![0.0, -1.0, 0.0]);
        assert!(followed(&flat, &case, &options).limit_points.is_empty());
    }
}

/// Newton's iteration ends quadratically: once the unbalanced share is below 1e-3 each
/// correction squares it, but for a factor, until rounding; under a force out of plane and
/// under a moment of fixed direction, whose tangent is not symmetric.
#[test]
fn newton_converges_quadratically() {
    let (moduli, slender) = slender(100.0);
    let (mut frame, nodes) = straight(100.0, 10, moduli, slender);
    frame.fix(nodes[0]);
    let skew = LoadCase::named("skew").with_load(
        nodes[10],
        vector![-30.0, 80.0, 40.0],
        vector![4e3, -3e3, 5e3],
    );
    let options = PathOptions {
        steps: 4,
        growth: 1.0,
        tolerance: 1e-11,
        ..PathOptions::default()
    };
    let path = followed(&frame, &skew, &options);
    // The last state only lands on the load factor.
    for state in &path.states[1..path.states.len() - 1] {
        let last: Vec<f64> = state
            .unbalanced
            .iter()
            .copied()
            .filter(|share| *share < 1e-3)
            .collect();
        assert!(last.len() >= 2 && state.unbalanced.len() < 9, "{state:?}");
        for pair in last.windows(2) {
            let bound = 100.0 * pair[0] * pair[0];
            assert!(pair[1] < bound.max(1e-11), "{:?}", state.unbalanced);
        }
    }
}
