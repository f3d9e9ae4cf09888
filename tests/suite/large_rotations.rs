//! Laws of large displacements, over seeded random frames; the seed stands in each message.

use clavibeam::frame::{
    Frame, LoadCase, LoadPath, MemberAction, PathOptions, follow_path, rotation_matrix,
};
use nalgebra::{Vector3, Vector6};

use crate::common::{Loads, Sample, length, solved, stack};
use crate::transform::{swap_ends, turned};

fn followed(frame: &Frame, case: &LoadCase, seed: u64) -> LoadPath {
    follow_path(frame, case, &PathOptions::default())
        .unwrap_or_else(|error| panic!("seed {seed}: {error}"))
}

fn apart(found: &[Vector6<f64>], expected: &[Vector6<f64>]) -> f64 {
    let pairs = found.iter().zip(expected);
    let largest = expected.iter().map(|v| v.amax()).fold(0.0, f64::max);
    pairs.map(|(a, b)| (a - b).amax()).fold(0.0, f64::max) / largest
}

/// A random frame under a tenth of its random nodal loads, so that Newton has an easy way.
fn gentle(seed: u64) -> Sample {
    let mut sample = Sample::loaded(seed, Loads::All);
    for load in &mut sample.case.nodal {
        load.force *= 0.1;
        load.moment *= 0.1;
    }
    sample
}

/// The whole loaded model turned: the answer turns with it. Even seeds: odd ones hold
/// single global freedoms.
#[test]
fn turning_the_frame_turns_the_path() {
    for seed in (0..60).step_by(2) {
        let mut sample = gentle(seed);
        let rotation = sample.rotation();
        let (frame, case) = turned(&sample.frame, &sample.case, &rotation);
        let found = followed(&frame, &case, seed);
        let straight = followed(&sample.frame, &sample.case, seed);
        let expected: Vec<Vector6<f64>> = straight
            .last()
            .displacements
            .iter()
            .map(|u| {
                stack(
                    rotation * u.fixed_rows::<3>(0),
                    rotation * u.fixed_rows::<3>(3),
                )
            })
            .collect();
        let off = apart(&found.last().displacements, &expected);
        assert!(off < 1e-6, "seed {seed}: {off:e}");
        let off = apart(&found.solution.member_ends, &straight.solution.member_ends);
        assert!(off < 1e-6, "seed {seed}: forces {off:e}");
    }
}

/// A frame under stress from within, carried through any turn by its root: the forces in
/// it stay as they were. The root is node 0; nothing else holds the frame.
#[test]
fn a_rigid_turn_changes_no_force() {
    for seed in 0..60 {
        let mut sample = Sample::chain(seed, 4);
        sample.member([3, 1]);
        sample.couple(3, 0);
        let strain = MemberAction::StressFree {
            strain: 2e-3,
            curvature_y: 1e-3,
            curvature_z: -2e-3,
        };
        let case = LoadCase::named("strained").with_action(1, strain);
        let at_rest = followed(&sample.frame, &case, seed);
        let (turn, shift) = (sample.vector(1.6), sample.vector(50.0));
        let mut carried = case.clone();
        for freedom in 0..6 {
            let value = stack(shift, turn)[freedom];
            carried = carried.with_movement(0, freedom, value);
        }
        let moved = followed(&sample.frame, &carried, seed);
        let off = apart(&moved.solution.member_ends, &at_rest.solution.member_ends);
        assert!(off < 1e-6, "seed {seed}: members {off:e}");
        let off = apart(
            &moved.solution.coupling_forces,
            &at_rest.solution.coupling_forces,
        );
        assert!(off < 1e-6, "seed {seed}: couplings {off:e}");
        for node in 0..4 {
            let before: Vector3<f64> =
                sample.frame.nodes[node].position + at_rest.last().displacement(node);
            let expected = rotation_matrix(&turn) * before + shift;
            let found = sample.frame.nodes[node].position + moved.last().displacement(node);
            assert!((found - expected).norm() < 1e-5, "seed {seed}: node {node}");
        }
    }
}

/// Ends swapped, couplings aside: the same path.
#[test]
fn swapped_ends_change_nothing() {
    for seed in 0..60 {
        let sample = gentle(seed);
        let (frame, case) = swap_ends(&sample.frame, &sample.case);
        let found = followed(&frame, &case, seed);
        let expected = followed(&sample.frame, &sample.case, seed);
        let off = apart(&found.last().displacements, &expected.last().displacements);
        assert!(off < 1e-6, "seed {seed}: {off:e}");
    }
}

/// A small load: the linear answer, motions and forces, the closer the smaller.
#[test]
fn small_loads_are_linear() {
    for seed in 0..60 {
        let sample = Sample::loaded(seed, Loads::All);
        let linear = solved(&sample.frame, &sample.case);
        let scale = 1e-5;
        let options = PathOptions {
            load_factors: [f64::NEG_INFINITY, scale],
            steps: 1,
            tolerance: 1e-12,
            ..PathOptions::default()
        };
        let path = follow_path(&sample.frame, &sample.case, &options)
            .unwrap_or_else(|error| panic!("seed {seed}: {error}"));
        let grown = |part: &[Vector6<f64>]| -> Vec<Vector6<f64>> {
            part.iter().map(|v| v / scale).collect()
        };
        for (found, expected) in [
            (
                path.last().displacements.clone(),
                linear.displacements.clone(),
            ),
            (path.last().reactions.clone(), linear.reactions.clone()),
            (
                [
                    path.solution.member_ends.clone(),
                    path.solution.coupling_forces.clone(),
                ]
                .concat(),
                [linear.member_ends.clone(), linear.coupling_forces.clone()].concat(),
            ),
        ] {
            let off = apart(&grown(&found), &expected);
            assert!(off < 1e-3, "seed {seed}: {off:e}");
        }
    }
}

/// What lies between the ends of a member meets its nodes, moved and turned.
#[test]
fn motion_along_meets_the_nodes() {
    for seed in 0..60 {
        let sample = gentle(seed);
        let (frame, case) = (&sample.frame, &sample.case);
        let solution = followed(frame, case, seed).solution;
        for (index, member) in frame.members.iter().enumerate() {
            let length = length(frame, index);
            for (k, at) in [(0, 0.0), (1, length)] {
                let node = member.nodes[k];
                let turn = rotation_matrix(&solution.rotation(node));
                let arm = turn * member.arms[k] - member.arms[k];
                let expected = solution.displacement(node) + arm;
                let found = solution.motion_along(frame, case, index, at);
                let off = (found.fixed_rows::<3>(0) - expected).norm();
                assert!(off < 1e-9, "seed {seed}, member {index}: {off:e}");
                let rotation = rotation_matrix(&found.fixed_rows::<3>(3).into_owned());
                // The force in a member turns with its chord, its curvature does not know.
                let off = (rotation - turn).amax();
                assert!(off < 0.03, "seed {seed}, member {index}: turned {off:e}");
            }
        }
    }
}
