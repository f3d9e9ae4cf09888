//! From solved frames to what a reader can use: stiffness, margins, fracture motion, fit.
//!
//! The types here are the JSON of `compare` and the only thing reports see.

mod allowed;
mod answers;
mod at_risk;
mod chances;
mod compare;
mod compression;
mod course;
mod fit;
mod flags;
mod history;
mod holes;
mod motion;
mod prominence;
mod purchase;
mod removal;
mod scatter;
mod screws;
mod shortening;
mod shoulder;
mod sizes;
mod solved;
mod strap;
mod stress;
mod summary;
mod talk;
mod weeks;

pub use allowed::Limit;
pub use answers::{Answer, CaseAnswer, answers};
pub use at_risk::StructureAtRisk;
pub use chances::{Chances, Driver, Spread, percent};
pub use compare::{Intact, assess};
pub use compression::{Compression, CompressionStep};
pub use holes::tube_hole_kt;
pub use prominence::{Prominence, ProudPart};
pub use purchase::{PurchaseStep, PurchaseSweep, Varied, sweep_purchase};
pub use removal::{CallusNeeded, EmptyHole, Removal};
pub use scatter::{Scatter, Scattering, add_scatter};
pub use shortening::{BoneAhead, EndTravel, PushRange, Slip};
pub use shoulder::{
    ArmLoads, JointReactions, JointSensitivity, JointsVaried, ShoulderLoads, StrapLoads,
};
pub use sizes::{Price, Size, Sizes, compared};
pub use solved::AssessError;
pub use strap::{HardwarePressure, StrapPressure};
pub use weeks::{ADVICE, Accident, Aftermath, MOST_HAND_MASS, MOST_STRAP_FORCE, Week, add_weeks};

use schemars::JsonSchema;
use serde::Serialize;

use crate::case::DefaultUsed;
pub use crate::construct::Part;
pub use crate::sampling::Share;

/// All constructs of a case side by side.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Assessment {
    /// Name and version of this JSON layout.
    pub format: &'static str,
    /// `contact` or `linear`: how the parts act on each other.
    pub mechanics: &'static str,
    /// Title of the case.
    pub title: String,
    /// The answer in a few plain sentences.
    pub summary: Vec<String>,
    /// Who.
    pub patient: PatientSummary,
    /// The break.
    pub fracture: FractureSummary,
    /// How each stiffness was measured, and where moments are referred to.
    pub fixtures: Vec<String>,
    /// The loadings, in case order.
    pub activities: Vec<ActivitySummary>,
    /// The unbroken bone in the same fixtures.
    pub intact: Stiffness,
    /// The constructs, in case order.
    pub constructs: Vec<ConstructAssessment>,
    /// Inputs the case left to their defaults.
    pub defaults_used: Vec<DefaultUsed>,
    /// What the reader must keep in mind.
    pub cautions: Vec<String>,
    /// How virtual patients were drawn, if asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scatter: Option<Scatter>,
    /// The same case with linear couplings, if asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub linear: Option<Box<Assessment>>,
}

/// The patient as the model sees them.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PatientSummary {
    /// Preset the case starts from.
    pub preset: String,
    /// `right` or `left`.
    pub side: &'static str,
    /// Body mass, kg.
    pub body_mass_kg: f64,
    /// Straight length of the clavicle, mm.
    pub length_mm: f64,
    /// Narrowest place of the usable canal, mm.
    pub narrowest_canal_mm: f64,
    /// Where it is, fraction of length.
    pub narrowest_canal_position: f64,
}

/// The fracture as the model sees it.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FractureSummary {
    /// Fraction of length from the sternal end.
    pub position: f64,
    /// `transverse`, `oblique` or `comminuted`.
    pub pattern: &'static str,
    /// Angle between the faces' normal and the bone's axis, deg; absent unless oblique.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub obliquity_deg: Option<f64>,
    /// Where the plane of an oblique break begins and where it ends; absent unless oblique.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub obliquity_direction: Option<&'static str>,
    /// Length of the gap, mm.
    pub gap_mm: f64,
    /// Friction coefficient of broken end on broken end; only contact uses it.
    pub face_friction: f64,
    /// Shear force that the teeth of the break hold, N; only contact uses it.
    pub interlock_shear_n: f64,
    /// Modulus of healing tissue across it, MPa; absent when there is none.
    pub callus_modulus_mpa: Option<f64>,
}

/// One loading in words.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ActivitySummary {
    /// Name in tables.
    pub name: String,
    /// What acts, with numbers, and how the bone is held.
    pub description: String,
    /// Largest resultant moment it puts on the intact bone, N·m.
    pub peak_moment_nm: f64,
    /// Resultant moment where the fracture is, N·m.
    pub fracture_moment_nm: f64,
    /// What acts on the shoulder; absent for a bench test.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shoulder: Option<ShoulderLoads>,
}

/// Stiffness in the four modes.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct Stiffness {
    /// Axial, N/mm.
    pub axial_n_per_mm: f64,
    /// Bending the acromial end down, N·m/deg.
    pub bending_sup_inf_nm_per_deg: f64,
    /// Bending the acromial end up, N·m/deg: differs from down where parts touch and part.
    pub bending_up_nm_per_deg: f64,
    /// Bending forward and back, N·m/deg.
    pub bending_ant_post_nm_per_deg: f64,
    /// Torsion, N·m/deg.
    pub torsion_nm_per_deg: f64,
}

/// Stiffness of a construct, with its share of the intact bone's.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct RelativeStiffness {
    /// Axial, N/mm.
    pub axial_n_per_mm: f64,
    /// Axial, % of intact.
    pub axial_percent_of_intact: f64,
    /// Bending the acromial end down, N·m/deg.
    pub bending_sup_inf_nm_per_deg: f64,
    /// Bending up and down, % of intact.
    pub bending_sup_inf_percent_of_intact: f64,
    /// Bending the acromial end up, N·m/deg: differs from down where parts touch and part.
    pub bending_up_nm_per_deg: f64,
    /// Bending forward and back, N·m/deg.
    pub bending_ant_post_nm_per_deg: f64,
    /// Bending forward and back, % of intact.
    pub bending_ant_post_percent_of_intact: f64,
    /// Torsion, N·m/deg.
    pub torsion_nm_per_deg: f64,
    /// Torsion, % of intact.
    pub torsion_percent_of_intact: f64,
}

/// One construct.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ConstructAssessment {
    /// Name in the case.
    pub name: String,
    /// What it is, in words.
    pub device: String,
    /// Stiffness in the four modes.
    pub stiffness: RelativeStiffness,
    /// The places that can fail, each with its stresses and margins.
    pub critical_sections: Vec<CriticalSection>,
    /// What putting it in did to the reduced fracture; absent in the linear model.
    pub opened_by_putting_in: Option<OpenedByPuttingIn>,
    /// Motion of the fracture in each activity.
    pub fracture_motion: Vec<FractureMotion>,
    /// How its parts touch in each activity; empty in the linear model.
    pub contact: Vec<ContactState>,
    /// Factor on each activity's loads at which the construct buckles (linear, small
    /// movements); absent when it does not.
    pub buckling_factors: Vec<Option<f64>>,
    /// How far the stiffnesses of the joints move its smallest margin, for each activity in which
    /// they hold the bone.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub joint_sensitivity: Vec<JointSensitivity>,
    /// Whether it goes in.
    pub fit: Fit,
    /// The sizes it is offered in, or its one size; absent for plates.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sizes: Option<Sizes>,
    /// What holds it in each fragment.
    pub purchase: Purchase,
    /// What more purchase would gain, if asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub purchase_sweep: Vec<PurchaseSweep>,
    /// Whether it keeps the bone's length.
    pub slip: Slip,
    /// What tightening it does to the fracture; absent for devices that cannot be tightened.
    pub compression: Option<Compression>,
    /// How far it stands out of the bone.
    pub prominence: Prominence,
    /// What a strap presses on, one for each activity with a strap.
    pub strap: Vec<StrapPressure>,
    /// Screws and tips over vessels and nerves: cautions, never clearances.
    pub structures_at_risk: Vec<StructureAtRisk>,
    /// The bone once it is out.
    pub removal: Removal,
    /// Every screw of its plates, from medial to lateral plate by plate.
    pub screws: Vec<ScrewAssessment>,
    /// Distance along the plate between the innermost screws on either side of the fracture, mm;
    /// of two plates the shorter; absent for bars in the canal.
    pub working_length_mm: Option<f64>,
    /// The weeks after the operation, if asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub weeks: Vec<Week>,
    /// How they come out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub aftermath: Option<Aftermath>,
    /// How it fares in many patients, if asked for; absent where it fits none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chances: Option<Chances>,
    /// Warnings in plain sentences.
    pub flags: Vec<String>,
    /// Moments and stresses along the bone, for plots.
    pub courses: Vec<Course>,
    /// Its shape, for plots.
    #[serde(skip)]
    pub drawing: Drawing,
}

/// A place that can fail.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct CriticalSection {
    /// Short name: `mid gap`, `hole 4 (empty)`, `thread run-out`.
    pub name: String,
    /// `device`, `screw` or `bone`.
    pub part: Part,
    /// Fraction of bone length.
    pub position: f64,
    /// How the nominal stress is defined.
    pub nominal: String,
    /// Theoretical stress concentration factor on that nominal stress.
    pub kt: f64,
    /// Fatigue notch factor.
    pub kf: f64,
    /// Material name.
    pub material: String,
    /// Stress at which it bends for good, MPa.
    pub proof_stress_mpa: f64,
    /// One for each activity.
    pub activities: Vec<SectionStress>,
}

/// Stress and margins at one critical section in one activity.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct SectionStress {
    /// Largest nominal equivalent stress that the activity causes, MPa.
    pub nominal_stress_mpa: f64,
    /// Elastic stress left by putting the device in, MPa; beyond proof stress it bends for good
    /// instead.
    pub locked_in_stress_mpa: f64,
    /// Proof stress over nominal stress; absent when nothing acts.
    pub static_margin: Option<f64>,
    /// Factor on the load for 10⁵ cycles between nothing and it.
    pub fatigue_margin_1e5: Option<f64>,
    /// The same for 10⁶ cycles.
    pub fatigue_margin_1e6: Option<f64>,
    /// The same for 10⁷ cycles.
    pub fatigue_margin_1e7: Option<f64>,
}

/// Where the lateral fragment stands against its reduced place once the device is in and
/// nothing acts yet.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct OpenedByPuttingIn {
    /// Farthest that the faces stand open on the rim of the bone, square to them, mm.
    pub rim_mm: f64,
    /// Along the bone at its axis, mm; negative closes the gap.
    pub along_mm: f64,
    /// Across the bone, mm.
    pub across_mm: f64,
    /// Bending angle between the faces, deg.
    pub angle_deg: f64,
}

/// How the lateral fragment moves against the medial one at the fracture, from rest with the
/// device in to load.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct FractureMotion {
    /// Along the bone at its axis, mm; negative closes the gap.
    pub axial_mm: f64,
    /// Across the bone, mm.
    pub shear_mm: f64,
    /// Bending angle between the faces, deg.
    pub angle_deg: f64,
    /// Twist between the faces, deg.
    pub twist_deg: f64,
    /// Largest opening or closing on the rim of the bone, square to the faces, mm.
    pub rim_mm: f64,
    /// Farthest that the faces then stand open on the rim against their reduced place, mm.
    pub stands_open_mm: f64,
    /// Largest opening or closing on the rim over the gap there at rest, % (interfragmentary
    /// strain).
    pub strain_percent: f64,
}

/// How the parts of a construct touch in one activity.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct ContactState {
    /// Share of the rim of the fracture where the ends press on each other, %.
    pub faces_pressed_percent: f64,
    /// Force with which they do, N.
    pub face_force_n: f64,
    /// Farthest a nail or pin slides on the wall of the canal, mm; absent for plates.
    pub nail_slip_mm: Option<f64>,
    /// Largest force of a nail or pin on the wall at one place, N; absent for plates.
    pub nail_wall_force_n: Option<f64>,
}

/// Whether a device goes in.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Fit {
    /// One word for the table: `yes`, `tight`, `bends` (for good, on its way in), `forced` (beyond
    /// its proof strain), `drill` (only where the canal is drilled straighter), `no`.
    pub verdict: &'static str,
    /// The reason, in a sentence.
    pub reason: String,
    /// Device diameter over the narrowest canal it passes; absent for plates.
    pub canal_fill: Option<f64>,
}

/// How much of the device holds in each fragment.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct Purchase {
    /// Length of device in the medial fragment, mm.
    pub medial_mm: f64,
    /// Length of device in the lateral fragment, mm.
    pub lateral_mm: f64,
    /// Screws in the medial fragment; zero for nails and pins.
    pub medial_screws: usize,
    /// Screws in the lateral fragment.
    pub lateral_screws: usize,
}

/// A screw of a plate.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ScrewAssessment {
    /// Short name.
    pub name: String,
    /// Fraction of bone length.
    pub position: f64,
    /// Outer diameter of its thread, mm.
    pub outer_diameter_mm: f64,
    /// Core diameter, mm.
    pub core_diameter_mm: f64,
    /// Distance from thread to thread, mm.
    pub pitch_mm: f64,
    /// Cortices it holds in, one or two.
    pub cortices: usize,
    /// Whether its head locks in the plate.
    pub locking: bool,
    /// Cortex that it passes through, mm.
    pub cortex_mm: f64,
    /// Force that would pull it out, N.
    pub pull_out_n: f64,
    /// One for each activity.
    pub activities: Vec<ScrewLoad>,
}

/// What a screw carries in one activity, with what putting the device in has left.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct ScrewLoad {
    /// Force along the screw between plate and bone, N; positive pulls it out.
    pub axial_force_n: f64,
    /// Force across the screw between plate and bone, N.
    pub lateral_force_n: f64,
    /// Largest bending stress in its core, MPa.
    pub bending_stress_mpa: f64,
    /// Pull-out force over the force that pulls; absent when nothing pulls.
    pub pull_out_margin: Option<f64>,
}

/// Moments and stresses along the bone in one activity.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Course {
    /// Activity name.
    pub activity: String,
    /// Samples from the sternal to the acromial end.
    pub samples: Vec<CourseSample>,
}

/// One place along the bone. What is not there is absent.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct CourseSample {
    /// Fraction of length.
    pub position: f64,
    /// Bending moment in the bone, N·m.
    pub bone_moment_nm: Option<f64>,
    /// Bending moment in the device, N·m.
    pub device_moment_nm: Option<f64>,
    /// Largest nominal stress in the bone, MPa.
    pub bone_stress_mpa: Option<f64>,
    /// Largest nominal stress in the device, MPa.
    pub device_stress_mpa: Option<f64>,
}

/// Shapes to draw, mm, in the frame of the right clavicle: x lateral, y anterior, z superior.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    /// Slices of the medial and of the lateral fragment, each from medial to lateral; over an
    /// oblique break they overlap.
    pub fragments: Vec<Vec<BoneSlice>>,
    /// Where an oblique break cuts the fragments off.
    pub cut: Option<Cut>,
    /// Nails and pins: stretches of one diameter each.
    pub rods: Vec<Rod>,
    /// Plates.
    pub plates: Vec<PlateShape>,
    /// Screws.
    pub screws: Vec<Rod>,
}

/// The sloping faces of an oblique break.
#[derive(Debug, Clone, Copy)]
pub struct Cut {
    /// A point of the medial and of the lateral face.
    pub faces: [[f64; 3]; 2],
    /// Unit normal of both, pointing laterally.
    pub normal: [f64; 3],
}

/// A slice of bone.
#[derive(Debug, Clone, Copy)]
pub struct BoneSlice {
    /// Centre.
    pub centre: [f64; 3],
    /// Outer size front to back and top to bottom.
    pub outer: [f64; 2],
    /// Canal size front to back and top to bottom.
    pub canal: [f64; 2],
    /// Whether the canal is open here.
    pub canal_open: bool,
}

/// A round bar along a line of points.
#[derive(Debug, Clone)]
pub struct Rod {
    /// Axis.
    pub points: Vec<[f64; 3]>,
    /// Diameter.
    pub diameter: f64,
    /// Whether it is threaded.
    pub threaded: bool,
}

/// A plate as a strip.
#[derive(Debug, Clone)]
pub struct PlateShape {
    /// Middle of the plate's thickness along it.
    pub points: Vec<[f64; 3]>,
    /// Unit direction out of the bone at each point.
    pub normals: Vec<[f64; 3]>,
    /// Unit direction across the plate at each point.
    pub across: Vec<[f64; 3]>,
    /// Width.
    pub width: f64,
    /// Thickness.
    pub thickness: f64,
    /// Centres of the holes, and whether each is filled.
    pub holes: Vec<([f64; 3], bool)>,
    /// Diameter of the holes.
    pub hole_diameter: f64,
}
