//! The blocked envelope against other ways to the same answer.

use clavibeam::frame::{
    Envelope, Frame, LoadCase, MemberAction, Moduli, Profile, Support, Workspace, assemble_sparse,
    solve,
};
use clavibeam::section::Section;
use nalgebra::{DMatrix, DVector, Matrix6, SymmetricEigen, Vector3, Vector6};
use nalgebra_sparse::factorization::CscCholesky;

use crate::common::{Loads, Sample, TITANIUM, difference, join, section, solved, stack};

const SEEDS: std::ops::Range<u64> = 0..300;

/// Second witness of assembly order, envelope and factorisation: a general sparse Cholesky
/// factorisation of the separately assembled matrix.
#[test]
fn envelope_agrees_with_sparse_cholesky() {
    for seed in SEEDS {
        let Sample {
            frame, mut case, ..
        } = Sample::loaded(seed, Loads::Forces);
        case.members.clear();
        let matrix = assemble_sparse(&frame).expect("a sound frame");
        let mut forces = DVector::zeros(matrix.nrows());
        for load in &case.nodal {
            let mut rows = forces.fixed_rows_mut::<6>(6 * load.node);
            rows += stack(load.force, load.moment);
        }
        for support in &frame.supports {
            for freedom in (0..6).filter(|&freedom| support.fixed[freedom]) {
                forces[6 * support.node + freedom] = 0.0;
            }
        }
        let moved = CscCholesky::factor(&matrix)
            .expect("positive definite")
            .solve(&forces);
        let expected: Vec<Vector6<f64>> = (0..frame.nodes.len())
            .map(|node| moved.fixed_view::<6, 1>(6 * node, 0).into_owned())
            .collect();
        let apart = difference(&solved(&frame, &case).displacements, &expected);
        assert!(apart < 1e-10, "seed {seed}: {apart:e}");
    }
}

/// What a workspace keeps changes no bit of an answer, whether the next frame is joined as the
/// last one or in another way. Held at its nodes as it is and at one more: holding a node
/// altogether changes which equations meet.
#[test]
fn reused_workspace_answers_as_a_new_one() {
    let mut workspace = Workspace::default();
    for seed in SEEDS {
        let Sample {
            mut frame, case, ..
        } = Sample::loaded(seed, Loads::Forces);
        for stretched in [false, true, false] {
            for member in frame.members.iter_mut().filter(|_| stretched) {
                member.moduli.youngs *= 1.5;
            }
            let cases = [case.clone(), case.clone()];
            let supports = frame.supports.as_slice();
            let held = [(supports, &cases[..]), (supports, &cases[..1])];
            let reused = workspace.solve_linear(&frame, &held);
            let reused = reused.expect("a sound frame");
            assert_eq!(
                solve(&frame, &cases).as_ref(),
                Ok(&reused[0]),
                "seed {seed}"
            );
            assert_eq!(
                solve(&frame, &cases[..1]).as_ref(),
                Ok(&reused[1]),
                "seed {seed}"
            );
            frame.fix(frame.nodes.len() - 1);
        }
    }
}

/// Sylvester's law: as many negative pivots as negative eigenvalues; and `A x = b`.
#[test]
fn indefinite_envelopes() {
    for seed in SEEDS {
        let mut sample = Sample::frame(seed);
        let mut entry = || sample.vector(1.0).x;
        let first = vec![0, 0, 1, 0, 3];
        let mut envelope = Envelope::zeros(first.clone());
        let mut dense = DMatrix::zeros(30, 30);
        for (row, &start) in first.iter().enumerate() {
            for column in start..=row {
                let mut block = Matrix6::from_fn(|_, _| entry());
                if row == column {
                    block += block.transpose();
                }
                *envelope.block_mut(row, column) = block;
                dense
                    .fixed_view_mut::<6, 6>(6 * row, 6 * column)
                    .copy_from(&block);
                dense
                    .fixed_view_mut::<6, 6>(6 * column, 6 * row)
                    .copy_from(&block.transpose());
            }
        }
        let eigenvalues = SymmetricEigen::new(dense.clone()).eigenvalues;
        let (factor, pivots) = envelope.factor();
        let negative = eigenvalues.iter().filter(|value| **value < 0.0).count();
        assert_eq!(pivots.negative, negative, "seed {seed}");
        let expected = DVector::from_fn(30, |_, _| entry());
        let forces = &dense * &expected;
        let side: Vec<Vector6<f64>> = (0..5)
            .map(|row| forces.fixed_rows::<6>(6 * row).into_owned())
            .collect();
        let mut found = side.clone();
        factor.solve(&mut found);
        for (row, found) in found.iter().enumerate() {
            let apart = (found - expected.fixed_rows::<6>(6 * row)).amax();
            // No pivoting: growth may cost some digits on a random indefinite matrix.
            assert!(apart < 1e-5, "seed {seed}: {apart:e}");
        }
    }
}

/// Load cases are solved several at a time; each has the bits that it has alone, however many
/// there are, refined or not, loaded, moved or strained.
#[test]
fn load_cases_do_not_touch_one_another() {
    let mut frame = Frame::default();
    let steel = Moduli {
        youngs: 2e5,
        shear: 8e4,
    };
    let rod = Profile::Prismatic(Section::rectangle(3.0, 5.0, 0.3));
    for node in 0..9 {
        let at = Vector3::new(4.0 * f64::from(node), f64::from(node * node) / 9.0, 0.0);
        let node = frame.add_node("node", at);
        if node > 0 {
            frame.add_member("rod", [node - 1, node], Vector3::z(), steel, rod.clone());
        }
    }
    frame.fix(0);
    frame.hold(8, [false, true, true, false, false, false]);
    frame.spring(4, [2.0, 3.0, 5.0, 700.0, 0.0, 0.0]);
    let strain = MemberAction::StressFree {
        strain: 1e-4,
        curvature_y: 1e-5,
        curvature_z: -2e-5,
    };
    let cases = [
        LoadCase::named("pull").with_force(5, Vector3::new(3.0, -7.0, 11.0)),
        LoadCase::named("moved").with_movement(8, 1, 0.03),
        LoadCase::named("strained").with_action(3, strain),
        LoadCase::named("unloaded"),
        LoadCase::named("weak").with_force(2, Vector3::z() * 1e-9),
        LoadCase::named("both")
            .with_action(6, strain)
            .with_force(1, Vector3::x()),
    ];
    assert_alone(&frame, &cases);
}

/// The same in frames so stiff along themselves that some of the cases are refined.
#[test]
fn refined_load_cases_do_not_touch_one_another() {
    for count in [32, 64] {
        let mut frame = Frame::default();
        let nodes: Vec<usize> = (0..=count)
            .map(|node| {
                let (sin, cos) = (1.5 * f64::from(node) / f64::from(count)).sin_cos();
                frame.add_node("node", Vector3::new(100.0 * cos, 100.0 * sin, 7.0 * sin))
            })
            .collect();
        join(
            &mut frame,
            &nodes,
            TITANIUM,
            section(15e3, 20.0, 30.0, 25.0),
        );
        frame.fix(0);
        let load = Vector3::new(3.0, -7.0, 11.0);
        let cases = [
            LoadCase::named("far").with_force(nodes[nodes.len() - 1], load),
            LoadCase::named("near").with_force(1, load),
            LoadCase::named("moved").with_movement(0, 1, 0.3),
        ];
        assert_alone(&frame, &cases);
    }
}

/// Asserts that each of the cases has the same bits alone, however many are solved.
fn assert_alone(frame: &Frame, cases: &[LoadCase]) {
    for count in 1..=cases.len() {
        let together = solve(frame, &cases[..count]).unwrap().cases;
        for (case, together) in cases.iter().zip(together) {
            let alone = solve(frame, std::slice::from_ref(case)).unwrap().cases;
            assert_eq!(alone, [together], "{} of {count}", case.name);
        }
    }
}

/// Second witness of ways of holding that balance alone decides, which share a factorisation:
/// each way solved by itself. Tolerance 1e-9: rounding of skew chains, as bad as 1e6 in condition.
#[test]
fn determinate_ways_agree_with_each_alone() {
    for seed in SEEDS {
        let mut sample = Sample::chain(seed, 6);
        let clamped = [true; 6];
        let ball = [true, true, true, true, false, false];
        let roller = [false, true, true, false, false, false];
        let support = |node: usize, fixed: [bool; 6]| Support {
            node,
            fixed,
            springs: [0.0; 6],
        };
        let case = |sample: &mut Sample, loads| sample.load_case(loads);
        let ways = [
            (
                vec![support(0, clamped)],
                vec![
                    case(&mut sample, Loads::All),
                    case(&mut sample, Loads::Forces),
                ],
            ),
            (
                vec![support(1, ball), support(4, roller)],
                vec![case(&mut sample, Loads::Forces).with_movement(4, 1, 0.3)],
            ),
            (
                vec![support(5, clamped)],
                vec![case(&mut sample, Loads::Forces)],
            ),
        ];
        assert_each_alone(seed, &sample.frame, &ways);
    }
}

/// The same of ways that balance alone does not decide: held more than that, or sprung.
#[test]
fn other_ways_agree_with_each_alone() {
    for seed in SEEDS {
        let mut sample = Sample::chain(seed, 6);
        let support = |node: usize, fixed: [bool; 6], springs: [f64; 6]| Support {
            node,
            fixed,
            springs,
        };
        let clamp = |node| support(node, [true; 6], [0.0; 6]);
        let roller = support(4, [false, true, true, false, false, false], [0.0; 6]);
        let spring = support(4, [false; 6], [70.0, 30.0, 50.0, 2e4, 0.0, 9e4]);
        for other in [roller, spring] {
            let mut cases = || vec![sample.load_case(Loads::Forces)];
            let ways = [(vec![clamp(0), other], cases()), (vec![clamp(5)], cases())];
            assert_each_alone(seed, &sample.frame, &ways);
        }
    }
}

/// Asserts that ways solved together have the answers of each by itself.
fn assert_each_alone(seed: u64, frame: &Frame, ways: &[(Vec<Support>, Vec<LoadCase>)]) {
    let held: Vec<(&[Support], &[LoadCase])> = ways
        .iter()
        .map(|(supports, cases)| (supports.as_slice(), cases.as_slice()))
        .collect();
    let together = Workspace::default().solve_linear(frame, &held).unwrap();
    for ((supports, cases), together) in ways.iter().zip(together) {
        let mut alone = frame.clone();
        alone.supports.clone_from(supports);
        let alone = solve(&alone, cases).unwrap();
        for (found, expected) in together.cases.iter().zip(&alone.cases) {
            for (what, found, expected) in [
                ("moved", &found.displacements, &expected.displacements),
                ("held", &found.reactions, &expected.reactions),
                ("strained", &found.member_ends, &expected.member_ends),
            ] {
                let apart = difference(found, expected);
                assert!(apart < 1e-9, "seed {seed}, {what}: {apart:e}");
            }
        }
    }
}

/// A part that joins a node to itself, wherever it acts, changes nothing.
#[test]
fn a_node_joined_to_itself() {
    for seed in SEEDS {
        let mut sample = Sample::loaded(seed, Loads::Forces);
        let without = solved(&sample.frame, &sample.case);
        sample.couple(1, 1);
        let with = solved(&sample.frame, &sample.case);
        let apart = difference(&with.displacements, &without.displacements);
        assert!(apart < 1e-9, "seed {seed}: {apart:e}");
    }
}
