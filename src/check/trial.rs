//! Cases compared as on a bench, and what of the comparison is set against published results.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::Value;

use super::formula::Named;
use crate::assess::assess;
use crate::case;
use crate::construct::Mechanics;

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
}

/// A number of the document, or one over another.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Picked {
    /// JSON pointer to the number.
    value: String,
    /// JSON pointer to what it is divided by.
    over: Option<String>,
}

impl Trial {
    pub(super) fn results(&self) -> Vec<Named> {
        let case = case::parse(&self.case, "check").unwrap_or_else(|error| {
            panic!("our own cases are sound, but: {error}");
        });
        let mechanics = match self.contact {
            true => Mechanics::Contact,
            false => Mechanics::Linear,
        };
        let Ok(assessment) = assess(&case, mechanics) else {
            return Vec::new();
        };
        let document = serde_json::to_value(&assessment).expect("plain data is JSON");
        let number = |pointer: &str| document.pointer(pointer).and_then(Value::as_f64);
        let picked = self.results.iter().filter_map(|(name, picked)| {
            let over = match &picked.over {
                Some(pointer) => number(pointer)?,
                None => 1.0,
            };
            Some((name.clone(), number(&picked.value)? / over))
        });
        picked.collect()
    }
}
