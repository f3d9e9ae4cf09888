//! `clavibeam check`.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::error::{CliError, write_to};
use crate::check::{self, Verdict};

/// Run the outside checks built in and print them with their sources.
///
/// Published values, closed forms and independent numerical answers, each beside what this
/// program gives. Fails (exit code 1) if any does not agree. Known misses are shown as such.
#[derive(clap::Args)]
#[command(
    after_help = "examples: clavibeam check\n          clavibeam check --only cowper\n          \
                  clavibeam check --json checks.json"
)]
pub(super) struct Arguments {
    /// Only checks whose id, topic or source mentions this word.
    #[arg(long, value_name = "WORD")]
    only: Option<String>,
    /// Write the checks as JSON to a file; with - to standard output, instead of the table.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Write the verification page, in Markdown, to a file, and its picture convergence.svg beside
    /// it; with - the page alone to standard output.
    #[arg(long, value_name = "FILE", conflicts_with = "only")]
    page: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<ExitCode, CliError> {
    let report = check::run(arguments.only.as_deref());
    if let (Some(word), true) = (&arguments.only, report.checks.is_empty()) {
        return Err(CliError::NoCheck { word: word.clone() });
    }
    let out = Path::new("-");
    if let Some(path) = &arguments.json {
        write_to(path, |out| out.write_all(report.json().as_bytes()))?;
    }
    if let Some(path) = &arguments.page {
        let studies = check::convergences();
        let page = check::page(&report, &studies);
        write_to(path, |out| out.write_all(page.as_bytes()))?;
        if path != out {
            let picture = check::picture(&studies);
            let beside = path.with_file_name(check::PICTURE);
            write_to(&beside, |out| out.write_all(picture.as_bytes()))?;
        }
    }
    let taken = [&arguments.json, &arguments.page].map(|path| path.as_deref() == Some(out));
    if taken == [false; 2] {
        write_to(out, |out| out.write_all(check::text(&report).as_bytes()))?;
    }
    Ok(match report.count(Verdict::Fails) {
        0 => ExitCode::SUCCESS,
        _ => ExitCode::from(1),
    })
}
