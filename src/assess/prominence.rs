//! How far hardware stands out of the bone.

use schemars::JsonSchema;
use serde::Serialize;

use crate::anatomy::Clavicle;
use crate::device::{Device, Plate, Screw};

/// The parts of a device that stand out of the bone.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Prominence {
    /// Height of the proudest part over the bone, mm.
    pub highest_mm: f64,
    /// Every part, from the sternal end.
    pub parts: Vec<ProudPart>,
}

/// A part that stands out of the bone.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ProudPart {
    /// Which of the device's plates it belongs to; none for a bar in the canal.
    #[serde(skip)]
    pub plate: Option<usize>,
    /// What it is.
    pub name: String,
    /// Fractions of bone length between which it stands out.
    pub stretch: [f64; 2],
    /// Height over the bone, mm.
    pub height_mm: f64,
    /// Breadth across the bone, mm.
    pub breadth_mm: f64,
}

/// Height of the head of a screw over its thread diameter.
///
/// From memory: heads of 3.5 mm cortical screws are about 2.6 mm high.
const HEAD_HEIGHT: f64 = 0.75;

/// Diameter of the head of a screw over its thread diameter.
///
/// From memory: about 6 mm for 3.5 mm screws.
const HEAD_BREADTH: f64 = 1.7;

/// How deep the head of a screw that does not lock sinks into the plate, share of the plate's
/// thickness. Assumption: the slope of the hole takes the upper half and a little more.
const HEAD_SINK: f64 = 0.6;

/// Length of a nail that is left outside the bone at its entry, mm.
///
/// Assumption: cut 5 mm off the bone so that it can be found again. Taken as standing upright;
/// an end bent along the bone lies flatter.
const NAIL_END: f64 = 5.0;

/// Breadth of a nut over the diameter of its thread.
///
/// From memory: as machine nuts; no dimensions of pin nuts were found.
const NUT_BREADTH: f64 = 1.75;

/// What of a device stands out of the bone.
pub(super) fn prominence(device: &Device, clavicle: &Clavicle) -> Prominence {
    let spot = |name: &str, at: f64, height_mm: f64, breadth_mm: f64| {
        let half = breadth_mm / 2.0 / clavicle.length();
        ProudPart {
            plate: None,
            name: name.to_owned(),
            stretch: [at - half, at + half],
            height_mm,
            breadth_mm,
        }
    };
    let parts = match device {
        Device::Nail(nail) => {
            let side = match nail.enters_medially() {
                true => "medial",
                false => "lateral",
            };
            let name = format!("the nail's {side} end");
            vec![spot(&name, nail.entry, NAIL_END, nail.diameter)]
        }
        Device::Wire(wire) => vec![spot(
            "the wire's lateral end",
            wire.lateral_end,
            NAIL_END,
            wire.diameter,
        )],
        Device::Pin(pin) => vec![spot(
            "the pin's nuts",
            pin.nut,
            pin.prominence,
            NUT_BREADTH * pin.outer_diameter,
        )],
        Device::CannulatedScrew(screw) => vec![spot(
            "the screw's head",
            screw.head,
            HEAD_HEIGHT * screw.outer_diameter,
            HEAD_BREADTH * screw.outer_diameter,
        )],
        Device::Plate(plate) => plate_parts(plate, 0, "", clavicle),
        Device::Plates(plates) => (plates.iter().enumerate())
            .flat_map(|(index, plate)| {
                let side = format!("{} ", plate.surface.word());
                plate_parts(plate, index, &side, clavicle)
            })
            .collect(),
    };
    Prominence {
        highest_mm: parts.iter().map(|part| part.height_mm).fold(0.0, f64::max),
        parts,
    }
}

/// The plate itself, and the heads of its screws where they stand over it.
///
/// * `side`: which of two plates, with a blank behind it
fn plate_parts(plate: &Plate, index: usize, side: &str, clavicle: &Clavicle) -> Vec<ProudPart> {
    let middle = clavicle.arc_length(plate.centre);
    let at = |offset: f64| clavicle.fraction_at_arc_length(middle + offset);
    let height = plate.standoff + plate.thickness;
    let strip = ProudPart {
        plate: Some(index),
        name: format!("the {side}plate"),
        stretch: [-0.5, 0.5].map(|side| at(side * plate.length())),
        height_mm: height,
        breadth_mm: plate.width,
    };
    let heads = plate.screws.iter().filter_map(|screw| {
        let over = head_over_plate(screw, plate);
        let breadth_mm = HEAD_BREADTH * screw.outer_diameter;
        let middle = plate.hole_offset(screw.hole);
        (over > 0.0).then(|| ProudPart {
            plate: Some(index),
            name: format!("the head of {side}screw {}", screw.hole),
            stretch: [-0.5, 0.5].map(|side| at(middle + side * breadth_mm)),
            height_mm: height + over,
            breadth_mm,
        })
    });
    std::iter::once(strip).chain(heads).collect()
}

/// How far the head of a screw stands over the plate, mm: a head that locks lies flush
/// (assumption), any other sinks in as far as [`HEAD_SINK`] lets it.
fn head_over_plate(screw: &Screw, plate: &Plate) -> f64 {
    match screw.locking {
        true => 0.0,
        false => (HEAD_HEIGHT * screw.outer_diameter - HEAD_SINK * plate.thickness).max(0.0),
    }
}
