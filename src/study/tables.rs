//! The study file as it is typed: nothing here is checked beyond its schema.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;

use crate::sampling::{CorrelationTable, DistributionTable};

/// A study: inputs of a case or frame file varied by a plan, and the outputs that are kept.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StudyTable {
    /// Title for reports.
    #[schemars(length(min = 1))]
    pub title: String,
    /// Case file that is varied, relative to this file. Either this or `frame`.
    #[schemars(length(min = 1))]
    pub case: Option<String>,
    /// Frame file that is varied, relative to this file. Either this or `case`.
    #[schemars(length(min = 1))]
    pub frame: Option<String>,
    /// How couplings of a case act; frame files say so themselves. Default: linear.
    pub mechanics: Option<MechanicsWord>,
    /// What is varied.
    #[schemars(length(min = 1))]
    pub input: Vec<InputTable>,
    /// Inputs that go together, named by their columns; not in a grid.
    #[serde(default)]
    pub correlation: Vec<CorrelationTable>,
    /// Which combinations are tried.
    pub plan: PlanTable,
    /// Combinations that cannot be; they are left out and counted.
    #[serde(default)]
    pub constraint: Vec<ConstraintTable>,
    /// What is kept of the results.
    #[schemars(length(min = 1))]
    pub output: Vec<OutputTable>,
}

/// How couplings act.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum MechanicsWord {
    /// Nothing parts, touches or slides: fast.
    #[default]
    Linear,
    /// Parts touch, part and rub: some ten times slower.
    Contact,
}

/// An input: where it stands in the base file, and what it may be. Numbers are in the unit of
/// the key.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InputTable {
    /// Key path in the base file; an entry of a list stands by its name, or by its number
    /// from 1: `construct.superior plate.plate.thickness_mm`.
    #[schemars(length(min = 1))]
    pub key: String,
    /// Name of the column; it must end in the unit of the key. Default: the key path.
    #[schemars(length(min = 1))]
    pub column: Option<String>,
    /// Numbers or words, each as likely as the others.
    #[schemars(length(min = 1))]
    pub values: Option<Vec<Level>>,
    /// Evenly between two numbers.
    pub range: Option<RangeTable>,
    /// How it scatters; not for a grid.
    pub distribution: Option<DistributionTable>,
}

/// A number, word or yes-or-no.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct Level(pub toml::Value);

impl JsonSchema for Level {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Level".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A number, word or yes-or-no.",
            "type": ["number", "string", "boolean"],
        })
    }
}

/// Evenly between two numbers.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RangeTable {
    /// Smallest.
    pub from: f64,
    /// Largest.
    pub to: f64,
    /// How many of them a grid takes, both ends included.
    #[schemars(range(min = 2, max = 1_000_000))]
    pub count: Option<u32>,
}

/// Which combinations are tried: exactly one plan.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PlanTable {
    /// Every value of each input with every value of the others; the last input changes fastest.
    pub grid: Option<GridTable>,
    /// Each input's span cut into as many equally likely parts as there are samples.
    pub latin_hypercube: Option<SampledTable>,
    /// Sobol's sequence: points that fill the space evenly, however many.
    pub sobol: Option<SampledTable>,
    /// Each sample by itself.
    pub random: Option<SampledTable>,
    /// Saltelli's design, from which `sensitivity` estimates Sobol's indices: each base sample
    /// takes as many samples as there are inputs, and two more. Inputs must be independent.
    pub sobol_indices: Option<IndicesTable>,
}

/// A full grid.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GridTable {}

/// Samples drawn from the inputs' distributions.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SampledTable {
    /// How many.
    #[schemars(range(min = 1, max = 4_294_967_296_u64))]
    pub samples: u64,
    /// Which of all possible draws; the same seed gives the same samples. Default: 1.
    #[serde(default = "first_seed")]
    #[schemars(range(min = 0, max = 4_294_967_295_u64))]
    pub seed: u64,
}

/// Samples for sensitivity indices.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IndicesTable {
    /// How many points stand behind each index: hundreds for a ranking, thousands for two
    /// digits. A power of two spreads them most evenly.
    #[schemars(range(min = 16, max = 4_294_967_296_u64))]
    pub base_samples: u64,
    /// Which of all possible draws; the same seed gives the same samples. Default: 1.
    #[serde(default = "first_seed")]
    #[schemars(range(min = 0, max = 4_294_967_295_u64))]
    pub seed: u64,
}

fn first_seed() -> u64 {
    1
}

/// A combination that can be: one value smaller than another. What breaks it is left out.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConstraintTable {
    /// Key path in the base file, as in `input`.
    pub smaller: String,
    /// Key path in the base file of what it must be smaller than.
    pub than: String,
}

/// A result that is kept, as a column.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OutputTable {
    /// Key path in the JSON of `compare` or `solve`; an entry of a list stands by its name, by
    /// its number from 1, a week by itself, or all of them as `*`:
    /// `constructs.superior plate.weeks.6.allowed_hand_mass_kg`. `clavibeam schema compare` tells
    /// all keys of a case.
    #[schemars(length(min = 1))]
    pub key: String,
    /// Which of several, or how many, where the key has a `*`.
    pub take: Option<TakeWord>,
    /// Name of the column; it must end in the unit of the key. Default: the key path.
    #[schemars(length(min = 1))]
    pub column: Option<String>,
}

/// Which of several numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum TakeWord {
    /// The smallest.
    Smallest,
    /// The largest.
    Largest,
    /// How many there are.
    Count,
}
