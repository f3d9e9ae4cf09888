//! Loads a construct and recovers what it answers.

use nalgebra::{Vector3, Vector6};

use super::{Construct, Piece};
use crate::frame::{
    CaseSolution, Frame, LoadAxes, LoadCase, MemberAction, SectionForces, SolveError, Support,
    solve,
};
use crate::load::{Action, Hold, Setup};

/// What a construct answers to a set of setups acting together.
#[derive(Debug, Clone, Default)]
pub struct Response {
    parts: Vec<(LoadCase, CaseSolution)>,
}

impl Response {
    /// Displacement (mm) and rotation (rad) of a node, axes of the right clavicle.
    pub fn motion(&self, node: usize) -> Vector6<f64> {
        self.parts
            .iter()
            .map(|(_, solution)| solution.displacements[node])
            .sum()
    }

    /// Section forces of a member at a distance from its first end, mm.
    pub fn section_forces(&self, frame: &Frame, member: usize, at: f64) -> SectionForces {
        self.parts
            .iter()
            .map(|(case, solution)| solution.section_forces(frame, case, member, at))
            .fold(SectionForces::default(), |sum, part| sum + part)
    }

    /// The answer to this and another response together.
    pub fn and(mut self, other: Response) -> Response {
        self.parts.extend(other.parts);
        self
    }
}

impl Construct {
    /// Solves each setup; those that hold the bone alike share one factorisation.
    ///
    /// # Errors
    /// When the construct has a loose part.
    pub fn solve(&self, setups: &[Setup]) -> Result<Vec<Response>, SolveError> {
        let mut responses = vec![Response::default(); setups.len()];
        let mut open: Vec<usize> = (0..setups.len()).collect();
        while let Some(&first) = open.first() {
            let holds = &setups[first].holds;
            let (alike, others): (Vec<usize>, Vec<usize>) = open
                .iter()
                .partition(|&&index| setups[index].holds == *holds);
            open = others;
            let frame = self.held(holds);
            let cases: Vec<LoadCase> = alike
                .iter()
                .map(|&index| self.load_case(&setups[index]))
                .collect();
            let solution = solve(&frame, &cases)?;
            for ((index, case), solved) in alike.into_iter().zip(cases).zip(solution.cases) {
                responses[index].parts.push((case, solved));
            }
        }
        Ok(responses)
    }

    fn held(&self, holds: &[Hold]) -> Frame {
        let mut frame = self.frame.clone();
        frame.supports = holds
            .iter()
            .map(|hold| Support {
                node: self.node_at(hold.at),
                fixed: hold.fixed,
                springs: [0.0; 6],
            })
            .collect();
        frame
    }

    fn load_case(&self, setup: &Setup) -> LoadCase {
        setup
            .actions
            .iter()
            .fold(LoadCase::default(), |case, action| match *action {
                Action::Place { at, force, moment } => self.load_place(case, at, force, moment),
                Action::Patch { stretch, force } => self.load_patch(case, stretch, force),
            })
    }

    /// A load at one place; in the gap it goes to both faces by the lever rule.
    fn load_place(
        &self,
        case: LoadCase,
        at: f64,
        force: Vector3<f64>,
        moment: Vector3<f64>,
    ) -> LoadCase {
        match self.faces {
            Some([(medial, medial_node), (lateral, lateral_node)]) if self.in_gap(at) => {
                let share = (at - medial) / (lateral - medial);
                case.with_load(medial_node, force * (1.0 - share), moment * (1.0 - share))
                    .with_load(lateral_node, force * share, moment * share)
            }
            _ => case.with_load(self.node_at(at), force, moment),
        }
    }

    /// A spread load: on the bone where there is bone, the part over the gap on its faces.
    fn load_patch(&self, mut case: LoadCase, stretch: [f64; 2], force: Vector3<f64>) -> LoadCase {
        let whole = stretch[1] - stretch[0];
        let overlap = |[from, to]: [f64; 2]| [from.max(stretch[0]), to.min(stretch[1])];
        for &Piece { member, stretch } in &self.bone {
            let [from, to] = overlap(stretch);
            if to <= from {
                continue;
            }
            let length = self.member_length(member);
            let along = |at: f64| length * (at - stretch[0]) / (stretch[1] - stretch[0]);
            let loaded = [along(from), along(to)];
            if loaded[0] >= loaded[1] {
                continue;
            }
            let per_length = force * ((to - from) / whole / (loaded[1] - loaded[0]));
            case = case.with_action(
                member,
                MemberAction::Line {
                    stretch: loaded,
                    force: [per_length; 2],
                    axes: LoadAxes::Global,
                },
            );
        }
        if let Some([(medial, _), (lateral, _)]) = self.faces {
            let [from, to] = overlap([medial, lateral]);
            if to > from {
                let part = force * ((to - from) / whole);
                case = self.load_place(case, (from + to) / 2.0, part, Vector3::zeros());
            }
        }
        case
    }
}
