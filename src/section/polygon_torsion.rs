//! Saint-Venant torsion of a polygonal section with holes, by boundary elements.

use nalgebra::{DMatrix, DVector};

use super::Torsion;
use super::contour::{self, Point, cross, dot, edges, minus};

/// About how many boundary elements a section gets; each edge has one at least.
const ELEMENTS: f64 = 320.0;

/// A thin section gets more, no longer than its mean thickness, up to about this many.
const MOST_ELEMENTS: f64 = 1600.0;

/// Torsion constant and largest shear stress.
///
/// Prandtl's stress function obeys `Δφ = −2`, is 0 on the outer contour and a constant `cₖ` round
/// hole `k`, where `∮ ∂φ/∂n ds = 2 Aₖ` makes the warping single-valued. Green's third identity at
/// a boundary point `p` leaves only the gradient `q = ∂φ/∂n` unknown, `ρ` being the distance
/// from `p`:
///
/// ```text
/// ∮ q ln ρ ds + 2π cₖ = −2 ∫ ln ρ dA,   ∫ ln ρ dA = ∮ d (ln ρ / 2 − 1/4) ds
/// J = 2 ∫ φ dA + 2 Σ cₖ Aₖ = −2 I − ∮ h² q ds
/// ```
///
/// The last form is Green's second identity with `h²/2`, `h` being any coordinate of the plane
/// and `I = ∫ h² dA`; the one across the thin direction keeps the difference from cancelling.
///
/// `d`, the distance of `p` from the edge's line, is constant along an edge, so one closed-form
/// integral of `ln ρ` serves both sides. `q` is constant over each element; elements shrink
/// towards the corners. Lengths are scaled to a size below 1, where the equation has one solution.
///
/// * `contours`: the outer one, then the holes, the material on their left, about the centroid
/// * `thin`: unit vector of the direction in which the second moment is least
/// * `area`, `least_moment`: mm², and `I` in that direction, mm⁴
///
/// Source: direct boundary-element method for the torsion problem (textbook theory).
pub(super) fn solve(contours: &[Vec<Point>], thin: Point, area: f64, least_moment: f64) -> Torsion {
    let [y, z] = [0, 1].map(|axis| contour::extent(&contours[0], axis));
    let size = (y[1] - y[0]).hypot(z[1] - z[0]);
    let elements = elements(contours, area, size);
    let (count, hole_count) = (elements.len(), contours.len() - 1);

    let mut matrix = DMatrix::zeros(count + hole_count, count + hole_count);
    let mut right = DVector::zeros(count + hole_count);
    for (row, at) in elements.iter().enumerate() {
        for (column, element) in elements.iter().enumerate() {
            let (distance, logarithm) = element.seen_from(at.middle());
            matrix[(row, column)] = logarithm;
            right[row] -= distance * (logarithm - element.length() / 2.0);
        }
        if at.contour > 0 {
            let hole = count + at.contour - 1;
            matrix[(row, hole)] = std::f64::consts::TAU;
            matrix[(hole, row)] = at.length();
            // Twice the hole's area; its contour runs clockwise.
            right[hole] -= cross(at.ends[0], at.ends[1]);
        }
    }
    let gradient = matrix
        .lu()
        .solve(&right)
        .expect("the Dirichlet problem has one solution at this size");

    let mut constant = -2.0 * least_moment / size.powi(4);
    let mut peak = 0.0_f64;
    for (element, q) in elements.iter().zip(gradient.iter()) {
        constant -= element.second_moment(thin) * q;
        peak = peak.max(q.abs());
    }
    Torsion {
        constant: constant * size.powi(4),
        peak_shear: peak / (constant * size.powi(3)),
    }
}

/// A straight piece of one contour.
struct Element {
    contour: usize,
    ends: [Point; 2],
}

impl Element {
    fn length(&self) -> f64 {
        let along = minus(self.ends[1], self.ends[0]);
        along[0].hypot(along[1])
    }

    fn middle(&self) -> Point {
        let [p, q] = self.ends;
        [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0]
    }

    /// Signed distance of the element's line from `p`, positive along the outward normal, and
    /// the integral of `ln ρ` over the element:
    ///
    /// ```text
    /// ∫ ln √(s²+d²) ds = s ln √(s²+d²) − s + |d| atan(s/|d|)
    /// ```
    fn seen_from(&self, p: Point) -> (f64, f64) {
        let length = self.length();
        let along = minus(self.ends[1], self.ends[0]);
        let from = minus(self.ends[0], p);
        let distance = cross(from, along) / length;
        let start = dot(from, along) / length;
        let primitive = |s: f64| {
            let d = distance.abs();
            s * (0.5 * (s * s + d * d).ln() - 1.0) + d * s.atan2(d)
        };
        (distance, primitive(start + length) - primitive(start))
    }

    /// `∫ h² ds`, `h` being the coordinate along a unit vector; Simpson's rule is exact.
    fn second_moment(&self, along: Point) -> f64 {
        let h2 = |p: Point| dot(p, along).powi(2);
        self.length() / 6.0 * (h2(self.ends[0]) + 4.0 * h2(self.middle()) + h2(self.ends[1]))
    }
}

/// The edges cut up, scaled by `1/size`.
fn elements(contours: &[Vec<Point>], area: f64, size: f64) -> Vec<Element> {
    let length = |[p, q]: [Point; 2]| (q[0] - p[0]).hypot(q[1] - p[1]);
    let all_edges = contours.iter().flat_map(|contour| edges(contour));
    let perimeter = all_edges.map(length).sum::<f64>();
    let thickness = 2.0 * area / perimeter;
    let spacing = thickness.clamp(perimeter / MOST_ELEMENTS, perimeter / ELEMENTS);
    let mut elements = Vec::new();
    for (contour, points) in contours.iter().enumerate() {
        for edge in edges(points) {
            let pieces = (length(edge) / spacing).ceil();
            let cut = |piece: f64| {
                // Half a cosine wave crowds the cuts towards both corners.
                let t = 0.5 - 0.5 * (std::f64::consts::PI * piece / pieces).cos();
                [0, 1].map(|axis| (edge[0][axis] + t * (edge[1][axis] - edge[0][axis])) / size)
            };
            for piece in (0..pieces as usize).map(|piece| piece as f64) {
                elements.push(Element {
                    contour,
                    ends: [cut(piece), cut(piece + 1.0)],
                });
            }
        }
    }
    elements
}
