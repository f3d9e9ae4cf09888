//! The analysis on a terminal.

use std::fmt::Write as _;

use super::names::{figures, interval, level, share};
use super::tornado::extremes;
use crate::report::words::padded;
use crate::sensitivity::{Analysis, Output};

/// Most reasons of failures that are listed.
pub(super) const MOST_REASONS: usize = 10;

/// What there is, what matters most for each output, and what to keep in mind.
pub fn text(analysis: &Analysis) -> String {
    let mut text = format!("{}\n{}\n", analysis.about.title, counted(analysis));
    for failure in analysis.failures.iter().take(MOST_REASONS) {
        let _ = writeln!(
            text,
            "  {} failed, the first of them sample {}: {}",
            failure.count, failure.first_sample, failure.reason
        );
    }
    for output in &analysis.outputs {
        text.push('\n');
        text.push_str(&output.name);
        if let Some(all) = output.summary {
            let _ = write!(
                text,
                ": mean {}, standard deviation {}, from {} to {}",
                figures(all.mean),
                figures(all.deviation),
                figures(all.least),
                figures(all.most)
            );
        }
        text.push('\n');
        text.push_str(&aligned(&ranking(analysis, output)));
    }
    if !analysis.words.is_empty() {
        let _ = writeln!(
            text,
            "\nwords, of which nothing is reckoned: {}",
            analysis.words.join(", ")
        );
    }
    if !analysis.cautions.is_empty() {
        text.push('\n');
    }
    for caution in &analysis.cautions {
        let _ = writeln!(text, "! {caution}");
    }
    text
}

/// Plan and counts in one sentence.
pub(super) fn counted(analysis: &Analysis) -> String {
    let about = &analysis.about;
    let seed = about
        .seed
        .map_or(String::new(), |seed| format!(", seed {seed}"));
    let failed = match analysis.failed() {
        0 => "none failed".to_owned(),
        failed => format!("{failed} failed"),
    };
    let skipped = match analysis.skipped {
        0 => String::new(),
        skipped => format!(", {skipped} left out as they cannot be"),
    };
    let used = match about.block {
        Some(_) => format!(
            ". Effects and correlations are of the {} samples that are independent",
            analysis.used
        ),
        None => String::new(),
    };
    format!(
        "{}{seed}: {} samples{skipped}, {failed}{used}.",
        about.plan, about.samples
    )
}

/// The ranking of inputs as rows of cells, the first of them headings.
pub(super) fn ranking(analysis: &Analysis, output: &Output) -> Vec<Vec<String>> {
    if output.effects.is_empty() {
        return Vec::new();
    }
    let indices = output.indices.as_ref();
    let indices = indices.and_then(|all| all.of_inputs.as_ref());
    let mut headings = vec!["input, most important first"];
    if indices.is_some() {
        headings.extend(["first order (95 %)", "total (95 %)"]);
    }
    headings.extend([
        "explains",
        "rank correlation",
        "linear correlation",
        "lowest mean, at",
        "highest mean, at",
    ]);
    let mut rows = vec![headings.into_iter().map(str::to_owned).collect::<Vec<_>>()];
    for &input in &output.ranking {
        let effect = &output.effects[input];
        let mut row = vec![analysis.inputs[input].name.clone()];
        if let Some(indices) = indices {
            row.push(interval(&indices[input].first));
            row.push(interval(&indices[input].total));
        }
        row.push(effect.share.map_or("–".to_owned(), share));
        for correlation in [effect.spearman, effect.pearson] {
            row.push(correlation.map_or("–".to_owned(), |found| share(found.value)));
        }
        match extremes(effect) {
            Some(ends) => {
                row.extend(ends.map(|end| format!("{}, {}", figures(end.mean), level(end))))
            }
            None => row.extend(["–", "–"].map(str::to_owned)),
        }
        rows.push(row);
    }
    rows
}

fn aligned(rows: &[Vec<String>]) -> String {
    let Some(first) = rows.first() else {
        return String::new();
    };
    let widths: Vec<usize> = (0..first.len())
        .map(|column| {
            rows.iter()
                .map(|row| row[column].chars().count())
                .max()
                .unwrap_or(0)
        })
        .collect();
    let mut text = String::new();
    for row in rows {
        let cells = row.iter().zip(&widths);
        let line: String = cells
            .map(|(cell, &width)| padded(cell, width + 2))
            .collect();
        let _ = writeln!(text, "  {}", line.trim_end());
    }
    text
}
