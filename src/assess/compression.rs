//! What drawing the fragments together with the device does: nuts of a pin, the head of a screw,
//! screws in compression holes of a plate.

use std::f64::consts::PI;

use schemars::JsonSchema;
use serde::Serialize;

use super::{ConstructAssessment, Part, motion, stress};
use crate::case::Case;
use crate::construct::Construct;
use crate::device::Device;

/// Turns of a nut that are tried.
const TURNS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// Travels of heads that are tried, mm. From memory: a screw in a compression hole drives the bone
/// by about 1 mm.
const TRAVELS: [f64; 4] = [0.0, 0.25, 0.5, 1.0];

/// What tightening a device does to the fracture.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Compression {
    /// What is tightened: `nuts`, `head` or `compression holes`.
    pub by: &'static str,
    /// How far the case tightens it, mm: the state that loads come on.
    pub set_mm: f64,
    /// The same in turns of the nuts; absent for others.
    pub set_turns: Option<f64>,
    /// Mean pressure at which the cortex at the fracture is crushed, MPa.
    pub crushing_pressure_mpa: f64,
    /// Stress at which a bar stretches for good, MPa; absent for plates.
    pub proof_stress_mpa: Option<f64>,
    /// From loose to tight, the case's own among them.
    pub steps: Vec<CompressionStep>,
}

/// The fracture with the device tightened so far, before any load.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct CompressionStep {
    /// Turns of the nuts; absent for others.
    pub turns: Option<f64>,
    /// How far the device is drawn, mm.
    pub travel_mm: f64,
    /// How much that changes the gap along the bone, mm; negative closes it.
    pub gap_change_mm: f64,
    /// How far the faces stand open on the rim at most, mm.
    pub stands_open_mm: f64,
    /// Force with which the broken ends press on each other, N.
    pub face_force_n: f64,
    /// That over the cortex there, MPa.
    pub face_pressure_mpa: f64,
    /// Pull in the device over the fracture, N.
    pub device_tension_n: f64,
    /// That over the core of a bar, MPa; absent for plates.
    pub device_stress_mpa: Option<f64>,
}

/// What is tightened, how far the case does, the travel of one turn and the core of a bar, mm².
struct Tightened {
    by: &'static str,
    set: f64,
    pitch: Option<f64>,
    core_area: Option<f64>,
}

fn tightened(device: &Device) -> Option<Tightened> {
    let area = |diameter: f64| PI / 4.0 * diameter.powi(2);
    match device {
        Device::Pin(pin) => Some(Tightened {
            by: "nuts",
            set: pin.nut_turns * pin.pitch,
            pitch: Some(pin.pitch),
            core_area: Some(area(pin.core_diameter.min(pin.shank_diameter))),
        }),
        Device::CannulatedScrew(screw) => {
            let outside = area(screw.core_diameter.min(screw.shank_diameter));
            Some(Tightened {
                by: "head",
                set: screw.compression,
                pitch: None,
                core_area: Some(outside - area(screw.cannulation_diameter)),
            })
        }
        Device::Plate(_) | Device::Plates(_) => {
            let travels = device.plates().iter().map(|plate| plate.compression);
            Some(Tightened {
                by: "compression holes",
                set: travels.fold(0.0, f64::max),
                pitch: None,
                core_area: None,
            })
        }
        Device::Nail(_) | Device::Wire(_) => None,
    }
}

/// Tightens a device step by step; none for a device that draws nothing together, in the linear
/// model, or where contact does not settle.
pub(super) fn compression(
    construct: &Construct,
    device: &Device,
    case: &Case,
) -> Option<Compression> {
    if construct.draws.is_empty() {
        return None;
    }
    let (clavicle, fracture) = (&case.clavicle, &case.fracture);
    let Tightened {
        by,
        set,
        pitch,
        core_area,
    } = tightened(device)?;
    let mut travels: Vec<f64> = match pitch {
        Some(pitch) => TURNS.map(|turns| turns * pitch).to_vec(),
        None => TRAVELS.to_vec(),
    };
    if travels.iter().all(|travel| (travel - set).abs() > 1e-9) {
        travels.push(set);
        travels.sort_by(f64::total_cmp);
    }
    let states = construct.drawn(&travels).ok()?;
    let cortex = clavicle.section(fracture.position).area / fracture.obliquity().cos();
    let apart: Vec<_> = states
        .iter()
        .map(|state| motion::faces_apart(construct, clavicle, fracture, |node| state.motion(node)))
        .collect();
    let steps = states.iter().zip(&apart).zip(&travels);
    let steps = steps.map(|((state, faces), &travel)| {
        let (force, tension) = (state.face_force(construct), state.device_tension(construct));
        CompressionStep {
            turns: pitch.map(|pitch| travel / pitch),
            travel_mm: travel,
            gap_change_mm: faces.axial - apart[0].axial,
            stands_open_mm: faces.widest(),
            face_force_n: force,
            face_pressure_mpa: force / cortex,
            device_tension_n: tension,
            device_stress_mpa: core_area.map(|area| tension / area),
        }
    });
    let strength_of = |part| {
        let place = construct.places.iter().find(|place| place.part == part);
        stress::strength(place.expect("a construct has places in bone and device"))
    };
    Some(Compression {
        by,
        set_mm: set,
        set_turns: pitch.map(|pitch| set / pitch),
        crushing_pressure_mpa: strength_of(Part::Bone).proof_compression,
        proof_stress_mpa: core_area.map(|_| strength_of(Part::Device).proof_tension),
        steps: steps.collect(),
    })
}

impl Compression {
    /// What gives way at a step, in a word; none if nothing does that was looked at.
    pub fn gives_way(&self, step: &CompressionStep) -> Option<&'static str> {
        let stretched = step.device_stress_mpa.zip(self.proof_stress_mpa);
        if step.face_pressure_mpa > self.crushing_pressure_mpa {
            Some("crushes")
        } else if stretched.is_some_and(|(stress, proof)| stress > proof) {
            Some("stretches")
        } else {
            None
        }
    }

    /// The step that the case sets.
    pub fn set(&self) -> &CompressionStep {
        let steps = self.steps.iter();
        let nearest = steps.min_by(|a, b| {
            let away = |step: &CompressionStep| (step.travel_mm - self.set_mm).abs();
            away(a).total_cmp(&away(b))
        });
        nearest.expect("the case's own step is among them")
    }
}

/// What is lost on a reader who only tightens.
pub(super) fn flags(assessed: &ConstructAssessment) -> Vec<String> {
    let Some(compression) = &assessed.compression else {
        return Vec::new();
    };
    let set = compression.set();
    let mut flags = Vec::new();
    if set.travel_mm > 0.0 && set.face_force_n == 0.0 {
        flags.push(format!(
            "over a gap that stays open, drawing by {:.2} mm only shortens the bone, by {:.1} mm: the \
             fragments do not press on each other",
            set.travel_mm, -set.gap_change_mm
        ));
    }
    let crushing = compression.crushing_pressure_mpa;
    if set.face_pressure_mpa > crushing {
        flags.push(format!(
            "drawn together by {:.2} mm, the broken ends press on each other with {:.0} N, {:.0} MPa on \
             average: over {crushing:.0} MPa the cortex is crushed",
            set.travel_mm, set.face_force_n, set.face_pressure_mpa
        ));
    }
    if let (Some(stress), Some(proof)) = (set.device_stress_mpa, compression.proof_stress_mpa)
        && stress > proof
    {
        flags.push(format!(
            "drawn by {:.2} mm, the device is stretched for good: {stress:.0} MPa over its core against \
             {proof:.0} MPa",
            set.travel_mm
        ));
    }
    if compression.by == "nuts" {
        flags.push(
            "the nuts can draw the fragments together, not apart: lengthening takes traction, and \
             distraction and traction have injured the brachial plexus, mostly for a time (common \
             practice, no source)"
                .to_owned(),
        );
    }
    flags
}
