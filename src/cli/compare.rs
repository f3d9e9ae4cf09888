//! `clavibeam compare`.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use indicatif::ProgressBar;

use super::error::{CliError, write_to};
use super::kind::{Kind, of_kind};
use crate::assess::{Assessment, add_scatter, add_weeks, assess, sweep_purchase};
use crate::case;
use crate::construct::Mechanics;
use crate::report;

/// Compare every construct of a case side by side: stiffness, margins, fracture motion, fit.
#[derive(clap::Args)]
#[command(
    after_help = "example: clavibeam compare models/roof-tiler-comminuted.toml --html report.html --plots pictures/"
)]
pub(super) struct Arguments {
    /// The case file; `clavibeam new adult-female` writes one to start from.
    case: PathBuf,
    /// Write everything as JSON to a file; with - to standard output, instead of the table.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Write one self-contained HTML page with tables and pictures.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Write the pictures, each as SVG and PNG, to a folder; it is made if it is not there.
    #[arg(long, value_name = "FOLDER")]
    plots: Option<PathBuf>,
    /// List the inputs that the case left to their defaults, each with its source.
    #[arg(long)]
    defaults: bool,
    /// Add how each construct holds and the margins of all its critical sections.
    #[arg(long)]
    verbose: bool,
    /// Give the answer with linear couplings beside it: nothing touches, parts or slides.
    #[arg(long)]
    linear: bool,
    /// Reckon the weeks after the operation: healing against fatigue, and the load allowed in
    /// each week. Takes some seconds, many loads being tried on every construct.
    #[arg(long)]
    weeks: bool,
    /// Carry so many virtual patients through the weeks: how likely each device fails before the
    /// fracture unites. Takes a minute or so for 200 patients and five constructs.
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = clap::value_parser!(u64).range(1..=100_000))]
    scatter: Option<u64>,
    /// What the virtual patients follow from; the same seed draws the same.
    #[arg(long, value_name = "S", default_value_t = 1, requires = "scatter")]
    seed: u64,
    /// How many threads carry the virtual patients; all cores if not given. The result does not
    /// depend on it.
    #[arg(long, value_name = "N", requires = "scatter", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
    /// Add what a longer hold would gain: the tip of each nail, pin or wire moved on, plates longer,
    /// more screws.
    #[arg(long)]
    purchase: bool,
    /// Exit with 1 when a construct gives way under a load or does not go in.
    #[arg(long)]
    fail_on_limit: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<ExitCode, CliError> {
    let case = of_kind(case::read(&arguments.case), &arguments.case, Kind::Case)?;
    let failed = |cause| CliError::Compare {
        file: arguments.case.clone(),
        cause,
    };
    let mut assessment = assess(&case, Mechanics::Contact).map_err(failed)?;
    if arguments.weeks {
        add_weeks(&mut assessment, &case, Mechanics::Contact).map_err(failed)?;
    }
    if let Some(patients) = arguments.scatter {
        let threads = match arguments.threads {
            Some(threads) => usize::from(threads),
            None => std::thread::available_parallelism().map_or(1, usize::from),
        };
        // Shown on a terminal only.
        let bar = ProgressBar::new(patients * case.constructs.len() as u64);
        let drawn = (patients, arguments.seed);
        add_scatter(
            &mut assessment,
            &case,
            Mechanics::Contact,
            drawn,
            threads,
            || bar.inc(1),
        );
        bar.finish_and_clear();
    }
    if arguments.linear {
        let linear = assess(&case, Mechanics::Linear).map_err(failed)?;
        assessment.linear = Some(Box::new(linear));
    }

    if arguments.purchase {
        sweep_purchase(&mut assessment, &case);
    }

    if let Some(path) = &arguments.html {
        write_text(path, &report::html(&assessment))?;
    }
    if let Some(folder) = &arguments.plots {
        report::write_plots(folder, &assessment)?;
    }
    if let Some(path) = &arguments.json {
        write_text(path, &report::json(&assessment))?;
    }
    if arguments.json.as_deref() != Some(Path::new("-")) {
        write_text(Path::new("-"), &terminal_text(arguments, &assessment))?;
    }
    let limit_missed = arguments.fail_on_limit && !all_hold(&assessment);
    Ok(ExitCode::from(u8::from(limit_missed)))
}

fn terminal_text(arguments: &Arguments, assessment: &Assessment) -> String {
    let options = report::Options {
        colour: std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none(),
        verbose: arguments.verbose,
    };
    let mut text = report::text(assessment, options);
    if arguments.defaults {
        text.push('\n');
        text.push_str(&report::defaults(assessment));
    }
    text
}

/// Whether every construct goes in and bears every load once.
fn all_hold(assessment: &Assessment) -> bool {
    assessment.constructs.iter().all(|construct| {
        let margin = construct.smallest_static_margin();
        !matches!(construct.fit.verdict, "no" | "forced")
            && margin.is_none_or(|(.., margin)| margin >= 1.0)
    })
}

fn write_text(path: &Path, text: &str) -> Result<(), CliError> {
    write_to(path, |out| out.write_all(text.as_bytes()))
}
