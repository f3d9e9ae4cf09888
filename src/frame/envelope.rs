//! Symmetric matrix of 6×6 blocks stored by rows from the first to the diagonal block,
//! and its `L D Lᵀ` factorisation.

use nalgebra::{Matrix6, Vector6};

/// A symmetric matrix of 6×6 blocks: in each block row, the blocks from the first
/// nonzero one to the diagonal.
#[derive(Debug, Clone, Default)]
pub struct Envelope {
    /// Column of the first stored block of each row.
    first: Vec<usize>,
    /// Where each row starts in `blocks`.
    start: Vec<usize>,
    blocks: Vec<Matrix6<f64>>,
}

/// The pivots of a factorisation, seen against the diagonal of the matrix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pivots {
    /// Smallest pivot divided by the diagonal entry it came from.
    pub smallest_ratio: f64,
    /// Block row and row within the block where it stands.
    pub smallest_at: (usize, usize),
    /// How many pivots are negative: the number of negative eigenvalues (Sylvester).
    pub negative: usize,
}

impl Envelope {
    /// A zero matrix with the given first column in each block row.
    ///
    /// # Panics
    /// If a first column lies right of the diagonal.
    pub fn zeros(first: Vec<usize>) -> Self {
        Envelope::default().zeroed(first)
    }

    /// The same in the storage of a matrix no longer needed.
    pub(crate) fn zeroed(self, first: Vec<usize>) -> Self {
        let Envelope {
            mut start,
            mut blocks,
            ..
        } = self;
        start.clear();
        blocks.clear();
        let mut count = 0;
        for (row, &column) in first.iter().enumerate() {
            assert!(
                column <= row,
                "block row {row} starts right of its diagonal"
            );
            start.push(count);
            count += row - column + 1;
        }
        blocks.resize(count, Matrix6::zeros());
        Envelope {
            first,
            start,
            blocks,
        }
    }

    /// Number of block rows.
    pub fn size(&self) -> usize {
        self.first.len()
    }

    /// Number of stored blocks.
    pub fn block_count(&self) -> usize {
        self.blocks.len()
    }

    /// First stored block column of a row.
    pub fn first(&self, row: usize) -> usize {
        self.first[row]
    }

    /// Sets every entry to zero.
    pub fn clear(&mut self) {
        self.blocks.fill(Matrix6::zeros());
    }

    /// The block at `row`, `column`, with `first(row) <= column <= row`.
    pub fn block(&self, row: usize, column: usize) -> &Matrix6<f64> {
        &self.blocks[self.start[row] + column - self.first[row]]
    }

    /// The same, to change. Of a diagonal block only the lower triangle is used.
    pub fn block_mut(&mut self, row: usize, column: usize) -> &mut Matrix6<f64> {
        &mut self.blocks[self.start[row] + column - self.first[row]]
    }

    fn row(&self, row: usize) -> &[Matrix6<f64>] {
        let start = self.start[row];
        &self.blocks[start..=start + row - self.first[row]]
    }

    /// Factors the matrix in place: `A = L D Lᵀ`, `L` unit lower triangular, `D` diagonal,
    /// without pivoting.
    ///
    /// Row by row, with `W = L D` kept in place of the row until its diagonal is reached:
    ///
    /// ```text
    /// W_rc = (A_rc − Σ_k W_rk L_ckᵀ) L_cc⁻ᵀ      k = max(first r, first c) .. c−1
    /// L_rc = W_rc D_c⁻¹
    /// A_rr − Σ_c W_rc L_rcᵀ = L_rr D_r L_rrᵀ
    /// ```
    ///
    /// A zero pivot makes the factor useless, which [`Pivots::smallest_ratio`] tells.
    ///
    /// Source: Jennings & McKeown, *Matrix Computation*, ch. on envelope storage (from memory).
    pub fn factor(mut self) -> (Factor, Pivots) {
        let mut pivots = Pivots {
            smallest_ratio: f64::INFINITY,
            smallest_at: (0, 0),
            negative: 0,
        };
        let mut diagonals: Vec<Vector6<f64>> = Vec::with_capacity(self.size());
        for row in 0..self.size() {
            let first = self.first[row];
            let (above, rest) = self.blocks.split_at_mut(self.start[row]);
            let current = &mut rest[..=row - first];
            for column in first..row {
                let column_first = self.first[column];
                let from = first.max(column_first);
                let column_row = &above[self.start[column]..];
                let (done, target) = current.split_at_mut(column - first);
                let block = &mut target[0];
                for k in from..column {
                    subtract_product(block, &done[k - first], &column_row[k - column_first]);
                }
                right_solve_unit_lower(block, &column_row[column - column_first]);
            }
            let (left, diagonal) = current.split_at_mut(row - first);
            let diagonal = &mut diagonal[0];
            let own = diagonal.diagonal();
            for (offset, block) in left.iter_mut().enumerate() {
                let weighted = *block;
                for (mut entries, d) in block.column_iter_mut().zip(&diagonals[first + offset]) {
                    entries /= *d;
                }
                subtract_product(diagonal, &weighted, block);
            }
            let d = factor_diagonal(diagonal);
            for i in 0..6 {
                let ratio = d[i] / own[i].abs();
                // A pivot that is not a number counts as none.
                let ratio = if ratio.is_nan() { 0.0 } else { ratio };
                if ratio < pivots.smallest_ratio {
                    pivots.smallest_ratio = ratio;
                    pivots.smallest_at = (row, i);
                }
                pivots.negative += usize::from(d[i] < 0.0);
            }
            diagonals.push(d);
        }
        let factor = Factor {
            lower: self,
            diagonals,
        };
        (factor, pivots)
    }
}

/// `target −= a bᵀ`, a column of the target at a time so that it stays in registers.
#[inline(always)]
fn subtract_product(target: &mut Matrix6<f64>, a: &Matrix6<f64>, b: &Matrix6<f64>) {
    let (target, a, b) = (&mut target.data.0, &a.data.0, &b.data.0);
    for (j, column) in target.iter_mut().enumerate() {
        let mut entries = *column;
        for (left, right) in a.iter().zip(b) {
            for (entry, left) in entries.iter_mut().zip(left) {
                *entry -= left * right[j];
            }
        }
        *column = entries;
    }
}

/// `x ← x L⁻ᵀ` with `L` unit lower triangular.
fn right_solve_unit_lower(x: &mut Matrix6<f64>, lower: &Matrix6<f64>) {
    for j in 1..6 {
        for k in 0..j {
            let factor = lower[(j, k)];
            for i in 0..6 {
                x[(i, j)] -= x[(i, k)] * factor;
            }
        }
    }
}

/// Factors one diagonal block in place into its unit lower triangle and returns its pivots.
fn factor_diagonal(a: &mut Matrix6<f64>) -> Vector6<f64> {
    let mut d = Vector6::zeros();
    for j in 0..6 {
        let mut pivot = a[(j, j)];
        for k in 0..j {
            pivot -= a[(j, k)] * a[(j, k)] * d[k];
        }
        d[j] = pivot;
        for i in j + 1..6 {
            let mut entry = a[(i, j)];
            for k in 0..j {
                entry -= a[(i, k)] * a[(j, k)] * d[k];
            }
            a[(i, j)] = entry / pivot;
        }
    }
    d
}

/// The factors `L` and `D` of an [`Envelope`].
#[derive(Debug, Clone)]
pub struct Factor {
    lower: Envelope,
    diagonals: Vec<Vector6<f64>>,
}

impl Factor {
    /// Its storage, for another matrix.
    pub(crate) fn into_storage(self) -> Envelope {
        self.lower
    }

    /// Solves `A x = b` in place.
    ///
    /// # Panics
    /// If `x` has not one block per block row.
    pub fn solve(&self, x: &mut [Vector6<f64>]) {
        let size = self.lower.size();
        assert_eq!(x.len(), size, "right-hand side and matrix differ in size");
        for row in 0..size {
            let (solved, rest) = x.split_at_mut(row);
            let blocks = self.lower.row(row);
            let first = self.lower.first[row];
            for (block, known) in blocks.iter().zip(&solved[first..]) {
                rest[0] -= block * known;
            }
            let diagonal = &blocks[row - first];
            for i in 1..6 {
                for k in 0..i {
                    rest[0][i] -= diagonal[(i, k)] * rest[0][k];
                }
            }
        }
        for (entries, d) in x.iter_mut().zip(&self.diagonals) {
            entries.component_div_assign(d);
        }
        for row in (0..size).rev() {
            let (above, rest) = x.split_at_mut(row);
            let blocks = self.lower.row(row);
            let first = self.lower.first[row];
            let diagonal = &blocks[row - first];
            for i in (0..5).rev() {
                for k in i + 1..6 {
                    rest[0][i] -= diagonal[(k, i)] * rest[0][k];
                }
            }
            for (block, target) in blocks.iter().zip(&mut above[first..]) {
                for (entry, column) in target.iter_mut().zip(&block.data.0) {
                    let products = column.iter().zip(rest[0].iter()).map(|(k, x)| k * x);
                    *entry -= products.sum::<f64>();
                }
            }
        }
    }
}
