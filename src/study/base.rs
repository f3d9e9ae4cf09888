//! The base file of a study: its values set, its results computed, as often as asked.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use serde_json::Value as Json;
use toml::{Table, Value as Toml};

use super::key::{self, Step};
use super::tables::MechanicsWord;
use crate::assess::{Answer, CaseAnswer, Intact, add_weeks, answers, assess, sweep_purchase};
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
    /// its activities. The weeks and what more purchase would gain are there if `asked` for.
    ///
    /// # Errors
    /// Why there are no results.
    pub fn everything(
        &self,
        table: &Table,
        check: &Checker,
        asked: impl Fn(&str) -> bool,
    ) -> Result<(Json, Vec<String>), String> {
        match self.kind {
            Kind::Case(mechanics) => {
                let case = case_of(table, check, Constructs::All, None)?;
                let mut assessment = assess(&case, mechanics).map_err(|error| error.to_string())?;
                if asked("weeks") || asked("aftermath") {
                    let added = add_weeks(&mut assessment, &case, mechanics);
                    added.map_err(|error| error.to_string())?;
                }
                if asked("purchase_sweep") {
                    sweep_purchase(&mut assessment, &case);
                }
                let names = case.activities.iter().map(|each| each.name.clone());
                let mut everything = json(&assessment);
                // Parts that are left out where there is nothing to say are null here.
                let constructs = everything["constructs"].as_array_mut();
                for construct in constructs.into_iter().flatten() {
                    for (name, _) in Answer::ALL {
                        // Indexing makes the key.
                        let _ = &mut construct[name];
                    }
                }
                Ok((everything, names.collect()))
            }
            Kind::Frame => {
                let file = frame_of(table, check)?;
                let results = file.solve().map_err(|error| error.to_string())?;
                Ok((json(&results), Vec::new()))
            }
        }
    }
}

/// What of the results of a case is computed: parts of constructs by number, then parts of the
/// case.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Wanted {
    pub constructs: Vec<(usize, Vec<Answer>)>,
    pub of_case: Vec<CaseAnswer>,
    /// Whether any part is measured against the unbroken bone in the stiffness tests, and in
    /// the activities.
    pub intact: [bool; 2],
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
    /// The unbroken bone of the last sample that needed one.
    intact: Option<Intact>,
    pub table: Table,
    /// The case of the sample before.
    earlier: Option<Case>,
    solver: frame::Workspace,
}

impl<'s> Workspace<'s> {
    pub fn new(base: &'s Base, wanted: &'s Wanted, check: &'s Checker) -> Self {
        Workspace {
            base,
            wanted,
            check,
            intact: None,
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

    /// What a sample gives, whatever it does. What samples share is dropped after one that broke
    /// off, which may have left it unfinished.
    ///
    /// # Errors
    /// Those of the sample, or that it broke off.
    pub fn guarded<T>(
        &mut self,
        sample: impl FnOnce(&mut Self) -> Result<T, String>,
    ) -> Result<T, String> {
        catch_unwind(AssertUnwindSafe(|| sample(self))).unwrap_or_else(|_| {
            self.intact = None;
            self.earlier = None;
            self.solver = frame::Workspace::default();
            Err("the program failed on this sample: please report it".into())
        })
    }

    /// The results of the present values: all of a frame, the wanted parts of a case in the
    /// order of [`Wanted`].
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
                let numbers = self.wanted.numbers();
                let only = Constructs::Only(&numbers);
                let case = case_of(&self.table, self.check, only, self.earlier.as_ref())?;
                let case = self.earlier.insert(case);
                let [needed, with_activities] = self.wanted.intact;
                if needed && !self.intact.as_ref().is_some_and(|last| last.is_of(case)) {
                    let intact = Intact::of(case, with_activities);
                    self.intact = Some(intact.map_err(|error| error.to_string())?);
                }
                let intact = self.intact.as_ref();
                let mut results = Vec::new();
                for (number, (_, wanted)) in self.wanted.constructs.iter().enumerate() {
                    let parts = answers(case, number, mechanics, wanted, intact, &mut self.solver);
                    results.extend(parts.map_err(|error| error.to_string())?);
                }
                let of_case = self.wanted.of_case.iter();
                results.extend(of_case.map(|answer| answer.of(case, intact)));
                Ok(results)
            }
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Bone, bone in the tests and solver of a sample that broke off serve no other.
    #[test]
    fn a_sample_that_breaks_off_leaves_nothing_behind() {
        let study = crate::study::read(Path::new("models/studies/plate-indices.toml"));
        let study = study.expect("it is shipped");
        let mut workspace = Workspace::new(&study.base, &study.wanted, &study.check);
        let before = workspace.guarded(Workspace::results).expect("it holds");
        assert!(workspace.earlier.is_some() && workspace.intact.is_some());
        let broken: Result<(), String> = workspace.guarded(|_| panic!("on purpose"));
        assert!(broken.is_err_and(|cause| cause.contains("please report")));
        assert!(workspace.earlier.is_none() && workspace.intact.is_none());
        assert_eq!(workspace.guarded(Workspace::results), Ok(before));
    }
}
