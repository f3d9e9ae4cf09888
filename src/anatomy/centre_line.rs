//! The centre line of the bone: an S seen from above, a bow seen from in front.

use nalgebra::Vector3;

use super::BoneInputs;
use super::spline::NaturalSpline;

/// Equal steps of the arc length table; every spline knot falls on one of their ends.
const ARC_STEPS: usize = 100;

/// Three-point Gauss–Legendre rule on `-1..1` (textbook, exact to degree five).
const GAUSS: [(f64, f64); 3] = [
    (-0.774_596_669_241_483_4, 5.0 / 9.0),
    (0.0, 8.0 / 9.0),
    (0.774_596_669_241_483_4, 5.0 / 9.0),
];

/// Curve through the section centres, by fraction `ξ` of the straight length `L`.
///
/// ```text
/// x = ξ L
/// y: natural spline through (0, 0) (0.36, h_med) (0.58, 0) (0.76, -h_lat) (1, 0)
/// z: natural spline through (0, 0) (0.40, 0.35 z_b) (0.75, z_b) (1, 0)
/// ```
///
/// The knots are chosen here (assumption) so that the inflection (0.607), the apexes and their
/// radii fall within the measured ranges.
///
/// Source: apexes, Bachoura et al. 2013; inflection about 0.60, Rivas et al., *JSES Int.* 2026;
/// bow greatest near 0.75, Huang et al., *J. Bone Joint Surg. Am.* 89 (2007) 2260; medial part
/// flat seen from in front, Bachoura et al. 2013.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CentreLine {
    length: f64,
    anterior: NaturalSpline,
    superior: NaturalSpline,
    /// Arc length from the sternal end at each step, mm.
    arc: Vec<f64>,
}

impl CentreLine {
    pub(super) fn new(bone: &BoneInputs) -> Self {
        let mut line = CentreLine {
            length: bone.length,
            anterior: NaturalSpline::new(&[
                (0.0, 0.0),
                (0.36, bone.medial_curve_depth),
                (0.58, 0.0),
                (0.76, -bone.lateral_curve_depth),
                (1.0, 0.0),
            ]),
            superior: NaturalSpline::new(&[
                (0.0, 0.0),
                (0.40, 0.35 * bone.superior_bow),
                (0.75, bone.superior_bow),
                (1.0, 0.0),
            ]),
            arc: vec![0.0],
        };
        let mut arc = 0.0;
        for step in 0..ARC_STEPS {
            arc += line.arc_between(step_start(step), step_start(step + 1));
            line.arc.push(arc);
        }
        line
    }

    pub(super) fn length(&self) -> f64 {
        self.length
    }

    /// Position, mm.
    pub(super) fn point(&self, fraction: f64) -> Vector3<f64> {
        let [y, z] = [&self.anterior, &self.superior].map(|spline| spline.value(fraction));
        Vector3::new(fraction * self.length, y, z)
    }

    /// First derivative of the position by `ξ`, mm.
    pub(super) fn slope(&self, fraction: f64) -> Vector3<f64> {
        let [y, z] = [&self.anterior, &self.superior].map(|spline| spline.slope(fraction));
        Vector3::new(self.length, y, z)
    }

    /// Second derivative of the position by `ξ`, mm.
    pub(super) fn bend(&self, fraction: f64) -> Vector3<f64> {
        let [y, z] = [&self.anterior, &self.superior].map(|spline| spline.curvature(fraction));
        Vector3::new(0.0, y, z)
    }

    /// Arc length from the sternal end, mm.
    pub(super) fn arc_length(&self, fraction: f64) -> f64 {
        let step = ((fraction * ARC_STEPS as f64) as usize).min(ARC_STEPS - 1);
        self.arc[step] + self.arc_between(step_start(step), fraction)
    }

    /// The fraction at an arc length, by Newton's method: the inverse of [`Self::arc_length`].
    pub(super) fn fraction_at(&self, arc_length: f64) -> f64 {
        let mut fraction = arc_length / self.arc[ARC_STEPS];
        // Quadratic convergence from an error of a few per cent: rounding after four rounds.
        for _ in 0..5 {
            let speed = self.slope(fraction).norm();
            let nearer = fraction - (self.arc_length(fraction) - arc_length) / speed;
            if nearer == fraction {
                break;
            }
            fraction = nearer;
        }
        fraction
    }

    fn arc_between(&self, from: f64, to: f64) -> f64 {
        let (middle, half) = ((from + to) / 2.0, (to - from) / 2.0);
        GAUSS
            .iter()
            .map(|(place, weight)| weight * self.slope(middle + half * place).norm())
            .sum::<f64>()
            * half
    }
}

fn step_start(step: usize) -> f64 {
    step as f64 / ARC_STEPS as f64
}
