//! `clavibeam sweep`.

use std::fmt::Write as _;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::error::{CliError, write_to};
use super::kind::{Kind, of_kind};
use crate::study::{self, Counts, Part, Study};

/// Vary inputs of a case or frame file over very many samples and keep a few outputs as a table.
///
/// Stopped at any moment, the same command goes on where it stopped. A sample that cannot be
/// solved is a row that says why; the exit code is 0 all the same.
#[derive(clap::Args)]
#[command(after_help = "example: clavibeam sweep study.toml --out table.csv\n\
                  then:    clavibeam sensitivity table.csv --html report.html")]
pub(super) struct Arguments {
    /// The study file; `clavibeam schema study` describes the format.
    study: PathBuf,
    /// Where to write the table: .parquet, or .csv with a .meta.json beside it. With --part, the
    /// part file. Unfinished work stands beside it as .journal.
    #[arg(long, value_name = "FILE", required_unless_present = "dry_run")]
    out: Option<PathBuf>,
    /// Say what would be done, and how long it takes.
    #[arg(long)]
    dry_run: bool,
    /// Do one of several parts, such as 3/8; `clavibeam gather` joins them. A part file that is
    /// finished is left as it is.
    #[arg(long, value_name = "I/N")]
    part: Option<Part>,
    /// How many threads; all cores if not given. The table does not depend on it.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), CliError> {
    let study = of_kind(study::read(&arguments.study), &arguments.study, Kind::Study)?;
    let threads = match arguments.threads {
        Some(threads) => usize::from(threads),
        None => std::thread::available_parallelism().map_or(1, usize::from),
    };
    let out = match &arguments.out {
        Some(out) if !arguments.dry_run => out,
        _ => return print(&plan(&study, threads)),
    };
    let part = arguments.part.unwrap_or(Part::WHOLE);
    let range = part.range(study.samples);
    let mut bar = Progress::new(range.end - range.start);
    let counts = study::run(&study, arguments.part, out, threads, |done| bar.show(done));
    bar.bar.finish_and_clear();
    print(&told(&counts?, &study, out))
}

fn print(text: &str) -> Result<(), CliError> {
    write_to(Path::new("-"), |to| to.write_all(text.as_bytes()))
}

/// What was done.
fn told(counts: &Counts, study: &Study, out: &Path) -> String {
    let Counts {
        samples,
        rows,
        failed,
    } = counts;
    let skipped = samples - rows;
    let mut text = format!("{samples} samples of '{}': {rows} rows", study.title);
    if skipped > 0 {
        let _ = write!(text, ", {skipped} left out as they cannot be");
    }
    if *failed > 0 {
        let _ = write!(text, ", {failed} failed (the column failure says why)");
    }
    let _ = writeln!(text, "\n{}", out.display());
    text
}

/// What would be done.
fn plan(study: &Study, threads: usize) -> String {
    let timing = study::timing(study);
    let mut text = format!("{}\n\n", study.title);
    let seed = study
        .seed
        .map_or(String::new(), |seed| format!(", seed {seed}"));
    let _ = writeln!(
        text,
        "  plan         {}{seed}: {} samples",
        study.plan, study.samples
    );
    if let Some(block) = study.block {
        let blocks = study.samples / block;
        let _ = writeln!(
            text,
            "  blocks       {blocks} of {block} samples, for Sobol's indices"
        );
    }
    let columns = &study.columns[1..study.columns.len() - 1];
    let list = |text: &mut String, head: &str, names: &mut dyn Iterator<Item = &str>| {
        for (index, name) in names.enumerate() {
            let _ = writeln!(text, "  {:<12} {name}", if index == 0 { head } else { "" });
        }
    };
    let names = |columns: &'_ [study::Column]| -> Vec<String> {
        columns.iter().map(|column| column.name.clone()).collect()
    };
    let inputs = names(&columns[..study.inputs]);
    let outputs = names(&columns[study.inputs..]);
    list(&mut text, "varied", &mut inputs.iter().map(String::as_str));
    let together = study.correlations.iter();
    list(&mut text, "together", &mut together.map(String::as_str));
    list(
        &mut text,
        "only where",
        &mut study.constraints.iter().map(String::as_str),
    );
    list(&mut text, "kept", &mut outputs.iter().map(String::as_str));
    let seconds = timing.seconds * study.samples as f64 / threads as f64;
    let _ = writeln!(
        text,
        "  time         about {} on {threads} threads ({:.3} ms a sample on one core, {} tried)",
        duration(seconds),
        1000.0 * timing.seconds,
        timing.tried,
    );
    let _ = writeln!(
        text,
        "  of those     {} left out as they cannot be, {} failed",
        timing.skipped, timing.failed
    );
    text
}

fn duration(seconds: f64) -> String {
    match seconds {
        s if s < 90.0 => format!("{s:.1} s"),
        s if s < 5400.0 => format!("{:.0} min", s / 60.0),
        s if s < 172_800.0 => format!("{:.1} h", s / 3600.0),
        s => format!("{:.1} days", s / 86_400.0),
    }
}

/// Progress on standard error: a bar on a terminal, else a line now and then; nothing within
/// the first second.
struct Progress {
    bar: ProgressBar,
    start: Instant,
    /// Samples that an earlier run had done.
    before: Option<u64>,
    told: Instant,
}

const BETWEEN_LINES: Duration = Duration::from_secs(10);

impl Progress {
    fn new(samples: u64) -> Self {
        let bar = ProgressBar::with_draw_target(Some(samples), ProgressDrawTarget::hidden());
        let style = "{wide_bar} {pos} of {len}, {per_sec}, {eta} left";
        bar.set_style(ProgressStyle::with_template(style).expect("a template of known fields"));
        Progress {
            bar,
            start: Instant::now(),
            before: None,
            told: Instant::now(),
        }
    }

    fn show(&mut self, done: u64) {
        let before = *self.before.get_or_insert_with(|| {
            self.bar.set_position(done);
            self.bar.reset_eta();
            done
        });
        self.bar.set_position(done);
        let elapsed = self.start.elapsed();
        if elapsed < Duration::from_secs(1) {
            return;
        }
        if std::io::stderr().is_terminal() {
            if self.bar.is_hidden() {
                self.bar.set_draw_target(ProgressDrawTarget::stderr());
            }
        } else if self.told.elapsed() > BETWEEN_LINES {
            self.told = Instant::now();
            let rate = (done - before) as f64 / elapsed.as_secs_f64();
            let of = self.bar.length().unwrap_or(done);
            let left = duration((of - done) as f64 / rate);
            // Progress that cannot be told is no failure.
            let _ = writeln!(
                std::io::stderr(),
                "{done} of {of}, {rate:.0} a second, {left} left"
            );
        }
    }
}
