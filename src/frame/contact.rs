//! Equilibrium with contact and friction, reached in stages and steps.
//!
//! Each iteration replaces every law that is not linear by its tangent, so that the frame
//! is a linear one whose links have an offset, factors it, and goes as far along the step
//! as the unbalanced forces still push that way (an exact line search: without friction the
//! energy is convex, so this always descends and ends after finitely many changes of
//! contact). Friction is bounded by the pressure of the iteration before, which keeps the
//! matrix symmetric; the balance that ends the iteration is taken with the pressure as it is.
//!
//! An iteration has converged when no free degree of freedom is left with more than 1e-9 of
//! the largest force that acts, pressures, gaps and friction bounds being those of the same
//! displacements.

use nalgebra::Vector6;

use super::envelope::Factor;
use super::equations::{Balance, Equations, Loading, PIVOT_LIMIT, ratio};
use super::error::SolveError;
use super::law::Law;
use super::mechanism::name_mechanism;
use super::solution::{CaseSolution, TouchState};
use super::{Frame, LoadCase, Status};

/// Largest unbalanced force accepted, as a share of those that act.
const TOLERANCE: f64 = 1e-9;
/// The same as a share of what is summed up inside stiff links, where rounding forbids more.
const ROUNDING: f64 = 1e-13;
/// Iterations of one step before it is cut in half.
const MOST_ITERATIONS: usize = 40;
/// After so many iterations friction bounds move only half way, which ends most cycles.
const DAMPED_AFTER: usize = 12;
/// How often a step may be cut in half.
const MOST_CUTS: usize = 8;
/// Where parts can move freely, every degree of freedom is sprung with this share of its own
/// stiffness without contact, which bends the step but not the equilibrium it leads to.
const RAISE: f64 = 1e-7;

/// One stage of loading. Its case holds everything that acts at its end; what acted at the
/// end of the stage before changes into it evenly.
#[derive(Debug, Clone, Copy)]
pub struct Stage<'a> {
    /// What acts at the end.
    pub case: &'a LoadCase,
    /// In how many steps it comes on; with friction the way matters.
    pub steps: usize,
    /// Whether surfaces rub in this stage.
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
    /// Factorisations.
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

/// A coupling whose law is not linear, and its past.
#[derive(Clone, Copy)]
struct Contact {
    coupling: usize,
    /// Motion at which friction and grips are at rest, coupling axes.
    anchor: Vector6<f64>,
    /// Largest friction force, N.
    bound: f64,
    pressure: f64,
    status: Status,
    slid: f64,
}

struct Run<'a> {
    equations: Equations<'a>,
    contacts: Vec<Contact>,
    displacements: Vec<Vector6<f64>>,
    /// What acts now.
    loading: Loading,
    friction: bool,
    effort: Effort,
    /// Diagonal of the stiffness matrix without contact, by block row.
    untouched: Vec<Vector6<f64>>,
}

/// Why a step did not converge.
struct Failure {
    coupling: Option<usize>,
    residual: f64,
}

impl<'a> Run<'a> {
    fn new(frame: &'a Frame) -> Result<Self, SolveError> {
        let equations = Equations::new(frame)?;
        let contacts = (0..frame.couplings.len())
            .filter(|&coupling| !frame.couplings[coupling].law.is_linear())
            .map(|coupling| Contact {
                coupling,
                anchor: Vector6::zeros(),
                bound: 0.0,
                pressure: 0.0,
                status: Status::Open,
                slid: 0.0,
            })
            .collect();
        let loading = equations.loading(&LoadCase::default())?;
        let matrix = equations.envelope();
        let untouched = (0..matrix.size())
            .map(|row| matrix.block(row, row).diagonal())
            .map(|own| own.map(|k| if k > 0.0 { k } else { own.amax().max(1.0) }))
            .collect();
        Ok(Run {
            contacts,
            displacements: vec![Vector6::zeros(); frame.nodes.len()],
            loading,
            friction: false,
            effort: Effort::none(),
            untouched,
            equations,
        })
    }

    fn stage(&mut self, stage: &Stage) -> Result<Settled, SolveError> {
        let from = self.loading.clone();
        let to = self.equations.loading(stage.case)?;
        self.friction = stage.friction;
        self.effort = Effort::none();
        let (mut done, mut span) = (0.0, 1.0 / stage.steps.max(1) as f64);
        let mut cuts = 0;
        while done < 1.0 {
            let share = if done + span > 1.0 - 1e-9 {
                1.0
            } else {
                done + span
            };
            let kept = (self.displacements.clone(), self.contacts.clone());
            match self.step(Loading::between(&from, &to, share)) {
                Ok(()) => done = share,
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
        let balance = self.balance();
        self.refuse_loose(stage.case)?;
        let answer = self.equations.answer(
            &stage.case.name,
            &self.loading,
            &balance,
            self.displacements.clone(),
        );
        let solution = CaseSolution {
            touches: self.contacts.iter().map(Contact::told).collect(),
            ..self.equations.checked(answer, balance.acting)?
        };
        Ok(Settled {
            solution,
            effort: self.effort.clone(),
        })
    }

    /// Finds the equilibrium under a loading from where the run stands.
    fn step(&mut self, loading: Loading) -> Result<(), Failure> {
        for (node, held) in self.equations.held.iter().enumerate() {
            for freedom in (0..6).filter(|&freedom| held[freedom]) {
                self.displacements[node][freedom] = loading.movements[node][freedom];
            }
        }
        self.loading = loading;
        let mut last: Vec<f64> = Vec::new();
        let mut restless = None;
        let mut left = f64::INFINITY;
        for iteration in 0..MOST_ITERATIONS {
            self.bind_friction(iteration >= DAMPED_AFTER);
            let balance = self.balance();
            let unbalanced = self.equations.largest_free(&balance);
            left = ratio(unbalanced, balance.acting);
            self.effort.unbalanced.push(left);
            if left <= TOLERANCE
                || unbalanced <= ROUNDING * self.equations.summed(&self.displacements)
            {
                self.come_to_rest();
                return Ok(());
            }
            restless = self.most_changed(&last).or(restless);
            last = self
                .contacts
                .iter()
                .map(|contact| contact.pressure)
                .collect();
            let factor = self.factor();
            let step = self.equations.step(&factor, &balance);
            self.go(&step, &balance);
        }
        Err(Failure {
            coupling: restless,
            residual: left,
        })
    }

    /// Replaces every law that is not linear by its tangent at the displacements as they are
    /// and returns what is left unbalanced.
    fn balance(&mut self) -> Balance {
        self.linearise();
        self.equations.balance(&self.loading, &self.displacements)
    }

    fn linearise(&mut self) {
        let members = self.equations.frame.members.len();
        for contact in &mut self.contacts {
            let coupling = &self.equations.frame.couplings[contact.coupling];
            let index = members + contact.coupling;
            let motion = self
                .equations
                .strained_motion(index, &self.loading, &self.displacements);
            let local = coupling.to_local(&motion);
            let answer = coupling.law.answer(&local, &contact.anchor, contact.bound);
            contact.pressure = answer.pressure;
            let link = &mut self.equations.links[index];
            link.stiffness = coupling.stiffness_to_global(&answer.stiffness);
            link.offset = coupling.to_global(&answer.force) - link.stiffness * motion;
        }
    }

    /// Bounds friction by the pressure as it is, or half way to it.
    fn bind_friction(&mut self, damped: bool) {
        self.linearise();
        for contact in &mut self.contacts {
            if let Law::Touch(touch) = &self.equations.frame.couplings[contact.coupling].law {
                let bound = match self.friction {
                    true => touch.bound(contact.pressure),
                    false => 0.0,
                };
                contact.bound = match damped && bound > 0.0 {
                    true => (bound + contact.bound) / 2.0,
                    false => bound,
                };
            }
        }
    }

    /// Factors the tangent, raised where parts can move freely.
    fn factor(&mut self) -> Factor {
        self.effort.factorisations += 1;
        let (factor, pivots) = self.equations.envelope().factor();
        self.effort.smallest_pivot_ratio = pivots.smallest_ratio;
        if pivots.smallest_ratio > PIVOT_LIMIT {
            return factor;
        }
        let mut raised = self.equations.envelope();
        for (row, own) in self.untouched.iter().enumerate() {
            let block = raised.block_mut(row, row);
            for i in 0..6 {
                block[(i, i)] += RAISE * own[i];
            }
        }
        self.effort.factorisations += 1;
        raised.factor().0
    }

    /// Goes along a step until the unbalanced forces no longer push along it.
    fn go(&mut self, step: &[Vector6<f64>], balance: &Balance) {
        let start = self.displacements.clone();
        let along = |balance: &Balance| -> f64 {
            let work = balance.unbalanced.iter().zip(step);
            work.map(|(force, motion)| force.dot(motion)).sum()
        };
        let first = along(balance);
        let mut push_at = |length: f64| {
            for (place, (from, motion)) in self.displacements.iter_mut().zip(start.iter().zip(step))
            {
                *place = from + motion * length;
            }
            along(&self.balance())
        };
        let (mut low, mut push_low) = (0.0, first);
        let (mut high, mut push_high) = (1.0, push_at(1.0));
        // False position, with the Illinois rule for the end that does not move.
        for _ in 0..60 {
            if push_high >= -0.1 * first.abs() {
                return;
            }
            let middle = (low * push_high - high * push_low) / (push_high - push_low);
            let middle = middle.clamp(low + 0.01 * (high - low), high - 0.01 * (high - low));
            let push = push_at(middle);
            if push.abs() <= 0.1 * first.abs() {
                return;
            }
            if push > 0.0 {
                (low, push_low) = (middle, push);
                push_high /= 2.0;
            } else {
                (high, push_high) = (middle, push);
                push_low /= 2.0;
            }
        }
    }

    /// After a step has converged: friction and grips start anew from where they are.
    fn come_to_rest(&mut self) {
        let members = self.equations.frame.members.len();
        for contact in &mut self.contacts {
            let coupling = &self.equations.frame.couplings[contact.coupling];
            let index = members + contact.coupling;
            let motion = self
                .equations
                .strained_motion(index, &self.loading, &self.displacements);
            let local = coupling.to_local(&motion);
            let answer = coupling.law.answer(&local, &contact.anchor, contact.bound);
            contact.status = answer.status;
            contact.slid += answer.slip;
            contact.anchor = coupling.law.rest(&local, &answer);
        }
    }

    /// The coupling whose pressure changed most since the last iteration.
    fn most_changed(&self, last: &[f64]) -> Option<usize> {
        self.contacts
            .iter()
            .zip(last)
            .max_by(|a, b| {
                let change = |(contact, last): &(&Contact, &f64)| (contact.pressure - **last).abs();
                change(a).total_cmp(&change(b))
            })
            .map(|(contact, _)| contact.coupling)
    }

    /// Refuses a state in which something could move without being resisted.
    fn refuse_loose(&mut self, case: &LoadCase) -> Result<(), SolveError> {
        self.effort.factorisations += 1;
        let (_, pivots) = self.equations.envelope().factor();
        self.effort.smallest_pivot_ratio = pivots.smallest_ratio;
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
        SolveError::Unsettled {
            case: case.name.clone(),
            coupling: failure
                .coupling
                .map_or(String::new(), |index| couplings[index].name.clone()),
            iterations: MOST_ITERATIONS,
            residual: failure.residual,
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
