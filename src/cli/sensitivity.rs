//! `clavibeam sensitivity`.

use std::path::{Path, PathBuf};

use super::error::{CliError, write_to};
use crate::report;
use crate::sensitivity::{Choice, analyse};
use crate::study;

/// Tell from a finished table of `sweep` or `gather` which inputs matter to each output, and how.
///
/// Main effects, tornado, contour over two inputs, scatter, correlations; Sobol's indices with
/// confidence intervals where the study's plan is sobol-indices.
#[derive(clap::Args)]
#[command(
    after_help = "example: clavibeam sensitivity table.csv --html report.html --plots pictures/"
)]
pub(super) struct Arguments {
    /// The table: .parquet, or .csv with its .meta.json beside it.
    table: PathBuf,
    /// Write one self-contained HTML page with tables and pictures.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Write the pictures, each as SVG and PNG, to a folder; it is made if it is not there.
    #[arg(long, value_name = "FOLDER")]
    plots: Option<PathBuf>,
    /// Write what was found as CSV tables to a folder; it is made if it is not there.
    #[arg(long, value_name = "FOLDER")]
    tables: Option<PathBuf>,
    /// Look at this output only; may be given several times.
    #[arg(long, value_name = "COLUMN")]
    output: Vec<String>,
    /// The two inputs of the contours, across and up; the two that matter most if not given.
    #[arg(long, num_args = 2, value_names = ["COLUMN", "COLUMN"])]
    contour: Vec<String>,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), CliError> {
    let table = study::read_table(&arguments.table)?;
    let choice = Choice {
        outputs: arguments.output.clone(),
        contour: match arguments.contour.as_slice() {
            [across, up] => Some([across.clone(), up.clone()]),
            _ => None,
        },
    };
    let analysis = analyse(table, &choice).map_err(|rule| CliError::Table {
        file: arguments.table.clone(),
        rule,
    })?;
    if let Some(path) = &arguments.html {
        let page = report::sensitivity::html(&analysis);
        write_to(path, |out| out.write_all(page.as_bytes()))?;
    }
    if let Some(folder) = &arguments.plots {
        report::sensitivity::write_plots(folder, &analysis)?;
    }
    if let Some(folder) = &arguments.tables {
        report::sensitivity::write_tables(folder, &analysis)?;
    }
    let text = report::sensitivity::text(&analysis);
    write_to(Path::new("-"), |out| out.write_all(text.as_bytes()))
}
