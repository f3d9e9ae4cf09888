//! Distributions of one quantity.

use std::fmt;

use super::{normal_quantile, normal_share};

/// How a quantity scatters; everything in the quantity's own unit.
#[derive(Debug, Clone, PartialEq)]
pub enum Distribution {
    /// Always this.
    Fixed(f64),
    /// Every value between two is as likely.
    Uniform([f64; 2]),
    /// Likeliest at the second of three values, falling in straight lines to the others.
    Triangular([f64; 3]),
    /// Normal, cut off at two values.
    Normal {
        /// Mean before the cut.
        mean: f64,
        /// Standard deviation before the cut.
        deviation: f64,
        /// Nothing lies outside.
        within: [f64; 2],
    },
    /// The logarithm is normal; cut off at two values.
    LogNormal {
        /// Half lie below, before the cut.
        median: f64,
        /// Standard deviation over mean, before the cut.
        variation: f64,
        /// Nothing lies outside.
        within: [f64; 2],
    },
    /// One of the measured values, each as likely; sorted.
    Values(Vec<f64>),
    /// Shares from 0 to 1 and the value that the share lies below, straight between.
    Quantiles(Vec<(f64, f64)>),
}

impl Distribution {
    /// The value that a share of all lies below.
    ///
    /// ```text
    /// normal      μ + σ Φ⁻¹(Φ(a) + p (Φ(b) − Φ(a)))     a, b the cuts, reduced
    /// log-normal  the same for the logarithm, σ² = ln(1 + V²), μ = ln(median)
    /// triangular  a + √(p (b − a) (c − a)) up to the mode b, the mirror image past it
    /// ```
    ///
    /// * `share`: from 0 to 1
    pub fn quantile(&self, share: f64) -> f64 {
        match self {
            Distribution::Fixed(value) => *value,
            Distribution::Uniform([from, to]) => from + share * (to - from),
            &Distribution::Triangular([a, b, c]) => match share * (c - a) <= b - a {
                true => a + (share * (b - a) * (c - a)).sqrt(),
                false => c - ((1.0 - share) * (c - b) * (c - a)).sqrt(),
            },
            &Distribution::Normal {
                mean,
                deviation,
                within,
            } => cut_normal(share, mean, deviation, within),
            &Distribution::LogNormal {
                median,
                variation,
                within,
            } => {
                let deviation = (variation * variation).ln_1p().sqrt();
                cut_normal(share, median.ln(), deviation, within.map(f64::ln)).exp()
            }
            Distribution::Values(sorted) => {
                let place = (share * sorted.len() as f64) as usize;
                sorted[place.min(sorted.len() - 1)]
            }
            Distribution::Quantiles(points) => {
                let next = points.iter().position(|(p, _)| *p >= share);
                let next = next.unwrap_or(points.len() - 1).max(1);
                let [(from, low), (to, high)] = [points[next - 1], points[next]];
                low + (high - low) * (share - from) / (to - from)
            }
        }
    }

    /// The middle value, which half lie below.
    pub fn median(&self) -> f64 {
        self.quantile(0.5)
    }

    /// The share of all that lies below a value, by bisection of [`quantile`](Self::quantile).
    ///
    /// ```
    /// use clavibeam::sampling::Distribution;
    /// let even = Distribution::Uniform([2.0, 6.0]);
    /// assert!((even.share_below(3.0) - 0.25).abs() < 1e-12);
    /// ```
    pub fn share_below(&self, value: f64) -> f64 {
        if value <= self.quantile(0.0) {
            return 0.0;
        }
        let (mut below, mut above) = (0.0, 1.0);
        // As far as two numbers near 1 can be told apart.
        for _ in 0..54 {
            let middle = 0.5 * (below + above);
            match self.quantile(middle) < value {
                true => below = middle,
                false => above = middle,
            }
        }
        above
    }
}

impl fmt::Display for Distribution {
    /// In words, without the unit.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cut = |out: &mut fmt::Formatter<'_>, within: &[f64; 2], open: f64| {
            let [low, high] = within.map(rounded);
            match (within[0] > open, within[1] < f64::INFINITY) {
                (true, true) => write!(out, ", within {low} to {high}"),
                (true, false) => write!(out, ", at least {low}"),
                (false, true) => write!(out, ", at most {high}"),
                (false, false) => Ok(()),
            }
        };
        match self {
            Distribution::Fixed(value) => write!(out, "{}", rounded(*value)),
            Distribution::Uniform([from, to]) => {
                write!(out, "even from {} to {}", rounded(*from), rounded(*to))
            }
            Distribution::Triangular(corners) => {
                let [from, likeliest, to] = corners.map(rounded);
                write!(out, "triangular from {from} over {likeliest} to {to}")
            }
            Distribution::Normal {
                mean,
                deviation,
                within,
            } => {
                write!(out, "normal {} ± {}", rounded(*mean), rounded(*deviation))?;
                cut(out, within, f64::NEG_INFINITY)
            }
            Distribution::LogNormal {
                median,
                variation,
                within,
            } => {
                let [median, variation] = [median, variation].map(|each| rounded(*each));
                write!(
                    out,
                    "log-normal, median {median}, coefficient of variation {variation}"
                )?;
                cut(out, within, 0.0)
            }
            Distribution::Values(values) => write!(out, "one of {} measured values", values.len()),
            Distribution::Quantiles(points) => {
                write!(out, "straight between {} quantiles", points.len())
            }
        }
    }
}

/// To four digits past the point.
fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

/// Quantile of a normal distribution cut off at two values, reckoned in the tail that keeps its
/// digits.
fn cut_normal(share: f64, mean: f64, deviation: f64, within: [f64; 2]) -> f64 {
    let [low, high] = within.map(|end| (end - mean) / deviation);
    let between = |from: f64, to: f64, share: f64| {
        let [a, b] = [normal_share(from), normal_share(to)];
        normal_quantile(a + share * (b - a))
    };
    let reduced = match low > 0.0 {
        true => -between(-high, -low, 1.0 - share),
        false => between(low, high, share),
    };
    mean + deviation * reduced.clamp(low, high)
}
