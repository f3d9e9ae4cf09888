//! Which holes, screws and tips lie over the vessels and nerves behind and under the clavicle.
//!
//! A caution for each, never a clearance: no depth given here says that it is safe to drill so
//! deep.

use schemars::JsonSchema;
use serde::Serialize;

use crate::anatomy::Clavicle;
use crate::construct::plate_normal;
use crate::device::{Device, Plate, Screw, Surface};

/// A screw or a tip over something that must not be hurt.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct StructureAtRisk {
    /// The screw or the tip.
    pub part: String,
    /// Fraction of bone length.
    pub position: f64,
    /// What lies hereabouts.
    pub structures: Vec<&'static str>,
    /// Where a drill or tip goes that passes the far cortex.
    pub direction: &'static str,
    /// Where the far cortex begins and ends in that direction, mm: from the near surface of the
    /// bone for a screw, from its own axis for a tip in the canal.
    pub far_cortex_mm: [f64; 2],
    /// Whether it is a screw, drilled through both cortices.
    pub is_screw: bool,
    /// The same in a sentence.
    pub caution: String,
}

/// Where a structure passes under or behind the clavicle, fractions of bone length.
struct Crossing {
    name: &'static str,
    stretch: [f64; 2],
}

/// How far to either side of its mean place a crossing is looked for, fraction of bone length.
///
/// Assumption: 0.07, about a hole's distance on the plate; the spread between the 26 donors is not
/// known where it was read.
const SPREAD: f64 = 0.07;

/// The crossings.
///
/// The vein crosses at 0.379 and lies within 10 mm of the bone over its medial half, the artery
/// crosses at 0.449, the cords of the plexus at 0.554.
///
/// Source: *Relationship between the subclavian vessels and brachial plexus and the overlying
/// clavicle*, 26 donors (authors not known): 56.2, 67.5 and 84.2 mm of 151.5; a CT study of 103
/// clavicles (authors not known): vein to clavicle less than 10 mm over the medial half.
const CROSSINGS: [Crossing; 3] = [
    Crossing {
        name: "subclavian vein",
        stretch: [0.0, 0.5],
    },
    Crossing {
        name: "subclavian artery",
        stretch: [0.449 - SPREAD, 0.449 + SPREAD],
    },
    Crossing {
        name: "cords of the brachial plexus",
        stretch: [0.554 - SPREAD, 0.554 + SPREAD],
    },
];

/// What every caution ends with.
const NOT_A_CLEARANCE: &str = "a caution, not a clearance to drill";

/// The screws that pass the far cortex and the tips of a device that lie over something.
pub(super) fn structures_at_risk(device: &Device, clavicle: &Clavicle) -> Vec<StructureAtRisk> {
    let tip = |name: &str, at: f64| tip(name, at, clavicle).into_iter().collect();
    match device {
        Device::Nail(nail) => tip("the nail's tip", nail.tip),
        Device::Wire(wire) => tip("the wire's medial end", wire.medial_end),
        Device::Pin(pin) => tip("the pin's medial tip", pin.medial_tip),
        Device::CannulatedScrew(screw) => tip("the screw's medial tip", screw.medial_tip),
        Device::Plate(_) | Device::Plates(_) => device
            .plates()
            .iter()
            .flat_map(|plate| plate.screws.iter().map(move |screw| (screw, plate)))
            .filter(|(screw, _)| screw.bicortical)
            .filter_map(|(screw, plate)| screw_at_risk(screw, plate, clavicle))
            .collect(),
    }
}

/// What lies about a place along the bone.
fn about(position: f64) -> Vec<&'static str> {
    CROSSINGS
        .iter()
        .filter(|crossing| (crossing.stretch[0]..=crossing.stretch[1]).contains(&position))
        .map(|crossing| crossing.name)
        .collect()
}

fn screw_at_risk(screw: &Screw, plate: &Plate, clavicle: &Clavicle) -> Option<StructureAtRisk> {
    let along = clavicle.arc_length(plate.centre) + plate.hole_offset(screw.hole);
    let position = clavicle.fraction_at_arc_length(along);
    let structures = about(position);
    if structures.is_empty() {
        return None;
    }
    let out = plate_normal(plate.surface, clavicle, position);
    let near = clavicle.surface_distance(position, out);
    let far_cortex_mm = [
        near + clavicle.canal_half_width(position, -out),
        near + clavicle.surface_distance(position, -out),
    ];
    let direction = match plate.surface {
        Surface::Superior => "downwards",
        Surface::Anterior => "backwards",
        Surface::Anteroinferior => "backwards and upwards",
    };
    let part = format!("screw {}", screw.hole);
    let caution = format!(
        "{part}, drilled {direction} at {:.0} % of the length: {}; the far cortex begins {:.1} mm \
         and ends {:.1} mm from the near surface of the bone: {NOT_A_CLEARANCE}",
        100.0 * position,
        pass(&structures),
        far_cortex_mm[0],
        far_cortex_mm[1]
    );
    Some(StructureAtRisk {
        part,
        position,
        structures,
        direction,
        far_cortex_mm,
        is_screw: true,
        caution,
    })
}

fn tip(part: &str, position: f64, clavicle: &Clavicle) -> Option<StructureAtRisk> {
    let structures = about(position);
    if structures.is_empty() {
        return None;
    }
    let [_, _, superior] = clavicle.axes(position);
    let far_cortex_mm = [
        clavicle.canal_half_width(position, -superior),
        clavicle.surface_distance(position, -superior),
    ];
    let caution = format!(
        "{part} lies in the canal at {:.0} % of the length: {}; under its axis the cortex begins at \
         {:.1} mm and ends at {:.1} mm: {NOT_A_CLEARANCE}",
        100.0 * position,
        pass(&structures),
        far_cortex_mm[0],
        far_cortex_mm[1]
    );
    Some(StructureAtRisk {
        part: part.to_owned(),
        position,
        structures,
        direction: "downwards",
        far_cortex_mm,
        is_screw: false,
        caution,
    })
}

fn pass(structures: &[&str]) -> String {
    let verb = match structures {
        [one] if !one.starts_with("cords") => "passes",
        _ => "pass",
    };
    format!("the {} {verb} hereabouts", listed(structures))
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed<T: AsRef<str>>(names: &[T]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
    match names.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    }
}

/// All cautions of a construct in one sentence; none when nothing lies over anything.
pub(super) fn summary(at_risk: &[StructureAtRisk]) -> Option<String> {
    let first = at_risk.first()?;
    let over: Vec<String> = CROSSINGS
        .iter()
        .filter_map(|crossing| {
            let numbers: Vec<&str> = at_risk
                .iter()
                .filter(|risk| risk.structures.contains(&crossing.name))
                .filter_map(|risk| risk.part.rsplit(' ').next())
                .collect();
            match (numbers.len(), first.is_screw) {
                (0, _) => None,
                (_, false) => Some(format!("the {}", crossing.name)),
                (1, true) => Some(format!("the {} (screw {})", crossing.name, numbers[0])),
                (_, true) => Some(format!(
                    "the {} (screws {})",
                    crossing.name,
                    listed(&numbers)
                )),
            }
        })
        .collect();
    let leaves = match first.is_screw {
        true => format!(
            "drilled {}, its screws leave the bone where",
            first.direction
        ),
        false => format!("{} lies in the canal where", first.part),
    };
    Some(format!(
        "{leaves} {} {} by: {NOT_A_CLEARANCE}, whatever depth is computed",
        listed(&over),
        if over.len() == 1 && !over[0].starts_with("the cords") {
            "passes"
        } else {
            "pass"
        }
    ))
}
