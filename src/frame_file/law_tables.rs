//! The laws of couplings that are not springs, as typed: stops, grips and surfaces that touch.

use schemars::JsonSchema;
use serde::Deserialize;

/// Laws along local axes.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AlongTable {
    /// Along local `x`.
    pub x: Option<TravelTable>,
    /// Along local `y`.
    pub y: Option<TravelTable>,
    /// Along local `z`.
    pub z: Option<TravelTable>,
}

/// A law along one axis; give exactly one.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TravelTable {
    /// A stop ahead of the second body: F = k max(0, v − gap).
    pub stop_ahead: Option<StopTable>,
    /// A stop behind the second body: F = −k max(0, −v − gap).
    pub stop_behind: Option<StopTable>,
    /// A thread that holds elastically until it strips: |F| ≤ strip.
    pub grip: Option<GripTable>,
}

/// A one-sided spring along an axis.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StopTable {
    /// Stiffness once it bears.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_n_per_mm: f64,
    /// Travel until it bears, negative for one that presses from the start; default 0.
    #[serde(default)]
    pub gap_mm: f64,
}

/// A thread that holds until it strips.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GripTable {
    /// Stiffness while it holds.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_n_per_mm: f64,
    /// Force at which it gives way, and which it keeps from then on.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub strip_n: f64,
}

/// Laws about local axes.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AboutTable {
    /// About local `x`.
    pub x: Option<TurnTable>,
    /// About local `y`.
    pub y: Option<TurnTable>,
    /// About local `z`.
    pub z: Option<TurnTable>,
}

/// A law about one axis; give exactly one.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TurnTable {
    /// A stop ahead of the second body: M = k max(0, v − gap).
    pub stop_ahead: Option<TurnStopTable>,
    /// A stop behind the second body: M = −k max(0, −v − gap).
    pub stop_behind: Option<TurnStopTable>,
    /// A hold that is elastic until it slips: |M| ≤ strip.
    pub grip: Option<TurnGripTable>,
}

/// A one-sided spring about an axis.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TurnStopTable {
    /// Stiffness once it bears.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_nmm_per_rad: f64,
    /// Turn until it bears, negative for one that presses from the start; default 0.
    #[serde(default)]
    pub gap_rad: f64,
}

/// A hold about an axis until it slips.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TurnGripTable {
    /// Stiffness while it holds.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_nmm_per_rad: f64,
    /// Moment at which it gives way, and which it keeps from then on.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub strip_nmm: f64,
}

/// The second body comes down on a face that looks along local `x`.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaceTable {
    /// Distance to go before they touch, negative for one that presses from the start;
    /// default 0.
    #[serde(default)]
    pub gap_mm: f64,
    /// Pressure per depth.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_n_per_mm: f64,
    /// Coefficient of friction; default 0.
    #[serde(default)]
    #[schemars(extend("minimum" = 0))]
    pub friction: f64,
    /// Friction per movement along the face before it slides; default: `stiffness_n_per_mm`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_stiffness_n_per_mm: Option<f64>,
}

/// The second body lies in a round hole of the first along local `x`.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RingTable {
    /// Radius of the hole less that of the body.
    #[schemars(extend("minimum" = 0))]
    pub clearance_mm: f64,
    /// Where the body's axis stands against the hole's at the start, along local `y` and
    /// `z`; default [0, 0].
    #[serde(default)]
    pub offset_mm: [f64; 2],
    /// Pressure per depth.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_n_per_mm: f64,
    /// Coefficient of friction; default 0.
    #[serde(default)]
    #[schemars(extend("minimum" = 0))]
    pub friction: f64,
    /// Friction per movement along the wall before it slides; default: `stiffness_n_per_mm`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_stiffness_n_per_mm: Option<f64>,
}

/// A face along a member, which it can press but not pull.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BedTable {
    /// Where the face looks, towards the member, global axes; default [0, 0, 1].
    #[serde(default = "global_z")]
    pub looks: [f64; 3],
    /// Distance to go before they touch, negative where they press from the start; default 0.
    #[serde(default)]
    pub gap_mm: f64,
    /// Pressure per depth and length of member.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_n_per_mm2: f64,
    /// Coefficient of friction; default 0.
    #[serde(default)]
    #[schemars(extend("minimum" = 0))]
    pub friction: f64,
    /// Friction per movement along the face and length of member before it slides; default:
    /// `stiffness_n_per_mm2`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_stiffness_n_per_mm2: Option<f64>,
}

/// A round canal along the first member in which the second lies: each node of the second
/// starts from where it stands against the first's.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CanalTable {
    /// Radius of the canal less that of the second member.
    #[schemars(extend("minimum" = 0))]
    pub clearance_mm: f64,
    /// Pressure per depth and length of the first member.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub stiffness_n_per_mm2: f64,
    /// Coefficient of friction; default 0.
    #[serde(default)]
    #[schemars(extend("minimum" = 0))]
    pub friction: f64,
    /// Friction per movement along the wall and length of the first member before it slides;
    /// default: `stiffness_n_per_mm2`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_stiffness_n_per_mm2: Option<f64>,
}

fn global_z() -> [f64; 3] {
    [0.0, 0.0, 1.0]
}
