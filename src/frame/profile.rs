//! Sections along a member and what they give.

use nalgebra::{Matrix2, Matrix6, Vector2, Vector6};

use super::quadrature::lobatto;
use super::{Moduli, Profile};
use crate::section::Section;

/// Strains of a section per unit of section force.
#[derive(Clone, Copy, Default)]
pub(crate) struct SectionFlexibility {
    axial: f64,
    shear: Vector2<f64>,
    torsion: f64,
    bending: Matrix2<f64>,
}

/// ```text
/// ε = N/EA   γy = Vy/GAy   γz = Vz/GAz   θ′ = T/GJ
/// ⎡My⎤     ⎡ Iy  −Iyz⎤ ⎡κy⎤
/// ⎣Mz⎦ = E ⎣−Iyz   Iz⎦ ⎣κz⎦
/// ```
fn section_flexibility(section: &Section, moduli: &Moduli) -> SectionFlexibility {
    let Moduli { youngs, shear } = *moduli;
    let (iy, iz, iyz) = (
        section.second_moment_y,
        section.second_moment_z,
        section.product_moment,
    );
    let determinant = youngs * (iy * iz - iyz * iyz);
    SectionFlexibility {
        axial: 1.0 / (youngs * section.area),
        shear: Vector2::new(
            1.0 / (shear * section.shear_area_y),
            1.0 / (shear * section.shear_area_z),
        ),
        torsion: 1.0 / (shear * section.torsion_constant),
        bending: Matrix2::new(iz, iyz, iyz, iy) / determinant,
    }
}

impl SectionFlexibility {
    fn add_share(&mut self, share: f64, other: &SectionFlexibility) {
        self.axial += share * other.axial;
        self.shear += share * other.shear;
        self.torsion += share * other.torsion;
        self.bending += share * other.bending;
    }

    pub fn strain(&self, s: &Vector6<f64>) -> Vector6<f64> {
        let curvature = self.bending * Vector2::new(s[4], s[5]);
        Vector6::new(
            self.axial * s[0],
            self.shear.x * s[1],
            self.shear.y * s[2],
            self.torsion * s[3],
            curvature.x,
            curvature.y,
        )
    }
}

/// Flexibility of a member held at its first end: motion of its second end for unit forces there,
/// local axes. Stretching and torsion stand alone.
#[derive(Default)]
pub(crate) struct Flexibility {
    axial: f64,
    torsion: f64,
    /// Displacements `vy vz` for shear forces `Vy Vz`.
    shear: Matrix2<f64>,
    /// Rotations `θy θz` for shear forces.
    coupling: Matrix2<f64>,
    /// Rotations for moments `My Mz`.
    bending: Matrix2<f64>,
}

impl Flexibility {
    /// Adds `weight · bᵀ f b` for a section `arm` from the second end: a unit `Vy` bends by `arm`
    /// about z, a unit `Vz` by `−arm` about y.
    fn add(&mut self, section: &SectionFlexibility, arm: f64, weight: f64) {
        self.axial += weight * section.axial;
        self.torsion += weight * section.torsion;
        let turn = Matrix2::new(0.0, -arm, arm, 0.0);
        let bending = section.bending * weight;
        let coupling = bending * turn;
        self.bending += bending;
        self.coupling += coupling;
        self.shear += turn.transpose() * coupling;
        self.shear[(0, 0)] += weight * section.shear.x;
        self.shear[(1, 1)] += weight * section.shear.y;
    }

    /// The stiffness that it leaves; none if some part of it is not positive.
    ///
    /// ```text
    /// ⎡A  Bᵀ⎤⁻¹   ⎡ S⁻¹       −S⁻¹ Xᵀ       ⎤
    /// ⎣B  D ⎦   = ⎣−X S⁻¹   D⁻¹ + X S⁻¹ Xᵀ⎦     X = D⁻¹ B,   S = A − Bᵀ X
    /// ```
    pub fn inverse(&self) -> Option<Matrix6<f64>> {
        let [axial, torsion] = [self.axial, self.torsion].map(|flexibility| 1.0 / flexibility);
        let bending = inverse_of_positive(&self.bending)?;
        let carried = bending * self.coupling;
        let shear = inverse_of_positive(&(self.shear - self.coupling.transpose() * carried))?;
        let coupling = -carried * shear;
        let bending = bending - coupling * carried.transpose();
        let stiffness = Matrix6::new(
            axial,
            0.0,
            0.0,
            0.0,
            0.0,
            0.0, //
            0.0,
            shear[(0, 0)],
            shear[(0, 1)],
            0.0,
            coupling[(0, 0)],
            coupling[(1, 0)], //
            0.0,
            shear[(0, 1)],
            shear[(1, 1)],
            0.0,
            coupling[(0, 1)],
            coupling[(1, 1)], //
            0.0,
            0.0,
            0.0,
            torsion,
            0.0,
            0.0, //
            0.0,
            coupling[(0, 0)],
            coupling[(0, 1)],
            0.0,
            bending[(0, 0)],
            bending[(1, 0)], //
            0.0,
            coupling[(1, 0)],
            coupling[(1, 1)],
            0.0,
            bending[(1, 0)],
            bending[(1, 1)], //
        );
        (axial > 0.0 && torsion > 0.0).then_some(stiffness)
    }
}

/// The inverse of a symmetric matrix, none if it is not positive definite.
fn inverse_of_positive(m: &Matrix2<f64>) -> Option<Matrix2<f64>> {
    let determinant = m[(0, 0)] * m[(1, 1)] - m[(0, 1)] * m[(0, 1)];
    let positive = m[(0, 0)] > 0.0 && determinant > 0.0 && determinant.is_finite();
    positive.then(|| Matrix2::new(m[(1, 1)], -m[(0, 1)], -m[(0, 1)], m[(0, 0)]) / determinant)
}

/// Flexibility of the sections of a profile.
pub(crate) struct SectionFlexibilities {
    sections: Vec<SectionFlexibility>,
}

impl SectionFlexibilities {
    pub fn of(profile: &Profile, moduli: &Moduli) -> Self {
        let sections = match profile {
            Profile::Prismatic(section) => std::slice::from_ref(section),
            Profile::Varying(sections) => sections,
        };
        let sections = sections.iter();
        SectionFlexibilities {
            sections: sections
                .map(|section| section_flexibility(section, moduli))
                .collect(),
        }
    }

    /// Of the polynomial through them.
    pub fn degree(&self) -> usize {
        self.sections.len() - 1
    }

    /// Flexibility of the section at a fraction of the member's length: between the given
    /// points it follows the polynomial through theirs.
    pub fn at(&self, fraction: f64) -> SectionFlexibility {
        if let [section] = self.sections[..] {
            return section;
        }
        let mut mixed = SectionFlexibility::default();
        for (section, share) in (self.sections.iter()).zip(shares(self.sections.len(), fraction)) {
            if share != 0.0 {
                mixed.add_share(share, section);
            }
        }
        mixed
    }
}

impl Profile {
    /// Flexibility of a member held at its first end: motion of its second end for unit
    /// forces there, local axes. Force interpolation is exact, so the only error is that of
    /// the polynomial through the given flexibilities, and none for a prismatic member.
    ///
    /// Source: Przemieniecki, *Theory of Matrix Structural Analysis* (1968), the unit-load
    /// method (from memory).
    pub(crate) fn flexibility(&self, moduli: &Moduli, length: f64) -> Flexibility {
        let mut flexibility = Flexibility::default();
        let mut add = |section: &SectionFlexibility, (position, weight): (f64, f64)| {
            flexibility.add(section, length * (1.0 - position), length * weight);
        };
        // The squared arm adds two to the degree: three points do for a prismatic member, the
        // given ones for four sections or more, which need no polynomial.
        match self {
            Profile::Prismatic(section) => {
                let section = section_flexibility(section, moduli);
                lobatto(3).iter().for_each(|point| add(&section, *point));
            }
            Profile::Varying(sections) if sections.len() >= 4 => {
                for (section, point) in sections.iter().zip(lobatto(sections.len())) {
                    add(&section_flexibility(section, moduli), *point);
                }
            }
            Profile::Varying(_) => {
                let given = SectionFlexibilities::of(self, moduli);
                for point in lobatto(4) {
                    add(&given.at(point.0), *point);
                }
            }
        }
        flexibility
    }

    /// The section at a fraction of the member's length, for stresses: between the given
    /// points the properties follow the polynomial through them.
    pub fn section_at(&self, fraction: f64) -> Section {
        let sections = match self {
            Profile::Prismatic(section) => return *section,
            Profile::Varying(sections) => sections,
        };
        let rule = lobatto(sections.len());
        if let Some(given) = rule.iter().position(|(place, _)| *place == fraction) {
            return sections[given];
        }
        let shares = shares(sections.len(), fraction);
        let mix = |property: fn(&Section) -> f64| -> f64 {
            sections
                .iter()
                .zip(shares.clone())
                .map(|(section, share)| share * property(section))
                .sum()
        };
        // A shear area without limit stays without limit.
        let mix_shear_area = |property: fn(&Section) -> f64| -> f64 {
            if sections
                .iter()
                .any(|section| property(section).is_infinite())
            {
                f64::INFINITY
            } else {
                mix(property)
            }
        };
        let nearest = (0..rule.len())
            .min_by(|&a, &b| {
                let away = |i: usize| (rule[i].0 - fraction).abs();
                away(a).total_cmp(&away(b))
            })
            .unwrap_or(0);
        Section {
            area: mix(|s| s.area),
            second_moment_y: mix(|s| s.second_moment_y),
            second_moment_z: mix(|s| s.second_moment_z),
            product_moment: mix(|s| s.product_moment),
            torsion_constant: mix(|s| s.torsion_constant),
            shear_area_y: mix_shear_area(|s| s.shear_area_y),
            shear_area_z: mix_shear_area(|s| s.shear_area_z),
            ..sections[nearest]
        }
    }
}

/// Lagrange's polynomials of the `count`-point [`lobatto`] rule at a fraction.
fn shares(count: usize, fraction: f64) -> impl Iterator<Item = f64> + Clone {
    let rule = lobatto(count);
    (0..count).map(move |i| {
        let (own, _) = rule[i];
        let others = rule.iter().enumerate().filter(|(k, _)| *k != i);
        let (above, below) = others.fold((1.0, 1.0), |(above, below), (_, (other, _))| {
            (above * (fraction - other), below * (own - other))
        });
        above / below
    })
}
