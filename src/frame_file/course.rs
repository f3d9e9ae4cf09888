//! How load cases are reached: from the unloaded frame, or from the end of an earlier case.

use crate::frame::{FRICTION_STEPS, Settled, Solution, SolveError, Stage, settle, solve};

use super::FrameFile;
use super::build::Builder;
use super::load_tables::LoadCaseTable;

/// How a load case is reached where couplings touch, stop or grip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Course {
    /// The load case at whose end it begins, an earlier one; else the unloaded frame.
    pub after: Option<usize>,
    /// In how many steps the load comes on.
    pub steps: usize,
    /// Whether surfaces rub meanwhile.
    pub friction: bool,
}

impl Builder<'_> {
    /// The course of a load case; the ones before it have been built.
    pub(super) fn course(&mut self, key: &str, table: &LoadCaseTable) -> Course {
        let after = match &table.after {
            Some(name) if self.load_cases.iter().all(|case| case.name != *name) => {
                let rule = "must be the name of an earlier load case";
                self.check.problem(&format!("{key}.after"), rule);
                None
            }
            Some(name) => self.load_case_index(&format!("{key}.after"), name),
            None => None,
        };
        let rubs = (self.frame.couplings.iter()).any(|coupling| coupling.law.rubs());
        Course {
            after,
            steps: table.steps.unwrap_or(if rubs { FRICTION_STEPS } else { 1 }),
            friction: table.friction,
        }
    }
}

impl FrameFile {
    /// Solves every load case with small displacements.
    pub(super) fn settled(&self) -> Result<Solution, SolveError> {
        if (self.frame.couplings.iter()).all(|coupling| coupling.law.is_linear()) {
            return solve(&self.frame, &self.load_cases);
        }
        let mut settled: Vec<Option<Settled>> = vec![None; self.load_cases.len()];
        for last in (0..settled.len()).rev() {
            if settled[last].is_none() {
                let chain = self.chain(last);
                let stages: Vec<Stage> = chain.iter().map(|&case| self.stage(case)).collect();
                for (case, state) in chain.into_iter().zip(settle(&self.frame, &stages)?) {
                    settled[case] = Some(state);
                }
            }
        }
        let settled: Vec<Settled> = settled.into_iter().flatten().collect();
        Ok(Solution::from(settled))
    }

    /// The load cases that lead to one, itself last.
    fn chain(&self, last: usize) -> Vec<usize> {
        let mut chain: Vec<usize> =
            std::iter::successors(Some(last), |&case| self.courses[case].after).collect();
        chain.reverse();
        chain
    }

    fn stage(&self, case: usize) -> Stage<'_> {
        Stage {
            case: &self.load_cases[case],
            steps: self.courses[case].steps,
            friction: self.courses[case].friction,
        }
    }
}
