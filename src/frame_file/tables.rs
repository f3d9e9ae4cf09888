//! The tables of a frame file as typed: the statement of every key, unit, default and range.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;

use super::analysis::AnalysisTable;
use super::law_tables::{AboutTable, AlongTable, BedTable, CanalTable, FaceTable, RingTable};
use super::load_tables::{ExpectTable, LoadCaseTable};
use super::section_tables::SectionTable;

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
    /// Springs, stops, grips and contact between two nodes.
    #[serde(default)]
    pub coupling: Vec<CouplingTable>,
    /// Springs to the ground and faces along members.
    #[serde(default)]
    pub foundation: Vec<FoundationTable>,
    /// Springs or contact along two members that lie side by side or one in the other.
    #[serde(default)]
    pub interlayer: Vec<InterlayerTable>,
    /// Held and sprung nodes.
    #[serde(default)]
    pub support: Vec<SupportTable>,
    /// What acts on the frame, one set at a time.
    #[schemars(length(min = 1))]
    pub load_case: Vec<LoadCaseTable>,
    /// What is done with the loads; default: a linear solution.
    #[serde(default)]
    pub analysis: AnalysisTable,
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
    #[schemars(range(min = 1, max = 1000))]
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

/// A law between two nodes that acts at one point, to which both are joined rigidly: springs
/// and other laws along and about axes, at most one for each, or a face or ring alone.
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
    /// Where it acts, global axes; default: at the second node.
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
    /// Stops and grips along local axes.
    #[serde(default)]
    pub along: AlongTable,
    /// Stops and grips about local axes.
    #[serde(default)]
    pub about: AboutTable,
    /// A face on which the second body comes down.
    pub face: Option<FaceTable>,
    /// A round hole in which the second body lies.
    pub ring: Option<RingTable>,
}

/// What a member lies on: a bed of springs, or a face that presses but does not pull, lumped
/// at the nodes by the length that each stands for. Give one.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FoundationTable {
    /// Member; divide it finely, its springs stand only at its nodes.
    pub member: String,
    /// Stiffness per length of member along global x, y, z.
    #[schemars(inner(range(min = 0.0)))]
    pub stiffness_n_per_mm2: Option<[f64; 3]>,
    /// A face that the member can lift off.
    pub face: Option<BedTable>,
}

/// Springs or contact between the nodes of two members with equal numbers of elements, lumped
/// by the length of the first member that each stands for. Give one.
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
    pub stiffness_n_per_mm2: Option<[f64; 3]>,
    /// A canal along the first member in which the second lies.
    pub canal: Option<CanalTable>,
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
