//! Population-typical patients and bones, kept in `presets.toml` with the source of each number.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{BoneInputs, Joints, Patient, Side, Station};
use crate::material::{BoneAge, Material};

/// The names [`Preset::named`] knows.
pub const PRESET_NAMES: [&str; 4] = [
    "adult-male-large",
    "adult-male-average",
    "adult-female",
    "child-12",
];

static PRESETS: LazyLock<Vec<Preset>> = LazyLock::new(|| {
    let file: PresetFile = toml::from_str(include_str!("presets.toml"))
        .expect("the presets are part of the program and read by its tests");
    file.preset.into_iter().map(Preset::from).collect()
});

/// A typical patient and clavicle, to be overridden field by field.
#[derive(Debug, Clone, PartialEq)]
pub struct Preset {
    /// Its name.
    pub name: String,
    /// Body mass, kg.
    pub body_mass: f64,
    /// Standing height, mm.
    pub stature: f64,
    /// Weight of one arm, N.
    pub arm_weight: f64,
    /// Width of a shoulder strap, mm.
    pub strap_width: f64,
    /// The bone.
    pub bone: BoneInputs,
}

impl Preset {
    /// The preset of one of [`PRESET_NAMES`].
    ///
    /// ```
    /// use clavibeam::anatomy::{Clavicle, Preset};
    /// let mut preset = Preset::named("adult-female").expect("a known preset");
    /// preset.bone.length = 145.0;
    /// let bone = Clavicle::new(&preset.bone).expect("a canal is left");
    /// assert_eq!(bone.point(1.0).x, 145.0);
    /// ```
    pub fn named(name: &str) -> Option<Preset> {
        PRESETS.iter().find(|preset| preset.name == name).cloned()
    }

    /// Another body mass, kg; the arm keeps its share of the body's weight.
    pub fn with_body_mass(self, body_mass: f64) -> Self {
        Preset {
            arm_weight: self.arm_weight * body_mass / self.body_mass,
            body_mass,
            ..self
        }
    }

    /// The patient, without the bone.
    pub fn patient(&self, side: Side) -> Patient {
        Patient {
            preset: self.name.clone(),
            side,
            body_mass: self.body_mass,
            stature: self.stature,
            arm_weight: self.arm_weight,
            strap_width: self.strap_width,
            joints: Joints::default(),
        }
    }
}

/// `presets.toml` as written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PresetFile {
    preset: Vec<PresetTable>,
}

/// One `[[preset]]` as written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PresetTable {
    name: String,
    body_mass_kg: f64,
    stature_mm: f64,
    arm_weight_n: f64,
    strap_width_mm: f64,
    length_mm: f64,
    medial_curve_depth_mm: f64,
    lateral_curve_depth_mm: f64,
    superior_bow_mm: f64,
    conoid_from_lateral_end_mm: f64,
    trapezoid_from_lateral_end_mm: f64,
    costoclavicular: f64,
    canal_zone: [f64; 2],
    cortex: BoneAge,
    trabecular_modulus_mpa: f64,
    stations: Vec<StationTable>,
}

/// One station as written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StationTable {
    fraction: f64,
    ap_mm: f64,
    si_mm: f64,
    wall_mm: f64,
}

impl From<PresetTable> for Preset {
    fn from(table: PresetTable) -> Self {
        let station = |row: StationTable| Station {
            fraction: row.fraction,
            outer: [row.ap_mm, row.si_mm],
            wall: row.wall_mm,
        };
        Preset {
            name: table.name,
            body_mass: table.body_mass_kg,
            stature: table.stature_mm,
            arm_weight: table.arm_weight_n,
            strap_width: table.strap_width_mm,
            bone: BoneInputs {
                length: table.length_mm,
                medial_curve_depth: table.medial_curve_depth_mm,
                lateral_curve_depth: table.lateral_curve_depth_mm,
                superior_bow: table.superior_bow_mm,
                stations: table.stations.into_iter().map(station).collect(),
                outer_scale: 1.0,
                wall_scale: 1.0,
                canal_min_diameter: None,
                canal_zone: table.canal_zone,
                cortex: Material::cortical_bone(table.cortex),
                trabecular_modulus: table.trabecular_modulus_mpa,
                osteoporotic: false,
                conoid_from_lateral_end: table.conoid_from_lateral_end_mm,
                trapezoid_from_lateral_end: table.trapezoid_from_lateral_end_mm,
                costoclavicular: table.costoclavicular,
            },
        }
    }
}
