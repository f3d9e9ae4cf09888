//! What a solved frame tells.

use nalgebra::{Vector3, Vector6};

use super::element::{Geometry, carry};
use super::member::{Action, SectionForces, local_actions};
use super::moved::Moved;
use super::{Effort, Frame, LoadCase, Status};

/// The solution of a frame under all its load cases.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// One for each load case, in their order.
    pub cases: Vec<CaseSolution>,
    /// What each took to settle; none if every law is linear.
    pub efforts: Vec<Effort>,
    /// How sound the factorisation was.
    pub checks: Checks,
}

/// Self-checks of the factorisation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Checks {
    /// Smallest pivot over its diagonal entry; a mechanism brings it to round-off.
    pub smallest_pivot_ratio: f64,
}

/// Motions and forces under one load case.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseSolution {
    /// Name of the load case.
    pub name: String,
    /// Displacement (mm) and rotation (rad) of every node, global axes.
    pub displacements: Vec<Vector6<f64>>,
    /// Force (N) and moment (N·mm) on the second end of every member, its local axes.
    pub member_ends: Vec<Vector6<f64>>,
    /// Force (N) and moment (N·mm) of the second body on every coupling's law, its local
    /// axes: what the law puts on the first body; positive where the second body moved ahead of the first.
    pub coupling_forces: Vec<Vector6<f64>>,
    /// Force (N) and moment (N·mm) of the supports on every node, global axes.
    pub reactions: Vec<Vector6<f64>>,
    /// Largest unbalanced force on a free degree of freedom over the largest force that acts; in
    /// links so stiff that rounding leaves more than 1e-8 of that, over `|K| |u|`.
    pub residual: f64,
    /// Resultant of all loads and reactions over the largest force that acts, or
    /// would act if nothing gave way.
    pub imbalance: f64,
    /// How each coupling whose law is not linear ended, in frame order.
    pub touches: Vec<TouchState>,
    /// Where members lie now, if displacements are large: from
    /// [`follow_path`](super::follow_path). Rotations of nodes are then rotation vectors.
    pub moved: Option<Moved>,
}

/// How a coupling whose law is not linear ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchState {
    /// The coupling.
    pub coupling: usize,
    /// Whether its bodies touch, and slide.
    pub status: Status,
    /// Force with which they press on each other, N.
    pub pressure: f64,
    /// How far they have slid (or a grip has stripped) since the beginning, mm.
    pub slid: f64,
}

impl CaseSolution {
    /// Displacement of a node, mm, global axes.
    pub fn displacement(&self, node: usize) -> Vector3<f64> {
        self.displacements[node].fixed_rows::<3>(0).into_owned()
    }

    /// Rotation of a node, rad, global axes.
    pub fn rotation(&self, node: usize) -> Vector3<f64> {
        self.displacements[node].fixed_rows::<3>(3).into_owned()
    }

    /// Force of the supports on a node, N, global axes.
    pub fn reaction_force(&self, node: usize) -> Vector3<f64> {
        self.reactions[node].fixed_rows::<3>(0).into_owned()
    }

    /// Moment of the supports on a node, N·mm, global axes.
    pub fn reaction_moment(&self, node: usize) -> Vector3<f64> {
        self.reactions[node].fixed_rows::<3>(3).into_owned()
    }

    /// Section forces of a member at a distance from its first end.
    ///
    /// * `frame`, `case`: those this solution belongs to
    /// * `at`: mm, from 0 to the member's length
    ///
    /// # Panics
    /// If the member does not exist.
    pub fn section_forces(
        &self,
        frame: &Frame,
        case: &LoadCase,
        member: usize,
        at: f64,
    ) -> SectionForces {
        let (part, end) = (&frame.members[member], &self.member_ends[member]);
        // Along most members nothing acts: statics then ask for no axes.
        if case.actions_on(member).next().is_none() {
            return part.section_forces(at, frame.member_length(member), end, &[]);
        }
        let (geometry, part) = located(frame, member);
        let actions = self.actions(case, member, &geometry);
        part.section_forces(at, geometry.length, end, &actions)
    }

    /// Displacement and rotation of a member's axis at a distance from its first end,
    /// global axes, shear deformation included.
    ///
    /// * `frame`, `case`: those this solution belongs to
    /// * `at`: mm, from 0 to the member's length
    ///
    /// # Panics
    /// If the member does not exist.
    pub fn motion_along(
        &self,
        frame: &Frame,
        case: &LoadCase,
        member: usize,
        at: f64,
    ) -> Vector6<f64> {
        let (geometry, part) = located(frame, member);
        let actions = self.actions(case, member, &geometry);
        let end = &self.member_ends[member];
        let bent_at = |x: f64| part.motion_at(x, geometry.length, end, &actions);
        let bent = bent_at(at);
        if let Some(moved) = &self.moved {
            let bent = [&bent, &bent_at(geometry.length)];
            return moved.motion_along(frame, &self.displacements, member, at, bent);
        }
        let along = geometry.axes.row(0).transpose() * at;
        let rigid = carry(&(part.arms[0] + along)) * self.displacements[part.nodes[0]];
        rigid + geometry.to_global(&bent)
    }

    fn actions(&self, case: &LoadCase, member: usize, geometry: &Geometry) -> Vec<Action> {
        match &self.moved {
            Some(moved) => moved.actions(case, member, geometry),
            None => local_actions(case, member, geometry),
        }
    }
}

fn located(frame: &Frame, member: usize) -> (Geometry, &super::Member) {
    let part = &frame.members[member];
    let geometry = Geometry::of(frame, part).expect("a solved frame has sound members");
    (geometry, part)
}
