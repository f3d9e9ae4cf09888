//! Members after large displacements: their loads and what lies between their ends.

use nalgebra::{Matrix3, Vector3, Vector6};

use super::element::{Geometry, stack};
use super::member::{Action, local_actions};
use super::rotation::{rotation_matrix, rotation_vector, rotation_vector_near};
use super::{Frame, LoadCase};

/// Where large displacements have brought a frame's members.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// The load case acts this many times.
    pub load_factor: f64,
    /// Local axes of every member as it lies now; rows in global components.
    pub member_axes: Vec<Matrix3<f64>>,
}

impl Moved {
    /// The actions on a member, along its axes as it lies now: loads keep their direction.
    pub(crate) fn actions(
        &self,
        case: &LoadCase,
        member: usize,
        geometry: &Geometry,
    ) -> Vec<Action> {
        let turn = self.member_axes[member] * geometry.axes.transpose() * self.load_factor;
        let turned = |action| match action {
            Action::Point { at, load } => Action::Point {
                at,
                load: stack(
                    turn * load.fixed_rows::<3>(0),
                    turn * load.fixed_rows::<3>(3),
                ),
            },
            Action::Line { stretch, force } => Action::Line {
                stretch,
                force: force.map(|f| turn * f),
            },
            Action::StressFree(strain) => Action::StressFree(strain * self.load_factor),
        };
        let actions = local_actions(case, member, geometry);
        actions.into_iter().map(turned).collect()
    }

    /// Displacement and rotation vector of a member's axis, global axes.
    ///
    /// * `bent`: motions of the place and of the second end relative to the first, held there,
    ///   local axes; they bend the member between its ends, which lie where nodes put them
    pub(crate) fn motion_along(
        &self,
        frame: &Frame,
        displacements: &[Vector6<f64>],
        member: usize,
        at: f64,
        [bent, bent_end]: [&Vector6<f64>; 2],
    ) -> Vector6<f64> {
        let part = &frame.members[member];
        let rotations = part
            .nodes
            .map(|node| rotation_matrix(&displacements[node].fixed_rows::<3>(3).into_owned()));
        let [start, end] = [0, 1].map(|k| {
            let node = part.nodes[k];
            let arm = rotations[k] * part.arms[k];
            frame.nodes[node].position + displacements[node].fixed_rows::<3>(0) + arm
        });
        let first_start = frame.nodes[part.nodes[0]].position + part.arms[0];
        let first_span = frame.nodes[part.nodes[1]].position + part.arms[1] - first_start;
        let share = at / first_span.norm();

        let axes = self.member_axes[member].transpose();
        let first_axes = Geometry::of(frame, part)
            .expect("a solved frame has sound members")
            .axes
            .transpose();
        let turned = rotation_vector(&(axes.tr_mul(&rotations[0]) * first_axes));
        let across = |bent: &Vector6<f64>, x: f64| {
            bent.fixed_rows::<3>(0) + turned.cross(&Vector3::new(x, 0.0, 0.0))
        };
        let bow = across(bent, at) - across(bent_end, first_span.norm()) * share;
        let place = start + (end - start) * share + axes * Vector3::new(0.0, bow.y, bow.z);
        let rotation =
            axes * rotation_matrix(&(turned + bent.fixed_rows::<3>(3))) * first_axes.transpose();
        let near = displacements[part.nodes[0]].fixed_rows::<3>(3).into_owned();
        stack(
            place - (first_start + first_span * share),
            rotation_vector_near(&rotation, &near),
        )
    }
}
