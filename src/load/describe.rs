//! Activities in words.

use super::{
    Activity, Arm, Bench, ENVELOPE_FORCE, ENVELOPE_MOMENT, Loading, Push, Strap, arm_scale,
};
use crate::anatomy::Patient;

impl Activity {
    /// What acts and how the bone is held, in one sentence with numbers.
    pub fn describe(&self, patient: &Patient) -> String {
        match &self.loading {
            Loading::Shoulder { arm, strap, push } => {
                let arm = arm.map(|arm| describe_arm(&arm, patient));
                let strap = strap.map(|strap| describe_strap(&strap));
                let push = push.map(|push| describe_push(&push));
                let all: Vec<String> = arm.into_iter().chain(strap).chain(push).collect();
                all.join("; and at the same time ")
            }
            Loading::Bench(bench) => describe_bench(bench),
        }
    }
}

fn describe_arm(arm: &Arm, patient: &Patient) -> String {
    let scale = arm_scale(arm, patient);
    format!(
        "arm raised to {:.0}°, {} in the hand: {scale:.2} times the published envelope, {:.0} N along \
         the bone and {:.2} N·m at the most bent place of the shaft, bending the acromial end down",
        arm.elevation.to_degrees(),
        match arm.hand_mass > 0.0 {
            true => format!("{} kg", arm.hand_mass),
            false => "nothing".to_owned(),
        },
        scale * ENVELOPE_FORCE,
        scale * ENVELOPE_MOMENT / 1000.0,
    )
}

fn describe_strap(strap: &Strap) -> String {
    format!(
        "strap pressing down with {:.0} N over {:.0} mm around {:.0} % of the length, the bone held \
         by its joints and ligaments",
        strap.force,
        strap.width,
        100.0 * strap.position
    )
}

fn describe_push(push: &Push) -> String {
    let parts = [(push.up, "up"), (push.inward, "from the side")];
    let parts = parts.iter().filter(|(force, _)| *force != 0.0);
    let parts: Vec<String> = parts
        .map(|(force, way)| format!("{force:.0} N {way}"))
        .collect();
    format!(
        "push on the shoulder blade, {}, the bone held by its joints and ligaments",
        parts.join(" and ")
    )
}

fn describe_bench(bench: &Bench) -> String {
    match bench {
        Bench::Axial { force } => format!(
            "bench: {force:.0} N along the line of the joint centres, ball joints at both ends"
        ),
        Bench::Torsion { torque } => format!(
            "bench: {:.2} N·m about the line of the joint centres, sternal end clamped",
            torque / 1000.0
        ),
        Bench::Cantilever { force } => {
            format!("bench: {force:.0} N down at the acromial end, sternal end clamped")
        }
        Bench::ThreePoint { force, span } => format!(
            "bench: {force:.0} N down at the fracture, supports {span:.0} mm apart around it"
        ),
        Bench::FourPoint {
            force,
            span,
            inner_span,
        } => format!(
            "bench: {force:.0} N down in two halves {inner_span:.0} mm apart, supports {span:.0} mm \
             apart, both around the fracture"
        ),
    }
}
