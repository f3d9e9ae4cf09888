//! The case file: one patient, one fracture, the constructs considered and the activities.

use crate::anatomy::{Clavicle, Patient};
use crate::construct::Fracture;
use crate::device::Device;
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
