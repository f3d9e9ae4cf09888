//! Equilibrium of a frame whose nodes have moved far: forces, tangent and load rates.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use super::corotational::{Beam, Pose, Response, symmetric_blocks};
use super::element::{carry, stack};
use super::envelope::{Envelope, Factor};
use super::equations::{Equations, larger, magnitude};
use super::error::SolveError;
use super::member::{Action, local_actions};
use super::rotation::{vector_rate, vector_rate_gradient};
use super::sound::check_case;
use super::{Frame, LoadCase, Support};

/// Share of the motions that may be left when the skew part of the tangent is brought back,
/// and the most steps taken for it.
const SKEW_SHARE: f64 = 1e-9;
const MOST_SKEW_STEPS: usize = 40;

/// A frame and a load case turned into co-rotational links and dead loads.
///
/// Loads along members become the nodal loads of the linear member in its first place and
/// keep their direction; stress-free strains turn with their members. Everything in the
/// load case grows with one load factor.
pub(crate) struct Equilibrium<'a> {
    pub equations: Equations<'a>,
    pub case: &'a LoadCase,
    pub beams: Vec<Beam>,
    /// Loads on the nodes at load factor 1, global axes.
    dead: Vec<Vector6<f64>>,
    /// Prescribed movements at load factor 1.
    movements: Vec<Vector6<f64>>,
    /// Largest extent of the frame, mm.
    pub size: f64,
    /// Whether moments act on nodes.
    has_moments: bool,
}

/// Where the frame has got to.
#[derive(Clone)]
pub(crate) struct State {
    pub load_factor: f64,
    pub poses: Vec<Pose>,
}

/// A way to go: motions of the nodes and what the load factor does meanwhile.
#[derive(Clone)]
pub(crate) struct Direction {
    pub motions: Vec<Vector6<f64>>,
    pub load_factor: f64,
}

/// Forces in a state. Kept from one iteration to the next to spare allocations.
pub(crate) struct Forces {
    /// One for each link: members first, then couplings.
    pub responses: Vec<Response>,
    /// Loads less what resists them, global axes.
    pub unbalanced: Vec<Vector6<f64>>,
    /// Largest force (or moment over the frame's size) among those that act.
    pub acting: f64,
    /// Largest force that rounding of the displacements may leave.
    pub rounding: f64,
}

/// The part of a load case's actions on a member that is stress-free, and the rest.
pub(crate) fn split_actions(actions: Vec<Action>) -> (Vec<Action>, Vec<Action>) {
    actions
        .into_iter()
        .partition(|action| matches!(action, Action::StressFree(_)))
}

impl State {
    /// Nothing loaded, nothing moved.
    pub fn start(nodes: usize) -> Self {
        State {
            load_factor: 0.0,
            poses: vec![Pose::start(); nodes],
        }
    }

    /// Goes a length along a direction.
    pub fn advance(&mut self, direction: &Direction, length: f64) {
        self.load_factor += direction.load_factor * length;
        for (pose, motion) in self.poses.iter_mut().zip(&direction.motions) {
            pose.advance(&(motion * length));
        }
    }
}

impl<'a> Equilibrium<'a> {
    pub fn new(frame: &'a Frame, case: &'a LoadCase) -> Result<Self, SolveError> {
        let equations = Equations::new(frame)?;
        check_case(frame, &equations.held, case)?;
        if let Some(coupling) = frame.couplings.iter().find(|c| !c.law.is_linear()) {
            return Err(SolveError::Unsound {
                part: format!("coupling '{}'", coupling.name),
                rule: "has a law with contact, friction or a limit, which large displacement and \
                       buckling do not take",
            });
        }
        if !case.tightenings.is_empty() {
            return Err(SolveError::Unsound {
                part: format!("load case '{}'", case.name),
                rule: "tightens a coupling, which large displacement and buckling do not take",
            });
        }
        let count = frame.nodes.len();
        let mut dead = vec![Vector6::zeros(); count];
        for load in &case.nodal {
            dead[load.node] += stack(load.force, load.moment);
        }
        let mut beams = Vec::with_capacity(frame.members.len());
        for (index, member) in frame.members.iter().enumerate() {
            let geometry = &equations.geometries[index];
            let (free, loads) = split_actions(local_actions(case, index, geometry));
            let stress_free = member.load(geometry, &free).free_motion;
            let beam =
                Beam::new(member, geometry, stress_free).map_err(|rule| SolveError::Unsound {
                    part: format!("member '{}'", member.name),
                    rule,
                })?;
            beams.push(beam);
            if !loads.is_empty() {
                let link = &equations.links[index];
                let loading = member.load(geometry, &loads);
                let held = link.stiffness * geometry.to_global(&loading.free_motion);
                let [i, j] = link.nodes;
                dead[i] += equations.load_at_first_node(index, &loading)
                    - carry(&link.levers[0]).tr_mul(&held);
                dead[j] += carry(&link.levers[1]).tr_mul(&held);
            }
        }
        let mut movements = vec![Vector6::zeros(); count];
        for movement in &case.movements {
            movements[movement.node][movement.freedom] = movement.value;
        }
        let size = equations.size();
        let has_moments = dead
            .iter()
            .any(|load: &Vector6<f64>| load.fixed_rows::<3>(3).amax() > 0.0);
        Ok(Equilibrium {
            equations,
            case,
            beams,
            dead,
            movements,
            size,
            has_moments,
        })
    }

    /// Room for the forces of a state.
    pub fn room(&self) -> Forces {
        Forces {
            responses: vec![Response::none(); self.equations.links.len()],
            unbalanced: vec![Vector6::zeros(); self.dead.len()],
            acting: 0.0,
            rounding: 0.0,
        }
    }

    /// Forces in a state.
    pub fn evaluate(&self, state: &State, forces: &mut Forces) {
        let size = self.size;
        (forces.acting, forces.rounding) = (0.0, 0.0);
        for (unbalanced, load) in forces.unbalanced.iter_mut().zip(&self.dead) {
            *unbalanced = load * state.load_factor;
            forces.acting = larger(forces.acting, magnitude(unbalanced, size));
        }
        for (index, link) in self.equations.links.iter().enumerate() {
            let poses = link.nodes.map(|node| &state.poses[node]);
            let response = match self.beams.get(index) {
                Some(beam) => beam.respond(poses, state.load_factor),
                None => link.respond(poses),
            };
            for (end, &node) in link.nodes.iter().enumerate() {
                let force = response.force_on(end);
                forces.unbalanced[node] -= force;
                forces.acting = larger(forces.acting, magnitude(&force, size));
            }
            forces.rounding = forces.rounding.max(response.rounding);
            forces.responses[index] = response;
        }
        for support in self.equations.supports {
            let force = self.spring_force(support, &state.poses[support.node]);
            forces.unbalanced[support.node] += force;
            forces.acting = larger(forces.acting, magnitude(&force, size));
        }
    }

    /// Force of a support's springs on its node: `−k u` and `−Aᵀ(θ) c θ`, the slope of
    /// `½ k u² + ½ c θ²` with the rotation vector `θ`.
    pub fn spring_force(&self, support: &Support, pose: &Pose) -> Vector6<f64> {
        let k = Vector6::from(support.springs);
        let force = -k.fixed_rows::<3>(0).component_mul(&pose.displacement);
        let moment = -k.fixed_rows::<3>(3).component_mul(&pose.rotation_vector);
        let rate = vector_rate(&pose.rotation_vector);
        stack(force, rate.tr_mul(&moment))
    }

    fn spring_tangent(&self, support: &Support, pose: &Pose) -> Matrix6<f64> {
        let k = Vector6::from(support.springs);
        let mut tangent = Matrix6::from_diagonal(&k);
        let (theta, rate) = (pose.rotation_vector, vector_rate(&pose.rotation_vector));
        let stiffness = k.fixed_rows::<3>(3).into_owned();
        let turning = rate.tr_mul(&(Matrix3::from_diagonal(&stiffness) * rate))
            + vector_rate_gradient(&theta, &stiffness.component_mul(&theta)) * rate;
        tangent.fixed_view_mut::<3, 3>(3, 3).copy_from(&turning);
        tangent
    }

    /// Strain energy of a state, springs included, N·mm.
    pub fn energy(&self, state: &State, forces: &Forces) -> f64 {
        let links = forces.responses.iter().map(|response| response.energy);
        let springs = self.equations.supports.iter().map(|support| {
            let pose = &state.poses[support.node];
            let moved = stack(pose.displacement, pose.rotation_vector);
            let k = Vector6::from(support.springs);
            k.dot(&moved.component_mul(&moved)) / 2.0
        });
        links.sum::<f64>() + springs.sum::<f64>()
    }

    /// Forces of the supports on the nodes, springs included, global axes.
    pub fn reactions(&self, state: &State, forces: &Forces) -> Vec<Vector6<f64>> {
        let unbalanced = forces.unbalanced.iter().enumerate();
        let mut reactions: Vec<Vector6<f64>> = unbalanced
            .map(|(node, force)| self.equations.free_force(node, force) - force)
            .collect();
        for support in self.equations.supports {
            reactions[support.node] += self.spring_force(support, &state.poses[support.node]);
        }
        reactions
    }

    /// Resultant of loads and reactions about the middle of the frame over the largest force
    /// that acts.
    pub fn imbalance(&self, state: &State, forces: &Forces, reactions: &[Vector6<f64>]) -> f64 {
        let nodes = &self.equations.frame.nodes;
        let places: Vec<Vector3<f64>> = nodes
            .iter()
            .zip(&state.poses)
            .map(|(node, pose)| node.position + pose.displacement)
            .collect();
        let middle = places.iter().sum::<Vector3<f64>>() / places.len() as f64;
        let mut total = Vector6::zeros();
        for (node, place) in places.iter().enumerate() {
            let force = self.dead[node] * state.load_factor + reactions[node];
            total += carry(&(place - middle)).tr_mul(&force);
        }
        magnitude(&total, self.size) / forces.acting.max(f64::MIN_POSITIVE)
    }

    /// The symmetric tangent in a state, held degrees of freedom decoupled.
    pub fn tangent(&self, state: &State, forces: &Forces) -> Envelope {
        self.equations.gather(
            |index| symmetric_blocks(&forces.responses[index].tangent),
            |support| {
                let springs = self.spring_tangent(support, &state.poses[support.node]);
                (springs + springs.transpose()) * 0.5
            },
        )
    }

    /// Motions that balance the given loads on the free degrees of freedom.
    ///
    /// The tangent that was factored lacks what a moment of fixed direction adds to it, a
    /// skew block at its node. Where there is one, generalised conjugate residuals bring it
    /// back, with the factor as preconditioner: two steps for each loaded node at most.
    ///
    /// Source: Eisenstat, Elman & Schultz, *SIAM J. Numer. Anal.* 20 (1983) 345–357 (from
    /// memory).
    pub fn motions(
        &self,
        state: &State,
        forces: &Forces,
        factor: &Factor,
        loads: &[Vector6<f64>],
    ) -> Vec<Vector6<f64>> {
        let first = self.solve(factor, loads);
        if !self.has_moments {
            return first;
        }
        let enough = SKEW_SHARE * SKEW_SHARE * self.product(&first, &first);
        let mut motions = vec![Vector6::zeros(); first.len()];
        let mut left = first;
        let mut used: Vec<[Vec<Vector6<f64>>; 2]> = Vec::new();
        while used.len() < MOST_SKEW_STEPS && self.product(&left, &left) > enough {
            let mut step = left.clone();
            let mut image = self.solve(factor, &self.resist(state, forces, &step));
            for [other, its_image] in &used {
                let share = self.product(&image, its_image);
                add_scaled(&mut step, other, -share);
                add_scaled(&mut image, its_image, -share);
            }
            let size = self.product(&image, &image).sqrt();
            for part in step.iter_mut().chain(&mut image) {
                *part /= size;
            }
            let share = self.product(&left, &image);
            add_scaled(&mut motions, &step, share);
            add_scaled(&mut left, &image, -share);
            used.push([step, image]);
        }
        motions
    }

    /// Loads that the whole tangent, not symmetrised, sets against motions.
    fn resist(
        &self,
        state: &State,
        forces: &Forces,
        motions: &[Vector6<f64>],
    ) -> Vec<Vector6<f64>> {
        let mut loads = vec![Vector6::zeros(); motions.len()];
        for (link, response) in self.equations.links.iter().zip(&forces.responses) {
            let [i, j] = link.nodes;
            let near = response.tangent.fixed_columns::<6>(0) * motions[i];
            let resisting = near + response.tangent.fixed_columns::<6>(6) * motions[j];
            loads[i] += resisting.fixed_rows::<6>(0);
            loads[j] += resisting.fixed_rows::<6>(6);
        }
        for support in self.equations.supports {
            let node = support.node;
            loads[node] += self.spring_tangent(support, &state.poses[node]) * motions[node];
        }
        loads
    }

    pub fn solve(&self, factor: &Factor, loads: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let order = &self.equations.numbering.order;
        let mut solved: Vec<Vector6<f64>> = order
            .iter()
            .map(|&node| self.equations.free_force(node, &loads[node]))
            .collect();
        factor.solve(&mut solved);
        let mut motions = vec![Vector6::zeros(); order.len()];
        for (&node, motion) in order.iter().zip(&solved) {
            motions[node] = *motion;
        }
        motions
    }

    /// Motions per load factor: of the free degrees of freedom under the loads and what
    /// movements and stress-free strains call for, and of the held ones as prescribed.
    pub fn motions_per_load(
        &self,
        state: &State,
        forces: &Forces,
        factor: &Factor,
    ) -> Vec<Vector6<f64>> {
        let mut loads = self.dead.clone();
        for (index, link) in self.equations.links.iter().enumerate() {
            let [i, j] = link.nodes;
            let prescribed = [i, j].map(|node| self.movements[node]);
            if prescribed.iter().any(|movement| movement.amax() > 0.0) {
                let [ii, ij, jj] = symmetric_blocks(&forces.responses[index].tangent);
                loads[i] -= ii * prescribed[0] + ij * prescribed[1];
                loads[j] -= ij.tr_mul(&prescribed[0]) + jj * prescribed[1];
            }
            if let Some(beam) = self.beams.get(index)
                && beam.is_prestrained()
            {
                let held_back = beam.held_back([&state.poses[i], &state.poses[j]]);
                loads[i] -= held_back.fixed_rows::<6>(0);
                loads[j] -= held_back.fixed_rows::<6>(6);
            }
        }
        let mut motions = self.motions(state, forces, factor, &loads);
        for (motion, movement) in motions.iter_mut().zip(&self.movements) {
            *motion += movement;
        }
        motions
    }

    /// Largest unbalanced force on a free degree of freedom.
    pub fn largest_unbalanced(&self, forces: &Forces) -> f64 {
        let parts = forces
            .unbalanced
            .iter()
            .enumerate()
            .map(|(node, force)| magnitude(&self.equations.free_force(node, force), self.size));
        parts.fold(0.0, larger)
    }

    /// Scalar product of motions, rotations as displacements at the frame's size, mm².
    pub fn product(&self, a: &[Vector6<f64>], b: &[Vector6<f64>]) -> f64 {
        let square = self.size * self.size;
        let weights = Vector6::new(1.0, 1.0, 1.0, square, square, square);
        let pairs = a.iter().zip(b);
        pairs.map(|(a, b)| a.component_mul(b).dot(&weights)).sum()
    }
}

/// `target += share · other`.
pub(crate) fn add_scaled(target: &mut [Vector6<f64>], other: &[Vector6<f64>], share: f64) {
    for (target, other) in target.iter_mut().zip(other) {
        *target += other * share;
    }
}
