//! Reference values that a file states for its own results.

use std::fmt;

use serde::Serialize;

use crate::input::entry_path;

use super::FrameFile;
use super::analysis::Solved;
use super::build::Builder;
use super::load_tables::{ExpectTable, Quantity};
use super::result::{peak_stress, stress_at};

/// A reference value for one result.
#[derive(Debug, Clone, PartialEq)]
pub struct Expectation {
    case: usize,
    place: Place,
    quantity: Quantity,
    value: f64,
    tolerance: f64,
    tolerance_reason: Option<String>,
    source: String,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Place {
    Node(usize),
    /// A member and a distance along it, mm; the whole member without one.
    Member(usize, Option<f64>),
    Coupling(usize),
    /// The load case as a whole.
    Case,
}

/// A result beside its reference value.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Load case.
    pub load_case: String,
    /// The node or the place on a member, in words.
    pub place: String,
    /// What is compared, with its unit.
    pub quantity: String,
    /// The result; nothing for a stress that cannot be recovered.
    pub result: Option<f64>,
    /// The reference value.
    pub reference: f64,
    /// Difference as a fraction of the reference (of 1 when that is 0).
    pub difference: Option<f64>,
    /// Largest difference that still agrees.
    pub tolerance: f64,
    /// Why that much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance_reason: Option<String>,
    /// Whether the difference is within the tolerance.
    pub agrees: bool,
    /// Where the reference value comes from.
    pub source: String,
}

/// What kind of result a quantity is, with its component.
enum Kind {
    Motion(usize),
    Reaction(usize),
    Section(usize),
    Stress,
    Touch,
    Buckling,
    Limit,
}

impl Quantity {
    fn kind(self) -> Kind {
        match self as usize {
            component @ 0..6 => Kind::Motion(component),
            component @ 6..12 => Kind::Reaction(component - 6),
            component @ 12..18 => Kind::Section(component - 12),
            18 => Kind::Stress,
            19 => Kind::Buckling,
            20 => Kind::Limit,
            _ => Kind::Touch,
        }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.serialize(f)
    }
}

impl Builder<'_> {
    pub(super) fn expectations(&mut self) -> Vec<Expectation> {
        let tables = self.table.expect.iter().enumerate();
        tables
            .filter_map(|(index, table)| self.expectation(&entry_path("expect", index), table))
            .collect()
    }

    fn expectation(&mut self, key: &str, table: &ExpectTable) -> Option<Expectation> {
        let whole = matches!(table.quantity.kind(), Kind::Buckling | Kind::Limit);
        if !whole {
            self.check.exactly_one(key, &["node", "member", "coupling"]);
        }
        let given = [&table.node, &table.member, &table.coupling]
            .into_iter()
            .flatten()
            .count();
        let case = self.load_case_index(&format!("{key}.load_case"), &table.load_case);
        let place = if whole && given == 0 {
            Place::Case
        } else if let Some(name) = &table.member {
            let member = self.member_index(&format!("{key}.member"), name)?;
            self.require_on(&format!("{key}.at_mm"), member, table.at_mm.unwrap_or(0.0));
            Place::Member(member, table.at_mm)
        } else {
            self.check.require(
                &format!("{key}.at_mm"),
                table.at_mm.is_none(),
                "belongs to a member, not to a node or coupling",
            );
            match (&table.node, &table.coupling) {
                (Some(name), _) => Place::Node(self.node(&format!("{key}.node"), name)?),
                (None, name) => {
                    let name = name.as_ref()?;
                    Place::Coupling(self.coupling_index(&format!("{key}.coupling"), name)?)
                }
            }
        };
        let rule = match (place, table.quantity.kind()) {
            (
                Place::Node(_) | Place::Member(..) | Place::Coupling(_),
                Kind::Buckling | Kind::Limit,
            ) => Some("belongs to the load case, not to a node, member or coupling"),
            (Place::Node(_), Kind::Section(_) | Kind::Stress) => Some("needs a member, not a node"),
            (Place::Member(..), Kind::Reaction(_)) => Some("needs a node, not a member"),
            (Place::Coupling(coupling), Kind::Touch) => {
                let is_linear = self.frame.couplings[coupling].law.is_linear();
                is_linear.then_some("needs a coupling that touches, stops or grips")
            }
            (_, Kind::Touch) => Some("needs a coupling"),
            (Place::Coupling(_), _) => Some("needs a node or a member, not a coupling"),
            _ => None,
        };
        if let Some(rule) = rule {
            self.check.problem(&format!("{key}.quantity"), rule);
        }
        Some(Expectation {
            case: case?,
            place,
            quantity: table.quantity,
            value: table.value,
            tolerance: table.tolerance,
            tolerance_reason: table.tolerance_reason.clone(),
            source: table.source.clone(),
        })
    }
}

/// What differences from a reference value are a fraction of: its size, or 1 where it is 0.
pub fn scale_of(reference: f64) -> f64 {
    match reference {
        0.0 => 1.0,
        value => value.abs(),
    }
}

impl Expectation {
    /// The result beside the reference value.
    pub(super) fn compare(&self, file: &FrameFile, solved: &Solved) -> Comparison {
        self.beside(file, self.result(file, solved))
    }

    /// The reference value alone, of a frame that is not solved.
    pub fn unsolved(&self, file: &FrameFile) -> Comparison {
        self.beside(file, None)
    }

    fn beside(&self, file: &FrameFile, result: Option<f64>) -> Comparison {
        let scale = scale_of(self.value);
        let difference = result.map(|result| (result - self.value) / scale);
        Comparison {
            load_case: file.load_cases[self.case].name.clone(),
            place: match self.place {
                Place::Node(node) => file.frame.nodes[node].name.to_string(),
                Place::Member(member, Some(at)) => {
                    format!("{} at {at} mm", file.members[member].name)
                }
                Place::Member(member, None) => file.members[member].name.clone(),
                Place::Coupling(coupling) => file.frame.couplings[coupling].name.to_string(),
                Place::Case => "the whole frame".to_owned(),
            },
            quantity: self.quantity.to_string(),
            result,
            reference: self.value,
            difference,
            tolerance: self.tolerance,
            tolerance_reason: self.tolerance_reason.clone(),
            agrees: difference.is_some_and(|difference| difference.abs() <= self.tolerance),
            source: self.source.clone(),
        }
    }

    fn result(&self, file: &FrameFile, all: &Solved) -> Option<f64> {
        let (frame, case) = (&file.frame, &file.load_cases[self.case]);
        let solved = &all.solution.cases[self.case];
        match self.place {
            Place::Node(node) => match self.quantity.kind() {
                Kind::Motion(component) => Some(solved.displacements[node][component]),
                Kind::Reaction(component) => Some(solved.reactions[node][component]),
                _ => None,
            },
            Place::Case => match self.quantity.kind() {
                Kind::Buckling => all.buckling.get(self.case)?.load_factors.first().copied(),
                Kind::Limit => {
                    let points = &all.paths.get(self.case)?.limit_points;
                    points.first().map(|point| point.load_factor)
                }
                _ => None,
            },
            Place::Coupling(coupling) => {
                let touch = solved.touches.iter().find(|t| t.coupling == coupling)?;
                match self.quantity {
                    Quantity::PressureN => Some(touch.pressure),
                    Quantity::SlidMm => Some(touch.slid),
                    _ => None,
                }
            }
            Place::Member(member, at) => {
                let path = &file.members[member];
                let (element, x) = path.locate(at.unwrap_or(0.0));
                let index = path.first_element + element;
                match self.quantity.kind() {
                    Kind::Motion(component) => {
                        Some(solved.motion_along(frame, case, index, x)[component])
                    }
                    Kind::Section(component) => {
                        let s = solved.section_forces(frame, case, index, x);
                        let components = [
                            s.axial, s.shear_y, s.shear_z, s.torque, s.moment_y, s.moment_z,
                        ];
                        Some(components[component])
                    }
                    Kind::Stress if at.is_some() => {
                        stress_at(frame, case, solved, path, element, x)
                    }
                    Kind::Stress => peak_stress(frame, case, solved, path).map(|peak| peak.stress),
                    Kind::Reaction(_) | Kind::Buckling | Kind::Limit | Kind::Touch => None,
                }
            }
        }
    }
}
