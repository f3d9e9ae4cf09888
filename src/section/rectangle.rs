//! The solid rectangle.

use std::f64::consts::PI;

use super::{Outline, Section, Torsion};

impl Section {
    /// Solid rectangle, its sides along `y` and `z`; Cowper's `κ = 10(1+ν)/(12+11ν)`.
    ///
    /// * `width`, `depth`: along `y` and `z`, mm, greater than zero
    /// * `poisson_ratio`: of the material, for `κ`
    ///
    /// Source: G. R. Cowper, *J. Appl. Mech.* 33 (1966) 335–340 (formula from memory).
    ///
    /// ```
    /// use clavibeam::section::Section;
    /// let plate = Section::rectangle(10.0, 3.0, 0.3);
    /// assert!((plate.second_moment_y - 22.5).abs() < 1e-12);
    /// assert!((plate.torsion_constant - 72.984_239_768).abs() < 1e-9);
    /// ```
    pub fn rectangle(width: f64, depth: f64, poisson_ratio: f64) -> Self {
        let nu = poisson_ratio;
        let area = width * depth;
        let shear_area = area * 10.0 * (1.0 + nu) / (12.0 + 11.0 * nu);
        let torsion = torsion(width.max(depth), width.min(depth));
        Section {
            area,
            second_moment_y: area * depth * depth / 12.0,
            second_moment_z: area * width * width / 12.0,
            product_moment: 0.0,
            torsion_constant: torsion.constant,
            shear_area_y: shear_area,
            shear_area_z: shear_area,
            torsion_shear: torsion.peak_shear,
            outline: Outline::Box {
                half_y: width / 2.0,
                half_z: depth / 2.0,
            },
        }
    }
}

/// Saint-Venant torsion of a rectangle with sides `a ≥ b`; the largest shear stress stands in the
/// middle of the longer side. Sums over odd `n`.
///
/// ```text
/// J   = a b³ (1/3 − (64/π⁵)(b/a) Σ tanh(nπa/2b)/n⁵)
/// τ/T = (b/J) (1 − (8/π²) Σ 1/(n² cosh(nπa/2b)))
/// ```
///
/// With `Σ 1/n⁵ = (31/32) ζ(5)` taken out of the first sum, what is left of either falls off
/// like `exp(−nπ/2)` or faster: 12 terms reach rounding.
///
/// Source: Saint-Venant's series (textbook formula).
fn torsion(a: f64, b: f64) -> Torsion {
    const ZETA_5: f64 = 1.036_927_755_143_37;
    let (mut tanh_sum, mut cosh_sum) = (31.0 / 32.0 * ZETA_5, 0.0);
    for n in (1..24).step_by(2).map(f64::from) {
        let x = n * PI * a / (2.0 * b);
        // 1 − tanh x, written so that it neither cancels nor overflows.
        let fall = (-2.0 * x).exp();
        tanh_sum -= 2.0 * fall / (1.0 + fall) / n.powi(5);
        cosh_sum += 2.0 * (-x).exp() / (1.0 + fall) / (n * n);
    }
    let constant = a * b.powi(3) * (1.0 / 3.0 - 64.0 / PI.powi(5) * b / a * tanh_sum);
    let peak_shear = b * (1.0 - 8.0 / (PI * PI) * cosh_sum) / constant;
    Torsion {
        constant,
        peak_shear,
    }
}
