//! A share seen in a sample, with its confidence interval.

use schemars::JsonSchema;
use serde::Serialize;
use statrs::distribution::{Beta, ContinuousCDF};

use super::normal_quantile;

/// A probability estimated from a sample, with its 95 % confidence interval.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Share {
    /// The estimate.
    pub probability: f64,
    /// Lower end of the interval.
    pub from: f64,
    /// Upper end of the interval.
    pub to: f64,
}

/// Share of the intervals that hold the truth.
const CONFIDENCE: f64 = 0.95;

impl Share {
    /// From how often it happened: the exact interval of Clopper and Pearson.
    ///
    /// ```text
    /// from: Beta⁻¹(α/2; k, n − k + 1)     to: Beta⁻¹(1 − α/2; k + 1, n − k)
    /// ```
    ///
    /// * `happened`: `k`; `count`: `n`, at least 1
    ///
    /// Source: Clopper and Pearson (1934), from memory.
    pub fn counted(happened: u64, count: u64) -> Self {
        let (k, n) = (happened as f64, count as f64);
        let end = |share, a, b| {
            let beta = Beta::new(a, b).expect("both shapes are positive");
            beta.inverse_cdf(share)
        };
        let tail = 0.5 * (1.0 - CONFIDENCE);
        Share {
            probability: k / n,
            from: if happened == 0 {
                0.0
            } else {
                end(tail, k, n - k + 1.0)
            },
            to: if happened == count {
                1.0
            } else {
                end(1.0 - tail, k + 1.0, n - k)
            },
        }
    }

    /// From the probability in each of several independent samples: Wilson's interval for as many
    /// yes-or-no samples as would scatter like these.
    ///
    /// ```text
    /// m = p (1 − p) / (s²/n)
    /// ```
    ///
    /// The sample mean scatters by `s/√n`; `m` such yes-or-no samples would scatter as much, and
    /// `m` is never less than `n`. All zero or all one: `m = n`.
    ///
    /// * `probabilities`: at least one, each from 0 to 1
    ///
    /// Source: Wilson (1927), from memory; the effective number is the usual one for weighted
    /// samples.
    pub fn averaged(probabilities: &[f64]) -> Self {
        let n = probabilities.len() as f64;
        let p = probabilities.iter().sum::<f64>() / n;
        let squares = probabilities
            .iter()
            .map(|each| (each - p).powi(2))
            .sum::<f64>();
        let spread = squares / (n * (n - 1.0).max(1.0));
        let binomial = p * (1.0 - p);
        let m = if spread > 0.0 {
            (binomial / spread).max(n)
        } else {
            n
        };
        Share::wilson(p, m)
    }

    /// Wilson's interval for a probability seen in `count` yes-or-no samples.
    ///
    /// ```text
    /// p̃ = (p + z²/2m) / (1 + z²/m)    ± z √(p (1 − p)/m + z²/4m²) / (1 + z²/m)
    /// ```
    ///
    /// * `probability`: from 0 to 1
    /// * `count`: `m`, above 0; need not be whole
    ///
    /// Source: Wilson (1927), from memory.
    pub fn wilson(probability: f64, count: f64) -> Self {
        let (p, m) = (probability, count);
        let z = normal_quantile(0.5 * (1.0 + CONFIDENCE));
        let middle = (p + z * z / (2.0 * m)) / (1.0 + z * z / m);
        let half = z * (p * (1.0 - p) / m + z * z / (4.0 * m * m)).sqrt() / (1.0 + z * z / m);
        Share {
            probability: p,
            from: (middle - half).max(0.0).min(p),
            to: (middle + half).min(1.0).max(p),
        }
    }
}
