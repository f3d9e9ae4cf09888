//! Collects the problems of one file and finds the line and value of each.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::{InputError, Lines};

/// One value that breaks one rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Line, from 1.
    pub line: usize,
    /// Key path with list entries counted from 1, such as `construct[2].plate.hole_count`.
    pub key: String,
    /// The value as typed; empty for a table or a missing key.
    pub value: String,
    /// The rule, to be read after key and value: `must be greater than 0`.
    pub rule: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Problem {
            line,
            key,
            value,
            rule,
        } = self;
        match value.as_str() {
            "" => write!(out, "{line}: {key} {rule}"),
            value => write!(out, "{line}: {key} = {value} {rule}"),
        }
    }
}

/// Collects every broken rule, so that one run shows all mistakes of a file.
#[derive(Debug, Clone)]
pub struct Checker {
    file: String,
    /// Line and typed value of every key in the file.
    places: Arc<BTreeMap<String, Place>>,
    /// Values taken for keys that the file leaves out.
    defaults: BTreeMap<String, String>,
    problems: Vec<Problem>,
}

#[derive(Debug, Clone)]
struct Place {
    line: usize,
    value: String,
}

impl Checker {
    pub(super) fn new(file: &str, text: &str, root: &DeTable<'_>) -> Self {
        let mut recorder = Recorder {
            text,
            lines: Lines::new(text.as_bytes()),
            places: BTreeMap::new(),
        };
        recorder.table("", root);
        Checker {
            file: file.to_owned(),
            places: Arc::new(recorder.places),
            defaults: BTreeMap::new(),
            problems: Vec::new(),
        }
    }

    /// Whether the file gives the key itself.
    pub fn is_given(&self, key: &str) -> bool {
        self.places.contains_key(key)
    }

    /// Notes the value taken for a key that the file leaves out, so that problems show it.
    pub fn note_default(&mut self, key: &str, value: &str) {
        self.defaults
            .insert(key.to_owned(), format!("{value} (default)"));
    }

    /// Adds a problem with a key. A key that the file leaves out is reported at the
    /// line of the table it belongs to.
    pub fn problem(&mut self, key: &str, rule: impl Into<String>) {
        let place = self.places.get(key).map(|place| &place.value);
        let problem = Problem {
            line: self.line(key),
            key: key.to_owned(),
            value: place
                .or(self.defaults.get(key))
                .cloned()
                .unwrap_or_default(),
            rule: rule.into(),
        };
        // Each size of a device is checked by itself.
        if !self.problems.contains(&problem) {
            self.problems.push(problem);
        }
    }

    /// Adds a problem with a key if the rule does not hold.
    pub fn require(&mut self, key: &str, holds: bool, rule: impl Into<String>) {
        if !holds {
            self.problem(key, rule);
        }
    }

    /// Requires that a table has exactly one of several keys.
    pub fn exactly_one(&mut self, table: &str, choices: &[&str]) {
        let given: Vec<&str> = choices
            .iter()
            .copied()
            .filter(|choice| self.is_given(&key_path(table, choice)))
            .collect();
        match given.as_slice() {
            [_] => {}
            [] => self.problem(table, format!("must have one of {}", choices.join(", "))),
            [..] => self.problem(
                table,
                format!(
                    "has {}: must have only one of {}",
                    given.join(" and "),
                    choices.join(", ")
                ),
            ),
        }
    }

    /// Whether no problem has been found so far.
    pub fn is_clean(&self) -> bool {
        self.problems.is_empty()
    }

    /// The value, if the file has no problem.
    ///
    /// # Errors
    /// All problems, in file order.
    pub fn finish<T>(self, value: T) -> Result<T, InputError> {
        if self.is_clean() {
            Ok(value)
        } else {
            Err(self.into_error())
        }
    }

    /// An error with the file as a whole.
    pub(super) fn refused(self, cause: &str) -> InputError {
        InputError::Read {
            file: self.file,
            cause: cause.to_owned(),
        }
    }

    /// All problems found so far, in file order.
    pub fn into_error(mut self) -> InputError {
        self.problems.sort_by_key(|problem| problem.line);
        InputError::Invalid {
            file: self.file,
            problems: self.problems,
        }
    }

    /// Line of a key, or of the nearest table around it that the file has.
    fn line(&self, key: &str) -> usize {
        match (self.places.get(key), key.rfind(['.', '['])) {
            (Some(place), _) => place.line,
            (None, Some(end)) => self.line(&key[..end]),
            (None, None) => 1,
        }
    }
}

/// Path of `key` in `table`; the empty path is the file itself.
pub fn key_path(table: &str, key: &str) -> String {
    let is_bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    let key = match !key.is_empty() && key.chars().all(is_bare) {
        true => key.to_owned(),
        false => format!("{key:?}"),
    };
    match table {
        "" => key,
        table => format!("{table}.{key}"),
    }
}

/// Path of the list entry with this index (from 0); paths count from 1.
pub fn entry_path(list: &str, index: usize) -> String {
    format!("{list}[{}]", index + 1)
}

/// Notes line and value of every key of a document.
struct Recorder<'t> {
    text: &'t str,
    lines: Lines,
    places: BTreeMap<String, Place>,
}

impl Recorder<'_> {
    fn table(&mut self, path: &str, table: &DeTable<'_>) {
        for (key, value) in table {
            self.value(&key_path(path, key.get_ref()), value);
        }
    }

    fn value(&mut self, path: &str, value: &Spanned<DeValue<'_>>) {
        let is_table = |value: &Spanned<DeValue<'_>>| value.get_ref().is_table();
        let shown = match value.get_ref() {
            DeValue::Table(table) => {
                self.table(path, table);
                String::new()
            }
            DeValue::Array(list) => {
                for (index, item) in list.iter().enumerate() {
                    self.value(&entry_path(path, index), item);
                }
                match list.iter().any(is_table) {
                    true => String::new(),
                    false => one_line(&self.text[value.span()]),
                }
            }
            _ => one_line(&self.text[value.span()]),
        };
        // A table starts at its header, everything else on the line of its key.
        let line = self.lines.at(value.span().start);
        let place = Place { line, value: shown };
        self.places.insert(path.to_owned(), place);
    }
}

/// A value as typed, on one line and not too long for a message.
fn one_line(typed: &str) -> String {
    let mut shown = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    if let Some((cut, _)) = shown.char_indices().nth(LONGEST_VALUE) {
        shown.truncate(cut);
        shown.push('…');
    }
    shown
}

/// Characters of a value that a message shows.
const LONGEST_VALUE: usize = 60;
