//! Studies: inputs of a case or frame file varied over very many samples, a few outputs kept.
//!
//! ```text
//! study file -> Study -> rows in a journal, in order, whatever the threads -> part file -> table
//! ```
//!
//! The values of a sample follow from its number alone, so a sweep may be stopped, started
//! again, and cut into parts for several machines, and the table is the same byte for byte.

mod base;
mod design;
mod file;
mod finished;
pub(crate) mod key;
mod outputs;
#[cfg(feature = "parquet")]
mod parquet;
mod part;
mod run;
mod table;
pub mod tables;
mod unit;

pub use file::{Column, Study, read, schema_json};
pub use finished::{Cells, Finished, read_table};
pub use part::{Manifest, Part, StudyError, gather, part_path};
pub use run::{Counts, Timing, run, timing};
pub use table::write_table;
pub use unit::{Unit, unit};
