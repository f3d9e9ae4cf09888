//! Surfaces that press, rub and part: a face, or a body in a round hole.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use super::law::{Answer, Bearing, Press, Status};

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

/// Where the second body stands against the surface.
struct Place {
    /// Depth of one surface in the other, negative when apart, mm.
    depth: f64,
    /// How depth grows with motion: the direction in which the second body presses.
    slope: Vector3<f64>,
    /// How the slope turns with motion, 1/mm.
    turning: Matrix3<f64>,
}

impl Touch {
    /// Inside half the clearance of a ring, where nothing touches, the distance from the
    /// axis is replaced by a parabola, so that a way to contact can lead across the axis.
    fn place(&self, motion: &Vector6<f64>) -> Place {
        match self.shape {
            Shape::Face { gap } => Place {
                depth: -motion[0] - gap,
                slope: -Vector3::x(),
                turning: Matrix3::zeros(),
            },
            Shape::Ring { clearance, offset } => {
                let away = Vector3::new(0.0, motion[1] + offset[0], motion[2] + offset[1]);
                let (distance, round) = (away.norm(), clearance / 2.0);
                if distance > round {
                    let slope = away / distance;
                    Place {
                        depth: distance - clearance,
                        slope,
                        turning: (across_x() - slope * slope.transpose()) / distance,
                    }
                } else {
                    Place {
                        depth: (distance * distance / round + round) / 2.0 - clearance,
                        slope: away / round,
                        turning: across_x() / round,
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

    /// Pressure, push and its stiffness across the surface, and the projection on it.
    ///
    /// ```text
    /// apart by the law itself   p = k max(0, d),  push = p n,  stiffness = k n nᵀ + p ∂n/∂v
    /// too large by e            push = k (max(0, r + e) − max(0, e − r)) n,  p = the sum
    /// ```
    fn across(
        &self,
        motion: &Vector6<f64>,
        press: Option<&Press>,
    ) -> (f64, Vector3<f64>, Matrix3<f64>, Matrix3<f64>) {
        let k = self.stiffness;
        if let (Some(excess), Shape::Ring { offset, .. }) = (self.excess(), self.shape) {
            let away = Vector3::new(0.0, motion[1] + offset[0], motion[2] + offset[1]);
            let distance = away.norm();
            let along = Vector3::x() * Vector3::x().transpose();
            if distance <= excess || distance == 0.0 {
                let both = if excess > 0.0 { 2.0 * k } else { k };
                return (2.0 * k * excess, away * both, across_x() * both, along);
            }
            let pressure = k * (distance + excess);
            let normal = away / distance;
            let radial = normal * normal.transpose();
            let stiffness = radial * k + (across_x() - radial) * (pressure / distance);
            return (pressure, normal * pressure, stiffness, along);
        }
        let place = self.place(motion);
        let press = press.copied().unwrap_or_else(|| Press::of(k, place.depth));
        let radial = place.slope * place.slope.transpose();
        (
            press.pressure,
            place.slope * press.force,
            radial * press.stiffness + place.turning * press.pressure,
            Matrix3::identity() - radial,
        )
    }

    /// ```text
    /// force      push + t,   t = ks P (v − anchor), no longer than the bound
    /// stiffness  that of the push and of t, the direction n held
    /// ```
    pub(crate) fn answer(
        &self,
        motion: &Vector6<f64>,
        anchor: &Vector6<f64>,
        bound: f64,
        press: Option<&Press>,
    ) -> Answer {
        let (pressure, mut push, mut stiffness, along) = self.across(motion, press);
        let mut answer = Answer::nothing();
        if pressure <= 0.0 && push == Vector3::zeros() {
            return answer;
        }
        answer.pressure = pressure;
        answer.status = Status::Holding;
        if bound > 0.0 {
            let trial = along * (motion - anchor).fixed_rows::<3>(0) * self.shear_stiffness;
            let size = trial.norm();
            if size <= bound {
                push += trial;
                stiffness += along * self.shear_stiffness;
            } else {
                answer.status = Status::Sliding;
                answer.slip = (size - bound) / self.shear_stiffness;
                let direction = trial / size;
                push += direction * bound;
                stiffness += (along - direction * direction.transpose())
                    * (bound * self.shear_stiffness / size);
            }
        } else if self.friction > 0.0 {
            answer.status = Status::Sliding;
        }
        answer.force.fixed_rows_mut::<3>(0).copy_from(&push);
        let mut block = answer.stiffness.fixed_view_mut::<3, 3>(0, 0);
        block.copy_from(&stiffness);
        answer
    }

    /// Where friction is at rest after a motion has settled.
    pub(crate) fn rest(&self, motion: &Vector6<f64>, answer: &Answer) -> Vector6<f64> {
        let mut rest = *motion;
        if answer.status != Status::Open && self.shear_stiffness > 0.0 {
            let (.., along) = self.across(motion, None);
            let force = answer.force.fixed_rows::<3>(0).into_owned();
            let mut places = rest.fixed_rows_mut::<3>(0);
            places -= along * force / self.shear_stiffness;
        }
        rest
    }

    /// The largest friction force at a pressure, N.
    pub(crate) fn bound(&self, pressure: f64) -> f64 {
        self.friction * pressure
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
        }
    }
}
