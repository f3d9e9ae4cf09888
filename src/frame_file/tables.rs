//! The tables of a frame file as typed: the statement of every key, unit, default and range.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A frame file: nodes, members, couplings, supports and load cases by name.
///
/// Lengths mm, forces N, angles rad unless the key says otherwise; global axes are
/// right-handed.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FrameTable {
    /// One line that says what the frame is.
    #[schemars(length(min = 1))]
    pub title: String,
    /// Materials by name: `[material.titanium]`.
    pub material: BTreeMap<String, MaterialTable>,
    /// Sections by name and shape: `[section.rod.circle]`.
    pub section: BTreeMap<String, SectionTable>,
    /// Points of the frame.
    #[schemars(length(min = 1))]
    pub node: Vec<NodeTable>,
    /// Beams between nodes.
    #[serde(default)]
    pub member: Vec<MemberTable>,
    /// Springs between two nodes.
    #[serde(default)]
    pub coupling: Vec<CouplingTable>,
    /// Springs to the ground along members.
    #[serde(default)]
    pub foundation: Vec<FoundationTable>,
    /// Springs along two members that lie side by side.
    #[serde(default)]
    pub interlayer: Vec<InterlayerTable>,
    /// Held and sprung nodes.
    #[serde(default)]
    pub support: Vec<SupportTable>,
    /// What acts on the frame, one set at a time.
    #[schemars(length(min = 1))]
    pub load_case: Vec<LoadCaseTable>,
    /// Reference values that the results are compared with.
    #[serde(default)]
    pub expect: Vec<ExpectTable>,
}

/// An elastic material; give `poisson_ratio`, `shear_modulus_gpa` or both.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MaterialTable {
    /// Young's modulus.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub youngs_modulus_gpa: f64,
    /// Gives the shear modulus E / (2 (1 + ν)) unless that is given, and the shear
    /// coefficient of the section; 0.3 for the latter when absent.
    #[schemars(extend("minimum" = 0, "maximum" = 0.5))]
    pub poisson_ratio: Option<f64>,
    /// Shear modulus, for a material that is not isotropic.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_modulus_gpa: Option<f64>,
    /// Proof stress: shown as a margin beside the peak stress.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub proof_stress_mpa: Option<f64>,
    /// Free thermal strain per kelvin, for `temperature_k` and temperature gradients.
    pub thermal_expansion_per_k: Option<f64>,
}

/// A section; give exactly one shape. Width runs along local `y`, depth along local `z`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SectionTable {
    /// Solid circle.
    pub circle: Option<CircleTable>,
    /// Round tube.
    pub tube: Option<TubeTable>,
    /// Solid ellipse.
    pub ellipse: Option<EllipseTable>,
    /// Ellipse with an elliptic canal.
    pub hollow_ellipse: Option<HollowEllipseTable>,
    /// Solid rectangle.
    pub rectangle: Option<RectangleTable>,
    /// Any outline with straight edges.
    pub polygon: Option<PolygonTable>,
    /// Properties by number; no stress is then recovered.
    pub properties: Option<PropertiesTable>,
}

/// Solid circle.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CircleTable {
    /// Diameter.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub diameter_mm: f64,
}

/// Round tube.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TubeTable {
    /// Outer diameter.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub outer_diameter_mm: f64,
    /// Inner diameter, less than the outer.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub inner_diameter_mm: f64,
}

/// Solid ellipse.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EllipseTable {
    /// Whole axis along local `y`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width_mm: f64,
    /// Whole axis along local `z`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub depth_mm: f64,
}

/// Ellipse with an elliptic canal on the same centre and axes.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HollowEllipseTable {
    /// Whole outer axis along local `y`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width_mm: f64,
    /// Whole outer axis along local `z`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub depth_mm: f64,
    /// Whole axis of the canal along local `y`, less than the width.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub inner_width_mm: f64,
    /// Whole axis of the canal along local `z`, less than the depth.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub inner_depth_mm: f64,
}

/// Solid rectangle.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RectangleTable {
    /// Side along local `y`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width_mm: f64,
    /// Side along local `z`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub depth_mm: f64,
}

/// An outline with straight edges, its points `[y, z]` in any axes parallel to the local
/// ones: the member runs through the centroid.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PolygonTable {
    /// Points of the outline in order.
    #[schemars(length(min = 3))]
    pub outer_mm: Vec<[f64; 2]>,
    /// Points of each hole in order; default none.
    #[serde(default)]
    pub holes_mm: Vec<Vec<[f64; 2]>>,
}

/// Section properties about centroidal axes.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PropertiesTable {
    /// Area.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub area_mm2: f64,
    /// `∫ z² dA`: resists bending in the local x–z plane.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub second_moment_y_mm4: f64,
    /// `∫ y² dA`: resists bending in the local x–y plane.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub second_moment_z_mm4: f64,
    /// `∫ y z dA`; default 0.
    #[serde(default)]
    pub product_moment_mm4: f64,
    /// Saint-Venant torsion constant.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub torsion_constant_mm4: f64,
    /// Shear area `κA` along local `y`; default no shear deformation in that direction.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_area_y_mm2: Option<f64>,
    /// Shear area `κA` along local `z`; default no shear deformation in that direction.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_area_z_mm2: Option<f64>,
}

/// A point with three displacements and three rotations.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NodeTable {
    /// Name, without `#`.
    #[schemars(length(min = 1))]
    pub name: String,
    /// Position in global axes.
    pub at_mm: [f64; 3],
}

/// How a member bends.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Theory {
    /// With shear deformation.
    #[default]
    Timoshenko,
    /// Without shear deformation.
    EulerBernoulli,
}

/// A beam between two nodes: straight, through points, or along an arc.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MemberTable {
    /// Name; the nodes inside a divided member are called `name#1`, `name#2`, … from its
    /// first end.
    #[schemars(length(min = 1))]
    pub name: String,
    /// First and second node: named ones, or inside an earlier member.
    pub between: [String; 2],
    /// Section, at the first end if `section_end` is given.
    pub section: String,
    /// Section at the second end: every dimension then runs linearly along the member.
    /// Default: the same section throughout.
    pub section_end: Option<String>,
    /// Material.
    pub material: String,
    /// Equal elements in each straight stretch, or chords of an arc; default 1.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 5000))]
    pub elements: usize,
    /// Beam theory; default "timoshenko".
    #[serde(default)]
    pub theory: Theory,
    /// Local `z` leans this way, `y = z × x`; default [0, 0, 1].
    #[serde(default = "global_z")]
    pub up: [f64; 3],
    /// Turns the section about the member's axis, right-handed; default 0.
    #[serde(default)]
    pub roll_deg: f64,
    /// Turn of the section that grows steadily to this at the second end, right-handed;
    /// each element takes the turn at its middle; default 0.
    #[serde(default)]
    pub twist_deg: f64,
    /// Rigid arm from the first node to the member's first end, global axes; default none.
    #[serde(default)]
    pub start_arm_mm: [f64; 3],
    /// Rigid arm from the second node to the member's second end, global axes; default none.
    #[serde(default)]
    pub end_arm_mm: [f64; 3],
    /// Points that the member passes on its way, global axes; default none (straight).
    #[serde(default)]
    pub via_mm: Vec<[f64; 3]>,
    /// Centre of the circle along which the member runs, the shorter way; `elements` chords.
    /// Default: straight.
    pub arc_centre_mm: Option<[f64; 3]>,
}

/// Springs between two nodes that act at one point, to which both are joined rigidly.
///
/// 0 leaves a direction free. To tie one, use a spring about 1e4 to 1e6 times as stiff as
/// what it joins, such as 1e8 N/mm and 1e10 N·mm/rad for bones and implants.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CouplingTable {
    /// Name.
    #[schemars(length(min = 1))]
    pub name: String,
    /// First and second node.
    pub between: [String; 2],
    /// Where the springs act, global axes; default: at the second node.
    pub at_mm: Option<[f64; 3]>,
    /// Local `x`; default [1, 0, 0].
    #[serde(default = "global_x")]
    pub x_axis: [f64; 3],
    /// Local `z` leans this way; default [0, 0, 1].
    #[serde(default = "global_z")]
    pub up: [f64; 3],
    /// Springs along local x, y, z; default none.
    #[serde(default)]
    #[schemars(inner(range(min = 0.0)))]
    pub translations_n_per_mm: [f64; 3],
    /// Springs about local x, y, z; default none.
    #[serde(default)]
    #[schemars(inner(range(min = 0.0)))]
    pub rotations_nmm_per_rad: [f64; 3],
}

/// Springs from a member's nodes to the ground: a bed of springs, lumped at the nodes by the
/// length that each stands for.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FoundationTable {
    /// Member; divide it finely, its springs stand only at its nodes.
    pub member: String,
    /// Stiffness per length of member along global x, y, z.
    #[schemars(inner(range(min = 0.0)))]
    pub stiffness_n_per_mm2: [f64; 3],
}

/// Springs between the nodes of two members that lie side by side, with equal numbers of
/// elements, lumped by the length of the first member that each stands for.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InterlayerTable {
    /// Name; its couplings are called `name#0`, `name#1`, … from the first end.
    #[schemars(length(min = 1))]
    pub name: String,
    /// The two members; both have rigid arms to the springs.
    pub members: [String; 2],
    /// Stiffness per length along the first member's local x (slip), y and z.
    #[schemars(inner(range(min = 0.0)))]
    pub stiffness_n_per_mm2: [f64; 3],
    /// Where the springs lie on the way from the first member (0) to the second (1);
    /// default 0.5.
    #[serde(default = "half")]
    #[schemars(extend("minimum" = 0, "maximum" = 1))]
    pub at_fraction: f64,
}

/// One of the six freedoms of a node, global axes.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Freedom {
    /// Displacement along x.
    Ux,
    /// Displacement along y.
    Uy,
    /// Displacement along z.
    Uz,
    /// Rotation about x.
    Rx,
    /// Rotation about y.
    Ry,
    /// Rotation about z.
    Rz,
}

/// Held and sprung freedoms of a node, global axes.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SupportTable {
    /// Node.
    pub node: String,
    /// Freedoms that are held; default none.
    #[serde(default)]
    pub fixed: Vec<Freedom>,
    /// Springs to the ground along x, y, z; default none.
    #[serde(default)]
    #[schemars(inner(range(min = 0.0)))]
    pub translation_springs_n_per_mm: [f64; 3],
    /// Springs to the ground about x, y, z; default none.
    #[serde(default)]
    #[schemars(inner(range(min = 0.0)))]
    pub rotation_springs_nmm_per_rad: [f64; 3],
}

/// Loads, movements and stress-free strains that act together.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadCaseTable {
    /// Name.
    #[schemars(length(min = 1))]
    pub name: String,
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

/// A result that can be compared with a reference value.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(description = "A result that can be compared with a reference value: \
    displacements and rotations (global axes) of a node or of a place on a member; reactions \
    (global axes) of a node; section forces (local axes) of a place on a member; the peak \
    axial stress of a member.")]
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
}

/// A reference value; `solve` shows the result beside it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExpectTable {
    /// Load case.
    pub load_case: String,
    /// Node; give this or `member`.
    pub node: Option<String>,
    /// Member; give this or `node`.
    pub member: Option<String>,
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
    /// Where the value comes from.
    #[schemars(length(min = 1))]
    pub source: String,
}

fn one() -> usize {
    1
}

fn half() -> f64 {
    0.5
}

fn global_x() -> [f64; 3] {
    [1.0, 0.0, 0.0]
}

fn global_z() -> [f64; 3] {
    [0.0, 0.0, 1.0]
}
