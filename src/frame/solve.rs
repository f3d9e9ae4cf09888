//! Solution of a linear frame, or of a frame with contact, case by case.

use std::mem::take;

use super::contact::{Settled, Stage, settle};
use super::envelope::{Envelope, Factor};
use super::equations::{Equations, larger, ratio};
use super::error::SolveError;
use super::order::Numbering;
use super::solution::{CaseSolution, Checks, Solution};
use super::{Frame, LoadCase, Support};

/// Largest residual and imbalance accepted; see [`CaseSolution`].
const RESIDUAL_LIMIT: f64 = 1e-8;

/// A residual above this share of the forces that act is worth one refinement.
const REFINE_ABOVE: f64 = 1e-13;

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
    Workspace::default().solve_linear(frame, &frame.supports, cases)
}

/// What one solution of a linear frame leaves for the next: the numbering, good for any frame
/// joined in the same way, and the memory of the matrix.
///
/// Answers do not depend on what was solved before.
#[derive(Debug, Default)]
pub struct Workspace {
    numbering: Numbering,
    storage: Envelope,
}

impl Workspace {
    /// Solves every load case of a frame whose laws are all linear, held by the given supports in
    /// place of its own.
    ///
    /// # Errors
    /// As [`solve`].
    ///
    /// # Panics
    /// If a coupling's law is not linear.
    pub fn solve_linear(
        &mut self,
        frame: &Frame,
        supports: &[Support],
        cases: &[LoadCase],
    ) -> Result<Solution, SolveError> {
        let linear = frame
            .couplings
            .iter()
            .all(|coupling| coupling.law.is_linear());
        assert!(linear, "contact is settled, not solved at once");
        let equations = Equations::held_by(frame, supports, take(&mut self.numbering))?;
        let loadings: Result<Vec<_>, _> =
            cases.iter().map(|case| equations.loading(case)).collect();
        let loadings = loadings?;
        let (factor, pivots) = equations.sound_factor_in(take(&mut self.storage))?;
        let solved: Result<Vec<_>, _> = cases
            .iter()
            .zip(&loadings)
            .map(|(case, loading)| equations.solve_case(&case.name, loading, &factor))
            .collect();
        self.numbering = equations.numbering;
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
        loading: &super::equations::Loading,
        factor: &Factor,
    ) -> Result<CaseSolution, SolveError> {
        let mut displacements = loading.movements.clone();
        let mut balance = self.balance(loading, &displacements);
        // What movements and stress-free strains would call for if nothing gave way: a frame
        // that follows them freely is left with nothing but rounding to compare with.
        let blocked = balance.acting;
        for _ in 0..2 {
            for (displacement, step) in displacements
                .iter_mut()
                .zip(self.step(factor, &balance.unbalanced))
            {
                *displacement += step;
            }
            balance = self.balance(loading, &displacements);
            if self.largest_free(&balance) <= REFINE_ABOVE * balance.acting {
                break;
            }
        }
        let acting = blocked.max(balance.acting);
        self.checked(self.answer(name, loading, &balance, displacements), acting)
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
