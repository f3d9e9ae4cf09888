//! `clavibeam new`.

use std::fs::OpenOptions;
use std::io::{Error, ErrorKind, Write};
use std::path::{Path, PathBuf};

use clap::builder::PossibleValuesParser;

use super::error::{CliError, write_to};
use crate::anatomy::PRESET_NAMES;
use crate::case;

/// Write a commented case file to start from.
#[derive(clap::Args)]
#[command(after_help = "example: clavibeam new adult-female my-case.toml")]
pub(super) struct Arguments {
    /// Whose clavicle to start from.
    #[arg(value_parser = PossibleValuesParser::new(PRESET_NAMES))]
    preset: String,
    /// Where to write it; standard output if not given. A file that is there is kept.
    file: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), CliError> {
    let text = case::template(&arguments.preset).expect("the parser admits known presets only");
    match &arguments.file {
        None => write_to(Path::new("-"), |out| out.write_all(text.as_bytes())),
        Some(path) => OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(path)
            .and_then(|mut file| file.write_all(text.as_bytes()))
            .map_err(|cause| CliError::Write {
                to: path.clone(),
                cause: match cause.kind() {
                    ErrorKind::AlreadyExists => {
                        let rule = "is there already and is kept; give another name";
                        Error::new(ErrorKind::AlreadyExists, rule)
                    }
                    _ => cause,
                },
            }),
    }
}
