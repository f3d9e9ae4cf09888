//! Plans of points in the unit cube.

use super::directions::{DIRECTIONS, MOST_DIMENSIONS};
use super::hash::{hash, permuted, uniform};

/// How the points of a plan are spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Each by itself.
    Random,
    /// As many layers across each axis as points, one point in each.
    LatinHypercube,
    /// Sobol's sequence, each point in the middle of its cell of side 2⁻³².
    Sobol,
    /// Sobol's sequence, its digits shuffled by the seed as Owen does (from memory).
    ScrambledSobol,
}

/// Points of the unit cube, open at both ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plan {
    /// How they are spread.
    pub method: Method,
    /// Coordinates of a point.
    pub dimensions: usize,
    /// Points in all.
    pub count: u64,
    /// Another seed gives another plan; Sobol's sequence has none.
    pub seed: u64,
}

impl Plan {
    /// Most points of a plan.
    pub const MOST_POINTS: u64 = 1 << 32;

    /// Most coordinates of a point of Sobol's sequence.
    pub const MOST_SOBOL_DIMENSIONS: usize = MOST_DIMENSIONS;

    /// A plan.
    ///
    /// # Errors
    /// The rule broken, to be read after the number: more than [`Plan::MOST_POINTS`] points, or
    /// more coordinates than Sobol's sequence is tabulated for.
    pub fn new(method: Method, dimensions: usize, count: u64, seed: u64) -> Result<Self, String> {
        if count > Self::MOST_POINTS {
            return Err(format!("must be at most {} points", Self::MOST_POINTS));
        }
        let sobol = matches!(method, Method::Sobol | Method::ScrambledSobol);
        if sobol && dimensions > MOST_DIMENSIONS {
            return Err(format!(
                "must be at most {MOST_DIMENSIONS} inputs for Sobol's sequence"
            ));
        }
        Ok(Plan {
            method,
            dimensions,
            count,
            seed,
        })
    }

    /// The point with an index, from 0.
    ///
    /// ```
    /// use clavibeam::sampling::{Method, Plan};
    /// let plan = Plan::new(Method::LatinHypercube, 1, 4, 7).expect("a small plan");
    /// let mut layers: Vec<_> = (0..4).map(|i| (4.0 * plan.point(i)[0]) as usize).collect();
    /// layers.sort();
    /// assert_eq!(layers, [0, 1, 2, 3]);
    /// ```
    ///
    /// # Panics
    /// When the index is not less than the count.
    pub fn point(&self, index: u64) -> Vec<f64> {
        assert!(
            index < self.count,
            "a plan of {} has no {index}",
            self.count
        );
        let axes = 0..self.dimensions as u64;
        axes.map(|axis| self.coordinate(index, axis)).collect()
    }

    fn coordinate(&self, index: u64, axis: u64) -> f64 {
        match self.method {
            Method::Random => uniform(&[self.seed, axis, index], 52),
            Method::LatinHypercube => {
                let layer = permuted(index, self.count, &[self.seed, axis]);
                // So few bits that the sum is exact and stays in its layer.
                (layer as f64 + uniform(&[self.seed, axis, index], 20)) / self.count as f64
            }
            Method::Sobol => middle(sobol(index, axis)),
            Method::ScrambledSobol => middle(scrambled(sobol(index, axis), self.seed, axis)),
        }
    }
}

/// Middle of a cell of side 2⁻³².
fn middle(digits: u32) -> f64 {
    (f64::from(digits) + 0.5) / (1_u64 << 32) as f64
}

/// The first 32 binary digits of a coordinate of Sobol's sequence, in the order of Gray's code.
///
/// ```text
/// x = v1 g1 ⊕ v2 g2 ⊕ …    g = i ⊕ (i >> 1)    vk = mk / 2^k
/// mk = 2 a1 m(k−1) ⊕ 2² a2 m(k−2) ⊕ … ⊕ 2^s m(k−s) ⊕ m(k−s)
/// ```
///
/// Source: Bratley and Fox (1988) for the recurrence, Joe and Kuo (2008) for polynomials and
/// first numbers, from memory; both as distributed with SciPy.
fn sobol(index: u64, axis: u64) -> u32 {
    let (polynomial, first) = DIRECTIONS[axis as usize];
    let degree = first.len();
    let mut m = [1_u64; 32];
    m[..degree].copy_from_slice(first);
    // The first axis has no polynomial: all its numbers are 1.
    for k in degree..if degree == 0 { 0 } else { 32 } {
        m[k] = m[k - degree];
        for step in 1..=degree {
            let coefficient = polynomial >> (degree - step) & 1;
            m[k] ^= coefficient * (m[k - step] << step);
        }
    }
    let gray = index ^ (index >> 1);
    let used = (0..32).filter(|k| gray >> k & 1 == 1);
    used.fold(0, |x, k| x ^ (m[k] << (31 - k)) as u32)
}

/// Each digit turned over or not by a coin that depends on the digits before it, so that every
/// half, quarter, eighth … keeps as many points as it had.
fn scrambled(digits: u32, seed: u64, axis: u64) -> u32 {
    (0..32).fold(0, |done, place| {
        let before = u64::from(digits).checked_shr(32 - place).unwrap_or(0);
        let coin = hash(&[seed, axis, u64::from(place), before]) >> 63;
        let digit = u64::from(digits) >> (31 - place) & 1;
        done << 1 | (digit ^ coin) as u32
    })
}
