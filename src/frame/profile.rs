//! Sections along a member and what they give.

use nalgebra::{Matrix2, Matrix6, Vector2, Vector6};

use super::quadrature::lobatto;
use super::{Moduli, Profile};
use crate::section::Section;

/// Strains of a section per unit of section force.
#[derive(Default)]
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

    /// Adds `weight · bᵀ f b` for a section `arm` from the second end.
    fn add_to(&self, flexibility: &mut Matrix6<f64>, arm: f64, weight: f64) {
        flexibility[(0, 0)] += weight * self.axial;
        flexibility[(3, 3)] += weight * self.torsion;
        let [kyy, kyz, kzz] = [
            weight * self.bending[(0, 0)],
            weight * self.bending[(0, 1)],
            weight * self.bending[(1, 1)],
        ];
        // Rows and columns 1, 2, 4, 5 are Vy, Vz, My, Mz: a unit Vy bends by `arm` about z,
        // a unit Vz by `−arm` about y.
        flexibility[(1, 1)] += weight * self.shear.x + arm * arm * kzz;
        flexibility[(2, 2)] += weight * self.shear.y + arm * arm * kyy;
        flexibility[(4, 4)] += kyy;
        flexibility[(5, 5)] += kzz;
        for (row, column, entry) in [
            (2, 1, -arm * arm * kyz),
            (4, 1, arm * kyz),
            (5, 1, arm * kzz),
            (4, 2, -arm * kyy),
            (5, 2, -arm * kyz),
            (5, 4, kyz),
        ] {
            flexibility[(row, column)] += entry;
            flexibility[(column, row)] += entry;
        }
    }
}

impl Profile {
    /// Flexibility of a member held at its first end: motion of its second end for unit
    /// forces there, local axes. Force interpolation is exact, so the only error is that of
    /// the polynomial through the given flexibilities, and none for a prismatic member.
    ///
    /// Source: Przemieniecki, *Theory of Matrix Structural Analysis* (1968), the unit-load
    /// method (from memory).
    pub(crate) fn flexibility(&self, moduli: &Moduli, length: f64) -> Matrix6<f64> {
        let mut flexibility = Matrix6::zeros();
        // The squared arm adds two to the degree: three points do for a prismatic member, the
        // given ones for four sections or more.
        let points = match self {
            Profile::Prismatic(_) => 3,
            Profile::Varying(sections) => sections.len().max(4),
        };
        for (index, (position, weight)) in lobatto(points).iter().enumerate() {
            // Sections that stand at the points themselves need no polynomial.
            let section = match self {
                Profile::Prismatic(section) => section_flexibility(section, moduli),
                Profile::Varying(sections) if sections.len() == points => {
                    section_flexibility(&sections[index], moduli)
                }
                Profile::Varying(_) => self.flexibility_at(*position, moduli),
            };
            section.add_to(&mut flexibility, length * (1.0 - position), length * weight);
        }
        flexibility
    }

    /// Flexibility of the section at a fraction of the member's length: between the given
    /// points it follows the polynomial through theirs.
    pub(crate) fn flexibility_at(&self, fraction: f64, moduli: &Moduli) -> SectionFlexibility {
        let sections = match self {
            Profile::Prismatic(section) => return section_flexibility(section, moduli),
            Profile::Varying(sections) => sections,
        };
        let mut mixed = SectionFlexibility::default();
        for (section, share) in sections.iter().zip(shares(sections.len(), fraction)) {
            if share != 0.0 {
                mixed.add_share(share, &section_flexibility(section, moduli));
            }
        }
        mixed
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
