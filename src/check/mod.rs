//! Checks from outside the program: published values, closed forms and independent numerical
//! answers, each beside what this program gives.
//!
//! The reference values live once, in TOML: as `[[expect]]` entries of the frame files under
//! `models/`, and in `values/*.toml` beside this file for everything that is no frame. The
//! command `check`, the page `tests/VERIFICATION.md` and the tests read the same.
//!
//! ```
//! let report = clavibeam::check::run(Some("cowper"));
//! assert!(report.checks.iter().all(|check| check.verdict != clavibeam::check::Verdict::Fails));
//! ```

mod bench;
mod body;
mod canal;
mod convergence;
mod formula;
mod frames;
mod page;
mod picture;
mod refined;
mod sections;
mod sources;
mod standards;
mod strength;
mod text;
mod trial;
mod values;
mod variant;

pub use convergence::{Convergence, Level, convergences};
pub use frames::{FRAME_FILES, FrameSource};
pub use page::page;
pub use picture::{PICTURE, picture};
pub use sources::{PUBLISHED, Publication};
pub use text::text;

use serde::Serialize;

/// Version of the JSON document; changes only when a field changes its meaning or goes.
const FORMAT: &str = "clavibeam-check-1";

/// Everything that was checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// Name and version of the document.
    pub format: &'static str,
    /// The checks, grouped by topic.
    pub checks: Vec<Check>,
}

/// One value of the program beside one from outside.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    /// Short name, the same in every run.
    pub id: String,
    /// What it belongs to.
    pub topic: String,
    /// What is looked at.
    pub title: String,
    /// What is compared, with its unit.
    pub quantity: String,
    /// Where the expected value comes from.
    pub source: String,
    /// The expected value; nothing where only a range is known.
    pub expected: Option<f64>,
    /// The range that agrees.
    pub agrees_within: [f64; 2],
    /// What the program gives; nothing if it fails to give anything.
    pub obtained: Option<f64>,
    /// Why the range is as wide as it is.
    pub tolerance_reason: String,
    /// Whether the two agree.
    pub verdict: Verdict,
}

/// Whether a value agrees with that from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It does.
    Agrees,
    /// It does not, by as much as is known and explained.
    Misses,
    /// It does not; or it misses by more or less than is known.
    Fails,
}

impl Verdict {
    /// The word for tables.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Agrees => "agrees",
            Verdict::Misses => "misses, as known",
            Verdict::Fails => "FAILS",
        }
    }
}

impl Check {
    /// Difference from the expected value as a fraction of it, the value itself where 0 is
    /// expected.
    pub fn difference(&self) -> Option<f64> {
        let (expected, obtained) = (self.expected?, self.obtained?);
        match expected {
            0.0 => Some(obtained),
            _ => Some((obtained - expected) / expected.abs()),
        }
    }

    /// How far it lies outside of what agrees, as a fraction of the nearest end of that.
    pub fn off_by(&self) -> Option<f64> {
        let obtained = self.obtained?;
        let [low, high] = self.agrees_within;
        let nearest = if obtained < low { low } else { high };
        Some((obtained - nearest) / nearest.abs())
    }

    /// Whether a word occurs in its id, topic or source, upper and lower case alike.
    fn mentions(&self, word: &str) -> bool {
        let word = word.to_lowercase();
        let mut texts = [&self.id, &self.topic, &self.source].into_iter();
        texts.any(|text| text.to_lowercase().contains(&word))
    }
}

impl Report {
    /// How many checks came out in a certain way.
    pub fn count(&self, verdict: Verdict) -> usize {
        let such = |check: &&Check| check.verdict == verdict;
        self.checks.iter().filter(such).count()
    }

    /// The topics in order, each with its checks.
    fn topics(&self) -> impl Iterator<Item = &[Check]> {
        self.checks.chunk_by(|a, b| a.topic == b.topic)
    }

    /// The JSON document.
    pub fn json(&self) -> String {
        let json = serde_json::to_string_pretty(self).expect("plain data can be written as JSON");
        json + "\n"
    }
}

/// Runs the checks.
///
/// * `only`: those whose id, topic or source mentions this word
pub fn run(only: Option<&str>) -> Report {
    let wanted = |check: &Check| only.is_none_or(|word| check.mentions(word));
    let mut checks = frames::checks(&wanted);
    checks.extend(values::checks(&wanted));
    checks.extend(convergence::checks(&wanted));
    checks.sort_by(|a, b| a.topic.cmp(&b.topic));
    Report {
        format: FORMAT,
        checks,
    }
}
