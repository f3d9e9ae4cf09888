//! Solution of a linear frame, or of a frame with contact, case by case.

use std::mem::take;

use super::contact::{Run, Settled, Stage};
use super::determinate::{Determinate, SetFree};
use super::envelope::{Envelope, Factor};
use super::equations::{Equations, Kept, Loading, larger, ratio};
use super::error::SolveError;
use super::lanes::{LANES, nothing};
use super::solution::{CaseSolution, Checks, Solution};
use super::{Frame, LoadCase, Support};

/// Largest residual and imbalance accepted; see [`CaseSolution`].
pub(crate) const RESIDUAL_LIMIT: f64 = 1e-8;

/// A residual above this share of the forces that act is worth a refinement: each takes off at
/// least three digits in 256 short members so stiff along themselves that two rounds leave 2e-8
/// (measured).
const REFINE_ABOVE: f64 = 1e-11;

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
/// [`SolveError::Inaccurate`] when the result does not balance, and what [`settle`](super::settle) says of
/// contact.
pub fn solve(frame: &Frame, cases: &[LoadCase]) -> Result<Solution, SolveError> {
    Workspace::default().solve(frame, cases)
}

/// What one solution of a frame leaves for the next: the numbering of its nodes, good for any
/// frame joined in the same way, and memory.
///
/// Answers do not depend on what was solved before.
#[derive(Debug, Default)]
pub struct Workspace {
    kept: Kept,
    unheld: Envelope,
    storage: Envelope,
}

impl Workspace {
    /// As [`solve`](solve()).
    ///
    /// # Errors
    /// As [`solve`](solve()).
    pub fn solve(&mut self, frame: &Frame, cases: &[LoadCase]) -> Result<Solution, SolveError> {
        let mut laws = frame.couplings.iter().map(|coupling| &coupling.law);
        if laws.any(|law| !law.is_linear()) {
            return self.settle(frame, cases, 0);
        }
        let held = [(frame.supports.as_slice(), cases)];
        let mut solutions = self.solve_linear(frame, &held)?;
        Ok(solutions
            .pop()
            .expect("one solution for one way of holding"))
    }

    /// As [`solve`](Self::solve) for a frame with contact that is the one solved
    /// [as linear](Self::solve_linear) last, with more nodes, supports and couplings.
    ///
    /// # Errors
    /// As [`solve`](solve()).
    ///
    /// # Panics
    /// May panic, or answer for the frame before, if it is another one.
    pub(crate) fn solve_grown(
        &mut self,
        frame: &Frame,
        before: &Frame,
        cases: &[LoadCase],
    ) -> Result<Solution, SolveError> {
        self.settle(frame, cases, before.members.len() + before.couplings.len())
    }

    /// * `known`: see [`Equations::held_in_turn`]
    fn settle(
        &mut self,
        frame: &Frame,
        cases: &[LoadCase],
        known: usize,
    ) -> Result<Solution, SolveError> {
        let rubs = frame.couplings.iter().any(|coupling| coupling.law.rubs());
        let stages: Vec<Stage> = cases
            .iter()
            .map(|case| Stage {
                case,
                steps: if rubs { FRICTION_STEPS } else { 1 },
                friction: true,
            })
            .collect();
        let mut run = Run::with(frame, &mut self.kept, known)?;
        let settled = run.branches(&stages)?;
        run.equations.release(&mut self.kept);
        Ok(Solution::from(settled))
    }

    /// Solves a frame whose laws are all linear, held in one or several ways in place of its own:
    /// supports, and the load cases on them. Each way takes one factorisation, or all of them
    /// take one where balance alone tells the reactions.
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
        let ways: Vec<&[Support]> = held.iter().map(|(supports, _)| *supports).collect();
        let mut equations = Equations::held_in_turn(frame, &ways, &mut self.kept, 0)?;
        self.unheld = equations.unheld(take(&mut self.unheld));
        let found = match all_determinate(frame, &ways) {
            Some(determinate) => self.solve_free(&mut equations, held, &determinate),
            None => held
                .iter()
                .map(|(supports, cases)| {
                    equations.hold(supports);
                    let loadings = equations.loadings(cases)?;
                    self.solve_held(&equations, cases.iter().zip(&loadings))
                })
                .collect(),
        };
        equations.release(&mut self.kept);
        found
    }

    /// Solves all cases held in the first way, where reactions follow from balance alone in all.
    fn solve_free<'a>(
        &mut self,
        equations: &mut Equations<'a>,
        held: &[(&'a [Support], &[LoadCase])],
        determinate: &[Determinate],
    ) -> Result<Vec<Solution>, SolveError> {
        let frame = equations.frame;
        let mut free = Vec::new();
        let mut asked: Vec<Vec<SetFree>> = Vec::new();
        for ((supports, cases), way) in held.iter().zip(determinate) {
            equations.hold(supports);
            let mut own = equations.loadings(cases)?;
            let set_free = own.iter_mut().map(|loading| way.set_free(frame, loading));
            asked.push(set_free.collect());
            free.extend(own);
        }
        equations.hold(held[0].0);
        let cases = held.iter().flat_map(|(_, cases)| *cases);
        let Solution { cases, checks, .. } = self.solve_held(equations, cases.zip(&free))?;
        let mut cases = cases.into_iter();
        let solutions = asked.iter().zip(determinate).map(|(asked, way)| {
            let hold = |set_free: &SetFree| {
                let mut solution = cases.next().expect("a solution for each case");
                way.hold(frame, set_free, &mut solution);
                solution
            };
            Solution {
                cases: asked.iter().map(hold).collect(),
                efforts: Vec::new(),
                checks,
            }
        });
        Ok(solutions.collect())
    }

    fn solve_held<'c>(
        &mut self,
        equations: &Equations,
        cases: impl Iterator<Item = (&'c LoadCase, &'c Loading)>,
    ) -> Result<Solution, SolveError> {
        let storage = take(&mut self.storage);
        let (factor, pivots) = equations.sound_factor_of(&self.unheld, storage)?;
        let named = cases.map(|(case, loading)| (case.name.as_str(), loading));
        let solved = equations.solve_cases(&named.collect::<Vec<_>>(), &factor);
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

/// Several ways of holding a frame, if balance alone tells the reactions in all of them.
fn all_determinate(frame: &Frame, ways: &[&[Support]]) -> Option<Vec<Determinate>> {
    if ways.len() < 2 {
        return None;
    }
    let ways = ways.iter();
    ways.map(|supports| Determinate::of(frame, supports))
        .collect()
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

    /// Solves several load cases, as many at once as there are lanes.
    fn solve_cases(
        &self,
        cases: &[(&str, &Loading)],
        factor: &Factor,
    ) -> Result<Vec<CaseSolution>, SolveError> {
        let mut solved = Vec::with_capacity(cases.len());
        for group in cases.chunks(LANES) {
            match group.len() {
                1 => self.solve_group::<1>(group, factor, &mut solved)?,
                _ => self.solve_group::<LANES>(group, factor, &mut solved)?,
            }
        }
        Ok(solved)
    }

    /// Solves up to `N` cases; lanes to spare solve the first once more.
    fn solve_group<const N: usize>(
        &self,
        cases: &[(&str, &Loading)],
        factor: &Factor,
        solved: &mut Vec<CaseSolution>,
    ) -> Result<(), SolveError> {
        let loadings: [&Loading; N] =
            std::array::from_fn(|lane| cases.get(lane).unwrap_or(&cases[0]).1);
        let mut displacements = vec![nothing(); self.frame.nodes.len()];
        for (case, loading) in loadings.iter().enumerate() {
            for (&(node, freedom), movement) in &loading.movements {
                displacements[node][freedom][case] = *movement;
            }
        }
        let mut balance = self.balance(loadings, &displacements);
        // What movements and stress-free strains would call for if nothing gave way: a frame
        // that follows them freely is left with nothing but rounding to compare with.
        let blocked = balance.acting;
        let mut open = [true; N];
        for _ in 0..MOST_ROUNDS {
            let step = self.step(factor, &balance.unbalanced);
            for (displacements, step) in displacements.iter_mut().zip(&step) {
                for (displacements, step) in displacements.iter_mut().zip(step) {
                    for case in (0..N).filter(|&case| open[case]) {
                        displacements[case] += step[case];
                    }
                }
            }
            balance = self.balance(loadings, &displacements);
            for (case, open) in open.iter_mut().enumerate() {
                *open &= balance.left[case] > REFINE_ABOVE * balance.acting[case];
            }
            if open == [false; N] {
                break;
            }
        }
        let answers = self.answers(cases, &balance, &displacements).into_iter();
        for (answer, (blocked, acting)) in answers.zip(blocked.into_iter().zip(balance.acting)) {
            solved.push(self.checked(answer, blocked.max(acting))?);
        }
        Ok(())
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
