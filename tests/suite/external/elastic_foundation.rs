//! Beams on an elastic foundation of lumped springs.
//!
//! Circle d = 10 mm, E = 110000 MPa, Euler–Bernoulli, foundation k = 10 N/mm per mm unless
//! said otherwise; each node has a spring of k times its share of length, half a share at
//! the ends. P = 100 N.
//!
//! Source: Hetényi, *Beams on Elastic Foundation* (1946) (formulas from memory), closed form.
//! Tolerance 1e-3 at a spacing of 1 mm, order two in the spacing.

use approx::assert_relative_eq;
use clavibeam::frame::{CaseSolution, Frame, LoadCase};
use clavibeam::section::Section;
use nalgebra::vector;

use crate::common::{TITANIUM, assert_order, solved, straight};

/// Longer than 17 decay lengths: what the far end does is below 1e-7 of what the near does.
const LONG: f64 = 1200.0;

/// A beam free at both ends but for the foundation (and held in the plane of bending).
fn founded(length: f64, spacing: f64, foundation: f64) -> (Frame, Vec<usize>) {
    let count = (length / spacing).round() as usize;
    let rod = Section::circle(10.0, 0.3).without_shear();
    let (mut frame, nodes) = straight(length, count, TITANIUM, rod);
    for (i, &node) in nodes.iter().enumerate() {
        let share = if i == 0 || i == count {
            spacing / 2.0
        } else {
            spacing
        };
        frame.spring(node, [0.0, 0.0, foundation * share, 0.0, 0.0, 0.0]);
    }
    frame.hold(nodes[0], [true, true, false, true, false, true]);
    (frame, nodes)
}

/// Asserts a quantity at 1 mm and its order over 4, 2, 1 mm.
fn assert_converges(order: f64, expected: f64, quantity: impl Fn(f64) -> f64) {
    let errors = [4.0, 2.0, 1.0].map(|spacing| (quantity(spacing) / expected - 1.0).abs());
    assert!(errors[2] < 1e-3, "{errors:?} for {expected}");
    assert_order(&errors, order, 0.1);
}

/// Half of an infinite beam under P: its middle cannot turn. Lumping is the trapezoidal
/// rule, which by symmetry of the load loses nothing of order two here.
#[test]
fn infinite_beam() {
    let half = |spacing| {
        let (mut frame, nodes) = founded(LONG, spacing, 10.0);
        frame.hold(nodes[0], [false, false, false, false, true, false]);
        let case = LoadCase::named("half of P").with_force(nodes[0], vector![0.0, 0.0, -50.0]);
        solved(&frame, &case)
    };
    assert_converges(4.0, 0.073343960975314, |spacing| {
        -half(spacing).displacement(0).z
    });
    assert_converges(2.0, 1704.2984635377, |spacing| {
        half(spacing).reaction_moment(0).y.abs()
    });
}

#[test]
fn semi_infinite_beam_end_force() {
    let end_loaded = |spacing| {
        let (frame, nodes) = founded(LONG, spacing, 10.0);
        let case = LoadCase::named("P").with_force(nodes[0], vector![0.0, 0.0, -100.0]);
        (solved(&frame, &case), frame, case)
    };
    assert_converges(2.0, 0.29337584390126, |s| {
        -end_loaded(s).0.displacement(0).z
    });
    assert_converges(2.0, 0.0043034692892387, |s| {
        end_loaded(s).0.rotation(0).y.abs()
    });
    // The largest moment, at π/4λ = 53.542 mm: off the nodes, so the bound alone.
    let (solution, frame, case) = end_loaded(1.0);
    let moment = solution
        .section_forces(&frame, &case, 53, 0.542115325746)
        .bending();
    assert_relative_eq!(moment, 2197.8424512234, max_relative = 1e-3);
}

#[test]
fn semi_infinite_beam_end_moment() {
    let end_loaded = |spacing| -> CaseSolution {
        let (frame, nodes) = founded(LONG, spacing, 10.0);
        let case = LoadCase::named("M").with_moment(nodes[0], vector![0.0, 1000.0, 0.0]);
        solved(&frame, &case)
    };
    assert_converges(2.0, 0.043034692892387, |s| {
        end_loaded(s).displacement(0).z.abs()
    });
    assert_converges(2.0, 0.0012625339344335, |s| end_loaded(s).rotation(0).y);
}

/// L = 100 mm, load at the centre; the second foundation is ten times stiffer.
#[test]
fn finite_free_beam_centre_force() {
    let centre_loaded = |spacing: f64, foundation| {
        let (frame, nodes) = founded(100.0, spacing, foundation);
        let middle = nodes[nodes.len() / 2];
        let case = LoadCase::named("P").with_force(middle, vector![0.0, 0.0, -100.0]);
        let solution = solved(&frame, &case);
        let moment = solution
            .section_forces(&frame, &case, middle, 0.0)
            .bending();
        [
            -solution.displacement(middle).z,
            -solution.displacement(0).z,
            moment,
        ]
    };
    for (foundation, quantity, expected) in [
        (10.0, 0, 0.10559204840006),
        (10.0, 1, 0.091639309591357),
        (10.0, 2, 1218.9868107279),
        (100.0, 0, 0.01430757824264),
        (100.0, 2, 1014.721570531),
    ] {
        let errors = [2.5, 1.25, 0.625]
            .map(|spacing| (centre_loaded(spacing, foundation)[quantity] / expected - 1.0).abs());
        assert_order(&errors, 2.0, 0.1);
        let at_one_mm = centre_loaded(1.0, foundation)[quantity];
        assert_relative_eq!(at_one_mm, expected, max_relative = 1e-3);
    }
}
