//! Reading the files users write: TOML text becomes a plain table struct.
//!
//! The JSON Schema generated from the struct is the only statement of which keys
//! a file has, what they may hold and what they mean. The file is checked against
//! it before it becomes a struct, and all problems are reported at once, in file
//! order. The struct needs nothing but two derives:
//!
//! ```
//! /// A rod.
//! #[derive(Debug, serde::Deserialize, schemars::JsonSchema)]
//! #[serde(deny_unknown_fields)]
//! struct RodTable {
//!     /// Diameter of the rod.
//!     #[schemars(extend("exclusiveMinimum" = 0))]
//!     diameter_mm: f64,
//! }
//!
//! let error = clavibeam::input::parse::<RodTable>("diameter_mm = -3", "rod.toml").unwrap_err();
//! assert_eq!(
//!     error.to_string(),
//!     "rod.toml:1: diameter_mm = -3 must be greater than 0"
//! );
//! ```
//!
//! Rules that compare keys are added by the caller through [`Document::check`].

mod checker;
mod error;
mod schema;

pub use checker::{Checker, Problem, entry_path, key_path};
pub use error::InputError;
pub(crate) use schema::nearest;

use std::path::Path;

use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use toml::de::DeTable;

/// A file that satisfies its schema, and the means to report what else is wrong with it.
#[derive(Debug)]
pub struct Document<T> {
    /// What was typed.
    pub table: T,
    /// Collects problems by key; hand it the checked value at the end.
    pub check: Checker,
}

/// Reads a file and checks it against the schema of `T`.
///
/// # Errors
/// The file cannot be read, is not TOML, or breaks its schema.
pub fn read<T: DeserializeOwned + JsonSchema>(path: &Path) -> Result<Document<T>, InputError> {
    parse(&text(path)?, &path.display().to_string())
}

/// The text of a file.
///
/// # Errors
/// The file cannot be read, or is not UTF-8.
pub fn text(path: &Path) -> Result<String, InputError> {
    let unreadable = |cause: String| InputError::Read {
        file: path.display().to_string(),
        cause,
    };
    let bytes = std::fs::read(path).map_err(|error| unreadable(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| {
        let offset = error.utf8_error().valid_up_to();
        let line = Lines::new(error.as_bytes()).at(offset);
        unreadable(format!(
            "byte {} on line {line} is not UTF-8 text",
            offset + 1
        ))
    })
}

/// Checks the text of a file against the schema of `T`; messages call the file `label`.
///
/// # Errors
/// The text is not TOML or breaks its schema.
pub fn parse<T: DeserializeOwned + JsonSchema>(
    text: &str,
    label: &str,
) -> Result<Document<T>, InputError> {
    let syntax = |error: toml::de::Error| InputError::syntax(label, text, error);
    let root = DeTable::parse(text).map_err(syntax)?;

    let mut check = Checker::new(label, text, root.get_ref());
    schema::check(
        &mut check,
        root.get_ref(),
        schemars::schema_for!(T).as_value(),
    );
    if !check.is_clean() {
        return Err(check.into_error());
    }

    let table = T::deserialize(toml::Deserializer::from(root)).map_err(syntax)?;
    Ok(Document { table, check })
}

/// The document of a table already known to satisfy the schema of `T`.
///
/// # Errors
/// The table does not satisfy it after all; the message names no line.
pub fn of_table<T: DeserializeOwned>(
    table: toml::Table,
    check: Checker,
) -> Result<Document<T>, InputError> {
    match T::deserialize(table) {
        Ok(table) => Ok(Document { table, check }),
        Err(error) => Err(check.refused(error.message())),
    }
}

/// The JSON Schema of a file kind, for editors: pretty-printed, with a final newline.
pub fn schema_json<T: JsonSchema>(title: &str) -> String {
    let mut schema = schemars::schema_for!(T);
    schema.insert("title".to_owned(), title.into());
    format!("{:#}\n", schema.as_value())
}

/// Where the lines of a text begin.
struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    fn new(text: &[u8]) -> Self {
        let newlines = text.iter().enumerate().filter(|(_, byte)| **byte == b'\n');
        let starts = std::iter::once(0).chain(newlines.map(|(offset, _)| offset + 1));
        Lines {
            starts: starts.collect(),
        }
    }

    /// The line, from 1, that holds the byte at `offset`.
    fn at(&self, offset: usize) -> usize {
        self.starts.partition_point(|&start| start <= offset)
    }

    /// Where the line that holds the byte at `offset` begins.
    fn start(&self, offset: usize) -> usize {
        self.starts[self.at(offset) - 1]
    }
}
