//! Key paths: places in a base file and in results, with list entries by name.
//!
//! Names may hold spaces and points (`construct.elastic nail 3.0.nail.diameter_mm`): at each
//! step the longest name that fits is meant.

use serde_json::Value as Json;
use toml::Value as Toml;

/// One step of a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Step {
    /// Key of a table.
    Key(String),
    /// Entry of a list, from 0.
    Entry(usize),
    /// Entry of a list of results that bears a name: it may stand elsewhere in each sample.
    Named(String),
    /// Every entry of a list.
    Every,
}

/// Keys by which the entries of a list are called, the first that an entry has.
const NAME_KEYS: [&str; 4] = ["name", "node", "member", "at"];

/// Where a path leads in a base file. The last keys need not be there yet.
///
/// # Errors
/// What is wrong with the path, to be read after it.
pub(crate) fn in_file(base: &toml::Table, path: &str) -> Result<Vec<Step>, String> {
    let mut steps = Vec::new();
    let root = Toml::Table(base.clone());
    let (mut here, mut rest) = (Some(&root), path);
    while !rest.is_empty() {
        let names: Vec<(String, Step)> = match here {
            Some(Toml::Table(table)) => keys(table.keys()),
            Some(Toml::Array(list)) => entries(
                list.iter()
                    .map(|entry| NAME_KEYS.iter().find_map(|key| entry.get(key)?.as_str())),
            ),
            Some(_) => return Err(format!("has nothing below it at '{rest}'")),
            None => Vec::new(),
        };
        let step = match longest(&names, rest) {
            Some((step, left)) => {
                rest = left;
                step
            }
            None if matches!(here, Some(Toml::Array(_))) => {
                return Err(unknown("names no entry", rest, &names));
            }
            None => {
                let (key, left) = rest.split_once('.').unwrap_or((rest, ""));
                rest = left;
                Step::Key(key.to_owned())
            }
        };
        here = here.and_then(|value| match &step {
            Step::Key(key) => value.get(key),
            Step::Entry(index) => value.get(*index),
            Step::Named(_) | Step::Every => None,
        });
        steps.push(step);
    }
    Ok(steps)
}

/// The value at a place of a base file, made if it is not there.
pub(crate) fn place<'t>(root: &'t mut toml::Table, steps: &[Step]) -> Option<&'t mut Toml> {
    let (first, rest) = steps.split_first()?;
    let Step::Key(first) = first else { return None };
    let empty = || Toml::Table(toml::Table::new());
    let mut here = root.entry(first.as_str()).or_insert_with(empty);
    for step in rest {
        here = match (step, here) {
            (Step::Key(key), Toml::Table(table)) => table.entry(key.as_str()).or_insert_with(empty),
            (Step::Entry(index), Toml::Array(list)) => list.get_mut(*index)?,
            _ => return None,
        };
    }
    Some(here)
}

/// The number at a place of a base file.
pub(crate) fn number(root: &toml::Table, steps: &[Step]) -> Option<f64> {
    let (first, rest) = steps.split_first()?;
    let Step::Key(first) = first else { return None };
    let mut here = root.get(first)?;
    for step in rest {
        here = match step {
            Step::Key(key) => here.get(key)?,
            Step::Entry(index) => here.get(*index)?,
            Step::Named(_) | Step::Every => return None,
        };
    }
    here.as_float()
        .or(here.as_integer().map(|whole| whole as f64))
}

/// Where a path leads in results; `activities` names the entries of lists that have one for
/// each activity.
///
/// # Errors
/// What is wrong with the path, to be read after it.
pub(crate) fn in_results(
    results: &Json,
    path: &str,
    activities: &[&str],
) -> Result<Vec<Step>, String> {
    let mut steps = Vec::new();
    let (mut here, mut rest) = (results, path);
    while !rest.is_empty() {
        let mut names = match here {
            Json::Object(table) => keys(table.keys()),
            Json::Array(list) => {
                let named = |entry: &Json| entry.get("name").and_then(Json::as_str).is_some();
                let weekly = |entry: &Json| entry["at_weeks"].as_f64();
                match list.iter().all(named) {
                    true => list
                        .iter()
                        .filter_map(|entry| entry["name"].as_str())
                        .map(|name| (name.to_owned(), Step::Named(name.to_owned())))
                        .collect(),
                    // A number means the week, not the place in the list.
                    false if list.iter().all(|entry| weekly(entry).is_some()) => list
                        .iter()
                        .enumerate()
                        .filter_map(|(at, entry)| {
                            Some((weekly(entry)?.to_string(), Step::Entry(at)))
                        })
                        .collect(),
                    false if list.len() == activities.len() => {
                        entries(activities.iter().map(|name| Some(*name)))
                    }
                    false => entries(list.iter().map(|_| None)),
                }
            }
            _ => return Err(format!("has nothing below it at '{rest}'")),
        };
        if here.is_array() {
            names.push(("*".to_owned(), Step::Every));
        }
        let Some((step, left)) = longest(&names, rest) else {
            let what = match here.is_array() {
                true => "names no entry",
                false => "is not a key of the results",
            };
            return Err(unknown(what, rest, &names));
        };
        rest = left;
        let next = match &step {
            Step::Key(key) => here.get(key),
            Step::Entry(index) => here.get(index),
            Step::Named(name) => named(here, name),
            Step::Every => here.get(0),
        };
        // That a list is empty may be just what is counted.
        let counted = step == Step::Every && rest.is_empty();
        steps.push(step);
        here = match next {
            Some(next) => next,
            None if counted => &Json::Null,
            None => return Err("leads to an empty list in the base file's results".to_owned()),
        };
    }
    match here {
        Json::Object(_) | Json::Array(_) => {
            let names = match here {
                Json::Object(table) => table.keys().cloned().collect::<Vec<_>>().join(", "),
                _ => "1, 2, ... or *".to_owned(),
            };
            Err(format!("must go on to one number or word: {names}"))
        }
        _ => Ok(steps),
    }
}

/// What stands at the end of a path in results; several where it has an [`Step::Every`].
pub(crate) fn found<'r>(results: &'r Json, steps: &[Step], into: &mut Vec<&'r Json>) {
    let Some((step, rest)) = steps.split_first() else {
        return into.push(results);
    };
    let next = match step {
        Step::Key(key) => results.get(key),
        Step::Entry(index) => results.get(index),
        Step::Named(name) => named(results, name),
        Step::Every => {
            for entry in results.as_array().into_iter().flatten() {
                found(entry, rest, into);
            }
            return;
        }
    };
    if let Some(next) = next {
        found(next, rest, into);
    }
}

fn named<'r>(list: &'r Json, name: &str) -> Option<&'r Json> {
    let mut entries = list.as_array()?.iter();
    entries.find(|entry| entry["name"].as_str() == Some(name))
}

fn keys<'k>(keys: impl Iterator<Item = &'k String>) -> Vec<(String, Step)> {
    keys.map(|key| (key.clone(), Step::Key(key.clone())))
        .collect()
}

/// The entries of a list by name, and all of them by number.
fn entries<'n>(names: impl Iterator<Item = Option<&'n str>> + Clone) -> Vec<(String, Step)> {
    let by_name = names.clone().enumerate();
    let by_name = by_name.filter_map(|(at, name)| Some((name?.to_owned(), Step::Entry(at))));
    let numbers = names.enumerate();
    let by_number = numbers.map(|(at, _)| ((at + 1).to_string(), Step::Entry(at)));
    by_name.chain(by_number).collect()
}

/// The longest name with which a path begins, and what is left of the path.
fn longest<'p>(names: &[(String, Step)], path: &'p str) -> Option<(Step, &'p str)> {
    let after = |name: &str| match path.strip_prefix(name)? {
        "" => Some(""),
        left => left.strip_prefix('.'),
    };
    names
        .iter()
        .filter_map(|(name, step)| Some((name.len(), step, after(name)?)))
        // Of entries with one name the first is meant.
        .rev()
        .max_by_key(|(length, ..)| *length)
        .map(|(_, step, left)| (step.clone(), left))
}

/// A refusal that lists what is there.
fn unknown(what: &str, rest: &str, names: &[(String, Step)]) -> String {
    let names: Vec<&str> = names.iter().map(|(name, _)| name.as_str()).collect();
    let typed = rest.split('.').next().unwrap_or(rest);
    let suggestion = match crate::input::nearest(typed, &names)
        .or_else(|| crate::input::nearest(rest, &names))
    {
        Some(nearest) => format!(": did you mean {nearest}?"),
        None => String::new(),
    };
    format!(
        "{what} at '{rest}'{suggestion} (here: {})",
        names.join(", ")
    )
}
