//! Runs the samples of a study on all cores, rows into a journal in the order of samples.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;
use std::sync::{Condvar, Mutex, PoisonError, mpsc};
use std::time::{Duration, Instant};

use toml::Value as Toml;

use super::base::Workspace;
use super::file::Study;
use super::key;
use super::outputs::shown;
use super::part::{self, Journal, Manifest, Part, StudyError, part_path};

/// Samples that a worker takes at once.
const CHUNK: u64 = 16;

/// Chunks that may be under way or wait for an earlier one, for each worker: what bounds memory.
const AHEAD: u64 = 64;

/// What became of the samples of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counts {
    /// Samples of the part.
    pub samples: u64,
    /// Rows written.
    pub rows: u64,
    /// Rows that say why there is no result.
    pub failed: u64,
}

/// Runs a part of a study, or goes on with it, and writes a table (the whole) or a part file; a
/// part file that is there already is left as it is.
///
/// * `threads`: workers; the result does not depend on it
/// * `progress`: told the samples done, from time to time, by the thread that calls
///
/// # Errors
/// A file cannot be written, or the journal beside `out` belongs to something else.
pub fn run(
    study: &Study,
    part: Option<Part>,
    out: &Path,
    threads: usize,
    mut progress: impl FnMut(u64),
) -> Result<Counts, StudyError> {
    part::ordinary(out)?;
    let manifest = Manifest::of(study, part.unwrap_or(Part::WHOLE));
    let range = manifest.part.range(study.samples);
    let samples = range.end - range.start;
    let counts = |finished: &Manifest| Counts {
        samples,
        rows: finished.rows.unwrap_or(0),
        failed: finished.failed.unwrap_or(0),
    };
    if let Some(finished) = part.and_then(|_| part::finished(out, &manifest)) {
        return Ok(counts(&finished));
    }
    let mut journal = Journal::open(part_path(out, ".journal"), &manifest)?;
    fill(study, &mut journal, range.clone(), threads, |done| {
        progress(done - range.start);
    })?;
    let finished = part::counted(&journal.path, &manifest)?;
    if finished.rows.is_none() {
        return Err(StudyError::Foreign {
            path: journal.path,
            rule: "is damaged: its rows are not in order; delete it and start again".to_owned(),
        });
    }
    let placed = match part {
        Some(_) => part::finish(&journal.path, &finished, out),
        None => super::write_table(&finished, std::slice::from_ref(&journal.path), out),
    };
    placed.map_err(|error| match error {
        StudyError::File { path, cause, .. } => StudyError::File {
            path,
            cause,
            kept: Some(journal.path.clone()),
        },
        other => other,
    })?;
    // It has become the table; one left behind does no harm.
    let _ = std::fs::remove_file(&journal.path);
    Ok(counts(&finished))
}

/// How workers share the chunks that are left.
struct Queue {
    next: u64,
    written: u64,
    stopped: bool,
}

fn fill(
    study: &Study,
    journal: &mut Journal,
    range: Range<u64>,
    threads: usize,
    mut progress: impl FnMut(u64),
) -> Result<(), StudyError> {
    let first = journal.next;
    let chunks = (range.end.saturating_sub(first)).div_ceil(CHUNK);
    let samples = |chunk: u64| {
        let start = first + chunk * CHUNK;
        start..(start + CHUNK).min(range.end)
    };
    let queue = Mutex::new(Queue {
        next: 0,
        written: 0,
        stopped: false,
    });
    let moved = Condvar::new();
    let lock = || queue.lock().unwrap_or_else(PoisonError::into_inner);
    let most_ahead = AHEAD * threads as u64;
    let (send, receive) = mpsc::channel();
    std::thread::scope(|scope| {
        for _ in 0..threads {
            let send = send.clone();
            scope.spawn(|| {
                let send = send;
                let mut worker = Worker::new(study);
                loop {
                    let mut queue = lock();
                    while !queue.stopped
                        && queue.next < chunks
                        && queue.next >= queue.written + most_ahead
                    {
                        queue = moved.wait(queue).unwrap_or_else(PoisonError::into_inner);
                    }
                    if queue.stopped || queue.next == chunks {
                        return;
                    }
                    let chunk = queue.next;
                    queue.next += 1;
                    drop(queue);
                    // Nobody receives any more once writing has failed.
                    if send.send((chunk, worker.rows(samples(chunk)))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        let mut waiting = BTreeMap::new();
        let mut written = 0;
        let mut failure = None;
        for (chunk, rows) in receive {
            waiting.insert(chunk, rows);
            while let Some(rows) = waiting.remove(&written) {
                if let Err(error) = journal.append(&rows) {
                    failure = Some(error);
                    break;
                }
                written += 1;
            }
            let mut queue = lock();
            queue.written = written;
            queue.stopped = failure.is_some();
            drop(queue);
            moved.notify_all();
            if failure.is_some() {
                break;
            }
            progress(samples(written).start.min(range.end));
        }
        failure.map_or(Ok(()), Err)
    })
}

/// How long samples take.
#[derive(Debug, Clone, Copy)]
pub struct Timing {
    /// Samples tried.
    pub tried: u64,
    /// How many of them constraints leave out.
    pub skipped: u64,
    /// How many of them failed.
    pub failed: u64,
    /// Time that a sample takes on one core, s.
    pub seconds: f64,
}

/// Times samples spread over the study, for about half a second on one core.
pub fn timing(study: &Study) -> Timing {
    const MOST_TRIED: u64 = 4096;
    let mut worker = Worker::new(study);
    let start = Instant::now();
    let mut timing = Timing {
        tried: 0,
        skipped: 0,
        failed: 0,
        seconds: 0.0,
    };
    while timing.tried < study.samples.min(MOST_TRIED)
        && start.elapsed() < Duration::from_millis(500)
    {
        // Spread evenly whenever the time is up: by the golden section.
        let spread = (timing.tried as f64 * 0.618_033_988_749_894_9).fract();
        let sample = (spread * study.samples as f64) as u64;
        let rows = worker.rows(sample..sample + 1);
        timing.tried += 1;
        timing.skipped += u64::from(rows.is_empty());
        timing.failed += u64::from(!rows.is_empty() && !rows.ends_with(b",\n"));
    }
    timing.seconds = start.elapsed().as_secs_f64() / timing.tried.max(1) as f64;
    timing
}

/// What one thread needs.
struct Worker<'s> {
    study: &'s Study,
    workspace: Workspace<'s>,
}

impl<'s> Worker<'s> {
    fn new(study: &'s Study) -> Self {
        let workspace = Workspace::new(&study.base, &study.wanted, &study.check);
        Worker { study, workspace }
    }

    /// The rows of samples; those that a constraint leaves out have none.
    fn rows(&mut self, samples: Range<u64>) -> Vec<u8> {
        let mut rows = csv::WriterBuilder::new()
            .terminator(csv::Terminator::Any(b'\n'))
            .from_writer(Vec::new());
        for sample in samples {
            if let Some(row) = self.row(sample) {
                rows.write_record(row)
                    .expect("rows of one length fit in memory");
            }
        }
        rows.into_inner().expect("memory takes every row")
    }

    fn row(&mut self, sample: u64) -> Option<Vec<String>> {
        let values = self.study.design.values(sample);
        let mut row = vec![sample.to_string()];
        row.extend(values.iter().map(typed));
        for (place, value) in self.study.places.iter().zip(values) {
            self.workspace.set(place, value);
        }
        let holds = |[smaller, than]: &[Vec<key::Step>; 2]| {
            let table = &self.workspace.table;
            key::number(table, smaller) < key::number(table, than)
        };
        if !self.study.limits.iter().all(holds) {
            return None;
        }
        match self.workspace.guarded(Workspace::results) {
            Ok(results) => {
                row.extend(
                    self.study
                        .outputs
                        .iter()
                        .map(|output| output.cell(&results)),
                );
                row.push(String::new());
            }
            Err(cause) => {
                row.extend(self.study.outputs.iter().map(|_| String::new()));
                row.push(cause.replace('\n', "; "));
            }
        }
        Some(row)
    }
}

fn typed(value: &Toml) -> String {
    match value {
        Toml::String(word) => word.clone(),
        Toml::Float(number) => shown(*number),
        other => other.to_string(),
    }
}
