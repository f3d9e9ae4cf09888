//! Whether a device goes in, what holds it, and whether the bone keeps its length.

use super::{Fit, Purchase, Slip};
use crate::anatomy::Clavicle;
use crate::construct::{Fracture, Pattern, lateral_thread};
use crate::device::{Device, Plate};

/// A bar that fills more of the canal than this goes in tightly. Assumption: leaves about
/// half a millimetre of play in a canal of 5–6 mm.
const TIGHT: f64 = 0.90;

/// Whether the device goes in: the narrowest canal a bar must pass.
pub(super) fn fit(device: &Device, clavicle: &Clavicle) -> Fit {
    let (name, diameter, from, to) = match device {
        Device::Nail(nail) => ("nail", nail.diameter, nail.entry, nail.tip),
        Device::Pin(pin) => ("pin", pin.outer_diameter, pin.medial_tip, pin.nut),
        Device::Plate(plate) => {
            return Fit {
                verdict: "yes",
                reason: format!(
                    "the plate lies on the bone over {:.0} mm, contoured to it",
                    plate.length()
                ),
                canal_fill: None,
            };
        }
    };
    let zone = clavicle.canal_zone();
    let (place, canal) = clavicle.narrowest_canal(from.max(zone[0]), to.min(zone[1]));
    let fill = diameter / canal;
    let (verdict, relation) = if fill > 1.0 {
        ("no", "is thicker than")
    } else if fill > TIGHT {
        ("tight", "nearly fills")
    } else {
        ("yes", "passes")
    };
    Fit {
        verdict,
        reason: format!(
            "a {diameter} mm {name} {relation} the narrowest canal, {canal:.1} mm at {:.0} % of the \
             length; whether it also goes around the curves is not computed",
            100.0 * place
        ),
        canal_fill: Some(fill),
    }
}

/// How much of the device lies in each fragment.
pub(super) fn purchase(device: &Device, clavicle: &Clavicle, fracture: &Fracture) -> Purchase {
    let [medial, lateral] = fracture
        .faces(clavicle)
        .map(|face| clavicle.arc_length(face));
    let (start, end, [medial_screws, lateral_screws]) = match device {
        Device::Nail(nail) => (
            clavicle.arc_length(nail.entry),
            clavicle.arc_length(nail.tip),
            [0, 0],
        ),
        Device::Pin(pin) => (
            clavicle.arc_length(pin.medial_tip),
            clavicle.arc_length(pin.nut),
            [0, 0],
        ),
        Device::Plate(plate) => {
            let middle = clavicle.arc_length(plate.centre);
            let half = plate.length() / 2.0;
            let counts = screws_by_side(plate, middle, [medial, lateral]);
            (middle - half, middle + half, counts)
        }
    };
    Purchase {
        medial_mm: (medial - start).max(0.0),
        lateral_mm: (end - lateral).max(0.0),
        medial_screws,
        lateral_screws,
    }
}

/// Screws in the medial and in the lateral fragment; one in the gap counts for neither.
fn screws_by_side(plate: &Plate, middle: f64, [medial, lateral]: [f64; 2]) -> [usize; 2] {
    let places = || {
        plate
            .screws
            .iter()
            .map(|screw| middle + plate.hole_offset(screw.hole))
    };
    [
        places().filter(|place| *place <= medial).count(),
        places().filter(|place| *place >= lateral).count(),
    ]
}

/// Whether the bone keeps its length.
pub(super) fn slip(device: &Device, clavicle: &Clavicle, fracture: &Fracture) -> Slip {
    let (length_stable, reason) = match (device, fracture.pattern) {
        (Device::Nail(_), Pattern::Transverse) => (
            "only with contact",
            "a smooth nail does not hold along its axis; the fragments must rest on each other"
                .to_owned(),
        ),
        (Device::Nail(_), Pattern::Oblique(slope)) => (
            "only with contact",
            sloping_reason(slope.obliquity, fracture.face_friction),
        ),
        (Device::Nail(_), Pattern::Comminuted) => (
            "no",
            format!(
                "nothing carries length over the open gap: the fragments can slide {:.0} mm along \
                 the smooth nail until they meet, and its medial end backs out by as much",
                fracture.gap
            ),
        ),
        (Device::Pin(pin), _) => {
            let [_, lateral] = fracture.faces(clavicle);
            let thread = clavicle.arc_length(pin.nut)
                - clavicle.arc_length(lateral_thread(pin, clavicle).max(lateral));
            (
                "by thread",
                format!(
                    "the nuts stop the fragments from parting; only {thread:.0} mm of lateral thread \
                     in bone, whose grip is not computed, stops them from sliding together"
                ),
            )
        }
        (Device::Plate(_), _) => (
            "yes",
            "the screws tie both fragments to the plate".to_owned(),
        ),
    };
    Slip {
        length_stable,
        reason,
    }
}

/// What keeps a smooth nail's bone at its length over sloping faces.
fn sloping_reason(obliquity: f64, friction: f64) -> String {
    let held = friction.atan();
    let steep = format!("{:.0}°", obliquity.to_degrees());
    match obliquity > held {
        true => format!(
            "a smooth nail does not hold along its axis, and faces that slope by {steep} slide on              each other beyond {:.0}°, where friction gives way: only the nail's hold across the              bone stops them",
            held.to_degrees()
        ),
        false => format!(
            "a smooth nail does not hold along its axis; the fragments must rest on each other,              on faces that slope by {steep}"
        ),
    }
}

/// The device in words.
pub(super) fn describe(device: &Device) -> String {
    match device {
        Device::Nail(nail) => format!(
            "smooth elastic nail {} mm, {}, from {:.0} % to {:.0} % of the length",
            nail.diameter,
            nail.material.name,
            100.0 * nail.entry,
            100.0 * nail.tip
        ),
        Device::Pin(pin) => format!(
            "threaded pin {} mm (core {} mm, shank {} mm), {}, from {:.0} % to nuts at {:.0} %",
            pin.outer_diameter,
            pin.core_diameter,
            pin.shank_diameter,
            pin.material.name,
            100.0 * pin.medial_tip,
            100.0 * pin.nut
        ),
        Device::Plate(plate) => format!(
            "{} plate {} × {} mm, {} holes {} mm apart, {} screws{}, {}",
            surface_word(plate),
            plate.width,
            plate.thickness,
            plate.hole_count,
            plate.hole_spacing,
            plate.screws.len(),
            match plate.screws.iter().all(|screw| screw.locking) {
                true => " (locking)",
                false => "",
            },
            plate.material.name
        ),
    }
}

fn surface_word(plate: &Plate) -> &'static str {
    use crate::device::Surface;
    match plate.surface {
        Surface::Superior => "superior",
        Surface::Anteroinferior => "anteroinferior",
        Surface::Anterior => "anterior",
    }
}
