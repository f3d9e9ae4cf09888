//! The design of a study: which sample has which values.

use toml::Value as Toml;

use crate::sampling::{Correlation, Distribution, Plan, Saltelli};

/// What an input may be.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Variation {
    /// One of these.
    Values(Vec<Toml>),
    /// Between two numbers; a grid takes so many.
    Range { ends: [f64; 2], count: u64 },
    /// Scattered.
    Scattered(Distribution),
}

/// Shares between which the values of a distribution are checked when a study is read: beyond
/// lies one value in a thousand million.
pub(super) const CHECKED_SHARES: [f64; 2] = [1e-9, 1.0 - 1e-9];

impl Variation {
    /// Values that must satisfy the schema for all others to do so.
    pub fn ends(&self) -> Vec<Toml> {
        match self {
            Variation::Values(values) => values.clone(),
            Variation::Range { ends, .. } => ends.map(Toml::Float).to_vec(),
            Variation::Scattered(distribution) => CHECKED_SHARES
                .map(|share| Toml::Float(distribution.quantile(share)))
                .to_vec(),
        }
    }

    /// The value that a share of all lies below.
    fn at(&self, share: f64) -> Toml {
        match self {
            Variation::Values(values) => {
                let which = (share * values.len() as f64) as usize;
                values[which.min(values.len() - 1)].clone()
            }
            Variation::Range { ends, .. } => Toml::Float(ends[0] + (ends[1] - ends[0]) * share),
            Variation::Scattered(distribution) => Toml::Float(distribution.quantile(share)),
        }
    }

    /// How many a grid takes.
    fn count(&self) -> u64 {
        match self {
            Variation::Values(values) => values.len() as u64,
            Variation::Range { count, .. } => *count,
            Variation::Scattered(_) => 1,
        }
    }

    /// Which of those of a grid.
    fn nth(&self, index: u64) -> Toml {
        match self {
            Variation::Values(values) => values[index as usize].clone(),
            // Both ends are met exactly.
            Variation::Range { ends, count } if index + 1 == *count => Toml::Float(ends[1]),
            Variation::Range { ends, count } => {
                Toml::Float(ends[0] + (ends[1] - ends[0]) * index as f64 / (*count - 1) as f64)
            }
            Variation::Scattered(distribution) => Toml::Float(distribution.median()),
        }
    }
}

/// How samples are spread.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Spread {
    /// Each value with each; the last input changes fastest.
    Grid,
    /// By a plan of points, correlated.
    Points(Plan, Correlation),
    /// In blocks for sensitivity indices.
    Blocks(Saltelli),
}

/// Inputs and how they are spread.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Design {
    pub variations: Vec<Variation>,
    pub spread: Spread,
}

impl Design {
    /// How many samples; none if more than can be counted.
    pub fn samples(&self) -> Option<u64> {
        match &self.spread {
            Spread::Grid => {
                let mut counts = self.variations.iter().map(Variation::count);
                counts.try_fold(1_u64, |product, count| product.checked_mul(count))
            }
            Spread::Points(plan, _) => Some(plan.count),
            Spread::Blocks(design) => Some(design.samples()),
        }
    }

    /// The values of a sample, which follow from its number alone.
    pub fn values(&self, sample: u64) -> Vec<Toml> {
        match &self.spread {
            Spread::Grid => {
                let mut left = sample;
                let mut values: Vec<Toml> = (self.variations.iter().rev())
                    .map(|variation| {
                        let count = variation.count();
                        let value = variation.nth(left % count);
                        left /= count;
                        value
                    })
                    .collect();
                values.reverse();
                values
            }
            Spread::Points(plan, correlation) => {
                let mut point = plan.point(sample);
                correlation.apply(&mut point);
                self.at(&point)
            }
            Spread::Blocks(design) => self.at(&design.point(sample)),
        }
    }

    fn at(&self, point: &[f64]) -> Vec<Toml> {
        let pairs = self.variations.iter().zip(point);
        pairs
            .map(|(variation, share)| variation.at(*share))
            .collect()
    }
}
