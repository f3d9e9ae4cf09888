//! Round and elliptic sections, solid and hollow.

use std::f64::consts::PI;

use super::{Outline, Section, hollow_ellipse_torsion};

impl Section {
    /// Solid circle: `A = π d²/4`, `I = π d⁴/64`, `J = 2 I`, Cowper's shear coefficient
    /// `κ = 6(1+ν)/(7+6ν)`.
    ///
    /// * `diameter`: mm, greater than zero
    /// * `poisson_ratio`: of the material, for `κ`
    ///
    /// Source: G. R. Cowper, *J. Appl. Mech.* 33 (1966) 335–340 (formula from memory).
    ///
    /// ```
    /// use clavibeam::section::Section;
    /// let rod = Section::circle(10.0, 0.3);
    /// assert!((rod.area - 78.539_816).abs() < 1e-6);
    /// assert!((rod.torsion_constant - 2.0 * rod.second_moment_y).abs() < 1e-9);
    /// ```
    pub fn circle(diameter: f64, poisson_ratio: f64) -> Self {
        Self::tube(diameter, 0.0, poisson_ratio)
    }

    /// Round tube of even wall: `J = 2 I`, the shear coefficient of Cowper's hollow circle.
    ///
    /// ```text
    /// κ = 6(1+ν)(1+m²)² / ((7+6ν)(1+m²)² + (20+12ν) m²),   m = inner / outer diameter
    /// ```
    ///
    /// * `outer_diameter`, `inner_diameter`: mm, `0 ≤ inner < outer`
    /// * `poisson_ratio`: of the material, for `κ`
    ///
    /// Source: G. R. Cowper, *J. Appl. Mech.* 33 (1966) 335–340 (formula from memory).
    pub fn tube(outer_diameter: f64, inner_diameter: f64, poisson_ratio: f64) -> Self {
        let (outer, inner) = (outer_diameter / 2.0, inner_diameter / 2.0);
        let area = PI * (outer * outer - inner * inner);
        let second_moment = PI * (outer.powi(4) - inner.powi(4)) / 4.0;
        let shear_area = area * hollow_circle_coefficient((inner / outer).powi(2), poisson_ratio);
        Section {
            area,
            second_moment_y: second_moment,
            second_moment_z: second_moment,
            product_moment: 0.0,
            torsion_constant: 2.0 * second_moment,
            shear_area_y: shear_area,
            shear_area_z: shear_area,
            torsion_shear: outer / (2.0 * second_moment),
            outline: Outline::Ellipse {
                semi_y: outer,
                semi_z: outer,
            },
        }
    }

    /// Solid ellipse, its axes along `y` and `z`.
    ///
    /// ```text
    /// J = π a³b³/(a²+b²),   τ/T = 2/(π a b²) at the ends of the shorter axis   (semi-axes a ≥ b)
    /// κ = 12(1+ν) a²(3a²+b²) / ((40+37ν) a⁴ + (16+10ν) a²b² + ν b⁴)   (a along the shear force)
    /// ```
    ///
    /// * `width`, `depth`: whole axes along `y` and `z`, mm, greater than zero
    /// * `poisson_ratio`: of the material, for `κ`
    ///
    /// Source: torsion: Saint-Venant's closed form (textbook formula); `κ`: G. R. Cowper,
    /// *J. Appl. Mech.* 33 (1966) 335–340 (formula from memory).
    pub fn ellipse(width: f64, depth: f64, poisson_ratio: f64) -> Self {
        let (a, b) = (width / 2.0, depth / 2.0);
        let area = PI * a * b;
        Section {
            area,
            second_moment_y: area * b * b / 4.0,
            second_moment_z: area * a * a / 4.0,
            product_moment: 0.0,
            torsion_constant: area * a * a * b * b / (a * a + b * b),
            shear_area_y: area * ellipse_coefficient(a, b, poisson_ratio),
            shear_area_z: area * ellipse_coefficient(b, a, poisson_ratio),
            torsion_shear: 2.0 / (area * a.min(b)),
            outline: Outline::Ellipse {
                semi_y: a,
                semi_z: b,
            },
        }
    }

    /// Ellipse with an elliptic canal; both share centre and axes but need not be similar
    /// (a wall of even thickness is not), and either axis of either ellipse may be the longer.
    ///
    /// The torsion constant is found by a series solution of Saint-Venant's problem, accurate to
    /// 1e-10 or, when a round canal all but reaches a long ellipse's flank, 1e-8;
    /// `J_outer − J_inner` would be right for similar ellipses only. The peak stress is good to 2e-4.
    ///
    /// ```text
    /// κ = κ_ellipse(outer) · κ_hollow circle(m) / κ_circle,   m² = canal area / outer area
    /// ```
    ///
    /// * `width`, `depth`: whole outer axes along `y` and `z`, mm, greater than zero
    /// * `inner_width`, `inner_depth`: whole axes of the canal, mm; with either zero the section
    ///   is solid
    /// * `poisson_ratio`: of the material, for `κ`
    ///
    /// Source: the two coefficients: G. R. Cowper, *J. Appl. Mech.* 33 (1966) 335–340 (formulas
    /// from memory).
    /// Differs from the source: Cowper gives none for the hollow ellipse. The product above is an
    /// assumption: it is exactly his for a hollow circle and for a solid ellipse, and for want of
    /// a better one it stands for all between.
    ///
    /// # Panics
    /// When the canal is not inside the outer ellipse.
    pub fn hollow_ellipse(
        width: f64,
        depth: f64,
        inner_width: f64,
        inner_depth: f64,
        poisson_ratio: f64,
    ) -> Self {
        let solid = Self::ellipse(width, depth, poisson_ratio);
        if inner_width == 0.0 || inner_depth == 0.0 {
            return solid;
        }
        let is_inside = |inner: f64, outer: f64| inner > 0.0 && inner < outer;
        assert!(
            is_inside(inner_width, width) && is_inside(inner_depth, depth),
            "a canal {inner_width} by {inner_depth} does not fit in an ellipse {width} by {depth}"
        );

        let canal = Self::ellipse(inner_width, inner_depth, poisson_ratio);
        let area = solid.area - canal.area;
        let hollowness = hollow_circle_coefficient(canal.area / solid.area, poisson_ratio)
            / hollow_circle_coefficient(0.0, poisson_ratio);
        let torsion = hollow_ellipse_torsion::solve(
            [width / 2.0, depth / 2.0],
            [inner_width / 2.0, inner_depth / 2.0],
        );
        Section {
            area,
            second_moment_y: solid.second_moment_y - canal.second_moment_y,
            second_moment_z: solid.second_moment_z - canal.second_moment_z,
            torsion_constant: torsion.constant,
            shear_area_y: area * hollowness * (solid.shear_area_y / solid.area),
            shear_area_z: area * hollowness * (solid.shear_area_z / solid.area),
            torsion_shear: torsion.peak_shear,
            ..solid
        }
    }
}

/// Cowper's `κ` of a hollow circle (formula at [`Section::tube`]); `m2` is the ratio of the inner
/// to the outer area.
fn hollow_circle_coefficient(m2: f64, nu: f64) -> f64 {
    let sum = (1.0 + m2) * (1.0 + m2);
    6.0 * (1.0 + nu) * sum / ((7.0 + 6.0 * nu) * sum + (20.0 + 12.0 * nu) * m2)
}

/// Cowper's `κ` of a solid ellipse (formula at [`Section::ellipse`]); `a` is the semi-axis along
/// the shear force.
fn ellipse_coefficient(a: f64, b: f64, nu: f64) -> f64 {
    let (a2, b2) = (a * a, b * b);
    12.0 * (1.0 + nu) * a2 * (3.0 * a2 + b2)
        / ((40.0 + 37.0 * nu) * a2 * a2 + (16.0 + 10.0 * nu) * a2 * b2 + nu * b2 * b2)
}
