//! The load cases and reference values of a frame file as typed.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Loads, movements and stress-free strains that act together.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadCaseTable {
    /// Name.
    #[schemars(length(min = 1))]
    pub name: String,
    /// An earlier load case at whose end this one begins: what acts there changes evenly into
    /// what acts here; default: the unloaded frame. Matters only where something rubs or
    /// grips.
    pub after: Option<String>,
    /// Steps in which the load comes on where couplings touch, stop or grip; default 10 where
    /// something rubs or grips, else 1.
    #[schemars(range(min = 1, max = 10000))]
    pub steps: Option<usize>,
    /// Whether surfaces rub while this load comes on; default true.
    #[serde(default = "yes")]
    pub friction: bool,
    /// Forces and moments on nodes.
    #[serde(default)]
    pub nodal: Vec<NodalTable>,
    /// Forces per length along members.
    #[serde(default)]
    pub line: Vec<LineTable>,
    /// Forces and moments at places along members.
    #[serde(default)]
    pub point: Vec<PointTable>,
    /// Strains and curvatures that members would take without stress.
    #[serde(default)]
    pub stress_free: Vec<StressFreeTable>,
    /// Movements of held freedoms.
    #[serde(default)]
    pub movement: Vec<MovementTable>,
    /// Movements inside couplings, as when a nut is turned.
    #[serde(default)]
    pub tightening: Vec<TighteningTable>,
}

/// A force and a moment on a node, global axes.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NodalTable {
    /// Node.
    pub node: String,
    /// Force; default none.
    #[serde(default)]
    pub force_n: [f64; 3],
    /// Moment; default none.
    #[serde(default)]
    pub moment_nmm: [f64; 3],
}

/// The axes of a load on a member.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Axes {
    /// Global axes.
    #[default]
    Global,
    /// Local axes of the member, element by element.
    Local,
}

/// A force per length along a stretch of a member, changing linearly along it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LineTable {
    /// Member.
    pub member: String,
    /// Force per length of member where the stretch begins.
    pub force_n_per_mm: [f64; 3],
    /// Force per length of member where the stretch ends; default: the same.
    pub end_force_n_per_mm: Option<[f64; 3]>,
    /// Where the stretch begins, along the member; default 0.
    #[serde(default)]
    #[schemars(extend("minimum" = 0))]
    pub from_mm: f64,
    /// Where the stretch ends, along the member; default: its second end.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub to_mm: Option<f64>,
    /// Axes of the force; default "global".
    #[serde(default)]
    pub axes: Axes,
}

/// A force and a moment at one place of a member.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PointTable {
    /// Member.
    pub member: String,
    /// Where, along the member from its first end.
    #[schemars(extend("minimum" = 0))]
    pub at_mm: f64,
    /// Force; default none.
    #[serde(default)]
    pub force_n: [f64; 3],
    /// Moment; default none.
    #[serde(default)]
    pub moment_nmm: [f64; 3],
    /// Axes of both; default "global".
    #[serde(default)]
    pub axes: Axes,
}

/// Strain and curvatures that a member would take without stress: heat, shrinkage, a
/// bent-in shape. Constant along the member; what is given adds up.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StressFreeTable {
    /// Member.
    pub member: String,
    /// Axial strain, positive when longer; default 0.
    #[serde(default)]
    pub strain: f64,
    /// Curvature about local `y`: positive bends towards local `−z`; default 0.
    #[serde(default)]
    pub curvature_y_per_mm: f64,
    /// Curvature about local `z`: positive bends towards local `+y`; default 0.
    #[serde(default)]
    pub curvature_z_per_mm: f64,
    /// Change of temperature at the member's axis; default 0.
    #[serde(default)]
    pub temperature_k: f64,
    /// Change of temperature per mm along local `y`; default 0.
    #[serde(default)]
    pub gradient_y_k_per_mm: f64,
    /// Change of temperature per mm along local `z`; default 0.
    #[serde(default)]
    pub gradient_z_k_per_mm: f64,
}

/// Movements of a node in freedoms that a support holds, global axes.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MovementTable {
    /// Node.
    pub node: String,
    /// Displacement along x.
    pub ux_mm: Option<f64>,
    /// Displacement along y.
    pub uy_mm: Option<f64>,
    /// Displacement along z.
    pub uz_mm: Option<f64>,
    /// Rotation about x.
    pub rx_rad: Option<f64>,
    /// Rotation about y.
    pub ry_rad: Option<f64>,
    /// Rotation about z.
    pub rz_rad: Option<f64>,
}

/// A movement inside a coupling, its axes: its law answers to the relative motion less this.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TighteningTable {
    /// Coupling.
    pub coupling: String,
    /// Travel along local x.
    pub x_mm: Option<f64>,
    /// Travel along local y.
    pub y_mm: Option<f64>,
    /// Travel along local z.
    pub z_mm: Option<f64>,
    /// Turn about local x.
    pub rx_rad: Option<f64>,
    /// Turn about local y.
    pub ry_rad: Option<f64>,
    /// Turn about local z.
    pub rz_rad: Option<f64>,
}

/// A result that can be compared with a reference value.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(description = "A result that can be compared with a reference value: \
    displacements and rotations (global axes) of a node or of a place on a member; reactions \
    (global axes) of a node; section forces (local axes) of a place on a member; the peak \
    axial stress of a member; pressure and slip of a coupling that touches, stops or grips; \
    the lowest buckling load factor or the first limit load factor of the load case, without \
    node, member or coupling.")]
pub enum Quantity {
    UxMm,
    UyMm,
    UzMm,
    RxRad,
    RyRad,
    RzRad,
    ReactionForceXN,
    ReactionForceYN,
    ReactionForceZN,
    ReactionMomentXNmm,
    ReactionMomentYNmm,
    ReactionMomentZNmm,
    AxialN,
    ShearYN,
    ShearZN,
    TorqueNmm,
    MomentYNmm,
    MomentZNmm,
    PeakStressMpa,
    BucklingLoadFactor,
    LimitLoadFactor,
    PressureN,
    SlidMm,
}

/// A reference value; `solve` shows the result beside it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExpectTable {
    /// Load case.
    pub load_case: String,
    /// Node; give this, `member` or `coupling`.
    pub node: Option<String>,
    /// Member; give this, `node` or `coupling`.
    pub member: Option<String>,
    /// Coupling; give this, `node` or `member`.
    pub coupling: Option<String>,
    /// Place along the member; default 0, its first end.
    #[schemars(extend("minimum" = 0))]
    pub at_mm: Option<f64>,
    /// What is compared; the word ends with the unit of `value`.
    pub quantity: Quantity,
    /// The reference value.
    pub value: f64,
    /// Largest difference that still agrees, as a fraction of the value (of 1 when it is 0).
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub tolerance: f64,
    /// Why the tolerance is what it is; default: nothing said.
    #[schemars(length(min = 1))]
    pub tolerance_reason: Option<String>,
    /// Where the value comes from.
    #[schemars(length(min = 1))]
    pub source: String,
}

fn yes() -> bool {
    true
}
