//! Journals and part files: rows of a table under one line that says what they belong to.
//!
//! A journal grows by whole rows in the order of samples. Whatever stops a sweep, the rows up to
//! the last line end stand, and the next one begins after them. A finished part is the same
//! rows under a line that also counts them; it appears under its name all at once.

use std::fmt;
use std::fs::{File, OpenOptions};
use std::io::{self, BufRead, BufReader, BufWriter, Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::file::{Column, Study};

/// A part of the samples: number `index` (from 1) of `of`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Part {
    /// From 1.
    pub index: u64,
    /// How many parts there are.
    pub of: u64,
}

impl Part {
    /// All samples.
    pub const WHOLE: Part = Part { index: 1, of: 1 };

    /// The samples of this part: runs that follow one another, as even as can be.
    pub fn range(self, samples: u64) -> Range<u64> {
        let end = |part: u64| (u128::from(samples) * u128::from(part) / u128::from(self.of)) as u64;
        end(self.index - 1)..end(self.index)
    }
}

impl std::str::FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let part = text.split_once('/').and_then(|(index, of)| {
            let (index, of) = (index.parse().ok()?, of.parse().ok()?);
            (1 <= index && index <= of).then_some(Part { index, of })
        });
        part.ok_or_else(|| "must be a part out of all, such as 3/8, counted from 1".to_owned())
    }
}

impl fmt::Display for Part {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}/{}", self.index, self.of)
    }
}

/// What rows belong to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// Name and version of the document.
    pub format: String,
    /// Version of the program.
    pub version: String,
    /// Title of the study.
    pub title: String,
    /// Mark of study and base file.
    pub study: String,
    /// The plan in words.
    pub plan: String,
    /// Its seed, if it has one.
    pub seed: Option<u64>,
    /// Samples of the whole study, those that constraints leave out included.
    pub samples: u64,
    /// Which part.
    pub part: Part,
    /// Columns of the table.
    pub columns: Vec<Column>,
    /// How many of the columns after `sample` are inputs.
    pub inputs: usize,
    /// Samples that belong together for sensitivity indices, one such block after another;
    /// absent where each sample stands alone.
    pub block: Option<u64>,
    /// Inputs that go together, in words.
    pub correlations: Vec<String>,
    /// Constraints in words.
    pub constraints: Vec<String>,
    /// Rows that follow; absent while they are written.
    pub rows: Option<u64>,
    /// How many of them failed.
    pub failed: Option<u64>,
    /// Mark of the rows' text.
    pub mark: Option<String>,
}

const FORMAT: &str = "clavibeam-sweep-1";

impl Manifest {
    /// Of a part that is being written.
    pub fn of(study: &Study, part: Part) -> Self {
        Manifest {
            format: FORMAT.to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
            title: study.title.clone(),
            study: study.hash.clone(),
            plan: study.plan.clone(),
            seed: study.seed,
            samples: study.samples,
            part,
            columns: study.columns.clone(),
            inputs: study.inputs,
            block: study.block,
            correlations: study.correlations.clone(),
            constraints: study.constraints.clone(),
            rows: None,
            failed: None,
            mark: None,
        }
    }

    fn line(&self) -> String {
        serde_json::to_string(self).expect("a manifest has text keys only") + "\n"
    }
}

/// Why a sweep or a gathering stopped.
#[derive(Debug)]
pub enum StudyError {
    /// A file cannot be read or written.
    File {
        /// Which.
        path: PathBuf,
        /// Why.
        cause: io::Error,
        /// Where the rows so far are safe, if there are any.
        kept: Option<PathBuf>,
    },
    /// A journal or part belongs to something else.
    Foreign {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        rule: String,
    },
    /// Parts do not make a whole.
    Parts(Vec<String>),
}

impl StudyError {
    /// Whether the files named are at fault, not the machine.
    pub fn is_input(&self) -> bool {
        !matches!(self, StudyError::File { .. })
    }
}

impl fmt::Display for StudyError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StudyError::File { path, cause, kept } => {
                write!(out, "{}: {cause}", path.display())?;
                match kept {
                    Some(kept) => write!(
                        out,
                        "; the samples done are safe in {}: run the same command again to go on",
                        kept.display()
                    ),
                    None => Ok(()),
                }
            }
            StudyError::Foreign { path, rule } => write!(out, "{}: {rule}", path.display()),
            StudyError::Parts(problems) => out.write_str(&problems.join("\n")),
        }
    }
}

impl std::error::Error for StudyError {}

pub(super) fn failed(path: &Path) -> impl FnOnce(io::Error) -> StudyError {
    move |cause| StudyError::File {
        path: path.to_owned(),
        cause,
        kept: None,
    }
}

/// Where a journal stands beside the file it will become.
pub fn part_path(out: &Path, ending: &str) -> PathBuf {
    let mut name = out.as_os_str().to_owned();
    name.push(ending);
    name.into()
}

/// Rows under way.
#[derive(Debug)]
pub(super) struct Journal {
    pub path: PathBuf,
    file: File,
    /// The first sample that is still to do.
    pub next: u64,
}

impl Journal {
    /// Opens the journal of a part, or makes it; what stands after its last line end is cut off.
    pub fn open(path: PathBuf, manifest: &Manifest) -> Result<Self, StudyError> {
        ordinary(&path)?;
        let range = manifest.part.range(manifest.samples);
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path)
            .map_err(failed(&path))?;
        let mut reader = BufReader::new(&file);
        let (mut line, mut whole, mut last) = (Vec::new(), 0, None);
        loop {
            line.clear();
            let read = reader.read_until(b'\n', &mut line).map_err(failed(&path))?;
            if line.last() != Some(&b'\n') {
                break;
            }
            if whole == 0 && line != manifest.line().as_bytes() {
                let rule = "is the journal of another study, part or version: delete it, or \
                            choose another output file";
                return Err(StudyError::Foreign {
                    path,
                    rule: rule.to_owned(),
                });
            }
            if whole > 0 {
                last = sample(&line);
            }
            whole += read as u64;
        }
        let next = last.map_or(range.start, |last: u64| last + 1);
        let mut journal = Journal { path, file, next };
        journal.file.set_len(whole).map_err(failed(&journal.path))?;
        journal
            .file
            .seek(SeekFrom::End(0))
            .map_err(failed(&journal.path))?;
        if whole == 0 {
            journal.append(manifest.line().as_bytes())?;
        }
        Ok(journal)
    }

    pub fn append(&mut self, rows: &[u8]) -> Result<(), StudyError> {
        self.file.write_all(rows).map_err(|cause| StudyError::File {
            path: self.path.clone(),
            cause,
            kept: Some(self.path.clone()),
        })
    }
}

/// The number of the sample of a row.
fn sample(row: &[u8]) -> Option<u64> {
    let end = row.iter().position(|byte| *byte == b',')?;
    std::str::from_utf8(&row[..end]).ok()?.parse().ok()
}

/// A file of rows, opened after its first line.
pub(super) fn rows(path: &Path) -> Result<(String, BufReader<File>), StudyError> {
    let mut reader = BufReader::new(File::open(path).map_err(failed(path))?);
    let mut first = Vec::new();
    // A file of another kind may have no line end at all.
    let mut head = reader.by_ref().take(LONGEST_MANIFEST);
    head.read_until(b'\n', &mut first).map_err(failed(path))?;
    Ok((String::from_utf8_lossy(&first).into_owned(), reader))
}

/// Bytes.
const LONGEST_MANIFEST: u64 = 1 << 24;

/// Counts the rows of a finished journal; no count if they are not in the order of samples.
pub(super) fn counted(journal: &Path, manifest: &Manifest) -> Result<Manifest, StudyError> {
    let (_, mut reader) = rows(journal)?;
    let (mut count, mut bad, mut mark) = (0, 0, Mark::default());
    let mut left = manifest.part.range(manifest.samples);
    let mut in_order = true;
    let mut line = Vec::new();
    while reader
        .read_until(b'\n', &mut line)
        .map_err(failed(journal))?
        > 0
    {
        count += 1;
        // The last column is empty where nothing failed.
        bad += u64::from(!line.ends_with(b",\n"));
        let number = sample(&line).filter(|number| left.contains(number));
        in_order &= number.is_some();
        left.start = number.map_or(left.start, |number| number + 1);
        mark.add(&line);
        line.clear();
    }
    Ok(Manifest {
        rows: in_order.then_some(count),
        failed: Some(bad),
        mark: Some(mark.shown()),
        ..manifest.clone()
    })
}

/// Refuses a device or folder: a file renamed to its name would take its place.
pub(super) fn ordinary(path: &Path) -> Result<(), StudyError> {
    match std::fs::metadata(path) {
        Ok(there) if !there.is_file() => Err(StudyError::Foreign {
            path: path.to_owned(),
            rule: "is no ordinary file: give the name of one to write to".to_owned(),
        }),
        _ => Ok(()),
    }
}

/// Writes a file under another name and gives it its own when it is whole.
pub(super) fn whole_file(
    path: &Path,
    write: impl FnOnce(&mut BufWriter<File>) -> io::Result<()>,
) -> Result<(), StudyError> {
    ordinary(path)?;
    let unfinished = part_path(path, ".unfinished");
    let written = File::create(&unfinished).and_then(|file| {
        let mut out = BufWriter::new(file);
        write(&mut out)?;
        out.flush()?;
        out.get_ref().sync_all()
    });
    let placed = written.and_then(|()| std::fs::rename(&unfinished, path));
    placed.map_err(|cause| {
        // It is of no use, and its room may be wanted.
        let _ = std::fs::remove_file(&unfinished);
        failed(path)(cause)
    })
}

/// The part file `out` if it is there already, whole and of this study.
pub(super) fn finished(out: &Path, manifest: &Manifest) -> Option<Manifest> {
    let (first, _) = rows(out).ok()?;
    let there: Manifest = serde_json::from_str(&first).ok()?;
    let begun = Manifest {
        rows: None,
        failed: None,
        mark: None,
        ..there.clone()
    };
    let whole = there.rows.is_some() && counted(out, &there).ok()? == there;
    (whole && begun == *manifest).then_some(there)
}

/// Makes a finished journal the part file `out`.
pub(super) fn finish(journal: &Path, manifest: &Manifest, out: &Path) -> Result<(), StudyError> {
    let (_, mut reader) = rows(journal)?;
    whole_file(out, |file| {
        file.write_all(manifest.line().as_bytes())?;
        io::copy(&mut reader, file).map(drop)
    })
}

/// Checks that parts make a whole; the manifest of the whole, and the parts in order.
///
/// # Errors
/// Every part that is missing, doubled, damaged or foreign, by name.
pub fn gather(parts: &[PathBuf]) -> Result<(Manifest, Vec<PathBuf>), StudyError> {
    let mut problems = Vec::new();
    let mut found: Vec<(Manifest, &PathBuf)> = Vec::new();
    for path in parts {
        let (first, _) = rows(path)?;
        let manifest: Option<Manifest> = serde_json::from_str(&first).ok();
        let manifest = manifest.filter(|manifest| manifest.format == FORMAT);
        let name = path.display();
        match manifest {
            None => problems.push(format!("{name}: is not a part of a sweep")),
            Some(manifest) if manifest.rows.is_none() => {
                problems.push(format!("{name}: is a journal: this part is not finished"));
            }
            Some(manifest) if counted(path, &manifest)? != manifest => {
                problems.push(format!(
                    "{name}: is damaged: its rows are not those it was written with"
                ));
            }
            Some(manifest) => found.push((manifest, path)),
        }
    }
    found.sort_by_key(|(manifest, _)| manifest.part.index);
    // Most parts tell which study is meant.
    let alike = |a: &Manifest, b: &Manifest| {
        (&a.study, &a.version, a.part.of) == (&b.study, &b.version, b.part.of)
    };
    let Some(meant) = found
        .iter()
        .map(|(manifest, _)| manifest)
        .max_by_key(|one| found.iter().filter(|(other, _)| alike(one, other)).count())
        .cloned()
    else {
        return Err(StudyError::Parts(problems));
    };
    found.retain(|(manifest, path)| {
        let own = alike(manifest, &meant);
        if !own {
            problems.push(format!(
                "{}: is part {} of another study, cut or version ('{}', {} {}), not of '{}', {} {}",
                path.display(),
                manifest.part,
                manifest.title,
                manifest.study,
                manifest.version,
                meant.title,
                meant.study,
                meant.version,
            ));
        }
        own
    });
    for pair in found.windows(2) {
        if pair[0].0.part == pair[1].0.part {
            let [first, second] = [pair[0].1, pair[1].1].map(|path| path.display());
            problems.push(format!(
                "{second}: is part {} as {first} is",
                pair[0].0.part
            ));
        }
    }
    let missing: Vec<String> = (1..=meant.part.of)
        .filter(|index| {
            found
                .iter()
                .all(|(manifest, _)| manifest.part.index != *index)
        })
        .map(|index| format!("{index}/{}", meant.part.of))
        .collect();
    if !missing.is_empty() {
        problems.push(format!(
            "missing of '{}': part {}",
            meant.title,
            missing.join(", ")
        ));
    }
    if !problems.is_empty() {
        return Err(StudyError::Parts(problems));
    }
    let total = |count: fn(&Manifest) -> Option<u64>| {
        found.iter().map(|(manifest, _)| count(manifest)).sum()
    };
    let whole = Manifest {
        part: Part::WHOLE,
        rows: total(|manifest| manifest.rows),
        failed: total(|manifest| manifest.failed),
        mark: None,
        ..meant
    };
    Ok((
        whole,
        found.into_iter().map(|(_, path)| path.clone()).collect(),
    ))
}

/// Mark of a text: tells texts apart that differ by accident.
pub(super) fn mark(text: &str) -> String {
    let mut mark = Mark::default();
    mark.add(text.as_bytes());
    mark.shown()
}

/// FNV-1a, 64 bits: from memory (Fowler, Noll, Vo).
struct Mark(u64);

impl Default for Mark {
    fn default() -> Self {
        Mark(0xcbf2_9ce4_8422_2325)
    }
}

impl Mark {
    fn add(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    fn shown(&self) -> String {
        format!("{:016x}", self.0)
    }
}
