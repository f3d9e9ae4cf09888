//! Sampling against SciPy, and against what each plan promises.

use approx::assert_relative_eq;
use clavibeam::sampling::{Correlation, CorrelationError, Distribution, Method, Plan, Share};
use serde::Deserialize;

/// What `tests/reference/sampling.py` wrote.
#[derive(Deserialize)]
struct Reference {
    shares: Vec<f64>,
    sobol: Vec<SobolPoint>,
    quantiles: Vec<Quantiles>,
    proportion: Vec<Proportion>,
}

#[derive(Deserialize)]
struct SobolPoint {
    index: u64,
    point: Vec<f64>,
}

#[derive(Deserialize)]
struct Quantiles {
    name: String,
    values: Vec<f64>,
}

#[derive(Deserialize)]
struct Proportion {
    happened: u64,
    count: u64,
    exact: [f64; 2],
    wilson: [f64; 2],
}

fn reference() -> Reference {
    toml::from_str(include_str!("../../reference/sampling.toml")).expect("a reference file")
}

/// Source: SciPy, `scipy.stats.qmc.Sobol` without scrambling, 40 axes. Dyadic numbers, so exactly;
/// ours stand in the middle of the cell.
#[test]
fn sobol_points_are_those_of_scipy() {
    let plan = Plan::new(Method::Sobol, 40, Plan::MOST_POINTS, 0).expect("a plan");
    for expected in reference().sobol {
        let corner = |x: f64| x - 0.5_f64.powi(33);
        let found: Vec<f64> = plan.point(expected.index).into_iter().map(corner).collect();
        assert_eq!(found, expected.point, "point {}", expected.index);
    }
}

/// Source: SciPy's `ppf` of the same distributions. Tolerance: ten digits, which both reckon
/// the normal distribution to.
#[test]
fn quantiles_are_those_of_scipy() {
    let reference = reference();
    for expected in reference.quantiles {
        let distribution = match expected.name.as_str() {
            "uniform" => Distribution::Uniform([-2.0, 3.0]),
            "triangular" => Distribution::Triangular([1.0, 1.5, 4.0]),
            "normal" => normal(156.0, 9.0, [f64::NEG_INFINITY, f64::INFINITY]),
            "normal-cut" => normal(6.7, 2.6, [3.0, 10.0]),
            "normal-tail" => normal(0.0, 1.0, [5.0, f64::INFINITY]),
            "lognormal" => Distribution::LogNormal {
                median: 2.0,
                variation: 0.3,
                within: [0.0, f64::INFINITY],
            },
            other => panic!("no distribution named {other}"),
        };
        for (share, value) in reference.shares.iter().zip(expected.values) {
            let found = distribution.quantile(*share);
            assert!(
                (found - value).abs() <= 1e-10 * value.abs().max(1.0),
                "{} at {share}: {found} for {value}",
                expected.name
            );
        }
    }
}

fn normal(mean: f64, deviation: f64, within: [f64; 2]) -> Distribution {
    Distribution::Normal {
        mean,
        deviation,
        within,
    }
}

/// Source: SciPy, `binomtest(...).proportion_ci`, exact and Wilson's. Tolerance: nine digits of
/// an iterated beta quantile.
#[test]
fn intervals_of_a_share_are_those_of_scipy() {
    for Proportion {
        happened,
        count,
        exact,
        wilson,
    } in reference().proportion
    {
        let found = Share::counted(happened, count);
        assert_relative_eq!(found.from, exact[0], epsilon = 1e-9);
        assert_relative_eq!(found.to, exact[1], epsilon = 1e-9);
        // Yes or no in each sample: n and n − 1 differ, hence the wider tolerance.
        let outcomes: Vec<f64> = (0..count)
            .map(|i| f64::from(u8::from(i < happened)))
            .collect();
        let share = happened as f64 / count as f64;
        for found in [
            Share::averaged(&outcomes),
            Share::wilson(share, count as f64),
        ] {
            assert_relative_eq!(found.from, wilson[0], epsilon = 1e-9);
            assert_relative_eq!(found.to, wilson[1], epsilon = 1e-9);
        }
    }
}

/// A hundred patients, half with a chance of 0.2 and half of 0.4, scatter as little as
/// 0.3 × 0.7 / (0.01 / 99) = 2079 that either fail or not.
///
/// Source: by hand. Rounding only.
#[test]
fn chances_that_scatter_little_are_known_better() {
    let found = Share::averaged(&[0.2, 0.4].repeat(50));
    let expected = Share::wilson(0.3, 2079.0);
    assert_relative_eq!(found.probability, 0.3, max_relative = 1e-12);
    assert_relative_eq!(found.from, expected.from, max_relative = 1e-9);
    assert_relative_eq!(found.to, expected.to, max_relative = 1e-9);
}

/// One point in every layer of every axis, for counts that are and are not powers of two.
#[test]
fn a_latin_hypercube_has_one_point_in_each_layer() {
    for count in [1, 2, 3, 10, 64, 1000] {
        let plan = Plan::new(Method::LatinHypercube, 5, count, 11).expect("a plan");
        for axis in 0..5 {
            let layer = |i| (plan.point(i)[axis] * count as f64) as u64;
            let mut layers: Vec<u64> = (0..count).map(layer).collect();
            layers.sort_unstable();
            assert!(layers.into_iter().eq(0..count), "axis {axis} of {count}");
        }
    }
}

/// Every 2^k points of the sequence, shuffled or not, fall one into each of 2^k layers.
#[test]
fn a_scrambled_sequence_keeps_its_layers() {
    for method in [Method::Sobol, Method::ScrambledSobol] {
        let plan = Plan::new(method, 40, 256, 5).expect("a plan");
        for axis in 0..40 {
            let mut layers: Vec<u64> = (0..256)
                .map(|i| (plan.point(i)[axis] * 256.0) as u64)
                .collect();
            layers.sort_unstable();
            assert!(layers.into_iter().eq(0..256), "axis {axis} of {method:?}");
        }
    }
}

/// The largest distance between the share of points below a value and the value. Tolerance:
/// Kolmogorov's bound for one sample in 10⁴, `2.2 / √n`.
#[test]
fn each_plan_is_uniform_and_follows_its_seed() {
    let count = 4096;
    for method in [
        Method::Random,
        Method::LatinHypercube,
        Method::Sobol,
        Method::ScrambledSobol,
    ] {
        let plan = Plan::new(method, 3, count, 1).expect("a plan");
        let other = Plan { seed: 2, ..plan };
        let same = (0..count).all(|i| plan.point(i) == other.point(i));
        assert_eq!(same, method == Method::Sobol, "{method:?} and its seed");
        for axis in 0..3 {
            // Backwards: nothing depends on the order.
            let mut found: Vec<f64> = (0..count).rev().map(|i| plan.point(i)[axis]).collect();
            assert!(found.iter().all(|x| (0.0..1.0).contains(x) && *x > 0.0));
            found.sort_by(f64::total_cmp);
            let off = |(i, x): (usize, &f64)| (x - i as f64 / count as f64).abs();
            let farthest = found.iter().enumerate().map(off).fold(0.0, f64::max);
            assert!(
                farthest < 2.2 / (count as f64).sqrt(),
                "{method:?} {axis}: {farthest}"
            );
        }
    }
}

/// Spearman's correlation of the points is the one asked for, and each coordinate stays uniform.
/// Tolerance: that of 65 536 evenly spread points, a fifth of what taking Spearman's correlation
/// for Pearson's would be off by.
#[test]
fn ranks_go_together_as_asked() {
    let count = 65_536;
    let correlation = Correlation::new(3, &[(0, 2, 0.6), (1, 2, -0.43)]).expect("possible");
    let plan = Plan::new(Method::ScrambledSobol, 3, count, 3).expect("a plan");
    let points: Vec<Vec<f64>> = (0..count)
        .map(|i| {
            let mut point = plan.point(i);
            correlation.apply(&mut point);
            point
        })
        .collect();
    // Uniform between 0 and 1, so the value is the rank.
    let rank = |a: usize, b: usize| {
        let product = |p: &Vec<f64>| 12.0 * (p[a] - 0.5) * (p[b] - 0.5);
        points.iter().map(product).sum::<f64>() / count as f64
    };
    for (a, b, asked) in [(0, 2, 0.6), (1, 2, -0.43), (0, 1, 0.0), (2, 2, 1.0)] {
        let found = rank(a, b);
        assert!(
            (found - asked).abs() < 0.003,
            "{a} and {b}: {found} for {asked}"
        );
    }
}

/// Three inputs cannot each be the opposite of both others.
#[test]
fn impossible_correlations_are_refused() {
    let all_opposed = [(0, 1, -0.9), (1, 2, -0.9), (0, 2, -0.9)];
    let refused = Correlation::new(3, &all_opposed);
    assert_eq!(refused, Err(CorrelationError::Together));
    assert!(
        refused
            .unwrap_err()
            .to_string()
            .contains("not positive definite")
    );
    let beyond = Correlation::new(2, &[(0, 1, 1.0)]);
    assert_eq!(beyond, Err(CorrelationError::Pair(0, 1)));
}
