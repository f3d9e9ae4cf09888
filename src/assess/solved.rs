//! A case's loads, and constructs solved under them.

use super::{Stiffness, motion};
use crate::case::Case;
use crate::construct::{Construct, Mechanics, Response};
use crate::device::Device;
use crate::frame::{SolveError, Workspace};
use crate::load::{Setup, stiffness_setups};

/// A construct that could not be solved.
#[derive(Debug, Clone, PartialEq)]
pub struct AssessError {
    /// Its name in the case.
    pub construct: String,
    /// Why.
    pub source: SolveError,
}

impl AssessError {
    /// Whether only contact stands in the way.
    pub(super) fn is_unsettled(&self) -> bool {
        is_unsettled(&self.source)
    }
}

/// Whether only contact stands in the way of an answer.
pub(super) fn is_unsettled(error: &SolveError) -> bool {
    matches!(
        error,
        SolveError::Unsettled { .. }
            | SolveError::Undetermined { .. }
            | SolveError::Inaccurate { .. }
    )
}

impl std::fmt::Display for AssessError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "construct '{}': {}", self.construct, self.source)
    }
}

impl std::error::Error for AssessError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        Some(&self.source)
    }
}

/// Everything that loads the bone in a case: the stiffness tests, then the setups of each
/// activity.
#[derive(Debug, PartialEq)]
pub(super) struct Loadings {
    pub setups: Vec<Setup>,
    /// Which of the setups make up each activity.
    by_activity: Vec<std::ops::Range<usize>>,
}

const STIFFNESS_TESTS: usize = 5;

impl Loadings {
    pub fn of(case: &Case) -> Self {
        let mut setups = stiffness_setups(&case.clavicle).to_vec();
        let mut by_activity = Vec::new();
        for activity in &case.activities {
            let start = setups.len();
            let position = case.fracture.position;
            setups.extend(activity.setups(&case.patient, &case.clavicle, position));
            by_activity.push(start..setups.len());
        }
        Loadings {
            setups,
            by_activity,
        }
    }

    /// The setups of each activity.
    pub fn of_activities(&self) -> Vec<&[Setup]> {
        let ranges = self.by_activity.iter();
        ranges.map(|range| &self.setups[range.clone()]).collect()
    }

    pub fn stiffness(&self, solved: &Solved) -> Stiffness {
        motion::stiffness(
            &solved.construct,
            &self.setups[..STIFFNESS_TESTS],
            &solved.stiffness_tests,
        )
    }
}

/// A construct with its answers.
#[derive(Debug)]
pub(super) struct Solved {
    pub construct: Construct,
    pub stiffness_tests: Vec<Response>,
    /// One for each activity.
    pub activities: Vec<Response>,
}

/// Builds and solves a construct, or the intact bone.
pub(super) fn solved(
    held_by: Option<(&str, &Device)>,
    case: &Case,
    loading: &Loadings,
    mechanics: Mechanics,
) -> Result<Solved, AssessError> {
    let mut workspace = Workspace::default();
    solved_for(
        held_by,
        case,
        loading,
        mechanics,
        [true, true],
        &mut workspace,
    )
}

/// The same, solved only for the stiffness tests, for the activities, for both or for neither.
pub(super) fn solved_for(
    held_by: Option<(&str, &Device)>,
    case: &Case,
    loading: &Loadings,
    mechanics: Mechanics,
    [tests, activities]: [bool; 2],
    workspace: &mut Workspace,
) -> Result<Solved, AssessError> {
    let broken = held_by.map(|(_, device)| (&case.fracture, device));
    let construct = Construct::new(&case.clavicle, broken, &loading.setups, mechanics);
    let first = if tests { 0 } else { STIFFNESS_TESTS };
    let end = match activities {
        true => loading.setups.len(),
        false => STIFFNESS_TESTS,
    };
    let mut responses = construct
        .solve_in(workspace, &loading.setups[first..end])
        .map_err(|source| AssessError {
            construct: held_by.map_or("intact bone", |(name, _)| name).to_owned(),
            source,
        })?;
    let of_activities = responses.split_off(STIFFNESS_TESTS - first);
    let mut of_activities = of_activities.into_iter();
    let own = loading.by_activity.iter();
    let activities = own.map(|range| of_activities.by_ref().take(range.len()).collect());
    Ok(Solved {
        construct,
        activities: activities.collect(),
        stiffness_tests: responses,
    })
}
