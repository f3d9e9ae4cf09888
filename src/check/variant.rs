//! Frame files that come with the program, with some of their keys changed.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::{Table, Value};

use super::FRAME_FILES;
use super::formula::Named;
use crate::frame_file::{self, FrameFile};
use crate::study::key::{in_file, place};

/// A frame file, changed, and results picked from it as its `[[expect]]` entries would.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FrameVariant {
    /// The file's name in `models/frames`, without its ending.
    file: String,
    /// New values by key path, as in a study.
    #[serde(default)]
    set: BTreeMap<String, Value>,
    /// Results by name: load case, place and quantity.
    results: BTreeMap<String, Table>,
}

impl FrameVariant {
    /// The frame as changed.
    pub(super) fn frame(&self) -> FrameFile {
        let path = format!("models/frames/{}.toml", self.file);
        let source = FRAME_FILES.iter().find(|file| file.path == path);
        let source = source.unwrap_or_else(|| panic!("{path}: no such frame file"));
        let table: Table = toml::from_str(source.text).expect("our own files are sound");
        let mut table = changed(&table, &self.set);
        let expectations = self.results.values().map(|picked| {
            let mut picked = picked.clone();
            picked.insert("value".to_owned(), 0.0.into());
            picked.insert("tolerance".to_owned(), 1.0.into());
            picked.insert("source".to_owned(), "see the check".into());
            Value::Table(picked)
        });
        table.insert("expect".to_owned(), Value::Array(expectations.collect()));
        let text = toml::to_string(&table).expect("a table can be written");
        let file = frame_file::parse(&text, &path);
        file.unwrap_or_else(|error| panic!("our own checks are sound, but: {error}"))
    }

    pub(super) fn results(&self) -> Vec<Named> {
        let Ok(solved) = self.frame().solve() else {
            return Vec::new();
        };
        let found = self.results.keys().zip(solved.references);
        let found = found.filter_map(|(name, found)| Some((name.clone(), found.result?)));
        found.collect()
    }
}

/// A file with new values at key paths, as in a study.
pub(super) fn changed(table: &Table, set: &BTreeMap<String, Value>) -> Table {
    let mut table = table.clone();
    for (key, value) in set {
        let steps = in_file(&table, key).unwrap_or_else(|rule| panic!("{key} {rule}"));
        *place(&mut table, &steps).expect("the path leads somewhere") = value.clone();
    }
    table
}
