//! An output over two inputs, on a lattice, from samples that lie anywhere.

use nalgebra::{SMatrix, SVector};

use super::effect::Level;
use crate::sampling::{order, quantile};

/// The mean of an output at each point of a lattice, whatever the inputs other than two are.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// Numbers of the inputs: across and up.
    pub inputs: [usize; 2],
    /// Values of the first input, rising.
    pub across: Vec<f64>,
    /// Values of the second input, rising.
    pub up: Vec<f64>,
    /// Means, row after row of `up`; not a number where no samples are near.
    pub values: Vec<f64>,
    /// How they were found.
    pub kind: SurfaceKind,
}

/// How the values of a surface were found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SurfaceKind {
    /// Means of the samples at each pair of levels.
    Means,
    /// A smooth surface through scattered samples.
    Smoothed {
        /// Samples that each point is fitted to.
        neighbours: usize,
        /// Share of the output's variance that it predicts in samples it was not fitted to.
        share: f64,
    },
}

/// Points of the lattice along each side.
const SIDE: usize = 41;
/// Most samples that a surface is fitted to; of more, evenly many are taken.
const MOST_FITTED: usize = 4000;
/// Most samples on which the number of neighbours is tried.
const MOST_TRIED: usize = 300;
/// Numbers of neighbours that are tried; a fit has six unknowns.
const NEIGHBOURS: [usize; 10] = [10, 15, 25, 40, 65, 100, 160, 250, 400, 650];
/// Shares of each input between which a smooth surface is drawn: beyond lie few samples.
const SHOWN_SHARES: [f64; 2] = [0.025, 0.975];

/// A surface over two inputs; none with fewer than two levels of one, or too few samples.
///
/// Where one input has few values the surface goes through the means of samples at each pair of
/// levels; where both are scattered, each point is a local fit (see `Fit`).
///
/// * `inputs`: numbers of the two, kept in the surface
/// * `levels`: of their main effects
pub fn contour_surface(
    inputs: [usize; 2],
    [x, y]: [&[f64]; 2],
    levels: [&[Level]; 2],
    output: &[f64],
) -> Option<Surface> {
    if levels.iter().any(|levels| levels.len() < 2) {
        return None;
    }
    let scattered = |levels: &[Level]| levels.iter().any(|level| level.from < level.to);
    if !levels.iter().all(|levels| scattered(levels)) {
        return Some(means(inputs, [x, y], levels, output));
    }
    let rows: Vec<usize> = (0..output.len())
        .filter(|&row| {
            [x[row], y[row], output[row]]
                .iter()
                .all(|each| each.is_finite())
        })
        .collect();
    let rows: Vec<usize> = thinned(rows.len(), MOST_FITTED)
        .map(|at| rows[at])
        .collect();
    let spans = [x, y].map(|values| {
        let values: Vec<f64> = rows.iter().map(|&row| values[row]).collect();
        let sorted: Vec<f64> = order(&values)
            .iter()
            .map(|&at| values[at as usize])
            .collect();
        SHOWN_SHARES.map(|share| quantile(&sorted, share).unwrap_or(f64::NAN))
    });
    let scaled = |value: f64, [from, to]: [f64; 2]| (value - from) / (to - from);
    let fit = Fit {
        points: (rows.iter())
            .map(|&row| {
                [
                    scaled(x[row], spans[0]),
                    scaled(y[row], spans[1]),
                    output[row],
                ]
            })
            .collect(),
    };
    let (neighbours, share) = fit.best()?;
    let place =
        |at: usize, [from, to]: [f64; 2]| from + (to - from) * at as f64 / (SIDE - 1) as f64;
    let mut values = Vec::with_capacity(SIDE * SIDE);
    for j in 0..SIDE {
        for i in 0..SIDE {
            let at = [i, j].map(|at| at as f64 / (SIDE - 1) as f64);
            let value = fit.is_near(at).then(|| fit.at(at, neighbours, None));
            values.push(value.flatten().unwrap_or(f64::NAN));
        }
    }
    Some(Surface {
        inputs,
        across: (0..SIDE).map(|at| place(at, spans[0])).collect(),
        up: (0..SIDE).map(|at| place(at, spans[1])).collect(),
        values,
        kind: SurfaceKind::Smoothed { neighbours, share },
    })
}

/// Evenly many of `count` indices, at most `most`.
fn thinned(count: usize, most: usize) -> impl Iterator<Item = usize> {
    let taken = count.min(most);
    (0..taken).map(move |nth| nth * count / taken)
}

/// Means at each pair of levels.
fn means(
    inputs: [usize; 2],
    [x, y]: [&[f64]; 2],
    levels: [&[Level]; 2],
    output: &[f64],
) -> Surface {
    let [wide, high] = levels.map(<[Level]>::len);
    let mut sums = vec![(0.0, 0.0); wide * high];
    let find = |levels: &[Level], value: f64| {
        levels
            .iter()
            .position(|level| level.from <= value && value <= level.to)
    };
    for row in 0..output.len() {
        let cell = find(levels[0], x[row]).zip(find(levels[1], y[row]));
        if let (Some((i, j)), true) = (cell, output[row].is_finite()) {
            let (sum, count) = &mut sums[j * wide + i];
            *sum += output[row];
            *count += 1.0;
        }
    }
    Surface {
        inputs,
        across: levels[0].iter().map(|level| level.centre).collect(),
        up: levels[1].iter().map(|level| level.centre).collect(),
        values: sums.iter().map(|(sum, count)| sum / count).collect(),
        kind: SurfaceKind::Means,
    }
}

/// Local regression: at each point a parabola in both inputs, fitted to the nearest samples, the
/// near ones weighing more.
///
/// ```text
/// y ≈ c0 + c1 u + c2 v + c3 u² + c4 u v + c5 v²     weights (1 − (d/h)³)³, h the farthest's distance
/// ```
///
/// How many samples are near is what predicts best samples that were left out. Distances are in
/// shares of each input's span.
///
/// Source: Cleveland and Devlin (1988), from memory.
struct Fit {
    /// Inputs in shares of their spans, and output.
    points: Vec<[f64; 3]>,
}

impl Fit {
    /// The number of neighbours that predicts best, and the share of variance that it predicts.
    fn best(&self) -> Option<(usize, f64)> {
        let tried: Vec<usize> = thinned(self.points.len(), MOST_TRIED).collect();
        let mean = tried.iter().map(|&at| self.points[at][2]).sum::<f64>() / tried.len() as f64;
        let squares = |of: &dyn Fn(usize) -> f64| {
            tried
                .iter()
                .map(|&at| (self.points[at][2] - of(at)).powi(2))
                .sum::<f64>()
        };
        let total = squares(&|_| mean);
        NEIGHBOURS
            .into_iter()
            .filter(|&neighbours| neighbours < self.points.len())
            .map(|neighbours| {
                let left = squares(&|at| {
                    let [x, y, _] = self.points[at];
                    self.at([x, y], neighbours, Some(at)).unwrap_or(mean)
                });
                (neighbours, (1.0 - left / total).max(0.0))
            })
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Whether samples lie about a point: at least three within four times their usual spacing.
    fn is_near(&self, at: [f64; 2]) -> bool {
        let reach = 16.0 / self.points.len() as f64;
        let near = self
            .points
            .iter()
            .filter(|point| squared(point, at) < reach);
        near.take(3).count() == 3
    }

    /// The surface at a point, fitted without one sample.
    fn at(&self, at: [f64; 2], neighbours: usize, without: Option<usize>) -> Option<f64> {
        let mut near: Vec<(f64, usize)> = (self.points.iter().enumerate())
            .filter(|(index, _)| Some(*index) != without)
            .map(|(index, point)| (squared(point, at), index))
            .collect();
        let last = neighbours.min(near.len()).checked_sub(1)?;
        near.select_nth_unstable_by(last, |a, b| a.0.total_cmp(&b.0));
        // A little farther than the farthest, so that it counts too.
        let reach = 1.001 * near[last].0.sqrt();
        let mut matrix = SMatrix::<f64, 6, 6>::zeros();
        let mut right = SVector::<f64, 6>::zeros();
        for &(distance, index) in &near[..=last] {
            let [x, y, value] = self.points[index];
            let (u, v) = ((x - at[0]) / reach, (y - at[1]) / reach);
            let weight = (1.0 - (distance.sqrt() / reach).powi(3)).powi(3);
            let terms = SVector::<f64, 6>::from([1.0, u, v, u * u, u * v, v * v]);
            matrix += weight * terms * terms.transpose();
            right += weight * value * terms;
        }
        // Samples on a line or fewer than unknowns have no parabola.
        let solved = matrix.cholesky()?.solve(&right);
        Some(solved[0]).filter(|value| value.is_finite())
    }
}

fn squared(point: &[f64; 3], at: [f64; 2]) -> f64 {
    (point[0] - at[0]).powi(2) + (point[1] - at[1]).powi(2)
}
