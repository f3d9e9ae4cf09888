//! A linear solid taper, 12 mm at the clamped root to 8 mm at the tip over 100 mm.
//!
//! E = 110000 MPa, ν = 0.3; tip loads of 100 N across, 1000 N along, 1000 N·mm about.
//!
//! Source: closed form, `w = 64 P L³ / (3 π E d_root³ d_tip)` for bending, the others by
//! the same integration; evaluated independently.

use approx::assert_relative_eq;
use clavibeam::frame::{Frame, LoadCase, Profile, lobatto};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

use crate::common::{TITANIUM, assert_order, join, solved, stations, straight, tube};

const DEFLECTION: f64 = 0.4465626910547;

fn diameter(fraction: f64) -> f64 {
    12.0 - 4.0 * fraction
}

/// One member with the given section along it, at `points` Lobatto points.
fn varying(points: usize, section: impl Fn(f64) -> Section) -> (Frame, usize) {
    let mut frame = Frame::default();
    let nodes = stations(&mut frame, [0.0, 100.0]);
    let sections = lobatto(points)
        .iter()
        .map(|&(fraction, _)| section(fraction))
        .collect();
    let profile = Profile::Varying(sections);
    frame.add_member(
        "taper",
        [nodes[0], nodes[1]],
        Vector3::z(),
        TITANIUM,
        profile,
    );
    frame.fix(nodes[0]);
    (frame, nodes[1])
}

/// One member, flexibility integrated at 12 points: 1e-8 is what that rule leaves of the
/// integrals of 1/d², 1/d⁴.
#[test]
fn one_varying_member() {
    let solid = |fraction| Section::circle(diameter(fraction), 0.3);
    let (frame, tip) = varying(12, solid);
    let across = LoadCase::named("across").with_force(tip, vector![0.0, 0.0, -100.0]);
    let w = -solved(&frame, &across).displacement(tip).z;
    assert_relative_eq!(w, 0.45009946756785, max_relative = 1e-8);
    let along = LoadCase::named("along").with_force(tip, vector![1000.0, 0.0, 0.0]);
    let u = solved(&frame, &along).displacement(tip).x;
    assert_relative_eq!(u, 0.012057192658477, max_relative = 1e-8);
    let about = LoadCase::named("about").with_moment(tip, vector![1000.0, 0.0, 0.0]);
    let twist = solved(&frame, &about).rotation(tip).x;
    assert_relative_eq!(twist, 0.0027575246172628, max_relative = 1e-8);

    let (frame, tip) = varying(12, |fraction| solid(fraction).without_shear());
    let sideways = LoadCase::named("sideways").with_force(tip, vector![0.0, 100.0, 0.0]);
    let solution = solved(&frame, &sideways);
    assert_relative_eq!(
        solution.displacement(tip).y,
        DEFLECTION,
        max_relative = 1e-8
    );
    assert_relative_eq!(
        solution.rotation(tip).z,
        0.0078148470934573,
        max_relative = 1e-8
    );
}

/// Outer diameter 12 to 9 mm, canal 6 mm.
#[test]
fn one_hollow_varying_member() {
    let (frame, tip) = varying(12, |fraction| tube(12.0 - 3.0 * fraction, 6.0));
    let case = LoadCase::named("across").with_force(tip, vector![0.0, 0.0, -100.0]);
    let w = -solved(&frame, &case).displacement(tip).z;
    assert_relative_eq!(w, 0.43551157450824, max_relative = 1e-8);
}

/// Equal prismatic elements with the section at their middles: what ten give exactly, and
/// order two towards the taper.
#[test]
fn stepped_members() {
    let deflection = |count: usize| {
        let (mut frame, nodes) = straight(100.0, count, TITANIUM, Section::circle(1.0, 0.3));
        frame.members.clear();
        for (i, pair) in nodes.windows(2).enumerate() {
            let d = diameter((i as f64 + 0.5) / count as f64);
            join(
                &mut frame,
                pair,
                TITANIUM,
                Section::circle(d, 0.3).without_shear(),
            );
        }
        frame.fix(nodes[0]);
        let case = LoadCase::named("across").with_force(nodes[count], vector![0.0, 0.0, -100.0]);
        -solved(&frame, &case).displacement(nodes[count]).z
    };
    assert_relative_eq!(deflection(10), 0.44808617218046, max_relative = 1e-8);
    let errors = [10, 20, 40, 80].map(|count| deflection(count) - DEFLECTION);
    assert_order(&errors, 2.0, 0.02);
}
