//! Members and couplings as links: one law between the motions of two bodies at one point.
//!
//! The relative motion of the bodies of nodes `i` and `j`, seen at a point `p`, is
//!
//! ```text
//! v = G(p − xj) uj − G(p − xi) ui        G(d) = ⎡ 1  −[d]× ⎤
//!                                               ⎣ 0    1   ⎦
//! ```
//!
//! and the link answers with the force and moment `s = C (v − v0)` on body `j` at `p`.
//! Its stiffness blocks are `Gᵀ C G`: rigid motions strain nothing whatever `C` is. For
//! a coupling `C` is its law. For a member `p` is its second end and `C` the inverse of
//! the flexibility of the member held at its first end, turned to global axes.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use super::lanes::{self, Lanes};
use super::{Coupling, Frame, Member};

/// One law between two nodes.
#[derive(Debug)]
pub(crate) struct Link {
    pub nodes: [usize; 2],
    /// From each node to the point where the law acts.
    pub levers: [Vector3<f64>; 2],
    /// Global axes.
    pub stiffness: Matrix6<f64>,
    /// Force of the second body on it, global axes, for a law that is not linear; its
    /// stiffness is then the tangent.
    pub answered: Option<Vector6<f64>>,
}

/// `G(d)`: carries the motion of a node to a point of its body at `d` from it.
pub(crate) fn carry(lever: &Vector3<f64>) -> Matrix6<f64> {
    let mut g = Matrix6::identity();
    g.fixed_view_mut::<3, 3>(0, 3)
        .copy_from(&-lever.cross_matrix());
    g
}

/// `G(d)ᵀ F`: forces at a point, one in each column, reduced to a node that lies `d` behind it.
#[inline]
fn reduced_columns(lever: &Vector3<f64>, forces: &Matrix6<f64>) -> Matrix6<f64> {
    let mut reduced = *forces;
    for column in &mut reduced.data.0 {
        let [x, y, z] = [column[0], column[1], column[2]];
        column[3] += lever.y * z - lever.z * y;
        column[4] += lever.z * x - lever.x * z;
        column[5] += lever.x * y - lever.y * x;
    }
    reduced
}

/// `C G(d)`: forces for motions of the point, turned into forces for motions of the node.
#[inline]
fn carried_columns(stiffness: &Matrix6<f64>, lever: &Vector3<f64>) -> Matrix6<f64> {
    let mut carried = *stiffness;
    let [x, y, z, turned @ ..] = &mut carried.data.0;
    let (dx, dy, dz) = (lever.x, lever.y, lever.z);
    for row in 0..6 {
        let (x, y, z) = (x[row], y[row], z[row]);
        turned[0][row] += dy * z - dz * y;
        turned[1][row] += dz * x - dx * z;
        turned[2][row] += dx * y - dy * x;
    }
    carried
}

impl Link {
    /// Stiffness blocks `ii`, `ij`, `jj`; `ji` is the transpose of `ij`.
    #[inline]
    pub fn blocks(&self) -> [Matrix6<f64>; 3] {
        let [gi, gj] = &self.levers;
        let near = carried_columns(&self.stiffness, gi);
        let ii = reduced_columns(gi, &near);
        if *gj == Vector3::zeros() {
            return [ii, -reduced_columns(gi, &self.stiffness), self.stiffness];
        }
        let far = carried_columns(&self.stiffness, gj);
        [ii, -reduced_columns(gi, &far), reduced_columns(gj, &far)]
    }

    /// Relative motion of the two bodies at the link's point, global axes.
    #[inline]
    pub fn motion(&self, displacements: &[Vector6<f64>]) -> Vector6<f64> {
        let at_point = |k: usize| {
            let node = &displacements[self.nodes[k]];
            let turn = node.fixed_rows::<3>(3).into_owned();
            let moved = node.fixed_rows::<3>(0) + turn.cross(&self.levers[k]);
            stack(moved, turn)
        };
        at_point(1) - at_point(0)
    }

    /// The same in several load cases.
    #[inline(always)]
    pub fn motions<const N: usize>(&self, displacements: &[Lanes<N>]) -> Lanes<N> {
        let [first, second] = [0, 1].map(|end| {
            let node = &displacements[self.nodes[end]];
            lanes::carried(&self.levers[end], node)
        });
        let mut motion = second;
        lanes::add(&mut motion, -1.0, &first);
        motion
    }
}

/// A force and moment at a point, reduced to one that lies `lever` behind it.
#[inline]
pub(crate) fn reduced(lever: &Vector3<f64>, force: &Vector6<f64>) -> Vector6<f64> {
    let push = force.fixed_rows::<3>(0).into_owned();
    stack(push, force.fixed_rows::<3>(3) + lever.cross(&push))
}

/// A member's axes, ends and length.
#[derive(Debug)]
pub(crate) struct Geometry {
    /// Rows are the local axes in global components.
    pub axes: Matrix3<f64>,
    pub length: f64,
    /// From each node to the member's second end.
    pub levers: [Vector3<f64>; 2],
}

impl Geometry {
    /// Geometry of a member, or what is wrong with it.
    pub fn of(frame: &Frame, member: &Member) -> Result<Self, &'static str> {
        let [start, end] = [0, 1].map(|k| frame.nodes[member.nodes[k]].position + member.arms[k]);
        let span = end - start;
        let length = span.norm();
        let tiny = 1e-9 * (1.0 + start.norm().max(end.norm()));
        if length.is_nan() || length <= tiny {
            return Err("has no length");
        }
        let x = span / length;
        let z = member.up - x * member.up.dot(&x);
        let lean = z.norm();
        if lean.is_nan() || lean <= 1e-6 * member.up.norm() {
            return Err("has an up direction along itself");
        }
        let z = z / lean;
        let y = z.cross(&x);
        Ok(Geometry {
            axes: Matrix3::from_rows(&[x.transpose(), y.transpose(), z.transpose()]),
            length,
            levers: [member.arms[0] + span, member.arms[1]],
        })
    }

    /// Turns force and moment (or displacement and rotation) from local to global axes.
    #[inline]
    pub fn to_global(&self, local: &Vector6<f64>) -> Vector6<f64> {
        stack(
            turned_back(&self.axes, local, 0),
            turned_back(&self.axes, local, 3),
        )
    }

    /// The reverse of [`Geometry::to_global`].
    #[inline]
    pub fn to_local(&self, global: &Vector6<f64>) -> Vector6<f64> {
        stack(
            self.axes * global.fixed_rows::<3>(0),
            self.axes * global.fixed_rows::<3>(3),
        )
    }
}

/// `Rᵀ v` of the three rows of a six-vector from one on.
#[inline]
fn turned_back(rotation: &Matrix3<f64>, vector: &Vector6<f64>, from: usize) -> Vector3<f64> {
    let part: Vector3<f64> = vector.fixed_rows::<3>(from).into_owned();
    rotation.transpose() * part
}

#[inline]
pub(crate) fn stack(upper: Vector3<f64>, lower: Vector3<f64>) -> Vector6<f64> {
    Vector6::new(upper.x, upper.y, upper.z, lower.x, lower.y, lower.z)
}

/// `Rᵀ C R` with the rotation `R` (rows are local axes) applied to forces and moments alike, for
/// a symmetric `C`: symmetric to the last bit, so that matrix and forces agree in stiff members.
#[inline]
pub(crate) fn turn_to_global(local: &Matrix6<f64>, axes: &Matrix3<f64>) -> Matrix6<f64> {
    let mut turned = Matrix6::zeros();
    let back = axes.transpose();
    for (row, column) in [(0, 0), (3, 0), (3, 3)] {
        let block: Matrix3<f64> = local.fixed_view::<3, 3>(row, column).into();
        let block = back * block * axes;
        turned.fixed_view_mut::<3, 3>(row, column).copy_from(&block);
    }
    turned.fill_upper_triangle_with_lower_triangle();
    turned
}

impl Coupling {
    /// The coupling as a link in global axes; a law that is not linear gives nothing yet.
    pub(crate) fn link(&self, frame: &Frame) -> Link {
        Link {
            nodes: self.nodes,
            levers: self.nodes.map(|node| self.at - frame.nodes[node].position),
            stiffness: self.stiffness_to_global(&self.law.linear_stiffness()),
            answered: None,
        }
    }

    /// Turns a stiffness from the coupling's axes to global ones.
    pub(crate) fn stiffness_to_global(&self, local: &Matrix6<f64>) -> Matrix6<f64> {
        turn_to_global(local, &self.axes.transpose())
    }

    /// Turns motions or forces from global axes to the coupling's.
    pub(crate) fn to_local(&self, global: &Vector6<f64>) -> Vector6<f64> {
        stack(
            turned_back(&self.axes, global, 0),
            turned_back(&self.axes, global, 3),
        )
    }

    /// The reverse of [`Coupling::to_local`].
    pub(crate) fn to_global(&self, local: &Vector6<f64>) -> Vector6<f64> {
        stack(
            self.axes * local.fixed_rows::<3>(0),
            self.axes * local.fixed_rows::<3>(3),
        )
    }
}
