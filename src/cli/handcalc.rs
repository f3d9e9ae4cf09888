//! `clavibeam handcalc`.

use std::path::{Path, PathBuf};

use toml::Table;

use super::error::{CliError, write_to};
use super::kind::{Kind, of_kind};
use crate::case;
use crate::frame_file;
use crate::handcalc::{self, Answers, Calculation};

/// Work out by hand what can be, step by step, beside the finite-element values.
#[derive(clap::Args)]
#[command(
    after_help = "example: clavibeam handcalc models/roof-tiler-comminuted.toml --html by-hand.html\n\
                  example: clavibeam handcalc models/frames/cantilever.toml --quiz --seed 7 --key key.txt"
)]
pub(super) struct Arguments {
    /// A case file or a frame file.
    file: PathBuf,
    /// Write one self-contained HTML page with the formulas as MathML.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Write it as Markdown.
    #[arg(long, value_name = "FILE")]
    markdown: Option<PathBuf>,
    /// Vary the numbers of the file and leave blanks where results go.
    #[arg(long)]
    quiz: bool,
    /// Which variation; the same seed gives the same numbers.
    #[arg(long, value_name = "N", default_value_t = 1, requires = "quiz")]
    seed: u64,
    /// Write the answers of the quiz to a file, as text.
    #[arg(long, value_name = "FILE", requires = "quiz")]
    key: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), CliError> {
    let seed = arguments.quiz.then_some(arguments.seed);
    let mut calculation = calculation(&arguments.file, seed)?;
    let answers = match seed {
        None => Answers::Printed,
        Some(seed) => {
            calculation.notes.insert(
                0,
                format!(
                    "Quiz, seed {seed}: the numbers of the file are varied. Fill in the blanks in \
                     order, each to four figures."
                ),
            );
            Answers::Blank
        }
    };
    if let Some(path) = &arguments.html {
        write_text(path, &handcalc::html(&calculation, answers))?;
    }
    if let Some(path) = &arguments.markdown {
        write_text(path, &handcalc::markdown(&calculation, answers))?;
    }
    if let Some(path) = &arguments.key {
        write_text(path, &handcalc::text(&calculation, Answers::Printed))?;
    }
    write_text(Path::new("-"), &handcalc::text(&calculation, answers))
}

/// How often a variation that breaks a rule of its file is tried anew.
const ATTEMPTS: u64 = 50;

/// The calculation of a file, its numbers varied if a seed is given.
fn calculation(path: &Path, seed: Option<u64>) -> Result<Calculation, CliError> {
    let text = std::fs::read_to_string(path).unwrap_or_default();
    let table: Table = toml::from_str(&text).unwrap_or_default();
    let label = path.display().to_string();
    // A variation that a rule forbids is tried again with the next seed of its own.
    let seeds = |seed: u64| (0..ATTEMPTS).map(move |attempt| seed.wrapping_mul(ATTEMPTS) + attempt);
    if Kind::of(&table) == Some(Kind::Case) {
        let given = case::read(path)?;
        let varied = seed.and_then(|seed| {
            seeds(seed).find_map(|seed| {
                let table = handcalc::varied_case(table.clone(), seed);
                case::parse(&table.to_string(), &label).ok()
            })
        });
        handcalc::of_case(&varied.unwrap_or(given)).map_err(|cause| CliError::Compare {
            file: path.to_owned(),
            cause,
        })
    } else {
        let given = of_kind(frame_file::read(path), path, Kind::Frame)?;
        let varied = seed.and_then(|seed| {
            seeds(seed).find_map(|seed| {
                let table = handcalc::varied_frame(table.clone(), seed);
                frame_file::parse(&table.to_string(), &label).ok()
            })
        });
        handcalc::of_frame(&varied.unwrap_or(given)).map_err(|cause| CliError::Solve {
            file: path.to_owned(),
            cause,
        })
    }
}

fn write_text(path: &Path, text: &str) -> Result<(), CliError> {
    write_to(path, |out| out.write_all(text.as_bytes()))
}
