//! Distributions and correlations as they are typed in a file.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{Correlation, Distribution};
use crate::input::{Checker, entry_path};

/// How a quantity scatters: exactly one of these tables, in the quantity's own unit.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DistributionTable {
    /// Always the same value.
    pub fixed: Option<FixedTable>,
    /// Every value between two is as likely.
    pub uniform: Option<UniformTable>,
    /// Likeliest at one value, falling in straight lines to two others.
    pub triangular: Option<TriangularTable>,
    /// Normal distribution.
    pub normal: Option<NormalTable>,
    /// The logarithm is normally distributed.
    pub lognormal: Option<LogNormalTable>,
    /// One of several measured values, each as likely.
    pub measured: Option<MeasuredTable>,
    /// Values that given shares lie below.
    pub quantiles: Option<QuantilesTable>,
}

/// Always the same value.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixedTable {
    /// The value.
    pub value: f64,
}

/// Every value between two is as likely.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UniformTable {
    /// Smallest value.
    pub from: f64,
    /// Largest value.
    pub to: f64,
}

/// Likeliest at one value, falling in straight lines to two others.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TriangularTable {
    /// Smallest value.
    pub from: f64,
    /// Likeliest value.
    pub likeliest: f64,
    /// Largest value.
    pub to: f64,
}

/// Normal distribution, cut off where a limit is given.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NormalTable {
    /// Mean before anything is cut off.
    pub mean: f64,
    /// Standard deviation before anything is cut off.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub standard_deviation: f64,
    /// No smaller value occurs.
    pub at_least: Option<f64>,
    /// No larger value occurs.
    pub at_most: Option<f64>,
}

/// Distribution whose logarithm is normal, cut off where a limit is given.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LogNormalTable {
    /// Half lie below.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub median: f64,
    /// Standard deviation over mean.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub coefficient_of_variation: f64,
    /// No smaller value occurs.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub at_least: Option<f64>,
    /// No larger value occurs.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub at_most: Option<f64>,
}

/// One of several measured values, each as likely.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredTable {
    /// The values.
    #[schemars(length(min = 1))]
    pub values: Vec<f64>,
}

/// Values that given shares lie below, straight lines between.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuantilesTable {
    /// Shares, rising from 0 to 1.
    #[schemars(length(min = 2))]
    pub probabilities: Vec<f64>,
    /// The values, rising.
    #[schemars(length(min = 2))]
    pub values: Vec<f64>,
}

/// How the ranks of two inputs go together.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CorrelationTable {
    /// The names of the two inputs.
    #[schemars(length(min = 2, max = 2))]
    pub between: Vec<String>,
    /// Spearman's rank correlation.
    #[schemars(extend("exclusiveMinimum" = -1, "exclusiveMaximum" = 1))]
    pub rank: f64,
}

impl DistributionTable {
    /// The distribution that the table at `path` means; `None` after a problem.
    pub fn distribution(&self, path: &str, check: &mut Checker) -> Option<Distribution> {
        let choices = [
            "fixed",
            "uniform",
            "triangular",
            "normal",
            "lognormal",
            "measured",
            "quantiles",
        ];
        check.exactly_one(path, &choices);
        let within = |at_least: Option<f64>, at_most: Option<f64>, least| {
            [at_least.unwrap_or(least), at_most.unwrap_or(f64::INFINITY)]
        };
        let (key, holds, rule, meant) = if let Some(table) = &self.fixed {
            return Some(Distribution::Fixed(table.value));
        } else if let Some(&UniformTable { from, to }) = self.uniform.as_ref() {
            let rule = "must be greater than from";
            (
                "uniform.to",
                from < to,
                rule,
                Distribution::Uniform([from, to]),
            )
        } else if let Some(table) = &self.triangular {
            let corners = [table.from, table.likeliest, table.to];
            let rises = corners.is_sorted() && table.from < table.to;
            let rule = "must lie between from and to, and from below to";
            let meant = Distribution::Triangular(corners);
            ("triangular.likeliest", rises, rule, meant)
        } else if let Some(table) = &self.normal {
            let within = within(table.at_least, table.at_most, f64::NEG_INFINITY);
            let meant = Distribution::Normal {
                mean: table.mean,
                deviation: table.standard_deviation,
                within,
            };
            ("normal.at_most", within[0] < within[1], CUTS, meant)
        } else if let Some(table) = &self.lognormal {
            let within = within(table.at_least, table.at_most, 0.0);
            let meant = Distribution::LogNormal {
                median: table.median,
                variation: table.coefficient_of_variation,
                within,
            };
            ("lognormal.at_most", within[0] < within[1], CUTS, meant)
        } else if let Some(table) = &self.measured {
            let mut sorted = table.values.clone();
            sorted.sort_by(f64::total_cmp);
            return Some(Distribution::Values(sorted));
        } else {
            let QuantilesTable {
                probabilities,
                values,
            } = self.quantiles.as_ref()?;
            let whole = probabilities.first() == Some(&0.0) && probabilities.last() == Some(&1.0);
            let rise = whole && probabilities.windows(2).all(|pair| pair[0] < pair[1]);
            let key = format!("{path}.quantiles.probabilities");
            check.require(&key, rise, "must rise from 0 to 1");
            if !rise {
                return None;
            }
            let fits = values.len() == probabilities.len() && values.is_sorted();
            let rule = "must rise and be as many as probabilities";
            let points = probabilities.iter().copied().zip(values.iter().copied());
            let meant = Distribution::Quantiles(points.collect());
            ("quantiles.values", fits, rule, meant)
        };
        check.require(&format!("{path}.{key}"), holds, rule);
        let possible =
            holds && meant.quantile(0.0) < meant.quantile(1.0) && meant.median().is_finite();
        if holds {
            check.require(path, possible, "leaves nothing likely between its limits");
        }
        possible.then_some(meant)
    }
}

const CUTS: &str = "must be greater than at_least";

/// What the correlations at `path` mean for inputs of given names.
pub fn correlation(
    tables: &[CorrelationTable],
    path: &str,
    names: &[&str],
    check: &mut Checker,
) -> Option<Correlation> {
    let mut pairs = Vec::new();
    for (index, table) in tables.iter().enumerate() {
        let key = format!("{}.between", entry_path(path, index));
        let found: Vec<usize> = table
            .between
            .iter()
            .filter_map(|name| names.iter().position(|known| known == name))
            .collect();
        match found.as_slice() {
            &[a, b] if a != b => pairs.push((a, b, table.rank)),
            _ => check.problem(&key, format!("must be two of {}", names.join(", "))),
        }
    }
    if pairs.len() < tables.len() {
        return None;
    }
    let found = Correlation::new(names.len(), &pairs);
    if let Err(error) = &found {
        check.problem(path, error.to_string());
    }
    found.ok()
}
