//! What a case file says about scatter, as it is typed.

use schemars::JsonSchema;
use serde::Deserialize;

use super::defaults;
use crate::sampling::{CorrelationTable, DistributionTable};

/// How the inputs scatter that are not the same in every patient, hand and implant; each has a
/// distribution unless given. Values that the file measures do not scatter unless given here.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScatterTable {
    /// Mass in the hand of the level arm for which a limit counts as needed.
    #[schemars(range(min = 0, max = 50), extend("default" = defaults::LIMIT_MASS_KG.value))]
    pub hand_mass_kg: Option<f64>,
    /// Straight length of the bone.
    pub length_mm: Option<DistributionTable>,
    /// Depth of the medial curve.
    pub medial_curve_depth_mm: Option<DistributionTable>,
    /// Depth of the lateral curve.
    pub lateral_curve_depth_mm: Option<DistributionTable>,
    /// Height of the upward bow.
    pub superior_bow_mm: Option<DistributionTable>,
    /// Factor on all outer sizes of the bone.
    pub outer_scale: Option<DistributionTable>,
    /// Factor on all wall thicknesses; not beside a canal diameter.
    pub wall_scale: Option<DistributionTable>,
    /// Narrowest diameter of the canal, in place of `wall_scale`.
    pub canal_min_diameter_mm: Option<DistributionTable>,
    /// Young's modulus of cortical bone; its shear modulus goes with it.
    pub youngs_modulus_gpa: Option<DistributionTable>,
    /// Factor on every load.
    pub load_factor: Option<DistributionTable>,
    /// Factor on the modulus of the callus in each week.
    pub callus_modulus_factor: Option<DistributionTable>,
    /// Factor on the time that healing takes.
    pub healing_time_factor: Option<DistributionTable>,
    /// Factor on the cycles of every activity.
    pub cycles_factor: Option<DistributionTable>,
    /// Factor on the notched stress at holes and notched edges.
    pub notch_factor: Option<DistributionTable>,
    /// Fatigue notch factor of threads.
    pub thread_kf: Option<DistributionTable>,
    /// Factor on the fatigue strength of the device at any life.
    pub fatigue_strength_factor: Option<DistributionTable>,
    /// Factor on the proof stress of the device.
    pub proof_stress_factor: Option<DistributionTable>,
    /// How the ranks of two of them go together, in place of the usual correlations.
    pub correlation: Option<Vec<CorrelationTable>>,
}
