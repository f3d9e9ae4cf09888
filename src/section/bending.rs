//! Axial stress from bending, and second moments about turned axes.

use super::{Outline, Section};

/// Second moments of area about one pair of centroidal axes, mm⁴.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondMoments {
    /// `∫ z² dA`, mm⁴.
    pub y: f64,
    /// `∫ y² dA`, mm⁴.
    pub z: f64,
    /// `∫ y z dA`, mm⁴.
    pub product: f64,
}

impl Section {
    /// Axial stress at the fibre `[y, z]`, tension positive.
    ///
    /// Plane sections, linear elastic. With no product moment this is
    /// `N/A + My z/Iy − Mz y/Iz`; in general
    ///
    /// ```text
    /// σ = N/A + β y + γ z,   D = Iy Iz − Iyz²
    /// β = −(Mz Iy + My Iyz)/D,   γ = (My Iz + Mz Iyz)/D
    /// ```
    ///
    /// * `force`: `N = ∫ σ dA`, N, tension positive
    /// * `moment_y`, `moment_z`: `My = ∫ σ z dA`, `Mz = −∫ σ y dA`, N·mm
    /// * `fibre`: from the centroid, mm
    /// * returns: MPa
    ///
    /// Source: unsymmetric bending of a beam (textbook formula).
    pub fn axial_stress(&self, force: f64, moment_y: f64, moment_z: f64, fibre: [f64; 2]) -> f64 {
        let [slope_y, slope_z] = self.stress_slopes(moment_y, moment_z);
        force / self.area + slope_y * fibre[0] + slope_z * fibre[1]
    }

    /// The highest and the lowest axial stress over the outline, in this order, tension positive
    /// (the second is the largest compression, with its sign); `None` when the outline is unknown.
    ///
    /// Exact for ellipses and rectangles. For [`Outline::Bounds`] the corners of the bounding box
    /// are taken, an upper bound on either; [`Section::axial_stress`] at the vertices of
    /// [`PolygonSection`](super::PolygonSection) is exact.
    ///
    /// Arguments as for [`Section::axial_stress`].
    ///
    /// ```
    /// use clavibeam::section::Section;
    /// let plate = Section::rectangle(10.0, 3.0, 0.3);
    /// // Section modulus b h²/6 = 15 mm³.
    /// let (tension, compression) = plate.peak_axial_stress(0.0, 1500.0, 0.0).unwrap();
    /// assert!((tension - 100.0).abs() < 1e-9 && (compression + 100.0).abs() < 1e-9);
    /// ```
    pub fn peak_axial_stress(
        &self,
        force: f64,
        moment_y: f64,
        moment_z: f64,
    ) -> Option<(f64, f64)> {
        let mean = force / self.area;
        let [slope_y, slope_z] = self.stress_slopes(moment_y, moment_z);
        let symmetric = |bending: f64| Some((mean + bending, mean - bending));
        match self.outline {
            Outline::Ellipse { semi_y, semi_z } => {
                symmetric((slope_y * semi_y).hypot(slope_z * semi_z))
            }
            Outline::Box { half_y, half_z } => {
                symmetric((slope_y * half_y).abs() + (slope_z * half_z).abs())
            }
            Outline::Bounds { y, z } => {
                let (y, z) = (y.map(|y| slope_y * y), z.map(|z| slope_z * z));
                Some((
                    mean + y[0].max(y[1]) + z[0].max(z[1]),
                    mean + y[0].min(y[1]) + z[0].min(z[1]),
                ))
            }
            Outline::Unknown => None,
        }
    }

    /// Second moments about axes turned by `angle` from `y` towards `z` (Mohr's circle).
    ///
    /// * `angle`: rad
    ///
    /// Source: Mohr's circle (textbook formula).
    pub fn rotated(&self, angle: f64) -> SecondMoments {
        let mean = (self.second_moment_y + self.second_moment_z) / 2.0;
        let half = (self.second_moment_y - self.second_moment_z) / 2.0;
        let (sin, cos) = (2.0 * angle).sin_cos();
        let swing = half * cos - self.product_moment * sin;
        SecondMoments {
            y: mean + swing,
            z: mean - swing,
            product: half * sin + self.product_moment * cos,
        }
    }

    /// The angle from `y` towards `z`, within ±π/2, of the axis about which the second moment is
    /// greatest, rad; [`Section::rotated`] by it gives both principal moments, the greater as `y`.
    pub fn principal_angle(&self) -> f64 {
        let half = (self.second_moment_y - self.second_moment_z) / 2.0;
        0.5 * (-self.product_moment).atan2(half)
    }

    /// `∂σ/∂y` and `∂σ/∂z`, MPa/mm; the formula is at [`Section::axial_stress`].
    fn stress_slopes(&self, moment_y: f64, moment_z: f64) -> [f64; 2] {
        let (iy, iz, iyz) = (
            self.second_moment_y,
            self.second_moment_z,
            self.product_moment,
        );
        let determinant = iy * iz - iyz * iyz;
        [
            -(moment_z * iy + moment_y * iyz) / determinant,
            (moment_y * iz + moment_z * iyz) / determinant,
        ]
    }
}
