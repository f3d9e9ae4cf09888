//! Laws that hold for any frame, over seeded random ones; the seed stands in each message.

use approx::assert_relative_eq;
use clavibeam::frame::{
    CaseSolution, Frame, Law, LoadAxes, LoadCase, MemberAction, assemble_sparse, lobatto, solve,
};
use nalgebra::{DMatrix, DVector, Matrix3, Matrix6, SymmetricEigen, Vector3, Vector6};
use nalgebra_sparse::convert::serial::convert_csc_dense;

use crate::common::{Loads, Sample, axes, difference, length, solved, stack};
use crate::transform::{renumbered, split_members, swap_ends, turned};

const SEEDS: std::ops::Range<u64> = 0..300;

/// Work of the loads of one case through the motions of another.
fn work(frame: &Frame, loads: &LoadCase, motion: (&LoadCase, &CaseSolution)) -> f64 {
    let (case, solution) = motion;
    let nodal = loads.nodal.iter().map(|load| {
        load.force.dot(&solution.displacement(load.node))
            + load.moment.dot(&solution.rotation(load.node))
    });
    let along = loads.members.iter().map(|load| {
        let to_global = |kind, v: &Vector3<f64>| match kind {
            LoadAxes::Global => *v,
            LoadAxes::Local => axes(frame, load.member).tr_mul(v),
        };
        let moved = |at| solution.motion_along(frame, case, load.member, at);
        match &load.action {
            MemberAction::Point {
                at,
                force,
                moment,
                axes,
            } => stack(to_global(*axes, force), to_global(*axes, moment)).dot(&moved(*at)),
            MemberAction::Line {
                stretch: [from, to],
                force,
                axes,
            } => {
                let density = |x: f64| {
                    let share = (x - from) / (to - from);
                    let force = to_global(*axes, &(force[0].lerp(&force[1], share)));
                    force.dot(&moved(x).fixed_rows::<3>(0))
                };
                integral(&[*from, *to], &places(case, load.member), density)
            }
            MemberAction::StressFree { .. } => panic!("work of a stress-free strain"),
        }
    });
    nodal.sum::<f64>() + along.sum::<f64>()
}

/// Places along a member where its section forces are not smooth.
fn places(case: &LoadCase, member: usize) -> Vec<f64> {
    let actions = case.members.iter().filter(|load| load.member == member);
    actions
        .flat_map(|load| match load.action {
            MemberAction::Point { at, .. } => vec![at],
            MemberAction::Line { stretch, .. } => stretch.to_vec(),
            MemberAction::StressFree { .. } => vec![],
        })
        .collect()
}

fn integral(range: &[f64; 2], breaks: &[f64], f: impl Fn(f64) -> f64) -> f64 {
    let mut cuts = breaks.to_vec();
    cuts.retain(|x| (range[0]..range[1]).contains(x));
    cuts.extend(range);
    cuts.sort_by(f64::total_cmp);
    let piece = |from: f64, to: f64| -> f64 {
        let inside = |x: f64| from + (to - from) * x.clamp(1e-12, 1.0 - 1e-12);
        let values = lobatto(12).iter().map(|(x, weight)| weight * f(inside(*x)));
        values.sum::<f64>() * (to - from)
    };
    cuts.windows(2).map(|pair| piece(pair[0], pair[1])).sum()
}

/// Strain energy from section forces, coupling forces and support springs.
fn strain_energy(frame: &Frame, case: &LoadCase, solution: &CaseSolution) -> f64 {
    let members = (0..frame.members.len()).map(|m| {
        let part = &frame.members[m];
        let (e, g) = (part.moduli.youngs, part.moduli.shear);
        let density = |x: f64| {
            let s = solution.section_forces(frame, case, m, x);
            let at = part.profile.section_at(x / length(frame, m));
            let (iy, iz, iyz) = (at.second_moment_y, at.second_moment_z, at.product_moment);
            let bending = iz * s.moment_y.powi(2)
                + iy * s.moment_z.powi(2)
                + 2.0 * iyz * s.moment_y * s.moment_z;
            s.axial.powi(2) / (e * at.area)
                + s.shear_y.powi(2) / (g * at.shear_area_y)
                + s.shear_z.powi(2) / (g * at.shear_area_z)
                + s.torque.powi(2) / (g * at.torsion_constant)
                + bending / (e * (iy * iz - iyz * iyz))
        };
        integral(&[0.0, length(frame, m)], &places(case, m), density)
    });
    let couplings = frame
        .couplings
        .iter()
        .zip(&solution.coupling_forces)
        .map(|(part, force)| {
            let law = match &part.law {
                Law::Springs(springs) => Matrix6::from_diagonal(&Vector6::from(*springs)),
                Law::Stiffness(law) => **law,
                other => unreachable!("the sampler makes no {other:?}"),
            };
            force.dot(&law.lu().solve(force).expect("a law without a free axis"))
        });
    let springs = frame.supports.iter().map(|support| {
        let moved = &solution.displacements[support.node];
        moved
            .component_mul(moved)
            .dot(&Vector6::from(support.springs))
    });
    (members.sum::<f64>() + couplings.sum::<f64>() + springs.sum::<f64>()) / 2.0
}

/// The stiffness matrix of a frame that nothing supports.
fn free_stiffness(frame: &Frame) -> DMatrix<f64> {
    let mut free = frame.clone();
    free.supports.clear();
    convert_csc_dense(&assemble_sparse(&free).expect("a sound frame"))
}

/// Law 1: each row's forces vanish against what is added up to get them.
#[test]
fn rigid_motion_strains_nothing() {
    for seed in SEEDS {
        let mut sample = Sample::frame(seed);
        let (shift, turn) = (sample.vector(1.0), sample.vector(0.1));
        let stiffness = free_stiffness(&sample.frame);
        let motion: Vec<f64> = sample
            .frame
            .nodes
            .iter()
            .flat_map(|node| {
                stack(shift + turn.cross(&node.position), turn)
                    .as_slice()
                    .to_vec()
            })
            .collect();
        let motion = DVector::from_vec(motion);
        let (forces, summed) = (&stiffness * &motion, stiffness.abs() * motion.abs());
        for row in 0..forces.len() {
            assert!(
                forces[row].abs() < 1e-12 * summed[row],
                "seed {seed}, row {row}"
            );
        }
    }
}

/// Law 2, on the matrix scaled to a unit diagonal, which keeps the signs of the eigenvalues.
#[test]
fn six_zero_eigenvalues_and_none_negative() {
    for seed in SEEDS {
        let stiffness = free_stiffness(&Sample::frame(seed).frame);
        assert!((&stiffness - stiffness.transpose()).amax() <= 1e-14 * stiffness.amax());
        let scale = stiffness.diagonal().map(|k| 1.0 / k.sqrt());
        let unit = DMatrix::from_diagonal(&scale) * stiffness * DMatrix::from_diagonal(&scale);
        let mut values = SymmetricEigen::new(unit).eigenvalues.as_slice().to_vec();
        values.sort_by(f64::total_cmp);
        assert!(
            values[0] > -1e-13 && values[5] < 1e-13,
            "seed {seed}: {:?}",
            &values[..7]
        );
        assert!(values[6] > 1e-9, "seed {seed}: {:?}", &values[..7]);
    }
}

/// Law 3. Even seeds: odd ones hold single global freedoms.
#[test]
fn turning_the_frame_turns_the_answer() {
    for seed in SEEDS.step_by(2) {
        let mut sample = Sample::loaded(seed, Loads::All);
        let rotation = sample.rotation();
        assert_transforms(&sample, &rotation, seed);
    }
}

/// Law 10.
#[test]
fn mirrored_frame_mirrored_answer() {
    let mirror = Matrix3::from_diagonal(&Vector3::new(-1.0, 1.0, 1.0));
    for seed in SEEDS.step_by(2) {
        assert_transforms(&Sample::loaded(seed, Loads::All), &mirror, seed);
    }
}

fn assert_transforms(sample: &Sample, matrix: &Matrix3<f64>, seed: u64) {
    let (frame, case) = turned(&sample.frame, &sample.case, matrix);
    let found = solved(&frame, &case);
    let sign = matrix.determinant().signum();
    let expected: Vec<_> = solved(&sample.frame, &sample.case)
        .displacements
        .iter()
        .map(|u| {
            stack(
                matrix * u.fixed_rows::<3>(0),
                sign * matrix * u.fixed_rows::<3>(3),
            )
        })
        .collect();
    let apart = difference(&found.displacements, &expected);
    assert!(apart < 1e-10, "seed {seed}: {apart:e}");
}

/// Law 4. Members whose section varies stay whole.
#[test]
fn one_element_or_ten() {
    for seed in SEEDS {
        let sample = Sample::loaded(seed, Loads::All);
        let whole = solved(&sample.frame, &sample.case);
        let (frame, case) = split_members(&sample.frame, &sample.case, 10);
        let split = solved(&frame, &case);
        let count = sample.frame.nodes.len();
        let apart = difference(&split.displacements[..count], &whole.displacements);
        assert!(apart < 1e-8, "seed {seed}: {apart:e}");
    }
}

/// Law 5: of two cases added, of one doubled, of a frame twice as stiff.
#[test]
fn superposition_and_scaling() {
    for seed in SEEDS {
        let mut sample = Sample::loaded(seed, Loads::Forces);
        let (frame, first) = (&sample.frame.clone(), sample.case.clone());
        let second = sample.load_case(Loads::Forces);
        let mut both = first.clone();
        both.nodal.extend(&second.nodal);
        both.members.extend(&second.members);
        let mut doubled = first.clone();
        doubled.nodal.extend(&first.nodal);
        doubled.members.extend(&first.members);
        let solution = solve(frame, &[first.clone(), second, both, doubled]).expect("sound");
        let moved = |case: usize| &solution.cases[case].displacements;
        let sum: Vec<_> = moved(0).iter().zip(moved(1)).map(|(a, b)| a + b).collect();
        let twice: Vec<_> = moved(0).iter().map(|u| u * 2.0).collect();
        assert!(difference(moved(2), &sum) < 1e-10, "seed {seed}: sum");
        assert!(difference(moved(3), &twice) < 1e-10, "seed {seed}: double");

        let mut stiff = frame.clone();
        for member in &mut stiff.members {
            member.moduli.youngs *= 2.0;
            member.moduli.shear *= 2.0;
        }
        for coupling in &mut stiff.couplings {
            match &mut coupling.law {
                Law::Springs(springs) => springs.iter_mut().for_each(|k| *k *= 2.0),
                Law::Stiffness(law) => **law *= 2.0,
                other => unreachable!("the sampler makes no {other:?}"),
            }
        }
        for support in &mut stiff.supports {
            support.springs.iter_mut().for_each(|k| *k *= 2.0);
        }
        let half: Vec<_> = moved(0).iter().map(|u| u / 2.0).collect();
        let found = solved(&stiff, &first).displacements;
        assert!(difference(&found, &half) < 1e-10, "seed {seed}: stiffness");
    }
}

/// Law 6 (Betti), loads and motions along members included.
#[test]
fn reciprocity() {
    for seed in SEEDS {
        let mut sample = Sample::loaded(seed, Loads::Forces);
        let (frame, a) = (sample.frame.clone(), sample.case.clone());
        let b = sample.load_case(Loads::Forces);
        let solution = solve(&frame, &[a.clone(), b.clone()]).expect("sound");
        let a_through_b = work(&frame, &a, (&b, &solution.cases[1]));
        let b_through_a = work(&frame, &b, (&a, &solution.cases[0]));
        let size = work(&frame, &a, (&a, &solution.cases[0])).max(work(
            &frame,
            &b,
            (&b, &solution.cases[1]),
        ));
        assert_relative_eq!(a_through_b / size, b_through_a / size, epsilon = 1e-10);
    }
}

/// Law 7, node by node, which gives the whole: section forces at members' ends, coupling
/// forces, loads and reactions.
#[test]
fn every_node_balances() {
    for seed in SEEDS {
        let Sample { frame, case, .. } = Sample::loaded(seed, Loads::All);
        let solution = solved(&frame, &case);
        let mut left = solution.reactions.clone();
        let mut size = Vector6::<f64>::zeros();
        let mut add = |node: usize, lever: Vector3<f64>, force: Vector6<f64>| {
            let push = force.fixed_rows::<3>(0).into_owned();
            let at_node = stack(push, force.fixed_rows::<3>(3) + lever.cross(&push));
            left[node] += at_node;
            size = size.sup(&at_node.abs());
        };
        for load in &case.nodal {
            add(load.node, Vector3::zeros(), stack(load.force, load.moment));
        }
        for (m, member) in frame.members.iter().enumerate() {
            let turn = axes(&frame, m).transpose();
            let global = |at: f64| {
                let s = solution.section_forces(&frame, &case, m, at);
                let force = turn * Vector3::new(s.axial, s.shear_y, s.shear_z);
                stack(force, turn * Vector3::new(s.torque, s.moment_y, s.moment_z))
            };
            add(member.nodes[0], member.arms[0], global(0.0));
            add(member.nodes[1], member.arms[1], -global(length(&frame, m)));
        }
        for (coupling, force) in frame.couplings.iter().zip(&solution.coupling_forces) {
            let turn = coupling.axes;
            let force = stack(
                turn * force.fixed_rows::<3>(0),
                turn * force.fixed_rows::<3>(3),
            );
            for (node, force) in [(coupling.nodes[0], force), (coupling.nodes[1], -force)] {
                add(node, coupling.at - frame.nodes[node].position, force);
            }
        }
        for (node, left) in left.iter().enumerate() {
            let share = left.abs().component_div(&size.map(|s| s.max(1.0))).amax();
            assert!(share < 1e-8, "seed {seed}, node {node}: {share:e}");
        }
    }
}

/// Law 8. 1e-7: between its given sections a varying member is told by its properties, but
/// integrated by its flexibility.
#[test]
fn work_is_twice_the_strain_energy() {
    for seed in SEEDS {
        let Sample { frame, case, .. } = Sample::loaded(seed, Loads::Forces);
        let solution = solved(&frame, &case);
        let work = work(&frame, &case, (&case, &solution));
        let energy = strain_energy(&frame, &case, &solution);
        let apart = (2.0 * energy / work - 1.0).abs();
        assert!(apart < 1e-7, "seed {seed}: {apart:e}");
    }
}

/// Law 9.
#[test]
fn swapped_ends_and_new_numbers_change_nothing() {
    for seed in SEEDS {
        let Sample { frame, case, .. } = Sample::loaded(seed, Loads::All);
        let expected = solved(&frame, &case).displacements;
        let (swapped, swapped_case) = swap_ends(&frame, &case);
        let apart = difference(&solved(&swapped, &swapped_case).displacements, &expected);
        assert!(apart < 1e-10, "seed {seed}, swapped: {apart:e}");
        let (other, other_case) = renumbered(&frame, &case);
        let mut found = solved(&other, &other_case).displacements;
        found.reverse();
        let apart = difference(&found, &expected);
        assert!(apart < 1e-10, "seed {seed}, renumbered: {apart:e}");
    }
}

/// Law 11: a spring to the ground, a coupling, a member more.
#[test]
fn adding_a_part_never_raises_the_work() {
    for seed in SEEDS {
        let mut sample = Sample::loaded(seed, Loads::Forces);
        let compliance = |frame: &Frame, case: &LoadCase| {
            let solution = solved(frame, case);
            work(frame, case, (case, &solution))
        };
        let mut before = compliance(&sample.frame, &sample.case);
        for step in 0..3 {
            let last = sample.frame.nodes.len() - 1;
            match step {
                0 => sample.couple(1, last),
                1 => sample.frame.spring(last, [50.0, 80.0, 20.0, 3e4, 1e4, 2e4]),
                _ => sample.member([1, last]),
            }
            let after = compliance(&sample.frame, &sample.case);
            assert!(after <= before * (1.0 + 1e-9), "seed {seed}, step {step}");
            before = after;
        }
    }
}

/// What is told along a member meets the nodes: its axis at both ends moves with them.
#[test]
fn motion_along_meets_the_nodes() {
    for seed in SEEDS {
        let Sample { frame, case, .. } = Sample::loaded(seed, Loads::All);
        let solution = solved(&frame, &case);
        for (m, member) in frame.members.iter().enumerate() {
            for (k, at) in [0.0, length(&frame, m)].into_iter().enumerate() {
                let node = member.nodes[k];
                let (moved, turned) = (solution.displacement(node), solution.rotation(node));
                let expected = stack(moved + turned.cross(&member.arms[k]), turned);
                let found = solution.motion_along(&frame, &case, m, at);
                let apart =
                    (found - expected).norm() / solution.displacements[node].norm().max(1.0);
                assert!(apart < 1e-10, "seed {seed}, member {m}, end {k}: {apart:e}");
            }
        }
    }
}

/// A part held by nothing but a tightened coupling moves by the travel, along or about each axis.
#[test]
fn tightening_moves_what_is_free() {
    for seed in SEEDS {
        let mut sample = Sample::chain(seed, 1);
        let part = sample.frame.add_node("part", Vector3::zeros());
        let springs = Law::Springs([900.0, 400.0, 1500.0, 2e4, 5e4, 9e4]);
        let at = Vector3::zeros();
        let coupling = sample.frame.add_coupling("thread", [0, part], at, springs);
        let turned = sample.rotation();
        sample.frame.couplings[coupling].axes = turned;
        for axis in 0..6 {
            let case = LoadCase::named("tightened").with_tightening(coupling, axis, 0.02);
            let along: Vector3<f64> = turned.column(axis % 3) * 0.02;
            let expected = match axis < 3 {
                true => stack(along, Vector3::zeros()),
                false => stack(Vector3::zeros(), along),
            };
            let apart = (solved(&sample.frame, &case).displacements[part] - expected).amax();
            assert!(apart < 1e-14, "seed {seed}, axis {axis}: {apart:e}");
        }
    }
}
