//! Couplings in axes that turn with their first body.

use nalgebra::{Matrix3, Matrix6, SMatrix, Vector6};

use super::{AtEnds, Matrix3x12, Matrix12, Pose, Response, add_frame_spin};
use crate::frame::element::{Link, stack};
use crate::frame::rotation::{rotation_vector, vector_rate, vector_rate_gradient};

impl Link {
    /// Forces and tangent of a coupling when its nodes have moved. Its axes turn with its
    /// first body:
    ///
    /// ```text
    /// v = (Riᵀ (pj − pi), log(Riᵀ Rj))      W = ½ vᵀ C v
    /// ```
    ///
    /// with `pi`, `pj` the point where it acts as carried by either body.
    pub fn respond(&self, poses: [&Pose; 2]) -> Response {
        let levers = [0, 1].map(|k| poses[k].rotation * self.levers[k]);
        let moved = |k: usize| poses[k].displacement + (levers[k] - self.levers[k]);
        let axes = poses[0].rotation;
        let gap = axes.tr_mul(&(moved(1) - moved(0)));
        let turned = rotation_vector(&axes.tr_mul(&poses[1].rotation));
        let v = stack(gap, turned);
        let s = self.stiffness * v;
        let moved = poses[0].displacement.amax() + poses[1].displacement.amax();
        Response {
            energy: v.dot(&s) / 2.0,
            rounding: f64::EPSILON * self.stiffness.diagonal().fixed_rows::<3>(0).amax() * moved,
            local: s,
            axes,
            ..self.at_points(&v, &s).on_nodes(&axes, &levers)
        }
    }

    /// The part of the tangent that is linear in the force, where nothing has moved yet.
    pub fn geometric(&self, force: &Vector6<f64>) -> Matrix12 {
        let held = Link {
            stiffness: Matrix6::zeros(),
            ..*self
        };
        let at_points = held.at_points(&Vector6::zeros(), force);
        at_points
            .on_nodes(&Matrix3::identity(), &self.levers)
            .tangent
    }

    /// `δv = B δq`, `f = Bᵀ s`, `δf = Bᵀ C B δq + δBᵀ s + δωi × f`, axes of the first body.
    fn at_points(&self, v: &Vector6<f64>, s: &Vector6<f64>) -> AtEnds {
        let part = |v: &Vector6<f64>, from: usize| v.fixed_rows::<3>(from).into_owned();
        let (gap, turned) = (part(v, 0), part(v, 3));
        let (f, t) = (part(s, 0), part(s, 3));
        let rate = vector_rate(&turned);
        let mut b = SMatrix::<f64, 6, 12>::zeros();
        let one = Matrix3::identity();
        b.fixed_view_mut::<3, 3>(0, 0).copy_from(&-one);
        b.fixed_view_mut::<3, 3>(0, 3)
            .copy_from(&gap.cross_matrix());
        b.fixed_view_mut::<3, 3>(0, 6).copy_from(&one);
        b.fixed_view_mut::<3, 3>(3, 3).copy_from(&-rate);
        b.fixed_view_mut::<3, 3>(3, 9).copy_from(&rate);

        let force = b.tr_mul(s);
        let mut tangent = b.tr_mul(&(self.stiffness * b));
        let turning = vector_rate_gradient(&turned, &t) * b.rows(3, 3);
        let mut first = tangent.fixed_rows_mut::<3>(3);
        first += f.cross_matrix() * b.rows(0, 3) - turning;
        let mut second = tangent.fixed_rows_mut::<3>(9);
        second += turning;
        let mut gamma = Matrix3x12::zeros();
        gamma.fixed_view_mut::<3, 3>(0, 3).copy_from(&one);
        add_frame_spin(&mut tangent, &force, &gamma);
        AtEnds { force, tangent }
    }
}
