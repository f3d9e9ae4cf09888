//! Closed-form beam cases.

use approx::assert_relative_eq;
use clavibeam::frame::{Frame, LoadCase, Moduli, Profile, solve};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

/// E = 110000, ν = 0.3.
const MODULI: Moduli = Moduli {
    youngs: 110_000.0,
    shear: 110_000.0 / 2.6,
};

/// Quarter circle R = 100 as n chords, clamped at (0,0), tangent +x, tip load P = 100 out of
/// plane (+z): the deflection of the inscribed polyline, Euler–Bernoulli.
///
/// Source: unit-load method on the polyline, computed independently with a general-purpose
/// numeric library. Tolerance 1e-8: the printed digits.
#[test]
fn quarter_circle_polyline_out_of_plane() {
    for (n, expected) in [(8, 2.29688130069), (16, 2.30828255749), (32, 2.31115346381)] {
        let mut frame = Frame::default();
        let nodes: Vec<usize> = (0..=n)
            .map(|i| {
                let angle = std::f64::consts::FRAC_PI_2 * i as f64 / n as f64;
                frame.add_node(
                    format!("{i}"),
                    vector![100.0 * angle.sin(), 100.0 * (1.0 - angle.cos()), 0.0],
                )
            })
            .collect();
        let section = Section::circle(10.0, 0.3).without_shear();
        for pair in nodes.windows(2) {
            frame.add_member(
                "chord",
                [pair[0], pair[1]],
                Vector3::z(),
                MODULI,
                Profile::Prismatic(section),
            );
        }
        frame.fix(nodes[0]);
        let case = LoadCase::named("out of plane").with_force(nodes[n], vector![0.0, 0.0, 100.0]);
        let solution = solve(&frame, &[case]).expect("a clamped arc holds its load");
        let tip = solution.cases[0].displacement(nodes[n]).z;
        assert_relative_eq!(tip, expected, max_relative = 1e-10);
    }
}
