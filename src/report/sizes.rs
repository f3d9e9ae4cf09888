//! The sizes of a bar, which of them is compared, and what one size down or up costs.

use crate::assess::{Assessment, ConstructAssessment, Price, Size, Sizes};

use super::html::{capitalised, escaped};
use super::number::{NOTHING, plain, three_figures, three_figures_or_dash};
use super::words::{padded, width};

/// Columns: two lines of heading.
const HEADINGS: [[&str; 2]; 9] = [
    ["size", "mm"],
    ["canal", "filled, %"],
    ["to spare", "mm"],
    ["strain", "%"],
    ["goes around", "the curves"],
    ["bending", "down, %"],
    ["front-", "back, %"],
    ["torsion", "%"],
    ["smallest", "margin"],
];

/// Constructs offered in several sizes.
fn offered(assessment: &Assessment) -> impl Iterator<Item = (&ConstructAssessment, &Sizes)> {
    let constructs = assessment.constructs.iter();
    constructs
        .filter_map(|construct| Some((construct, construct.sizes.as_ref()?)))
        .filter(|(_, sizes)| sizes.tried.len() > 1)
}

/// The table of one construct's sizes, row by row.
fn rows(construct: &ConstructAssessment, sizes: &Sizes) -> Vec<[String; HEADINGS.len()]> {
    sizes
        .tried
        .iter()
        .map(|size| {
            let share = |of: fn(&Price) -> f64| match (&size.price, size.picked) {
                (_, true) => "100".to_string(),
                (Some(price), _) => three_figures(of(price)),
                (None, _) => NOTHING.to_string(),
            };
            [
                three_figures(size.diameter_mm),
                three_figures(size.canal_fill_percent),
                format!("{:.1}", size.clearance_mm),
                three_figures_or_dash(size.surface_strain_percent),
                goes_around(size).to_string(),
                share(|price| price.bending_sup_inf_percent_of_picked),
                share(|price| price.bending_ant_post_percent_of_picked),
                share(|price| price.torsion_percent_of_picked),
                three_figures_or_dash(match (&size.price, size.picked) {
                    (_, true) => construct.smallest_static_margin().map(|(.., m)| m),
                    (price, _) => price.and_then(|price| price.smallest_static_margin),
                }),
            ]
        })
        .collect()
}

fn goes_around(size: &Size) -> &'static str {
    match size.clearance_mm < 0.0 {
        true => "too thick",
        false => size.goes_around,
    }
}

/// What was picked and by what.
fn picked(sizes: &Sizes) -> String {
    let size = &sizes.tried[sizes.picked()];
    match size.goes_in {
        true => format!("{} mm is the largest that goes in", size.diameter_mm),
        false => format!(
            "none goes in; the smallest, {} mm, is compared",
            size.diameter_mm
        ),
    }
}

fn limits(sizes: &Sizes) -> String {
    let largest = |size: Option<f64>| match size {
        Some(size) => format!("{size} mm"),
        None => "none".to_string(),
    };
    format!(
        "Strain of its surface on the way in: up to {} % it springs back; up to {} %, the proof strain \
         Rp0.2/E + 0.2 %, it keeps a bend but goes in: largest size {}. A limit of {} %, which for \
         nails in a plane, rigid canal gives the sizes of common practice, would allow {}. Stiffness \
         in % of the size compared.",
        plain(sizes.elastic_strain_percent),
        plain(sizes.proof_strain_percent),
        largest(sizes.largest_by_proof_strain_mm),
        plain(sizes.practice_strain_percent),
        largest(sizes.largest_by_practice_strain_mm)
    )
}

/// A block for each construct offered in several sizes: heading, lines of the table, sentence.
pub(super) fn blocks(assessment: &Assessment) -> Vec<(String, Vec<String>, String)> {
    offered(assessment)
        .map(|(construct, sizes)| {
            let rows = rows(construct, sizes);
            let column_width = |column: usize| {
                let cells = rows.iter().map(|row| width(&row[column]));
                let heading = HEADINGS[column].iter().map(|words| width(words));
                cells.chain(heading).max().unwrap_or(0)
            };
            let widths: Vec<usize> = (0..HEADINGS.len()).map(column_width).collect();
            let line = |mark: &str, cells: Vec<&str>| {
                let cells = cells
                    .iter()
                    .zip(&widths)
                    .map(|(cell, width)| padded(cell, *width));
                let line = format!("{mark}{}", cells.collect::<Vec<_>>().join("  "));
                line.trim_end().to_string()
            };
            let headings = [0, 1].map(|row| line("  ", HEADINGS.map(|words| words[row]).to_vec()));
            let lines = rows.iter().zip(&sizes.tried).map(|(row, size)| {
                let mark = if size.picked { "> " } else { "  " };
                line(mark, row.iter().map(String::as_str).collect())
            });
            let heading = format!("{}: {}", construct.name, picked(sizes));
            let lines = headings.into_iter().chain(lines).collect();
            (heading, lines, limits(sizes))
        })
        .collect()
}

/// The same for the page; nothing when no construct is offered in several sizes.
pub(super) fn html(assessment: &Assessment) -> String {
    let headings: String = HEADINGS
        .iter()
        .map(|[first, second]| {
            let joined = match first.strip_suffix('-') {
                Some(_) => format!("{first}{second}"),
                None => format!("{first} {second}"),
            };
            format!("<th scope=\"col\">{joined}</th>")
        })
        .collect();
    let constructs: String = offered(assessment)
        .map(|(construct, sizes)| {
            let body: String = rows(construct, sizes)
                .iter()
                .zip(&sizes.tried)
                .map(|(row, size)| {
                    let cells: String = row[1..]
                        .iter()
                        .map(|cell| format!("<td>{}</td>", escaped(cell)))
                        .collect();
                    let mark = if size.picked { " (compared)" } else { "" };
                    format!("<tr><th scope=\"row\">{}{mark}</th>{cells}</tr>\n", row[0])
                })
                .collect();
            format!(
                "<h3>{}</h3>\n<p>{}.</p>\n<div class=\"scroll\">\n<table>\n<thead><tr>{headings}</tr>\
                 </thead>\n<tbody>\n{body}</tbody>\n</table>\n</div>\n<p class=\"quiet\">{} {}.</p>\n",
                escaped(&construct.name),
                escaped(&capitalised(&picked(sizes))),
                escaped(&limits(sizes)),
                escaped(&capitalised(sizes.method))
            )
        })
        .collect();
    match constructs.is_empty() {
        true => constructs,
        false => format!("<h2>Sizes</h2>\n{constructs}"),
    }
}
