//! Materials, the body, its loads and its healing.

use serde::Deserialize;

use crate::anatomy::{Clavicle, Preset, Side};
use crate::case;
use crate::healing::{Healing, tolerance};
use crate::load::{Action, Arm, Loading, arm_scale, backpack_force};
use crate::material::{BoneAge, Material, bone_fatigue_amplitude};

/// A metal of the catalogue.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MetalName {
    name: String,
}

impl MetalName {
    pub(super) fn results(&self) -> [(&'static str, f64); 6] {
        let metal = Material::named(&self.name).expect("our own names are in the catalogue");
        let strength = metal.strength.as_ref().expect("a metal has limits");
        [
            ("youngs_modulus_gpa", metal.youngs_modulus / 1000.0),
            ("poisson_ratio", metal.poisson_ratio),
            ("shear_modulus_gpa", metal.shear_modulus / 1000.0),
            ("proof_stress_mpa", strength.proof_tension),
            ("ultimate_stress_mpa", strength.ultimate_tension),
            ("fatigue_amplitude_1e7_mpa", strength.fatigue_amplitude_1e7),
        ]
    }
}

/// Cortical bone, and its fatigue strength at a number of cycles.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BoneFatigue {
    child: bool,
    cycles: f64,
}

impl BoneFatigue {
    pub(super) fn results(&self) -> [(&'static str, f64); 5] {
        let bone = Material::cortical_bone(match self.child {
            true => BoneAge::Child,
            false => BoneAge::Adult,
        });
        let strength = bone.strength.as_ref().expect("bone has limits");
        [
            ("youngs_modulus_gpa", bone.youngs_modulus / 1000.0),
            ("shear_modulus_gpa", bone.shear_modulus / 1000.0),
            ("ultimate_tension_mpa", strength.ultimate_tension),
            ("ultimate_compression_mpa", strength.ultimate_compression),
            ("fatigue_amplitude_mpa", bone_fatigue_amplitude(self.cycles)),
        ]
    }
}

/// A preset of patient and clavicle.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PersonName {
    preset: String,
    /// Mass in the hand, kg.
    hand_mass_kg: f64,
    /// Fraction of the length at which the curve is looked at, seen from above.
    at: f64,
}

impl PersonName {
    pub(super) fn results(&self) -> [(&'static str, f64); 10] {
        let preset = Preset::named(&self.preset).expect("our own presets exist");
        let bone = Clavicle::new(&preset.bone).expect("presets have a canal");
        let flat = crate::anatomy::BoneInputs {
            superior_bow: 0.0,
            ..preset.bone.clone()
        };
        let flat = Clavicle::new(&flat).expect("the bow does not touch the canal");
        let [from, to] = bone.canal_zone();
        let (place, narrowest) = bone.narrowest_canal(from, to);
        let patient = preset.patient(Side::Right);
        let arm = Arm {
            elevation: std::f64::consts::FRAC_PI_2,
            hand_mass: self.hand_mass_kg,
        };
        [
            ("arm_weight_n", preset.arm_weight),
            (
                "arm_share_of_body",
                preset.arm_weight / (9.80665 * preset.body_mass),
            ),
            ("shoulder_moment_nm", patient.shoulder_moment() / 1000.0),
            ("hand_weight_factor", arm_scale(&arm, &patient)),
            ("arc_length_mm", bone.arc_length(1.0)),
            ("arc_length_of_half_mm", bone.arc_length(0.5)),
            ("narrowest_canal_mm", narrowest),
            ("narrowest_canal_at", place),
            ("radius_of_curve_mm", 1.0 / flat.curvature(self.at)),
            ("length_mm", bone.length()),
        ]
    }
}

/// The level arm, empty, of a case.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ArmUnderLoad {
    case: String,
}

impl ArmUnderLoad {
    pub(super) fn results(&self) -> [(&'static str, f64); 1] {
        let case = case::parse(&self.case, "check").expect("our own cases are sound");
        let at = case.fracture.position;
        let setups = case.activities[0].setups(&case.patient, &case.clavicle, at);
        let force = setups[0].actions.iter().find_map(|action| match action {
            Action::Place { force, .. } => Some(force.norm()),
            Action::Patch { .. } | Action::Scapula { .. } => None,
        });
        let arm = matches!(case.activities[0].loading, Loading::Shoulder { .. });
        let force = force.filter(|_| arm).unwrap_or(f64::NAN);
        [("force_n", force)]
    }
}

/// A backpack.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StrapLoad {
    backpack_kg: f64,
    hip_belt: bool,
}

impl StrapLoad {
    pub(super) fn results(&self) -> [(&'static str, f64); 1] {
        [("strap_n", backpack_force(self.backpack_kg, self.hip_belt))]
    }
}

/// The callus at a time, and the strain that a tissue bears.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Callus {
    weeks: f64,
    tissue_modulus_mpa: f64,
}

impl Callus {
    pub(super) fn results(&self) -> [(&'static str, f64); 3] {
        let healing = Healing::default();
        [
            ("callus_modulus_mpa", healing.modulus(self.weeks)),
            ("strain_borne_percent", tolerance(self.tissue_modulus_mpa)),
            (
                "united_after_weeks",
                healing.united_after().unwrap_or(f64::NAN),
            ),
        ]
    }
}

/// How fast healing goes on under interfragmentary strain.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HealingPace {
    strain_at_start_percent: f64,
    strain_now_percent: f64,
}

impl HealingPace {
    pub(super) fn results(&self) -> [(&'static str, f64); 1] {
        let healing = Healing::default();
        let pace = healing.pace(self.strain_at_start_percent, self.strain_now_percent);
        [("pace", pace)]
    }
}
