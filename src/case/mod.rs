//! The case file: one patient, one fracture, the constructs considered and the activities.
//!
//! [`tables`] is what was typed; a [`Case`] is what is meant. A case that was read can fail
//! later only in the solver.

mod activities;
mod activity_tables;
mod aftercare;
pub mod aftercare_tables;
mod bone;
mod check;
mod defaults;
mod devices;
mod diameters;
mod joints;
mod lateral_bars;
mod plates;
mod scatter;
pub mod scatter_tables;
pub mod tables;
mod template;

pub use scatter::{Quantity, Scatter, ScatterInput};
pub use template::template;

use std::path::Path;

use crate::anatomy::{Clavicle, Patient};
use crate::construct::Fracture;
use crate::device::Device;
use crate::fatigue::Method;
use crate::healing::Healing;
use crate::input::{self, Checker, InputError};
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
    /// Name and device of each construct, in file order; of one offered in several sizes the
    /// smallest.
    pub constructs: Vec<(String, Device)>,
    /// The sizes in which each construct is offered, smallest first; may be left empty where each
    /// comes in one.
    pub sizes: Vec<Vec<Device>>,
    /// The loadings, in file order.
    pub activities: Vec<Activity>,
    /// How fatigue and healing are reckoned.
    pub aftercare: Aftercare,
    /// How the inputs scatter.
    pub scatter: Scatter,
    /// Inputs that the file left to their defaults.
    pub defaults_used: Vec<DefaultUsed>,
}

/// What the weeks after the operation are reckoned with.
#[derive(Debug, Clone, Default)]
pub struct Aftercare {
    /// What is done how often.
    pub routine: Vec<Activity>,
    /// How fatigue is judged.
    pub fatigue: Method,
    /// Repeats that an allowed load is borne for.
    pub repeats: f64,
    /// How the fracture heals.
    pub healing: Healing,
}

impl Case {
    /// The sizes in which the construct of this number is offered, smallest first.
    pub fn offered(&self, construct: usize) -> &[Device] {
        match self.sizes.get(construct) {
            Some(sizes) => sizes,
            None => std::slice::from_ref(&self.constructs[construct].1),
        }
    }
}

/// An input the file did not give.
#[derive(Debug, Clone, PartialEq, schemars::JsonSchema, serde::Serialize)]
pub struct DefaultUsed {
    /// Key path as it would stand in the file, with the unit in the key.
    pub key: String,
    /// The value taken.
    pub value: String,
    /// Where the value comes from.
    pub source: String,
}

/// Which constructs of a case file are asked for.
#[derive(Debug, Clone, Copy)]
pub enum Constructs<'a> {
    /// Every one.
    All,
    /// Those of these numbers, from 0 in file order: the others are neither checked nor built, and
    /// no defaults are noted.
    Only(&'a [usize]),
}

impl Constructs<'_> {
    fn includes(self, index: usize) -> bool {
        match self {
            Constructs::All => true,
            Constructs::Only(numbers) => numbers.contains(&index),
        }
    }
}

/// Reads and checks a case file.
///
/// # Errors
/// The file cannot be read, is not TOML, or breaks rules: all of them at once.
pub fn read(path: &Path) -> Result<Case, InputError> {
    check::case(input::read(path)?, Constructs::All, None)
}

/// Checks the text of a case file; messages call the file `label`.
///
/// # Errors
/// The text is not TOML or breaks rules: all of them at once.
pub fn parse(text: &str, label: &str) -> Result<Case, InputError> {
    check::case(input::parse(text, label)?, Constructs::All, None)
}

/// Checks the text of a case file against its schema only, for [`of_table`].
///
/// # Errors
/// The text is not TOML or breaks its schema.
pub fn schema_check(text: &str, label: &str) -> Result<Checker, InputError> {
    Ok(input::parse::<tables::CaseTable>(text, label)?.check)
}

/// The case of a table whose values satisfy the schema; the fast way to vary a case.
///
/// * `check`: the keys that the table has, from [`schema_check`] of a text with the same keys
/// * `earlier`: a case whose bone is taken over, with what was worked out of it, where it is the
///   same
///
/// # Errors
/// Broken rules: all of them at once, with the values of the text that `check` comes from.
pub fn of_table(
    table: toml::Table,
    check: Checker,
    constructs: Constructs,
    earlier: Option<&Case>,
) -> Result<Case, InputError> {
    check::case(input::of_table(table, check)?, constructs, earlier)
}

/// The JSON Schema of a case file.
pub fn schema_json() -> String {
    input::schema_json::<tables::CaseTable>("clavibeam case file")
}
