//! A quarter circle of R = 100 mm as a polyline, clamped at (0, 0) with tangent +x.
//!
//! Circle d = 10 mm, E = 110000 MPa, ν = 0.3, tip load P = 100 N; the tip's tangent is +y
//! and its radius along x.
//!
//! Source: Castigliano's theorem on the thin arc, closed form; the polyline rows by the
//! unit-load method on the inscribed chords, both evaluated independently.

use std::f64::consts::FRAC_PI_2;

use clavibeam::frame::{CaseSolution, Frame, LoadCase};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

use crate::common::{TITANIUM, assert_order, join, solved};

const RADIUS: f64 = 100.0;
const RADIAL: Vector3<f64> = Vector3::new(1.0, 0.0, 0.0);
const TANGENTIAL: Vector3<f64> = Vector3::new(0.0, 1.0, 0.0);
const OUT_OF_PLANE: Vector3<f64> = Vector3::new(0.0, 0.0, 1.0);

fn timoshenko() -> Section {
    Section::circle(10.0, 0.3)
}

fn arc(count: usize, section: Section) -> (Frame, usize) {
    let mut frame = Frame::default();
    let nodes: Vec<usize> = (0..=count)
        .map(|i| {
            let angle = FRAC_PI_2 * i as f64 / count as f64;
            let place = vector![angle.sin(), 1.0 - angle.cos(), 0.0] * RADIUS;
            frame.add_node(format!("{i}"), place)
        })
        .collect();
    join(&mut frame, &nodes, TITANIUM, section);
    frame.fix(nodes[0]);
    (frame, nodes[count])
}

fn loaded(count: usize, section: Section, direction: Vector3<f64>) -> (CaseSolution, usize) {
    let (frame, tip) = arc(count, section);
    let case = LoadCase::named("tip").with_force(tip, 100.0 * direction);
    (solved(&frame, &case), tip)
}

/// The polyline tends to the arc with the square of the chord, Timoshenko and
/// Euler–Bernoulli, in and out of plane; the tip's other motions too. Axial strain is kept
/// out by a large area where the number leaves it out. At 256 chords the
/// error left is a few 1e-5.
#[test]
fn arc_is_reached_with_order_two() {
    let (axial, shear) = (0.00090909090909, 0.0026666666666667);
    let stretch_and_shear = -0.0011189074787067;
    type Quantity = fn(&CaseSolution, usize) -> f64;
    let along_x: Quantity = |s, tip| s.displacement(tip).x;
    let along_y: Quantity = |s, tip| s.displacement(tip).y;
    let along_z: Quantity = |s, tip| s.displacement(tip).z;
    let turn_z: Quantity = |s, tip| s.rotation(tip).z;
    let (thick, thin) = (timoshenko(), timoshenko().without_shear());
    let stiff = Section { area: 1e8, ..thin };
    for (section, load, quantity, expected) in [
        (stiff, RADIAL, along_x, 1.4545454545455),
        (thin, RADIAL, along_x, 1.4545454545455 + axial),
        (thick, RADIAL, along_x, 1.4545454545455 + axial + shear),
        (stiff, RADIAL, along_y, -0.92599239617103),
        (
            thick,
            RADIAL,
            along_y,
            -0.92599239617103 + stretch_and_shear,
        ),
        (stiff, RADIAL, turn_z, -0.018519847923421),
        (stiff, TANGENTIAL, along_y, 0.65966677895225),
        (stiff, TANGENTIAL, turn_z, 0.010571061167489),
        (thin, OUT_OF_PLANE, along_z, 2.3121122671834),
        (thick, OUT_OF_PLANE, along_z, 2.3174456005167),
    ] {
        let errors = [16, 32, 64, 128, 256].map(|count| {
            let (solution, tip) = loaded(count, section, load);
            (quantity(&solution, tip) / expected - 1.0).abs()
        });
        assert_order(&errors, 2.0, 0.05);
        assert!(errors[4] < 5e-5, "{errors:?} for {expected}");
    }
}
