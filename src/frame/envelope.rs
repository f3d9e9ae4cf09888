//! Symmetric matrix of 6×6 blocks stored by rows from the first to the diagonal block,
//! and its `L D Lᵀ` factorisation.

use nalgebra::{Matrix6, Vector6};
use pulp::{Arch, NullaryFnOnce};

/// Right-hand sides that are solved for side by side.
const LANES: usize = 4;

/// Six entries of a row, of one or more vectors side by side.
type Lanes<const N: usize> = [[f64; N]; 6];

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
    /// This and [`Factor::solve`] are compiled for wide registers too and choose when they run.
    /// Each operation rounds alone either way, so that every machine finds the same bits.
    ///
    /// Source: Jennings & McKeown, *Matrix Computation*, ch. on envelope storage (from memory).
    pub fn factor(self) -> (Factor, Pivots) {
        Arch::new().dispatch(Factoring(self))
    }

    #[inline(always)]
    fn factor_here(mut self) -> (Factor, Pivots) {
        let mut pivots = Pivots {
            smallest_ratio: f64::INFINITY,
            smallest_at: (0, 0),
            negative: 0,
        };
        let mut inverses: Vec<[f64; 6]> = Vec::with_capacity(self.size());
        for row in 0..self.size() {
            let first = self.first[row];
            let (above, rest) = self.blocks.split_at_mut(self.start[row]);
            let (left, diagonal) = rest[..=row - first].split_at_mut(row - first);
            for column in first..row {
                let column_first = self.first[column];
                let from = first.max(column_first);
                let start = self.start[column];
                let own = &above[start + from - column_first..=start + column - column_first];
                let (done, target) = left.split_at_mut(column - first);
                let mut block = target[0].data.0;
                for (a, b) in done[from - first..].iter().zip(own) {
                    subtract_product(&mut block, &a.data.0, &b.data.0);
                }
                right_solve_unit_lower(&mut block, &own[column - from].data.0);
                target[0].data.0 = block;
            }
            let diagonal = &mut diagonal[0].data.0;
            let own: [f64; 6] = std::array::from_fn(|i| diagonal[i][i]);
            for (block, inverse) in left.iter_mut().zip(&inverses[first..]) {
                let weighted = block.data.0;
                for (entries, inverse) in block.data.0.iter_mut().zip(inverse) {
                    entries.iter_mut().for_each(|entry| *entry *= inverse);
                }
                subtract_product(diagonal, &weighted, &block.data.0);
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
            inverses.push(d.map(|pivot| 1.0 / pivot));
        }
        let factor = Factor {
            lower: self,
            inverses,
        };
        (factor, pivots)
    }
}

/// The factorisation, to be compiled for each kind of machine: a closure would be compiled once.
struct Factoring(Envelope);

impl NullaryFnOnce for Factoring {
    type Output = (Factor, Pivots);

    #[inline(always)]
    fn call(self) -> Self::Output {
        self.0.factor_here()
    }
}

/// The same for the solution.
struct Solving<'a, const N: usize>(&'a Factor, &'a mut [Lanes<N>]);

impl<const N: usize> NullaryFnOnce for Solving<'_, N> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.0.solve_lanes(self.1);
    }
}

/// A block by its columns.
type Block = [[f64; 6]; 6];

/// `target −= a bᵀ`, a column of the target at a time so that it stays in registers.
#[inline(always)]
fn subtract_product(target: &mut Block, a: &Block, b: &Block) {
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
#[inline(always)]
fn right_solve_unit_lower(x: &mut Block, lower: &Block) {
    for j in 1..6 {
        let mut column = x[j];
        for k in 0..j {
            for (entry, solved) in column.iter_mut().zip(&x[k]) {
                *entry -= solved * lower[k][j];
            }
        }
        x[j] = column;
    }
}

/// Factors one diagonal block in place into its unit lower triangle and returns its pivots.
#[expect(clippy::needless_range_loop, reason = "with iterators a third slower")]
#[inline(always)]
fn factor_diagonal(a: &mut Block) -> [f64; 6] {
    let mut d = [0.0; 6];
    for j in 0..6 {
        let weighted = a[j];
        d[j] = weighted[j];
        let inverse = 1.0 / d[j];
        a[j] = weighted.map(|entry| entry * inverse);
        for k in j + 1..6 {
            for i in k..6 {
                a[k][i] -= weighted[i] * a[j][k];
            }
        }
    }
    d
}

/// The factors `L` and `D` of an [`Envelope`].
#[derive(Debug, Clone)]
pub struct Factor {
    lower: Envelope,
    /// `D⁻¹`.
    inverses: Vec<[f64; 6]>,
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
        self.solve_side_by_side::<1>(&mut [x]);
    }

    /// Solves for several right-hand sides, each with the same bits as alone.
    ///
    /// # Panics
    /// As [`Factor::solve`].
    pub fn solve_all(&self, sides: &mut [Vec<Vector6<f64>>]) {
        for group in sides.chunks_mut(LANES) {
            let mut group: Vec<&mut [Vector6<f64>]> =
                group.iter_mut().map(Vec::as_mut_slice).collect();
            match group.len() {
                1 => self.solve_side_by_side::<1>(&mut group),
                _ => self.solve_side_by_side::<LANES>(&mut group),
            }
        }
    }

    /// Solves for up to `N` right-hand sides at once.
    fn solve_side_by_side<const N: usize>(&self, sides: &mut [&mut [Vector6<f64>]]) {
        let size = self.lower.size();
        let mut lanes: Vec<Lanes<N>> = vec![[[0.0; N]; 6]; size];
        for (lane, side) in sides.iter().enumerate() {
            assert_eq!(
                side.len(),
                size,
                "right-hand side and matrix differ in size"
            );
            for (entries, side) in lanes.iter_mut().zip(side.iter()) {
                for (entry, side) in entries.iter_mut().zip(side.iter()) {
                    entry[lane] = *side;
                }
            }
        }
        Arch::new().dispatch(Solving(self, &mut lanes));
        for (lane, side) in sides.iter_mut().enumerate() {
            for (entries, side) in lanes.iter().zip(side.iter_mut()) {
                for (entry, side) in entries.iter().zip(side.iter_mut()) {
                    *side = entry[lane];
                }
            }
        }
    }

    #[inline(always)]
    fn solve_lanes<const N: usize>(&self, x: &mut [Lanes<N>]) {
        for row in 0..x.len() {
            let (solved, rest) = x.split_at_mut(row);
            let blocks = self.lower.row(row);
            let first = self.lower.first[row];
            let mut own = rest[0];
            for (block, known) in blocks.iter().zip(&solved[first..]) {
                for (column, known) in block.data.0.iter().zip(known) {
                    for (entries, l) in own.iter_mut().zip(column) {
                        subtract_scaled(entries, known, *l);
                    }
                }
            }
            let diagonal = &blocks[row - first].data.0;
            for k in 0..5 {
                let known = own[k];
                for i in k + 1..6 {
                    subtract_scaled(&mut own[i], &known, diagonal[k][i]);
                }
            }
            rest[0] = own;
        }
        for (own, inverses) in x.iter_mut().zip(&self.inverses) {
            for (entries, inverse) in own.iter_mut().zip(inverses) {
                entries.iter_mut().for_each(|entry| *entry *= inverse);
            }
        }
        for row in (0..x.len()).rev() {
            let (above, rest) = x.split_at_mut(row);
            let blocks = self.lower.row(row);
            let first = self.lower.first[row];
            let mut own = rest[0];
            let diagonal = &blocks[row - first].data.0;
            for i in (0..5).rev() {
                for k in i + 1..6 {
                    let known = own[k];
                    subtract_scaled(&mut own[i], &known, diagonal[i][k]);
                }
            }
            rest[0] = own;
            for (block, target) in blocks.iter().zip(&mut above[first..]) {
                for (entries, column) in target.iter_mut().zip(&block.data.0) {
                    for (known, l) in own.iter().zip(column) {
                        subtract_scaled(entries, known, *l);
                    }
                }
            }
        }
    }
}

/// `target −= other · factor`.
#[inline(always)]
fn subtract_scaled<const N: usize>(target: &mut [f64; N], other: &[f64; N], factor: f64) {
    for (target, other) in target.iter_mut().zip(other) {
        *target -= other * factor;
    }
}
