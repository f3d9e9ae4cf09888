//! Frame files: any 3D frame by name, with its loads and the values it is expected to give.
//!
//! ```
//! let text = r#"
//! title = "Cantilever rod"
//! [material.titanium]
//! youngs_modulus_gpa = 105
//! poisson_ratio = 0.34
//! [section.rod.circle]
//! diameter_mm = 3
//! [[node]]
//! name = "root"
//! at_mm = [0, 0, 0]
//! [[node]]
//! name = "tip"
//! at_mm = [100, 0, 0]
//! [[member]]
//! name = "rod"
//! between = ["root", "tip"]
//! section = "rod"
//! material = "titanium"
//! [[support]]
//! node = "root"
//! fixed = ["ux", "uy", "uz", "rx", "ry", "rz"]
//! [[load_case]]
//! name = "pull"
//! nodal = [{ node = "tip", force_n = [10, 0, 0] }]
//! "#;
//! let file = clavibeam::frame_file::parse(text, "rod.toml").unwrap();
//! let results = file.solve().unwrap();
//! let tip = results.load_cases[0].nodes.get("tip").unwrap();
//! // u = P L / (E A)
//! assert!((tip.displacement_mm[0] - 10.0 * 100.0 / (105_000.0 * 7.068_583_5)).abs() < 1e-9);
//! ```
//!
//! The format is described in `models/frames/README.md`.

mod analysis;
mod build;
mod course;
mod expect;
mod joints;
mod law_tables;
mod laws;
mod load_tables;
mod loads;
mod member;
mod result;
mod section_tables;
mod shape;
mod tables;
mod text;
mod vtk;

pub use analysis::{Analysis, BucklingResults, PathResults, Solved, StateResults};
pub use course::Course;
pub use expect::{Comparison, Expectation, scale_of};
pub use member::MemberPath;
pub use result::{Action, CaseResults, Contact, MemberResults, Motion, Named, Results, Settling};
pub use text::{write_iterations, write_text, write_trace};
pub use vtk::write_vtk;

use std::path::Path;

use crate::frame::{Frame, LoadCase, SolveError};
use crate::input::{self, Checker, Document, InputError};
use tables::FrameTable;

/// A frame as a file describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct FrameFile {
    /// What the frame is.
    pub title: String,
    /// The frame; the nodes the file names come first, in its order.
    pub frame: Frame,
    /// How many nodes the file names.
    pub named_nodes: usize,
    /// How many couplings the file names, first in the frame.
    pub named_couplings: usize,
    /// The members the file names, as runs of the frame's members.
    pub members: Vec<MemberPath>,
    /// Load cases.
    pub load_cases: Vec<LoadCase>,
    /// How each load case is reached.
    pub courses: Vec<Course>,
    /// What is done with them.
    pub analysis: Analysis,
    /// Reference values.
    pub expectations: Vec<Expectation>,
}

impl FrameFile {
    /// Solves every load case and gathers what a reader wants to know.
    ///
    /// # Errors
    /// The frame cannot be solved.
    pub fn solve(&self) -> Result<Results, SolveError> {
        Ok(Results::new(self, &self.solved()?))
    }

    /// Solves every load case.
    ///
    /// # Errors
    /// The frame cannot be solved.
    pub fn solved(&self) -> Result<Solved, SolveError> {
        Solved::new(self)
    }
}

/// Reads a frame file.
///
/// # Errors
/// The file cannot be read, or breaks a rule: all problems at once.
pub fn read(path: &Path) -> Result<FrameFile, InputError> {
    build::build(input::read(path)?)
}

/// Reads the text of a frame file; messages call the file `label`.
///
/// # Errors
/// The text breaks a rule: all problems at once.
pub fn parse(text: &str, label: &str) -> Result<FrameFile, InputError> {
    let document: Document<FrameTable> = input::parse(text, label)?;
    build::build(document)
}

/// Checks the text of a frame file against its schema only, for [`of_table`].
///
/// # Errors
/// The text is not TOML or breaks its schema.
pub fn schema_check(text: &str, label: &str) -> Result<Checker, InputError> {
    Ok(input::parse::<FrameTable>(text, label)?.check)
}

/// The frame of a table whose values satisfy the schema; the fast way to vary a frame.
///
/// * `check`: the keys that the table has, from [`schema_check`] of a text with the same keys
///
/// # Errors
/// Broken rules: all of them at once, with the values of the text that `check` comes from.
pub fn of_table(table: toml::Table, check: Checker) -> Result<FrameFile, InputError> {
    input::of_table(table, check).and_then(build::build)
}

/// The JSON Schema of a frame file.
pub fn schema_json() -> String {
    input::schema_json::<FrameTable>("clavibeam frame file")
}
