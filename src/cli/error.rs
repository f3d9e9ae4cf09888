//! What can end a command early, its message and its exit code.

use std::fmt;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::kind::OtherKind;
use crate::assess::AssessError;
use crate::frame::SolveError;
use crate::input::InputError;
use crate::report::PlotError;
use crate::study::StudyError;

/// Why a command failed.
#[derive(Debug)]
pub(super) enum CliError {
    /// The file is at fault.
    Input(InputError),
    /// The file is of another kind.
    Kind(OtherKind),
    /// The frame cannot be solved.
    Solve { file: PathBuf, cause: SolveError },
    /// A construct cannot be solved.
    Compare { file: PathBuf, cause: AssessError },
    /// No check mentions the word asked for.
    NoCheck { word: String },
    /// A result cannot be written.
    Write { to: PathBuf, cause: io::Error },
    /// A finished table has not what is asked of it.
    Table { file: PathBuf, rule: String },
    /// A sweep stopped, or its parts do not make a whole.
    Study(StudyError),
}

impl CliError {
    pub fn exit_code(&self) -> ExitCode {
        ExitCode::from(match self {
            CliError::Input(_)
            | CliError::Kind(_)
            | CliError::NoCheck { .. }
            | CliError::Table { .. } => 2,
            CliError::Study(error) if error.is_input() => 2,
            CliError::Study(_) => 1,
            CliError::Solve { .. } | CliError::Compare { .. } => 3,
            CliError::Write { .. } => 1,
        })
    }
}

impl fmt::Display for CliError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CliError::Input(error) => write!(f, "{error}"),
            CliError::Kind(other) => write!(f, "{other}"),
            CliError::Study(error) => write!(f, "{error}"),
            CliError::Table { file, rule } => write!(f, "{}: {rule}", file.display()),
            CliError::Solve { file, cause } => write!(f, "{}: {cause}", file.display()),
            CliError::Compare { file, cause } => write!(f, "{}: {cause}", file.display()),
            CliError::NoCheck { word } => write!(
                f,
                "no check mentions '{word}'; without --only all are shown with their ids and sources"
            ),
            CliError::Write { to, cause } => write!(f, "{}: {cause}", to.display()),
        }
    }
}

impl From<PlotError> for CliError {
    fn from(error: PlotError) -> Self {
        CliError::Write {
            to: error.path,
            cause: error.source,
        }
    }
}

impl From<StudyError> for CliError {
    fn from(error: StudyError) -> Self {
        CliError::Study(error)
    }
}

impl From<InputError> for CliError {
    fn from(error: InputError) -> Self {
        CliError::Input(error)
    }
}

/// Writes to a file, or to standard output if the path is `-`. A reader that stops
/// listening (`| head`) is no failure.
pub(super) fn write_to(
    path: &Path,
    write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), CliError> {
    let written = match path.as_os_str() == "-" {
        true => {
            let mut out = BufWriter::new(io::stdout().lock());
            let written = write(&mut out).and_then(|()| out.flush());
            written.or_else(|cause| match cause.kind() {
                io::ErrorKind::BrokenPipe => Ok(()),
                _ => Err(cause),
            })
        }
        false => File::create(path).and_then(|file| {
            let mut out = BufWriter::new(file);
            write(&mut out)?;
            out.flush()
        }),
    };
    written.map_err(|cause| CliError::Write {
        to: path.to_owned(),
        cause,
    })
}
