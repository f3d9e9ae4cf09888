//! Patient and bone of a case file: a preset with what was measured put in its place.

use super::defaults::{self, Inputs, Sourced};
use super::tables::{BoneTable, PatientTable, SideWord, StationTable};
use crate::anatomy::{BoneError, BoneInputs, Clavicle, Joints, Patient, Preset, Side, Station};
use crate::input::{entry_path, key_path};

/// The preset the patient names.
pub(super) fn preset(table: &PatientTable) -> Preset {
    Preset::named(&table.preset).expect("the schema admits the names of presets only")
}

/// The patient: the preset with the overrides of the file.
pub(super) fn patient(
    inputs: &mut Inputs,
    table: &PatientTable,
    joints: Joints,
    preset: &Preset,
) -> Patient {
    let from_preset = |value: f64| Sourced::new(value, source(preset));
    let side = match table.side {
        Some(SideWord::Right) => Side::Right,
        Some(SideWord::Left) => Side::Left,
        None => {
            inputs.note("patient.side", defaults::SIDE.value, defaults::SIDE.source);
            Side::Right
        }
    };
    let body_mass = inputs.number(
        "patient.body_mass_kg",
        table.body_mass_kg,
        from_preset(preset.body_mass),
    );
    let stature = inputs.number(
        "patient.stature_m",
        table.stature_m,
        from_preset(preset.stature / 1000.0),
    );
    let arm_weight = match table.body_mass_kg {
        Some(_) => Sourced::new(
            preset.clone().with_body_mass(body_mass).arm_weight,
            format!("preset {}, scaled with the body mass", preset.name),
        ),
        None => from_preset(preset.arm_weight),
    };
    Patient {
        preset: preset.name.clone(),
        side,
        body_mass,
        stature: stature * 1000.0,
        arm_weight: inputs.number("patient.arm_weight_n", table.arm_weight_n, arm_weight),
        strap_width: inputs.number(
            "patient.strap_width_mm",
            table.strap_width_mm,
            from_preset(preset.strap_width),
        ),
        joints,
    }
}

/// The bone; `None` if no bone can be built from the values.
///
/// * `earlier`: a bone that may be the same
pub(super) fn clavicle(
    inputs: &mut Inputs,
    table: &BoneTable,
    preset: &Preset,
    earlier: Option<&Clavicle>,
) -> Option<Clavicle> {
    let typical = &preset.bone;
    let mut number = |key: &str, given: Option<f64>, value: f64| {
        let default = Sourced::new(value, source(preset));
        inputs.number(&format!("bone.{key}"), given, default)
    };
    let mut cortex = typical.cortex.clone();
    cortex.youngs_modulus = 1000.0
        * number(
            "youngs_modulus_gpa",
            table.youngs_modulus_gpa,
            typical.cortex.youngs_modulus / 1000.0,
        );
    cortex.shear_modulus = 1000.0
        * number(
            "shear_modulus_gpa",
            table.shear_modulus_gpa,
            typical.cortex.shear_modulus / 1000.0,
        );
    let mut bone = BoneInputs {
        length: number("length_mm", table.length_mm, typical.length),
        medial_curve_depth: number(
            "medial_curve_depth_mm",
            table.medial_curve_depth_mm,
            typical.medial_curve_depth,
        ),
        lateral_curve_depth: number(
            "lateral_curve_depth_mm",
            table.lateral_curve_depth_mm,
            typical.lateral_curve_depth,
        ),
        superior_bow: number(
            "superior_bow_mm",
            table.superior_bow_mm,
            typical.superior_bow,
        ),
        canal_min_diameter: table.canal_min_diameter_mm,
        canal_zone: [
            number("canal_from", table.canal_from, typical.canal_zone[0]),
            number("canal_to", table.canal_to, typical.canal_zone[1]),
        ],
        trabecular_modulus: number(
            "trabecular_modulus_mpa",
            table.trabecular_modulus_mpa,
            typical.trabecular_modulus,
        ),
        cortex,
        ..typical.clone()
    };
    bone.outer_scale = inputs.number("bone.outer_scale", table.outer_scale, defaults::SCALE);
    bone.osteoporotic = inputs.choice(
        "bone.osteoporotic",
        table.osteoporotic,
        defaults::OSTEOPOROTIC,
    );
    match &table.station {
        Some(stations) => {
            require_spacing(inputs, stations);
            bone.stations = stations.iter().map(station).collect();
        }
        None => {
            let shown = format!("{} sections", bone.stations.len());
            inputs.note("bone.station", shown, source(preset));
        }
    }
    if table.canal_min_diameter_mm.is_none() {
        bone.wall_scale = inputs.number("bone.wall_scale", table.wall_scale, defaults::SCALE);
    } else {
        inputs.check.require(
            "bone.wall_scale",
            table.wall_scale.is_none(),
            "must not stand beside canal_min_diameter_mm, which sets the walls",
        );
    }

    inputs.check.require(
        "bone.canal_from",
        bone.canal_zone[0] < bone.canal_zone[1],
        format!("must be less than canal_to = {}", bone.canal_zone[1]),
    );
    if !inputs.check.is_clean() {
        return None;
    }
    if let Some(same) = earlier.filter(|earlier| *earlier.made_of() == bone) {
        return Some(same.clone());
    }
    match Clavicle::new(&bone) {
        Ok(clavicle) => Some(clavicle),
        Err(error) => {
            report(inputs, &error);
            None
        }
    }
}

/// Least distance between stations, fraction of the length. Assumption: nobody measures closer.
const LEAST_STATION_SPACING: f64 = 0.01;

fn require_spacing(inputs: &mut Inputs, stations: &[StationTable]) {
    for (index, pair) in stations.windows(2).enumerate() {
        inputs.check.require(
            &key_path(&entry_path("bone.station", index + 1), "at"),
            pair[1].at - pair[0].at >= LEAST_STATION_SPACING,
            format!(
                "must lie at least {LEAST_STATION_SPACING} past the station before, at {}",
                pair[0].at
            ),
        );
    }
}

/// Puts the reason why there is no bone at the key it comes from.
fn report(inputs: &mut Inputs, error: &BoneError) {
    let check = &mut inputs.check;
    match error {
        BoneError::Stations => check.problem(
            "bone.station",
            "must begin with at = 0 at the sternal end and finish with at = 1 at the acromial end",
        ),
        BoneError::WallTooThick {
            fraction,
            wall_factor_below,
        } => {
            let key = ["bone.wall_scale", "bone.outer_scale", "bone.station"]
                .into_iter()
                .find(|key| check.is_given(key))
                .unwrap_or("bone");
            check.problem(
                key,
                format!(
                    "leaves no canal at {fraction:.2} of the length: the walls must be less \
                     than {wall_factor_below:.2} of what they are"
                ),
            );
        }
        BoneError::CanalDiameter { above, below, .. } => check.problem(
            "bone.canal_min_diameter_mm",
            format!("must be greater than {above:.1} and less than {below:.1} to fit this bone"),
        ),
    }
}

fn station(table: &StationTable) -> Station {
    Station {
        fraction: table.at,
        outer: [table.outer_ap_mm, table.outer_si_mm],
        wall: table.wall_mm,
    }
}

fn source(preset: &Preset) -> String {
    format!("preset {}", preset.name)
}
