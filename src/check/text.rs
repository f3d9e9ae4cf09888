//! The checks as a table for the terminal.

use super::{Check, PUBLISHED, Report, Verdict};
use crate::handcalc::four_figures;

/// The checks by topic, each with its source, and a line that counts them.
pub fn text(report: &Report) -> String {
    let mut text = String::new();
    for topic in report.topics() {
        text += &format!("{}\n", topic[0].topic.to_uppercase());
        for same in topic.chunk_by(|a, b| (&a.title, &a.source) == (&b.title, &b.source)) {
            text += &format!("\n  {}\n  source: {}\n", same[0].title, same[0].source);
            text += &line(["", "expected", "obtained", "difference", "allowed", ""]);
            for check in same {
                let [expected, obtained, difference, allowed] = figures(check);
                let word = check.verdict.word();
                text += &line([
                    &check.quantity,
                    &expected,
                    &obtained,
                    &difference,
                    &allowed,
                    word,
                ]);
                if check.verdict != Verdict::Agrees {
                    text += &format!("      {}: {}\n", check.id, check.tolerance_reason);
                }
            }
        }
        text += "\n";
    }
    text + &count(report) + "\n"
}

fn line([name, expected, obtained, difference, allowed, verdict]: [&str; 6]) -> String {
    let line = format!(
        "    {name:<28} {expected:>14} {obtained:>11} {difference:>11} {allowed:>9}  {verdict}"
    );
    format!("{}\n", line.trim_end())
}

/// Expected, obtained, difference and what is allowed, as printed. A difference that is no more
/// than rounding is shown as `0`, so that another processor prints the same.
pub(super) fn figures(check: &Check) -> [String; 4] {
    const NOTHING: &str = "–";
    let [low, high] = check.agrees_within;
    let (expected, allowed) = match check.expected {
        Some(0.0) => ("0".to_owned(), format!("{high:.0e}")),
        Some(value) => {
            let half = (high - low) / 2.0 / value.abs();
            (four_figures(value), format!("{half:.0e}"))
        }
        None => {
            let range = format!("{} to {}", four_figures(low), four_figures(high));
            (range, NOTHING.to_owned())
        }
    };
    let obtained = check.obtained.map_or(NOTHING.to_owned(), |value| {
        // What is nothing but rounding beside what is allowed.
        four_figures(if value.abs() < 1e-9 { 0.0 } else { value })
    });
    let difference = match check.difference() {
        None => NOTHING.to_owned(),
        Some(difference) if difference.abs() < 1e-6 => "0".to_owned(),
        Some(difference) => format!("{difference:.0e}"),
    };
    [expected, obtained, difference, allowed]
}

/// How many there are, from how many publications, and how they came out.
pub(super) fn count(report: &Report) -> String {
    let used = |publication: &&super::Publication| {
        report
            .checks
            .iter()
            .any(|check| publication.is_used_by(check))
    };
    format!(
        "{} checks, {} published sources: {} agree, {} miss as known, {} fail.",
        report.checks.len(),
        PUBLISHED.iter().filter(used).count(),
        report.count(Verdict::Agrees),
        report.count(Verdict::Misses),
        report.count(Verdict::Fails),
    )
}
