//! Stress and margins at critical sections.

use super::SectionStress;
use crate::construct::{Construct, CriticalPlace, Response};
use crate::device::{EdgeNotches, Hole, Notch, THREAD_KF};
use crate::fatigue::{Cycle, Method};
use crate::frame::SectionForces;
use crate::material::Strength;
use crate::section::Section;

/// Stress at one cut, MPa.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct CutStress {
    /// Largest equivalent nominal stress.
    pub nominal: f64,
    /// The share of what the material bears that is used, 1 at first yield.
    pub used: f64,
    /// Largest equivalent stress with each part raised by its fatigue notch factor.
    pub notched: f64,
    /// Largest equivalent nominal stress left by putting the device in.
    pub locked: f64,
}

impl CutStress {
    /// The load coming and going on top of what is locked in, as far as the metal can keep it.
    pub fn cycle(&self, strength: &Strength) -> Cycle {
        Cycle {
            standing: self.locked.min(strength.proof_tension),
            ..Cycle::from_zero_to(self.notched)
        }
    }
}

/// Stress and margins of a place in one activity.
///
/// The static margin is proof stress over nominal stress: a metal section yields through
/// before a local peak matters. Stress locked in by bending a device into place does not
/// count there: a little yielding relieves it. The fatigue margins use the notched stress,
/// cycling between nothing and the activity's load, on top of what is locked in, as far as
/// the metal can keep it.
pub(super) fn at_place(
    place: &CriticalPlace,
    construct: &Construct,
    response: &Response,
    method: &Method,
) -> SectionStress {
    let strength = strength(place);
    let worst = worst_cut(place, construct, response);
    let cycle = worst.cycle(strength);
    let [fatigue_margin_1e5, fatigue_margin_1e6, fatigue_margin_1e7] =
        method.margins(&cycle, &place.material, strength, [1e5, 1e6, 1e7]);
    SectionStress {
        nominal_stress_mpa: worst.nominal,
        locked_in_stress_mpa: worst.locked,
        static_margin: (worst.used > 0.0).then(|| 1.0 / worst.used),
        fatigue_margin_1e5,
        fatigue_margin_1e6,
        fatigue_margin_1e7,
    }
}

/// The worst of each stress over the cuts of a place.
pub(super) fn worst_cut(
    place: &CriticalPlace,
    construct: &Construct,
    response: &Response,
) -> CutStress {
    let strength = strength(place);
    place
        .cuts
        .iter()
        .map(|&(member, at)| {
            let forces = response.section_forces(&construct.frame, member, at);
            let section = section_at(construct, member, at);
            let stress =
                |forces: &SectionForces| cut_stress(&place.notch, &section, forces, strength);
            let locked = response.locked_forces(&construct.frame, member, at);
            CutStress {
                locked: locked.map_or(0.0, |locked| stress(&locked).nominal),
                ..stress(&forces)
            }
        })
        .fold(CutStress::default(), |worst, cut| CutStress {
            nominal: worst.nominal.max(cut.nominal),
            used: worst.used.max(cut.used),
            notched: worst.notched.max(cut.notched),
            locked: worst.locked.max(cut.locked),
        })
}

/// Largest equivalent nominal stress of a smooth member at a distance from its first end, MPa.
pub(super) fn smooth_stress(
    construct: &Construct,
    response: &Response,
    member: usize,
    at: f64,
) -> f64 {
    let (forces, section) = cut(construct, response, member, at);
    let [tension, compression] = extremes(&section, &forces);
    equivalent(
        tension.max(compression),
        forces.torque * section.torsion_shear,
    )
}

/// What goes through a member at a distance from its first end, and its section there.
pub(super) fn cut(
    construct: &Construct,
    response: &Response,
    member: usize,
    at: f64,
) -> (SectionForces, Section) {
    let forces = response.section_forces(&construct.frame, member, at);
    (forces, section_at(construct, member, at))
}

/// The strength of the material at a place.
pub(super) fn strength(place: &CriticalPlace) -> &Strength {
    let strength = place.material.strength.as_ref();
    strength.expect("materials of bone and devices come from the catalogue, with their strength")
}

fn section_at(construct: &Construct, member: usize, at: f64) -> Section {
    let length = construct.member_length(member);
    construct.frame.members[member]
        .profile
        .section_at(at / length)
}

/// What a cut through a section bears.
pub(super) fn cut_stress(
    notch: &Notch,
    section: &Section,
    forces: &SectionForces,
    strength: &Strength,
) -> CutStress {
    let shear = forces.torque * section.torsion_shear;
    match notch {
        Notch::Hole(hole) => hole_stress(hole, forces, strength),
        Notch::Edges(notches) => edge_notch_stress(notches, forces, strength),
        Notch::Smooth | Notch::Thread => {
            let [tension, compression] = extremes(section, forces);
            let pulled = equivalent(tension, shear);
            let pressed = equivalent(compression, shear);
            let nominal = if tension > compression {
                pulled
            } else {
                pressed
            };
            let used = (pulled / strength.proof_tension).max(pressed / strength.proof_compression);
            let kf = match notch {
                Notch::Thread => THREAD_KF,
                _ => 1.0,
            };
            CutStress {
                nominal,
                used,
                notched: kf * nominal,
                locked: 0.0,
            }
        }
    }
}

/// Nominal stress on the net section of a plate at a hole, and the same with its notch factors.
///
/// ```text
/// N/((w − d) t)    flat: 6 My/((w − d) t²)    on edge: 6 Mz w/((w³ − d³) t), at the hole d for w
/// ```
///
/// The parts are added as if they met at one point. Torsion as a strip of the net width,
/// `3 T / ((w − d) t²)`.
fn hole_stress(hole: &Hole, forces: &SectionForces, strength: &Strength) -> CutStress {
    let (w, t, d) = (hole.width, hole.thickness, hole.diameter);
    let axial = forces.axial.abs() / ((w - d) * t);
    let flat = 6.0 * forces.moment_y.abs() / ((w - d) * t * t);
    let per_width = 6.0 * forces.moment_z.abs() / ((w.powi(3) - d.powi(3)) * t);
    let shear = 3.0 * forces.torque / ((w - d) * t * t);
    let nominal = equivalent(axial + flat + per_width * w, shear);
    let kf = |kt| hole.kf(kt, strength);
    let at_hole = kf(hole.tension_kt()) * axial
        + kf(hole.flat_bending_kt()) * flat
        + kf(Hole::EDGE_BENDING_KT) * per_width * d;
    CutStress {
        nominal,
        used: nominal / strength.proof_tension,
        notched: equivalent(at_hole, shear).max(nominal),
        locked: 0.0,
    }
}

/// The same between two notches in the edges, `b` apart; all parts meet at the notch's root.
///
/// ```text
/// N/(b t)    flat: 6 My/(b t²)    on edge: 6 Mz/(b² t)    torsion: 3 T/(b t²)
/// ```
fn edge_notch_stress(
    notches: &EdgeNotches,
    forces: &SectionForces,
    strength: &Strength,
) -> CutStress {
    let (b, t) = (notches.net_width, notches.thickness);
    let axial = forces.axial.abs() / (b * t);
    let flat = 6.0 * forces.moment_y.abs() / (b * t * t);
    let edge = 6.0 * forces.moment_z.abs() / (b * b * t);
    let shear = 3.0 * forces.torque / (b * t * t);
    let nominal = equivalent(axial + flat + edge, shear);
    let kf = |kt| notches.kf(kt, strength);
    let at_root = kf(notches.tension_kt()) * axial
        + kf(EdgeNotches::FLAT_BENDING_KT) * flat
        + kf(notches.edge_bending_kt()) * edge;
    CutStress {
        nominal,
        used: nominal / strength.proof_tension,
        notched: equivalent(at_root, shear).max(nominal),
        locked: 0.0,
    }
}

/// Largest tension and largest compression, both positive, MPa.
pub(super) fn extremes(section: &Section, forces: &SectionForces) -> [f64; 2] {
    let peaks = section.peak_axial_stress(forces.axial, forces.moment_y, forces.moment_z);
    let (high, low) = peaks.expect("sections of bone and devices have outlines");
    [high.max(0.0), (-low).max(0.0)]
}

/// Von Mises stress of an axial and a shear stress: `√(σ² + 3 τ²)`.
pub(super) fn equivalent(axial: f64, shear: f64) -> f64 {
    axial.hypot(3.0_f64.sqrt() * shear)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::{BoneAge, Material};

    /// Bone bears more in compression than in tension: pressed it has the one limit, pulled or
    /// bent the other.
    #[test]
    fn each_side_of_a_section_has_its_own_limit() {
        let bone = Material::cortical_bone(BoneAge::Adult);
        let strength = bone.strength.expect("bone has a strength");
        let section = Section::circle(10.0, 0.3);
        let used = |axial, moment_y| {
            let forces = SectionForces {
                axial,
                moment_y,
                ..SectionForces::default()
            };
            cut_stress(&Notch::Smooth, &section, &forces, &strength).used
        };
        let pressed = 1000.0 / section.area;
        approx::assert_relative_eq!(used(-1000.0, 0.0), pressed / strength.proof_compression);
        approx::assert_relative_eq!(used(1000.0, 0.0), pressed / strength.proof_tension);
        let bent = 1000.0 * 5.0 / section.second_moment_y;
        approx::assert_relative_eq!(used(0.0, 1000.0), bent / strength.proof_tension);
        assert!(strength.proof_compression > 1.2 * strength.proof_tension);
    }
}
