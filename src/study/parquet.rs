//! The table as Parquet.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical};
use parquet::column::reader::ColumnReader;
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::Type;

use super::file::Column;
use super::finished::{Cells, Read};
use super::part::{Manifest, StudyError, rows, whole_file};

/// Rows that are held in memory at once.
const GROUP: usize = 16_384;

/// Joins files of rows into one Parquet file; `metadata` is kept under the key `clavibeam`.
pub(super) fn write(
    manifest: &Manifest,
    parts: &[PathBuf],
    out: &Path,
    metadata: String,
) -> Result<(), StudyError> {
    let mut readers = Vec::new();
    for part in parts {
        readers.push(rows(part)?.1);
    }
    whole_file(out, |file| {
        let columns = &manifest.columns;
        let schema = schema(columns).map_err(io::Error::other)?;
        let properties = WriterProperties::builder()
            .set_compression(Compression::UNCOMPRESSED)
            .set_created_by(format!("clavibeam {}", manifest.version))
            .set_key_value_metadata(Some(vec![KeyValue::new("clavibeam".to_owned(), metadata)]))
            .build();
        let mut writer = SerializedFileWriter::new(file, schema, Arc::new(properties))
            .map_err(io::Error::other)?;
        let mut group: Vec<csv::StringRecord> = Vec::with_capacity(GROUP);
        for reader in readers {
            let mut reader = csv::ReaderBuilder::new()
                .has_headers(false)
                .from_reader(reader);
            for row in reader.records() {
                group.push(row?);
                if group.len() == GROUP {
                    write_group(&mut writer, columns, &group).map_err(io::Error::other)?;
                    group.clear();
                }
            }
        }
        if !group.is_empty() {
            write_group(&mut writer, columns, &group).map_err(io::Error::other)?;
        }
        writer.close().map(drop).map_err(io::Error::other)
    })
}

/// The number of the sample is whole; every other column may be empty.
fn schema(columns: &[Column]) -> Result<Arc<Type>, ParquetError> {
    let fields = columns.iter().enumerate().map(|(index, column)| {
        let field = |physical| Type::primitive_type_builder(&column.name, physical);
        let field = match (index, column.number) {
            (0, _) => field(Physical::INT64).with_repetition(Repetition::REQUIRED),
            (_, true) => field(Physical::DOUBLE).with_repetition(Repetition::OPTIONAL),
            (_, false) => field(Physical::BYTE_ARRAY)
                .with_logical_type(Some(LogicalType::String))
                .with_repetition(Repetition::OPTIONAL),
        };
        field.build().map(Arc::new)
    });
    let fields = fields.collect::<Result<Vec<_>, _>>()?;
    Ok(Arc::new(
        Type::group_type_builder("sweep")
            .with_fields(fields)
            .build()?,
    ))
}

fn write_group<W: io::Write + Send>(
    writer: &mut SerializedFileWriter<W>,
    columns: &[Column],
    group: &[csv::StringRecord],
) -> Result<(), ParquetError> {
    let mut row_group = writer.next_row_group()?;
    for (index, column) in columns.iter().enumerate() {
        write_column(&mut row_group, index, column.number, group)?;
    }
    row_group.close().map(drop)
}

fn write_column<W: io::Write + Send>(
    row_group: &mut SerializedRowGroupWriter<'_, W>,
    index: usize,
    number: bool,
    group: &[csv::StringRecord],
) -> Result<(), ParquetError> {
    let Some(mut column) = row_group.next_column()? else {
        return Ok(());
    };
    let cells = || group.iter().map(|row| row.get(index).unwrap_or_default());
    let there: Vec<i16> = cells().map(|cell| i16::from(!cell.is_empty())).collect();
    let given = || cells().filter(|cell| !cell.is_empty());
    let wrong = |cause: &dyn std::fmt::Display| ParquetError::General(cause.to_string());
    if index == 0 {
        let values: Result<Vec<i64>, _> = cells().map(str::parse).collect();
        let values = values.map_err(|cause| wrong(&cause))?;
        column
            .typed::<Int64Type>()
            .write_batch(&values, None, None)?;
    } else if number {
        let values: Result<Vec<f64>, _> = given().map(str::parse).collect();
        let values = values.map_err(|cause| wrong(&cause))?;
        column
            .typed::<DoubleType>()
            .write_batch(&values, Some(&there), None)?;
    } else {
        let values: Vec<ByteArray> = given().map(ByteArray::from).collect();
        column
            .typed::<ByteArrayType>()
            .write_batch(&values, Some(&there), None)?;
    }
    column.close()
}

/// The text under the key `clavibeam` of a Parquet file, and its columns by name.
///
/// # Errors
/// It is no Parquet file, or has a column that no sweep writes.
pub(super) fn read(file: File) -> Result<Read, ParquetError> {
    let reader = SerializedFileReader::new(file)?;
    let about = reader.metadata().file_metadata();
    let metadata = about.key_value_metadata();
    let text = metadata.and_then(|pairs| pairs.iter().find(|pair| pair.key == "clavibeam"));
    let text = text.and_then(|pair| pair.value.clone());
    let mut columns = Vec::new();
    for (index, field) in about.schema_descr().columns().iter().enumerate() {
        let mut cells = match field.physical_type() {
            Physical::INT64 | Physical::DOUBLE => Cells::Numbers(Vec::new()),
            _ => Cells::Words(Vec::new()),
        };
        for group in 0..reader.num_row_groups() {
            let group = reader.get_row_group(group)?;
            let rows = group.metadata().num_rows() as usize;
            read_column(group.get_column_reader(index)?, rows, &mut cells)?;
        }
        columns.push((field.name().to_owned(), cells));
    }
    Ok((text, columns))
}

/// Adds the cells of a row group; what is absent is not a number or an empty word.
fn read_column(column: ColumnReader, rows: usize, cells: &mut Cells) -> Result<(), ParquetError> {
    let mut there = Vec::new();
    match (column, cells) {
        (ColumnReader::Int64ColumnReader(mut column), Cells::Numbers(numbers)) => {
            let mut values = Vec::new();
            column.read_records(rows, None, None, &mut values)?;
            numbers.extend(values.into_iter().map(|value| value as f64));
        }
        (ColumnReader::DoubleColumnReader(mut column), Cells::Numbers(numbers)) => {
            let mut values = Vec::new();
            column.read_records(rows, Some(&mut there), None, &mut values)?;
            let mut values = values.into_iter();
            let cell = |there| if there == 1 { values.next() } else { None };
            numbers.extend(
                there
                    .into_iter()
                    .map(cell)
                    .map(|cell| cell.unwrap_or(f64::NAN)),
            );
        }
        (ColumnReader::ByteArrayColumnReader(mut column), Cells::Words(words)) => {
            let mut values = Vec::new();
            column.read_records(rows, Some(&mut there), None, &mut values)?;
            let mut values = values.into_iter();
            for there in there {
                let word = if there == 1 { values.next() } else { None };
                let word = word.as_ref().map(|word| word.as_utf8()).transpose()?;
                words.push(word.unwrap_or_default().to_owned());
            }
        }
        _ => return Err(ParquetError::General("a column of another kind".to_owned())),
    }
    Ok(())
}
