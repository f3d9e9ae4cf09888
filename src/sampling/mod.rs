//! Random and evenly spread samples of uncertain quantities: distributions, plans of points in
//! the unit cube, rank correlations, shares and sensitivity indices with confidence intervals.
//!
//! ```text
//! Plan -> point of the unit cube -> Correlation -> Distribution::quantile -> values
//! ```
//!
//! Every point follows from its index and the seed alone: nothing grows with their number, and
//! threads, parts and restarts agree. Knows no file kind but the tables of its own.

mod association;
mod correlation;
mod directions;
mod distribution;
mod hash;
mod indices;
mod plan;
mod saltelli;
mod share;
mod tables;

pub use association::{order, pearson, ranks, spearman};
pub use correlation::{Correlation, CorrelationError};
pub use distribution::Distribution;
pub use indices::{Estimate, FEWEST_BLOCKS, Indices, indices, quantile};
pub use plan::{Method, Plan};
pub use saltelli::Saltelli;
pub use share::Share;
pub use tables::{CorrelationTable, DistributionTable, correlation};

use statrs::distribution::{ContinuousCDF, Normal};

/// Share of standard normal values below a value.
pub fn normal_share(value: f64) -> f64 {
    Normal::standard().cdf(value)
}

/// Value that a share of standard normal values lies below; without bound at 0 and 1.
pub fn normal_quantile(share: f64) -> f64 {
    Normal::standard().inverse_cdf(share)
}
