//! Shear area of a polygonal section by Jourawski's shear stress.

use super::contour::{self, Point, edges};

/// Shear area for a force along `z`.
///
/// The shear stress `V S/(I b)` is uniform across the width `b(z)` of the material; equating
/// strain energies, with `S(z)` the first moment of the area below `z`,
///
/// ```text
/// κ A = I² / ∫ (S²/b) dz
/// ```
///
/// * `contours`: about the centroid
/// * `second_moment`: `I = ∫ z² dA`, mm⁴
///
/// Source: Jourawski's (Grashof's) shear stress and its energy (textbook formula).
pub(super) fn area(contours: &[Vec<Point>], second_moment: f64) -> f64 {
    let mut levels: Vec<f64> = contours.iter().flatten().map(|point| point[1]).collect();
    levels.sort_by(f64::total_cmp);
    let [low, high] = contour::extent(&contours[0], 1);
    let rounding = 1e-9 * (high - low);
    levels.dedup_by(|level, below| *level - *below < rounding);

    let mut below = 0.0;
    let mut energy = 0.0;
    for level in levels.windows(2) {
        let strip = Strip::new(contours, level[0], level[1]);
        for (t, weight) in GAUSS {
            let s = below + strip.first_moment(t);
            energy += weight * strip.height * s * s / strip.width(t);
        }
        below += strip.first_moment(1.0);
    }
    second_moment * second_moment / energy
}

/// Gauss points and weights of the unit interval, four points.
const GAUSS: [(f64, f64); 4] = [
    (0.069_431_844_202_973_7, 0.173_927_422_568_726_9),
    (0.330_009_478_207_571_9, 0.326_072_577_431_273_1),
    (0.669_990_521_792_428_1, 0.326_072_577_431_273_1),
    (0.930_568_155_797_026_3, 0.173_927_422_568_726_9),
];

/// The material between two levels with no vertex between them: its width is linear in `z`.
struct Strip {
    bottom: f64,
    height: f64,
    /// Widths at a quarter and at three quarters of the height.
    widths: [f64; 2],
}

impl Strip {
    fn new(contours: &[Vec<Point>], bottom: f64, top: f64) -> Self {
        let height = top - bottom;
        let width = |t: f64| width_at(contours, bottom + t * height);
        Strip {
            bottom,
            height,
            widths: [width(0.25), width(0.75)],
        }
    }

    /// Width at the fraction `t` of the height.
    fn width(&self, t: f64) -> f64 {
        self.widths[0] + (t - 0.25) * 2.0 * (self.widths[1] - self.widths[0])
    }

    /// `∫ z b dz` from the bottom to the fraction `t`, by Simpson's rule (exact for a cubic).
    fn first_moment(&self, t: f64) -> f64 {
        let integrand = |t: f64| (self.bottom + t * self.height) * self.width(t);
        t * self.height / 6.0 * (integrand(0.0) + 4.0 * integrand(t / 2.0) + integrand(t))
    }
}

/// Width of the material at a level that passes through no vertex: material lies on the left of
/// every edge, so edges going up end it and edges going down begin it.
fn width_at(contours: &[Vec<Point>], z: f64) -> f64 {
    let all_edges = contours.iter().flat_map(|contour| edges(contour));
    let crossing = |[p, q]: [Point; 2]| {
        let y = || p[0] + (z - p[1]) / (q[1] - p[1]) * (q[0] - p[0]);
        match (p[1] > z, q[1] > z) {
            (false, true) => y(),
            (true, false) => -y(),
            _ => 0.0,
        }
    };
    all_edges.map(crossing).sum::<f64>().abs()
}
