//! `clavibeam schema`.

use std::path::Path;

use clap::ValueEnum;

use super::error::{CliError, write_to};
use crate::assess::Assessment;
use crate::case;
use crate::frame_file;
use crate::input::schema_json;
use crate::study;

/// Print the JSON Schema of a file kind, for editors that complete and check as you type, or of
/// results.
#[derive(clap::Args)]
#[command(after_help = "example: clavibeam schema frame > frame.schema.json")]
pub(super) struct Arguments {
    /// Which kind of file.
    kind: Kind,
}

#[derive(Clone, Copy, ValueEnum)]
enum Kind {
    /// The file that `compare` reads.
    Case,
    /// The file that `solve` reads.
    Frame,
    /// The file that `sweep` reads.
    Study,
    /// The JSON that `compare` writes, any number of which a study can keep.
    Compare,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), CliError> {
    let schema = match arguments.kind {
        Kind::Case => case::schema_json(),
        Kind::Frame => frame_file::schema_json(),
        Kind::Study => study::schema_json(),
        Kind::Compare => schema_json::<Assessment>("clavibeam comparison"),
    };
    write_to(Path::new("-"), |out| out.write_all(schema.as_bytes()))
}
