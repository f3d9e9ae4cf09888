//! Whether a device goes in, what holds it, and whether the bone keeps its length.

use super::{Fit, Purchase, Sizes};
use crate::anatomy::Clavicle;
use crate::construct::{
    Fracture, Mechanics, Pattern, PlatePoint, bar, lateral_thread, plate_points,
};
use crate::device::{Contour, Device, Nail, Plate};

/// A bar that fills more of the canal than this goes in tightly. Assumption: leaves about
/// half a millimetre of play in a canal of 5–6 mm.
const TIGHT: f64 = 0.90;

/// Whether the device goes in: the narrowest canal a bar must pass, the curves it must go around.
pub(super) fn fit(device: &Device, clavicle: &Clavicle, sizes: Option<&Sizes>) -> Fit {
    let Some(bar) = bar(device, clavicle, Mechanics::Linear) else {
        let lies: Vec<String> = device.plates().iter().map(|p| lies(p, clavicle)).collect();
        return Fit {
            verdict: "yes",
            reason: lies.join("; "),
            canal_fill: None,
        };
    };
    let (name, diameter, [from, to]) = (bar.name, bar.outer_diameter(), bar.reach());
    let zone = clavicle.canal_zone();
    let (place, canal) = clavicle.narrowest_canal(from.max(zone[0]), to.min(zone[1]));
    let fill = diameter / canal;
    let (by_width, relation) = if fill > 1.0 {
        ("no", "is thicker than")
    } else if fill > TIGHT {
        ("tight", "nearly fills")
    } else {
        ("yes", "passes")
    };
    let around = sizes.and_then(|sizes| sizes.around(name));
    let (verdict, curves) = match (by_width, around) {
        ("no", _) | (_, None) => (by_width, String::new()),
        (_, Some(("yes", words))) => (by_width, words),
        (_, Some((verdict, words))) => (verdict, words),
    };
    Fit {
        verdict,
        reason: format!(
            "a {diameter} mm {name} {relation} the narrowest canal, {canal:.1} mm at {:.0} % of the \
             length{curves}",
            100.0 * place
        ),
        canal_fill: Some(fill),
    }
}

/// How a plate lies on the bone.
fn lies(plate: &Plate, clavicle: &Clavicle) -> String {
    let length = plate.length();
    match plate.contour {
        Contour::Contoured => {
            format!("the plate lies on the bone over {length:.0} mm, contoured to it")
        }
        Contour::Straight => {
            let [gap, strays] = stands_off(plate, clavicle);
            format!(
                "the straight plate bridges {length:.0} mm of bone, standing off by up to {gap:.1} \
                 mm and straying from it sideways by up to {strays:.1} mm; its screws bridge that, \
                 and those that do not lock are taken not to pull it down, which would bend it"
            )
        }
    }
}

/// How far a straight plate stands off the bone and strays from its axis sideways at its holes
/// at most, mm.
pub(super) fn stands_off(plate: &Plate, clavicle: &Clavicle) -> [f64; 2] {
    let offsets = (1..=plate.hole_count).map(|number| plate.hole_offset(number));
    let points = plate_points(plate, clavicle, offsets);
    let most = |distances: &mut dyn Iterator<Item = f64>| distances.fold(0.0, f64::max);
    let sideways = |p: &PlatePoint| {
        let out = p.position - clavicle.point(p.beside);
        (out - p.normal * p.normal.dot(&out)).norm()
    };
    [
        most(&mut points.iter().map(|p| p.gap)),
        most(&mut points.iter().map(sideways)),
    ]
}

/// Distance between the innermost screws on either side of the fracture, mm; of two plates the
/// shorter; none for bars in the canal.
pub(super) fn working_length(
    device: &Device,
    clavicle: &Clavicle,
    fracture: &Fracture,
) -> Option<f64> {
    let lengths = device.plates().iter().filter_map(|plate| {
        let offset = clavicle.arc_length(fracture.position) - clavicle.arc_length(plate.centre);
        plate.working_length(offset)
    });
    lengths.reduce(f64::min)
}

/// How much of the device lies in each fragment.
pub(super) fn purchase(device: &Device, clavicle: &Clavicle, fracture: &Fracture) -> Purchase {
    let [medial, lateral] = fracture
        .faces(clavicle)
        .map(|face| clavicle.arc_length(face));
    let reaches: Vec<(f64, f64, [usize; 2])> = match bar(device, clavicle, Mechanics::Linear) {
        Some(bar) => {
            let [start, end] = bar.reach().map(|end| clavicle.arc_length(end));
            vec![(start, end, [0, 0])]
        }
        None => device
            .plates()
            .iter()
            .map(|plate| {
                let middle = clavicle.arc_length(plate.centre);
                let half = plate.length() / 2.0;
                let counts = screws_by_side(plate, middle, [medial, lateral]);
                (middle - half, middle + half, counts)
            })
            .collect(),
    };
    let screws = |side: usize| reaches.iter().map(|(.., counts)| counts[side]).sum();
    let start = reaches.iter().map(|reach| reach.0);
    let end = reaches.iter().map(|reach| reach.1);
    Purchase {
        medial_mm: (medial - start.fold(medial, f64::min)).max(0.0),
        lateral_mm: (end.fold(lateral, f64::max) - lateral).max(0.0),
        medial_screws: screws(0),
        lateral_screws: screws(1),
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

/// Whether the bone keeps its length, judged by the kind of device, and why.
pub(super) fn slip_by_kind(
    device: &Device,
    clavicle: &Clavicle,
    fracture: &Fracture,
) -> (&'static str, String) {
    match (device, fracture.pattern) {
        (Device::Nail(nail), pattern) => {
            let [out, through] = match nail.enters_medially() {
                true => ["medial", "lateral"],
                false => ["lateral", "medial"],
            };
            let (stable, reason) = smooth_slip("nail", out, nail.end_cap, fracture);
            let cap = match (nail.end_cap, pattern) {
                (false, _) => String::new(),
                (true, Pattern::Transverse | Pattern::Oblique(_)) => {
                    format!("; its end cap keeps it from backing out at its {out} end")
                }
                (true, Pattern::Comminuted) => format!(
                    "; its end cap keeps it from backing out at its {out} end, so the {through} \
                     fragment slides along it and its tip goes on into the {through} bone"
                ),
            };
            (stable, reason + &cap)
        }
        (Device::Wire(_), _) => smooth_slip("wire", "nearer", false, fracture),
        (Device::CannulatedScrew(_), Pattern::Transverse | Pattern::Oblique(_)) => (
            "only with contact",
            "drawing the screw home presses the broken ends together, and they must rest on each \
             other: nothing else keeps the lateral fragment from sliding along its shank"
                .to_owned(),
        ),
        (Device::CannulatedScrew(_), Pattern::Comminuted) => (
            "no",
            format!(
                "nothing carries length over the open gap: the lateral fragment can slide {:.0} mm \
                 along the screw's shank until the fragments meet, and its head then stands proud by as \
                 much",
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
        (Device::Plates(_), _) => (
            "yes",
            "the screws tie both fragments to both plates".to_owned(),
        ),
    }
}

/// What keeps a smooth bar's bone at its length over sloping faces.
fn sloping_reason(bar: &str, obliquity: f64, friction: f64) -> String {
    let held = friction.atan();
    let steep = format!("{:.0}°", obliquity.to_degrees());
    match obliquity > held {
        true => format!(
            "a smooth {bar} does not hold along its axis, and faces that slope by {steep} slide on \
             each other beyond {:.0}°, where friction gives way: only the nail's hold across the \
             bone stops them",
            held.to_degrees()
        ),
        false => format!(
            "a smooth {bar} does not hold along its axis; the fragments must rest on each other, \
             on faces that slope by {steep}"
        ),
    }
}

/// What keeps length with a smooth bar; `out` is the end at which it backs out.
fn smooth_slip(bar: &str, out: &str, capped: bool, fracture: &Fracture) -> (&'static str, String) {
    match fracture.pattern {
        Pattern::Transverse => (
            "only with contact",
            format!(
                "a smooth {bar} does not hold along its axis; the fragments must rest on each other"
            ),
        ),
        Pattern::Oblique(slope) => (
            "only with contact",
            sloping_reason(bar, slope.obliquity, fracture.face_friction),
        ),
        Pattern::Comminuted => {
            let backs_out = match capped {
                true => String::new(),
                false => format!(", and its {out} end backs out by as much"),
            };
            let reason = format!(
                "nothing carries length over the open gap: the fragments can slide {:.0} mm along \
                 the smooth {bar} until they meet{backs_out}",
                fracture.gap
            );
            ("no", reason)
        }
    }
}

/// The device in words.
pub(super) fn describe(device: &Device) -> String {
    match device {
        Device::Nail(nail) => {
            let [medial, lateral] = nail.ends().map(|end| 100.0 * end);
            format!(
                "smooth elastic nail {} mm, {}, from {medial:.0} % to {lateral:.0} % of the length, \
                 put in {}, tip flattened over {:.0} mm{}",
                nail.diameter,
                nail.material.name,
                match nail.enters_medially() {
                    true => "medially",
                    false => "laterally",
                },
                Nail::TIP_LENGTH,
                match nail.end_cap {
                    true => ", with end cap",
                    false => "",
                }
            )
        }
        Device::Wire(wire) => format!(
            "smooth wire {} mm, {}, from {:.0} % to {:.0} % of the length",
            wire.diameter,
            wire.material.name,
            100.0 * wire.medial_end,
            100.0 * wire.lateral_end
        ),
        Device::CannulatedScrew(screw) => format!(
            "cannulated screw {} mm (core {} mm, channel {} mm, shank {} mm, pitch {} mm), {}, \
             thread from {:.0} % to {:.0} %, head at {:.0} % of the length",
            screw.outer_diameter,
            hundredths(screw.core_diameter),
            hundredths(screw.cannulation_diameter),
            hundredths(screw.shank_diameter),
            hundredths(screw.pitch),
            screw.material.name,
            100.0 * screw.medial_tip,
            100.0 * screw.thread_end,
            100.0 * screw.head
        ),
        Device::Pin(pin) => format!(
            "threaded pin {} mm (core {} mm, shank {} mm, pitch {} mm), {}, from {:.0} % to nuts at {:.0} %",
            pin.outer_diameter,
            hundredths(pin.core_diameter),
            hundredths(pin.shank_diameter),
            hundredths(pin.pitch),
            pin.material.name,
            100.0 * pin.medial_tip,
            100.0 * pin.nut
        ),
        Device::Plate(plate) => describe_plate(plate),
        Device::Plates(plates) => plates.each_ref().map(describe_plate).join("; "),
    }
}

/// A length to a hundredth of a millimetre, mm: what is worked out from a ratio has many digits.
fn hundredths(length: f64) -> f64 {
    (100.0 * length).round() / 100.0
}

fn describe_plate(plate: &Plate) -> String {
    let notched = plate
        .notch_width
        .map(|width| format!(" (notched to {width} mm)"));
    format!(
        "{}{} plate {} × {} mm{}, {} holes {} mm apart, {} screws{}, {}",
        plate.surface.word(),
        match plate.contour {
            Contour::Contoured => "",
            Contour::Straight => " straight",
        },
        plate.width,
        plate.thickness,
        notched.unwrap_or_default(),
        plate.hole_count - plate.absent_holes.len(),
        plate.hole_spacing,
        plate.screws.len(),
        match plate.screws.iter().all(|screw| screw.locking) {
            true => " (locking)",
            false => "",
        },
        plate.material.name
    )
}
