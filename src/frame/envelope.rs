//! Symmetric matrix of 6×6 blocks stored by rows from the first to the diagonal block,
//! and its `L D Lᵀ` factorisation.

use nalgebra::{Matrix6, Vector6};
use pulp::{Arch, NullaryFnOnce};

use super::lanes::{self, Lanes};

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

    /// A copy in the storage of a matrix no longer needed.
    pub(crate) fn copied_into(&self, mut storage: Self) -> Self {
        storage.first.clone_from(&self.first);
        storage.start.clone_from(&self.start);
        storage.blocks.clone_from(&self.blocks);
        storage
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
    /// Column by column: each takes its part from all blocks below and right of it, the next
    /// diagonal block first, so that its pivots are under way while the others follow.
    ///
    /// ```text
    /// A_cc = L_cc D_c L_ccᵀ
    /// W_rc = A_rc L_cc⁻ᵀ      L_rc = W_rc D_c⁻¹
    /// A_rs ← A_rs − W_rc L_scᵀ      c < s ≤ r
    /// ```
    ///
    /// A zero pivot makes the factor useless, which [`Pivots::smallest_ratio`] tells.
    ///
    /// This and [`Factor::solve`] are compiled for wide registers too and choose when they run.
    /// A product and the difference it enters are rounded once, everywhere, so that every machine
    /// finds the same bits; one without such an instruction takes long over it.
    ///
    /// Source: Golub & Van Loan, *Matrix Computations*, outer-product Cholesky and envelopes
    /// (from memory).
    pub fn factor(self) -> (Factor, Pivots) {
        Arch::new().dispatch(Factoring(self))
    }

    /// The last block row that reaches each block column or one before it.
    pub(crate) fn last(&self) -> Vec<usize> {
        let mut last: Vec<usize> = (0..self.size()).collect();
        for (row, &first) in self.first.iter().enumerate() {
            last[first] = last[first].max(row);
        }
        for column in 1..last.len() {
            last[column] = last[column].max(last[column - 1]);
        }
        last
    }

    #[inline(always)]
    fn factor_here(mut self) -> (Factor, Pivots) {
        let size = self.size();
        let last = self.last();
        let diagonals: Vec<[f64; 6]> = (0..size)
            .map(|row| self.block(row, row).diagonal().into())
            .collect();
        let mut pivots: Vec<[f64; 6]> = Vec::with_capacity(size);
        let mut inverses: Vec<[f64; 6]> = Vec::with_capacity(size);
        // The blocks of the present column, as `W` and as `L`, and their rows.
        let widest = (0..size).map(|column| last[column] - column).max();
        let mut weighted = vec![Block::default(); widest.unwrap_or(0)];
        let mut lower = weighted.clone();
        let mut rows = Vec::with_capacity(weighted.len());
        let mut diagonal = Block::default();
        for column in 0..size {
            if column == 0 {
                let (own, inverse) = factor_diagonal(&self.block(0, 0).data.0, &mut diagonal);
                pivots.push(own);
                inverses.push(inverse);
            }
            let inverse = &inverses[column];
            rows.clear();
            for row in column + 1..=last[column] {
                if self.first[row] > column {
                    continue;
                }
                let place = rows.len();
                let block = &mut self.blocks[self.start[row] + column - self.first[row]]
                    .data
                    .0;
                let (weighted, lower) = (&mut weighted[place], &mut lower[place]);
                right_solve_unit_lower(block, &diagonal, weighted);
                for ((block, lower), (weighted, inverse)) in block
                    .iter_mut()
                    .zip(lower)
                    .zip(weighted.iter().zip(inverse))
                {
                    *lower = weighted.map(|entry| entry * inverse);
                    *block = *lower;
                }
                rows.push(row);
            }
            self.block_mut(column, column).data.0 = diagonal;
            let next = column + 1;
            if next < size {
                let block = &mut self.block_mut(next, next).data.0;
                if rows.first() == Some(&next) {
                    subtract_product(block, &weighted[0], &lower[0]);
                }
                let (own, inverse) = factor_diagonal(block, &mut diagonal);
                pivots.push(own);
                inverses.push(inverse);
            }
            for (at, &row) in rows.iter().enumerate() {
                if row == next {
                    continue;
                }
                for (&other, lower) in rows[..=at].iter().zip(&lower) {
                    let target = self.start[row] + other - self.first[row];
                    subtract_product(&mut self.blocks[target].data.0, &weighted[at], lower);
                }
            }
        }
        let pivots = Pivots::of(&pivots, &diagonals);
        let factor = Factor {
            lower: self,
            inverses,
        };
        (factor, pivots)
    }
}

impl Pivots {
    /// What the pivots of each block row are against the diagonal before.
    #[inline(always)]
    fn of(pivots: &[[f64; 6]], diagonals: &[[f64; 6]]) -> Self {
        let mut found = Pivots {
            smallest_ratio: f64::INFINITY,
            smallest_at: (0, 0),
            negative: 0,
        };
        for (row, (pivots, diagonal)) in pivots.iter().zip(diagonals).enumerate() {
            let ratios: [f64; 6] = std::array::from_fn(|i| pivots[i] / diagonal[i].abs());
            for (i, (pivot, ratio)) in pivots.iter().zip(ratios).enumerate() {
                // A pivot that is not a number counts as none.
                let ratio = if ratio.is_nan() { 0.0 } else { ratio };
                if ratio < found.smallest_ratio {
                    found.smallest_ratio = ratio;
                    found.smallest_at = (row, i);
                }
                found.negative += usize::from(*pivot < 0.0);
            }
        }
        found
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

/// `a − b c`, rounded once: one instruction where the machine has it, and the same bits where not.
#[inline(always)]
fn less(a: f64, b: f64, c: f64) -> f64 {
    (-b).mul_add(c, a)
}

/// A block by its columns.
type Block = [[f64; 6]; 6];

/// `target −= a bᵀ`, three columns of the target at a time so that they stay in registers.
#[inline(always)]
fn subtract_product(target: &mut Block, a: &Block, b: &Block) {
    for half in 0..2 {
        let mut columns: [[f64; 6]; 3] = std::array::from_fn(|j| target[3 * half + j]);
        for (a, b) in a.iter().zip(b) {
            for (j, column) in columns.iter_mut().enumerate() {
                for (entry, a) in column.iter_mut().zip(a) {
                    *entry = less(*entry, *a, b[3 * half + j]);
                }
            }
        }
        for (j, column) in columns.into_iter().enumerate() {
            target[3 * half + j] = column;
        }
    }
}

/// `x = a L⁻ᵀ` with `L` unit lower triangular.
#[inline(always)]
fn right_solve_unit_lower(a: &Block, lower: &Block, x: &mut Block) {
    for j in 0..6 {
        let mut column = a[j];
        for k in 0..j {
            for (entry, solved) in column.iter_mut().zip(&x[k]) {
                *entry = less(*entry, *solved, lower[k][j]);
            }
        }
        x[j] = column;
    }
}

/// The unit lower triangle of one diagonal block; its pivots and their inverses.
#[expect(
    clippy::needless_range_loop,
    reason = "with iterators half as fast again"
)]
#[inline(always)]
fn factor_diagonal(a: &Block, lower: &mut Block) -> ([f64; 6], [f64; 6]) {
    let mut a = *a;
    let (mut pivots, mut inverses) = ([0.0; 6], [0.0; 6]);
    for j in 0..6 {
        pivots[j] = a[j][j];
        inverses[j] = 1.0 / a[j][j];
        for k in j + 1..6 {
            lower[j][k] = a[j][k] * inverses[j];
            for i in k..6 {
                a[k][i] = less(a[k][i], a[j][i], lower[j][k]);
            }
        }
    }
    (pivots, inverses)
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
        let mut sides: Vec<Lanes<1>> = x.iter().map(lanes::alike).collect();
        self.solve_side_by_side(&mut sides);
        for (x, side) in x.iter_mut().zip(&sides) {
            *x = lanes::lane(side, 0);
        }
    }

    /// Solves for several right-hand sides, each with the same bits as alone.
    ///
    /// # Panics
    /// As [`Factor::solve`].
    pub(crate) fn solve_side_by_side<const N: usize>(&self, sides: &mut [Lanes<N>]) {
        let size = self.lower.size();
        assert_eq!(
            sides.len(),
            size,
            "right-hand side and matrix differ in size"
        );
        Arch::new().dispatch(Solving(self, sides));
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
        *target = less(*target, *other, factor);
    }
}
