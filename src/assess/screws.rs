//! What each screw of a plate carries, and what would pull it out.

use super::{ScrewAssessment, ScrewLoad};
use crate::anatomy::Clavicle;
use crate::construct::{Construct, Response, ScrewHold};
use crate::device::cortical_shear_strength;

/// Every screw of a construct.
pub(super) fn screws(
    construct: &Construct,
    clavicle: &Clavicle,
    activities: &[Response],
) -> Vec<ScrewAssessment> {
    let shear_strength = cortical_shear_strength(clavicle.cortex().youngs_modulus);
    let assessed = construct.screws.iter().map(|hold| {
        let screw = &hold.screw;
        let pull_out = screw.pull_out(shear_strength, hold.engaged);
        let loads = activities.iter();
        ScrewAssessment {
            name: hold.name.clone(),
            position: hold.at,
            outer_diameter_mm: screw.outer_diameter,
            core_diameter_mm: screw.core_diameter,
            pitch_mm: screw.pitch,
            cortices: hold.members.len(),
            locking: screw.locking,
            cortex_mm: hold.engaged,
            pull_out_n: pull_out,
            activities: loads
                .map(|response| load(construct, hold, pull_out, response))
                .collect(),
        }
    });
    assessed.collect()
}

/// Axial and lateral force are those that pass from the plate to the bone, at the first end of
/// the screw's first member; stress is looked for at both ends of all of them.
fn load(construct: &Construct, hold: &ScrewHold, pull_out: f64, response: &Response) -> ScrewLoad {
    let frame = &construct.frame;
    let forces = |member: usize, at: f64| {
        let locked = response.locked_forces(frame, member, at);
        response.section_forces(frame, member, at) + locked.unwrap_or_default()
    };
    let cuts = hold.members.iter().flat_map(|m| construct.end_cuts(*m));
    let moment = cuts
        .map(|(member, at)| forces(member, at).bending())
        .fold(0.0, f64::max);
    let head = forces(hold.members[0], 0.0);
    let modulus = std::f64::consts::PI * hold.screw.core_diameter.powi(3) / 32.0;
    ScrewLoad {
        axial_force_n: head.axial,
        lateral_force_n: head.shear_y.hypot(head.shear_z),
        bending_stress_mpa: moment / modulus,
        pull_out_margin: (head.axial > 0.0).then(|| pull_out / head.axial),
    }
}
