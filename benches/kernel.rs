//! Speed of the chain from element to report, each line a path of its own.
//!
//! `cargo bench` prints medians; compare them only within one run on one machine. The Cholesky
//! factorisation of the general sparse library on the same matrix is the reference.

use std::hint::black_box;
use std::path::Path;

use clavibeam::assess::assess;
use clavibeam::case::{self, Case};
use clavibeam::construct::{Construct, Mechanics};
use clavibeam::device::Device;
use clavibeam::frame::{Frame, LoadCase, Moduli, Profile, assemble, assemble_sparse, solve};
use clavibeam::load::stiffness_setups;
use clavibeam::section::Section;
use divan::Bencher;
use nalgebra::{DVector, Vector3, Vector6};
use nalgebra_sparse::factorization::CscCholesky;

fn main() {
    divan::main();
}

fn shipped() -> Case {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("models/roof-tiler-comminuted.toml");
    case::read(&path).expect("shipped cases are sound")
}

/// The superior plate with eight screws, held at its sternal end.
fn plated() -> Frame {
    let case = shipped();
    let device = case
        .constructs
        .iter()
        .map(|(_, device)| device)
        .find(|device| matches!(device, Device::Plate(plate) if plate.screws.len() == 8))
        .expect("the case has a plate with eight screws");
    let setups = stiffness_setups(&case.clavicle);
    let construct = Construct::new(
        &case.clavicle,
        Some((&case.fracture, device)),
        &setups,
        Mechanics::Linear,
    );
    let mut frame = construct.frame.clone();
    frame.fix(construct.node_at(0.0));
    numbered_along_the_bone(frame)
}

/// The same frame with its nodes numbered from the sternal end on, so that a solver which does
/// not number for itself has no worse a start.
fn numbered_along_the_bone(mut frame: Frame) -> Frame {
    let mut order: Vec<usize> = (0..frame.nodes.len()).collect();
    let x = |node: &usize| frame.nodes[*node].position.x;
    order.sort_by(|a, b| x(a).total_cmp(&x(b)));
    let mut number = vec![0; order.len()];
    for (place, &node) in order.iter().enumerate() {
        number[node] = place;
    }
    frame.nodes = order
        .iter()
        .map(|&node| frame.nodes[node].clone())
        .collect();
    for member in &mut frame.members {
        member.nodes = member.nodes.map(|node| number[node]);
    }
    for coupling in &mut frame.couplings {
        coupling.nodes = coupling.nodes.map(|node| number[node]);
    }
    for support in &mut frame.supports {
        support.node = number[support.node];
    }
    frame
}

/// A straight rod of a thousand prismatic members: elements and little else.
#[divan::bench]
fn assemble_a_thousand_members(bencher: Bencher) {
    let mut frame = Frame::default();
    let rod = Profile::Prismatic(Section::circle(3.0, 0.34));
    let titanium = Moduli {
        youngs: 105_000.0,
        shear: 39_179.0,
    };
    let mut before = frame.add_node("root", Vector3::zeros());
    frame.fix(before);
    for i in 1..=1000 {
        let node = frame.add_node("node", Vector3::x() * i as f64);
        frame.add_member("rod", [before, node], Vector3::z(), titanium, rod.clone());
        before = node;
    }
    bencher.bench_local(|| assemble(black_box(&frame)));
}

/// The plated bone's stiffness matrix from its members and couplings.
#[divan::bench]
fn assemble_plated_bone(bencher: Bencher) {
    let frame = plated();
    bencher.bench_local(|| assemble(black_box(&frame)));
}

/// Factor and solve, blocked envelope.
#[divan::bench]
fn factor_and_solve_blocked(bencher: Bencher) {
    let frame = plated();
    let envelope = assemble(&frame).expect("a sound frame");
    let load = vec![Vector6::repeat(1.0); frame.nodes.len()];
    bencher
        .with_inputs(|| (envelope.clone(), load.clone()))
        .bench_local_values(|(envelope, mut x)| {
            let (factor, _) = envelope.factor();
            factor.solve(&mut x);
            x
        });
}

/// Factor and solve, general sparse Cholesky with its symbolic part done before: the reference.
#[divan::bench]
fn factor_and_solve_sparse_reference(bencher: Bencher) {
    let frame = plated();
    let matrix = assemble_sparse(&frame).expect("a sound frame");
    let load = DVector::repeat(6 * frame.nodes.len(), 1.0);
    let mut cholesky = CscCholesky::factor(&matrix).expect("a held frame");
    bencher.bench_local(|| {
        cholesky
            .refactor(black_box(matrix.values()))
            .expect("a held frame");
        cholesky.solve(&load)
    });
}

/// Ten load cases on one factorisation, assembly and checks included.
#[divan::bench]
fn solve_ten_load_cases(bencher: Bencher) {
    let frame = plated();
    let cases: Vec<LoadCase> = (0..10)
        .map(|i| LoadCase::named("pull").with_force(3 * i, Vector3::z()))
        .collect();
    bencher.bench_local(|| solve(black_box(&frame), &cases));
}

/// One construct built from its recipe, solved in four stiffness tests.
#[divan::bench]
fn build_and_solve_one_construct(bencher: Bencher) {
    let case = shipped();
    let setups = stiffness_setups(&case.clavicle);
    let (_, device) = &case.constructs[0];
    bencher.bench_local(|| {
        let construct = Construct::new(
            &case.clavicle,
            Some((&case.fracture, device)),
            &setups,
            Mechanics::Linear,
        );
        construct.solve(&setups)
    });
}

/// A case file of five constructs and three activities, from text to assessment.
#[divan::bench]
fn whole_case(bencher: Bencher) {
    bencher.bench_local(|| assess(&shipped(), Mechanics::Linear));
}
