//! Which kind of file a command was given.

use std::path::{Path, PathBuf};

use super::error::CliError;
use crate::input::InputError;

/// The kinds of file that commands read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Case,
    Frame,
    Study,
}

impl Kind {
    const ALL: [Kind; 3] = [Kind::Case, Kind::Frame, Kind::Study];

    /// Tables that a file of this kind has and no other may have.
    fn tables(self) -> &'static [&'static str] {
        match self {
            Kind::Case => &["patient", "fracture", "construct"],
            Kind::Frame => &["node", "member", "load_case"],
            Kind::Study => &["input", "plan", "output"],
        }
    }

    /// The kind with most of its tables in a file; none if two have as many.
    pub fn of(file: &toml::Table) -> Option<Kind> {
        let found = |kind: &Kind| {
            let tables = kind.tables().iter();
            tables.filter(|table| file.contains_key(**table)).count()
        };
        let most = Kind::ALL.iter().map(found).max()?;
        let mut kinds = Kind::ALL.into_iter().filter(|kind| found(kind) == most);
        kinds.next().filter(|_| kinds.next().is_none())
    }

    fn name(self) -> &'static str {
        match self {
            Kind::Case => "a case file",
            Kind::Frame => "a frame file",
            Kind::Study => "a study",
        }
    }

    fn command(self) -> &'static str {
        match self {
            Kind::Case => "compare",
            Kind::Frame => "solve",
            Kind::Study => "sweep",
        }
    }
}

/// A file of another kind than the command reads.
#[derive(Debug)]
pub(super) struct OtherKind {
    file: PathBuf,
    kind: Kind,
    wanted: Kind,
}

impl std::fmt::Display for OtherKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}: is {}, not {}: read it with clavibeam {}",
            self.file.display(),
            self.kind.name(),
            self.wanted.name(),
            self.kind.command()
        )
    }
}

/// What was read from a file; if that is of another kind than wanted, this rather than all that
/// it lacks of the other.
pub(super) fn of_kind<T>(
    read: Result<T, InputError>,
    file: &Path,
    wanted: Kind,
) -> Result<T, CliError> {
    let kind = || {
        let text = std::fs::read_to_string(file).ok()?;
        Kind::of(&text.parse().ok()?)
    };
    read.map_err(|error| match kind() {
        Some(kind) if kind != wanted => CliError::Kind(OtherKind {
            file: file.to_owned(),
            kind,
            wanted,
        }),
        _ => CliError::Input(error),
    })
}
