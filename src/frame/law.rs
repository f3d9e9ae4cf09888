//! What a coupling does with the relative motion of its two bodies.
//!
//! Motions are those of the second body against the first, in the coupling's axes; forces
//! are those of the second body on the law. Contact is one-sided and elastic once closed
//! (a wall gives), friction is Coulomb's with an elastic beginning.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

/// What a coupling does along its local axes.
#[derive(Debug, Clone, PartialEq)]
pub enum Law {
    /// One linear spring per axis: three in N/mm, three in N·mm/rad.
    Springs([f64; 6]),
    /// A full symmetric stiffness; forces N, moments N·mm.
    Stiffness(Box<Matrix6<f64>>),
    /// A law of its own along and about each axis.
    Axes([AxisLaw; 6]),
    /// Surfaces that press, rub and part.
    Touch(Touch),
}

/// A law along (mm, N) or about (rad, N·mm) one axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AxisLaw {
    /// Nothing.
    Free,
    /// A linear spring.
    Spring(f64),
    /// A stop ahead: `F = k max(0, v − gap)`.
    StopAhead {
        /// Stiffness once it bears.
        stiffness: f64,
        /// Travel until it bears; negative for one that presses from the start.
        gap: f64,
    },
    /// A stop behind: `F = −k max(0, −v − gap)`.
    StopBehind {
        /// Stiffness once it bears.
        stiffness: f64,
        /// Travel until it bears; negative for one that presses from the start.
        gap: f64,
    },
    /// A thread that holds elastically until it strips: `F = k (v − stripped)`, `|F| ≤ strip`.
    Grip {
        /// Stiffness while it holds.
        stiffness: f64,
        /// Force or moment at which it gives way.
        strip: f64,
    },
}

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
    /// clearance`.
    Ring {
        /// Radius of the hole less that of the body, mm.
        clearance: f64,
        /// Where the body's axis stands against the hole's at the start, along `y` and `z`, mm.
        offset: [f64; 2],
    },
}

/// Whether the bodies of a coupling touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// They do not, and the law does nothing.
    Open,
    /// They do, or the law holds.
    Holding,
    /// They do and slide, or a grip strips.
    Sliding,
}

/// What a law says to a motion, coupling axes.
pub(crate) struct Answer {
    pub force: Vector6<f64>,
    pub stiffness: Matrix6<f64>,
    pub pressure: f64,
    pub status: Status,
    /// How far it slid or stripped since the anchor, mm.
    pub slip: f64,
}

impl Law {
    /// Whether superposition holds.
    pub fn is_linear(&self) -> bool {
        match self {
            Law::Springs(_) | Law::Stiffness(_) => true,
            Law::Axes(axes) => axes
                .iter()
                .all(|axis| matches!(axis, AxisLaw::Free | AxisLaw::Spring(_))),
            Law::Touch(_) => false,
        }
    }

    /// Whether the way to a load matters.
    pub fn rubs(&self) -> bool {
        match self {
            Law::Springs(_) | Law::Stiffness(_) => false,
            Law::Axes(axes) => axes.iter().any(|axis| matches!(axis, AxisLaw::Grip { .. })),
            Law::Touch(touch) => touch.friction > 0.0,
        }
    }

    /// The stiffness of a linear law; none for one that is not linear.
    pub(crate) fn linear_stiffness(&self) -> Matrix6<f64> {
        match self {
            Law::Springs(springs) => Matrix6::from_diagonal(&Vector6::from(*springs)),
            Law::Stiffness(stiffness) => **stiffness,
            Law::Axes(axes) if self.is_linear() => {
                let spring = |axis: &AxisLaw| match axis {
                    AxisLaw::Spring(stiffness) => *stiffness,
                    _ => 0.0,
                };
                Matrix6::from_diagonal(&Vector6::from(axes.each_ref().map(spring)))
            }
            Law::Axes(_) | Law::Touch(_) => Matrix6::zeros(),
        }
    }

    /// What is wrong with its numbers.
    pub(crate) fn check(&self) -> Result<(), &'static str> {
        let sound = |k: f64| k.is_finite() && k >= 0.0;
        let all_sound = |numbers: &[f64]| match numbers.iter().all(|k| sound(*k)) {
            true => Ok(()),
            false => Err("has a stiffness, force or friction that is negative or not finite"),
        };
        match self {
            Law::Springs(springs) => match springs.iter().all(|k| sound(*k)) {
                true => Ok(()),
                false => Err("has a spring that is negative or not finite"),
            },
            Law::Stiffness(stiffness) => {
                let skew = (**stiffness - stiffness.transpose()).amax();
                match skew <= 1e-9 * stiffness.amax() && stiffness.amax().is_finite() {
                    true => Ok(()),
                    false => Err("has a stiffness that is not symmetric or not finite"),
                }
            }
            Law::Axes(axes) => {
                for axis in axes {
                    match *axis {
                        AxisLaw::Free => {}
                        AxisLaw::Spring(stiffness) => all_sound(&[stiffness])?,
                        AxisLaw::StopAhead { stiffness, gap }
                        | AxisLaw::StopBehind { stiffness, gap } => {
                            all_sound(&[stiffness, gap.abs()])?;
                        }
                        AxisLaw::Grip { stiffness, strip } => all_sound(&[stiffness, strip])?,
                    }
                }
                Ok(())
            }
            Law::Touch(touch) => {
                let [a, b] = match touch.shape {
                    Shape::Face { gap } => [gap.abs(), 0.0],
                    Shape::Ring { clearance, offset } => {
                        [clearance.abs(), offset[0].abs() + offset[1].abs()]
                    }
                };
                all_sound(&[touch.stiffness, touch.friction, touch.shear_stiffness, a, b])
            }
        }
    }

    /// What the law says to a motion.
    ///
    /// * `anchor`: the motion at which friction and grips are at rest
    /// * `bound`: the largest friction force, N
    pub(crate) fn answer(
        &self,
        motion: &Vector6<f64>,
        anchor: &Vector6<f64>,
        bound: f64,
    ) -> Answer {
        match self {
            Law::Axes(axes) => answer_along_axes(axes, motion, anchor),
            Law::Touch(touch) => touch.answer(motion, anchor, bound),
            Law::Springs(_) | Law::Stiffness(_) => {
                let stiffness = self.linear_stiffness();
                Answer {
                    force: stiffness * motion,
                    stiffness,
                    pressure: 0.0,
                    status: Status::Holding,
                    slip: 0.0,
                }
            }
        }
    }

    /// Where friction and grips are at rest after a motion has settled.
    pub(crate) fn rest(&self, motion: &Vector6<f64>, answer: &Answer) -> Vector6<f64> {
        match self {
            Law::Axes(axes) => Vector6::from_fn(|i, _| match axes[i] {
                AxisLaw::Grip { stiffness, .. } if stiffness > 0.0 => {
                    motion[i] - answer.force[i] / stiffness
                }
                _ => motion[i],
            }),
            Law::Touch(touch) => {
                let mut rest = *motion;
                if answer.status != Status::Open && touch.shear_stiffness > 0.0 {
                    let along = touch.along(motion);
                    let force = answer.force.fixed_rows::<3>(0).into_owned();
                    let held = along * force / touch.shear_stiffness;
                    let mut places = rest.fixed_rows_mut::<3>(0);
                    places -= held;
                }
                rest
            }
            Law::Springs(_) | Law::Stiffness(_) => *motion,
        }
    }
}

fn answer_along_axes(axes: &[AxisLaw; 6], motion: &Vector6<f64>, anchor: &Vector6<f64>) -> Answer {
    let mut answer = Answer {
        force: Vector6::zeros(),
        stiffness: Matrix6::zeros(),
        pressure: 0.0,
        status: Status::Open,
        slip: 0.0,
    };
    for (i, axis) in axes.iter().enumerate() {
        let v = motion[i];
        let (force, stiffness, stripped) = match *axis {
            AxisLaw::Free => (0.0, 0.0, 0.0),
            AxisLaw::Spring(k) => (k * v, k, 0.0),
            AxisLaw::StopAhead { stiffness: k, gap } if v > gap => (k * (v - gap), k, 0.0),
            AxisLaw::StopBehind { stiffness: k, gap } if v < -gap => (k * (v + gap), k, 0.0),
            AxisLaw::StopAhead { .. } | AxisLaw::StopBehind { .. } => (0.0, 0.0, 0.0),
            AxisLaw::Grip {
                stiffness: k,
                strip,
            } => {
                let trial = k * (v - anchor[i]);
                match trial.abs() <= strip {
                    true => (trial, k, 0.0),
                    false => (strip.copysign(trial), 0.0, (trial.abs() - strip) / k),
                }
            }
        };
        answer.force[i] = force;
        answer.stiffness[(i, i)] = stiffness;
        let is_stop = matches!(axis, AxisLaw::StopAhead { .. } | AxisLaw::StopBehind { .. });
        if is_stop && i < 3 {
            answer.pressure = answer.pressure.max(force.abs());
        }
        if stripped > 0.0 {
            answer.status = Status::Sliding;
            if i < 3 {
                answer.slip += stripped;
            }
        } else if force != 0.0 && answer.status == Status::Open {
            answer.status = Status::Holding;
        }
    }
    answer
}

impl Touch {
    /// Depth of one surface in the other (negative when apart), the direction in which the
    /// second body presses, and how fast that direction turns (1/mm).
    fn depth(&self, motion: &Vector6<f64>) -> (f64, Vector3<f64>, f64) {
        match self.shape {
            Shape::Face { gap } => (-motion[0] - gap, -Vector3::x(), 0.0),
            Shape::Ring { clearance, offset } => {
                let away = Vector3::new(0.0, motion[1] + offset[0], motion[2] + offset[1]);
                let distance = away.norm();
                match distance > 0.0 {
                    true => (distance - clearance, away / distance, 1.0 / distance),
                    false => (-clearance, Vector3::y(), 0.0),
                }
            }
        }
    }

    /// Takes what lies across the surface out of a movement.
    fn along(&self, motion: &Vector6<f64>) -> Matrix3<f64> {
        let (_, normal, _) = self.depth(motion);
        Matrix3::identity() - normal * normal.transpose()
    }

    /// ```text
    /// force      k d n + t,   t = ks P (v − anchor), no longer than the bound
    /// stiffness  k n nᵀ + (k d / r)(I − n nᵀ) across the axis + that of t, n held
    /// ```
    fn answer(&self, motion: &Vector6<f64>, anchor: &Vector6<f64>, bound: f64) -> Answer {
        let (depth, normal, turning) = self.depth(motion);
        if depth <= 0.0 {
            return Answer {
                force: Vector6::zeros(),
                stiffness: Matrix6::zeros(),
                pressure: 0.0,
                status: Status::Open,
                slip: 0.0,
            };
        }
        let pressure = self.stiffness * depth;
        let across = normal * normal.transpose();
        let mut push = normal * pressure;
        let mut stiffness = across * self.stiffness;
        if turning > 0.0 {
            let axis = Vector3::x() * Vector3::x().transpose();
            stiffness += (Matrix3::identity() - across - axis) * (pressure * turning);
        }

        let (mut status, mut slip) = (Status::Holding, 0.0);
        if bound > 0.0 {
            let along = Matrix3::identity() - across;
            let trial = along * (motion - anchor).fixed_rows::<3>(0) * self.shear_stiffness;
            let size = trial.norm();
            if size <= bound {
                push += trial;
                stiffness += along * self.shear_stiffness;
            } else {
                status = Status::Sliding;
                slip = (size - bound) / self.shear_stiffness;
                let direction = trial / size;
                push += direction * bound;
                stiffness += (along - direction * direction.transpose())
                    * (bound * self.shear_stiffness / size);
            }
        } else if self.friction > 0.0 {
            status = Status::Sliding;
        }
        let mut answer = Answer {
            force: Vector6::zeros(),
            stiffness: Matrix6::zeros(),
            pressure,
            status,
            slip,
        };
        answer.force.fixed_rows_mut::<3>(0).copy_from(&push);
        let mut block = answer.stiffness.fixed_view_mut::<3, 3>(0, 0);
        block.copy_from(&stiffness);
        answer
    }

    /// The largest friction force at a pressure, N.
    pub(crate) fn bound(&self, pressure: f64) -> f64 {
        self.friction * pressure
    }
}
