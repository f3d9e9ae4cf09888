//! Assembly and solution of a linear frame.

use nalgebra::{Matrix6, Vector3, Vector6};

use super::element::{Action, Geometry, Link, MemberLoading, carry, local_actions, stack};
use super::envelope::{Envelope, Factor, Pivots};
use super::error::SolveError;
use super::mechanism::{hides_mechanism, name_mechanism};
use super::order::node_order;
use super::solution::{CaseSolution, Checks, Solution};
use super::{Frame, Law, LoadCase, MemberAction, Profile, Support};

/// A pivot smaller than this share of its diagonal entry means that nothing resists some
/// motion; very slender sound frames leave at least 2e-8 (measured on random frames). A
/// mechanism may leave more: see [`hides_mechanism`].
pub(crate) const PIVOT_LIMIT: f64 = 1e-11;

/// Largest residual and imbalance accepted; see [`Checks`].
const RESIDUAL_LIMIT: f64 = 1e-8;

/// A residual above this share of the forces that act is worth one refinement.
const REFINE_ABOVE: f64 = 1e-13;

/// Solves every load case with one factorisation.
///
/// # Errors
/// [`SolveError::Unsound`] for a frame that is not well formed,
/// [`SolveError::Mechanism`] when some motion is not resisted, naming the node,
/// [`SolveError::Inaccurate`] when the result does not balance.
pub fn solve(frame: &Frame, cases: &[LoadCase]) -> Result<Solution, SolveError> {
    let equations = Equations::new(frame)?;
    for case in cases {
        check_case(frame, case)?;
    }
    let (factor, pivots) = equations.sound_factor()?;
    let solved: Result<Vec<_>, _> = cases
        .iter()
        .map(|case| equations.solve_case(case, &factor))
        .collect();
    Ok(Solution {
        cases: solved?,
        checks: Checks {
            smallest_pivot_ratio: pivots.smallest_ratio,
        },
    })
}

/// The stiffness matrix of a frame with its supports, ready to be factored.
///
/// # Errors
/// [`SolveError::Unsound`] for a frame that is not well formed.
pub fn assemble(frame: &Frame) -> Result<Envelope, SolveError> {
    Ok(Equations::new(frame)?.envelope())
}

/// A frame turned into links, with its numbering.
pub(crate) struct Equations<'a> {
    pub frame: &'a Frame,
    pub held: Vec<[bool; 6]>,
    /// Members first, then couplings.
    pub links: Vec<Link>,
    pub geometries: Vec<Geometry>,
    /// `order[position] = node`.
    pub order: Vec<usize>,
    /// `position[node]`.
    pub position: Vec<usize>,
}

/// Forces on nodes, with the size of what was added up to get them.
struct Balance {
    /// Applied forces less internal ones.
    unbalanced: Vec<Vector6<f64>>,
    /// Largest force and moment (as force × frame size) among those that act.
    acting: f64,
    /// The same before cancellation inside links: `|C| (|u_i| + |u_j|)`.
    summed: f64,
}

impl<'a> Equations<'a> {
    pub fn new(frame: &'a Frame) -> Result<Self, SolveError> {
        check_indices(frame)?;
        let held = frame.held();
        let mut geometries = Vec::with_capacity(frame.members.len());
        let mut links = Vec::with_capacity(frame.members.len() + frame.couplings.len());
        for member in &frame.members {
            let unsound = |rule| SolveError::Unsound {
                part: format!("member '{}'", member.name),
                rule,
            };
            let geometry = Geometry::of(frame, member).map_err(unsound)?;
            links.push(member.link(&geometry).map_err(unsound)?);
            geometries.push(geometry);
        }
        links.extend(frame.couplings.iter().map(|coupling| coupling.link(frame)));

        // A node held altogether has no equations left that another could meet.
        let grounded = |node: usize| held[node] == [true; 6];
        let joints = links
            .iter()
            .map(|link| link.nodes)
            .filter(|nodes| !nodes.iter().any(|&node| grounded(node)));
        let order = node_order(frame.nodes.len(), joints);
        let mut position = vec![0; order.len()];
        for (place, &node) in order.iter().enumerate() {
            position[node] = place;
        }
        Ok(Equations {
            frame,
            held,
            links,
            geometries,
            order,
            position,
        })
    }

    /// Factors the stiffness matrix, or names what nothing resists.
    pub fn sound_factor(&self) -> Result<(Factor, Pivots), SolveError> {
        let (factor, pivots) = self.envelope().factor();
        if pivots.smallest_ratio < PIVOT_LIMIT || hides_mechanism(self, &factor, &pivots) {
            return Err(name_mechanism(self, &pivots));
        }
        Ok((factor, pivots))
    }

    /// The stiffness matrix, with held degrees of freedom decoupled.
    pub fn envelope(&self) -> Envelope {
        let springs = |support: &Support| Matrix6::from_diagonal(&support.springs.into());
        self.gather(|index| self.links[index].blocks(), springs)
    }

    /// A matrix with the pattern of the stiffness matrix, held degrees of freedom decoupled.
    ///
    /// * `blocks`: `ii`, `ij`, `jj` of each link
    /// * `springs`: what a support adds to its node
    pub fn gather(
        &self,
        blocks: impl Fn(usize) -> [Matrix6<f64>; 3],
        springs: impl Fn(&Support) -> Matrix6<f64>,
    ) -> Envelope {
        let grounded = |node: usize| self.held[node] == [true; 6];
        let mut first: Vec<usize> = (0..self.order.len()).collect();
        for link in &self.links {
            if !link.nodes.iter().any(|&node| grounded(node)) {
                let [a, b] = link.nodes.map(|node| self.position[node]);
                let row = a.max(b);
                first[row] = first[row].min(a.min(b));
            }
        }
        let mut envelope = Envelope::zeros(first);
        for (index, link) in self.links.iter().enumerate() {
            let [ii, ij, jj] = blocks(index);
            let [i, j] = link.nodes.map(|node| self.position[node]);
            *envelope.block_mut(i, i) += ii;
            *envelope.block_mut(j, j) += jj;
            if link.nodes.iter().any(|&node| grounded(node)) {
                continue;
            }
            if i == j {
                *envelope.block_mut(i, i) += ij + ij.transpose();
            } else if i > j {
                *envelope.block_mut(i, j) += ij;
            } else {
                *envelope.block_mut(j, i) += ij.transpose();
            }
        }
        for support in &self.frame.supports {
            let row = self.position[support.node];
            *envelope.block_mut(row, row) += springs(support);
        }
        for row in 0..envelope.size() {
            let row_held = self.held[self.order[row]];
            for column in envelope.first(row)..=row {
                let column_held = self.held[self.order[column]];
                let block = envelope.block_mut(row, column);
                for i in 0..6 {
                    for k in 0..6 {
                        if row_held[i] || column_held[k] {
                            block[(i, k)] = f64::from(u8::from(row == column && i == k));
                        }
                    }
                }
            }
        }
        envelope
    }

    pub fn solve_case(&self, case: &LoadCase, factor: &Factor) -> Result<CaseSolution, SolveError> {
        let count = self.frame.nodes.len();
        let mut displacements = vec![Vector6::zeros(); count];
        for movement in &case.movements {
            displacements[movement.node][movement.freedom] = movement.value;
        }
        let loaded = self.load_members(case);
        let mut balance = self.balance(case, &loaded, &displacements);
        // What movements and stress-free strains would call for if nothing gave way: a frame
        // that follows them freely is left with nothing but rounding to compare with.
        let blocked = balance.acting;
        for _ in 0..2 {
            self.improve(factor, &balance, &mut displacements);
            balance = self.balance(case, &loaded, &displacements);
            if self.largest_free(&balance) <= REFINE_ABOVE * balance.acting {
                break;
            }
        }

        let residual = ratio(self.largest_free(&balance), balance.summed);
        let reactions: Vec<Vector6<f64>> = (0..count)
            .map(|node| {
                Vector6::from_fn(|freedom, _| match self.held[node][freedom] {
                    true => -balance.unbalanced[node][freedom],
                    false => 0.0,
                })
            })
            .zip(self.spring_forces(&displacements))
            .map(|(held, sprung)| held + sprung)
            .collect();
        let acting = blocked.max(balance.acting);
        let imbalance = ratio(self.resultant(case, &loaded, &reactions), acting);
        let worst = larger(residual, imbalance);
        if worst.is_nan() || worst > RESIDUAL_LIMIT {
            return Err(SolveError::Inaccurate {
                case: case.name.clone(),
                residual: worst,
                limit: RESIDUAL_LIMIT,
            });
        }
        let member_count = self.frame.members.len();
        let link_forces = |index: usize| self.link_force(index, &loaded, &displacements);
        Ok(CaseSolution {
            name: case.name.clone(),
            member_ends: (0..member_count)
                .map(|m| self.geometries[m].to_local(&link_forces(m)))
                .collect(),
            coupling_forces: self
                .frame
                .couplings
                .iter()
                .enumerate()
                .map(|(c, coupling)| {
                    let force = link_forces(member_count + c);
                    stack(
                        coupling.axes.tr_mul(&force.fixed_rows::<3>(0)),
                        coupling.axes.tr_mul(&force.fixed_rows::<3>(3)),
                    )
                })
                .collect(),
            displacements,
            reactions,
            residual,
            imbalance,
            moved: None,
        })
    }

    fn load_members(&self, case: &LoadCase) -> Vec<Option<MemberLoading>> {
        let mut loaded: Vec<Option<MemberLoading>> = Vec::new();
        loaded.resize_with(self.frame.members.len(), || None);
        for load in &case.members {
            let index = load.member;
            if loaded[index].is_none() {
                let geometry = &self.geometries[index];
                let actions: Vec<Action> = local_actions(case, index, geometry);
                loaded[index] = Some(self.frame.members[index].load(geometry, &actions));
            }
        }
        loaded
    }

    /// Force on the second body of a link at its point, global axes.
    fn link_force(
        &self,
        index: usize,
        loaded: &[Option<MemberLoading>],
        displacements: &[Vector6<f64>],
    ) -> Vector6<f64> {
        let link = &self.links[index];
        let mut motion = link.motion(displacements);
        if let Some(Some(loading)) = loaded.get(index) {
            motion -= self.geometries[index].to_global(&loading.free_motion);
        }
        link.stiffness * motion
    }

    /// Loads of a member reduced to its first node, global axes.
    pub fn load_at_first_node(&self, member: usize, loading: &MemberLoading) -> Vector6<f64> {
        let at_end = self.geometries[member].to_global(&loading.resultant_at_start);
        carry(&self.frame.members[member].arms[0]).tr_mul(&at_end)
    }

    fn balance(
        &self,
        case: &LoadCase,
        loaded: &[Option<MemberLoading>],
        displacements: &[Vector6<f64>],
    ) -> Balance {
        let size = self.size();
        let mut unbalanced = vec![Vector6::zeros(); displacements.len()];
        let (mut acting, mut summed) = (0.0_f64, 0.0_f64);
        for load in &case.nodal {
            let force = stack(load.force, load.moment);
            unbalanced[load.node] += force;
            acting = acting.max(magnitude(&force, size));
        }
        for (index, link) in self.links.iter().enumerate() {
            let force = self.link_force(index, loaded, displacements);
            let [i, j] = link.nodes;
            let [gi, gj] = link.levers.map(|lever| carry(&lever));
            unbalanced[i] += gi.tr_mul(&force);
            unbalanced[j] -= gj.tr_mul(&force);
            acting = acting.max(magnitude(&force, size));
            let moved = gi.abs() * displacements[i].abs() + gj.abs() * displacements[j].abs();
            summed = summed.max(magnitude(&(link.stiffness.abs() * moved), size));
            if let Some(Some(loading)) = loaded.get(index) {
                let load = self.load_at_first_node(index, loading);
                unbalanced[i] += load;
                acting = acting.max(magnitude(&load, size));
            }
        }
        for (node, force) in self.spring_forces(displacements).iter().enumerate() {
            unbalanced[node] += force;
            acting = acting.max(magnitude(force, size));
        }
        summed = summed.max(acting);
        Balance {
            unbalanced,
            acting,
            summed,
        }
    }

    /// Forces of the support springs on the nodes.
    fn spring_forces(&self, displacements: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let mut forces = vec![Vector6::zeros(); displacements.len()];
        for support in &self.frame.supports {
            let node = support.node;
            forces[node] -= Vector6::from(support.springs).component_mul(&displacements[node]);
        }
        forces
    }

    fn improve(&self, factor: &Factor, balance: &Balance, displacements: &mut [Vector6<f64>]) {
        let mut change: Vec<Vector6<f64>> = self
            .order
            .iter()
            .map(|&node| self.free_part(node, &balance.unbalanced[node]))
            .collect();
        factor.solve(&mut change);
        for (&node, step) in self.order.iter().zip(&change) {
            displacements[node] += step;
        }
    }

    pub fn free_part(&self, node: usize, force: &Vector6<f64>) -> Vector6<f64> {
        Vector6::from_fn(|freedom, _| match self.held[node][freedom] {
            true => 0.0,
            false => force[freedom],
        })
    }

    fn largest_free(&self, balance: &Balance) -> f64 {
        let size = self.size();
        let free = |(node, force)| magnitude(&self.free_part(node, force), size);
        let all = balance.unbalanced.iter().enumerate().map(free);
        all.fold(0.0, larger)
    }

    /// What loads and reactions add up to, about the middle of the frame.
    fn resultant(
        &self,
        case: &LoadCase,
        loaded: &[Option<MemberLoading>],
        reactions: &[Vector6<f64>],
    ) -> f64 {
        let nodes = &self.frame.nodes;
        let middle =
            nodes.iter().map(|node| node.position).sum::<Vector3<f64>>() / nodes.len() as f64;
        let mut total = Vector6::zeros();
        let mut add = |node: usize, force: &Vector6<f64>| {
            total += carry(&(nodes[node].position - middle)).tr_mul(force);
        };
        for load in &case.nodal {
            add(load.node, &stack(load.force, load.moment));
        }
        for (member, loading) in loaded.iter().enumerate() {
            if let Some(loading) = loading {
                let first = self.frame.members[member].nodes[0];
                add(first, &self.load_at_first_node(member, loading));
            }
        }
        for (node, reaction) in reactions.iter().enumerate() {
            add(node, reaction);
        }
        magnitude(&total, self.size())
    }

    /// Largest extent of the frame, mm: turns moments into forces for comparison.
    pub fn size(&self) -> f64 {
        let positions = || self.frame.nodes.iter().map(|node| node.position);
        let high = positions().reduce(|a, b| a.sup(&b)).unwrap_or_default();
        let low = positions().reduce(|a, b| a.inf(&b)).unwrap_or_default();
        (high - low).max().max(f64::MIN_POSITIVE)
    }
}

/// Size of a force and moment, as a force.
pub(crate) fn magnitude(force: &Vector6<f64>, size: f64) -> f64 {
    let moment = force.fixed_rows::<3>(3).norm() / size;
    larger(force.fixed_rows::<3>(0).norm(), moment)
}

/// The larger of two, or not a number if either is.
pub(crate) fn larger(a: f64, b: f64) -> f64 {
    if a.is_nan() || b.is_nan() {
        f64::NAN
    } else {
        a.max(b)
    }
}

fn ratio(part: f64, whole: f64) -> f64 {
    if part == 0.0 { 0.0 } else { part / whole }
}

fn check_indices(frame: &Frame) -> Result<(), SolveError> {
    let unsound = |part: String, rule| Err(SolveError::Unsound { part, rule });
    let count = frame.nodes.len();
    if count == 0 {
        return unsound("the frame".into(), "has no nodes");
    }
    for node in &frame.nodes {
        if !node.position.iter().all(|x| x.is_finite()) {
            return unsound(
                format!("node '{}'", node.name),
                "has a position that is not a number",
            );
        }
    }
    for member in &frame.members {
        let part = || format!("member '{}'", member.name);
        if member.nodes.iter().any(|&node| node >= count) {
            return unsound(part(), "joins a node that does not exist");
        }
        if let Profile::Varying(sections) = &member.profile
            && !(3..=16).contains(&sections.len())
        {
            return unsound(part(), "needs 3 to 16 sections along it");
        }
    }
    for coupling in &frame.couplings {
        let part = || format!("coupling '{}'", coupling.name);
        if coupling.nodes.iter().any(|&node| node >= count) {
            return unsound(part(), "joins a node that does not exist");
        }
        if let Law::Springs(springs) = &coupling.law
            && !springs.iter().all(|k| k.is_finite() && *k >= 0.0)
        {
            return unsound(part(), "has a spring that is negative or not finite");
        }
    }
    for support in &frame.supports {
        if support.node >= count {
            return unsound("a support".into(), "stands on a node that does not exist");
        }
        if !support.springs.iter().all(|k| k.is_finite() && *k >= 0.0) {
            let part = format!("support of node '{}'", frame.nodes[support.node].name);
            return unsound(part, "has a spring that is negative or not finite");
        }
    }
    Ok(())
}

pub(crate) fn check_case(frame: &Frame, case: &LoadCase) -> Result<(), SolveError> {
    let unsound = |rule| {
        Err(SolveError::Unsound {
            part: format!("load case '{}'", case.name),
            rule,
        })
    };
    if case.nodal.iter().any(|load| load.node >= frame.nodes.len()) {
        return unsound("loads a node that does not exist");
    }
    let held = frame.held();
    for movement in &case.movements {
        if movement.node >= frame.nodes.len() || movement.freedom >= 6 {
            return unsound("moves a degree of freedom that does not exist");
        }
        if !held[movement.node][movement.freedom] {
            return unsound("moves a degree of freedom that no support holds");
        }
    }
    for load in &case.members {
        let Some(member) = frame.members.get(load.member) else {
            return unsound("loads a member that does not exist");
        };
        let length = Geometry::of(frame, member).map_or(0.0, |geometry| geometry.length);
        // A stretch may end on a member's end but for rounding.
        let along = |x: f64| (-1e-9 * length..=length * (1.0 + 1e-9)).contains(&x);
        let inside = match load.action {
            MemberAction::Point { at, .. } => along(at),
            MemberAction::Line {
                stretch: [from, to],
                ..
            } => along(from) && along(to) && from < to,
            MemberAction::StressFree { .. } => true,
        };
        if !inside {
            return unsound("loads a place that is not on its member");
        }
    }
    Ok(())
}
