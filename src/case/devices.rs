//! Constructs of a case file: from what was typed to nails, pins and plates.

use super::defaults::{self, Inputs, Sourced};
use super::plates::{dimension, plate, plates};
use super::tables::{
    CannulatedScrewTable, ConstructTable, EntrySideWord, NailShapeWord, NailTable, PinTable,
    WireTable,
};
use crate::anatomy::Clavicle;
use crate::construct::Fracture;
use crate::device::catalogue::CannulatedSize;
use crate::device::{CannulatedScrew, Device, Nail, NailShape, Pin, Wire};
use crate::material::Material;

/// The broken bone that a device has to fit.
pub(super) struct BrokenBone<'a> {
    pub clavicle: &'a Clavicle,
    pub fracture: &'a Fracture,
}

impl BrokenBone<'_> {
    /// Where the gap begins and ends along the centre line, mm from the sternal end.
    pub fn gap(&self) -> [f64; 2] {
        let faces = self.fracture.faces(self.clavicle);
        faces.map(|face| self.clavicle.arc_length(face))
    }
}

/// The device of the construct at `path`; `None` if a problem leaves it undefined.
pub(super) fn device(
    inputs: &mut Inputs,
    path: &str,
    table: &ConstructTable,
    bone: &BrokenBone<'_>,
) -> Option<Device> {
    let choices = ["nail", "pin", "wire", "cannulated-screw", "plate", "plates"];
    inputs.check.exactly_one(path, &choices);
    let key = |choice: &str| format!("{path}.{choice}");
    if let Some(table) = &table.nail {
        Some(Device::Nail(nail(inputs, &key("nail"), table, bone)))
    } else if let Some(table) = &table.pin {
        Some(Device::Pin(pin(inputs, &key("pin"), table, bone)))
    } else if let Some(table) = &table.wire {
        Some(Device::Wire(wire(inputs, &key("wire"), table, bone)))
    } else if let Some(table) = &table.cannulated_screw {
        let screw = cannulated_screw(inputs, &key("cannulated-screw"), table, bone);
        screw.map(Device::CannulatedScrew)
    } else if let Some(table) = &table.plate {
        plate(inputs, &key("plate"), table, bone).map(Device::Plate)
    } else if let Some(tables) = &table.plates {
        let pair = plates(inputs, &key("plates"), tables, bone);
        pair.map(|pair| Device::Plates(Box::new(pair)))
    } else {
        None
    }
}

fn nail(inputs: &mut Inputs, path: &str, table: &NailTable, bone: &BrokenBone<'_>) -> Nail {
    let key = |name: &str| format!("{path}.{name}");
    let from_medial = table.entry_side != Some(EntrySideWord::Lateral);
    let (entry, tip) = match from_medial {
        true => (defaults::NAIL_ENTRY, defaults::NAIL_TIP),
        false => (defaults::LATERAL_CORTEX, defaults::NAIL_LATERAL_TIP),
    };
    if table.entry_side.is_none() {
        let source = "common practice, no source: put in beside the sternoclavicular joint";
        inputs.note(&key("entry_side"), "medial", source);
    }
    let nail = Nail {
        diameter: table.diameter_mm,
        material: material(inputs, path, &table.material, defaults::NAIL_MATERIAL),
        entry: inputs.number(&key("entry"), table.entry, entry),
        tip: inputs.number(&key("tip"), table.tip, tip),
        shape: nail_shape(inputs, &key("shape"), table.shape),
        end_cap: inputs.choice(&key("end_cap"), table.end_cap, defaults::NAIL_END_CAP),
    };
    let [medial, lateral] = match from_medial {
        true => [("entry", nail.entry), ("tip", nail.tip)],
        false => [("tip", nail.tip), ("entry", nail.entry)],
    };
    require_medial_of_gap(inputs, &key(medial.0), medial.1, bone);
    require_lateral_of_gap(inputs, &key(lateral.0), lateral.1, bone);
    nail
}

fn nail_shape(inputs: &mut Inputs, key: &str, given: Option<NailShapeWord>) -> NailShape {
    match given {
        Some(NailShapeWord::Straight) => NailShape::Straight,
        Some(NailShapeWord::Prebent) => NailShape::Prebent,
        None => {
            inputs.note(
                key,
                "straight",
                "common practice, no source: nails come straight",
            );
            NailShape::Straight
        }
    }
}

fn pin(inputs: &mut Inputs, path: &str, table: &PinTable, bone: &BrokenBone<'_>) -> Pin {
    let key = |name: &str| format!("{path}.{name}");
    let outer_diameter = table.outer_diameter_mm;
    let core = Sourced::new(
        defaults::PIN_CORE_TO_OUTER.value * outer_diameter,
        defaults::PIN_CORE_TO_OUTER.source,
    );
    let core_diameter = inputs.number(&key("core_diameter_mm"), table.core_diameter_mm, core);
    let pitch = Sourced::new(
        defaults::PIN_PITCH_TO_OUTER.value * outer_diameter,
        defaults::PIN_PITCH_TO_OUTER.source,
    );
    let pitch = inputs.number(&key("pitch_mm"), table.pitch_mm, pitch);
    let shank = Sourced::new(core_diameter, defaults::PIN_SHANK_SOURCE);
    let shank_diameter = inputs.number(&key("shank_diameter_mm"), table.shank_diameter_mm, shank);
    let material = material(inputs, path, &table.material, defaults::PIN_MATERIAL);

    let clavicle = bone.clavicle;
    let run_out = bone.gap()[0] - defaults::PIN_THREAD_CLEARANCE_MM.value;
    let thread_end = Sourced::new(
        clavicle.fraction_at_arc_length(run_out.max(0.0)),
        defaults::PIN_THREAD_CLEARANCE_MM.source,
    );
    let thread_end = inputs.number(&key("thread_end"), table.thread_end, thread_end);
    let tip = clavicle.arc_length(thread_end) - defaults::PIN_THREAD_LENGTH_MM.value;
    let medial_tip = Sourced::new(
        clavicle
            .fraction_at_arc_length(tip.max(0.0))
            .max(clavicle.canal_zone()[0]),
        defaults::PIN_THREAD_LENGTH_MM.source,
    );
    let medial_tip = inputs.number(&key("medial_tip"), table.medial_tip, medial_tip);
    let nut = inputs.number(&key("nut"), table.nut, defaults::PIN_NUT);
    let nut_turns = inputs.number(&key("nut_turns"), table.nut_turns, defaults::NUT_TURNS);
    let prominence = inputs.number(
        &key("prominence_mm"),
        table.prominence_mm,
        defaults::PIN_PROMINENCE_MM,
    );

    inputs.check.require(
        &key("core_diameter_mm"),
        core_diameter < outer_diameter,
        format!("must be less than outer_diameter_mm = {outer_diameter}"),
    );
    inputs.check.require(
        &key("medial_tip"),
        medial_tip < thread_end,
        format!("must be less than thread_end = {thread_end:.3}"),
    );
    require_medial_of_gap(inputs, &key("thread_end"), thread_end, bone);
    require_lateral_of_gap(inputs, &key("nut"), nut, bone);
    Pin {
        outer_diameter,
        core_diameter,
        pitch,
        shank_diameter,
        medial_tip,
        thread_end,
        nut,
        prominence,
        nut_turns,
        material,
    }
}

fn wire(inputs: &mut Inputs, path: &str, table: &WireTable, bone: &BrokenBone<'_>) -> Wire {
    let key = |name: &str| format!("{path}.{name}");
    let medial_end = past_gap(bone);
    let wire = Wire {
        diameter: table.diameter_mm,
        medial_end: inputs.number(&key("medial_end"), table.medial_end, medial_end),
        lateral_end: inputs.number(
            &key("lateral_end"),
            table.lateral_end,
            defaults::LATERAL_CORTEX,
        ),
        material: material(inputs, path, &table.material, defaults::WIRE_MATERIAL),
    };
    require_medial_of_gap(inputs, &key("medial_end"), wire.medial_end, bone);
    require_lateral_of_gap(inputs, &key("lateral_end"), wire.lateral_end, bone);
    wire
}

/// Where a bar put in from the lateral side ends unless its case says so: within the canal.
fn past_gap(bone: &BrokenBone<'_>) -> Sourced<f64> {
    let end = bone.gap()[0] - defaults::PAST_GAP_MM.value;
    let end = bone.clavicle.fraction_at_arc_length(end.max(0.0));
    Sourced::new(
        end.max(bone.clavicle.canal_zone()[0]),
        defaults::PAST_GAP_MM.source,
    )
}

/// The cannulated screw at `path`; `None` if it lacks a dimension.
fn cannulated_screw(
    inputs: &mut Inputs,
    path: &str,
    table: &CannulatedScrewTable,
    bone: &BrokenBone<'_>,
) -> Option<CannulatedScrew> {
    let key = |name: &str| format!("{path}.{name}");
    let size = table.size.as_deref().map(|name| {
        CannulatedSize::named(name).expect("the schema admits the names of the catalogue only")
    });
    let mut measure = |name: &str, given, from_size: fn(&CannulatedSize) -> f64| {
        let usual = size.map(|size| (from_size(&size), size.thread.source));
        dimension(inputs, &key(name), given, usual)
    };
    let outer_diameter = measure("outer_diameter_mm", table.outer_diameter_mm, |size| {
        size.thread.outer_diameter
    });
    let core_diameter = measure("core_diameter_mm", table.core_diameter_mm, |size| {
        size.thread.core_diameter
    });
    let cannulation_diameter = measure(
        "cannulation_diameter_mm",
        table.cannulation_diameter_mm,
        |size| size.cannulation_diameter,
    );
    let pitch = measure("pitch_mm", table.pitch_mm, |size| size.thread.pitch);
    let (outer_diameter, core_diameter) = (outer_diameter?, core_diameter?);
    let shank = Sourced::new(core_diameter, defaults::CHANNEL_SHANK_SOURCE);
    let shank_diameter = inputs.number(&key("shank_diameter_mm"), table.shank_diameter_mm, shank);
    let medial_tip = inputs.number(&key("medial_tip"), table.medial_tip, past_gap(bone));
    let clavicle = bone.clavicle;
    let run_out = clavicle.arc_length(medial_tip) + defaults::CANNULATED_THREAD_MM.value;
    let thread_end = Sourced::new(
        clavicle.fraction_at_arc_length(run_out),
        defaults::CANNULATED_THREAD_MM.source,
    );
    let screw = CannulatedScrew {
        outer_diameter,
        core_diameter,
        shank_diameter,
        cannulation_diameter: cannulation_diameter?,
        pitch: pitch?,
        medial_tip,
        thread_end: inputs.number(&key("thread_end"), table.thread_end, thread_end),
        head: inputs.number(&key("head"), table.head, defaults::LATERAL_CORTEX),
        compression: inputs.number(
            &key("compression_mm"),
            table.compression_mm,
            defaults::COMPRESSION_MM,
        ),
        material: material(inputs, path, &table.material, defaults::CANNULATED_MATERIAL),
    };
    let channel = screw.cannulation_diameter;
    for (name, less, than_name, than) in [
        (
            "core_diameter_mm",
            core_diameter,
            "outer_diameter_mm",
            outer_diameter,
        ),
        (
            "cannulation_diameter_mm",
            channel,
            "core_diameter_mm",
            core_diameter,
        ),
        (
            "cannulation_diameter_mm",
            channel,
            "shank_diameter_mm",
            shank_diameter,
        ),
        (
            "medial_tip",
            screw.medial_tip,
            "thread_end",
            screw.thread_end,
        ),
    ] {
        let rule = format!("must be less than {than_name} = {}", shown(than));
        inputs.check.require(&key(name), less < than, rule);
    }
    require_medial_of_gap(inputs, &key("thread_end"), screw.thread_end, bone);
    require_lateral_of_gap(inputs, &key("head"), screw.head, bone);
    Some(screw)
}

/// A number as a message shows it, to a thousandth.
fn shown(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}

fn require_medial_of_gap(inputs: &mut Inputs, key: &str, fraction: f64, bone: &BrokenBone<'_>) {
    let [begin, _] = bone.fracture.faces(bone.clavicle);
    inputs.check.require(
        key,
        fraction < begin,
        format!("must lie before the fracture gap, which begins at {begin:.3}"),
    );
}

fn require_lateral_of_gap(inputs: &mut Inputs, key: &str, fraction: f64, bone: &BrokenBone<'_>) {
    let [_, end] = bone.fracture.faces(bone.clavicle);
    inputs.check.require(
        key,
        fraction > end,
        format!("must lie past the fracture gap, which ends at {end:.3}"),
    );
}

/// The material a device names, or its default.
pub(super) fn material(
    inputs: &mut Inputs,
    device: &str,
    given: &Option<String>,
    default: Sourced<&str>,
) -> Material {
    let name = inputs.choice(&format!("{device}.material"), given.as_deref(), default);
    Material::named(name).expect("the schema admits named materials only")
}
