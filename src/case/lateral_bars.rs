//! Bars put in from the lateral side as they are typed: wires and cannulated screws.

use schemars::JsonSchema;
use serde::Deserialize;

use super::defaults;
use crate::device::catalogue::CANNULATED_SIZES;
use crate::material;

/// A smooth straight wire in the canal.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WireTable {
    /// Diameter.
    #[schemars(range(min = 0.5, max = 5))]
    pub diameter_mm: f64,
    /// Alloy and temper.
    #[schemars(extend("enum" = material::NAMES, "default" = defaults::WIRE_MATERIAL.value))]
    pub material: Option<String>,
    /// Its medial end, fraction of the length from the sternal end; 40 mm past the gap unless
    /// given.
    #[schemars(range(min = 0, max = 1))]
    pub medial_end: Option<f64>,
    /// Its lateral end, fraction of the length from the sternal end.
    #[schemars(range(min = 0, max = 1), extend("default" = defaults::LATERAL_CORTEX.value))]
    pub lateral_end: Option<f64>,
}

/// A hollow screw in the canal: thread at its far, medial end, smooth shank across the
/// fracture, head on the lateral cortex.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CannulatedScrewTable {
    /// Generic size: gives diameters and pitch where they are not given.
    #[schemars(extend("enum" = cannulated_names()))]
    pub size: Option<String>,
    /// Outer diameter of the thread.
    #[schemars(range(min = 0.5, max = 15))]
    pub outer_diameter_mm: Option<f64>,
    /// Core diameter of the thread.
    #[schemars(range(min = 0.3, max = 15))]
    pub core_diameter_mm: Option<f64>,
    /// Diameter of the channel along its axis.
    #[schemars(range(min = 0.1, max = 10))]
    pub cannulation_diameter_mm: Option<f64>,
    /// Distance from thread to thread.
    #[schemars(range(min = 0.1, max = 10))]
    pub pitch_mm: Option<f64>,
    /// Diameter of the smooth shank; the core diameter unless given.
    #[schemars(range(min = 0.3, max = 15))]
    pub shank_diameter_mm: Option<f64>,
    /// Alloy and temper.
    #[schemars(extend("enum" = material::NAMES, "default" = defaults::CANNULATED_MATERIAL.value))]
    pub material: Option<String>,
    /// Its medial tip, where the thread begins, fraction of the length from the sternal end;
    /// 40 mm past the gap unless given.
    #[schemars(range(min = 0, max = 1))]
    pub medial_tip: Option<f64>,
    /// Where the thread runs out into the shank, fraction of the length from the sternal end;
    /// 16 mm of thread unless given.
    #[schemars(range(min = 0, max = 1))]
    pub thread_end: Option<f64>,
    /// Where its head bears on the lateral cortex, fraction of the length from the sternal end.
    #[schemars(range(min = 0, max = 1), extend("default" = defaults::LATERAL_CORTEX.value))]
    pub head: Option<f64>,
    /// How far it is drawn home once its head bears on the cortex.
    #[schemars(range(min = 0, max = 10), extend("default" = defaults::COMPRESSION_MM.value))]
    pub compression_mm: Option<f64>,
}

/// The words for the cannulated screws in the catalogue.
fn cannulated_names() -> Vec<&'static str> {
    CANNULATED_SIZES.iter().map(|size| size.name).collect()
}
