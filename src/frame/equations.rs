//! A frame as equations: links, numbering, matrix, and the balance of its nodes.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::mem::take;
use std::ops::{AddAssign, Mul};

use nalgebra::{Vector3, Vector6};

use super::element::{Geometry, Link, reduced, stack};
use super::envelope::Factor;
use super::error::SolveError;
use super::lanes::{Lanes, free_part};
use super::member::{MemberLoading, local_actions};
use super::order::Numbering;
use super::sound;
use super::{Coupling, Frame, LoadCase, Support};

/// A frame turned into links, with its numbering.
pub(crate) struct Equations<'a> {
    pub frame: &'a Frame,
    /// What holds the frame: its own supports, or others in their place.
    pub supports: &'a [Support],
    pub held: Vec<[bool; 6]>,
    /// Whether a node is held altogether in every way that the frame is held in turn.
    pub grounded: Vec<bool>,
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
    /// What links would move by if their second bodies were free, where not nothing; global axes.
    pub free_motions: BTreeMap<usize, Vector6<f64>>,
    /// Prescribed movements of held degrees of freedom, by node and freedom, where not nothing.
    pub movements: BTreeMap<(usize, usize), f64>,
}

impl Loading {
    /// A share of the way from one loading to another.
    pub fn between(from: &Loading, to: &Loading, share: f64) -> Self {
        let nodal = from.nodal.iter().zip(&to.nodal);
        Loading {
            nodal: nodal.map(|(from, to)| from + (to - from) * share).collect(),
            free_motions: mixed(&from.free_motions, &to.free_motions, share),
            movements: mixed(&from.movements, &to.movements, share),
        }
    }
}

/// A share of the way from some values to others, where one that is not there is nothing.
fn mixed<K: Ord + Copy, V>(from: &BTreeMap<K, V>, to: &BTreeMap<K, V>, share: f64) -> BTreeMap<K, V>
where
    V: Copy + Default + AddAssign + Mul<f64, Output = V>,
{
    let mut mixed = BTreeMap::new();
    for (values, weight) in [(from, 1.0 - share), (to, share)] {
        for (&key, &value) in values {
            *mixed.entry(key).or_default() += value * weight;
        }
    }
    mixed
}

/// What equations leave for others: numberings, good for any frame joined in the same way, and
/// links, good for the same frame grown by some couplings, else for their memory.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    numberings: Vec<Numbering>,
    links: Vec<Link>,
    geometries: Vec<Geometry>,
}

impl<'a> Equations<'a> {
    pub fn new(frame: &'a Frame) -> Result<Self, SolveError> {
        let mut kept = Kept::default();
        let mut equations = Self::held_in_turn(frame, &[&frame.supports], &mut kept, 0)?;
        equations.hold(&frame.supports);
        Ok(equations)
    }

    /// The equations of a frame that is to be [held](Self::hold) in some ways, in place of its
    /// own, one after another.
    ///
    /// * `known`: how many of its links, members first, are those that were kept; their laws are
    ///   linear
    pub fn held_in_turn(
        frame: &'a Frame,
        ways: &[&[Support]],
        kept: &mut Kept,
        known: usize,
    ) -> Result<Self, SolveError> {
        sound::check_frame(frame)?;
        let (mut links, mut geometries) = (take(&mut kept.links), take(&mut kept.geometries));
        links.truncate(known);
        geometries.truncate(known);
        for member in &frame.members[geometries.len()..] {
            let unsound = |rule| SolveError::Unsound {
                part: format!("member '{}'", member.name),
                rule,
            };
            let geometry = Geometry::of(frame, member).map_err(unsound)?;
            links.push(member.link(&geometry).map_err(unsound)?);
            geometries.push(geometry);
        }
        let couplings = &frame.couplings[links.len() - frame.members.len()..];
        links.extend(couplings.iter().map(|coupling| coupling.link(frame)));
        let count = frame.nodes.len();
        let mut grounded = vec![true; count];
        for way in ways {
            sound::check_supports(frame, way)?;
            for (grounded, held) in grounded.iter_mut().zip(held(count, way)) {
                *grounded &= held == [true; 6];
            }
        }
        let joints = (links.iter().map(|link: &Link| link.nodes))
            .filter(|nodes| !nodes.iter().any(|&node| grounded[node]));
        let numbering = Numbering::for_joints(count, joints, &mut kept.numberings);
        Ok(Equations {
            frame,
            supports: &[],
            held: Vec::new(),
            grounded,
            links,
            geometries,
            numbering,
            size: extent(frame),
        })
    }

    /// Holds the frame in one of its ways.
    pub fn hold(&mut self, supports: &'a [Support]) {
        self.supports = supports;
        self.held = held(self.frame.nodes.len(), supports);
    }

    /// Keeps what may serve frames to come.
    pub fn release(self, kept: &mut Kept) {
        /// As many ways as frames are joined in turn.
        const NUMBERINGS: usize = 8;
        kept.numberings.push(self.numbering);
        if kept.numberings.len() > NUMBERINGS {
            kept.numberings.remove(0);
        }
        (kept.links, kept.geometries) = (self.links, self.geometries);
    }

    /// A load case as it acts on the equations.
    pub fn loading(&self, case: &LoadCase) -> Result<Loading, SolveError> {
        sound::check_case(self.frame, &self.held, case)?;
        let count = self.frame.nodes.len();
        let mut loading = Loading {
            nodal: vec![Vector6::zeros(); count],
            free_motions: BTreeMap::new(),
            movements: BTreeMap::new(),
        };
        for load in &case.nodal {
            loading.nodal[load.node] += stack(load.force, load.moment);
        }
        for load in &case.members {
            let index = load.member;
            if let Entry::Vacant(free_motion) = loading.free_motions.entry(index) {
                let geometry = &self.geometries[index];
                let actions = local_actions(case, index, geometry);
                let member = self.frame.members[index].load(geometry, &actions);
                free_motion.insert(geometry.to_global(&member.free_motion));
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
            *loading.free_motions.entry(index).or_default() += travel;
        }
        for movement in &case.movements {
            let at = (movement.node, movement.freedom);
            loading.movements.insert(at, movement.value);
        }
        Ok(loading)
    }

    /// Load cases as they act on the equations.
    pub fn loadings(&self, cases: &[LoadCase]) -> Result<Vec<Loading>, SolveError> {
        cases.iter().map(|case| self.loading(case)).collect()
    }

    /// Loads of a member reduced to its first node, global axes.
    pub fn load_at_first_node(&self, member: usize, loading: &MemberLoading) -> Vector6<f64> {
        let at_end = self.geometries[member].to_global(&loading.resultant_at_start);
        reduced(&self.frame.members[member].arms[0], &at_end)
    }

    /// A coupling and its link.
    pub fn coupled(&self, coupling: usize) -> (&Link, &Coupling) {
        let link = self.frame.members.len() + coupling;
        (&self.links[link], &self.frame.couplings[coupling])
    }

    /// Motion of a link less what it would move by freely, global axes.
    pub fn strained_motion(
        &self,
        index: usize,
        loading: &Loading,
        displacements: &[Vector6<f64>],
    ) -> Vector6<f64> {
        let motion = self.links[index].motion(displacements);
        match loading.free_motions.get(&index) {
            Some(free) => motion - free,
            None => motion,
        }
    }

    /// The steps that unbalanced forces ask for.
    pub fn step<const N: usize>(&self, factor: &Factor, unbalanced: &[Lanes<N>]) -> Vec<Lanes<N>> {
        let order = &self.numbering.order;
        let nodes = order.iter();
        let mut sides: Vec<Lanes<N>> = nodes
            .map(|&node| free_part(&self.held[node], &unbalanced[node]))
            .collect();
        factor.solve_side_by_side(&mut sides);
        let places = self.numbering.position.iter();
        places.map(|&place| sides[place]).collect()
    }

    /// A force on a node where it is free.
    pub fn free_force(&self, node: usize, force: &Vector6<f64>) -> Vector6<f64> {
        let held = &self.held[node];
        Vector6::from_fn(|freedom, _| if held[freedom] { 0.0 } else { force[freedom] })
    }

    /// What loads and reactions add up to, about the middle of the frame.
    pub fn resultant(&self, loading: &Loading, reactions: &[Vector6<f64>]) -> f64 {
        let nodes = &self.frame.nodes;
        let middle =
            nodes.iter().map(|node| node.position).sum::<Vector3<f64>>() / nodes.len() as f64;
        let forces = loading.nodal.iter().zip(reactions);
        let forces = forces.map(|(load, reaction)| load + reaction);
        let total = (nodes.iter().zip(forces))
            .filter(|(_, force)| *force != Vector6::zeros())
            .map(|(node, force)| reduced(&(node.position - middle), &force))
            .sum();
        magnitude(&total, self.size)
    }

    /// Largest extent of the frame, mm: turns moments into forces for comparison.
    pub fn size(&self) -> f64 {
        self.size
    }
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
pub(crate) fn spring_force<const N: usize>(support: &Support, motion: &Lanes<N>) -> Lanes<N> {
    std::array::from_fn(|i| motion[i].map(|motion| -support.springs[i] * motion))
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
