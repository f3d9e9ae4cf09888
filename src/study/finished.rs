//! A finished table, read back.

use std::fs::{self, File};
use std::path::Path;

use super::part::{Manifest, StudyError, part_path, rows};

/// The cells of a column.
#[derive(Debug, Clone, PartialEq)]
pub enum Cells {
    /// Numbers; not a number where there is none.
    Numbers(Vec<f64>),
    /// Words; empty where there is none.
    Words(Vec<String>),
}

/// A finished table.
#[derive(Debug, Clone, PartialEq)]
pub struct Finished {
    /// What it belongs to.
    pub manifest: Manifest,
    /// The columns of the manifest, in its order.
    pub columns: Vec<Cells>,
}

/// Reads a table that `sweep` or `gather` wrote: Parquet if its name ends in `.parquet`, else
/// CSV with its companion file.
///
/// # Errors
/// A file cannot be read, or is not such a table.
pub fn read_table(path: &Path) -> Result<Finished, StudyError> {
    let foreign = |rule: String| StudyError::Foreign {
        path: path.to_owned(),
        rule,
    };
    let parquet = path.extension().is_some_and(|ending| ending == "parquet");
    let (text, names, columns) = match parquet {
        true => {
            let file = File::open(path).map_err(|cause| foreign(cause.to_string()))?;
            let (text, columns) = from_parquet(file)
                .map_err(|cause| foreign(format!("cannot be read as Parquet: {cause}")))?;
            let text = text.ok_or_else(|| foreign(NO_TABLE.to_owned()))?;
            let (names, columns) = columns.into_iter().unzip();
            (text, names, Some(columns))
        }
        false => {
            let companion = part_path(path, ".meta.json");
            // What is missing is told by the name the user gave.
            File::open(path).map_err(|cause| foreign(cause.to_string()))?;
            let text = fs::read_to_string(&companion).map_err(|cause| {
                foreign(match rows(path) {
                    Ok((first, _)) if first.starts_with('{') => {
                        "is a part or journal of a sweep: gather makes parts a table".to_owned()
                    }
                    _ => format!("needs {} beside it: {cause}", companion.display()),
                })
            })?;
            (text, Vec::new(), None)
        }
    };
    let manifest: Manifest =
        serde_json::from_str(&text).map_err(|cause| foreign(format!("{NO_TABLE} ({cause})")))?;
    let own_names = |names: &[String]| {
        let own = manifest.columns.iter().map(|column| &column.name);
        own.eq(names.iter())
    };
    let (names, columns): (Vec<String>, Vec<Cells>) = match columns {
        Some(columns) => (names, columns),
        None => from_csv(path, &manifest)
            .map_err(|cause| foreign(format!("cannot be read as CSV: {cause}")))?,
    };
    if !own_names(&names) || manifest.inputs + 2 > manifest.columns.len() {
        return Err(foreign(
            "has not the columns it was written with".to_owned(),
        ));
    }
    let counted = columns.first().map_or(0, |cells| match cells {
        Cells::Numbers(cells) => cells.len() as u64,
        Cells::Words(cells) => cells.len() as u64,
    });
    if manifest.rows.is_some_and(|rows| rows != counted) {
        return Err(foreign(format!(
            "has {counted} rows, not the {} it was written with",
            manifest.rows.unwrap_or(0)
        )));
    }
    Ok(Finished { manifest, columns })
}

const NO_TABLE: &str = "is not a table of sweep or gather of this version";

/// Names and columns of a CSV file.
fn from_csv(path: &Path, manifest: &Manifest) -> Result<(Vec<String>, Vec<Cells>), String> {
    let told = |cause: csv::Error| cause.to_string();
    let mut reader = csv::Reader::from_path(path).map_err(told)?;
    let names = reader.headers().map_err(told)?;
    let names: Vec<String> = names.iter().map(str::to_owned).collect();
    let mut columns: Vec<Cells> = (manifest.columns.iter())
        .map(|column| match column.number {
            true => Cells::Numbers(Vec::new()),
            false => Cells::Words(Vec::new()),
        })
        .collect();
    let mut row = csv::StringRecord::new();
    while reader.read_record(&mut row).map_err(told)? {
        for (cells, cell) in columns.iter_mut().zip(&row) {
            match cells {
                Cells::Words(words) => words.push(cell.to_owned()),
                Cells::Numbers(numbers) if cell.is_empty() => numbers.push(f64::NAN),
                Cells::Numbers(numbers) => numbers.push(cell.parse().map_err(|_| {
                    let line = row.position().map_or(0, csv::Position::line);
                    format!("line {line}: '{cell}' is no number")
                })?),
            }
        }
    }
    Ok((names, columns))
}

/// Metadata and columns by name, as a Parquet file has them.
pub(super) type Read = (Option<String>, Vec<(String, Cells)>);

#[cfg(feature = "parquet")]
fn from_parquet(file: File) -> Result<Read, String> {
    super::parquet::read(file).map_err(|cause| cause.to_string())
}

#[cfg(not(feature = "parquet"))]
fn from_parquet(_: File) -> Result<Read, String> {
    Err("this program was built without it".to_owned())
}
