//! Constructs of a case file: from what was typed to nails, pins and plates.

use super::defaults::{self, Inputs, Sourced};
use super::plates::plate;
use super::tables::{ConstructTable, NailShapeWord, NailTable, PinTable};
use crate::anatomy::Clavicle;
use crate::construct::Fracture;
use crate::device::{Device, Nail, NailShape, Pin};
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
    inputs.check.exactly_one(path, &["nail", "pin", "plate"]);
    match (&table.nail, &table.pin, &table.plate) {
        (Some(table), None, None) => {
            let nail = nail(inputs, &format!("{path}.nail"), table, bone);
            Some(Device::Nail(nail))
        }
        (None, Some(table), None) => {
            let pin = pin(inputs, &format!("{path}.pin"), table, bone);
            Some(Device::Pin(pin))
        }
        (None, None, Some(table)) => {
            plate(inputs, &format!("{path}.plate"), table, bone).map(Device::Plate)
        }
        _ => None,
    }
}

fn nail(inputs: &mut Inputs, path: &str, table: &NailTable, bone: &BrokenBone<'_>) -> Nail {
    let key = |name: &str| format!("{path}.{name}");
    let nail = Nail {
        diameter: table.diameter_mm,
        material: material(inputs, path, &table.material, defaults::NAIL_MATERIAL),
        entry: inputs.number(&key("entry"), table.entry, defaults::NAIL_ENTRY),
        tip: inputs.number(&key("tip"), table.tip, defaults::NAIL_TIP),
        shape: nail_shape(inputs, &key("shape"), table.shape),
    };
    require_medial_of_gap(inputs, &key("entry"), nail.entry, bone);
    require_lateral_of_gap(inputs, &key("tip"), nail.tip, bone);
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
        shank_diameter,
        medial_tip,
        thread_end,
        nut,
        material,
    }
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
