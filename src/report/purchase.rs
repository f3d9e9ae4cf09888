//! What more purchase gains, row by row.

use crate::assess::{Assessment, ConstructAssessment, PurchaseStep, PurchaseSweep, Varied};

use super::html::{capitalised, escaped};
use super::number::{plain, three_figures, three_figures_or_dash};
use super::words::{padded, width};

/// A sweep as a table with its sentences.
struct Table {
    heading: String,
    columns: Vec<[&'static str; 2]>,
    /// One for each step, and whether it is enough.
    rows: Vec<(bool, Vec<String>)>,
    sentences: Vec<String>,
}

type Column = ([&'static str; 2], fn(&PurchaseStep) -> String);

const PURCHASE: Column = (["purchase", "mm"], |step| three_figures(step.purchase_mm));
const ANSWERS: [Column; 4] = [
    (["bending down", "N·m/deg"], |step| {
        three_figures(step.bending_sup_inf_nm_per_deg)
    }),
    (["of most", "%"], |step| {
        three_figures(step.bending_sup_inf_percent_of_most)
    }),
    (["fracture", "tilts, deg"], |step| {
        three_figures(step.angle_deg)
    }),
    (["stress", "MPa"], |step| {
        three_figures(step.peak_stress_mpa)
    }),
];
const OF_TIP: [Column; 3] = [
    (["slides", "mm"], |step| three_figures_or_dash(step.slip_mm)),
    (["cortex at", "tip, mm"], |step| {
        three_figures_or_dash(step.cortex_at_tip_mm)
    }),
    (["bone ahead", "mm"], |step| {
        three_figures_or_dash(step.bone_past_tip_mm)
    }),
];
const HOLES: Column = (["holes", ""], |step| {
    step.hole_count
        .map_or(String::new(), |count| count.to_string())
});
const SCREWS: Column = (["screws", "med + lat"], |step| {
    let screws = step.screws_per_side;
    screws.map_or(String::new(), |[medial, lateral]| {
        format!("{medial} + {lateral}")
    })
});

fn table(construct: &ConstructAssessment, sweep: &PurchaseSweep) -> Table {
    let columns: Vec<Column> = match sweep.varied {
        Varied::Tip => [PURCHASE]
            .into_iter()
            .chain(ANSWERS)
            .chain(OF_TIP)
            .collect(),
        Varied::PlateLength => [HOLES, SCREWS, PURCHASE]
            .into_iter()
            .chain(ANSWERS)
            .collect(),
        Varied::ScrewsPerSide => [SCREWS].into_iter().chain(ANSWERS).collect(),
    };
    let row = |(index, step): (usize, &PurchaseStep)| {
        let cells = columns.iter().map(|(_, of)| of(step)).collect();
        (sweep.enough == Some(index), cells)
    };
    Table {
        heading: title(construct, sweep),
        columns: columns.iter().map(|(heading, _)| *heading).collect(),
        rows: sweep.steps.iter().enumerate().map(row).collect(),
        sentences: sentences(sweep),
    }
}

/// Construct and what is varied.
pub(super) fn title(construct: &ConstructAssessment, sweep: &PurchaseSweep) -> String {
    let varied = match sweep.varied {
        Varied::Tip => format!("tip further into the {} fragment", sweep.fragment),
        Varied::PlateLength => "longer plate, every hole clear of the gap filled".to_string(),
        Varied::ScrewsPerSide => "more screws in the same plate".to_string(),
    };
    format!("{}: {varied}", construct.name)
}

/// The purchase that is enough, in words.
pub(super) fn enough(sweep: &PurchaseSweep) -> Option<String> {
    let step = &sweep.steps[sweep.enough?];
    Some(match sweep.varied {
        Varied::Tip => format!("{} mm", plain(step.purchase_mm)),
        Varied::PlateLength => format!("{} holes", step.amount(sweep.varied)),
        Varied::ScrewsPerSide => format!("{} screws a side", step.amount(sweep.varied)),
    })
}

fn sentences(sweep: &PurchaseSweep) -> Vec<String> {
    let gain = match enough(sweep) {
        Some(enough) => format!("past {enough} more gains less than 5 % in bending stiffness"),
        None => "bending stiffness still gains 5 % or more at the end".to_string(),
    };
    let end = sweep.canal_end_position.zip(sweep.steps.last());
    let end = end.map(|(at, step)| {
        format!(
            "the usable canal ends at {} mm ({} % of the length), with {} mm of cortex around the tip \
             and {} mm of bone ahead of it",
            plain(step.purchase_mm),
            plain(100.0 * at),
            three_figures_or_dash(step.cortex_at_tip_mm),
            three_figures_or_dash(step.bone_past_tip_mm)
        )
    });
    let acting = format!("tilt, slip and stress under '{}'", sweep.activity);
    let rules = sweep
        .rules
        .iter()
        .map(|rule| format!("rule of the trade: {rule}"));
    let sentences = [gain].into_iter().chain(end).chain([acting]);
    sentences
        .chain(rules)
        .map(|s| capitalised(&s) + ".")
        .collect()
}

fn tables(assessment: &Assessment) -> impl Iterator<Item = Table> {
    let constructs = assessment.constructs.iter();
    constructs.flat_map(|construct| {
        let sweeps = construct.purchase_sweep.iter();
        sweeps.map(move |sweep| table(construct, sweep))
    })
}

/// A block for each sweep: heading, lines of the table, sentences.
pub(super) fn blocks(assessment: &Assessment) -> Vec<(String, Vec<String>, String)> {
    tables(assessment)
        .map(|table| {
            let widths: Vec<usize> = (table.columns.iter().enumerate())
                .map(|(column, heading)| {
                    let cells = table.rows.iter().map(|(_, cells)| width(&cells[column]));
                    let heading = heading.iter().map(|words| width(words));
                    cells.chain(heading).max().unwrap_or(0)
                })
                .collect();
            let line = |mark: &str, cells: &mut dyn Iterator<Item = &str>| {
                let cells = cells.zip(&widths).map(|(cell, width)| padded(cell, *width));
                let line = format!("{mark}{}", cells.collect::<Vec<_>>().join("  "));
                line.trim_end().to_string()
            };
            let headings =
                [0, 1].map(|row| line("  ", &mut table.columns.iter().map(|words| words[row])));
            let rows = table.rows.iter().map(|(enough, cells)| {
                let mark = if *enough { "> " } else { "  " };
                line(mark, &mut cells.iter().map(String::as_str))
            });
            let lines = headings.into_iter().chain(rows).collect();
            (table.heading, lines, table.sentences.join(" "))
        })
        .collect()
}

/// The same for the page; nothing when it was not asked for.
pub(super) fn html(assessment: &Assessment) -> String {
    let sweeps: String = tables(assessment)
        .map(|table| {
            let headings: String = table
                .columns
                .iter()
                .map(|[first, second]| format!("<th scope=\"col\">{first} {second}</th>"))
                .collect();
            let rows: String = table
                .rows
                .iter()
                .map(|(enough, cells)| {
                    let mark = if *enough { " (enough)" } else { "" };
                    let rest: String = cells[1..]
                        .iter()
                        .map(|cell| format!("<td>{}</td>", escaped(cell)))
                        .collect();
                    format!("<tr><th scope=\"row\">{}{mark}</th>{rest}</tr>\n", cells[0])
                })
                .collect();
            format!(
                "<h3>{}</h3>\n<div class=\"scroll\">\n<table>\n<thead><tr>{headings}</tr></thead>\n\
                 <tbody>\n{rows}</tbody>\n</table>\n</div>\n<p class=\"quiet\">{}</p>\n",
                escaped(&table.heading),
                escaped(&table.sentences.join(" "))
            )
        })
        .collect();
    match sweeps.is_empty() {
        true => sweeps,
        false => format!("<h2>Purchase</h2>\n{sweeps}"),
    }
}
