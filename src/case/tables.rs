//! The case file as it is typed: nothing here is checked beyond its schema.
//!
//! The descriptions, limits and defaults below are what `clavibeam schema case`
//! prints and what messages about bad input quote.

use schemars::JsonSchema;
use serde::Deserialize;

use super::activity_tables::ActivityTable;
use super::aftercare_tables::{ActivitySetWord, FatigueTable, HealingTable};
use super::defaults;
pub use super::diameters::Diameters;
use super::joints::JointsTable;
pub use super::lateral_bars::{CannulatedScrewTable, WireTable};
use super::scatter_tables::ScatterTable;
use crate::anatomy::PRESET_NAMES;
use crate::device::catalogue::PLATE_SIZES;
use crate::material;

/// A case: one patient, one fracture, the constructs considered and the activities.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CaseTable {
    /// Title for reports.
    #[schemars(length(min = 1))]
    pub title: String,
    /// Who the bone belongs to.
    pub patient: PatientTable,
    /// Measured values that replace those of the patient preset.
    pub bone: Option<BoneTable>,
    /// Joints and ligaments of the clavicle.
    pub joints: Option<JointsTable>,
    /// The break.
    pub fracture: FractureTable,
    /// The ways of holding the fracture that are compared.
    #[schemars(length(min = 1))]
    pub construct: Vec<ConstructTable>,
    /// What the patient does, or a bench test. Without any: the arm raised to 90°
    /// with an empty hand, the same with 1 kg in the hand, and a shoulder strap.
    #[serde(default)]
    pub activity: Vec<ActivityTable>,
    /// Activities that are added to those of the file for the weeks after the operation. The
    /// usual set is also taken if no activity of the file states its cycles.
    pub activity_set: Option<ActivitySetWord>,
    /// How fatigue is judged.
    pub fatigue: Option<FatigueTable>,
    /// How the fracture heals, for the weeks after the operation.
    pub healing: Option<HealingTable>,
    /// How inputs scatter, for the chance that the device fails.
    pub scatter: Option<ScatterTable>,
}

/// Who the bone belongs to.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PatientTable {
    /// Everything about patient and bone that is not given comes from this preset.
    #[schemars(extend("enum" = PRESET_NAMES))]
    pub preset: String,
    /// Which clavicle.
    #[schemars(extend("default" = defaults::SIDE.value))]
    pub side: Option<SideWord>,
    /// Body mass. Unless the arm weight is given, it is scaled with the body mass.
    #[schemars(range(min = 10, max = 300))]
    pub body_mass_kg: Option<f64>,
    /// Standing height.
    #[schemars(range(min = 0.5, max = 2.5))]
    pub stature_m: Option<f64>,
    /// Weight of one arm.
    #[schemars(range(min = 1, max = 200))]
    pub arm_weight_n: Option<f64>,
    /// Width of a shoulder strap along the bone.
    #[schemars(range(min = 1, max = 150))]
    pub strap_width_mm: Option<f64>,
}

/// Which clavicle.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SideWord {
    /// The right clavicle.
    Right,
    /// The left clavicle.
    Left,
}

/// Measured values that replace those of the patient preset.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoneTable {
    /// Straight length between the ends.
    #[schemars(range(min = 50, max = 250))]
    pub length_mm: Option<f64>,
    /// Depth of the medial curve, which bulges forward, from the line between the ends.
    #[schemars(range(min = 0, max = 40))]
    pub medial_curve_depth_mm: Option<f64>,
    /// Depth of the lateral curve, which bulges backward, from the line between the ends.
    #[schemars(range(min = 0, max = 40))]
    pub lateral_curve_depth_mm: Option<f64>,
    /// Height of the upward bow over the line between the ends.
    #[schemars(range(min = -30, max = 30))]
    pub superior_bow_mm: Option<f64>,
    /// Factor on all outer sizes.
    #[schemars(range(min = 0.5, max = 2), extend("default" = defaults::SCALE.value))]
    pub outer_scale: Option<f64>,
    /// Factor on all wall thicknesses.
    #[schemars(range(min = 0.3, max = 2), extend("default" = defaults::SCALE.value))]
    pub wall_scale: Option<f64>,
    /// Narrowest diameter of the canal; the walls are thickened or thinned to reach it.
    #[schemars(range(min = 0.1, max = 20))]
    pub canal_min_diameter_mm: Option<f64>,
    /// Young's modulus of cortical bone along the axis.
    #[schemars(range(min = 0.1, max = 40))]
    pub youngs_modulus_gpa: Option<f64>,
    /// Shear modulus of cortical bone about the axis.
    #[schemars(range(min = 0.01, max = 20))]
    pub shear_modulus_gpa: Option<f64>,
    /// Young's modulus of trabecular bone.
    #[schemars(range(min = 0.1, max = 5000))]
    pub trabecular_modulus_mpa: Option<f64>,
    /// Thin and soft bone: walls × 0.70, cortical moduli × 0.66, trabecular modulus × 0.34,
    /// also of values given here.
    #[schemars(extend("default" = defaults::OSTEOPOROTIC.value))]
    pub osteoporotic: Option<bool>,
    /// Where the open canal begins, fraction of the length from the sternal end.
    #[schemars(range(min = 0, max = 1))]
    pub canal_from: Option<f64>,
    /// Where the open canal ends, fraction of the length from the sternal end.
    #[schemars(range(min = 0, max = 1))]
    pub canal_to: Option<f64>,
    /// Measured cross-sections from the sternal (0) to the acromial end (1); they replace
    /// those of the preset.
    #[schemars(length(min = 3))]
    pub station: Option<Vec<StationTable>>,
}

/// A measured cross-section: a hollow ellipse.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StationTable {
    /// Fraction of the length from the sternal end.
    #[schemars(range(min = 0, max = 1))]
    pub at: f64,
    /// Outer size from front to back.
    #[schemars(range(min = 2, max = 60))]
    pub outer_ap_mm: f64,
    /// Outer size from top to bottom.
    #[schemars(range(min = 2, max = 60))]
    pub outer_si_mm: f64,
    /// Thickness of the cortical wall.
    #[schemars(range(min = 0.1, max = 20))]
    pub wall_mm: f64,
}

/// The break.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FractureTable {
    /// Middle of the gap, fraction of the length from the sternal end.
    #[schemars(range(min = 0.2, max = 0.8), extend("default" = defaults::FRACTURE_POSITION.value))]
    pub position: Option<f64>,
    /// How the bone is broken.
    pub pattern: PatternWord,
    /// Angle between the normal of an oblique fracture's plane and the bone's axis; 0 would be
    /// a transverse one. Only for an oblique fracture.
    #[schemars(range(min = 0, max = 70), extend("default" = defaults::OBLIQUITY_DEG.value))]
    pub obliquity_deg: Option<f64>,
    /// Where an oblique fracture's plane begins and where it ends. Only for an oblique fracture.
    #[schemars(extend("default" = defaults::OBLIQUITY_DIRECTION.value))]
    pub obliquity_direction: Option<ObliquityWord>,
    /// Length of the gap along the bone. Required for a comminuted fracture; a clean break has
    /// a default, where bone is left out of the model though its faces touch.
    #[schemars(range(min = 0.05, max = 60), extend("default" = defaults::CLEAN_BREAK_GAP_MM.value))]
    pub gap_mm: Option<f64>,
    /// Friction coefficient of broken end on broken end.
    #[schemars(range(min = 0, max = 2), extend("default" = defaults::FACE_FRICTION.value))]
    pub face_friction: Option<f64>,
    /// Shear force that the teeth of a clean break hold across its whole face, in each of two
    /// directions, pressed or not; none unless given.
    #[schemars(range(min = 0, max = 5000), extend("default" = defaults::INTERLOCK_SHEAR_N.value))]
    pub interlock_shear_n: Option<f64>,
    /// Push along the bone at the fracture with which it is tried whether the bone keeps its
    /// length.
    #[schemars(range(min = 1, max = 2000), extend("default" = defaults::PUSH_N.value))]
    pub push_n: Option<f64>,
    /// Healing tissue that bridges the gap.
    pub callus: Option<CallusTable>,
}

/// How the bone is broken.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum PatternWord {
    /// A clean break across the bone.
    Transverse,
    /// A clean break along a sloping plane.
    Oblique,
    /// Fragments that carry no load: an open gap.
    Comminuted,
}

/// Where an oblique fracture's plane begins and where it ends.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ObliquityWord {
    /// From medial on top to lateral below.
    SuperomedialToInferolateral,
    /// From lateral on top to medial below.
    SuperolateralToInferomedial,
    /// From medial in front to lateral behind.
    AnteromedialToPosterolateral,
    /// From lateral in front to medial behind.
    AnterolateralToPosteromedial,
}

/// Healing tissue that bridges the gap.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CallusTable {
    /// Young's modulus of the tissue.
    #[schemars(range(min = 0.001, max = 30000))]
    pub youngs_modulus_mpa: f64,
    /// Outer diameter of the callus.
    #[schemars(range(min = 1, max = 60))]
    pub outer_diameter_mm: f64,
}

/// One way of holding the fracture: a name and exactly one device.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConstructTable {
    /// Name in tables; no two constructs share one.
    #[schemars(length(min = 1))]
    pub name: String,
    /// A smooth elastic nail in the canal.
    pub nail: Option<NailTable>,
    /// A threaded pin in the canal, with nuts on the lateral cortex.
    pub pin: Option<PinTable>,
    /// A smooth straight wire in the canal.
    pub wire: Option<WireTable>,
    /// A cannulated screw in the canal, with its head on the lateral cortex.
    #[serde(rename = "cannulated-screw")]
    pub cannulated_screw: Option<CannulatedScrewTable>,
    /// A plate on the surface, with screws.
    pub plate: Option<PlateTable>,
    /// Two plates on different sides of the bone, each headed [[construct.plates]].
    #[schemars(length(min = 1))]
    pub plates: Option<Vec<PlateTable>>,
}

/// A smooth elastic nail in the canal.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NailTable {
    /// Diameter; or a list of diameters of which the largest that goes in is taken; or "auto", the
    /// largest of those made that goes in.
    #[schemars(range(min = 0.5, max = 15))]
    pub diameter_mm: Diameters,
    /// Alloy and temper.
    #[schemars(extend("enum" = material::NAMES, "default" = defaults::NAIL_MATERIAL.value))]
    pub material: Option<String>,
    /// Side of the fracture from which the nail is put in; medial unless given.
    pub entry_side: Option<EntrySideWord>,
    /// Where the nail enters the bone, fraction of the length from the sternal end; 0.06 from the
    /// medial side, 0.88 from the lateral one unless given.
    #[schemars(range(min = 0, max = 1))]
    pub entry: Option<f64>,
    /// Where its tip lies, fraction of the length from the sternal end; 0.8 of a nail put in
    /// from the medial side, 0.12 from the lateral one unless given.
    #[schemars(range(min = 0, max = 1))]
    pub tip: Option<f64>,
    /// Shape of the nail before it goes in; straight unless given.
    pub shape: Option<NailShapeWord>,
    /// Whether a threaded sleeve in the cortex keeps the nail from backing out at its entry.
    #[schemars(extend("default" = defaults::NAIL_END_CAP.value))]
    pub end_cap: Option<bool>,
}

/// Side of the fracture from which a nail is put in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum EntrySideWord {
    /// From the sternal side.
    Medial,
    /// From the acromial side.
    Lateral,
}

/// Shape of a nail before it goes in.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum NailShapeWord {
    /// Straight: the canal bends it, and it stays bent under stress.
    Straight,
    /// Bent to the canal before: it lies there free of stress.
    Prebent,
}

/// A threaded pin in the canal: thread in the medial fragment, smooth shank across
/// the fracture, nuts on the lateral cortex.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PinTable {
    /// Outer diameter of the threads; or a list of diameters of which the largest that goes in is
    /// taken; or "auto", the largest of those made that goes in.
    #[schemars(range(min = 0.5, max = 15))]
    pub outer_diameter_mm: Diameters,
    /// Core diameter of the threads; 0.8 of the outer diameter unless given.
    #[schemars(range(min = 0.3, max = 15))]
    pub core_diameter_mm: Option<f64>,
    /// Distance from thread to thread; 0.44 of the outer diameter unless given.
    #[schemars(range(min = 0.1, max = 10))]
    pub pitch_mm: Option<f64>,
    /// Diameter of the smooth shank; the core diameter unless given.
    #[schemars(range(min = 0.3, max = 15))]
    pub shank_diameter_mm: Option<f64>,
    /// Alloy and temper.
    #[schemars(extend("enum" = material::NAMES, "default" = defaults::PIN_MATERIAL.value))]
    pub material: Option<String>,
    /// Medial end of the pin, where its thread begins, fraction of the length from the
    /// sternal end; 40 mm of thread unless given.
    #[schemars(range(min = 0, max = 1))]
    pub medial_tip: Option<f64>,
    /// Where the medial thread runs out into the shank, fraction of the length from the
    /// sternal end; 5 mm short of the gap unless given.
    #[schemars(range(min = 0, max = 1))]
    pub thread_end: Option<f64>,
    /// Where the nuts bear on the lateral cortex, fraction of the length from the sternal end.
    #[schemars(range(min = 0, max = 1), extend("default" = defaults::PIN_NUT.value))]
    pub nut: Option<f64>,
    /// By how many turns the nuts are tightened once they bear on the cortex.
    #[schemars(range(min = 0, max = 20), extend("default" = defaults::NUT_TURNS.value))]
    pub nut_turns: Option<f64>,
    /// How far nuts and pin end stand beyond the lateral cortex.
    #[schemars(range(min = 0, max = 50), extend("default" = defaults::PIN_PROMINENCE_MM.value))]
    pub prominence_mm: Option<f64>,
}

/// A plate with equally spaced holes numbered from 1 at its
/// medial end.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlateTable {
    /// The side of the bone the plate lies on.
    pub surface: SurfaceWord,
    /// Generic size: gives width, thickness, holes and screws where they are not given.
    #[schemars(extend("enum" = size_names()))]
    pub size: Option<String>,
    /// Number of holes.
    #[schemars(range(min = 2, max = 24))]
    pub hole_count: usize,
    /// Width across the plate.
    #[schemars(range(min = 1, max = 40))]
    pub width_mm: Option<f64>,
    /// Width where the edges are notched, half-way between holes; straight edges unless given
    /// here or by the size.
    #[schemars(range(min = 0.5, max = 40))]
    pub notch_width_mm: Option<f64>,
    /// Thickness.
    #[schemars(range(min = 0.2, max = 15))]
    pub thickness_mm: Option<f64>,
    /// Distance between the centres of neighbouring holes.
    #[schemars(range(min = 1, max = 50))]
    pub hole_spacing_mm: Option<f64>,
    /// Diameter of the holes through the plate.
    #[schemars(range(min = 0.3, max = 20))]
    pub hole_diameter_mm: Option<f64>,
    /// Whether the plate is bent to the bone; contoured unless given.
    pub contour: Option<ContourWord>,
    /// Gap between plate and bone; of a straight plate where it is nearest.
    #[schemars(range(min = 0, max = 20), extend("default" = defaults::PLATE_STANDOFF_MM.value))]
    pub standoff_mm: Option<f64>,
    /// Where the middle of the plate lies, fraction of the length from the sternal end;
    /// over the fracture unless given.
    #[schemars(range(min = 0, max = 1))]
    pub centre: Option<f64>,
    /// Alloy and temper.
    #[schemars(extend("enum" = material::NAMES, "default" = defaults::PLATE_MATERIAL.value))]
    pub material: Option<String>,
    /// Whether screw heads lock in the plate.
    #[schemars(extend("default" = defaults::PLATE_LOCKING.value))]
    pub locking: Option<bool>,
    /// Force with which each screw that does not lock presses the plate on the bone.
    #[schemars(range(min = 0, max = 5000), extend("default" = defaults::SCREW_PRELOAD_N.value))]
    pub screw_preload_n: Option<f64>,
    /// How far compression holes drive the lateral fragment along the plate towards the medial
    /// one; its screws must not lock. From memory: about 1 mm for each screw put in so.
    #[schemars(range(min = 0, max = 5), extend("default" = defaults::COMPRESSION_MM.value))]
    pub compression_mm: Option<f64>,
    /// Holes left without a screw.
    pub empty_holes: Option<Vec<usize>>,
    /// Holes that the plate does not have: it is solid there.
    pub absent_holes: Option<Vec<usize>>,
    /// Diameters and pitch of the screws; those usual for the plate, locking or not, unless given.
    pub screw_size: Option<ScrewSizeTable>,
    /// The screws, hole by hole. Without the list: one in each hole whose edge is clear of
    /// the gap, in both cortices.
    pub screw: Option<Vec<ScrewTable>>,
}

/// The words for the sizes in the catalogue.
fn size_names() -> Vec<&'static str> {
    PLATE_SIZES.iter().map(|size| size.name).collect()
}

/// The side of the bone a plate lies on.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SurfaceWord {
    /// On top.
    Superior,
    /// In front and below, at 45°.
    Anteroinferior,
    /// In front.
    Anterior,
}

/// Whether a plate is bent to the bone.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ContourWord {
    /// Bent to lie along the bone.
    Contoured,
    /// Straight: it stands off wherever the bone curves away.
    Straight,
}

/// Diameters and pitch of the screws.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScrewSizeTable {
    /// Outer diameter of the thread.
    #[schemars(range(min = 0.5, max = 10))]
    pub outer_diameter_mm: Option<f64>,
    /// Core diameter of the thread.
    #[schemars(range(min = 0.3, max = 10))]
    pub core_diameter_mm: Option<f64>,
    /// Distance from thread to thread.
    #[schemars(range(min = 0.1, max = 10))]
    pub pitch_mm: Option<f64>,
}

/// A screw in one hole of the plate.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScrewTable {
    /// Hole number, from 1 at the medial end of the plate.
    #[schemars(range(min = 1))]
    pub hole: usize,
    /// Whether it holds in both cortices or only in the near one.
    #[schemars(extend("default" = defaults::SCREW_BICORTICAL.value))]
    pub bicortical: Option<bool>,
    /// Whether its head locks in the plate; as `locking` of the plate unless given.
    pub locking: Option<bool>,
}
