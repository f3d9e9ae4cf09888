//! `clavibeam gather`.

use std::path::{Path, PathBuf};

use super::error::{CliError, write_to};
use crate::study;

/// Join the parts of a sweep to the table that one run would have written.
///
/// Parts that are missing, doubled, damaged or of another study are named, and nothing is written.
#[derive(clap::Args)]
#[command(after_help = "example: clavibeam gather parts/*.part --out table.parquet")]
pub(super) struct Arguments {
    /// The part files, in any order.
    #[arg(required = true)]
    parts: Vec<PathBuf>,
    /// Where to write the table: .parquet, or .csv with a .meta.json beside it.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), CliError> {
    let (whole, parts) = study::gather(&arguments.parts)?;
    study::write_table(&whole, &parts, &arguments.out)?;
    let told = format!(
        "{} parts of '{}': {} rows\n{}\n",
        parts.len(),
        whole.title,
        whole.rows.unwrap_or(0),
        arguments.out.display()
    );
    write_to(Path::new("-"), |out| out.write_all(told.as_bytes()))
}
