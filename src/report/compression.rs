//! What tightening a device does to the fracture, as text and as HTML.

use crate::assess::{Compression, CompressionStep, ConstructAssessment};

use super::html::number;
use super::number::{three_figures, three_figures_or_dash};
use super::words::wrapped;

const HEADINGS: [&str; 7] = [
    "turns",
    "drawn, mm",
    "gap by, mm",
    "open, mm",
    "ends press, N",
    "mean, MPa",
    "pull, N",
];

fn figures(step: &CompressionStep) -> [Option<f64>; 7] {
    [
        step.turns,
        Some(step.travel_mm),
        Some(step.gap_change_mm),
        Some(step.stands_open_mm),
        Some(step.face_force_n),
        Some(step.face_pressure_mpa),
        Some(step.device_tension_n),
    ]
}

fn caption(compression: &Compression) -> String {
    let set = match compression.set_turns {
        Some(turns) => format!("{} turns", three_figures(turns)),
        None => format!("{} mm", three_figures(compression.set_mm)),
    };
    format!(
        "Tightened by its {}; loads come on with {set}. The cortex at the fracture is crushed at {} MPa; what \
         it bears under nut, head or thread is not computed.",
        compression.by,
        three_figures(compression.crushing_pressure_mpa)
    )
}

/// A small table under a line of headings; nothing for a device that draws nothing together.
pub(super) fn lines(construct: &ConstructAssessment) -> Vec<String> {
    let Some(compression) = &construct.compression else {
        return Vec::new();
    };
    let told = wrapped(&caption(compression), 98);
    let widths = HEADINGS.map(str::len);
    let row = |cells: [String; 7]| {
        let cells = cells.iter().zip(widths);
        let line: Vec<String> = cells
            .map(|(cell, width)| format!("{cell:>width$}"))
            .collect();
        format!("  {}", line.join("  "))
    };
    let mut lines: Vec<String> = told.iter().map(|line| format!("  {line}")).collect();
    lines.push(row(HEADINGS.map(str::to_owned)));
    let steps = compression.steps.iter();
    lines.extend(steps.map(|step| {
        let word = compression.gives_way(step).unwrap_or_default();
        format!("{}  {word}", row(figures(step).map(three_figures_or_dash)))
    }));
    lines
}

/// The same for the page.
pub(super) fn html(construct: &ConstructAssessment) -> String {
    let Some(compression) = &construct.compression else {
        return String::new();
    };
    let headings = HEADINGS
        .map(|words| format!("<th scope=\"col\">{words}</th>"))
        .concat();
    let rows: String = compression
        .steps
        .iter()
        .map(|step| {
            let cells = figures(step)
                .map(|figure| format!("<td>{}</td>", number(figure.unwrap_or(f64::NAN))));
            let word = compression.gives_way(step).unwrap_or_default();
            format!(
                "<tr>{}<td class=\"words\">{word}</td></tr>\n",
                cells.concat()
            )
        })
        .collect();
    format!(
        "<div class=\"scroll\">\n<table>\n<thead><tr>{headings}<td></td></tr></thead>\n<tbody>\n{rows}</tbody>\n\
         </table>\n</div>\n<p class=\"quiet\">{}</p>\n",
        caption(compression)
    )
}
