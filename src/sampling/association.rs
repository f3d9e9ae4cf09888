//! Pearson's and Spearman's correlation.

use super::{Estimate, normal_quantile};

/// Indices of values in rising order; equal ones as they come.
pub fn order(values: &[f64]) -> Vec<u32> {
    let mut order: Vec<u32> = (0..values.len() as u32).collect();
    order.sort_by(|&a, &b| values[a as usize].total_cmp(&values[b as usize]));
    order
}

/// Ranks from 1 of the finite values that are kept, equal ones sharing the mean of theirs; not a
/// number for the others.
///
/// * `order`: of the values, from [`order`]
pub fn ranks(order: &[u32], values: &[f64], keep: impl Fn(usize) -> bool) -> Vec<f64> {
    let kept = order.iter().map(|&at| at as usize);
    let kept: Vec<usize> = kept
        .filter(|&at| values[at].is_finite() && keep(at))
        .collect();
    let mut ranks = vec![f64::NAN; values.len()];
    let mut before = 0;
    for equal in kept.chunk_by(|&a, &b| values[a] == values[b]) {
        // The mean of before + 1, …, before + n.
        let rank = before as f64 + 0.5 * (equal.len() + 1) as f64;
        for &at in equal {
            ranks[at] = rank;
        }
        before += equal.len();
    }
    ranks
}

/// Pearson's correlation of the pairs in which both are numbers, with its 95 % interval; none if
/// either does not vary.
///
/// ```text
/// r = Σ (x − x̄)(y − ȳ) / √(Σ (x − x̄)² Σ (y − ȳ)²)     interval: tanh(artanh r ± 1.96 / √(n − 3))
/// ```
///
/// Source: textbook formula; interval after Fisher, from memory.
pub fn pearson(x: &[f64], y: &[f64]) -> Option<Estimate> {
    correlated(x, y, |_| 1.0)
}

/// Spearman's correlation: Pearson's of ranks; interval with the variance
/// `(1 + r²/2) / (n − 3)`.
///
/// * `x`, `y`: ranks from [`ranks`]
///
/// Source: interval after Bonett and Wright (2000), from memory.
pub fn spearman(x: &[f64], y: &[f64]) -> Option<Estimate> {
    correlated(x, y, |r| 1.0 + 0.5 * r * r)
}

/// * `widening`: by what the variance of Fisher's z is greater than for Pearson's
fn correlated(x: &[f64], y: &[f64], widening: fn(f64) -> f64) -> Option<Estimate> {
    let pairs = || {
        let pairs = x.iter().zip(y).map(|(x, y)| (*x, *y));
        pairs.filter(|(x, y)| x.is_finite() && y.is_finite())
    };
    let count = pairs().count() as f64;
    let sums = pairs().fold([0.0; 2], |sums, (x, y)| [sums[0] + x, sums[1] + y]);
    let [mean_x, mean_y] = sums.map(|sum| sum / count);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in pairs() {
        let (dx, dy) = (x - mean_x, y - mean_y);
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    if !(xx > 0.0 && yy > 0.0) {
        return None;
    }
    let r = (xy / (xx.sqrt() * yy.sqrt())).clamp(-1.0, 1.0);
    if count <= 3.0 || r.abs() == 1.0 {
        return Some(Estimate::certain(r));
    }
    let half = normal_quantile(0.975) * (widening(r) / (count - 3.0)).sqrt();
    let z = r.atanh();
    Some(Estimate {
        value: r,
        from: (z - half).tanh(),
        to: (z + half).tanh(),
    })
}
