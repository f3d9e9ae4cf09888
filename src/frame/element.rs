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

use std::ops::{Add, Neg};

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use super::lanes::{self, Lanes};
use super::profile::SectionFlexibilities;
use super::quadrature::lobatto;
use super::{Coupling, Frame, LoadAxes, LoadCase, Member, MemberAction};

/// Force and moment on a cut, local axes: N, N·mm. See the [module](super) for signs.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SectionForces {
    /// Axial force, positive in tension, N.
    pub axial: f64,
    /// Shear force along local `y`, N.
    pub shear_y: f64,
    /// Shear force along local `z`, N.
    pub shear_z: f64,
    /// Torque about local `x`, N·mm.
    pub torque: f64,
    /// Bending moment about local `y`, N·mm.
    pub moment_y: f64,
    /// Bending moment about local `z`, N·mm.
    pub moment_z: f64,
}

impl SectionForces {
    /// Resultant bending moment, N·mm.
    pub fn bending(&self) -> f64 {
        self.moment_y.hypot(self.moment_z)
    }

    /// Resultant of bending moment and torque, N·mm.
    pub fn resultant_moment(&self) -> f64 {
        self.bending().hypot(self.torque)
    }

    fn from_vector(s: Vector6<f64>) -> Self {
        SectionForces {
            axial: s[0],
            shear_y: s[1],
            shear_z: s[2],
            torque: s[3],
            moment_y: s[4],
            moment_z: s[5],
        }
    }
}

impl Add for SectionForces {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        SectionForces {
            axial: self.axial + other.axial,
            shear_y: self.shear_y + other.shear_y,
            shear_z: self.shear_z + other.shear_z,
            torque: self.torque + other.torque,
            moment_y: self.moment_y + other.moment_y,
            moment_z: self.moment_z + other.moment_z,
        }
    }
}

impl Neg for SectionForces {
    type Output = Self;

    fn neg(self) -> Self {
        SectionForces {
            axial: -self.axial,
            shear_y: -self.shear_y,
            shear_z: -self.shear_z,
            torque: -self.torque,
            moment_y: -self.moment_y,
            moment_z: -self.moment_z,
        }
    }
}

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

    /// A force at the link's point, reduced to its first (0) or second (1) node.
    #[inline]
    pub fn on_node(&self, which: usize, force: &Vector6<f64>) -> Vector6<f64> {
        reduced(&self.levers[which], force)
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
fn turn_to_global(local: &Matrix6<f64>, axes: &Matrix3<f64>) -> Matrix6<f64> {
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

impl Member {
    /// The member as a link in global axes.
    pub(crate) fn link(&self, geometry: &Geometry) -> Result<Link, &'static str> {
        Ok(Link {
            nodes: self.nodes,
            levers: geometry.levers,
            stiffness: turn_to_global(&self.stiffness(geometry)?, &geometry.axes),
            answered: None,
        })
    }

    /// Stiffness of its second end while its first is held, local axes.
    pub(crate) fn stiffness(&self, geometry: &Geometry) -> Result<Matrix6<f64>, &'static str> {
        let flexibility = self.profile.flexibility(&self.moduli, geometry.length);
        flexibility
            .inverse()
            .ok_or("has a section or moduli without positive stiffness")
    }

    /// What the actions of a load case do to this member, held at its first end and
    /// free at its second, local axes.
    pub(crate) fn load(&self, geometry: &Geometry, actions: &[Action]) -> MemberLoading {
        let mut resultant = Vector6::zeros();
        for action in actions {
            resultant += action.beyond(0.0);
        }
        MemberLoading {
            free_motion: self.motion_at(
                geometry.length,
                geometry.length,
                &Vector6::zeros(),
                actions,
            ),
            resultant_at_start: resultant,
        }
    }

    /// Motion of the point at `at`, relative to the first end, local axes:
    ///
    /// ```text
    /// v = ∫₀ᵃᵗ b(x)ᵀ (f s(x) + e₀) dx
    /// ```
    ///
    /// with `b(x)` the section forces at `x` for unit forces at the point, `f` the section
    /// flexibility and `e₀` the stress-free strains.
    ///
    /// * `end`: section forces at the second end, local axes
    pub(crate) fn motion_at(
        &self,
        at: f64,
        length: f64,
        end: &Vector6<f64>,
        actions: &[Action],
    ) -> Vector6<f64> {
        let free = stress_free(actions);
        let mut cuts: Vec<f64> = actions.iter().flat_map(Action::breaks).collect();
        cuts.extend([0.0, at]);
        cuts.retain(|cut| (0.0..=at).contains(cut));
        cuts.sort_by(f64::total_cmp);
        let mut motion = Vector6::zeros();
        // Section forces are cubic at most and the arm is linear: with a flexibility of degree `n`
        // the integrand is of degree `n + 4`, which the rule meets with `(n + 7) / 2` points.
        let sections = SectionFlexibilities::of(&self.profile, &self.moduli);
        let rule = lobatto((sections.degree() + 7).div_ceil(2));
        for piece in cuts.windows(2) {
            let span = piece[1] - piece[0];
            if span <= 0.0 {
                continue;
            }
            for (position, weight) in rule {
                let x = piece[0] + span * position;
                let inside = piece[0] + span * position.clamp(1e-12, 1.0 - 1e-12);
                let forces = forces_at(inside, length, end, actions);
                let strain = sections.at(x / length).strain(&forces) + free;
                motion += pull_back(at - x, &strain) * (span * weight);
            }
        }
        motion
    }

    /// Strains and curvatures of the section at `x` for forces at the second end alone.
    pub(crate) fn strain_at(&self, x: f64, length: f64, end: &Vector6<f64>) -> Vector6<f64> {
        let sections = SectionFlexibilities::of(&self.profile, &self.moduli);
        let section = sections.at(x / length);
        section.strain(&push_forward(length - x, end))
    }

    /// Section forces at `x` from the member's first end.
    pub(crate) fn section_forces(
        &self,
        x: f64,
        length: f64,
        end: &Vector6<f64>,
        actions: &[Action],
    ) -> SectionForces {
        SectionForces::from_vector(forces_at(x, length, end, actions))
    }
}

/// What loads along a member do to it as a cantilever held at its first end.
pub(crate) struct MemberLoading {
    /// Motion of its second end, local axes.
    pub free_motion: Vector6<f64>,
    /// All its loads, reduced to its first end, local axes.
    pub resultant_at_start: Vector6<f64>,
}

/// `s(x) = b(x) s(L) + loads beyond x`.
fn forces_at(x: f64, length: f64, end: &Vector6<f64>, actions: &[Action]) -> Vector6<f64> {
    let mut forces = push_forward(length - x, end);
    for action in actions {
        forces += action.beyond(x);
    }
    forces
}

/// Force and moment at a point, carried by statics to `arm` nearer the first end.
#[inline]
fn push_forward(arm: f64, s: &Vector6<f64>) -> Vector6<f64> {
    Vector6::new(s[0], s[1], s[2], s[3], s[4] - arm * s[2], s[5] + arm * s[1])
}

/// Motion at a point `arm` beyond a section that strains by `e`: the transpose of
/// [`push_forward`].
#[inline]
fn pull_back(arm: f64, e: &Vector6<f64>) -> Vector6<f64> {
    Vector6::new(e[0], e[1] + arm * e[5], e[2] - arm * e[4], e[3], e[4], e[5])
}

/// A [`MemberAction`] in local axes.
#[derive(Clone, Copy)]
pub(crate) enum Action {
    Point {
        at: f64,
        load: Vector6<f64>,
    },
    Line {
        stretch: [f64; 2],
        force: [Vector3<f64>; 2],
    },
    StressFree(Vector6<f64>),
}

/// The actions of a load case on a member, in its local axes.
pub(crate) fn local_actions(case: &LoadCase, member: usize, geometry: &Geometry) -> Vec<Action> {
    let turn = |axes: LoadAxes, v: Vector3<f64>| match axes {
        LoadAxes::Global => geometry.axes * v,
        LoadAxes::Local => v,
    };
    // A place may lie off the member's ends by rounding.
    let on_member = |x: f64| x.clamp(0.0, geometry.length);
    case.actions_on(member)
        .map(|action| match *action {
            MemberAction::Point {
                at,
                force,
                moment,
                axes,
            } => Action::Point {
                at: on_member(at),
                load: stack(turn(axes, force), turn(axes, moment)),
            },
            MemberAction::Line {
                stretch,
                force,
                axes,
            } => Action::Line {
                stretch: stretch.map(on_member),
                force: force.map(|f| turn(axes, f)),
            },
            MemberAction::StressFree {
                strain,
                curvature_y,
                curvature_z,
            } => Action::StressFree(Vector6::new(
                strain,
                0.0,
                0.0,
                0.0,
                curvature_y,
                curvature_z,
            )),
        })
        .collect()
}

fn stress_free(actions: &[Action]) -> Vector6<f64> {
    actions
        .iter()
        .map(|action| match action {
            Action::StressFree(strain) => *strain,
            _ => Vector6::zeros(),
        })
        .sum()
}

impl Action {
    /// Places where the section forces it causes are not smooth.
    pub(crate) fn breaks(&self) -> Vec<f64> {
        match self {
            Action::Point { at, .. } => vec![*at],
            Action::Line { stretch, .. } => stretch.to_vec(),
            Action::StressFree(_) => Vec::new(),
        }
    }

    /// Force and moment about the section at `x` of the part of the load beyond it.
    fn beyond(&self, x: f64) -> Vector6<f64> {
        match self {
            Action::Point { at, load } if *at >= x => push_forward(at - x, load),
            Action::Line {
                stretch: [from, to],
                force,
            } if *to > x => {
                let near = from.max(x);
                let at_near = force[0] + (force[1] - force[0]) * ((near - from) / (to - from));
                let span = to - near;
                let total = (at_near + force[1]) * (span / 2.0);
                // ∫ η w dη over the span, η from its near end.
                let first_moment = (at_near / 6.0 + force[1] / 3.0) * (span * span);
                let moment = total * (near - x) + first_moment;
                Vector6::new(total.x, total.y, total.z, 0.0, -moment.z, moment.y)
            }
            _ => Vector6::zeros(),
        }
    }
}
