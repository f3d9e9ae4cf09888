//! A frame as equations: links, numbering, matrix, and the balance of its nodes.

use nalgebra::{Vector3, Vector6};

use super::element::{Geometry, Link, MemberLoading, local_actions, product, reduced, stack};
use super::envelope::Factor;
use super::error::SolveError;
use super::order::Numbering;
use super::solution::CaseSolution;
use super::sound;
use super::{Frame, LoadCase, Support};

/// A frame turned into links, with its numbering.
pub(crate) struct Equations<'a> {
    pub frame: &'a Frame,
    /// What holds the frame: its own supports, or others in their place.
    pub supports: &'a [Support],
    pub held: Vec<[bool; 6]>,
    /// Members first, then couplings.
    pub links: Vec<Link>,
    pub geometries: Vec<Geometry>,
    pub numbering: Numbering,
    /// Largest extent of the frame, mm.
    size: f64,
}

/// What acts on the equations.
#[derive(Clone)]
pub(crate) struct Loading {
    /// Forces and moments on the nodes, loads along members reduced to their first nodes.
    pub nodal: Vec<Vector6<f64>>,
    /// What each link would move by if its second body were free, where not nothing; global axes.
    pub free_motions: Vec<Option<Vector6<f64>>>,
    /// Prescribed movements of held degrees of freedom.
    pub movements: Vec<Vector6<f64>>,
}

impl Loading {
    /// A share of the way from one loading to another.
    pub fn between(from: &Loading, to: &Loading, share: f64) -> Self {
        let mix = |a: &Vector6<f64>, b: &Vector6<f64>| a + (b - a) * share;
        let mix_all = |a: &[Vector6<f64>], b: &[Vector6<f64>]| -> Vec<Vector6<f64>> {
            a.iter().zip(b).map(|(a, b)| mix(a, b)).collect()
        };
        let nothing = Vector6::zeros();
        Loading {
            nodal: mix_all(&from.nodal, &to.nodal),
            movements: mix_all(&from.movements, &to.movements),
            free_motions: from
                .free_motions
                .iter()
                .zip(&to.free_motions)
                .map(|(a, b)| match (a, b) {
                    (None, None) => None,
                    (a, b) => Some(mix(
                        a.as_ref().unwrap_or(&nothing),
                        b.as_ref().unwrap_or(&nothing),
                    )),
                })
                .collect(),
        }
    }
}

/// Forces on nodes, with the size of what was added up to get them.
pub(crate) struct Balance {
    /// Applied forces less internal ones.
    pub unbalanced: Vec<Vector6<f64>>,
    /// Largest force and moment (as force × frame size) among those that act.
    pub acting: f64,
    /// Force of the second body of each link on it, at its point, global axes.
    link_forces: Vec<Vector6<f64>>,
}

impl<'a> Equations<'a> {
    pub fn new(frame: &'a Frame) -> Result<Self, SolveError> {
        Self::held_by(frame, &frame.supports, &mut Vec::new())
    }

    /// The equations of a frame held by other supports than its own.
    ///
    /// * `numberings`: those that may fit; one is taken out if it does
    pub fn held_by(
        frame: &'a Frame,
        supports: &'a [Support],
        numberings: &mut Vec<Numbering>,
    ) -> Result<Self, SolveError> {
        sound::check_frame(frame)?;
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
        let mut equations = Equations {
            frame,
            supports,
            held: Vec::new(),
            links,
            geometries,
            numbering: Numbering::default(),
            size: extent(frame),
        };
        equations.hold(supports, numberings)?;
        Ok(equations)
    }

    /// Holds the frame by other supports than before.
    ///
    /// * `numberings`: those that may fit, with which the last one is put; one is taken out if it
    ///   does
    pub fn hold(
        &mut self,
        supports: &'a [Support],
        numberings: &mut Vec<Numbering>,
    ) -> Result<(), SolveError> {
        sound::check_supports(self.frame, supports)?;
        self.release(numberings);
        let count = self.frame.nodes.len();
        let held = held(count, supports);
        let joints = self
            .links
            .iter()
            .map(|link| link.nodes)
            .filter(|nodes| !nodes.iter().any(|&node| is_grounded(&held, node)));
        self.numbering = Numbering::for_joints(count, joints, numberings);
        (self.supports, self.held) = (supports, held);
        Ok(())
    }

    /// Puts the numbering with others, for frames to come.
    pub fn release(&mut self, numberings: &mut Vec<Numbering>) {
        /// As many ways as a frame is held in turn.
        const KEPT: usize = 8;
        numberings.push(std::mem::take(&mut self.numbering));
        if numberings.len() > KEPT {
            numberings.remove(0);
        }
    }

    /// A load case as it acts on the equations.
    pub fn loading(&self, case: &LoadCase) -> Result<Loading, SolveError> {
        sound::check_case(self.frame, &self.held, case)?;
        let count = self.frame.nodes.len();
        let mut loading = Loading {
            nodal: vec![Vector6::zeros(); count],
            free_motions: vec![None; self.links.len()],
            movements: vec![Vector6::zeros(); count],
        };
        for load in &case.nodal {
            loading.nodal[load.node] += stack(load.force, load.moment);
        }
        for load in &case.members {
            let index = load.member;
            if loading.free_motions[index].is_none() {
                let geometry = &self.geometries[index];
                let actions = local_actions(case, index, geometry);
                let member = self.frame.members[index].load(geometry, &actions);
                loading.free_motions[index] = Some(geometry.to_global(&member.free_motion));
                let first = self.links[index].nodes[0];
                loading.nodal[first] += self.load_at_first_node(index, &member);
            }
        }
        for tightening in &case.tightenings {
            let coupling = &self.frame.couplings[tightening.coupling];
            let mut travel = Vector6::zeros();
            let axis = tightening.axis % 3;
            let direction = coupling.axes.column(axis) * tightening.travel;
            let half = 3 * (tightening.axis / 3);
            travel.fixed_rows_mut::<3>(half).copy_from(&direction);
            let index = self.frame.members.len() + tightening.coupling;
            *loading.free_motions[index].get_or_insert_with(Vector6::zeros) += travel;
        }
        for movement in &case.movements {
            loading.movements[movement.node][movement.freedom] = movement.value;
        }
        Ok(loading)
    }

    /// Loads of a member reduced to its first node, global axes.
    pub fn load_at_first_node(&self, member: usize, loading: &MemberLoading) -> Vector6<f64> {
        let at_end = self.geometries[member].to_global(&loading.resultant_at_start);
        reduced(&self.frame.members[member].arms[0], &at_end)
    }

    /// Motion of a link less what it would move by freely, global axes.
    pub fn strained_motion(
        &self,
        index: usize,
        loading: &Loading,
        displacements: &[Vector6<f64>],
    ) -> Vector6<f64> {
        let motion = self.links[index].motion(displacements);
        match &loading.free_motions[index] {
            Some(free) => motion - free,
            None => motion,
        }
    }

    /// Force of the second body of a link on it, at its point, global axes.
    fn link_force(
        &self,
        index: usize,
        loading: &Loading,
        displacements: &[Vector6<f64>],
    ) -> Vector6<f64> {
        let link = &self.links[index];
        match link.answered {
            Some(force) => force,
            None => product(
                &link.stiffness,
                &self.strained_motion(index, loading, displacements),
            ),
        }
    }

    pub fn balance(&self, loading: &Loading, displacements: &[Vector6<f64>]) -> Balance {
        let mut unbalanced = loading.nodal.clone();
        let acts = |force: &Vector6<f64>| magnitude(force, self.size);
        let mut acting = loading.nodal.iter().map(acts).fold(0.0, f64::max);
        let at_rest = displacements.iter().all(|motion| motion.amax() == 0.0);
        let idle = |index: usize| {
            at_rest && loading.free_motions[index].is_none() && self.links[index].answered.is_none()
        };
        let link_forces: Vec<Vector6<f64>> = (0..self.links.len())
            .map(|index| match idle(index) {
                true => Vector6::zeros(),
                false => self.link_force(index, loading, displacements),
            })
            .collect();
        for (link, force) in self.links.iter().zip(&link_forces) {
            let [i, j] = link.nodes;
            unbalanced[i] += link.on_node(0, force);
            unbalanced[j] -= link.on_node(1, force);
            acting = acting.max(acts(force));
        }
        for support in self.supports {
            let force = spring_force(support, displacements);
            unbalanced[support.node] += force;
            acting = acting.max(acts(&force));
        }
        Balance {
            unbalanced,
            acting,
            link_forces,
        }
    }

    /// The largest force on a link before cancellation: `|C| (|u_i| + |u_j|)`.
    pub fn summed(&self, displacements: &[Vector6<f64>]) -> f64 {
        let of_link = |link: &Link| {
            let moved = (0..2).fold(Vector6::zeros(), |sum, k| {
                let (node, d) = (displacements[link.nodes[k]].abs(), link.levers[k].abs());
                let turn = Vector3::new(
                    d.z * node[4] + d.y * node[5],
                    d.z * node[3] + d.x * node[5],
                    d.y * node[3] + d.x * node[4],
                );
                sum + node + stack(turn, Vector3::zeros())
            });
            let mut summed = Vector6::zeros();
            for (column, moved) in link.stiffness.data.0.iter().zip(moved.iter()) {
                for (sum, stiffness) in summed.iter_mut().zip(column) {
                    *sum += stiffness.abs() * moved;
                }
            }
            magnitude(&summed, self.size)
        };
        self.links.iter().map(of_link).fold(0.0, larger)
    }

    /// The step that the unbalanced forces ask for.
    pub fn step(&self, factor: &Factor, unbalanced: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let mut steps = self.steps(factor, [unbalanced]);
        steps.pop().expect("one step for one set of forces")
    }

    /// The steps that several sets of unbalanced forces ask for.
    pub fn steps<'f>(
        &self,
        factor: &Factor,
        unbalanced: impl IntoIterator<Item = &'f [Vector6<f64>]>,
    ) -> Vec<Vec<Vector6<f64>>> {
        let order = &self.numbering.order;
        let in_order = |forces: &[Vector6<f64>]| -> Vec<Vector6<f64>> {
            let nodes = order.iter();
            let free = nodes.map(|&node| self.free_part(node, &forces[node]));
            free.collect()
        };
        let mut sides: Vec<_> = unbalanced.into_iter().map(in_order).collect();
        factor.solve_all(&mut sides);
        for side in &mut sides {
            let mut step = vec![Vector6::zeros(); side.len()];
            for (&node, part) in order.iter().zip(&*side) {
                step[node] = *part;
            }
            *side = step;
        }
        sides
    }

    pub fn free_part(&self, node: usize, force: &Vector6<f64>) -> Vector6<f64> {
        Vector6::from_fn(|freedom, _| match self.held[node][freedom] {
            true => 0.0,
            false => force[freedom],
        })
    }

    pub fn largest_free(&self, balance: &Balance) -> f64 {
        let free = |(node, force)| magnitude(&self.free_part(node, force), self.size);
        let all = balance.unbalanced.iter().enumerate().map(free);
        all.fold(0.0, larger)
    }

    /// Everything that is told of displacements in balance.
    pub fn answer(
        &self,
        name: &str,
        loading: &Loading,
        balance: &Balance,
        displacements: Vec<Vector6<f64>>,
    ) -> CaseSolution {
        let mut reactions: Vec<Vector6<f64>> = (0..displacements.len())
            .map(|node| {
                let unbalanced = balance.unbalanced[node];
                self.free_part(node, &unbalanced) - unbalanced
            })
            .collect();
        for support in self.supports {
            reactions[support.node] += spring_force(support, &displacements);
        }
        let member_count = self.frame.members.len();
        let (of_members, of_couplings) = balance.link_forces.split_at(member_count);
        CaseSolution {
            name: name.to_owned(),
            member_ends: self
                .geometries
                .iter()
                .zip(of_members)
                .map(|(geometry, force)| geometry.to_local(force))
                .collect(),
            coupling_forces: self
                .frame
                .couplings
                .iter()
                .zip(of_couplings)
                .map(|(coupling, force)| coupling.to_local(force))
                .collect(),
            residual: ratio(
                self.largest_free(balance),
                larger(self.summed(&displacements), balance.acting),
            ),
            imbalance: self.resultant(loading, &reactions),
            touches: Vec::new(),
            moved: None,
            displacements,
            reactions,
        }
    }

    /// What loads and reactions add up to, about the middle of the frame.
    fn resultant(&self, loading: &Loading, reactions: &[Vector6<f64>]) -> f64 {
        let nodes = &self.frame.nodes;
        let middle =
            nodes.iter().map(|node| node.position).sum::<Vector3<f64>>() / nodes.len() as f64;
        let total = nodes
            .iter()
            .zip(loading.nodal.iter().zip(reactions))
            .map(|(node, (load, reaction))| reduced(&(node.position - middle), &(load + reaction)))
            .sum();
        magnitude(&total, self.size)
    }

    /// Largest extent of the frame, mm: turns moments into forces for comparison.
    pub fn size(&self) -> f64 {
        self.size
    }
}

/// Whether a node is held altogether: it has no equations left that another could meet.
pub(crate) fn is_grounded(held: &[[bool; 6]], node: usize) -> bool {
    held[node] == [true; 6]
}

/// Whether each degree of freedom of each node is held by some support.
pub(crate) fn held(count: usize, supports: &[Support]) -> Vec<[bool; 6]> {
    let mut held = vec![[false; 6]; count];
    for support in supports {
        for (freedom, fixed) in support.fixed.iter().enumerate() {
            held[support.node][freedom] |= fixed;
        }
    }
    held
}

/// Force of a support's springs on its node.
fn spring_force(support: &Support, displacements: &[Vector6<f64>]) -> Vector6<f64> {
    -Vector6::from(support.springs).component_mul(&displacements[support.node])
}

/// Largest extent of a frame, mm; one if all its nodes stand at one place.
fn extent(frame: &Frame) -> f64 {
    let positions = || frame.nodes.iter().map(|node| node.position);
    let high = positions().reduce(|a, b| a.sup(&b)).unwrap_or_default();
    let low = positions().reduce(|a, b| a.inf(&b)).unwrap_or_default();
    let extent = (high - low).max();
    if extent > 0.0 { extent } else { 1.0 }
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

/// A part of a whole, nothing of nothing being nothing.
pub(crate) fn ratio(part: f64, whole: f64) -> f64 {
    if part == 0.0 { 0.0 } else { part / whole }
}
