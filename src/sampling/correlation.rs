//! Rank correlations between inputs.

use std::f64::consts::PI;
use std::fmt;

use nalgebra::DMatrix;

use super::{normal_quantile, normal_share};

/// Rank correlations between the coordinates of a point, by a Gaussian copula.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Correlation {
    /// Lower triangle of the normal scores' correlation; absent when nothing is correlated.
    factor: Option<DMatrix<f64>>,
}

/// Correlations that cannot be.
#[derive(Debug, Clone, PartialEq)]
pub enum CorrelationError {
    /// That of one pair is not between −1 and 1, or a coordinate is paired with itself.
    Pair(usize, usize),
    /// Each pair could be, all together cannot.
    Together,
}

impl fmt::Display for CorrelationError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            CorrelationError::Pair(..) => {
                "must be of two different inputs and between -1 and 1, both left out"
            }
            CorrelationError::Together => {
                "cannot all hold together: their matrix is not positive definite"
            }
        })
    }
}

impl std::error::Error for CorrelationError {}

impl Correlation {
    /// Correlations of a point's coordinates; pairs that are not named are independent.
    ///
    /// ```text
    /// r = 2 sin(π ρ / 6)     Pearson's of the normal scores for Spearman's ρ
    /// ```
    ///
    /// * `pairs`: two coordinates and Spearman's rank correlation; a pair named again counts last
    ///
    /// Source: from memory (Pearson 1907; exact for the normal copula).
    ///
    /// # Errors
    /// When a pair or all of them cannot be.
    pub fn new(dimensions: usize, pairs: &[(usize, usize, f64)]) -> Result<Self, CorrelationError> {
        if pairs.is_empty() {
            return Ok(Correlation { factor: None });
        }
        let mut matrix = DMatrix::identity(dimensions, dimensions);
        for &(a, b, rank) in pairs {
            let possible = -1.0 < rank && rank < 1.0;
            if a == b || !possible {
                return Err(CorrelationError::Pair(a, b));
            }
            let score = 2.0 * (PI * rank / 6.0).sin();
            matrix[(a, b)] = score;
            matrix[(b, a)] = score;
        }
        let cholesky = matrix.cholesky().ok_or(CorrelationError::Together)?;
        Ok(Correlation {
            factor: Some(cholesky.unpack()),
        })
    }

    /// Correlates an independent point of the open unit cube; each coordinate stays uniform.
    pub fn apply(&self, point: &mut [f64]) {
        let Some(factor) = &self.factor else { return };
        let scores: Vec<f64> = point.iter().map(|share| normal_quantile(*share)).collect();
        for (row, coordinate) in point.iter_mut().enumerate() {
            let sum: f64 = (0..=row)
                .map(|column| factor[(row, column)] * scores[column])
                .sum();
            *coordinate = normal_share(sum);
        }
    }
}
