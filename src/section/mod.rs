//! Cross-section properties: area, second moments, torsion constant, shear areas.
//!
//! Local axes: `x` along the member, `width` along `y`, `depth` along `z`;
//! `second_moment_y` resists bending in the `x`–`z` plane. All properties are about
//! the section's own centroid.

mod bending;
mod contour;
mod ellipse;
mod hollow_ellipse_torsion;
mod polygon;
mod polygon_shear;
mod polygon_torsion;
mod rectangle;

pub use bending::SecondMoments;
pub use contour::{Contour, PolygonError};
pub use polygon::PolygonSection;

/// The outline of a section, kept for stress recovery at its extreme fibres. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outline {
    /// A solid or hollow ellipse (a circle when both are equal): outer semi-axes along `y` and `z`.
    Ellipse {
        /// Outer semi-axis along `y`, mm.
        semi_y: f64,
        /// Outer semi-axis along `z`, mm.
        semi_z: f64,
    },
    /// A rectangle of the given half sizes.
    Box {
        /// Half the width along `y`, mm.
        half_y: f64,
        /// Half the depth along `z`, mm.
        half_z: f64,
    },
    /// The bounding box of any other outline, from the centroid.
    Bounds {
        /// Least and greatest `y`, mm.
        y: [f64; 2],
        /// Least and greatest `z`, mm.
        z: [f64; 2],
    },
    /// Properties given by number: no fibres, so no stress can be recovered.
    Unknown,
}

/// The properties a beam needs of its cross-section, about centroidal axes.
///
/// Areas mm², second moments and torsion constant mm⁴. The product moment is
/// `∫ y z dA`. Shear areas are `κ A`; an infinite shear area leaves shear
/// deformation out (Euler–Bernoulli).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Area, mm².
    pub area: f64,
    /// `∫ z² dA`, mm⁴: resists bending in the `x`–`z` plane.
    pub second_moment_y: f64,
    /// `∫ y² dA`, mm⁴: resists bending in the `x`–`y` plane.
    pub second_moment_z: f64,
    /// `∫ y z dA`, mm⁴.
    pub product_moment: f64,
    /// Saint-Venant torsion constant, mm⁴.
    pub torsion_constant: f64,
    /// `κ A` for shear along `y`, mm².
    pub shear_area_y: f64,
    /// `κ A` for shear along `z`, mm².
    pub shear_area_z: f64,
    /// Largest shear stress for a unit torque, 1/mm³ (`τ = torque × torsion_shear`); 0 when unknown.
    pub torsion_shear: f64,
    /// Where the extreme fibres lie.
    pub outline: Outline,
}

/// Section properties given by number, for a section whose shape is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GivenProperties {
    /// Area, mm².
    pub area: f64,
    /// `∫ z² dA`, mm⁴.
    pub second_moment_y: f64,
    /// `∫ y² dA`, mm⁴.
    pub second_moment_z: f64,
    /// `∫ y z dA`, mm⁴.
    pub product_moment: f64,
    /// Saint-Venant torsion constant, mm⁴.
    pub torsion_constant: f64,
    /// `κ A` for shear along `y`, mm²; without it there is no shear deformation in that direction.
    pub shear_area_y: Option<f64>,
    /// `κ A` for shear along `z`, mm²; without it there is no shear deformation in that direction.
    pub shear_area_z: Option<f64>,
}

impl Section {
    /// A section given by number: its outline and its torsion stress stay unknown.
    pub fn properties(given: GivenProperties) -> Self {
        Section {
            area: given.area,
            second_moment_y: given.second_moment_y,
            second_moment_z: given.second_moment_z,
            product_moment: given.product_moment,
            torsion_constant: given.torsion_constant,
            shear_area_y: given.shear_area_y.unwrap_or(f64::INFINITY),
            shear_area_z: given.shear_area_z.unwrap_or(f64::INFINITY),
            torsion_shear: 0.0,
            outline: Outline::Unknown,
        }
    }

    /// The same section without shear deformation (Euler–Bernoulli bending).
    pub fn without_shear(self) -> Self {
        Section {
            shear_area_y: f64::INFINITY,
            shear_area_z: f64::INFINITY,
            ..self
        }
    }

    /// This section with a weaker filling in its canal (trabecular bone), as one section of this
    /// section's material.
    ///
    /// Both must share their centroid, and the filling is bonded. Stresses recovered from the
    /// result are those of the shell, the stiffer material.
    ///
    /// ```text
    /// A = A_shell + n A_core,   I = I_shell + n I_core,   n = E_core / E_shell
    /// J = J_shell + g J_core,   κA = κA_shell + g κA_core,   g = G_core / G_shell
    /// ```
    ///
    /// * `core`: the filling as a solid section
    /// * `modular_ratio`, `shear_ratio`: `n` and `g`, between 0 and 1
    ///
    /// Assumption: `J` and the shear areas are added as if shell and core twisted and sheared side
    /// by side, each warping freely. That is exact for round shells and cores in torsion and a
    /// lower bound otherwise, close while `g` is small.
    pub fn with_core(self, core: Section, modular_ratio: f64, shear_ratio: f64) -> Self {
        let torsion_constant = self.torsion_constant + shear_ratio * core.torsion_constant;
        Section {
            area: self.area + modular_ratio * core.area,
            second_moment_y: self.second_moment_y + modular_ratio * core.second_moment_y,
            second_moment_z: self.second_moment_z + modular_ratio * core.second_moment_z,
            product_moment: self.product_moment + modular_ratio * core.product_moment,
            torsion_constant,
            shear_area_y: self.shear_area_y + shear_ratio * core.shear_area_y,
            shear_area_z: self.shear_area_z + shear_ratio * core.shear_area_z,
            // The shell's stress goes with the twist, which the core makes smaller.
            torsion_shear: self.torsion_shear * self.torsion_constant / torsion_constant,
            outline: self.outline,
        }
    }
}

/// What the solutions of Saint-Venant's torsion problem give.
struct Torsion {
    /// Torsion constant, mm⁴.
    constant: f64,
    /// Largest shear stress for a unit torque, 1/mm³.
    peak_shear: f64,
}
