//! The reference values that are no frames, as the files of `values/` state them.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::formula::Formula;
use super::{Check, Verdict};
use crate::frame_file::scale_of;

/// The files; a topic may have values of frames besides.
const FILES: [&str; 14] = [
    include_str!("values/beams.toml"),
    include_str!("values/bench.toml"),
    include_str!("values/body.toml"),
    include_str!("values/buckling.toml"),
    include_str!("values/canals.toml"),
    include_str!("values/fatigue.toml"),
    include_str!("values/healing.toml"),
    include_str!("values/large_displacements.toml"),
    include_str!("values/materials.toml"),
    include_str!("values/nails.toml"),
    include_str!("values/notches.toml"),
    include_str!("values/sections.toml"),
    include_str!("values/solids.toml"),
    include_str!("values/standards.toml"),
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ValuesFile {
    topic: String,
    check: Vec<Entry>,
}

/// One formula with its inputs, and what it is expected to give.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    id: String,
    title: String,
    source: String,
    /// What is computed, with its inputs.
    of: Formula,
    /// Expected values by name of the result.
    #[serde(default)]
    expected: BTreeMap<String, f64>,
    /// Largest difference that agrees, as a fraction of the value (of 1 where that is 0).
    relative_tolerance: Option<f64>,
    /// The same, in the unit of the result.
    absolute_tolerance: Option<f64>,
    /// Ranges by name of the result.
    #[serde(default)]
    between: BTreeMap<String, [f64; 2]>,
    /// What is known not to agree.
    #[serde(default)]
    misses: BTreeMap<String, Miss>,
    /// Why the tolerance or the range is what it is.
    tolerance_reason: String,
}

/// A published value that the program is known to miss.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Miss {
    published: [f64; 2],
    /// What the program gives instead, and by which fraction that may change.
    gives: f64,
    within: f64,
    reason: String,
}

impl Entry {
    /// A check of this entry that has not been run yet.
    fn check(&self, topic: &str, quantity: &str, agrees_within: [f64; 2]) -> Check {
        Check {
            id: format!("{}.{quantity}", self.id),
            topic: topic.to_owned(),
            title: self.title.clone(),
            quantity: quantity.to_owned(),
            source: self.source.clone(),
            expected: None,
            agrees_within,
            obtained: None,
            tolerance_reason: self.tolerance_reason.clone(),
            verdict: Verdict::Fails,
        }
    }

    /// Every check of the entry, not run yet, with what the program is known to give instead.
    fn checks(&self, topic: &str) -> Vec<(Check, Option<[f64; 2]>)> {
        let mut checks = Vec::new();
        for (quantity, &value) in &self.expected {
            let half = match (self.relative_tolerance, self.absolute_tolerance) {
                (_, Some(absolute)) => absolute,
                (Some(relative), None) => relative * scale_of(value),
                (None, None) => panic!("{}: no tolerance", self.id),
            };
            let mut check = self.check(topic, quantity, [value - half, value + half]);
            check.expected = Some(value);
            checks.push((check, None));
        }
        for (quantity, &range) in &self.between {
            checks.push((self.check(topic, quantity, range), None));
        }
        for (quantity, miss) in &self.misses {
            let mut check = self.check(topic, quantity, miss.published);
            check.tolerance_reason = miss.reason.clone();
            let half = miss.within * miss.gives.abs();
            checks.push((check, Some([miss.gives - half, miss.gives + half])));
        }
        checks
    }
}

/// All checks that are wanted.
pub(super) fn checks(wanted: &impl Fn(&Check) -> bool) -> Vec<Check> {
    let mut done = Vec::new();
    for text in FILES {
        let file: ValuesFile = toml::from_str(text).expect("our own values are well formed");
        for entry in &file.check {
            let mut checks = entry.checks(&file.topic);
            checks.retain(|(check, _)| wanted(check));
            if checks.is_empty() {
                continue;
            }
            let results = entry.of.results();
            for (mut check, instead) in checks {
                let found = results.iter().find(|(name, _)| *name == check.quantity);
                check.obtained = found.map(|(_, value)| *value);
                check.verdict = verdict(check.obtained, check.agrees_within, instead);
                done.push(check);
            }
        }
    }
    done
}

/// * `instead`: what the program is known to give where it misses
fn verdict(obtained: Option<f64>, agrees: [f64; 2], instead: Option<[f64; 2]>) -> Verdict {
    let within =
        |[low, high]: [f64; 2]| obtained.is_some_and(|value| low <= value && value <= high);
    match instead {
        None if within(agrees) => Verdict::Agrees,
        Some(known) if within(known) && !within(agrees) => Verdict::Misses,
        _ => Verdict::Fails,
    }
}

#[cfg(test)]
mod tests {
    use super::verdict;
    use crate::check::Verdict;

    /// A known miss fails when it changes, and also when it agrees after all.
    #[test]
    fn a_known_miss_cannot_change_silently() {
        let miss = |obtained| verdict(Some(obtained), [45.0, 53.0], Some([68.0, 70.0]));
        assert_eq!(miss(69.0), Verdict::Misses);
        assert_eq!(miss(75.0), Verdict::Fails);
        assert_eq!(miss(50.0), Verdict::Fails);
        assert_eq!(verdict(None, [0.0, 1.0], None), Verdict::Fails);
        assert_eq!(verdict(Some(f64::NAN), [0.0, 1.0], None), Verdict::Fails);
    }
}
