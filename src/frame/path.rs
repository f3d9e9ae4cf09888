//! Large displacements: equilibrium followed from the unloaded frame, by load steps or
//! along the path past limit points.

use nalgebra::{Matrix3, Vector3, Vector6};

use super::element::stack;
use super::equilibrium::{Direction, Equilibrium, Forces, State, split_actions};
use super::error::SolveError;
use super::moved::Moved;
use super::solution::{CaseSolution, Checks};
use super::{Frame, LoadCase};

/// Corrections tried before a step is cut.
const MOST_CORRECTIONS: usize = 15;

/// Corrections up to which a step counts as easy and the next one may be longer.
const EASY_CORRECTIONS: usize = 5;

/// Roundings of a displacement that may add up in an unbalanced force.
const ROUNDINGS: f64 = 10.0;

/// A step cut below this share of the first one has failed.
const SHORTEST_SHARE: f64 = 1e-6;

/// Tries to find a place along a step, and how near to zero counts as found, as a share of
/// the value at the step's ends. Where the load factor turns it is then right to 1e-12.
const MOST_TRIES: usize = 60;
const FOUND_SHARE: f64 = 1e-6;

/// How equilibrium is followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Follow {
    /// The load factor grows to its highest value; refused where it would have to fall.
    Load,
    /// The load factor follows the path, up and down, past limit points.
    Path,
}

/// How to follow equilibrium, and how far.
#[derive(Debug, Clone, PartialEq)]
pub struct PathOptions {
    /// By load or along the path.
    pub follow: Follow,
    /// The first step is this share of the highest load factor: `1 / steps`.
    pub steps: usize,
    /// Longest step over the first one.
    pub growth: f64,
    /// Where to stop: lowest (0 or less) and highest (more than 0) load factor.
    pub load_factors: [f64; 2],
    /// Where to stop: how many states.
    pub most_states: usize,
    /// Where to stop: displacement of any node, mm.
    pub largest_displacement: f64,
    /// Largest unbalanced force over the largest force that acts.
    pub tolerance: f64,
}

impl Default for PathOptions {
    /// Load steps to load factor 1 in ten steps or so.
    fn default() -> Self {
        PathOptions {
            follow: Follow::Load,
            steps: 10,
            growth: 4.0,
            load_factors: [f64::NEG_INFINITY, 1.0],
            most_states: 10_000,
            largest_displacement: f64::INFINITY,
            tolerance: 1e-9,
        }
    }
}

/// The frame in equilibrium at some load factor.
#[derive(Debug, Clone, PartialEq)]
pub struct PathState {
    /// All loads, movements and stress-free strains of the case are taken this many times.
    pub load_factor: f64,
    /// Displacement (mm) and rotation vector (rad, whole turns counted) of every node,
    /// global axes. Near whole turns the axis of a rotation vector is ill determined.
    pub displacements: Vec<Vector6<f64>>,
    /// Force (N) and moment (N·mm) of the supports on every node, global axes.
    pub reactions: Vec<Vector6<f64>>,
    /// Strain energy, N·mm.
    pub energy: f64,
    /// Negative eigenvalues of the tangent: none where equilibrium is stable.
    pub negative: usize,
    /// Unbalanced force over the largest force that acts: as predicted, then after each
    /// correction.
    pub unbalanced: Vec<f64>,
}

impl PathState {
    /// Displacement of a node, mm, global axes.
    pub fn displacement(&self, node: usize) -> Vector3<f64> {
        self.displacements[node].fixed_rows::<3>(0).into_owned()
    }

    /// Rotation vector of a node, rad, global axes, whole turns counted.
    pub fn rotation(&self, node: usize) -> Vector3<f64> {
        self.displacements[node].fixed_rows::<3>(3).into_owned()
    }
}

/// Why a path ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PathEnd {
    /// The lowest or highest load factor is reached.
    LoadFactor,
    /// A node has moved as far as was asked.
    Displacement,
    /// As many states as were asked for.
    States,
}

/// Equilibrium followed from the unloaded frame.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadPath {
    /// States in order, the unloaded one first.
    pub states: Vec<PathState>,
    /// Where the load factor turns: highest or lowest among its neighbours.
    pub limit_points: Vec<PathState>,
    /// Why it ends.
    pub end: PathEnd,
    /// The last state as the solution of its load case: forces in members and couplings,
    /// and what lies between nodes. Forces along members follow from those on their second
    /// ends and the loads along them as on straight ones; couplings' axes turn with
    /// their first bodies.
    pub solution: CaseSolution,
    /// How sound the first factorisation was.
    pub checks: Checks,
}

impl LoadPath {
    /// The last state.
    pub fn last(&self) -> &PathState {
        self.states.last().expect("the unloaded state is kept")
    }
}

/// Follows equilibrium from the unloaded frame, with large displacements and rotations and
/// small strains.
///
/// Newton's iteration in steps. The load factor is one more unknown and corrections stay at
/// right angles to the step, by two solutions on one factor:
///
/// ```text
/// K δr = g    K δp = p    δ = δr + δλ δp    t · δ = 0  →  δλ = −(t · δr) / (t · δp)
/// ```
///
/// with `g` the unbalanced forces, `p` the loads per load factor, and `t` the direction of
/// the step, the tangent of the path; it never turns back on the step before. Loads keep their
/// direction; loads along members act through their nodal loads in the first place.
/// Steps are halved where Newton fails and grow where it is easy.
///
/// Source: Ramm, in *Nonlinear Finite Element Analysis in Structural Mechanics* (1981)
/// 63–89 (from memory).
///
/// # Errors
/// Those of [`solve`](super::solve), and [`SolveError::NoEquilibrium`] where none is found
/// near the last state, or with [`Follow::Load`] where the load has reached its limit.
pub fn follow_path(
    frame: &Frame,
    case: &LoadCase,
    options: &PathOptions,
) -> Result<LoadPath, SolveError> {
    let equilibrium = Equilibrium::new(frame, case)?;
    let (_, pivots) = equilibrium.equations.sound_factor()?;
    let mut walk = Walk {
        checks: Checks {
            smallest_pivot_ratio: pivots.smallest_ratio,
        },
        forces: equilibrium.room(),
        equilibrium,
        options,
    };
    let state = State::start(frame.nodes.len());
    let mut here = walk.arrive(state, vec![], None);
    let mut states = vec![here.record.clone()];
    let mut limit_points = Vec::new();
    let first = options.load_factors[1] / (options.steps as f64 * here.direction.load_factor);
    let mut length = first;
    let [lowest, highest] = options.load_factors;
    let inside = |place: &Place| (lowest..=highest).contains(&place.state.load_factor);
    let end = loop {
        if states.len() > options.most_states {
            break PathEnd::States;
        }
        let Some(next) = walk.step(&here, length, Hold::RightAngles) else {
            length /= 2.0;
            if length < SHORTEST_SHARE * first {
                return Err(SolveError::NoEquilibrium {
                    case: case.name.clone(),
                    load_factor: here.state.load_factor,
                });
            }
            continue;
        };
        let has_turned = here.direction.load_factor * next.direction.load_factor < 0.0;
        let turn = has_turned.then(|| {
            walk.locate(&here, next.clone(), length, |place| {
                place.direction.load_factor
            })
        });
        let (next, reach) = match turn {
            // The load factor asked for is met before the load turns.
            Some((turn, reach)) if !inside(&turn) => (turn, reach),
            Some((turn, _)) if options.follow == Follow::Load => {
                return Err(SolveError::NoEquilibrium {
                    case: case.name.clone(),
                    load_factor: turn.state.load_factor,
                });
            }
            Some((turn, _)) => {
                limit_points.push(turn.record);
                (next, length)
            }
            None => (next, length),
        };
        // The last step ends on the load factor asked for.
        let beyond = !inside(&next);
        let next = match beyond {
            true => {
                let target = next.state.load_factor.clamp(lowest, highest);
                let short = |place: &Place| place.state.load_factor - target;
                let (near, _) = walk.locate(&here, next, reach, short);
                walk.land(near, target)
            }
            false => next,
        };
        states.push(next.record.clone());
        here = next;
        // Within rounding of a step.
        if beyond || here.state.load_factor >= highest - 1e-12 * highest.abs() {
            break PathEnd::LoadFactor;
        }
        let moved = here.state.poses.iter().map(|pose| pose.displacement.norm());
        if moved.fold(0.0, f64::max) >= options.largest_displacement {
            break PathEnd::Displacement;
        }
        if here.record.unbalanced.len() <= EASY_CORRECTIONS {
            length = (length * 1.5).min(first * options.growth);
        } else if here.record.unbalanced.len() > EASY_CORRECTIONS + 3 {
            length /= 1.5;
        }
    };
    Ok(walk.finish(&here, states, limit_points, end))
}

/// A state on the path and the way on from there.
#[derive(Clone)]
struct Place {
    state: State,
    direction: Direction,
    record: PathState,
}

/// What corrections of a step keep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hold {
    /// The length of the step: they stay at right angles to it.
    RightAngles,
    /// The load factor.
    LoadFactor,
}

/// Following a path.
struct Walk<'a> {
    equilibrium: Equilibrium<'a>,
    options: &'a PathOptions,
    forces: Forces,
    checks: Checks,
}

impl Walk<'_> {
    /// A place from a state in equilibrium: its record, and the direction on from it.
    fn arrive(&mut self, state: State, unbalanced: Vec<f64>, back: Option<&Direction>) -> Place {
        let equilibrium = &self.equilibrium;
        equilibrium.evaluate(&state, &mut self.forces);
        let (factor, pivots) = equilibrium.tangent(&state, &self.forces).factor();
        let motions = equilibrium.motions_per_load(&state, &self.forces, &factor);
        let mut direction = Direction {
            motions,
            load_factor: 1.0,
        };
        let square = equilibrium.product(&direction.motions, &direction.motions);
        // Loads that move nothing have no path: the load factor is followed.
        if square > 0.0 {
            let onward = back.map_or(1.0, |back| {
                equilibrium
                    .product(&back.motions, &direction.motions)
                    .signum()
            });
            let scale = onward / square.sqrt();
            direction.load_factor = scale;
            for motion in &mut direction.motions {
                *motion *= scale;
            }
        }
        let record = PathState {
            load_factor: state.load_factor,
            displacements: state
                .poses
                .iter()
                .map(|pose| stack(pose.displacement, pose.rotation_vector))
                .collect(),
            reactions: equilibrium.reactions(&state, &self.forces),
            energy: equilibrium.energy(&state, &self.forces),
            negative: pivots.negative,
            unbalanced,
        };
        Place {
            state,
            direction,
            record,
        }
    }

    /// A step of the given length along the direction of a place, corrected at right
    /// angles to it or at a constant load factor.
    fn step(&mut self, from: &Place, length: f64, hold: Hold) -> Option<Place> {
        let equilibrium = &self.equilibrium;
        let along = &from.direction;
        let mut state = from.state.clone();
        state.advance(along, length);
        let mut unbalanced = Vec::new();
        for _ in 0..=MOST_CORRECTIONS {
            equilibrium.evaluate(&state, &mut self.forces);
            let forces = &self.forces;
            let left = equilibrium.largest_unbalanced(forces);
            unbalanced.push(left / forces.acting.max(f64::MIN_POSITIVE));
            if !left.is_finite() {
                return None;
            }
            if left <= self.options.tolerance * forces.acting + ROUNDINGS * forces.rounding {
                return Some(self.arrive(state, unbalanced, Some(along)));
            }
            let (factor, _) = equilibrium.tangent(&state, forces).factor();
            let mut correction = Direction {
                motions: equilibrium.motions(&state, forces, &factor, &forces.unbalanced),
                load_factor: 0.0,
            };
            if hold == Hold::RightAngles {
                let per_load = equilibrium.motions_per_load(&state, forces, &factor);
                correction.load_factor = -equilibrium.product(&along.motions, &correction.motions)
                    / equilibrium.product(&along.motions, &per_load);
                for (motion, share) in correction.motions.iter_mut().zip(&per_load) {
                    *motion += share * correction.load_factor;
                }
            }
            state.advance(&correction, 1.0);
        }
        None
    }

    /// A place at exactly the load factor it nearly has.
    fn land(&mut self, near: Place, load_factor: f64) -> Place {
        let length = (load_factor - near.state.load_factor) / near.direction.load_factor;
        match self.step(&near, length, Hold::LoadFactor) {
            Some(mut place) => {
                place.state.load_factor = load_factor;
                place.record.load_factor = load_factor;
                place
            }
            None => near,
        }
    }

    /// The place along a step, and how far along, where `value` is zero, having changed its
    /// sign: by false position, the bracket's idle end halved in weight (Illinois).
    fn locate(
        &mut self,
        from: &Place,
        reached: Place,
        length: f64,
        value: impl Fn(&Place) -> f64,
    ) -> (Place, f64) {
        let (mut low, mut high) = (0.0, length);
        let (mut at_low, mut at_high) = (value(from), value(&reached));
        let size = at_low.abs().max(at_high.abs());
        let mut best = (reached, length);
        for _ in 0..MOST_TRIES {
            let middle = (low * at_high - high * at_low) / (at_high - at_low);
            let Some(place) = self.step(from, middle, Hold::RightAngles) else {
                break;
            };
            let at = value(&place);
            best = (place, middle);
            if at.abs() <= FOUND_SHARE * size {
                break;
            }
            if at * at_high < 0.0 {
                (low, at_low) = (high, at_high);
            } else {
                at_low /= 2.0;
            }
            (high, at_high) = (middle, at);
        }
        best
    }

    fn finish(
        mut self,
        last: &Place,
        states: Vec<PathState>,
        limit_points: Vec<PathState>,
        end: PathEnd,
    ) -> LoadPath {
        self.equilibrium.evaluate(&last.state, &mut self.forces);
        let equations = &self.equilibrium.equations;
        let (frame, case) = (equations.frame, self.equilibrium.case);
        let responses = &self.forces.responses;
        let (members, couplings) = responses.split_at(frame.members.len());
        let member_axes: Vec<Matrix3<f64>> = members
            .iter()
            .map(|response| response.axes.transpose())
            .collect();
        let moved = Moved {
            load_factor: last.state.load_factor,
            member_axes,
        };
        // What the loads along a member put on its end when both ends are held.
        let held = |index: usize| -> Vector6<f64> {
            let geometry = &equations.geometries[index];
            let member = &frame.members[index];
            let (_, loads) = split_actions(moved.actions(case, index, geometry));
            match (loads.is_empty(), member.stiffness(geometry)) {
                (false, Ok(stiffness)) => stiffness * member.load(geometry, &loads).free_motion,
                _ => Vector6::zeros(),
            }
        };
        let member_ends = members
            .iter()
            .enumerate()
            .map(|(index, response)| response.local - held(index))
            .collect();
        let coupling_forces = couplings
            .iter()
            .zip(&frame.couplings)
            .map(|(response, coupling)| {
                let local = &response.local;
                stack(
                    coupling.axes.tr_mul(&local.fixed_rows::<3>(0)),
                    coupling.axes.tr_mul(&local.fixed_rows::<3>(3)),
                )
            })
            .collect();
        let record = &last.record;
        let imbalance = self
            .equilibrium
            .imbalance(&last.state, &self.forces, &record.reactions);
        let solution = CaseSolution {
            name: case.name.clone(),
            displacements: record.displacements.clone(),
            member_ends,
            coupling_forces,
            reactions: record.reactions.clone(),
            residual: record.unbalanced.last().copied().unwrap_or(0.0),
            imbalance,
            touches: Vec::new(),
            moved: Some(moved),
        };
        LoadPath {
            states,
            limit_points,
            end,
            solution,
            checks: self.checks,
        }
    }
}
