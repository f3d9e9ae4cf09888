//! The general sparse path: the second witness of the blocked envelope.

use nalgebra_sparse::{CooMatrix, CscMatrix};

use super::Frame;
use super::equations::Equations;
use super::error::SolveError;

/// The full symmetric stiffness matrix of a frame, with held degrees of freedom decoupled,
/// in the frame's own node numbering: row `6 × node + freedom`.
///
/// # Errors
/// [`SolveError::Unsound`] for a frame that is not well formed.
pub fn assemble_sparse(frame: &Frame) -> Result<CscMatrix<f64>, SolveError> {
    let equations = Equations::new(frame)?;
    let size = 6 * frame.nodes.len();
    let mut entries = CooMatrix::new(size, size);
    let held = |node: usize, freedom: usize| equations.held[node][freedom];
    for link in &equations.links {
        let [ii, ij, jj] = link.blocks();
        let [i, j] = link.nodes;
        for (row, column, block) in [(i, i, ii), (i, j, ij), (j, i, ij.transpose()), (j, j, jj)] {
            for r in 0..6 {
                for c in 0..6 {
                    if !held(row, r) && !held(column, c) {
                        entries.push(6 * row + r, 6 * column + c, block[(r, c)]);
                    }
                }
            }
        }
    }
    for support in &frame.supports {
        for (freedom, spring) in support.springs.iter().enumerate() {
            if !held(support.node, freedom) {
                let row = 6 * support.node + freedom;
                entries.push(row, row, *spring);
            }
        }
    }
    for (node, freedoms) in equations.held.iter().enumerate() {
        for (freedom, held) in freedoms.iter().enumerate() {
            if *held {
                entries.push(6 * node + freedom, 6 * node + freedom, 1.0);
            }
        }
    }
    Ok(CscMatrix::from(&entries))
}
