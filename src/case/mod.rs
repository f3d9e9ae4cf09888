//! The case file: one patient, one fracture, the constructs considered and the activities.
//!
//! [`tables`] is what was typed; a [`Case`] is what is meant. A case that was read can fail
//! later only in the solver.

mod activities;
mod bone;
mod check;
mod defaults;
mod devices;
mod lateral_bars;
mod plates;
pub mod tables;
mod template;

pub use template::template;

use std::path::Path;

use crate::anatomy::{Clavicle, Patient};
use crate::construct::Fracture;
use crate::device::Device;
use crate::input::{self, InputError};
use crate::load::Activity;

/// A checked case: everything a comparison needs.
#[derive(Debug, Clone)]
pub struct Case {
    /// Title for reports.
    pub title: String,
    /// Who.
    pub patient: Patient,
    /// The unbroken bone.
    pub clavicle: Clavicle,
    /// The break.
    pub fracture: Fracture,
    /// Push along the bone with which it is tried whether it keeps its length, N.
    pub push: f64,
    /// Name and device of each construct, in file order.
    pub constructs: Vec<(String, Device)>,
    /// The loadings, in file order.
    pub activities: Vec<Activity>,
    /// Inputs that the file left to their defaults.
    pub defaults_used: Vec<DefaultUsed>,
}

/// An input the file did not give.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct DefaultUsed {
    /// Key path as it would stand in the file, with the unit in the key.
    pub key: String,
    /// The value taken.
    pub value: String,
    /// Where the value comes from.
    pub source: String,
}

/// Reads and checks a case file.
///
/// # Errors
/// The file cannot be read, is not TOML, or breaks rules: all of them at once.
pub fn read(path: &Path) -> Result<Case, InputError> {
    check::case(input::read(path)?)
}

/// Checks the text of a case file; messages call the file `label`.
///
/// # Errors
/// The text is not TOML or breaks rules: all of them at once.
pub fn parse(text: &str, label: &str) -> Result<Case, InputError> {
    check::case(input::parse(text, label)?)
}

/// The JSON Schema of a case file.
pub fn schema_json() -> String {
    input::schema_json::<tables::CaseTable>("clavibeam case file")
}
