//! Members and couplings whose nodes move and turn as far as they like.
//!
//! A member is described in a frame that moves with it, in which it deforms as the linear
//! member does. Local `x` is the chord between its ends, and `y` and `z` lean evenly to
//! those carried by the two ends. Its deformations and energy are
//!
//! ```text
//! d = (l − L, θa, θb)      θa, θb: rotation vectors of the ends in the moving frame
//! v = (l − L + ½ dᵀ H d,  −L θaz,  L θay,  θb − θa)
//! W = ½ (v − v0)ᵀ C (v − v0)
//! ```
//!
//! with `C` the stiffness of the linear member, `v0` its stress-free motion, and `H` the
//! [bowing](member::bowing). Forces and tangent are the exact derivatives of `W` by
//! translations and spins. The tangent by spins is symmetric only where the moments at a
//! node balance; what is assembled is its symmetric part, which is the second derivative
//! of the energy along `exp(ω) R`. An applied moment that keeps its direction has no
//! energy; its share in the tangent is skew, and brought back by iteration.
//!
//! Sources: Crisfield, *Comput. Methods Appl. Mech. Engrg.* 81 (1990) 131–150; Battini &
//! Pacoste, the same 191 (2002) 1755–1789 (both from memory).

mod coupling;
mod member;
#[cfg(test)]
mod tests;

pub(crate) use member::Beam;

use nalgebra::{Matrix3, Matrix6, SMatrix, SVector, Vector3, Vector6};

use super::element::carry;
use super::rotation::{rotation_matrix, rotation_vector_near};

type Vector12 = SVector<f64, 12>;
type Matrix3x12 = SMatrix<f64, 3, 12>;
pub(crate) type Matrix12 = SMatrix<f64, 12, 12>;

/// Where a node has got to.
#[derive(Debug, Clone)]
pub(crate) struct Pose {
    /// Displacement, mm.
    pub displacement: Vector3<f64>,
    /// How its body has turned.
    pub rotation: Matrix3<f64>,
    /// The same as a vector, whole turns counted, rad.
    pub rotation_vector: Vector3<f64>,
}

impl Pose {
    /// Where a node starts.
    pub fn start() -> Self {
        Pose {
            displacement: Vector3::zeros(),
            rotation: Matrix3::identity(),
            rotation_vector: Vector3::zeros(),
        }
    }

    /// Moves by a translation and a spin, global axes.
    pub fn advance(&mut self, step: &Vector6<f64>) {
        self.displacement += step.fixed_rows::<3>(0);
        let spin = step.fixed_rows::<3>(3).into_owned();
        self.rotation = rotation_matrix(&spin) * self.rotation;
        self.rotation_vector = rotation_vector_near(&self.rotation, &(self.rotation_vector + spin));
    }
}

/// What a link answers when its nodes have moved.
#[derive(Clone)]
pub(crate) struct Response {
    /// Forces the nodes must exert on it, global axes: first node, second node.
    pub force: Vector12,
    /// Derivative of `force` by translations and spins, not symmetrised.
    pub tangent: Matrix12,
    /// Strain energy, N·mm.
    pub energy: f64,
    /// What rounding of the displacements leaves in `force`, N.
    pub rounding: f64,
    /// Force and moment on a member's second end in its moving frame, or of a coupling's
    /// law along the axes of its first body.
    pub local: Vector6<f64>,
    /// Columns are the axes of `local` in global components.
    pub axes: Matrix3<f64>,
}

impl Response {
    /// Before anything has moved.
    pub fn none() -> Self {
        Response {
            force: Vector12::zeros(),
            tangent: Matrix12::zeros(),
            energy: 0.0,
            rounding: 0.0,
            local: Vector6::zeros(),
            axes: Matrix3::identity(),
        }
    }

    /// Force on the first (0) or the second (1) node.
    pub fn force_on(&self, end: usize) -> Vector6<f64> {
        self.force.fixed_rows::<6>(6 * end).into_owned()
    }
}

/// Blocks `ii`, `ij`, `jj` of the symmetric part.
pub(crate) fn symmetric_blocks(tangent: &Matrix12) -> [Matrix6<f64>; 3] {
    let half = (tangent + tangent.transpose()) * 0.5;
    [(0, 0), (0, 6), (6, 6)].map(|(i, j)| half.fixed_view::<6, 6>(i, j).into_owned())
}

/// Forces at two points of a link and their derivative, in the link's moving frame.
struct AtEnds {
    force: Vector12,
    tangent: Matrix12,
}

/// Adds `δωE × f` for a frame that spins by `δωE = Γ δq`.
fn add_frame_spin(tangent: &mut Matrix12, force: &Vector12, gamma: &Matrix3x12) {
    for from in [0, 3, 6, 9] {
        let cross = force.fixed_rows::<3>(from).into_owned().cross_matrix();
        let mut rows = tangent.fixed_rows_mut::<3>(from);
        rows -= cross * gamma;
    }
}

impl AtEnds {
    /// Turns to global axes and carries to the nodes along arms that turn with them.
    fn on_nodes(&self, axes: &Matrix3<f64>, arms: &[Vector3<f64>; 2]) -> Response {
        let mut turn = Matrix12::zeros();
        for from in [0, 3, 6, 9] {
            turn.fixed_view_mut::<3, 3>(from, from).copy_from(axes);
        }
        let force = turn * self.force;
        let mut reach = Matrix12::identity();
        for (from, arm) in [0, 6].into_iter().zip(arms) {
            reach
                .fixed_view_mut::<6, 6>(from, from)
                .copy_from(&carry(arm));
        }
        let onto = turn.tr_mul(&reach);
        let mut tangent = onto.tr_mul(&(self.tangent * onto));
        for (from, arm) in [0, 6].into_iter().zip(arms) {
            let f = force.fixed_rows::<3>(from).into_owned();
            let mut own = tangent.fixed_view_mut::<3, 3>(from + 3, from + 3);
            own += f.cross_matrix() * arm.cross_matrix();
        }
        Response {
            force: reach.tr_mul(&force),
            tangent,
            ..Response::none()
        }
    }
}
