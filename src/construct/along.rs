//! Fragments pushed together or pulled apart along the bone, or drawn together by the device.

use nalgebra::{Matrix3, Vector3, Vector6};

use super::Construct;
use crate::anatomy::Clavicle;
use crate::frame::{
    AxisLaw, CaseSolution, Coupling, Frame, Law, LoadCase, Shape, SolveError, Stage, Status, settle,
};
use crate::load::{Hold, Holds};

/// Steps in which a push along the bone comes on.
const PUSH_STEPS: usize = 8;

/// Steps in which the fragments are moved along each other to find what holds them: the force at
/// which they begin to slide is read off the largest of as many.
const SLIDE_STEPS: usize = 10;

/// Stiffness of what moves the fragments along each other, N/mm: so large that the movement is
/// prescribed. A test rig, no physical quantity.
const RIG: f64 = 1e5;

/// A coupling by whose tightening the fragments are drawn together: a nut, a screw's head, a screw
/// in a compression hole.
#[derive(Debug, Clone, Copy)]
pub struct Draw {
    pub(super) coupling: usize,
    /// Its local axis.
    pub(super) axis: usize,
    /// Which way along that axis draws the fragments together.
    pub(super) sign: f64,
}

/// A construct in equilibrium.
#[derive(Debug, Clone)]
pub struct Standing {
    case: LoadCase,
    solution: CaseSolution,
}

impl Standing {
    /// Displacement (mm) and rotation (rad) of a node from its place before the device went in.
    pub fn motion(&self, node: usize) -> Vector6<f64> {
        self.solution.displacements[node]
    }

    /// Force with which the broken ends press on each other, N.
    pub fn face_force(&self, construct: &Construct) -> f64 {
        let faces = &construct.face_couplings;
        let touches = self.solution.touches.iter();
        let pressed = touches.filter(|t| t.status != Status::Open && faces.contains(&t.coupling));
        pressed.fold(0.0, |sum, touch| sum + touch.pressure)
    }

    /// Pull in the device where it crosses the fracture, N: the sum of all its members there.
    pub fn device_tension(&self, construct: &Construct) -> f64 {
        let Some([(medial, _), (lateral, _)]) = construct.faces else {
            return 0.0;
        };
        let middle = (medial + lateral) / 2.0;
        let crossing = construct.device.iter().filter(|piece| {
            let [a, b] = piece.stretch;
            a.min(b) <= middle && middle < a.max(b)
        });
        crossing
            .map(|piece| {
                let frame = &construct.frame;
                let member = piece.member;
                self.solution
                    .section_forces(frame, &self.case, member, 0.0)
                    .axial
            })
            .sum()
    }
}

impl Construct {
    /// Notes a coupling that draws the fragments together, tightened by a travel, mm, when the
    /// device is put in.
    pub(super) fn add_draw(&mut self, draw: Draw, travel: f64) {
        self.draws.push(draw);
        if travel > 0.0 {
            let put_in = std::mem::take(&mut self.put_in);
            self.put_in = put_in.with_tightening(draw.coupling, draw.axis, draw.sign * travel);
        }
    }

    /// The construct at rest with the device put in and tightened by each of several travels, mm,
    /// in place of its own.
    ///
    /// # Errors
    /// As [`Construct::solve`].
    pub fn drawn(&self, travels: &[f64]) -> Result<Vec<Standing>, SolveError> {
        let cases: Vec<LoadCase> = travels
            .iter()
            .map(|&travel| self.put_in_by(travel))
            .collect();
        let settled = settle(
            &self.clamped(),
            &cases.iter().map(put_in).collect::<Vec<_>>(),
        )?;
        let standing = cases.into_iter().zip(settled);
        Ok(standing
            .map(|(case, settled)| Standing {
                case,
                solution: settled.solution,
            })
            .collect())
    }

    /// The construct at rest, and with the broken ends pushed together by a force, N, along the
    /// bone through the middle of the fracture.
    ///
    /// # Errors
    /// As [`Construct::solve`].
    pub fn pushed(&self, clavicle: &Clavicle, force: f64) -> Result<[Standing; 2], SolveError> {
        let [medial, lateral] = self.face_nodes();
        let middle = self.middle(clavicle);
        let along = clavicle.tangent(middle) * force;
        // Carried from the middle of the fracture to each face.
        let moment = |node: usize, force: Vector3<f64>| {
            (clavicle.point(middle) - self.frame.nodes[node].position).cross(&force)
        };
        let case = LoadCase {
            name: "push along the bone".to_owned(),
            ..self.put_in.clone()
        };
        let case = case
            .with_load(medial, along, moment(medial, along))
            .with_load(lateral, -along, moment(lateral, -along));
        let push = Stage {
            case: &case,
            steps: PUSH_STEPS,
            friction: true,
        };
        let mut settled = settle(&self.clamped(), &[put_in(&self.put_in), push])?;
        let (pushed, rest) = (settled.pop(), settled.pop());
        let standing = |case: &LoadCase, settled: Option<crate::frame::Settled>| Standing {
            case: case.clone(),
            solution: settled.expect("a state for each stage").solution,
        };
        Ok([standing(&self.put_in, rest), standing(&case, pushed)])
    }

    /// Largest force, N, that it takes to move the broken ends along the bone by a distance, mm,
    /// from rest; they are free to turn and to move across. Less than zero pushes them together.
    ///
    /// # Errors
    /// As [`Construct::solve`].
    pub fn held_along(&self, clavicle: &Clavicle, distance: f64) -> Result<f64, SolveError> {
        let mut frame = self.clamped();
        let middle = self.middle(clavicle);
        let rig = frame.couplings.len();
        // A grip takes hold only where it stands once the device is in.
        let along = AxisLaw::Grip {
            stiffness: RIG,
            strip: f64::MAX,
        };
        let free = AxisLaw::Free;
        frame.couplings.push(Coupling {
            name: "test rig between the broken ends".into(),
            nodes: self.face_nodes(),
            at: clavicle.point(middle),
            axes: Matrix3::from_columns(&clavicle.axes(middle)),
            law: Law::Axes([along, free, free, free, free, free]),
        });
        let moved = |step: usize| {
            let travel = distance * step as f64 / SLIDE_STEPS as f64;
            self.put_in.clone().with_tightening(rig, 0, travel)
        };
        let cases: Vec<LoadCase> = (1..=SLIDE_STEPS).map(moved).collect();
        let slides = cases.iter().map(|case| Stage {
            case,
            steps: 1,
            friction: true,
        });
        let stages: Vec<Stage> = std::iter::once(put_in(&self.put_in))
            .chain(slides)
            .collect();
        let settled = settle(&frame, &stages)?;
        let forces = settled.iter().skip(1);
        let forces =
            forces.map(|state| -distance.signum() * state.solution.coupling_forces[rig][0]);
        Ok(forces.fold(0.0, f64::max))
    }

    /// The same with the broken ends so far apart that they never meet.
    pub fn without_contact_of_faces(mut self) -> Self {
        for &coupling in &self.face_couplings {
            if let Law::Touch(touch) = &mut self.frame.couplings[coupling].law {
                touch.shape = Shape::Face { gap: NEVER };
            }
        }
        self
    }

    /// The same with another stiffness of the canal's walls, as a factor on it, and another
    /// friction of the bar on them.
    pub fn with_canal_walls(mut self, stiffness: f64, friction: f64) -> Self {
        for &coupling in &self.canal_couplings {
            if let Law::Touch(touch) = &mut self.frame.couplings[coupling].law {
                touch.stiffness *= stiffness;
                touch.shear_stiffness *= stiffness;
                touch.friction = friction;
            }
        }
        self
    }

    fn put_in_by(&self, travel: f64) -> LoadCase {
        let case = LoadCase {
            tightenings: Vec::new(),
            ..self.put_in.clone()
        };
        let draws = self.draws.iter();
        draws.fold(case, |case, draw| {
            case.with_tightening(draw.coupling, draw.axis, draw.sign * travel)
        })
    }

    /// Held at its sternal end: what acts here balances itself, so nothing is held there.
    fn clamped(&self) -> Frame {
        self.held(&Holds::At(vec![Hold {
            at: 0.0,
            fixed: [true; 6],
        }]))
    }

    fn face_nodes(&self) -> [usize; 2] {
        self.faces
            .expect("a broken bone has faces")
            .map(|(_, node)| node)
    }

    fn middle(&self, clavicle: &Clavicle) -> f64 {
        let faces = self.faces.expect("a broken bone has faces");
        let [medial, lateral] = faces.map(|(at, _)| clavicle.arc_length(at));
        clavicle.fraction_at_arc_length((medial + lateral) / 2.0)
    }
}

/// A gap that nothing here closes, mm.
const NEVER: f64 = 1e3;

/// Putting in: nothing rubs until the device lies.
fn put_in(case: &LoadCase) -> Stage<'_> {
    Stage {
        case,
        steps: 1,
        friction: false,
    }
}
