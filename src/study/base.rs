//! The base file of a study: its values set, its results computed, as often as asked.

use std::path::Path;

use serde_json::Value as Json;
use toml::{Table, Value as Toml};

use super::key::{self, Step};
use super::tables::MechanicsWord;
use crate::assess::{Answer, Intact, answers, assess};
use crate::case::{self, Case, Constructs};
use crate::construct::Mechanics;
use crate::frame;
use crate::frame_file::{self, FrameFile};
use crate::input::{self, Checker, InputError};

/// What kind of file is varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Case(Mechanics),
    Frame,
}

impl From<MechanicsWord> for Mechanics {
    fn from(word: MechanicsWord) -> Self {
        match word {
            MechanicsWord::Linear => Mechanics::Linear,
            MechanicsWord::Contact => Mechanics::Contact,
        }
    }
}

/// The base file.
#[derive(Debug, Clone)]
pub(super) struct Base {
    pub kind: Kind,
    /// As users name it.
    pub label: String,
    pub table: Table,
}

impl Base {
    /// Reads a base file and checks it by itself.
    ///
    /// # Errors
    /// The file is refused.
    pub fn read(path: &Path, kind: Kind) -> Result<Self, InputError> {
        let (text, label) = (input::text(path)?, path.display().to_string());
        match kind {
            Kind::Case(_) => case::parse(&text, &label).map(drop)?,
            Kind::Frame => frame_file::parse(&text, &label).map(drop)?,
        }
        let mut table: Table = toml::from_str(&text).expect("it was read as TOML just now");
        // Reference values are those of the base file only.
        if kind == Kind::Frame {
            table.remove("expect");
        }
        Ok(Base { kind, label, table })
    }

    /// Checks a table with other values against the schema.
    pub fn schema_check(&self, table: &Table) -> Result<Checker, InputError> {
        let text = table.to_string();
        match self.kind {
            Kind::Case(_) => case::schema_check(&text, &self.label),
            Kind::Frame => frame_file::schema_check(&text, &self.label),
        }
    }

    /// Everything that `compare` or `solve` would print as JSON for a table, and the names of
    /// its activities.
    ///
    /// # Errors
    /// Why there are no results.
    pub fn everything(
        &self,
        table: &Table,
        check: &Checker,
    ) -> Result<(Json, Vec<String>), String> {
        match self.kind {
            Kind::Case(mechanics) => {
                let case = case_of(table, check, Constructs::All, None)?;
                let assessment = assess(&case, mechanics).map_err(|error| error.to_string())?;
                let names = case.activities.iter().map(|each| each.name.clone());
                Ok((json(&assessment), names.collect()))
            }
            Kind::Frame => {
                let file = frame_of(table, check)?;
                let results = file.solve().map_err(|error| error.to_string())?;
                Ok((json(&results), Vec::new()))
            }
        }
    }
}

/// What of the results of a case is computed: parts of constructs, by number.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Wanted {
    pub constructs: Vec<(usize, Vec<Answer>)>,
    /// Parts measured against the unbroken bone.
    pub against_intact: Vec<Answer>,
}

impl Wanted {
    fn numbers(&self) -> Vec<usize> {
        self.constructs.iter().map(|(number, _)| *number).collect()
    }
}

/// A worker's own copy of the base file, its values set for one sample after another.
pub(super) struct Workspace<'s> {
    base: &'s Base,
    wanted: &'s Wanted,
    check: &'s Checker,
    /// The unbroken bone, where no input changes it.
    shared_intact: Option<&'s Intact>,
    pub table: Table,
    /// The case of the sample before.
    earlier: Option<Case>,
    solver: frame::Workspace,
}

impl<'s> Workspace<'s> {
    pub fn new(
        base: &'s Base,
        wanted: &'s Wanted,
        check: &'s Checker,
        shared_intact: Option<&'s Intact>,
    ) -> Self {
        Workspace {
            base,
            wanted,
            check,
            shared_intact,
            table: base.table.clone(),
            earlier: None,
            solver: frame::Workspace::default(),
        }
    }

    /// Sets the value at a place.
    pub fn set(&mut self, place: &[Step], value: Toml) {
        let at = key::place(&mut self.table, place);
        *at.expect("the places of inputs were found when the study was read") = value;
    }

    /// The results of the present values: all of a frame, the wanted parts of a case as they
    /// come, one list for each construct.
    ///
    /// # Errors
    /// Why there are none, in one line.
    pub fn results(&mut self) -> Result<Vec<Json>, String> {
        match self.base.kind {
            Kind::Frame => {
                let file = frame_of(&self.table, self.check)?;
                let results = file.solve().map_err(|error| error.to_string())?;
                Ok(vec![json(&results)])
            }
            Kind::Case(mechanics) => {
                let Wanted {
                    constructs,
                    against_intact,
                } = self.wanted;
                let numbers = self.wanted.numbers();
                let only = Constructs::Only(&numbers);
                let case = case_of(&self.table, self.check, only, self.earlier.as_ref())?;
                let case = self.earlier.insert(case);
                let own = match (against_intact.is_empty(), self.shared_intact) {
                    (false, None) => {
                        let intact = Intact::of(case, against_intact);
                        Some(intact.map_err(|error| error.to_string())?)
                    }
                    _ => None,
                };
                let intact = self.shared_intact.or(own.as_ref());
                let mut results = Vec::new();
                for (number, (_, wanted)) in constructs.iter().enumerate() {
                    let parts = answers(case, number, mechanics, wanted, intact, &mut self.solver);
                    results.extend(parts.map_err(|error| error.to_string())?);
                }
                Ok(results)
            }
        }
    }
}

/// The unbroken bone of the base file, solved for parts of the assessment.
pub(super) fn intact(table: &Table, check: &Checker, wanted: &[Answer]) -> Option<Intact> {
    let case = case_of(table, check, Constructs::Only(&[]), None).ok()?;
    Intact::of(&case, wanted).ok()
}

fn case_of(
    table: &Table,
    check: &Checker,
    constructs: Constructs,
    earlier: Option<&Case>,
) -> Result<Case, String> {
    case::of_table(table.clone(), check.clone(), constructs, earlier)
        .map_err(|error| reason(&error))
}

fn frame_of(table: &Table, check: &Checker) -> Result<FrameFile, String> {
    frame_file::of_table(table.clone(), check.clone()).map_err(|error| reason(&error))
}

/// The broken rules in one line, without the values and lines of the base file.
fn reason(error: &InputError) -> String {
    match error {
        InputError::Invalid { problems, .. } => {
            let rules = problems
                .iter()
                .map(|each| format!("{} {}", each.key, each.rule));
            rules.collect::<Vec<_>>().join("; ")
        }
        other => other.to_string(),
    }
}

fn json<T: serde::Serialize>(results: &T) -> Json {
    serde_json::to_value(results).expect("results have text keys only")
}
