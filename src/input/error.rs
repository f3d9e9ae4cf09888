//! What can be wrong with a file.

use std::fmt;

use super::{Lines, Problem};

/// Why a file was refused. The program exits with code 2.
#[derive(Debug, Clone, PartialEq)]
pub enum InputError {
    /// The file cannot be read as text.
    Read {
        /// The file as the user named it.
        file: String,
        /// The reason.
        cause: String,
    },
    /// The text is not TOML.
    Syntax {
        /// The file as the user named it.
        file: String,
        /// Line, from 1.
        line: usize,
        /// Column in characters, from 1.
        column: usize,
        /// What was found and what was expected.
        cause: String,
    },
    /// The keys or values break rules.
    Invalid {
        /// The file as the user named it.
        file: String,
        /// Every problem, in file order; never empty.
        problems: Vec<Problem>,
    },
}

impl InputError {
    /// Places an error of the TOML reader in the file.
    pub(super) fn syntax(file: &str, text: &str, error: toml::de::Error) -> Self {
        let offset = error.span().map_or(0, |span| span.start.min(text.len()));
        let lines = Lines::new(text.as_bytes());
        InputError::Syntax {
            file: file.to_owned(),
            line: lines.at(offset),
            column: 1 + text[lines.start(offset)..offset].chars().count(),
            cause: error.message().to_owned(),
        }
    }
}

impl fmt::Display for InputError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            InputError::Read { file, cause } => write!(out, "{file}: {cause}"),
            InputError::Syntax {
                file,
                line,
                column,
                cause,
            } => write!(out, "{file}:{line}:{column}: {cause}"),
            InputError::Invalid { file, problems } => {
                for (index, problem) in problems.iter().enumerate() {
                    let separator = if index == 0 { "" } else { "\n" };
                    write!(out, "{separator}{file}:{problem}")?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for InputError {}
