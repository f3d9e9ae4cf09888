//! The finished table: CSV with a companion file, or Parquet.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::part::{Manifest, StudyError, part_path, rows, whole_file};

/// Joins files of rows into a table: Parquet if its name ends in `.parquet`, else CSV.
///
/// What the table belongs to goes into Parquet's key-value metadata, and for CSV, which has no
/// place for it, into a JSON file beside it.
///
/// # Errors
/// A file cannot be read or written.
pub fn write_table(manifest: &Manifest, parts: &[PathBuf], out: &Path) -> Result<(), StudyError> {
    let manifest = &Manifest {
        mark: None,
        ..manifest.clone()
    };
    let text = serde_json::to_string_pretty(manifest).expect("a manifest has text keys only");
    if out
        .extension()
        .is_some_and(|extension| extension == "parquet")
    {
        return parquet(manifest, parts, out, text);
    }
    let mut readers = Vec::new();
    for part in parts {
        readers.push(rows(part)?.1);
    }
    whole_file(out, |file| {
        let mut header = csv::WriterBuilder::new()
            .terminator(csv::Terminator::Any(b'\n'))
            .from_writer(Vec::new());
        header.write_record(manifest.columns.iter().map(|column| &column.name))?;
        file.write_all(&header.into_inner().map_err(|error| error.into_error())?)?;
        for reader in &mut readers {
            io::copy(reader, file)?;
        }
        Ok(())
    })?;
    let companion = part_path(out, ".meta.json");
    whole_file(&companion, |file| writeln!(file, "{text}"))
}

#[cfg(feature = "parquet")]
use super::parquet::write as parquet;

#[cfg(not(feature = "parquet"))]
fn parquet(_: &Manifest, _: &[PathBuf], out: &Path, _: String) -> Result<(), StudyError> {
    Err(StudyError::Foreign {
        path: out.to_owned(),
        rule: "this program was built without Parquet: choose a name that ends in .csv".to_owned(),
    })
}
