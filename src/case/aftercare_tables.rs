//! What a case file says about the weeks after the operation, as it is typed.

use schemars::JsonSchema;
use serde::Deserialize;

use super::defaults;
use crate::material;

/// Activities for the weeks after the operation.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ActivitySetWord {
    /// Sling, pendulum, assisted and free elevation, cup, household, driving, backpack, pushing off
    /// from a chair; and a fall, looked at by itself.
    Usual,
}

/// How fatigue is judged.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FatigueTable {
    /// How mean stress is counted.
    #[schemars(extend("default" = defaults::MEAN_STRESS.value))]
    pub mean_stress: Option<MeanStressWord>,
    /// Share of parts that survive: 50, 90, 95, 99, 99.9, 99.99, 99.999 or 99.9999.
    #[schemars(range(min = 50, max = 99.9999), extend("default" = defaults::RELIABILITY_PERCENT.value))]
    pub reliability_percent: Option<f64>,
    /// Finish of the implants; the factors are those of steels.
    #[schemars(extend("default" = defaults::FINISH.value))]
    pub surface: Option<FinishWord>,
    /// Repeats that an allowed load is borne for.
    #[schemars(range(min = 1000, max = 10000000), extend("default" = defaults::REPEATS.value))]
    pub repeats: Option<f64>,
    /// S-N lines that were measured, used as they are.
    #[serde(default)]
    pub measured: Vec<MeasuredLineTable>,
}

/// How mean stress is counted.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MeanStressWord {
    /// Straight line to the ultimate strength.
    Goodman,
    /// Parabola to the ultimate strength.
    Gerber,
    /// Straight line to the proof stress.
    Soderberg,
    /// Geometric mean of peak and amplitude.
    SmithWatsonTopper,
}

/// Finish of a surface.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FinishWord {
    /// As published specimens.
    Polished,
    /// Ground.
    Ground,
    /// Machined or cold-drawn.
    Machined,
    /// Hot-rolled.
    HotRolled,
    /// As forged.
    AsForged,
}

/// An S-N line that was measured: two points, fully reversed.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredLineTable {
    /// The material it replaces the line of.
    #[schemars(extend("enum" = material::NAMES))]
    pub material: String,
    /// Cycles, the fewer first.
    #[schemars(length(min = 2))]
    pub cycles: Vec<f64>,
    /// Amplitudes borne for them.
    #[schemars(length(min = 2))]
    pub amplitude_mpa: Vec<f64>,
}

/// How the fracture heals.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HealingTable {
    /// Weeks of a callus modulus that was measured or is assumed, rising; they replace the
    /// usual course together with `modulus_mpa`. Then callus bridges the gap from week 0 on; in
    /// the first week of the usual course nothing does.
    pub weeks: Option<Vec<f64>>,
    /// Callus modulus at those weeks.
    pub modulus_mpa: Option<Vec<f64>>,
    /// Outer diameter of the callus. Unless given, that of `fracture.callus`, or 1.4 times the
    /// bone with a nail or pin, the bone itself with a plate.
    #[schemars(range(min = 1, max = 60))]
    pub callus_outer_diameter_mm: Option<f64>,
    /// Smokers heal slower: everything takes 1.5 times as long.
    #[schemars(extend("default" = defaults::SLOW_HEALER.value))]
    pub smoker: Option<bool>,
    /// So do the elderly.
    #[schemars(extend("default" = defaults::SLOW_HEALER.value))]
    pub elderly: Option<bool>,
    /// How many times longer everything takes; replaces what age and smoking would make of it.
    #[schemars(range(min = 0.2, max = 10))]
    pub time_factor: Option<f64>,
    /// Weeks before healing begins.
    #[schemars(range(min = 0, max = 26), extend("default" = defaults::HEALING_DELAY_WEEKS.value))]
    pub delay_weeks: Option<f64>,
    /// Whether strain in the gap outside its window slows healing; not with weeks of the file
    /// unless given.
    pub strain_feedback: Option<bool>,
}
