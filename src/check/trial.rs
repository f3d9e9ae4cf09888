//! Cases compared as on a bench, and what of the comparison is set against published results.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::Value;

use super::formula::Named;
use super::variant::changed;
use crate::assess::assess;
use crate::case;
use crate::construct::Mechanics;
use crate::study::key::{found, in_results};

/// A case, compared, and results picked from the document that `compare --json` writes.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Trial {
    /// The case file.
    case: String,
    /// Whether bodies touch and part; otherwise linear.
    contact: bool,
    /// Results by name.
    results: BTreeMap<String, Picked>,
    /// Keys changed, as in a study, in the case whose numbers divide; the same case without.
    #[serde(default)]
    over_set: BTreeMap<String, toml::Value>,
}

/// Numbers of the document, multiplied and divided.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Picked {
    /// Key paths to factors, as of an output of a study; of all that a `*` stands for, the
    /// smallest.
    value: Vec<String>,
    /// Key paths to what the product is divided by.
    #[serde(default)]
    over: Vec<String>,
}

/// A comparison as a document, and the names of its activities.
struct Compared {
    document: Value,
    activities: Vec<String>,
}

impl Trial {
    pub(super) fn results(&self) -> Vec<Named> {
        let table: toml::Table = toml::from_str(&self.case).expect("our own cases are TOML");
        let other = changed(&table, &self.over_set);
        let compare = |table: &toml::Table| self.compared(table);
        let Some(first) = compare(&table) else {
            return Vec::new();
        };
        let second = match self.over_set.is_empty() {
            true => None,
            false => compare(&other),
        };
        let picked = self.results.iter().filter_map(|(name, picked)| {
            let over = second.as_ref().unwrap_or(&first);
            let ratio = first.product(&picked.value)? / over.product(&picked.over)?;
            Some((name.clone(), ratio))
        });
        picked.collect()
    }

    fn compared(&self, table: &toml::Table) -> Option<Compared> {
        let text = toml::to_string(table).expect("a table can be written");
        let case = case::parse(&text, "check").unwrap_or_else(|error| {
            panic!("our own cases are sound, but: {error}");
        });
        let mechanics = match self.contact {
            true => Mechanics::Contact,
            false => Mechanics::Linear,
        };
        let assessment = assess(&case, mechanics).ok()?;
        let activities = case.activities.into_iter();
        Some(Compared {
            document: serde_json::to_value(&assessment).expect("plain data is JSON"),
            activities: activities.map(|activity| activity.name).collect(),
        })
    }
}

impl Compared {
    fn product(&self, paths: &[String]) -> Option<f64> {
        paths.iter().map(|path| self.number(path)).product()
    }

    /// The number at a path, the smallest where there are several.
    fn number(&self, path: &str) -> Option<f64> {
        let activities: Vec<&str> = self.activities.iter().map(String::as_str).collect();
        let steps = in_results(&self.document, path, &activities);
        let steps = steps.unwrap_or_else(|rule| panic!("{path} {rule}"));
        let mut values = Vec::new();
        found(&self.document, &steps, &mut values);
        values
            .into_iter()
            .filter_map(Value::as_f64)
            .reduce(f64::min)
    }
}
