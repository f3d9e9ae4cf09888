//! The outputs of a study: which results must be computed for them, and where each is found.

use serde_json::Value as Json;
use toml::Table;

use super::base::{Base, Kind, Wanted};
use super::key::{self, Step};
use super::tables::{StudyTable, TakeWord};
use crate::assess::Answer;
use crate::input::{Checker, entry_path, key_path};

/// Where an output is found: in which of the results computed, and where in it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Output {
    pub result: usize,
    pub steps: Vec<Step>,
    pub take: Option<TakeWord>,
}

impl Output {
    /// As it stands in the table; empty where there is none.
    pub fn cell(&self, results: &[Json]) -> String {
        let mut found = Vec::new();
        key::found(&results[self.result], &self.steps, &mut found);
        let numbers = found.iter().filter_map(|value| value.as_f64());
        let number = match self.take {
            Some(TakeWord::Smallest) => numbers.reduce(f64::min),
            Some(TakeWord::Largest) => numbers.reduce(f64::max),
            None => match found.first() {
                Some(Json::String(word)) => return word.clone(),
                Some(Json::Bool(yes)) => return yes.to_string(),
                Some(value) => value.as_f64(),
                None => None,
            },
        };
        number.map_or(String::new(), shown)
    }
}

/// The shortest digits that read back as the same number.
pub(super) fn shown(number: f64) -> String {
    format!("{number:?}")
}

/// What is computed, where each output is found in it, and whether it is a number.
pub(super) fn outputs(
    table: &StudyTable,
    base: &Base,
    first: &Table,
    keys: &Checker,
    check: &mut Checker,
) -> (Wanted, Vec<Output>, Vec<bool>) {
    let mut wanted = Wanted::default();
    let (mut outputs, mut kinds) = (Vec::new(), Vec::new());
    // The base file is there to be solved; where it cannot be, the first sample may do.
    let own_keys = base.schema_check(&base.table);
    let everything = own_keys
        .map_err(|error| error.to_string())
        .and_then(|own| base.everything(&base.table, &own))
        .or_else(|_| base.everything(first, keys));
    let (everything, activities) = match everything {
        Ok(everything) => everything,
        Err(cause) => {
            check.problem(
                "output",
                format!("cannot be looked up, the base file failing: {cause}"),
            );
            return (wanted, outputs, kinds);
        }
    };
    let activities: Vec<&str> = activities.iter().map(String::as_str).collect();
    let mut found = Vec::new();
    for (index, output) in table.output.iter().enumerate() {
        let entry = entry_path("output", index);
        let steps = match key::in_results(&everything, &output.key, &activities) {
            Ok(steps) => steps,
            Err(rule) => {
                check.problem(&key_path(&entry, "key"), rule);
                continue;
            }
        };
        let several = steps.contains(&Step::Every);
        let rule = match several {
            true => "is missing: say which of several, \"smallest\" or \"largest\"",
            false => "has no meaning without a * in the key",
        };
        check.require(
            &key_path(&entry, "take"),
            several == output.take.is_some(),
            rule,
        );
        let mut values = Vec::new();
        key::found(&everything, &steps, &mut values);
        let number = values
            .iter()
            .all(|value| value.is_number() || value.is_null());
        check.require(
            &key_path(&entry, "take"),
            number || !several,
            "needs numbers",
        );
        kinds.push(number);
        let part = match base.kind {
            Kind::Frame => Ok(None),
            Kind::Case(_) => part(&everything, &steps).map(Some),
        };
        match part {
            Ok(part) => found.push((part, steps, output.take)),
            Err(rule) => check.problem(&key_path(&entry, "key"), rule),
        }
    }
    let mut parts: Vec<(usize, Answer)> = found.iter().filter_map(|(part, ..)| *part).collect();
    parts.sort_unstable();
    parts.dedup();
    for (part, steps, take) in found {
        let result = part.and_then(|part| parts.iter().position(|each| *each == part));
        let below = if part.is_some() { 3 } else { 0 };
        outputs.push(Output {
            result: result.unwrap_or(0),
            steps: steps[below..].to_vec(),
            take,
        });
    }
    let against = parts.iter().map(|(_, answer)| *answer);
    wanted.against_intact = against.filter(|answer| answer.needs_intact()).collect();
    for (construct, answer) in parts {
        match wanted.constructs.last_mut() {
            Some((last, answers)) if *last == construct => answers.push(answer),
            _ => wanted.constructs.push((construct, vec![answer])),
        }
    }
    (wanted, outputs, kinds)
}

/// Which part of which construct a path of results lies in.
fn part(results: &Json, steps: &[Step]) -> Result<(usize, Answer), String> {
    let refuse = || {
        let names: Vec<&str> = Answer::ALL.iter().map(|(name, _)| *name).collect();
        format!(
            "is not kept in a study: it must be constructs, the name of one, and one of {}",
            names.join(", ")
        )
    };
    match steps {
        [
            Step::Key(constructs),
            Step::Named(name),
            Step::Key(part),
            ..,
        ] if constructs == "constructs" => {
            let mut list = results["constructs"].as_array().into_iter().flatten();
            let index = list.position(|each| each["name"] == **name);
            index.zip(Answer::named(part)).ok_or_else(refuse)
        }
        _ => Err(refuse()),
    }
}
