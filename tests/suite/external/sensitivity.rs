//! Sensitivity against closed forms and SciPy.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use clavibeam::sampling::{
    Indices, Method, Plan, Saltelli, indices, order, pearson, ranks, spearman,
};
use clavibeam::sensitivity::{Level, SurfaceKind, contour_surface, effect};
use clavibeam::study::Cells;
use serde::Deserialize;

/// What `tests/reference/sensitivity.py` wrote.
#[derive(Deserialize)]
struct Reference {
    indices: ReferenceIndices,
    correlation: Vec<ReferenceCorrelation>,
}

#[derive(Deserialize)]
struct ReferenceIndices {
    blocks: Vec<f64>,
    first_order: Vec<f64>,
    total: Vec<f64>,
}

#[derive(Deserialize)]
struct ReferenceCorrelation {
    name: String,
    x: Vec<f64>,
    y: Vec<f64>,
    pearson: f64,
    pearson_interval: [f64; 2],
    spearman: f64,
    ranks: Vec<f64>,
}

fn reference() -> Reference {
    toml::from_str(include_str!("../../reference/sensitivity.toml")).expect("a reference file")
}

/// Source: SciPy, `scipy.stats.sobol_indices` (Saltelli 2010, Jansen) of the same outputs.
/// Tolerance: rounding, for the formulas are the same.
#[test]
fn indices_are_those_of_scipy() {
    let ReferenceIndices {
        blocks,
        first_order,
        total,
    } = reference().indices;
    let found = indices(&blocks, 3, 1).expect("64 blocks");
    for (found, (first, total)) in found.iter().zip(first_order.iter().zip(&total)) {
        assert_relative_eq!(found.first.value, first, epsilon = 1e-12);
        assert_relative_eq!(found.total.value, total, epsilon = 1e-12);
    }
}

/// Source: SciPy, `pearsonr` with its Fisher interval, `spearmanr`, `rankdata`, with and without
/// ties. Tolerance: rounding.
#[test]
fn correlations_are_those_of_scipy() {
    for expected in reference().correlation {
        let [x, y] = [&expected.x, &expected.y];
        let found = pearson(x, y).expect("both vary");
        let name = &expected.name;
        assert!((found.value - expected.pearson).abs() < 1e-12, "{name}");
        let ends = [found.from, found.to];
        for (end, expected) in ends.iter().zip(expected.pearson_interval) {
            assert!(
                (end - expected).abs() < 1e-9,
                "{name}: {end} for {expected}"
            );
        }
        let [rank_x, rank_y] = [x, y].map(|values| ranks(&order(values), values, |_| true));
        assert_eq!(rank_x, expected.ranks, "{name}");
        let found = spearman(&rank_x, &rank_y).expect("both vary");
        assert!((found.value - expected.spearman).abs() < 1e-12, "{name}");
        assert!(found.from < found.value && found.value < found.to);
    }
}

/// `sin x1 + 7 sin² x2 + 0.1 x3⁴ sin x1` over −π to π, and its indices.
///
/// Source: Ishigami and Homma (1990), the closed form as in Saltelli et al., Global Sensitivity
/// Analysis (2008), from memory; worked out again by hand from the variances of its terms.
fn ishigami(point: &[f64]) -> f64 {
    let x: Vec<f64> = point.iter().map(|share| PI * (2.0 * share - 1.0)).collect();
    x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
}

fn ishigami_indices() -> [[f64; 2]; 3] {
    let (a, b) = (7.0, 0.1);
    let alone = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
    let second = a * a / 8.0;
    let together = b * b * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0);
    let all = alone + second + together;
    [
        [alone / all, (alone + together) / all],
        [second / all; 2],
        [0.0, together / all],
    ]
}

/// `Π (|4 xi − 2| + ai) / (1 + ai)` over 0 to 1.
///
/// Source: Saltelli and Sobol (1995), from memory; a product, so that its indices follow from the
/// variance `1 / 3 (1 + ai)²` of each factor.
const G: [f64; 6] = [0.0, 0.5, 3.0, 9.0, 99.0, 99.0];

fn g_function(point: &[f64]) -> f64 {
    let factors = point.iter().zip(G);
    factors
        .map(|(x, a)| ((4.0 * x - 2.0).abs() + a) / (1.0 + a))
        .product()
}

fn g_indices() -> [[f64; 2]; 6] {
    let own = G.map(|a| 1.0 / (3.0 * (1.0 + a) * (1.0 + a)));
    let product: f64 = own.iter().map(|each| 1.0 + each).product();
    own.map(|each| [each, each * product / (1.0 + each)].map(|part| part / (product - 1.0)))
}

fn outputs(inputs: usize, base: u64, seed: u64, of: fn(&[f64]) -> f64) -> Vec<f64> {
    let design = Saltelli::new(inputs, base, seed).expect("a small design");
    (0..design.samples())
        .map(|index| of(&design.point(index)))
        .collect()
}

/// The same blocks from points that are independent of each other.
fn random_outputs(inputs: usize, base: u64, seed: u64, of: fn(&[f64]) -> f64) -> Vec<f64> {
    let plan = Plan::new(Method::Random, 2 * inputs, base, seed).expect("a small plan");
    let block = |row: u64| {
        let point = plan.point(row);
        let (a, b) = point.split_at(inputs);
        let mixed = (0..inputs).map(|input| {
            let mut mixed = a.to_vec();
            mixed[input] = b[input];
            of(&mixed)
        });
        std::iter::once(of(a))
            .chain(mixed)
            .chain([of(b)])
            .collect::<Vec<_>>()
    };
    (0..base).flat_map(block).collect()
}

/// Closed forms. Tolerance: 0.01 for 8192 base samples; the intervals are about that wide, and a
/// factor of two or a term of the wrong matrix is off by a tenth or more.
#[test]
fn indices_of_two_known_functions() {
    let near = |found: &[Indices], expected: &[[f64; 2]], name: &str| {
        for (input, (found, expected)) in found.iter().zip(expected).enumerate() {
            for (found, expected) in [found.first, found.total].iter().zip(expected) {
                assert!(
                    (found.value - expected).abs() < 0.01,
                    "{name}, input {input}: {found:?} for {expected}"
                );
            }
        }
    };
    let found = indices(&outputs(3, 8192, 1, ishigami), 3, 1).expect("blocks");
    near(&found, &ishigami_indices(), "Ishigami");
    let found = indices(&outputs(6, 8192, 1, g_function), 6, 1).expect("blocks");
    near(&found, &g_indices(), "g");
}

/// Whole blocks of so many inputs and base samples, by a seed, of a function.
type Outputs = fn(usize, u64, u64, fn(&[f64]) -> f64) -> Vec<f64>;

/// The share of 1800 intervals, of both functions' indices by 100 seeds, that hold the closed form.
fn held(outputs: Outputs) -> f64 {
    let (mut held, mut all) = (0, 0);
    let mut count = |found: &[Indices], expected: &[[f64; 2]]| {
        for (found, expected) in found.iter().zip(expected) {
            for (found, expected) in [found.first, found.total].iter().zip(expected) {
                all += 1;
                held += u32::from(found.from <= *expected && *expected <= found.to);
            }
        }
    };
    for seed in 0..100 {
        let found = indices(&outputs(3, 256, seed, ishigami), 3, seed).expect("blocks");
        count(&found, &ishigami_indices());
        let found = indices(&outputs(6, 256, seed, g_function), 6, seed).expect("blocks");
        count(&found, &g_indices());
    }
    f64::from(held) / f64::from(all)
}

/// Of independent points the intervals hold the closed form near their level, 95 %. Tolerance:
/// 2 %, five standard errors of 1800 intervals if those of one seed were independent, and the
/// bootstrap's own slack with 256 blocks; intervals of half the width hold it in 67 %.
#[test]
fn intervals_hold_the_closed_form_at_their_level() {
    let share = held(random_outputs);
    assert!((0.93..=0.97).contains(&share), "{share}");
}

/// Of Sobol's points, which are more even, they hold it at least as often, as is told with them.
#[test]
fn intervals_are_wide_enough_for_even_points() {
    let share = held(outputs);
    assert!(share > 0.95, "{share}");
}

/// Main effects of the Ishigami function: the conditional mean in each tenth of an input, and the
/// share explained, which estimates the first-order index.
///
/// Closed form: `E(y|x1) = (1 + b π⁴/5) sin x1 + a/2`, averaged over the part; `E(y|x3) = a/2`.
/// Tolerance: 2 % of the standard deviation, 3.7, for 65 536 even points; the share loses what a
/// sine varies within a tenth of the span, 3 % of it.
#[test]
fn main_effects_are_conditional_means() {
    let plan = Plan::new(Method::ScrambledSobol, 3, 65_536, 5).expect("a plan");
    let points: Vec<Vec<f64>> = (0..plan.count).map(|index| plan.point(index)).collect();
    let output: Vec<f64> = points.iter().map(|point| ishigami(point)).collect();
    let found = [0, 1, 2].map(|input| {
        let values: Vec<f64> = points
            .iter()
            .map(|point| PI * (2.0 * point[input] - 1.0))
            .collect();
        let order = order(&values);
        effect(&Cells::Numbers(values), &order, &output, false)
    });
    let amplitude = 1.0 + 0.1 * PI.powi(4) / 5.0;
    assert_eq!(found[0].levels.len(), 10);
    for level in &found[0].levels {
        let mean_sine = (level.from.cos() - level.to.cos()) / (level.to - level.from);
        assert!(
            (level.mean - 3.5 - amplitude * mean_sine).abs() < 0.07,
            "{level:?}"
        );
    }
    for level in &found[2].levels {
        assert!((level.mean - 3.5).abs() < 0.07, "{level:?}");
    }
    let expected = ishigami_indices();
    for (found, [first, _]) in found.iter().zip(expected) {
        let share = found.share.expect("ten levels");
        assert!(
            share <= first + 0.01 && share >= 0.88 * first - 0.01,
            "{share} for {first}"
        );
    }
}

/// A surface over two inputs: through scattered samples a parabola comes back as it is, a third
/// input's noise aside; on a grid the means are exact.
///
/// Closed form: the function itself. Tolerance: rounding without noise; with noise of standard
/// deviation 0.29 from the third input, 0.1, a fifth of the noise of a point fitted to a hundred.
#[test]
fn a_surface_follows_a_known_function() {
    let of = |x: f64, y: f64| 2.0 + x - 3.0 * x * y + 2.0 * y * y;
    let plan = Plan::new(Method::ScrambledSobol, 3, 4096, 9).expect("a plan");
    let points: Vec<Vec<f64>> = (0..plan.count).map(|index| plan.point(index)).collect();
    let axis = |axis: usize| {
        points
            .iter()
            .map(|point| 10.0 * point[axis])
            .collect::<Vec<_>>()
    };
    let (x, y) = (axis(0), axis(1));
    for (noise, tolerance) in [(0.0, 1e-8), (1.0, 0.1)] {
        let output: Vec<f64> = (points.iter())
            .map(|point| of(point[0], point[1]) + noise * (point[2] - 0.5))
            .collect();
        let levels = [&x, &y].map(|values| levels(values, &output, false));
        let levels = [levels[0].as_slice(), levels[1].as_slice()];
        let surface = contour_surface([0, 1], [&x, &y], levels, &output).expect("a surface");
        let SurfaceKind::Smoothed { share, .. } = surface.kind else {
            panic!("scattered inputs are smoothed: {:?}", surface.kind);
        };
        // The noise is a twelfth, the parabola varies by 0.56.
        assert!(noise > 0.0 || share > 0.999_999, "{share}");
        for (j, up) in surface.up.iter().enumerate() {
            for (i, across) in surface.across.iter().enumerate() {
                let value = surface.values[j * surface.across.len() + i];
                let expected = of(across / 10.0, up / 10.0);
                assert!(
                    (value - expected).abs() < tolerance,
                    "{across} {up}: {value}, {expected}"
                );
            }
        }
    }
    let grid: Vec<[f64; 3]> = (0..48)
        .map(|n| [n / 12, n / 4 % 3, n % 4].map(f64::from))
        .collect();
    let axis = |axis: usize| grid.iter().map(|point| point[axis]).collect::<Vec<_>>();
    let (x, y) = (axis(0), axis(1));
    let output: Vec<f64> = grid
        .iter()
        .map(|point| of(point[0], point[1]) + point[2] - 1.5)
        .collect();
    let levels = [&x, &y].map(|values| levels(values, &output, true));
    let levels = [levels[0].as_slice(), levels[1].as_slice()];
    let surface = contour_surface([0, 1], [&x, &y], levels, &output).expect("a surface");
    assert_eq!(surface.kind, SurfaceKind::Means);
    assert_eq!((surface.across.len(), surface.up.len()), (4, 3));
    for (place, value) in surface.values.iter().enumerate() {
        let [across, up] = [surface.across[place % 4], surface.up[place / 4]];
        assert_relative_eq!(*value, of(across, up), max_relative = 1e-12);
    }
}

fn levels(input: &[f64], output: &[f64], grid: bool) -> Vec<Level> {
    let cells = Cells::Numbers(input.to_vec());
    effect(&cells, &order(input), output, grid).levels
}
