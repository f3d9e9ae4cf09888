//! The analysis as one HTML page that needs nothing else.

use super::names::{figures, interval, typeset};
use super::plots;
use super::text::{MOST_REASONS, counted, ranking};
use crate::report::html::{escaped, figure, list, page, scrolled};
use crate::sensitivity::{Analysis, Output};

/// A page for the browser and the printer: what was sampled, each output with its ranking and
/// pictures, correlations, failures, and how everything was reckoned.
pub fn html(analysis: &Analysis) -> String {
    let outputs: String = (0..analysis.outputs.len())
        .map(|number| output(analysis, number))
        .collect();
    let body = [
        format!(
            "<h1>{}</h1>\n<p>{}</p>\n",
            escaped(&analysis.about.title),
            escaped(&counted(analysis))
        ),
        list("What to keep in mind", &analysis.cautions),
        outputs,
        correlations(analysis),
        failures(analysis),
        method(analysis),
    ];
    page(&analysis.about.title, &body.concat())
}

fn output(analysis: &Analysis, number: usize) -> String {
    let output = &analysis.outputs[number];
    let summary = output.summary.map_or(String::new(), |all| {
        format!(
            "<p>Mean {}, standard deviation {}, from {} to {}; {} samples.</p>\n",
            typeset(&figures(all.mean)),
            typeset(&figures(all.deviation)),
            typeset(&figures(all.least)),
            typeset(&figures(all.most)),
            all.count
        )
    });
    let name = escaped(&output.name);
    if output.effects.is_empty() {
        return format!("<h2>{name}</h2>\n{summary}");
    }
    let pictures: String = plots::of_output(analysis, number)
        .iter()
        .map(figure)
        .collect();
    let table = scrolled(&name, &rows(&ranking(analysis, output)));
    format!("{table}{summary}{pictures}")
}

/// Rows of a table, the first of them headings.
fn rows(cells: &[Vec<String>]) -> String {
    let Some((headings, rows)) = cells.split_first() else {
        return String::new();
    };
    let headings: String = headings
        .iter()
        .map(|heading| format!("<th scope=\"col\">{}</th>", escaped(heading)))
        .collect();
    let rows: String = rows
        .iter()
        .map(|row| {
            let name = escaped(&row[0]);
            let cells = row[1..].iter().map(|cell| escaped(&typeset(cell)));
            let cells: String = cells.map(|cell| format!("<td>{cell}</td>")).collect();
            format!("<tr><th scope=\"row\">{name}</th>{cells}</tr>\n")
        })
        .collect();
    format!("<thead><tr>{headings}</tr></thead>\n<tbody>\n{rows}</tbody>")
}

/// Inputs down, outputs across, rank correlations with their intervals.
fn correlations(analysis: &Analysis) -> String {
    let outputs: Vec<&Output> = analysis
        .outputs
        .iter()
        .filter(|each| !each.effects.is_empty())
        .collect();
    if outputs.is_empty() {
        return String::new();
    }
    let kinds = [
        ("Rank correlations (Spearman)", true),
        ("Linear correlations (Pearson)", false),
    ];
    let grid = analysis.about.seed.is_none();
    let table = |(heading, by_rank): (&str, bool)| {
        let mut cells = vec![vec!["input".to_owned()]];
        cells[0].extend(outputs.iter().map(|output| output.name.clone()));
        for (number, input) in analysis.inputs.iter().enumerate() {
            let mut row = vec![input.name.clone()];
            row.extend(outputs.iter().map(|output| {
                let effect = &output.effects[number];
                let found = if by_rank {
                    effect.spearman
                } else {
                    effect.pearson
                };
                match found {
                    None => "–".to_owned(),
                    // A grid is no random sample.
                    Some(found) if grid => super::names::share(found.value),
                    Some(found) => interval(&found),
                }
            }));
            cells.push(row);
        }
        scrolled(heading, &rows(&cells))
    };
    kinds.map(table).concat()
}

fn failures(analysis: &Analysis) -> String {
    if analysis.failures.is_empty() {
        return String::new();
    }
    let mut cells = vec![
        ["reason", "samples", "the first of them"]
            .map(str::to_owned)
            .to_vec(),
    ];
    for failure in analysis.failures.iter().take(MOST_REASONS) {
        let numbers = [failure.count, failure.first_sample].map(|number| number.to_string());
        let mut row = vec![failure.reason.clone()];
        row.extend(numbers);
        cells.push(row);
    }
    let rest = analysis.failures.len().saturating_sub(MOST_REASONS);
    let rest = match rest {
        0 => String::new(),
        rest => {
            format!("<p class=\"quiet\">And {rest} more reasons; the table has them all.</p>\n")
        }
    };
    scrolled("Samples that failed", &rows(&cells)) + &rest
}

fn method(analysis: &Analysis) -> String {
    let about = &analysis.about;
    let mut sentences = vec![
        format!(
            "Study {} of version {}; plan: {}.",
            about.study, about.version, about.plan
        ),
        "“Explains” is the share of an output's variance that the main effect of an input explains \
         (adjusted correlation ratio): a first-order index from any independent samples."
            .to_owned(),
        "Rank correlation is Spearman's, linear correlation Pearson's; both see what rises or falls \
         all along and miss what turns round. Intervals are 95 %."
            .to_owned(),
    ];
    if about.block.is_some() {
        sentences.push(
            "Indices: first order after Saltelli et al. (2010), total after Jansen (1999); intervals \
             by percentile bootstrap, 1000 resamples of whole blocks, seeded. Points of Sobol's \
             sequence are more even than random ones, so that the intervals are rather too wide."
                .to_owned(),
        );
    }
    sentences.extend(
        (!about.constraints.is_empty())
            .then(|| format!("Only where {}.", about.constraints.join("; "))),
    );
    list("How this was reckoned", &sentences)
}
