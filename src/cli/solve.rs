//! `clavibeam solve`.

use std::path::{Path, PathBuf};

use super::error::{CliError, write_to};
use super::kind::{Kind, of_kind};
use crate::frame::SolveError;
use crate::frame_file::{self, Results};

/// Solve any 3D frame and print displacements, reactions, section forces and stresses.
#[derive(clap::Args)]
#[command(after_help = "example: clavibeam solve models/frames/cantilever_tip_force.toml --json -")]
pub(super) struct Arguments {
    /// The frame file; models/frames/README.md describes the format.
    frame: PathBuf,
    /// Write the results as JSON to a file; with - to standard output, instead of the tables.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Write the bent shape and the section forces as VTK XML (.vtu); with several load cases
    /// the number and name of each are added to the file's name.
    #[arg(long, value_name = "FILE")]
    vtk: Option<PathBuf>,
    /// Print what is left unbalanced at each iteration where couplings touch, stop or grip.
    #[arg(long)]
    trace: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), CliError> {
    let file = of_kind(
        frame_file::read(&arguments.frame),
        &arguments.frame,
        Kind::Frame,
    )?;
    let solved = match file.solved() {
        Ok(solved) => solved,
        Err(cause) => {
            if let (
                true,
                SolveError::Unsettled {
                    case, unbalanced, ..
                },
            ) = (arguments.trace, &cause)
            {
                write_to(Path::new("-"), |mut out| {
                    frame_file::write_iterations(&mut out, case, unbalanced)
                })?;
            }
            let file = arguments.frame.clone();
            return Err(CliError::Solve { file, cause });
        }
    };
    let results = Results::new(&file, &solved);

    if let Some(path) = &arguments.vtk {
        for (case, load_case) in file.load_cases.iter().enumerate() {
            let path = match file.load_cases.len() {
                1 => path.clone(),
                _ => with_case(path, case, &load_case.name),
            };
            write_to(&path, |mut out| {
                frame_file::write_vtk(&mut out, &file, &solved.solution, case)
            })?;
        }
    }
    if let Some(path) = &arguments.json {
        write_to(path, |out| out.write_all(results.json().as_bytes()))?;
    }
    if arguments.json.as_deref() != Some(Path::new("-")) {
        write_to(Path::new("-"), |mut out| {
            frame_file::write_text(&mut out, &results)?;
            match arguments.trace {
                true => frame_file::write_trace(&mut out, &results),
                false => Ok(()),
            }
        })?;
    }
    Ok(())
}

/// `shape.vtu` becomes `shape-2-tip-force.vtu` for the second load case, "tip force".
fn with_case(path: &Path, case: usize, name: &str) -> PathBuf {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    let name: String = name.chars().map(plain).collect();
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let extension = path.extension().unwrap_or("vtu".as_ref()).to_string_lossy();
    path.with_file_name(format!("{stem}-{}-{name}.{extension}", case + 1))
}
