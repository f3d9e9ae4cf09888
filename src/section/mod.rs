//! Cross-section properties: area, second moments, torsion constant, shear areas.
//!
//! Local axes: `x` along the member, `width` along `y`, `depth` along `z`;
//! `second_moment_y` resists bending in the `x`–`z` plane.

use std::f64::consts::PI;

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
    /// A box of the given half sizes: a rectangle, or the bounding box of another outline.
    Box {
        /// Half the width along `y`, mm.
        half_y: f64,
        /// Half the depth along `z`, mm.
        half_z: f64,
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

impl Section {
    /// The same section without shear deformation (Euler–Bernoulli bending).
    pub fn without_shear(self) -> Self {
        Section {
            shear_area_y: f64::INFINITY,
            shear_area_z: f64::INFINITY,
            ..self
        }
    }

    /// Solid circle: `A = π d²/4`, `I = π d⁴/64`, `J = 2 I`, Cowper's shear coefficient
    /// `κ = 6(1+ν)/(7+6ν)`.
    ///
    /// * `diameter`: mm, greater than zero
    /// * `poisson_ratio`: of the material, for `κ`
    ///
    /// Source: G. R. Cowper, *J. Appl. Mech.* 33 (1966) 335–340 (formula from memory).
    pub fn circle(diameter: f64, poisson_ratio: f64) -> Self {
        let nu = poisson_ratio;
        let area = PI * diameter * diameter / 4.0;
        let second_moment = PI * diameter.powi(4) / 64.0;
        let shear_area = area * 6.0 * (1.0 + nu) / (7.0 + 6.0 * nu);
        Section {
            area,
            second_moment_y: second_moment,
            second_moment_z: second_moment,
            product_moment: 0.0,
            torsion_constant: 2.0 * second_moment,
            shear_area_y: shear_area,
            shear_area_z: shear_area,
            torsion_shear: diameter / 2.0 / (2.0 * second_moment),
            outline: Outline::Ellipse {
                semi_y: diameter / 2.0,
                semi_z: diameter / 2.0,
            },
        }
    }
}
