//! Names the part of a frame that nothing holds.

use std::collections::BTreeMap;

use nalgebra::Vector6;

use super::envelope::{Factor, Pivots};
use super::equations::{Equations, Loading};
use super::error::SolveError;

/// A pivot below this share of its diagonal entry is looked at twice: with long levers
/// rounding lifts the pivot of a mechanism to 6e-8 (measured on random cut chains).
const SUSPECT_PIVOT: f64 = 1e-6;

/// Share of a probing load that a mechanism leaves unbalanced: it left at least 5e-4, the
/// slenderest sound frame 3e-7 (measured).
const PROBE_LIMIT: f64 = 1e-5;

const MOTIONS: [&str; 6] = [
    "move along x",
    "move along y",
    "move along z",
    "turn about x",
    "turn about y",
    "turn about z",
];

/// Whether rounding hides a mechanism behind a small pivot: a load on every freedom then
/// moves the frame so far that the forces in it no longer balance the load.
pub(crate) fn hides_mechanism(equations: &Equations, factor: &Factor, pivots: &Pivots) -> bool {
    if pivots.smallest_ratio > SUSPECT_PIVOT {
        return false;
    }
    let size = equations.size();
    let nodes = equations.frame.nodes.len();
    let probe = Loading {
        nodal: (0..nodes)
            .map(|node| {
                let uneven = |i: usize| 1.0 + (0.618 * (6 * node + i) as f64).fract();
                Vector6::from_fn(|i, _| if i < 3 { uneven(i) } else { size * uneven(i) })
            })
            .collect(),
        free_motions: BTreeMap::new(),
        movements: BTreeMap::new(),
    };
    match equations.solve_case("probe", &probe, factor) {
        Err(SolveError::Inaccurate { residual, .. }) => residual.is_nan() || residual > PROBE_LIMIT,
        _ => false,
    }
}

/// Finds the free motion by three inverse iterations on the matrix with its diagonal
/// raised by 1e-8, which makes it just factorable, and names where it is largest.
pub(crate) fn name_mechanism(equations: &Equations, pivots: &Pivots) -> SolveError {
    let mut matrix = equations.envelope();
    for row in 0..matrix.size() {
        let block = matrix.block_mut(row, row);
        let largest = block.diagonal().amax().max(1.0);
        for i in 0..6 {
            block[(i, i)] += 1e-8 * block[(i, i)].max(1e-6 * largest);
        }
    }
    let (factor, _) = matrix.factor();
    let order = &equations.numbering.order;
    let free = |row: usize, i: usize| !equations.held[order[row]][i];
    // A fixed start without symmetry, so that no free motion is orthogonal to it by chance.
    let mut motion: Vec<Vector6<f64>> = (0..order.len())
        .map(|row| {
            Vector6::from_fn(|i, _| match free(row, i) {
                true => 1.0 + (0.618 * (6 * row + i) as f64).fract(),
                false => 0.0,
            })
        })
        .collect();
    for _ in 0..3 {
        factor.solve(&mut motion);
        let largest = motion.iter().map(|m| m.amax()).fold(0.0, f64::max);
        for part in &mut motion {
            *part /= largest;
        }
    }
    let (row, _) = motion
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.amax().total_cmp(&b.1.amax()))
        .expect("a frame with a mechanism has nodes");
    let freedom = motion[row].iamax();
    let names = &equations.frame.nodes;
    let mut moving: Vec<usize> = (0..order.len())
        .filter(|&other| other != row && motion[other].amax() > 1e-3)
        .map(|other| order[other])
        .collect();
    moving.sort_unstable();
    SolveError::Mechanism {
        node: names[order[row]].name.to_string(),
        motion: MOTIONS[freedom],
        loose: moving
            .into_iter()
            .map(|node| names[node].name.to_string())
            .collect(),
        pivot_ratio: pivots.smallest_ratio,
    }
}
