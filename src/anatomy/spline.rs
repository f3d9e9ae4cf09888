//! Piecewise cubic interpolation: a smooth spline for the centre line, a monotone one for sizes.

/// Natural cubic spline: twice continuously differentiable, no bending at either end.
///
/// ```text
/// h₍ᵢ₋₁₎ M₍ᵢ₋₁₎ + 2 (h₍ᵢ₋₁₎ + hᵢ) Mᵢ + hᵢ M₍ᵢ₊₁₎ = 6 ((y₍ᵢ₊₁₎ - yᵢ)/hᵢ - (yᵢ - y₍ᵢ₋₁₎)/h₍ᵢ₋₁₎)
/// M₀ = Mₙ = 0,   Mᵢ = y″(xᵢ),   hᵢ = x₍ᵢ₊₁₎ - xᵢ
/// ```
///
/// Source: textbook formula (from memory).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct NaturalSpline {
    knots: Vec<f64>,
    /// Between each knot and the next.
    pieces: Vec<Piece>,
}

/// A cubic between two knots.
#[derive(Debug, Clone, PartialEq)]
struct Piece {
    /// Knots at its ends.
    ends: [f64; 2],
    values: [f64; 2],
    /// Second derivatives at its ends, the `Mᵢ` above.
    curvatures: [f64; 2],
    step: f64,
    /// Slope of the chord.
    chord: f64,
}

impl NaturalSpline {
    /// * `points`: at least two `(x, y)`, `x` increasing
    pub(super) fn new(points: &[(f64, f64)]) -> Self {
        let (knots, values): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        let steps = differences(&knots);
        let chords: Vec<f64> = quotients(&differences(&values), &steps);
        let mut curvatures = vec![0.0; knots.len()];

        // Forward elimination of the tridiagonal system, then back substitution.
        let mut upper = vec![0.0; knots.len()];
        for i in 1..knots.len() - 1 {
            let pivot = 2.0 * (steps[i - 1] + steps[i]) - steps[i - 1] * upper[i - 1];
            upper[i] = steps[i] / pivot;
            let jump = 6.0 * (chords[i] - chords[i - 1]);
            curvatures[i] = (jump - steps[i - 1] * curvatures[i - 1]) / pivot;
        }
        for i in (1..knots.len() - 1).rev() {
            curvatures[i] -= upper[i] * curvatures[i + 1];
        }
        let piece = |i: usize| Piece {
            ends: [knots[i], knots[i + 1]],
            values: [values[i], values[i + 1]],
            curvatures: [curvatures[i], curvatures[i + 1]],
            step: steps[i],
            chord: chords[i],
        };
        NaturalSpline {
            pieces: (0..steps.len()).map(piece).collect(),
            knots,
        }
    }

    /// Value at `x`.
    pub(super) fn value(&self, x: f64) -> f64 {
        let (piece, [left, right]) = self.beside(x);
        let ([y0, y1], [m0, m1], h) = (piece.values, piece.curvatures, piece.step);
        left * y0
            + right * y1
            + h * h / 6.0 * ((left.powi(3) - left) * m0 + (right.powi(3) - right) * m1)
    }

    /// First derivative at `x`.
    pub(super) fn slope(&self, x: f64) -> f64 {
        let (piece, [left, right]) = self.beside(x);
        let [m0, m1] = piece.curvatures;
        piece.chord
            + piece.step / 6.0 * ((1.0 - 3.0 * left * left) * m0 + (3.0 * right * right - 1.0) * m1)
    }

    /// Second derivative at `x`.
    pub(super) fn curvature(&self, x: f64) -> f64 {
        let (piece, [left, right]) = self.beside(x);
        left * piece.curvatures[0] + right * piece.curvatures[1]
    }

    /// The piece that holds `x`, and the shares of its first and second end there.
    fn beside(&self, x: f64) -> (&Piece, [f64; 2]) {
        let piece = &self.pieces[interval(&self.knots, x)];
        let ([from, to], h) = (piece.ends, piece.step);
        (piece, [(to - x) / h, (x - from) / h])
    }
}

/// Monotone cubic interpolation (PCHIP): never leaves the range of the two neighbouring
/// values, so that a wall or an outer size cannot overshoot between stations.
///
/// The slope at an inner knot is the weighted harmonic mean of the slopes beside it, zero
/// where they differ in sign; at the ends, a three-point formula limited to keep the shape.
///
/// Source: F. N. Fritsch & J. Butland, *SIAM J. Sci. Stat. Comput.* 5 (1984) 300–304;
/// end slopes as in C. Moler, *Numerical Computing with MATLAB* (2004) (both from memory).
///
/// Several values over the same knots lie side by side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pchip<const COUNT: usize> {
    knots: Vec<f64>,
    values: Vec<[f64; COUNT]>,
    slopes: Vec<[f64; COUNT]>,
}

impl<const COUNT: usize> Pchip<COUNT> {
    /// * `knots`: at least three, increasing; `values`: as many
    pub(super) fn new(knots: Vec<f64>, values: Vec<[f64; COUNT]>) -> Self {
        let mut slopes = vec![[0.0; COUNT]; knots.len()];
        for column in 0..COUNT {
            let values: Vec<f64> = values.iter().map(|values| values[column]).collect();
            for (slopes, slope) in slopes.iter_mut().zip(monotone_slopes(&knots, &values)) {
                slopes[column] = slope;
            }
        }
        Pchip {
            knots,
            values,
            slopes,
        }
    }

    /// Values at `x`.
    pub(super) fn at(&self, x: f64) -> [f64; COUNT] {
        let i = interval(&self.knots, x);
        let h = self.knots[i + 1] - self.knots[i];
        let t = (x - self.knots[i]) / h;
        let blend = t * t * (3.0 - 2.0 * t);
        let (y0, y1) = (&self.values[i], &self.values[i + 1]);
        let (s0, s1) = (&self.slopes[i], &self.slopes[i + 1]);
        std::array::from_fn(|k| {
            y0[k] + (y1[k] - y0[k]) * blend + h * t * (1.0 - t) * (s0[k] * (1.0 - t) - s1[k] * t)
        })
    }
}

/// Slopes at the knots.
fn monotone_slopes(knots: &[f64], values: &[f64]) -> Vec<f64> {
    let h = differences(knots);
    let d = quotients(&differences(values), &h);
    let last = knots.len() - 1;
    let mut slopes = vec![0.0; knots.len()];
    for i in 1..last {
        if d[i - 1] * d[i] > 0.0 {
            let (before, after) = (2.0 * h[i] + h[i - 1], h[i] + 2.0 * h[i - 1]);
            slopes[i] = (before + after) / (before / d[i - 1] + after / d[i]);
        }
    }
    slopes[0] = end_slope([h[0], h[1]], [d[0], d[1]]);
    slopes[last] = end_slope([h[last - 1], h[last - 2]], [d[last - 1], d[last - 2]]);
    slopes
}

/// Slope at an end from its two nearest steps `h` and chord slopes `d`, nearest first.
fn end_slope(h: [f64; 2], d: [f64; 2]) -> f64 {
    let slope = ((2.0 * h[0] + h[1]) * d[0] - h[0] * d[1]) / (h[0] + h[1]);
    if slope * d[0] <= 0.0 {
        0.0
    } else if d[0] * d[1] < 0.0 && slope.abs() > 3.0 * d[0].abs() {
        3.0 * d[0]
    } else {
        slope
    }
}

fn differences(values: &[f64]) -> Vec<f64> {
    values.windows(2).map(|pair| pair[1] - pair[0]).collect()
}

fn quotients(rises: &[f64], steps: &[f64]) -> Vec<f64> {
    let pairs = rises.iter().zip(steps);
    pairs.map(|(rise, step)| rise / step).collect()
}

/// Index of the interval that holds `x`; the end intervals serve what lies beyond.
fn interval(knots: &[f64], x: f64) -> usize {
    knots[1..knots.len() - 1].partition_point(|&knot| knot <= x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Source: scipy 1.17.1, `CubicSpline(x, y, bc_type='natural')`, value and two derivatives.
    /// Both are the same exact formula in doubles, hence the rounding tolerance.
    #[test]
    fn natural_spline_agrees_with_scipy() {
        let spline = NaturalSpline::new(&[
            (0.0, 0.0),
            (0.36, 10.8),
            (0.58, 0.0),
            (0.76, -10.5),
            (1.0, 0.0),
        ]);
        let reference = [
            (
                0.05,
                [2.628623013408959, 51.68447992718078, -53.27882045990363],
            ),
            (
                0.3,
                [11.109841290212184, 5.065512024765098, -319.6729227594219],
            ),
            (
                0.47,
                [6.966872968001368, -51.37561348858193, -258.9872674382427],
            ),
            (0.58, [0.0, -73.01009971377013, -134.3670275651793]),
            (
                0.7,
                [-8.300931958185549, -53.44107787318773, 460.5173915748861],
            ),
            (
                0.95,
                [-3.6376240980237884, 70.12067778983364, 157.90825023852494],
            ),
        ];
        for (x, expected) in reference {
            let at = [spline.value(x), spline.slope(x), spline.curvature(x)];
            for (ours, theirs) in at.into_iter().zip(expected) {
                assert_relative_eq!(ours, theirs, max_relative = 1e-12, epsilon = 1e-13);
            }
        }
    }

    /// Source: scipy 1.17.1, `PchipInterpolator`, even knots with flat and turning stretches.
    /// Same exact formula in doubles, hence the rounding tolerance.
    #[test]
    fn pchip_agrees_with_scipy_on_even_knots() {
        let depth = [
            24.0, 19.0, 15.8, 13.4, 11.9, 11.0, 10.6, 10.6, 10.8, 11.2, 11.0,
        ];
        let knots = (0..depth.len()).map(|i| i as f64 / 10.0).collect();
        let spline = Pchip::new(knots, depth.map(|y| [y]).to_vec());
        let reference = [
            (0.03, 22.298553658536587),
            (0.15, 17.255052264808366),
            (0.44, 11.474369230769232),
            (0.55, 10.73076923076923),
            (0.65, 10.6),
            (0.72, 10.612266666666667),
            (0.88, 11.166933333333331),
            (0.97, 11.1167),
        ];
        for (x, expected) in reference {
            assert_relative_eq!(spline.at(x)[0], expected, max_relative = 1e-13);
        }
    }

    /// Source: scipy 1.17.1, `PchipInterpolator`, uneven knots where the end slope is limited.
    /// Same exact formula in doubles, hence the rounding tolerance.
    #[test]
    fn pchip_agrees_with_scipy_on_uneven_knots() {
        let points = [(0.0, 0.0), (1.0, 4.0), (3.0, 4.5), (3.5, 1.0), (7.0, 0.9)];
        let spline = Pchip::new(
            points.map(|(x, _)| x).to_vec(),
            points.map(|(_, y)| [y]).to_vec(),
        );
        let reference = [
            (0.2, 1.071304347826087),
            (0.9, 3.892989130434783),
            (2.0, 4.380434782608695),
            (3.3, 2.2374486486486505),
            (5.0, 0.9235757623512726),
            (6.9, 0.9000301946261129),
        ];
        for (x, expected) in reference {
            assert_relative_eq!(spline.at(x)[0], expected, max_relative = 1e-13);
        }
    }
}
