//! Frames held so that balance alone tells the reactions. However such a frame is held, its parts
//! strain alike: one factorisation serves all ways, and what differs is a rigid motion.

use std::mem::take;

use nalgebra::{Matrix6, Vector3, Vector6};

use super::element::{reduced, stack};
use super::equations::{Loading, held};
use super::{CaseSolution, Frame, Support};

/// Supports whose reactions hang together less well than this, largest over smallest, are left to
/// a factorisation of their own. Assumption: six digits of sixteen may be lost.
const WORST_CONDITION: f64 = 1e6;

/// A way of holding a frame with six reactions that balance alone tells.
pub(crate) struct Determinate {
    /// Nodes and degrees of freedom that are held.
    held: Vec<(usize, usize)>,
    /// About which moments are taken.
    middle: Vector3<f64>,
    /// What reactions at the held degrees of freedom, in order, add up to, inverted.
    inverse: Matrix6<f64>,
}

impl Determinate {
    /// None if the supports hold more or less than that, or give way.
    pub fn of(frame: &Frame, supports: &[Support]) -> Option<Self> {
        if supports.iter().any(|support| support.springs != [0.0; 6]) {
            return None;
        }
        let freedoms = held(frame.nodes.len(), supports);
        let of_node = |(node, held): (usize, &[bool; 6])| {
            let held = *held;
            (0..6).filter(move |&i| held[i]).map(move |i| (node, i))
        };
        let held: Vec<(usize, usize)> = freedoms.iter().enumerate().flat_map(of_node).collect();
        if held.len() != 6 {
            return None;
        }
        let positions = || frame.nodes.iter().map(|node| node.position);
        let middle = positions().sum::<Vector3<f64>>() / frame.nodes.len() as f64;
        let mut resultants = Matrix6::zeros();
        for (mut column, &(node, freedom)) in resultants.column_iter_mut().zip(&held) {
            column.copy_from(&carried_to(&middle, frame, node, &unit(freedom)));
        }
        let inverse = resultants.try_inverse()?;
        let size = positions()
            .map(|at| (at - middle).norm())
            .fold(1.0, f64::max);
        let scale = Vector6::new(1.0, 1.0, 1.0, size, size, size);
        let condition = |matrix: &Matrix6<f64>, other: &Matrix6<f64>| matrix.norm() * other.norm();
        let scaled = Matrix6::from_diagonal(&scale.map(|entry| 1.0 / entry)) * resultants;
        let unscaled = inverse * Matrix6::from_diagonal(&scale);
        (condition(&scaled, &unscaled) < WORST_CONDITION).then_some(Determinate {
            held,
            middle,
            inverse,
        })
    }

    /// Reactions to a loading, in the order of what is held.
    fn reactions(&self, frame: &Frame, loading: &Loading) -> Vector6<f64> {
        let loads = loading.nodal.iter().enumerate();
        let total: Vector6<f64> = loads
            .filter(|(_, load)| **load != Vector6::zeros())
            .map(|(node, load)| carried_to(&self.middle, frame, node, load))
            .sum();
        self.inverse * -total
    }

    /// Puts reactions as loads and moves nothing: such a loading balances itself, however the frame
    /// is held.
    pub fn set_free(&self, frame: &Frame, loading: &mut Loading) -> SetFree {
        let reactions = self.reactions(frame, loading);
        let movements = take(&mut loading.movements);
        for (&(node, freedom), reaction) in self.held.iter().zip(&reactions) {
            loading.nodal[node][freedom] += reaction;
        }
        let movements = self.held.iter().map(|at| movements.get(at));
        SetFree {
            movements: Vector6::from_iterator(movements.map(|at| at.copied().unwrap_or_default())),
            reactions,
        }
    }

    /// Puts the solution of a loading that was [set free](Self::set_free) where this way holds it.
    pub fn hold(&self, frame: &Frame, set_free: &SetFree, solution: &mut CaseSolution) {
        let held = || self.held.iter().zip(&set_free.movements);
        let apart = held()
            .map(|(&(node, freedom), movement)| movement - solution.displacements[node][freedom]);
        let apart = Vector6::from_iterator(apart);
        // By virtual work: what reactions add up to, read the other way.
        let rigid = self.inverse.tr_mul(&apart);
        let [shift, turn] = [0, 3].map(|from| rigid.fixed_rows::<3>(from).into_owned());
        for (motion, node) in solution.displacements.iter_mut().zip(&frame.nodes) {
            *motion += stack(shift + turn.cross(&(node.position - self.middle)), turn);
        }
        for (&(node, freedom), movement) in held() {
            solution.displacements[node][freedom] = *movement;
        }
        solution.reactions.fill(Vector6::zeros());
        for (&(node, freedom), reaction) in self.held.iter().zip(&set_free.reactions) {
            solution.reactions[node][freedom] = *reaction;
        }
    }
}

/// What a way of holding asks for under a loading, in the order of what it holds.
pub(crate) struct SetFree {
    movements: Vector6<f64>,
    reactions: Vector6<f64>,
}

fn unit(freedom: usize) -> Vector6<f64> {
    let mut unit = Vector6::zeros();
    unit[freedom] = 1.0;
    unit
}

/// A force on a node, reduced to the middle.
fn carried_to(
    middle: &Vector3<f64>,
    frame: &Frame,
    node: usize,
    force: &Vector6<f64>,
) -> Vector6<f64> {
    reduced(&(frame.nodes[node].position - middle), force)
}
