//! Speed of the chain from element to report, each line a path of its own.
//!
//! `cargo bench` prints medians; compare them only within one run on one machine. References on
//! the same matrix are the Cholesky factorisation of the general sparse library and LAPACK's band
//! routines, which a Python program calls, since no code of this package may be unsafe.

use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use clavibeam::assess::assess;
use clavibeam::case::{self, Case};
use clavibeam::construct::{Construct, Mechanics};
use clavibeam::device::Device;
use clavibeam::frame::{
    Envelope, Frame, Law, LoadCase, Moduli, Profile, Workspace, assemble, assemble_sparse, solve,
};
use clavibeam::load::stiffness_setups;
use clavibeam::section::Section;
use clavibeam::study;
use divan::Bencher;
use nalgebra::{DVector, Vector3, Vector6};
use nalgebra_sparse::factorization::CscCholesky;

#[cfg(feature = "mimalloc")]
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    divan::main();
    if std::env::args().any(|argument| argument == "--bench") {
        against_lapack();
    }
}

/// Nodes of each chain of [`two_chains`].
const STATIONS: usize = 100;

/// Two parallel chains of members, a bone and a plate, joined by springs at every station and
/// crosswise from each to the next: 1,200 unknowns, half-band 23.
fn two_chains() -> Frame {
    let mut frame = Frame::default();
    let [bone, plate] = [(12.0, 9.0), (10.0, 3.3)]
        .map(|(width, depth)| Profile::Prismatic(Section::rectangle(width, depth, 0.3)));
    let moduli = Moduli {
        youngs: 18_000.0,
        shear: 3_300.0,
    };
    for station in 0..STATIONS {
        let x = Vector3::x() * 1.5 * station as f64;
        frame.add_node("bone", x);
        frame.add_node("plate", x + Vector3::z() * 8.0);
        let at = 2 * station;
        let joint = Law::Springs([1e4, 1e4, 1e4, 1e5, 1e5, 1e5]);
        frame.add_coupling("screw", [at, at + 1], x + Vector3::z() * 5.0, joint.clone());
        if station > 0 {
            for ends in [[at - 2, at + 1], [at - 1, at]] {
                frame.add_coupling("oblique screw", ends, x, joint.clone());
            }
            for (side, profile) in [&bone, &plate].into_iter().enumerate() {
                let ends = [at - 2 + side, at + side];
                frame.add_member("member", ends, Vector3::z(), moduli, profile.clone());
            }
        }
    }
    // Springs to the ground keep all 1,200 equations.
    frame.spring(0, [1e5; 6]);
    frame
}

/// Prints the time of factor and solve on [`two_chains`] beside that of LAPACK's `dpbtrf` and
/// `dpbtrs` on the same matrix, both without copying it.
#[expect(clippy::print_stdout, reason = "a bench prints its result")]
fn against_lapack() {
    let frame = two_chains();
    let envelope = assemble(&frame).expect("a sound frame");
    let load = vec![Vector6::repeat(1.0); frame.nodes.len()];
    let mut ours: Vec<Duration> = (0..1000)
        .map(|_| {
            let (matrix, mut x) = (envelope.clone(), load.clone());
            let start = Instant::now();
            let (factor, _) = black_box(matrix).factor();
            factor.solve(&mut x);
            black_box((&factor, &x));
            start.elapsed()
        })
        .collect();
    ours.sort();
    let micros = |time: Duration| time.as_secs_f64() * 1e6;
    let (fastest, median) = (micros(ours[0]), micros(ours[500]));
    let size = 6 * envelope.size();
    println!(
        "\nfactor + solve, two chains, {size} unknowns: {fastest:.1} us fastest, {median:.1} us median"
    );
    match lapack(&envelope) {
        Ok((half_band, [lapack_fastest, lapack_median])) => println!(
            "LAPACK dpbtrf + dpbtrs, half-band {half_band}: {lapack_fastest:.1} us fastest, \
             {lapack_median:.1} us median; ratio {:.2} fastest, {:.2} median",
            fastest / lapack_fastest,
            median / lapack_median
        ),
        Err(reason) => println!(
            "LAPACK not timed: {reason} (needs Python with scipy: `python3 -m venv DIR`, \
             `DIR/bin/pip install scipy`, then `PYTHON=DIR/bin/python cargo bench`)"
        ),
    }
}

/// Half-bandwidth, and LAPACK's fastest and median time, us.
fn lapack(envelope: &Envelope) -> Result<(usize, [f64; 2]), String> {
    let rows = 0..envelope.size();
    let half_band = rows
        .clone()
        .map(|row| 6 * (row - envelope.first(row)) + 5)
        .max()
        .unwrap_or(0);
    let size = 6 * envelope.size();
    let mut band = vec![0.0; size * (half_band + 1)];
    for row in rows {
        for column in envelope.first(row)..=row {
            let block = envelope.block(row, column);
            for i in 0..6 {
                for k in 0..6 {
                    let (i_all, k_all) = (6 * row + i, 6 * column + k);
                    if i_all >= k_all {
                        band[k_all * (half_band + 1) + i_all - k_all] = block[(i, k)];
                    }
                }
            }
        }
    }
    let bytes: Vec<u8> = band.iter().flat_map(|entry| entry.to_ne_bytes()).collect();
    let file = std::env::temp_dir().join(format!("band-{}.f64", std::process::id()));
    std::fs::write(&file, bytes).map_err(|error| error.to_string())?;
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/lapack_band.py");
    let run = Command::new(&python)
        .args([&script, &file])
        .arg(size.to_string())
        .env("OPENBLAS_NUM_THREADS", "1")
        .output();
    let removed = std::fs::remove_file(&file);
    let run = run.map_err(|error| format!("{python}: {error}"))?;
    removed.map_err(|error| error.to_string())?;
    let told = String::from_utf8_lossy(&run.stdout);
    let times: Vec<f64> = told.split_whitespace().flat_map(str::parse).collect();
    match times[..] {
        [fastest, median] if run.status.success() => Ok((half_band, [fastest, median])),
        _ => {
            let said = String::from_utf8_lossy(&run.stderr);
            Err(said.lines().last().unwrap_or("no answer").to_owned())
        }
    }
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

/// One construct built from its recipe, solved in one or all of five stiffness tests.
#[divan::bench(args = [1, 5])]
fn build_and_solve_one_construct(bencher: Bencher, tests: usize) {
    build_and_solve(bencher, "elastic nail 3.0", Mechanics::Linear, tests);
}

/// The same with contact: put in, then a test from there. The nail is bent in, its play taken up
/// at few of many places, and rubs; the plate is pressed on.
#[divan::bench(args = ["elastic nail 3.0", "threaded pin 3.8", "superior plate"])]
fn contact_construct(bencher: Bencher, device: &str) {
    build_and_solve(bencher, device, Mechanics::Contact, 1);
}

/// The same in five tests, each from where the device was put in.
#[divan::bench(args = ["elastic nail 3.0", "threaded pin 3.8", "superior plate"])]
fn contact_construct_in_five_tests(bencher: Bencher, device: &str) {
    build_and_solve(bencher, device, Mechanics::Contact, 5);
}

fn build_and_solve(bencher: Bencher, device: &str, mechanics: Mechanics, tests: usize) {
    let case = shipped();
    let setups = stiffness_setups(&case.clavicle);
    let mut constructs = case.constructs.iter();
    let found = constructs.find(|(name, _)| name == device);
    let (_, device) = found.expect("a construct of the shipped case");
    let mut workspace = Workspace::default();
    bencher.bench_local(|| {
        let broken = Some((&case.fracture, device));
        let construct = Construct::new(&case.clavicle, broken, &setups, mechanics);
        construct.solve_in(&mut workspace, &setups[..tests])
    });
}

/// A sweep end to end: a thousand samples of one construct, of which stiffness, the least margin
/// and the bone after removal go into a table. Twice the threads should take half the time.
#[divan::bench(args = [1, 2], sample_count = 5, sample_size = 1)]
fn sweep_of_a_thousand_samples(bencher: Bencher, threads: usize) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/sweep.toml");
    let study = study::read(&path).expect("the study of the bench is sound");
    let out = std::env::temp_dir().join(format!("sweep-{}.csv", std::process::id()));
    bencher.bench_local(|| {
        let counts = study::run(&study, None, &out, threads, |_| ());
        assert_eq!(counts.expect("room for a table").failed, 0);
    });
    for file in [out.with_extension("csv.meta.json"), out] {
        std::fs::remove_file(file).expect("the table is there");
    }
}

/// A sweep's inner loop: a thousand positions of the fracture, all constructs in turn, one
/// workspace, stiffness only.
#[divan::bench(sample_count = 5)]
fn a_thousand_designs(bencher: Bencher) {
    let case = shipped();
    let setups = stiffness_setups(&case.clavicle);
    bencher.bench_local(|| {
        let mut workspace = Workspace::default();
        for design in 0..1000 {
            let mut fracture = case.fracture;
            fracture.position += 1e-5 * design as f64;
            let (_, device) = &case.constructs[design % case.constructs.len()];
            let broken = Some((&fracture, device));
            let construct = Construct::new(&case.clavicle, broken, &setups, Mechanics::Linear);
            black_box(construct.solve_in(&mut workspace, &setups)).expect("sound designs");
        }
    });
}

/// A case file of five constructs and three activities, from text to assessment.
#[divan::bench]
fn whole_case(bencher: Bencher) {
    bencher.bench_local(|| assess(&shipped(), Mechanics::Linear));
}
