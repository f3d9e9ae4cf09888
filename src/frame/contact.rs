//! Equilibrium with contact and friction, reached in stages and steps.
//!
//! How a step finds equilibrium: see [`settling`](super::settling).

use nalgebra::Vector6;

use super::assembly::PIVOT_LIMIT;
use super::envelope::Envelope;
use super::equations::{Equations, Kept, Loading};
use super::error::SolveError;
use super::flexibility::{Flexibility, Stiffnesses};
use super::mechanism::name_mechanism;
use super::settling::Failure;
use super::solution::{CaseSolution, TouchState};
use super::{Frame, LoadCase, Status};

/// How often a step may be cut in half.
const MOST_CUTS: usize = 8;

/// One stage of loading. Its case holds everything that acts at its end; what acted at the
/// end of the stage before changes into it evenly.
#[derive(Debug, Clone, Copy)]
pub struct Stage<'a> {
    /// What acts at the end.
    pub case: &'a LoadCase,
    /// In how many steps it comes on; with friction the way matters.
    pub steps: usize,
    /// Whether surfaces rub and grips hold in this stage.
    pub friction: bool,
}

/// The state at the end of a stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// Motions, forces and contacts.
    pub solution: CaseSolution,
    /// What it took.
    pub effort: Effort,
}

/// What a stage took.
#[derive(Debug, Clone, PartialEq)]
pub struct Effort {
    /// Factorisations of the stiffness matrix; none where the one of the state before would do.
    pub factorisations: usize,
    /// Share of the acting forces left unbalanced before each iteration, step after step.
    pub unbalanced: Vec<f64>,
    /// Smallest pivot over its diagonal entry in the last factorisation.
    pub smallest_pivot_ratio: f64,
}

/// Brings a frame through stages of loading and returns the state at the end of each.
///
/// Deterministic; without friction or grips the result does not depend on steps.
///
/// # Errors
/// [`SolveError::Unsound`] for a frame or case that is not well formed,
/// [`SolveError::Mechanism`] and [`SolveError::Undetermined`] when something is held by
/// nothing, or by contact without friction only,
/// [`SolveError::Unsettled`] when a step does not converge however small,
/// [`SolveError::Inaccurate`] when the result does not balance.
pub fn settle(frame: &Frame, stages: &[Stage]) -> Result<Vec<Settled>, SolveError> {
    let mut run = Run::new(frame)?;
    stages.iter().map(|stage| run.stage(stage)).collect()
}

/// Brings a frame through a first stage, and from its end through each of several others on
/// its own.
///
/// # Errors
/// As [`settle`].
pub fn settle_each(
    frame: &Frame,
    first: &Stage,
    then: &[Stage],
) -> Result<(Settled, Vec<Settled>), SolveError> {
    let mut run = Run::new(frame)?;
    let settled = run.stage(first)?;
    let branches = run.branches(then)?;
    Ok((settled, branches))
}

/// A coupling whose law is not linear, and its past.
#[derive(Clone, Copy)]
pub(crate) struct Contact {
    pub coupling: usize,
    /// Motion at which friction and grips are at rest, coupling axes.
    pub anchor: Vector6<f64>,
    pub pressure: f64,
    pub status: Status,
    pub slid: f64,
}

pub(crate) struct Run<'a> {
    pub equations: Equations<'a>,
    pub contacts: Vec<Contact>,
    pub displacements: Vec<Vector6<f64>>,
    /// What acts now.
    pub loading: Loading,
    pub friction: bool,
    /// Whether the way to a load matters.
    pub rubs: bool,
    /// Largest force that has acted, or would have if nothing gave way, N.
    pub most_acting: f64,
    pub effort: Effort,
    /// Diagonal of the stiffness matrix without contact, by block row.
    pub untouched: Vec<Vector6<f64>>,
    /// What the matrix has of everything whose law is linear.
    pub still: Envelope,
    /// The frame with contacts as stiff as they were when a stage began.
    pub flexibility: Option<Flexibility>,
    /// Of a factor no longer needed.
    pub storage: Envelope,
}

impl<'a> Run<'a> {
    fn new(frame: &'a Frame) -> Result<Self, SolveError> {
        Self::with(frame, &mut Kept::default(), 0)
    }

    /// The same with what equations before have kept.
    ///
    /// * `known`: see [`Equations::held_in_turn`]
    pub fn with(frame: &'a Frame, kept: &mut Kept, known: usize) -> Result<Self, SolveError> {
        let mut equations = Equations::held_in_turn(frame, &[&frame.supports], kept, known)?;
        equations.hold(&frame.supports);
        let settles = |coupling: usize| !frame.couplings[coupling].law.is_linear();
        let contacts = (0..frame.couplings.len())
            .filter(|&coupling| settles(coupling))
            .map(|coupling| Contact {
                coupling,
                anchor: Vector6::zeros(),
                pressure: 0.0,
                status: Status::Open,
                slid: 0.0,
            })
            .collect();
        let loading = equations.loading(&LoadCase::default())?;
        let still = equations.without(|link| {
            let coupling = link.checked_sub(frame.members.len());
            coupling.is_some_and(settles)
        });
        let untouched = (0..still.size())
            .map(|row| {
                let held = equations.held[equations.numbering.order[row]];
                let own = still.block(row, row).diagonal();
                let own = Vector6::from_fn(|i, _| if held[i] { 1.0 } else { own[i] });
                own.map(|k| if k > 0.0 { k } else { own.amax().max(1.0) })
            })
            .collect();
        Ok(Run {
            contacts,
            displacements: vec![Vector6::zeros(); frame.nodes.len()],
            loading,
            friction: false,
            rubs: false,
            most_acting: 0.0,
            effort: Effort::none(),
            untouched,
            still,
            flexibility: None,
            storage: Envelope::default(),
            equations,
        })
    }

    /// Goes through each of several stages from where the run stands.
    pub fn branches(&mut self, stages: &[Stage]) -> Result<Vec<Settled>, SolveError> {
        let there = (
            self.displacements.clone(),
            self.contacts.clone(),
            self.loading.clone(),
            self.most_acting,
        );
        let branches = stages.iter().map(|stage| {
            (
                self.displacements,
                self.contacts,
                self.loading,
                self.most_acting,
            ) = there.clone();
            self.stage(stage)
        });
        branches.collect()
    }

    fn stage(&mut self, stage: &Stage) -> Result<Settled, SolveError> {
        let from = self.loading.clone();
        let to = self.equations.loading(stage.case)?;
        self.friction = stage.friction;
        self.rubs = stage.friction
            && self
                .equations
                .frame
                .couplings
                .iter()
                .any(|coupling| coupling.law.rubs());
        self.effort = Effort::none();
        self.refer();
        let (mut done, mut span) = (0.0, 1.0 / stage.steps.max(1) as f64);
        let mut cuts = 0;
        let mut before: Option<(f64, Vec<Vector6<f64>>)> = None;
        while done < 1.0 {
            let share = if done + span > 1.0 - 1e-9 {
                1.0
            } else {
                done + span
            };
            let kept = (self.displacements.clone(), self.contacts.clone());
            if let Some((when, then)) = &before {
                self.go_on(then, (share - done) / (done - when));
            }
            match self.step(Loading::between(&from, &to, share)) {
                Ok(()) => {
                    before = Some((done, kept.0));
                    done = share;
                }
                Err(failure) => {
                    (self.displacements, self.contacts) = kept;
                    cuts += 1;
                    span /= 2.0;
                    if cuts > MOST_CUTS {
                        return Err(self.unsettled(stage.case, &failure));
                    }
                }
            }
        }
        let stiffnesses = self.linearise();
        let balance = self.balance();
        self.refuse_loose(stage.case, &stiffnesses)?;
        let case = (stage.case.name.as_str(), &self.loading);
        let displacements = self.displacements_in_lanes();
        let answer = self.equations.answers(&[case], &balance, &displacements);
        let answer = answer.into_iter().next().expect("one answer for one case");
        let solution = CaseSolution {
            touches: self.contacts.iter().map(Contact::told).collect(),
            ..self
                .equations
                .checked(answer, balance.acting[0].max(self.most_acting))?
        };
        Ok(Settled {
            solution,
            effort: self.effort.clone(),
        })
    }

    /// Goes on as it went since an earlier state, as a first guess.
    fn go_on(&mut self, earlier: &[Vector6<f64>], share: f64) {
        for (place, then) in self.displacements.iter_mut().zip(earlier) {
            *place += (*place - then) * share;
        }
    }

    /// Refuses a state in which something could move without being resisted.
    fn refuse_loose(
        &mut self,
        case: &LoadCase,
        stiffnesses: &Stiffnesses,
    ) -> Result<(), SolveError> {
        let pivots = self.pivots(stiffnesses);
        if pivots.smallest_ratio >= PIVOT_LIMIT {
            return Ok(());
        }
        let error = name_mechanism(&self.equations, &pivots);
        match error {
            SolveError::Mechanism { node, motion, .. } if !self.contacts.is_empty() => {
                Err(SolveError::Undetermined {
                    case: case.name.clone(),
                    node,
                    motion,
                })
            }
            other => Err(other),
        }
    }

    fn unsettled(&self, case: &LoadCase, failure: &Failure) -> SolveError {
        let couplings = &self.equations.frame.couplings;
        let hardest = self
            .contacts
            .iter()
            .max_by(|a, b| a.pressure.total_cmp(&b.pressure))
            .map_or(0, |contact| contact.coupling);
        SolveError::Unsettled {
            case: case.name.clone(),
            coupling: couplings[failure.coupling.unwrap_or(hardest)]
                .name
                .to_string(),
            unbalanced: self.effort.unbalanced.as_slice().into(),
        }
    }
}

impl Contact {
    fn told(&self) -> TouchState {
        TouchState {
            coupling: self.coupling,
            status: self.status,
            pressure: self.pressure,
            slid: self.slid,
        }
    }
}

impl Effort {
    fn none() -> Self {
        Effort {
            factorisations: 0,
            unbalanced: Vec::new(),
            smallest_pivot_ratio: f64::INFINITY,
        }
    }
}
