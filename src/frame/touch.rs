//! Surfaces that press, rub and part: a face, or a body in a round hole.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use super::law::{Answer, Bearing, Press, Presses, Status};

/// Two surfaces that may touch: pressure `p = k max(0, depth)` across them and Coulomb
/// friction `|t| ≤ μ p` along them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// What touches what.
    pub shape: Shape,
    /// `k`: force per depth, N/mm.
    pub stiffness: f64,
    /// `μ`.
    pub friction: f64,
    /// Force per movement along the surface before it slides, N/mm.
    pub shear_stiffness: f64,
}

/// What touches what, in the coupling's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// The second body comes down on a face that looks along local `x`: `depth = −vx − gap`.
    Face {
        /// Distance to go before they touch, mm.
        gap: f64,
    },
    /// The second body lies in a round hole along local `x`: `depth = |(vy, vz) + offset| −
    /// clearance`. A body that is too large for its hole (clearance not above zero) is pressed
    /// from both sides until it has moved by what it is too large, and rubs along `x` only.
    Ring {
        /// Radius of the hole less that of the body, mm.
        clearance: f64,
        /// Where the body's axis stands against the hole's at the start, along `y` and `z`, mm.
        offset: [f64; 2],
    },
}

/// The least distance that counts as room, mm: a step of a tight fit is limited by it.
const LEAST_ROOM: f64 = 0.05;

/// Where the second body stands against the surface.
struct Place {
    /// Depth of one surface in the other, negative when apart, mm.
    depth: f64,
    /// How depth grows with motion: the direction in which the second body presses.
    slope: Vector3<f64>,
    /// Radius about which the slope turns, mm, and how much of the slope's own direction does not.
    radius: f64,
    radial: f64,
}

impl Place {
    /// How the slope turns with motion, 1/mm.
    fn turning(&self) -> Matrix3<f64> {
        (across_x() - self.slope * self.slope.transpose() * self.radial) / self.radius
    }
}

/// What a touch does across its surface.
struct Across {
    pressure: f64,
    /// The same as a step from here has to balance it.
    pressing: f64,
    /// How pressure grows with motion.
    growth: Vector3<f64>,
    push: Vector3<f64>,
    /// How the push grows with motion.
    stiffness: Matrix3<f64>,
    /// Projection on the surface.
    along: Matrix3<f64>,
    /// Direction in which the second body presses, and how it turns; nothing for a tight fit,
    /// whose surface is its axis.
    normal: Vector3<f64>,
    turning: Matrix3<f64>,
}

/// Friction, and how it grows with motion.
struct Rub {
    force: Vector3<f64>,
    /// What of the rate goes into the symmetric tangent.
    symmetric: Matrix3<f64>,
    rate: Matrix3<f64>,
    slides: bool,
    slip: f64,
}

impl Touch {
    /// Inside half the clearance of a ring, where nothing touches, the distance from the
    /// axis is replaced by a parabola, so that a way to contact can lead across the axis.
    fn place(&self, motion: &Vector6<f64>) -> Place {
        match self.shape {
            Shape::Face { gap } => Place {
                depth: -motion[0] - gap,
                slope: -Vector3::x(),
                radius: f64::INFINITY,
                radial: 0.0,
            },
            Shape::Ring { clearance, offset } => {
                let away = Vector3::new(0.0, motion[1] + offset[0], motion[2] + offset[1]);
                let (distance, round) = (away.norm(), clearance / 2.0);
                if distance > round {
                    Place {
                        depth: distance - clearance,
                        slope: away / distance,
                        radius: distance,
                        radial: 1.0,
                    }
                } else {
                    Place {
                        depth: (distance * distance / round + round) / 2.0 - clearance,
                        slope: away / round,
                        radius: round,
                        radial: 0.0,
                    }
                }
            }
        }
    }

    /// By how much a body is too large for its hole, if it is.
    fn excess(&self) -> Option<f64> {
        match self.shape {
            Shape::Ring { clearance, .. } if clearance <= 0.0 => Some(-clearance),
            _ => None,
        }
    }

    /// Over what distance across `x` the direction changes in which it presses, mm.
    pub(crate) fn room(&self, motion: &Vector6<f64>) -> f64 {
        match self.shape {
            Shape::Face { .. } => f64::INFINITY,
            Shape::Ring { clearance, offset } => {
                let away = (motion[1] + offset[0]).hypot(motion[2] + offset[1]);
                away.max(clearance).max(LEAST_ROOM)
            }
        }
    }

    /// Its one-sided part; a body too large for its hole has none.
    pub(crate) fn bearing(&self, motion: &Vector6<f64>) -> Option<Bearing> {
        if self.excess().is_some() {
            return None;
        }
        let place = self.place(motion);
        let mut direction = Vector6::zeros();
        direction.fixed_rows_mut::<3>(0).copy_from(&place.slope);
        Some(Bearing {
            depth: place.depth,
            stiffness: self.stiffness,
            direction,
        })
    }

    /// Push and pressure across the surface, if there are any.
    ///
    /// ```text
    /// apart by the law itself   p = k max(0, d),  push = p n,  stiffness = k n nᵀ + p ∂n/∂v
    /// too large by e            push = k (max(0, r + e) − max(0, e − r)) n,  p = the sum
    /// ```
    fn across(&self, motion: &Vector6<f64>, press: Option<&Press>) -> Option<Across> {
        let k = self.stiffness;
        if let (Some(excess), Shape::Ring { offset, .. }) = (self.excess(), self.shape) {
            let away = Vector3::new(0.0, motion[1] + offset[0], motion[2] + offset[1]);
            let distance = away.norm();
            let along = Vector3::x() * Vector3::x().transpose();
            let (normal, turning) = (Vector3::zeros(), Matrix3::zeros());
            if distance <= excess || distance == 0.0 {
                let both = if excess > 0.0 { 2.0 * k } else { k };
                return Some(Across {
                    pressure: 2.0 * k * excess,
                    pressing: 2.0 * k * excess,
                    growth: Vector3::zeros(),
                    push: away * both,
                    stiffness: across_x() * both,
                    along,
                    normal,
                    turning,
                });
            }
            let pressure = k * (distance + excess);
            let out = away / distance;
            let radial = out * out.transpose();
            return Some(Across {
                pressure,
                pressing: pressure,
                growth: out * k,
                push: out * pressure,
                stiffness: radial * k + (across_x() - radial) * (pressure / distance),
                along,
                normal,
                turning,
            });
        }
        if press.is_some_and(Press::is_nothing) {
            return None;
        }
        let place = self.place(motion);
        let press = press.copied().unwrap_or_else(|| Press::of(k, place.depth));
        if press.is_nothing() {
            return None;
        }
        let (radial, turning) = (place.slope * place.slope.transpose(), place.turning());
        Some(Across {
            pressure: press.pressure,
            growth: place.slope * press.stiffness,
            pressing: press.force,
            push: place.slope * press.force,
            stiffness: radial * press.stiffness + turning * press.pressure,
            along: Matrix3::identity() - radial,
            normal: place.slope,
            turning,
        })
    }

    /// ```text
    /// force      push + t,   t = ks P (v − anchor), no longer than μ p
    /// P          what lies along the surface: 1 − n nᵀ, along the hole only for a tight fit
    /// ```
    ///
    /// The part of the tangent that is not symmetric: friction grows with pressure, and its
    /// plane turns with the normal.
    pub(crate) fn answer(
        &self,
        motion: &Vector6<f64>,
        anchor: &Vector6<f64>,
        rubbing: bool,
        presses: Option<Presses>,
    ) -> Option<Answer> {
        let press = presses.map(|presses| presses(0));
        let across = self.across(motion, press.as_ref())?;
        let mut answer = Answer::nothing();
        answer.pressure = across.pressure;
        if across.pressure > 0.0 || across.push != Vector3::zeros() {
            answer.status = Status::Holding;
        }
        let (mut push, mut stiffness) = (across.push, across.stiffness);
        if rubbing && self.friction * across.pressure > 0.0 {
            let moved: Vector3<f64> = (motion - anchor).fixed_rows::<3>(0).into_owned();
            let rub = self.rub(&across, &moved, press.and_then(|press| press.friction));
            push += rub.force;
            stiffness += rub.symmetric;
            answer.friction = rub.force;
            answer.friction_rate = rub.rate;
            answer.slant = rub.rate - rub.symmetric;
            answer.slip = rub.slip;
            if rub.slides {
                answer.status = Status::Sliding;
            }
        } else if self.friction > 0.0 {
            answer.status = Status::Sliding;
        }
        answer.force.fixed_rows_mut::<3>(0).copy_from(&push);
        let mut block = answer.stiffness.fixed_view_mut::<3, 3>(0, 0);
        block.copy_from(&stiffness);
        Some(answer)
    }

    /// Friction after moving from rest.
    ///
    /// ```text
    /// w          movement from rest,   ∂t/∂v = ks (P − (n·w) ∂n/∂v − n (∂n/∂v w)ᵀ)   sticking
    /// sliding    (μ p/|t|) (1 − τ dᵀ) of that, and μ d ∂p/∂v
    /// ```
    ///
    /// * `expected`: friction that an iteration expects; gives `τ`, which is `d` without it
    fn rub(&self, across: &Across, moved: &Vector3<f64>, expected: Option<Vector3<f64>>) -> Rub {
        let (ks, normal) = (self.shear_stiffness, across.normal);
        let bound = self.friction * across.pressure;
        let trial = across.along * moved * ks;
        let symmetric = (across.along - across.turning * normal.dot(moved)) * ks;
        let rate = symmetric - normal * (across.turning * moved).transpose() * ks;
        let size = trial.norm();
        if size <= bound {
            return Rub {
                force: trial,
                symmetric,
                rate,
                slides: false,
                slip: 0.0,
            };
        }
        let direction = trial / size;
        let turned = expected.map_or(direction, |friction| {
            let share = across.along * friction / bound;
            share / share.norm().max(1.0)
        });
        let onward = Matrix3::identity() - direction * direction.transpose();
        let lagging = Matrix3::identity() - turned * direction.transpose();
        let growing = direction * across.growth.transpose() * self.friction;
        Rub {
            force: direction * (self.friction * across.pressing),
            symmetric: onward * symmetric * onward * (bound / size),
            rate: lagging * rate * (bound / size) + growing,
            slides: true,
            slip: (size - bound) / ks,
        }
    }

    /// Where friction is at rest after a motion has settled.
    pub(crate) fn rest(&self, motion: &Vector6<f64>, answer: &Answer) -> Vector6<f64> {
        let mut rest = *motion;
        if let Some(Across { along, .. }) = self.across(motion, None)
            && self.shear_stiffness > 0.0
        {
            let force = answer.force.fixed_rows::<3>(0).into_owned();
            let mut places = rest.fixed_rows_mut::<3>(0);
            places -= along * force / self.shear_stiffness;
        }
        rest
    }
}

/// Takes what lies along `x` out of a vector.
fn across_x() -> Matrix3<f64> {
    Matrix3::from_diagonal(&Vector3::new(0.0, 1.0, 1.0))
}

impl Answer {
    pub(crate) fn nothing() -> Self {
        Answer {
            force: Vector6::zeros(),
            stiffness: Matrix6::zeros(),
            pressure: 0.0,
            status: Status::Open,
            slip: 0.0,
            slant: Matrix3::zeros(),
            friction: Vector3::zeros(),
            friction_rate: Matrix3::zeros(),
        }
    }
}
