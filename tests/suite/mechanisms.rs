//! Law 12: a frame that can move without being resisted is refused, and what moves is named.

use clavibeam::frame::{Frame, Law, SolveError, solve};
use clavibeam::section::Section;
use nalgebra::Vector3;

use crate::common::{Sample, TITANIUM, join};
use crate::transform::cut_chain;

const SEEDS: std::ops::Range<u64> = 0..300;

/// A skew frame pinned at one node only can turn about it.
#[test]
fn a_frame_pinned_at_one_node_is_refused() {
    for seed in SEEDS {
        let mut frame = Sample::frame(seed).frame;
        frame.supports.clear();
        frame.hold(0, [true, true, true, false, false, false]);
        match solve(&frame, &[]) {
            Err(SolveError::Mechanism { motion, .. }) => {
                assert!(motion.starts_with("turn") || motion.starts_with("move"))
            }
            other => panic!("seed {seed}: {other:?}"),
        }
    }
}

/// A skew chain cut by a coupling that leaves one axis free; what is named lies
/// beyond the cut.
#[test]
fn a_cut_chain_is_refused_and_its_loose_part_named() {
    for seed in SEEDS {
        let (frame, cut) = cut_chain(seed);
        match solve(&frame, &[]) {
            Err(SolveError::Mechanism { node, loose, .. }) => {
                let beyond = |name: &String| name.parse::<usize>().expect("a number") > cut;
                assert!(beyond(&node), "seed {seed}: names {node}, cut after {cut}");
                assert!(
                    loose.iter().all(beyond),
                    "seed {seed}: {loose:?}, cut after {cut}"
                );
            }
            other => panic!("seed {seed}: {other:?}"),
        }
    }
}

/// The torsion link of a straight member of 21 nodes is cut after node 12: nodes 13 to 20
/// turn about x.
#[test]
fn a_cut_torsion_link_is_named() {
    let mut frame = Frame::default();
    let places = (0..=20).map(|i| 5.0 * f64::from(i));
    let nodes: Vec<usize> = places
        .enumerate()
        .map(|(i, x)| frame.add_node(i.to_string(), Vector3::x() * x))
        .collect();
    let rod = Section::circle(3.0, 0.3);
    join(&mut frame, &nodes[..13], TITANIUM, rod);
    join(&mut frame, &nodes[13..], TITANIUM, rod);
    let law = Law::Springs([1e5, 1e5, 1e5, 0.0, 1e6, 1e6]);
    frame.add_coupling("link", [12, 13], Vector3::x() * 62.5, law);
    frame.fix(nodes[0]);
    let Err(SolveError::Mechanism {
        node,
        motion,
        loose,
        ..
    }) = solve(&frame, &[])
    else {
        panic!("a member free to turn is refused");
    };
    assert_eq!(motion, "turn about x");
    let mut named: Vec<usize> = loose
        .iter()
        .chain([&node])
        .map(|n| n.parse().unwrap())
        .collect();
    named.sort_unstable();
    assert_eq!(named, (13..=20).collect::<Vec<_>>());
}
