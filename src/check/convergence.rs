//! How quickly answers come closer the finer a model is.

use serde::{Deserialize, Serialize};
use toml::Value;

use super::formula::Formula;
use super::{Check, Verdict};

const FILE: &str = include_str!("values/convergence.toml");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    study: Vec<Study>,
}

/// A model, made finer and finer.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Study {
    id: String,
    title: String,
    /// A few words for its picture.
    short: String,
    source: String,
    /// What is computed; the text `{n}` stands for how fine it is.
    of: Value,
    /// Which result of it is looked at.
    result: String,
    /// What that tends to.
    limit: f64,
    /// How fine, doubled from one to the next.
    levels: Vec<i64>,
    /// What is counted by that.
    counted: String,
    order: f64,
    slack: f64,
    /// Why the order is what it is.
    order_reason: String,
}

/// How one answer comes closer the finer its model is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Convergence {
    /// What is looked at.
    pub title: String,
    /// The same in a few words.
    pub short: String,
    /// What the levels count.
    pub counted: String,
    /// The value it tends to.
    pub limit: f64,
    /// From the coarsest model to the finest.
    pub levels: Vec<Level>,
    /// The order of the method: the error falls with this power of the spacing.
    pub order: f64,
    /// Why it is that.
    pub order_reason: String,
    /// The order as a check.
    pub check: Check,
}

/// One model.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Level {
    /// How fine it is.
    pub fineness: i64,
    /// Difference from the limit as a fraction of it.
    pub error: f64,
    /// Order between this model and the one before.
    pub order: Option<f64>,
}

/// All studies, solved.
pub fn convergences() -> Vec<Convergence> {
    studies().iter().map(Study::solved).collect()
}

fn studies() -> Vec<Study> {
    let file: File = toml::from_str(FILE).expect("our own studies are well formed");
    file.study
}

/// The orders that are wanted as checks.
pub(super) fn checks(wanted: &impl Fn(&Check) -> bool) -> Vec<Check> {
    let studies = studies();
    let wanted = studies.iter().filter(|study| wanted(&study.check(None)));
    wanted.map(|study| study.solved().check).collect()
}

impl Study {
    /// * `order`: the one found that is farthest from the one expected
    fn check(&self, order: Option<f64>) -> Check {
        let agrees = order.is_some_and(|order| (order - self.order).abs() <= self.slack);
        Check {
            id: format!("{}.order", self.id),
            topic: "convergence".to_owned(),
            title: self.title.clone(),
            quantity: "order".to_owned(),
            source: self.source.clone(),
            expected: Some(self.order),
            agrees_within: [self.order - self.slack, self.order + self.slack],
            obtained: order,
            tolerance_reason: self.order_reason.clone(),
            verdict: match agrees {
                true => Verdict::Agrees,
                false => Verdict::Fails,
            },
        }
    }

    fn solved(&self) -> Convergence {
        let mut levels: Vec<Level> = Vec::new();
        for &fineness in &self.levels {
            let error = self.answer(fineness) / self.limit - 1.0;
            let before = levels.last();
            let order = before.map(|before| (before.error / error).abs().log2());
            levels.push(Level {
                fineness,
                error,
                order,
            });
        }
        let away = |order: &f64| (order - self.order).abs();
        let orders = levels.iter().filter_map(|level| level.order);
        let farthest = orders.max_by(|a, b| away(a).total_cmp(&away(b)));
        Convergence {
            title: self.title.clone(),
            short: self.short.clone(),
            counted: self.counted.clone(),
            limit: self.limit,
            levels,
            order: self.order,
            order_reason: self.order_reason.clone(),
            check: self.check(farthest),
        }
    }

    /// The result of a model so fine; not a number where it cannot be solved.
    fn answer(&self, fineness: i64) -> f64 {
        let formula: Formula = filled_in(&self.of, fineness)
            .try_into()
            .unwrap_or_else(|error| panic!("{}: {error}", self.id));
        let results = formula.results();
        let found = results.iter().find(|(name, _)| *name == self.result);
        found.map_or(f64::NAN, |(_, value)| *value)
    }
}

/// A value with `{n}` replaced by a number, at any depth.
fn filled_in(value: &Value, number: i64) -> Value {
    match value {
        Value::String(text) if text == "{n}" => number.into(),
        Value::Array(list) => {
            let entries = list.iter().map(|entry| filled_in(entry, number));
            Value::Array(entries.collect())
        }
        Value::Table(table) => {
            let entries = table.iter();
            let filled = entries.map(|(key, entry)| (key.clone(), filled_in(entry, number)));
            Value::Table(filled.collect())
        }
        other => other.clone(),
    }
}
