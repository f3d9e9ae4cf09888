//! Gauss–Lobatto quadrature.

use std::f64::consts::PI;
use std::sync::LazyLock;

/// Largest rule kept.
const LARGEST: usize = 16;

static RULES: LazyLock<Vec<Vec<(f64, f64)>>> =
    LazyLock::new(|| (0..=LARGEST).map(derive_rule).collect());

/// Points and weights of the `n`-point Gauss–Lobatto rule on `[0, 1]`, both ends
/// included; exact for polynomials of degree `2n − 3`.
///
/// # Panics
/// If `n` is not in `3..=16`.
///
/// Source: Abramowitz & Stegun, *Handbook of Mathematical Functions*, 25.4.32 (from memory).
///
/// ```
/// let integral: f64 = clavibeam::frame::lobatto(3).iter().map(|(x, w)| w * x * x * x).sum();
/// assert!((integral - 0.25).abs() < 1e-15);
/// ```
pub fn lobatto(n: usize) -> &'static [(f64, f64)] {
    assert!((3..=LARGEST).contains(&n), "no {n}-point Lobatto rule");
    &RULES[n]
}

/// Interior points are the roots of `P'(n−1)`; weights `2 / (n (n−1) P(n−1)²)` on `[−1, 1]`.
fn derive_rule(n: usize) -> Vec<(f64, f64)> {
    if n < 2 {
        return Vec::new();
    }
    let last = n - 1;
    (0..n)
        .map(|i| {
            let mut x = -(PI * i as f64 / last as f64).cos();
            if i != 0 && i != last {
                for _ in 0..50 {
                    let (p, slope) = legendre(last, x);
                    // Legendre's equation gives the second derivative.
                    let curvature =
                        (2.0 * x * slope - (last * (last + 1)) as f64 * p) / (1.0 - x * x);
                    x -= slope / curvature;
                }
            }
            let (p, _) = legendre(last, x);
            let weight = 2.0 / ((n * last) as f64 * p * p);
            ((1.0 + x) / 2.0, weight / 2.0)
        })
        .collect()
}

/// Legendre polynomial of the given degree and its derivative, by the three-term recurrence.
/// At the ends, where only the value is asked for, the derivative is left at zero.
fn legendre(degree: usize, x: f64) -> (f64, f64) {
    let (mut before, mut p) = (1.0, x);
    for k in 2..=degree {
        let k = k as f64;
        (before, p) = (p, ((2.0 * k - 1.0) * x * p - (k - 1.0) * before) / k);
    }
    let slope = if x.abs() < 1.0 {
        degree as f64 * (x * p - before) / (x * x - 1.0)
    } else {
        0.0
    };
    (p, slope)
}
