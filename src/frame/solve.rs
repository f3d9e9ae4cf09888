//! Solution of a linear frame, or of a frame with contact, case by case.

use std::mem::take;

use nalgebra::Vector6;

use super::contact::{Settled, Stage, settle};
use super::envelope::{Envelope, Factor};
use super::equations::{Balance, Equations, Loading, larger, ratio};
use super::error::SolveError;
use super::order::Numbering;
use super::solution::{CaseSolution, Checks, Solution};
use super::{Frame, LoadCase, Support};

/// Largest residual and imbalance accepted; see [`CaseSolution`].
const RESIDUAL_LIMIT: f64 = 1e-8;

/// A residual above this share of the forces that act is worth one refinement.
const REFINE_ABOVE: f64 = 1e-13;

/// What one refinement has left above this share is worth another: each takes off at least three
/// digits in 256 short members so stiff along themselves that two rounds leave 2e-8 (measured).
const REFINE_AGAIN_ABOVE: f64 = 1e-11;

/// Solutions at most, the first included.
const MOST_ROUNDS: usize = 4;

/// Steps in which a load is put on where friction makes the way matter.
pub const FRICTION_STEPS: usize = 10;

/// Solves every load case: with one factorisation where all laws are linear, else each
/// settled by itself from the unloaded frame.
///
/// # Errors
/// [`SolveError::Unsound`] for a frame that is not well formed,
/// [`SolveError::Mechanism`] when some motion is not resisted, naming the node,
/// [`SolveError::Inaccurate`] when the result does not balance, and what [`settle`] says of
/// contact.
pub fn solve(frame: &Frame, cases: &[LoadCase]) -> Result<Solution, SolveError> {
    if frame
        .couplings
        .iter()
        .any(|coupling| !coupling.law.is_linear())
    {
        return settle_each(frame, cases);
    }
    let held = [(frame.supports.as_slice(), cases)];
    let mut solutions = Workspace::default().solve_linear(frame, &held)?;
    Ok(solutions
        .pop()
        .expect("one solution for one way of holding"))
}

/// What one solution of a linear frame leaves for the next: numberings, good for any frame
/// joined in the same way, and the memory of the matrix.
///
/// Answers do not depend on what was solved before.
#[derive(Debug, Default)]
pub struct Workspace {
    numberings: Vec<Numbering>,
    storage: Envelope,
}

impl Workspace {
    /// Solves a frame whose laws are all linear, held in one or several ways in place of its own:
    /// supports, and the load cases on them. Each way takes one factorisation.
    ///
    /// # Errors
    /// As [`solve`].
    ///
    /// # Panics
    /// If a coupling's law is not linear.
    pub fn solve_linear(
        &mut self,
        frame: &Frame,
        held: &[(&[Support], &[LoadCase])],
    ) -> Result<Vec<Solution>, SolveError> {
        let linear = frame
            .couplings
            .iter()
            .all(|coupling| coupling.law.is_linear());
        assert!(linear, "contact is settled, not solved at once");
        let Some(((supports, _), others)) = held.split_first() else {
            return Ok(Vec::new());
        };
        let mut equations = Equations::held_by(frame, supports, &mut self.numberings)?;
        let mut solutions = vec![self.solve_held(&equations, held[0].1)?];
        for (supports, cases) in others {
            equations.hold(supports, &mut self.numberings)?;
            solutions.push(self.solve_held(&equations, cases)?);
        }
        equations.release(&mut self.numberings);
        Ok(solutions)
    }

    fn solve_held(
        &mut self,
        equations: &Equations,
        cases: &[LoadCase],
    ) -> Result<Solution, SolveError> {
        let loadings: Result<Vec<_>, _> =
            cases.iter().map(|case| equations.loading(case)).collect();
        let loadings = loadings?;
        let (factor, pivots) = equations.sound_factor_in(take(&mut self.storage))?;
        let names = cases.iter().map(|case| case.name.as_str());
        let named: Vec<(&str, &Loading)> = names.zip(&loadings).collect();
        let solved = equations.solve_cases(&named, &factor);
        self.storage = factor.into_storage();
        Ok(Solution {
            cases: solved?,
            efforts: Vec::new(),
            checks: Checks {
                smallest_pivot_ratio: pivots.smallest_ratio,
            },
        })
    }
}

fn settle_each(frame: &Frame, cases: &[LoadCase]) -> Result<Solution, SolveError> {
    let rubs = frame.couplings.iter().any(|coupling| coupling.law.rubs());
    let settled: Result<Vec<_>, SolveError> = cases
        .iter()
        .map(|case| {
            let stage = Stage {
                case,
                steps: if rubs { FRICTION_STEPS } else { 1 },
                friction: true,
            };
            let mut settled = settle(frame, &[stage])?;
            Ok(settled.pop().expect("one stage settles into one state"))
        })
        .collect();
    Ok(Solution::from(settled?))
}

impl From<Vec<Settled>> for Solution {
    fn from(settled: Vec<Settled>) -> Self {
        let (cases, efforts): (Vec<_>, Vec<_>) = settled
            .into_iter()
            .map(|settled| (settled.solution, settled.effort))
            .unzip();
        let pivots = efforts.iter().map(|effort| effort.smallest_pivot_ratio);
        Solution {
            checks: Checks {
                smallest_pivot_ratio: pivots.fold(f64::INFINITY, f64::min),
            },
            cases,
            efforts,
        }
    }
}

/// The stiffness matrix of a frame with its supports, ready to be factored.
///
/// # Errors
/// [`SolveError::Unsound`] for a frame that is not well formed.
pub fn assemble(frame: &Frame) -> Result<Envelope, SolveError> {
    Ok(Equations::new(frame)?.envelope())
}

impl Equations<'_> {
    /// Solves one load case, with a refinement where rounding left something.
    pub fn solve_case(
        &self,
        name: &str,
        loading: &Loading,
        factor: &Factor,
    ) -> Result<CaseSolution, SolveError> {
        let mut solved = self.solve_cases(&[(name, loading)], factor)?;
        Ok(solved.pop().expect("one answer for one case"))
    }

    /// Solves several load cases side by side.
    fn solve_cases(
        &self,
        cases: &[(&str, &Loading)],
        factor: &Factor,
    ) -> Result<Vec<CaseSolution>, SolveError> {
        let movements = |(_, loading): &(&str, &Loading)| loading.movements.clone();
        let mut displacements: Vec<Vec<Vector6<f64>>> = cases.iter().map(movements).collect();
        let balance = |case: usize, displacements: &[Vec<Vector6<f64>>]| {
            self.balance(cases[case].1, &displacements[case])
        };
        let mut open: Vec<usize> = (0..cases.len()).collect();
        let mut balances: Vec<Balance> = (open.iter())
            .map(|&case| balance(case, &displacements))
            .collect();
        // What movements and stress-free strains would call for if nothing gave way: a frame
        // that follows them freely is left with nothing but rounding to compare with.
        let blocked: Vec<f64> = balances.iter().map(|balance| balance.acting).collect();
        for round in 0..MOST_ROUNDS {
            let unbalanced = open
                .iter()
                .map(|&case| balances[case].unbalanced.as_slice());
            let steps = self.steps(factor, unbalanced);
            for (&case, step) in open.iter().zip(steps) {
                for (displacement, step) in displacements[case].iter_mut().zip(step) {
                    *displacement += step;
                }
                balances[case] = balance(case, &displacements);
            }
            let enough = match round {
                0 => REFINE_ABOVE,
                _ => REFINE_AGAIN_ABOVE,
            };
            open.retain(|&case| {
                let balance = &balances[case];
                self.largest_free(balance) > enough * balance.acting
            });
            if open.is_empty() {
                break;
            }
        }
        let answers = cases.iter().zip(displacements).zip(balances).zip(blocked);
        answers
            .map(|((((name, loading), displacements), balance), blocked)| {
                let acting = blocked.max(balance.acting);
                self.checked(self.answer(name, loading, &balance, displacements), acting)
            })
            .collect()
    }

    /// The answer, if it balances.
    ///
    /// * `acting`: largest force that acts, or would act if nothing gave way, N
    pub fn checked(&self, answer: CaseSolution, acting: f64) -> Result<CaseSolution, SolveError> {
        let answer = CaseSolution {
            imbalance: ratio(answer.imbalance, acting),
            ..answer
        };
        let worst = larger(answer.residual, answer.imbalance);
        if worst.is_nan() || worst > RESIDUAL_LIMIT {
            return Err(SolveError::Inaccurate {
                case: answer.name,
                residual: worst,
                limit: RESIDUAL_LIMIT,
            });
        }
        Ok(answer)
    }
}
