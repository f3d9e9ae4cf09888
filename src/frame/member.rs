//! Members between their ends: stiffness as a cantilever, loads along them, section forces.

use std::ops::{Add, Neg};

use nalgebra::{Matrix6, Vector3, Vector6};

use super::element::{Geometry, Link, stack, turn_to_global};
use super::profile::SectionFlexibilities;
use super::quadrature::lobatto;
use super::{LoadAxes, LoadCase, Member, MemberAction};

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
