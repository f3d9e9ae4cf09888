//! Activities of a case file as they are typed.

use schemars::JsonSchema;
use serde::Deserialize;

use super::defaults;

/// A name and what loads the bone: the shoulder (a raised arm, a strap, a push on the shoulder
/// blade, together where there are several) or one bench fixture.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ActivityTable {
    /// Name in tables; no two activities share one.
    #[schemars(length(min = 1))]
    pub name: String,
    /// Elevation of the arm from hanging.
    #[schemars(range(min = 0, max = 180))]
    pub arm_elevation_deg: Option<f64>,
    /// Mass in the hand.
    #[schemars(range(min = 0, max = 100), extend("default" = defaults::HAND_MASS_KG.value))]
    pub hand_mass_kg: Option<f64>,
    /// Force of a strap on the clavicle, downwards.
    #[schemars(range(min = 0.1, max = 2000))]
    pub strap_force_n: Option<f64>,
    /// Mass of a backpack on two straps, in place of `strap_force_n`.
    #[schemars(range(min = 0.1, max = 100))]
    pub backpack_mass_kg: Option<f64>,
    /// Whether a hip belt takes its share of the backpack.
    #[schemars(extend("default" = defaults::HIP_BELT.value))]
    pub hip_belt: Option<bool>,
    /// Middle of the strap, fraction of the length from the sternal end.
    #[schemars(range(min = 0, max = 1), extend("default" = defaults::STRAP_POSITION.value))]
    pub strap_position: Option<f64>,
    /// Width of the strap along the bone; that of the patient unless given.
    #[schemars(range(min = 1, max = 150))]
    pub strap_width_mm: Option<f64>,
    /// Push of the arm up into the shoulder blade, as in pushing off from a chair.
    #[schemars(range(min = 0.1, max = 2000))]
    pub push_up_n: Option<f64>,
    /// Push from the side on the point of the shoulder, as in a fall.
    #[schemars(range(min = 0.1, max = 10000))]
    pub push_inward_n: Option<f64>,
    /// How often a day, for the weeks after the operation.
    #[schemars(range(min = 1, max = 100000))]
    pub cycles_per_day: Option<f64>,
    /// From which week to which it is done; to week 52 from the operation on unless given.
    pub weeks: Option<Vec<f64>>,
    /// Bench: compression along the line of the joint centres.
    pub axial: Option<ForceTable>,
    /// Bench: torque about the line of the joint centres.
    pub torsion: Option<TorqueTable>,
    /// Bench: sternal end held, force down at the acromial end.
    pub cantilever: Option<ForceTable>,
    /// Bench: supports at both ends of the span, force down over the fracture.
    pub three_point: Option<ThreePointTable>,
    /// Bench: two supports and two load points, centred on the fracture.
    pub four_point: Option<FourPointTable>,
}

/// A force.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ForceTable {
    /// Force.
    #[schemars(range(min = 0.1, max = 10000))]
    pub force_n: f64,
}

/// A torque.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TorqueTable {
    /// Torque; positive about the axis from the sternal to the acromial end.
    #[schemars(range(min = -200, max = 200))]
    pub torque_nm: f64,
}

/// Three-point bending.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ThreePointTable {
    /// Total force.
    #[schemars(range(min = 0.1, max = 10000))]
    pub force_n: f64,
    /// Distance between the supports.
    #[schemars(range(min = 1))]
    pub span_mm: f64,
}

/// Four-point bending.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FourPointTable {
    /// Total force of both load points.
    #[schemars(range(min = 0.1, max = 10000))]
    pub force_n: f64,
    /// Distance between the supports.
    #[schemars(range(min = 1))]
    pub span_mm: f64,
    /// Distance between the load points.
    #[schemars(range(min = 1))]
    pub inner_span_mm: f64,
}
