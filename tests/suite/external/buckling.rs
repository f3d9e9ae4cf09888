//! Buckling loads against closed forms.
//!
//! Circle d = 10, E = 110000, ν = 0.3, L = 300 mm unless said otherwise.
//!
//! Source, unless said otherwise: Timoshenko & Gere, *Theory of Elastic Stability*, 2nd ed.
//! (1961), chs. 2 and 6 (from memory); closed forms. Euler's, Engesser's and Haringx's
//! loads from `EI`, `GAy` of the section.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use clavibeam::frame::{Buckling, Frame, LoadCase, LoadSense, PathOptions, buckle, follow_path};
use clavibeam::section::Section;
use nalgebra::vector;

use crate::common::{TITANIUM, straight};

const LENGTH: f64 = 300.0;

fn slender() -> Section {
    Section::circle(10.0, 0.3).without_shear()
}

fn buckled(frame: &Frame, case: &LoadCase, modes: usize) -> Buckling {
    buckle(frame, case, modes, LoadSense::AsGiven).unwrap_or_else(|error| panic!("{error}"))
}

fn lowest(frame: &Frame, case: &LoadCase) -> f64 {
    buckled(frame, case, 1).load_factors[0]
}

/// How the ends of a column are held, its axis along x: first end, second end.
const PINNED: [[bool; 6]; 2] = [
    [true, true, true, true, false, false],
    [false, true, true, false, false, false],
];
/// A column under a unit force at its second end.
fn column(length: f64, count: usize, section: Section, held: [[bool; 6]; 2]) -> (Frame, LoadCase) {
    let (mut frame, nodes) = straight(length, count, TITANIUM, section);
    frame.hold(nodes[0], held[0]);
    frame.hold(nodes[count], held[1]);
    let case = LoadCase::named("push").with_force(nodes[count], vector![-1.0, 0.0, 0.0]);
    (frame, case)
}

/// Modes come in order, in pairs for a round column, none missed: `n² PE`, 1 % for the
/// third with 16 elements. Their shapes are half waves. A column in tension has none.
#[test]
fn modes_in_order() {
    let (frame, case) = column(LENGTH, 16, slender(), PINNED);
    let found = buckled(&frame, &case, 6);
    for (mode, factor) in found.load_factors.iter().enumerate() {
        let waves = (mode / 2 + 1) as f64;
        let expected = 5921.337560474 * waves * waves;
        assert_relative_eq!(*factor, expected, max_relative = 1e-2);
    }
    for pair in found.load_factors.chunks(2) {
        assert_relative_eq!(pair[0], pair[1], max_relative = 1e-8);
    }
    for (mode, shape) in found.shapes.iter().enumerate() {
        let waves = (mode / 2 + 1) as f64;
        let sine = |node: usize| (waves * PI * node as f64 / 16.0).sin();
        // Amplitudes along y and z from the node with the largest sine.
        let top = (1..16)
            .max_by(|&a, &b| sine(a).total_cmp(&sine(b)))
            .expect("nodes inside");
        for node in 0..=16 {
            for freedom in [1, 2] {
                let expected = shape[top][freedom] * sine(node) / sine(top);
                let largest = shape[top][1].hypot(shape[top][2]);
                assert!((shape[node][freedom] - expected).abs() < 1e-2 * largest);
            }
        }
    }
    let pull = LoadCase::named("pull").with_force(16, vector![1.0, 0.0, 0.0]);
    let none = buckle(&frame, &pull, 3, LoadSense::AsGiven).expect("proven");
    assert!(none.load_factors.is_empty());
    let reversed = buckle(&frame, &pull, 1, LoadSense::Reversed).expect("proven");
    assert_relative_eq!(
        reversed.load_factors[0],
        -5921.337560474,
        max_relative = 1e-4
    );
}

/// A cantilever on a rotational spring of 1e6 N·mm/rad: `kL tan kL = c L/EI`; and the same
/// column found by following its path, where the tangent gains a negative eigenvalue.
#[test]
fn column_on_a_sprung_base() {
    let (mut frame, case) = column(
        LENGTH,
        16,
        slender(),
        [[true, true, true, true, false, false], [false; 6]],
    );
    frame.spring(0, [0.0, 0.0, 0.0, 0.0, 1e6, 1e6]);
    assert_relative_eq!(lowest(&frame, &case), 1069.236353765, max_relative = 1e-6);
    for (share, negative) in [(0.999, 0), (1.001, 2)] {
        let factor = 1069.236353765 * share;
        let options = PathOptions {
            load_factors: [f64::NEG_INFINITY, factor],
            ..PathOptions::default()
        };
        let path = follow_path(&frame, &case, &options).expect("a straight column");
        assert_eq!(path.last().negative, negative, "at {share}");
    }
}
