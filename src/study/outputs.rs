//! The outputs of a study: which results must be computed for them, and where each is found.

use serde_json::Value as Json;
use toml::Table;

use super::base::{Base, Kind, Wanted};
use super::key::{self, Step};
use super::tables::{StudyTable, TakeWord};
use crate::assess::{Answer, Assessment, CaseAnswer};
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
            Some(TakeWord::Count) => Some(found.len() as f64),
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
    let asked = |part: &str| {
        let inside = format!(".{part}");
        table.output.iter().any(|each| each.key.contains(&inside))
    };
    let everything = own_keys
        .map_err(|error| error.to_string())
        .and_then(|own| base.everything(&base.table, &own, asked))
        .or_else(|_| base.everything(first, keys, asked));
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
            true => "is missing: say which of several, \"smallest\" or \"largest\", or \"count\"",
            false => "has no meaning without a * in the key",
        };
        check.require(
            &key_path(&entry, "take"),
            several == output.take.is_some(),
            rule,
        );
        let counted = output.take == Some(TakeWord::Count);
        let number = counted || is_number(base.kind, &everything, &steps);
        check.require(
            &key_path(&entry, "take"),
            number || !several,
            "needs numbers; of words, take = \"count\"",
        );
        kinds.push(number);
        let part = match base.kind {
            Kind::Frame => Ok(None),
            Kind::Case(_) => Part::of(&everything, &steps).map(Some),
        };
        match part {
            Ok(part) => found.push((part, steps, output.take)),
            Err(rule) => check.problem(&key_path(&entry, "key"), rule),
        }
    }
    let mut parts: Vec<Part> = found.iter().filter_map(|(part, ..)| *part).collect();
    parts.sort_unstable();
    parts.dedup();
    for (part, steps, take) in found {
        let result = part.and_then(|part| parts.iter().position(|each| *each == part));
        let below = part.map_or(0, Part::depth);
        outputs.push(Output {
            result: result.unwrap_or(0),
            steps: steps[below..].to_vec(),
            take,
        });
    }
    for part in parts {
        let needs = match part {
            Part::OfConstruct(construct, answer) => {
                match wanted.constructs.last_mut() {
                    Some((last, answers)) if *last == construct => answers.push(answer),
                    _ => wanted.constructs.push((construct, vec![answer])),
                }
                answer.needs_intact()
            }
            Part::OfCase(answer) => {
                wanted.of_case.push(answer);
                answer.needs_intact()
            }
        };
        wanted.intact = [0, 1].map(|depth| wanted.intact[depth] || needs[depth]);
    }
    (wanted, outputs, kinds)
}

/// A part of the results of a case that is computed by itself; those of constructs first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    /// Of the construct with this number.
    OfConstruct(usize, Answer),
    OfCase(CaseAnswer),
}

impl Part {
    /// In which a path of results lies.
    fn of(results: &Json, steps: &[Step]) -> Result<Self, String> {
        let found = match steps {
            [
                Step::Key(constructs),
                Step::Named(name),
                Step::Key(part),
                ..,
            ] if constructs == "constructs" => {
                let mut list = results["constructs"].as_array().into_iter().flatten();
                let index = list.position(|each| each["name"] == **name);
                let pair = index.zip(Answer::named(part));
                pair.map(|(index, answer)| Part::OfConstruct(index, answer))
            }
            [Step::Key(part), ..] => CaseAnswer::named(part).map(Part::OfCase),
            _ => None,
        };
        found.ok_or_else(|| {
            let of_case: Vec<&str> = CaseAnswer::ALL.iter().map(|(name, _)| *name).collect();
            let parts: Vec<&str> = Answer::ALL.iter().map(|(name, _)| *name).collect();
            format!(
                "is not kept in a study: it must begin with {}, or with constructs, the name of \
                 one and one of {}",
                of_case.join(", "),
                parts.join(", ")
            )
        })
    }

    /// How many steps lead to it.
    fn depth(self) -> usize {
        match self {
            Part::OfConstruct(..) => 3,
            Part::OfCase(_) => 1,
        }
    }
}

/// Whether numbers stand at the end of a path. What is null in the base file's results may be a
/// word in others: of a case the schema of the results tells.
fn is_number(kind: Kind, everything: &Json, steps: &[Step]) -> bool {
    let mut values = Vec::new();
    key::found(everything, steps, &mut values);
    let mut given = values.iter().filter(|value| !value.is_null()).peekable();
    match (given.peek().is_some(), kind) {
        (true, _) => given.all(|value| value.is_number()),
        (false, Kind::Frame) => true,
        (false, Kind::Case(_)) => {
            let schema = schemars::schema_for!(Assessment);
            let leaf = schema_at(schema.as_value(), schema.as_value(), steps);
            leaf.is_some_and(|leaf| {
                let text = leaf["type"].to_string();
                text.contains("number") || text.contains("integer")
            })
        }
    }
}

/// The schema of what stands at the end of a path.
fn schema_at<'s>(root: &'s Json, here: &'s Json, steps: &[Step]) -> Option<&'s Json> {
    if let Some(name) = here["$ref"].as_str() {
        return schema_at(root, root.pointer(name.strip_prefix('#')?)?, steps);
    }
    if let Some(choices) = here["anyOf"].as_array() {
        let mut given = choices.iter().filter(|each| each["type"] != "null");
        return schema_at(root, given.next()?, steps);
    }
    let Some((step, rest)) = steps.split_first() else {
        return Some(here);
    };
    let next = match step {
        Step::Key(key) => here["properties"].get(key),
        Step::Entry(_) | Step::Named(_) | Step::Every => here.get("items"),
    };
    schema_at(root, next?, rest)
}
