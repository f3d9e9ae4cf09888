//! What a coupling does with the relative motion of its two bodies.
//!
//! Motions are those of the second body against the first, in the coupling's axes; forces
//! are those of the second body on the law. Contact is one-sided and elastic once closed
//! (a wall gives), friction is Coulomb's with an elastic beginning.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use super::touch::{Shape, Touch};

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

/// A one-sided part of a law: presses with `k depth` once its depth is above zero.
pub(crate) struct Bearing {
    pub depth: f64,
    pub stiffness: f64,
    /// How depth grows with motion, coupling axes.
    pub direction: Vector6<f64>,
}

/// How a one-sided part presses.
#[derive(Clone, Copy)]
pub(crate) struct Press {
    /// Force along its direction that a step from here has to balance, N.
    pub force: f64,
    /// How fast that grows with depth, N/mm.
    pub stiffness: f64,
    /// The force itself, N: bounds friction, and turns with the direction.
    pub pressure: f64,
    /// Friction to expect, coupling axes, N; as it is at the motion if none.
    pub friction: Option<Vector3<f64>>,
}

impl Press {
    /// As the law itself has it.
    pub fn of(stiffness: f64, depth: f64) -> Self {
        match depth > 0.0 {
            true => Press {
                force: stiffness * depth,
                stiffness,
                pressure: stiffness * depth,
                friction: None,
            },
            false => Press::NOTHING,
        }
    }

    pub fn is_nothing(&self) -> bool {
        self.force == 0.0 && self.stiffness == 0.0 && self.pressure == 0.0
    }

    pub const NOTHING: Press = Press {
        force: 0.0,
        stiffness: 0.0,
        pressure: 0.0,
        friction: None,
    };
}

/// How a one-sided part presses: which coupling, which part of it.
pub(crate) type Pressing = ((usize, usize), Press);

/// How each one-sided part of a law presses.
pub(crate) type Presses<'a> = &'a dyn Fn(usize) -> Press;

/// What a law says to a motion, coupling axes.
pub(crate) struct Answer {
    pub force: Vector6<f64>,
    pub stiffness: Matrix6<f64>,
    pub pressure: f64,
    pub status: Status,
    /// How far it slid or stripped since the anchor, mm.
    pub slip: f64,
    /// What the tangent has beside its symmetric part `stiffness`, displacements only.
    pub slant: Matrix3<f64>,
    /// Friction, N, and how it grows with displacement.
    pub friction: Vector3<f64>,
    pub friction_rate: Matrix3<f64>,
}

impl Answer {
    /// How the force grows with motion.
    pub fn tangent(&self) -> Matrix6<f64> {
        let mut tangent = self.stiffness;
        let mut displacements = tangent.fixed_view_mut::<3, 3>(0, 0);
        displacements += self.slant;
        tangent
    }
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

    /// Its one-sided parts at a motion: a stop in its axis's place, a surface in the first.
    pub(crate) fn bearings(&self, motion: &Vector6<f64>) -> impl Iterator<Item = (usize, Bearing)> {
        let (axes, touch) = match self {
            Law::Springs(_) | Law::Stiffness(_) => (None, None),
            Law::Axes(axes) => (Some(axes), None),
            Law::Touch(touch) => (None, Some(touch)),
        };
        let stops = axes.into_iter().flatten().enumerate();
        let stops = stops.filter_map(|(i, axis)| Some((i, axis.bearing(i, motion[i])?)));
        let surface = touch.and_then(|touch| Some((0, touch.bearing(motion)?)));
        stops.chain(surface)
    }

    /// Over what distance across `x` the directions change in which it presses, mm.
    pub(crate) fn room(&self, motion: &Vector6<f64>) -> f64 {
        match self {
            Law::Touch(touch) => touch.room(motion),
            Law::Springs(_) | Law::Stiffness(_) | Law::Axes(_) => f64::INFINITY,
        }
    }

    /// What the law says to a motion, if anything.
    ///
    /// * `anchor`: the motion at which friction and grips are at rest
    /// * `rubbing`: whether surfaces rub and grips hold
    /// * `presses`: how its one-sided parts press, if not as they do at the motion
    pub(crate) fn answer(
        &self,
        motion: &Vector6<f64>,
        anchor: &Vector6<f64>,
        rubbing: bool,
        presses: Option<Presses>,
    ) -> Option<Answer> {
        match self {
            Law::Axes(axes) => answer_along_axes(axes, motion, anchor, rubbing, presses),
            Law::Touch(touch) => touch.answer(motion, anchor, rubbing, presses),
            Law::Springs(_) | Law::Stiffness(_) => {
                let stiffness = self.linear_stiffness();
                Some(Answer {
                    force: stiffness * motion,
                    stiffness,
                    status: Status::Holding,
                    ..Answer::nothing()
                })
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
            Law::Touch(touch) => touch.rest(motion, answer),
            Law::Springs(_) | Law::Stiffness(_) => *motion,
        }
    }
}

impl AxisLaw {
    fn bearing(&self, axis: usize, motion: f64) -> Option<Bearing> {
        let (ahead, stiffness, gap) = match *self {
            AxisLaw::StopAhead { stiffness, gap } => (1.0, stiffness, gap),
            AxisLaw::StopBehind { stiffness, gap } => (-1.0, stiffness, gap),
            AxisLaw::Free | AxisLaw::Spring(_) | AxisLaw::Grip { .. } => return None,
        };
        let mut direction = Vector6::zeros();
        direction[axis] = ahead;
        Some(Bearing {
            depth: ahead * motion - gap,
            stiffness,
            direction,
        })
    }
}

fn answer_along_axes(
    axes: &[AxisLaw; 6],
    motion: &Vector6<f64>,
    anchor: &Vector6<f64>,
    rubbing: bool,
    presses: Option<Presses>,
) -> Option<Answer> {
    let mut answer = Answer::nothing();
    for (i, axis) in axes.iter().enumerate() {
        let v = motion[i];
        if let Some(stop) = axis.bearing(i, v) {
            let press = match presses {
                Some(presses) => presses(i),
                None => Press::of(stop.stiffness, stop.depth),
            };
            answer.force[i] = stop.direction[i] * press.force;
            answer.stiffness[(i, i)] = press.stiffness;
            // A stop about an axis bears a moment, which is no pressure.
            if i < 3 {
                answer.pressure = answer.pressure.max(press.pressure);
            }
            if press.pressure > 0.0 && answer.status == Status::Open {
                answer.status = Status::Holding;
            }
            continue;
        }
        let (force, stiffness, stripped) = match *axis {
            AxisLaw::Spring(k) => (k * v, k, 0.0),
            AxisLaw::Grip {
                stiffness: k,
                strip,
            } if rubbing => {
                let trial = k * (v - anchor[i]);
                match trial.abs() <= strip {
                    true => (trial, k, 0.0),
                    false => (strip.copysign(trial), 0.0, (trial.abs() - strip) / k),
                }
            }
            AxisLaw::Free
            | AxisLaw::Grip { .. }
            | AxisLaw::StopAhead { .. }
            | AxisLaw::StopBehind { .. } => continue,
        };
        answer.force[i] = force;
        answer.stiffness[(i, i)] = stiffness;
        if stripped > 0.0 {
            answer.status = Status::Sliding;
            if i < 3 {
                answer.slip += stripped;
            }
        } else if force != 0.0 && answer.status == Status::Open {
            answer.status = Status::Holding;
        }
    }
    let idle = answer.status == Status::Open && answer.stiffness == Matrix6::zeros();
    (!idle).then_some(answer)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Second witness: central differences of the force, which is piecewise smooth.
    /// Tolerance 1e-6: their rounding, `1e-16 F / 1e-6` against the stiffness.
    fn assert_tangent(law: &Law, motion: [f64; 6], anchor: [f64; 6]) {
        let (motion, anchor) = (Vector6::from(motion), Vector6::from(anchor));
        let answer = |at: Vector6<f64>| {
            let answer = law.answer(&at, &anchor, true, None);
            answer.unwrap_or_else(Answer::nothing)
        };
        let force = |at| answer(at).force;
        let answer = answer(motion);
        assert!(answer.force.norm() > 0.0, "{law:?} does not answer");
        let tangent = answer.tangent();
        let h = 1e-6;
        for i in 0..6 {
            let mut step = Vector6::zeros();
            step[i] = h;
            let slope = (force(motion + step) - force(motion - step)) / (2.0 * h);
            let apart = (slope - tangent.column(i)).amax();
            assert!(
                apart <= 1e-6 * answer.stiffness.amax(),
                "{law:?}, column {i}: {apart}"
            );
        }
    }

    fn touch(shape: Shape, friction: f64) -> Law {
        Law::Touch(Touch {
            shape,
            stiffness: 700.0,
            friction,
            shear_stiffness: 90.0,
        })
    }

    #[test]
    fn tangents_are_central_differences() {
        let pressed = [-0.4, 0.3, -0.2, 0.01, 0.02, 0.03];
        let face = touch(Shape::Face { gap: 0.1 }, 0.3);
        let rough = touch(Shape::Face { gap: 0.1 }, 0.1);
        assert_tangent(&face, pressed, [0.0; 6]);
        assert_tangent(&rough, pressed, [0.0; 6]);
        for clearance in [0.2, 0.0, -0.1, -0.9] {
            let offset = [0.1, -0.2];
            let ring = touch(Shape::Ring { clearance, offset }, 0.0);
            assert_tangent(&ring, pressed, [0.0; 6]);
            let ring = touch(Shape::Ring { clearance, offset }, 0.3);
            assert_tangent(&ring, pressed, [0.0; 6]);
            assert_tangent(&ring, pressed, [-0.4, 0.3, -0.21, 0.0, 0.0, 0.0]);
        }
        let stop = |gap| AxisLaw::StopAhead {
            stiffness: 50.0,
            gap,
        };
        let behind = AxisLaw::StopBehind {
            stiffness: 60.0,
            gap: 0.1,
        };
        let grip = |strip| AxisLaw::Grip {
            stiffness: 80.0,
            strip,
        };
        let axes = [
            behind,
            stop(0.1),
            grip(2.0),
            grip(1e3),
            stop(-0.1),
            AxisLaw::Spring(5.0),
        ];
        assert_tangent(&Law::Axes(axes), pressed, [0.0; 6]);
    }

    /// A body too large for its hole is held by both walls, then by one, without a jump.
    #[test]
    fn press_fit_is_continuous() {
        let fit = touch(
            Shape::Ring {
                clearance: -0.05,
                offset: [0.0; 2],
            },
            0.0,
        );
        let push = |y: f64| {
            let motion = Vector6::new(0.0, y, 0.0, 0.0, 0.0, 0.0);
            let answer = fit.answer(&motion, &Vector6::zeros(), false, None);
            answer.expect("it is pressed").force[1]
        };
        assert!((push(0.02) - 2.0 * 700.0 * 0.02).abs() < 1e-9);
        assert!((push(0.05 + 1e-9) - push(0.05 - 1e-9)).abs() < 1e-5);
        assert!((push(0.25) - 700.0 * 0.30).abs() < 1e-9);
    }
}
