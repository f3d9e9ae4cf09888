//! Co-rotational links against second witnesses.

use super::*;
use crate::frame::element::{Geometry, Link, stack};
use crate::frame::{Frame, Moduli, Profile};
use crate::section::{Outline, Section};
use nalgebra::vector;

/// Even numbers in −1..1 from a fixed sequence.
struct Sequence(u32);

impl Sequence {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1 << 23) - 1.0
    }

    fn vector(&mut self, size: f64) -> Vector3<f64> {
        Vector3::from_fn(|_, _| size * self.next())
    }

    fn section(&mut self) -> Section {
        Section {
            area: 20.0 + 10.0 * self.next(),
            second_moment_y: 60.0 + 30.0 * self.next(),
            second_moment_z: 90.0 + 30.0 * self.next(),
            product_moment: 20.0 * self.next(),
            torsion_constant: 80.0 + 50.0 * self.next(),
            shear_area_y: 12.0 + 5.0 * self.next(),
            shear_area_z: 12.0 + 5.0 * self.next(),
            torsion_shear: 0.0,
            outline: Outline::Unknown,
        }
    }

    /// A skew member with arms, half of them with a section that varies.
    fn beam(&mut self, seed: u32) -> Beam {
        let mut frame = Frame::default();
        let start = self.vector(20.0);
        let along = self.vector(1.0) + vector![2.0, 0.5, 0.3];
        let a = frame.add_node("a", start);
        let b = frame.add_node("b", start + along * 12.0);
        let up = self.vector(1.0).cross(&along);
        let moduli = Moduli {
            youngs: 1e4,
            shear: 4e3,
        };
        let profile = match seed % 2 {
            0 => Profile::Prismatic(self.section()),
            _ => Profile::Varying([(); 4].map(|()| self.section()).to_vec()),
        };
        let member = frame.add_member("m", [a, b], up, moduli, profile);
        frame.members[member].arms = [self.vector(3.0), self.vector(3.0)];
        let member = &frame.members[member];
        let geometry = Geometry::of(&frame, member).expect("a sound member");
        let stress_free = stack(self.vector(0.3), self.vector(0.05));
        Beam::new(member, &geometry, stress_free).expect("a sound member")
    }

    fn link(&mut self) -> Link {
        let half = Matrix6::from_fn(|i, k| self.next() * 20.0 + if i == k { 60.0 } else { 0.0 });
        Link {
            nodes: [0, 1],
            levers: [self.vector(4.0), self.vector(4.0)],
            stiffness: half * half.transpose(),
            offset: Vector6::zeros(),
        }
    }

    /// Two nodes turned far from where they were, and little against each other.
    fn poses(&mut self, relative: f64) -> [Pose; 2] {
        let far = stack(self.vector(30.0), self.vector(1.7));
        [0, 1].map(|_| {
            let mut pose = Pose::start();
            pose.advance(&far);
            pose.advance(&stack(self.vector(10.0 * relative), self.vector(relative)));
            pose
        })
    }
}

fn moved(poses: &[Pose; 2], freedom: usize, by: f64) -> [Pose; 2] {
    let mut poses = poses.clone();
    poses[freedom / 6].advance(&Vector6::ith(freedom % 6, by));
    poses
}

/// Second witness: forces are the slope of the energy, the tangent the slope of the
/// forces, by central differences of step 1e-5 with an error of about 1e-8.
fn assert_derivatives(respond: impl Fn(&[Pose; 2]) -> Response, poses: &[Pose; 2], what: &str) {
    let h = 1e-5;
    let here = respond(poses);
    for k in 0..12 {
        let (ahead, behind) = (respond(&moved(poses, k, h)), respond(&moved(poses, k, -h)));
        let force = (ahead.energy - behind.energy) / (2.0 * h);
        let scale = here.force.amax();
        assert!(
            (force - here.force[k]).abs() < 1e-6 * scale,
            "{what}: force {k}"
        );
        let slope = (ahead.force - behind.force) / (2.0 * h);
        let apart = (slope - here.tangent.column(k)).amax();
        let scale = here.tangent.amax();
        assert!(
            apart < 1e-7 * scale,
            "{what}: tangent column {k} off by {apart:e}"
        );
    }
}

#[test]
fn tangents_against_central_differences() {
    for seed in 0..60 {
        let mut sequence = Sequence(seed);
        let beam = sequence.beam(seed);
        let link = sequence.link();
        for relative in [1e-4, 0.03, 0.4] {
            let poses = sequence.poses(relative);
            let member = |p: &[Pose; 2]| beam.respond([&p[0], &p[1]], 0.7);
            assert_derivatives(member, &poses, &format!("member {seed}, {relative}"));
            let coupling = |p: &[Pose; 2]| link.respond([&p[0], &p[1]]);
            assert_derivatives(coupling, &poses, &format!("coupling {seed}, {relative}"));
        }
    }
}

/// Where nothing has moved the tangent is that of the linear link.
#[test]
fn starts_as_the_linear_element() {
    let mut frame = Frame::default();
    let mut sequence = Sequence(5);
    let a = frame.add_node("a", vector![1.0, 2.0, 3.0]);
    let b = frame.add_node("b", vector![12.0, -4.0, 9.0]);
    let moduli = Moduli {
        youngs: 1e4,
        shear: 4e3,
    };
    let profile = Profile::Prismatic(sequence.section());
    frame.add_member("m", [a, b], Vector3::y(), moduli, profile);
    frame.members[0].arms = [sequence.vector(3.0), sequence.vector(3.0)];
    let geometry = Geometry::of(&frame, &frame.members[0]).expect("sound");
    let linear = frame.members[0].link(&geometry).expect("sound").blocks();
    let beam = Beam::new(&frame.members[0], &geometry, Vector6::zeros()).expect("sound");
    let start = Pose::start();
    let tangent = beam.respond([&start, &start], 1.0).tangent;
    for (found, expected) in symmetric_blocks(&tangent).iter().zip(&linear) {
        assert!((found - expected).amax() < 1e-10 * expected.amax());
    }
}

/// `L/30 (2 θa² − θa θb + 2 θb²)` for a slender prismatic member.
#[test]
fn bowing_of_a_slender_member() {
    let mut frame = Frame::default();
    let a = frame.add_node("a", Vector3::zeros());
    let b = frame.add_node("b", vector![30.0, 0.0, 0.0]);
    let moduli = Moduli {
        youngs: 1e4,
        shear: 4e3,
    };
    let section = Section::circle(3.0, 0.3).without_shear();
    frame.add_member(
        "m",
        [a, b],
        Vector3::z(),
        moduli,
        Profile::Prismatic(section),
    );
    let geometry = Geometry::of(&frame, &frame.members[0]).expect("sound");
    let beam = Beam::new(&frame.members[0], &geometry, Vector6::zeros()).expect("sound");
    for (near, far) in [(2, 5), (3, 6)] {
        for (i, k, expected) in [(near, near, 4.0), (near, far, -1.0), (far, far, 4.0)] {
            assert!((beam.bowing[(i, k)] - expected).abs() < 1e-12);
        }
    }
}
