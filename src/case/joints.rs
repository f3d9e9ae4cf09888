//! Joints and ligaments of a case file.

use schemars::JsonSchema;
use serde::Deserialize;

use super::defaults::{Inputs, Sourced};
use crate::anatomy::Joints;

/// What ties the clavicle to breastbone, first rib and shoulder blade, where a strap or a push on
/// the shoulder blade loads it. The least certain inputs of all.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JointsTable {
    /// Sternoclavicular joint along the bone.
    #[schemars(range(min = 1, max = 5000))]
    pub sternoclavicular_along_n_per_mm: Option<f64>,
    /// Sternoclavicular joint across the bone.
    #[schemars(range(min = 1, max = 5000))]
    pub sternoclavicular_across_n_per_mm: Option<f64>,
    /// Sternoclavicular joint against turning about any axis.
    #[schemars(range(min = 0.001, max = 10))]
    pub sternoclavicular_turning_nm_per_deg: Option<f64>,
    /// Costoclavicular ligament when pulled; 0 for a torn one.
    #[schemars(range(min = 0, max = 2000))]
    pub costoclavicular_n_per_mm: Option<f64>,
    /// Conoid ligament when pulled; 0 for a torn one.
    #[schemars(range(min = 0, max = 2000))]
    pub conoid_n_per_mm: Option<f64>,
    /// Trapezoid ligament when pulled; 0 for a torn one.
    #[schemars(range(min = 0, max = 2000))]
    pub trapezoid_n_per_mm: Option<f64>,
    /// Acromioclavicular joint pressed together, beside its capsule; 0 for a resected end.
    #[schemars(range(min = 0, max = 5000))]
    pub acromioclavicular_pressed_n_per_mm: Option<f64>,
    /// Capsule of the acromioclavicular joint in every direction.
    #[schemars(range(min = 0.1, max = 1000))]
    pub acromioclavicular_capsule_n_per_mm: Option<f64>,
    /// Acromioclavicular joint against turning about any axis.
    #[schemars(range(min = 0.001, max = 10))]
    pub acromioclavicular_turning_nm_per_deg: Option<f64>,
    /// Muscles that hold the shoulder blade on the chest, in every direction.
    #[schemars(range(min = 0.1, max = 5000))]
    pub scapula_n_per_mm: Option<f64>,
}

const BALL_JOINT: &str = "assumption: nearly a ball joint; no measured value was found";
const HARRIS: &str = "half of 103 N/mm for both coracoclavicular ligaments: Harris et al. 2000";

/// The joints, with what the file leaves out.
pub(super) fn joints(inputs: &mut Inputs, table: &JointsTable) -> Joints {
    let usual = Joints::default();
    // N/mm stay, N·m/deg become N·mm/rad.
    let turning = 1000.0 * 180.0 / std::f64::consts::PI;
    let mut number = |key: &str, given: Option<f64>, default: f64, unit: f64, source| {
        let default = Sourced::new(default / unit, source);
        unit * inputs.number(&format!("joints.{key}"), given, default)
    };
    Joints {
        sternoclavicular_along: number(
            "sternoclavicular_along_n_per_mm",
            table.sternoclavicular_along_n_per_mm,
            usual.sternoclavicular_along,
            1.0,
            "assumption: no measured value was found",
        ),
        sternoclavicular_across: number(
            "sternoclavicular_across_n_per_mm",
            table.sternoclavicular_across_n_per_mm,
            usual.sternoclavicular_across,
            1.0,
            "assumption: no measured value was found",
        ),
        sternoclavicular_turning: number(
            "sternoclavicular_turning_nm_per_deg",
            table.sternoclavicular_turning_nm_per_deg,
            usual.sternoclavicular_turning,
            turning,
            BALL_JOINT,
        ),
        costoclavicular: number(
            "costoclavicular_n_per_mm",
            table.costoclavicular_n_per_mm,
            usual.costoclavicular,
            1.0,
            "assumption: 40 MPa over the size of the ligament (Tubbs et al. 2009)",
        ),
        conoid: number(
            "conoid_n_per_mm",
            table.conoid_n_per_mm,
            usual.conoid,
            1.0,
            HARRIS,
        ),
        trapezoid: number(
            "trapezoid_n_per_mm",
            table.trapezoid_n_per_mm,
            usual.trapezoid,
            1.0,
            HARRIS,
        ),
        acromioclavicular_pressed: number(
            "acromioclavicular_pressed_n_per_mm",
            table.acromioclavicular_pressed_n_per_mm,
            usual.acromioclavicular_pressed,
            1.0,
            "assumption: between 200 and 500; no measured value was found",
        ),
        acromioclavicular_capsule: number(
            "acromioclavicular_capsule_n_per_mm",
            table.acromioclavicular_capsule_n_per_mm,
            usual.acromioclavicular_capsule,
            1.0,
            "from memory: 4 to 6 mm at 70 N",
        ),
        acromioclavicular_turning: number(
            "acromioclavicular_turning_nm_per_deg",
            table.acromioclavicular_turning_nm_per_deg,
            usual.acromioclavicular_turning,
            turning,
            BALL_JOINT,
        ),
        scapula: number(
            "scapula_n_per_mm",
            table.scapula_n_per_mm,
            usual.scapula,
            1.0,
            "assumption: a hand moves the shoulder blade by centimetres",
        ),
    }
}
