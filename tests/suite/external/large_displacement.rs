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

use crate::common::{assert_order, join, section, straight, with_shear};

fn followed(frame: &Frame, case: &LoadCase, options: &PathOptions) -> LoadPath {
    follow_path(frame, case, options).unwrap_or_else(|error| panic!("{error}"))
}

/// Holds all but the motions in the x–y plane at every node.
fn keep_in_plane(frame: &mut Frame) {
    for node in 0..frame.nodes.len() {
        frame.hold(node, [false, false, true, true, true, false]);
    }
}

/// Shallow check that a value agrees with another as a share of a size.
fn assert_close(found: f64, expected: f64, size: f64, share: f64, what: &str) {
    assert!(
        (found - expected).abs() <= share * size,
        "{what}: {found}, not {expected}; off by {:.2e} of {size}",
        (found - expected).abs() / size
    );
}

/// An arc of radius 100 and 45° from the origin, first along y, curving to x; square
/// section 1 × 1, E = 1e7, G = 5e6. Returns where its tip gets to under a dead force along z.
fn bent_tip(count: usize, torsion_constant: f64, force: f64) -> Vector3<f64> {
    let mut frame = Frame::default();
    let places: Vec<Vector3<f64>> = (0..=count)
        .map(|i| {
            let angle = PI / 4.0 * i as f64 / count as f64;
            vector![1.0 - angle.cos(), angle.sin(), 0.0] * 100.0
        })
        .collect();
    let nodes: Vec<usize> = places
        .iter()
        .enumerate()
        .map(|(i, place)| frame.add_node(format!("{i}"), *place))
        .collect();
    let moduli = Moduli {
        youngs: 1e7,
        shear: 5e6,
    };
    let square = with_shear(
        section(1.0, 1.0 / 12.0, 1.0 / 12.0, torsion_constant),
        5.0 / 6.0,
    );
    join(&mut frame, &nodes, moduli, square);
    frame.fix(nodes[0]);
    let case = LoadCase::named("tip").with_force(nodes[count], vector![0.0, 0.0, force]);
    let path = followed(&frame, &case, &PathOptions::default());
    places[count] + path.last().displacement(nodes[count])
}

/// Cantilever bend of 45° under a force out of its plane. Tolerance: 1e-3 of the arc's
/// tip distance with 32 chords against the exact rod equations for the same torsion
/// constant; 1 % against the printed figures of 1979, read from (15.9, 47.2, 53.4).
///
/// Source: Bathe & Bolourchi, *Int. J. Numer. Meth. Engng* 14 (1979) 961–986; exact rod
/// equations.
#[test]
fn bathe_bolourchi_bend() {
    for (force, expected) in [
        (300.0, [22.2446794, 58.7788973, 40.1923923]),
        (450.0, [18.5080649, 52.2382618, 48.5034915]),
        (600.0, [15.6846895, 47.1500962, 53.4754780]),
    ] {
        let tip = bent_tip(32, 1.0 / 6.0, force);
        for (found, expected) in tip.iter().zip(expected) {
            assert_close(*found, expected, 76.5, 1e-3, "tip");
        }
    }
    let tip = bent_tip(32, 1.0 / 6.0, 600.0);
    for (found, expected) in tip.iter().zip([15.9, 47.2, 53.4]) {
        assert_close(*found, expected, 76.5, 1e-2, "1979");
    }
    for (force, expected) in [
        (300.0, [22.1125138, 58.5357092, 40.4807574]),
        (600.0, [15.5576762, 46.8915864, 53.6079863]),
    ] {
        let tip = bent_tip(32, 0.140_577_015, force);
        for (found, expected) in tip.iter().zip(expected) {
            assert_close(*found, expected, 76.5, 1e-3, "Saint-Venant");
        }
    }
}

/// The chords tend to the arc with the square of their length.
#[test]
fn bend_is_reached_with_order_two() {
    let exact = vector![15.6846895, 47.1500962, 53.4754780];
    let errors = [8, 16, 32].map(|count| (bent_tip(count, 1.0 / 6.0, 600.0) - exact).norm());
    assert_order(&errors, 2.0, 0.1);
}

/// EI = 1e6 on a length of 100, EA = 1e4 times the area.
fn slender(area: f64) -> (Moduli, Section) {
    let moduli = Moduli {
        youngs: 1e4,
        shear: 4e3,
    };
    (moduli, section(area, 100.0, 100.0, 200.0))
}

/// Unit vectors of a bending plane turned by 37° about the member: deflection, and axis.
fn turned_plane() -> [Vector3<f64>; 2] {
    let (sin, cos) = 37.0_f64.to_radians().sin_cos();
    [vector![0.0, cos, sin], vector![0.0, -sin, cos]]
}

/// Deflection, shortening (over the length) and slope of a cantilever's tip under a dead
/// transverse force, `P L²/EI = load`.
fn elastica(count: usize, load: f64) -> [f64; 3] {
    let (moduli, slender) = slender(1e5);
    let (mut frame, nodes) = straight(100.0, count, moduli, slender);
    frame.fix(nodes[0]);
    let [across, axis] = turned_plane();
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

/// Cantilever under a dead transverse tip force, in a plane turned by 37°. Tolerance: 1e-3
/// with 20 elements, 1e-4 with 80, and 1e-2 with 5, whose large turns would show a moving frame
/// that favours one of its axes; the stretch left is below 1e-5.
///
/// Source: Mattiasson, *Int. J. Numer. Meth. Engng* 17 (1981) 145–153; elliptic integrals.
#[test]
fn mattiasson_elastica() {
    for (load, expected) in [
        (0.2, [0.0663644821448, 0.00264654834052, 0.0996361630374]),
        (0.4, [0.130975242085, 0.010353921549, 0.197154623703]),
        (0.6, [0.192350279687, 0.022487667979, 0.290737766841]),
        (0.8, [0.249451542028, 0.0381656132405, 0.379063007613]),
        (1.0, [0.3017207738, 0.0564332362834, 0.461351949712]),
        (1.5, [0.410978211248, 0.107941500684, 0.639539826151]),
        (2.0, [0.493457480397, 0.160641720825, 0.781749831557]),
        (5.0, [0.713791523612, 0.387628360724, 1.21536811761]),
        (6.0, [0.74457114889, 0.434588828682, 1.2836972858]),
        (10.0, [0.81060902488, 0.554995597754, 1.4302855388]),
        (15.0, [0.847715674332, 0.635285780362, 1.50184015418]),
    ] {
        for (count, share) in [(5, 1e-2), (20, 1e-3), (80, 1e-4)] {
            for (found, expected) in elastica(count, load).into_iter().zip(expected) {
                assert_relative_eq!(found, expected, max_relative = share);
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
    let [across, axis] = turned_plane();
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

/// Shallow toggle, its apex pushed down: force and thrust at given deflections, past the
/// limit points. Tolerance: 0.5 % with 8 elements a member, 0.1 % with 32, the thrust in
/// shares of its largest value.
///
/// Source: Williams, *Quart. J. Mech. Appl. Math.* 17 (1964) (from memory); exact rod
/// equations.
#[test]
fn williams_toggle_pushed() {
    for (rise, rows) in [
        (
            0.386,
            [
                (0.1, 25.203369, 365.10617),
                (0.2, 33.498999, 589.64922),
                (0.3, 32.847232, 672.81789),
                (0.4, 31.303208, 621.31107),
                (0.5, 36.096997, 446.34989),
                (0.6, 53.313109, 158.49920),
            ],
        ),
        (
            0.32,
            [
                (0.1, 19.224659, 291.31534),
                (0.2, 25.831532, 443.78779),
                (0.3, 27.669354, 458.45382),
                (0.4, 32.379211, 342.29648),
                (0.5, 46.743057, 104.94201),
                (0.6, 76.594418, -245.28204),
            ],
        ),
    ] {
        for (count, share) in [(8, 5e-3), (32, 1e-3)] {
            for (deflection, force, thrust) in rows {
                let (mut frame, apex) = toggle(rise, count);
                frame.hold(apex, [false, true, false, false, false, false]);
                let case = LoadCase::named("push").with_movement(apex, 1, -deflection);
                let path = followed(&frame, &case, &PathOptions::default());
                let reactions = &path.last().reactions;
                assert_relative_eq!(-reactions[apex].y, force, max_relative = share);
                assert_close(reactions[0].x, thrust, 672.8, share, "thrust");
            }
        }
    }
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

/// Work of the dead load along the path, by the trapezoidal rule, is the strain energy:
/// second order in the step, 1e-4 with the finest.
#[test]
fn energy_balances_along_the_path() {
    let (frame, case, node) = lee_frame(10);
    let errors = [40, 80, 160].map(|steps| {
        let options = PathOptions {
            follow: Follow::Path,
            steps,
            growth: 1.0,
            load_factors: [f64::NEG_INFINITY, 1.9],
            ..PathOptions::default()
        };
        let path = followed(&frame, &case, &options);
        let work: f64 = path
            .states
            .windows(2)
            .map(|pair| {
                let down = |state: &PathState| -state.displacement(node).y;
                let mean = (pair[0].load_factor + pair[1].load_factor) / 2.0;
                mean * (down(&pair[1]) - down(&pair[0]))
            })
            .sum();
        (work / path.last().energy - 1.0).abs()
    });
    assert!(errors[2] < 1e-4, "{errors:?}");
    assert_order(&errors, 2.0, 0.3);
}
