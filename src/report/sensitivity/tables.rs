//! The analysis as tables for other programs.

use std::io;
use std::path::{Path, PathBuf};

use super::tornado::{extremes, swings};
use crate::report::plot::figure::PlotError;
use crate::sampling::Estimate;
use crate::sensitivity::{Analysis, Level, Output};

/// A table: name of its file, headings and rows.
struct Table {
    name: &'static str,
    headings: &'static [&'static str],
    rows: Vec<Vec<String>>,
}

/// Writes the tables as CSV into a folder, made if it is not there. Means and values are in the
/// unit that ends the name of their output or input.
///
/// Returns the files written.
///
/// # Errors
///
/// When the folder or a file cannot be written.
pub fn write_tables(folder: &Path, analysis: &Analysis) -> Result<Vec<PathBuf>, PlotError> {
    let failed = |path: &Path, source: io::Error| PlotError {
        path: path.to_path_buf(),
        source,
    };
    std::fs::create_dir_all(folder).map_err(|source| failed(folder, source))?;
    let mut written = Vec::new();
    for table in tables(analysis) {
        let path = folder.join(format!("{}.csv", table.name));
        let write = || -> csv::Result<()> {
            let mut out = csv::Writer::from_path(&path)?;
            out.write_record(table.headings)?;
            for row in &table.rows {
                out.write_record(row)?;
            }
            Ok(out.flush()?)
        };
        write().map_err(|cause| failed(&path, io::Error::other(cause)))?;
        written.push(path);
    }
    Ok(written)
}

fn tables(analysis: &Analysis) -> Vec<Table> {
    let mut tables = vec![
        Table {
            name: "ranking",
            headings: &["output", "rank", "input", "explained_share", "total_index"],
            rows: each(analysis, ranking),
        },
        Table {
            name: "correlations",
            headings: &[
                "output",
                "input",
                "pearson",
                "pearson_from",
                "pearson_to",
                "spearman",
                "spearman_from",
                "spearman_to",
            ],
            rows: each(analysis, correlations),
        },
        Table {
            name: "main-effects",
            headings: &[
                "output",
                "input",
                "word",
                "from",
                "to",
                "centre",
                "samples",
                "mean",
                "mean_from",
                "mean_to",
            ],
            rows: each(analysis, effects),
        },
        Table {
            name: "tornado",
            headings: &["output", "input", "lowest_mean", "at", "highest_mean", "at"],
            rows: each(analysis, tornado),
        },
        Table {
            name: "contour",
            headings: &["output", "across", "up", "across_value", "up_value", "mean"],
            rows: each(analysis, contour),
        },
        Table {
            name: "failures",
            headings: &["reason", "samples", "first_sample"],
            rows: (analysis.failures.iter())
                .map(|failure| {
                    let reason = failure.reason.clone();
                    vec![
                        reason,
                        failure.count.to_string(),
                        failure.first_sample.to_string(),
                    ]
                })
                .collect(),
        },
    ];
    if analysis.about.block.is_some() {
        tables.push(Table {
            name: "indices",
            headings: &[
                "output",
                "input",
                "first_order",
                "first_order_from",
                "first_order_to",
                "total",
                "total_from",
                "total_to",
                "blocks",
                "blocks_dropped",
            ],
            rows: each(analysis, indices),
        });
    }
    tables.retain(|table| !table.rows.is_empty());
    tables
}

fn each(analysis: &Analysis, rows: fn(&Analysis, &Output) -> Vec<Vec<String>>) -> Vec<Vec<String>> {
    let outputs = analysis
        .outputs
        .iter()
        .filter(|output| !output.effects.is_empty());
    outputs
        .flat_map(|output| {
            rows(analysis, output).into_iter().map(|mut row| {
                row.insert(0, output.name.clone());
                row
            })
        })
        .collect()
}

/// The shortest digits that read back as the same number; empty where there is none.
fn number(value: f64) -> String {
    match value.is_finite() {
        true => format!("{value:?}"),
        false => String::new(),
    }
}

fn three(estimate: Option<&Estimate>) -> [String; 3] {
    estimate.map_or([const { String::new() }; 3], |all| {
        [all.value, all.from, all.to].map(number)
    })
}

fn ranking(analysis: &Analysis, output: &Output) -> Vec<Vec<String>> {
    let indices = output
        .indices
        .as_ref()
        .and_then(|all| all.of_inputs.as_ref());
    let ranked = output.ranking.iter().enumerate();
    ranked
        .map(|(rank, &input)| {
            let total = indices.map_or(f64::NAN, |all| all[input].total.value);
            vec![
                (rank + 1).to_string(),
                analysis.inputs[input].name.clone(),
                number(output.effects[input].share.unwrap_or(f64::NAN)),
                number(total),
            ]
        })
        .collect()
}

fn correlations(analysis: &Analysis, output: &Output) -> Vec<Vec<String>> {
    let pairs = analysis.inputs.iter().zip(&output.effects);
    pairs
        .map(|(input, effect)| {
            let mut row = vec![input.name.clone()];
            row.extend(three(effect.pearson.as_ref()));
            row.extend(three(effect.spearman.as_ref()));
            row
        })
        .collect()
}

fn effects(analysis: &Analysis, output: &Output) -> Vec<Vec<String>> {
    let pairs = analysis.inputs.iter().zip(&output.effects);
    let row = |name: &str, level: &Level| {
        let half = level.half.unwrap_or(f64::NAN);
        let mut row = vec![name.to_owned(), level.word.clone().unwrap_or_default()];
        row.extend([level.from, level.to, level.centre].map(number));
        row.push(level.count.to_string());
        row.extend([level.mean, level.mean - half, level.mean + half].map(number));
        row
    };
    pairs
        .flat_map(|(input, effect)| {
            effect
                .levels
                .iter()
                .map(move |level| row(&input.name, level))
        })
        .collect()
}

fn tornado(analysis: &Analysis, output: &Output) -> Vec<Vec<String>> {
    let at = |level: &Level| level.word.clone().unwrap_or_else(|| number(level.centre));
    swings(output)
        .into_iter()
        .filter_map(|(input, _)| {
            let [lowest, highest] = extremes(&output.effects[input])?;
            Some(vec![
                analysis.inputs[input].name.clone(),
                number(lowest.mean),
                at(lowest),
                number(highest.mean),
                at(highest),
            ])
        })
        .collect()
}

fn contour(analysis: &Analysis, output: &Output) -> Vec<Vec<String>> {
    let Some(surface) = &output.surface else {
        return Vec::new();
    };
    let names = surface
        .inputs
        .map(|input| analysis.inputs[input].name.clone());
    let points = surface
        .up
        .iter()
        .flat_map(|up| surface.across.iter().map(move |across| (across, up)));
    points
        .zip(&surface.values)
        .map(|((across, up), value)| {
            let mut row = names.to_vec();
            row.extend([*across, *up, *value].map(number));
            row
        })
        .collect()
}

fn indices(analysis: &Analysis, output: &Output) -> Vec<Vec<String>> {
    let Some(all) = &output.indices else {
        return Vec::new();
    };
    let of_inputs = all.of_inputs.iter().flatten();
    (analysis.inputs.iter().zip(of_inputs))
        .map(|(input, indices)| {
            let mut row = vec![input.name.clone()];
            row.extend(three(Some(&indices.first)));
            row.extend(three(Some(&indices.total)));
            row.extend([all.whole, all.blocks - all.whole].map(|count| count.to_string()));
            row
        })
        .collect()
}
