//! Where the bone is held and what acts on it, in each activity and fixture.

use nalgebra::{Vector3, vector};

use super::shoulder::arm_setup;
use super::{Activity, Bench, Loading, Push, Strap};
use crate::anatomy::{Clavicle, Joints, Patient};

/// One way of holding and loading a bone.
///
/// Places are fractions of bone length; axes are those of the right clavicle: `x`
/// lateral, `y` anterior, `z` superior.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// How it is held.
    pub holds: Holds,
    /// What acts.
    pub actions: Vec<Action>,
}

impl Setup {
    /// The same place and hold with every force and moment multiplied.
    pub fn scaled(&self, factor: f64) -> Self {
        let scaled = |action: &Action| match *action {
            Action::Place { at, force, moment } => Action::Place {
                at,
                force: force * factor,
                moment: moment * factor,
            },
            Action::Patch { stretch, force } => Action::Patch {
                stretch,
                force: force * factor,
            },
            Action::Scapula { force } => Action::Scapula {
                force: force * factor,
            },
        };
        Setup {
            holds: self.holds.clone(),
            actions: self.actions.iter().map(scaled).collect(),
        }
    }

    /// The same with other joints, where they hold the bone.
    pub fn with_joints(&self, change: impl Fn(Joints) -> Joints) -> Self {
        let mut changed = self.clone();
        if let Holds::Joints { joints, .. } = &mut changed.holds {
            *joints = change(*joints);
        }
        changed
    }
}

/// How a bone is held.
#[derive(Debug, Clone, PartialEq)]
pub enum Holds {
    /// At places, by what does not give.
    At(Vec<Hold>),
    /// In the living shoulder, on springs: to breastbone, first rib and shoulder blade.
    Joints {
        /// Their stiffnesses.
        joints: Joints,
        /// Where the ligaments are.
        ligaments: LigamentPlaces,
    },
}

/// Where the ligaments of the clavicle are attached, fractions of bone length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LigamentPlaces {
    /// Costoclavicular ligament.
    pub costoclavicular: f64,
    /// Conoid ligament.
    pub conoid: f64,
    /// Trapezoid ligament.
    pub trapezoid: f64,
}

/// A held place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hold {
    /// Fraction of bone length.
    pub at: f64,
    /// Which of `ux uy uz rx ry rz` are held.
    pub fixed: [bool; 6],
}

/// Something that acts on the bone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Action {
    /// Force (N) and moment (N·mm) at one place.
    Place {
        /// Fraction of bone length.
        at: f64,
        /// Force, N.
        force: Vector3<f64>,
        /// Moment, N·mm.
        moment: Vector3<f64>,
    },
    /// A force spread evenly along the bone.
    Patch {
        /// Where it starts and ends, fractions of bone length.
        stretch: [f64; 2],
        /// Total force, N.
        force: Vector3<f64>,
    },
    /// A force on the shoulder blade, of a bone held by its joints.
    Scapula {
        /// Force, N.
        force: Vector3<f64>,
    },
}

/// Places of the two pots in which the bone is gripped for the four stiffness tests.
///
/// Assumption: a tenth of the bone in each pot; published fixtures do not state theirs.
pub(crate) const POTS: [f64; 2] = [0.10, 0.90];

/// Loads of the stiffness tests, N and N·mm.
const TEST_FORCE: f64 = 100.0;
const TEST_MOMENT: f64 = 1000.0;

const CLAMPED: [bool; 6] = [true; 6];
/// A ball joint that also keeps the bone from spinning about its line.
const BALL: [bool; 6] = [true, true, true, true, false, false];
/// A roller: slides along the bone and turns.
const ROLLER: [bool; 6] = [false, true, true, false, false, false];

/// The stiffness tests: axial, bending down, bending up, bending forward, torsion.
///
/// The bone is clamped at the sternal pot; the acromial pot is free but for the load on it:
/// 100 N along the line between the pots, or 1 N·m about the antero-posterior axis (bending
/// the acromial end down, then up), the vertical axis or that line. A pure moment is the same at every
/// section, so bending and torsion need no lever arm. Where parts touch and part, stiffness
/// depends on the load: these are loads of published tests (Pengrung et al., *BMC
/// Musculoskelet. Disord.* (2019): 100 N, 1 N·m).
pub fn stiffness_setups(clavicle: &Clavicle) -> [Setup; 5] {
    let line = (clavicle.point(POTS[1]) - clavicle.point(POTS[0])).normalize();
    let zero = Vector3::zeros();
    let loads = [
        (-line * TEST_FORCE, zero),
        (zero, Vector3::y() * TEST_MOMENT),
        (zero, -Vector3::y() * TEST_MOMENT),
        (zero, Vector3::z() * TEST_MOMENT),
        (zero, line * TEST_MOMENT),
    ];
    loads.map(|(force, moment)| Setup {
        holds: Holds::At(vec![Hold {
            at: POTS[0],
            fixed: CLAMPED,
        }]),
        actions: vec![Action::Place {
            at: POTS[1],
            force,
            moment,
        }],
    })
}

impl Activity {
    /// The setups whose answers add up to this activity.
    ///
    /// * `fracture`: where bench rollers are centred, fraction of bone length
    pub fn setups(&self, patient: &Patient, clavicle: &Clavicle, fracture: f64) -> Vec<Setup> {
        self.loading.setups(patient, clavicle, fracture)
    }
}

impl Loading {
    /// The setups whose answers add up to this loading.
    ///
    /// * `fracture`: where bench rollers are centred, fraction of bone length
    pub fn setups(&self, patient: &Patient, clavicle: &Clavicle, fracture: f64) -> Vec<Setup> {
        match self {
            Loading::Shoulder { arm, strap, push } => {
                let arm = arm.map(|arm| arm_setup(&arm, patient, clavicle));
                let strap = strap.map(|strap| pressed(&strap, clavicle));
                let push = push.map(|push| pushed(&push));
                let actions: Vec<Action> = strap.into_iter().chain(push).collect();
                let sprung = (!actions.is_empty()).then(|| Setup {
                    holds: in_the_shoulder(patient, clavicle),
                    actions,
                });
                arm.into_iter().chain(sprung).collect()
            }
            Loading::Bench(bench) => vec![bench_setup(bench, clavicle, fracture)],
        }
    }
}

/// The strap presses straight down.
fn pressed(strap: &Strap, clavicle: &Clavicle) -> Action {
    let half = strap.width / 2.0 / clavicle.length();
    Action::Patch {
        stretch: [
            (strap.position - half).max(0.0),
            (strap.position + half).min(1.0),
        ],
        force: vector![0.0, 0.0, -strap.force],
    }
}

fn pushed(push: &Push) -> Action {
    Action::Scapula {
        force: vector![-push.inward, 0.0, push.up],
    }
}

/// Held by joints and ligaments.
fn in_the_shoulder(patient: &Patient, clavicle: &Clavicle) -> Holds {
    Holds::Joints {
        joints: patient.joints,
        ligaments: LigamentPlaces {
            costoclavicular: clavicle.costoclavicular(),
            conoid: clavicle.conoid(),
            trapezoid: clavicle.trapezoid(),
        },
    }
}

/// Held in between a ball joint and a roller.
fn between(medial: f64, lateral: f64) -> Holds {
    Holds::At(vec![
        Hold {
            at: medial,
            fixed: BALL,
        },
        Hold {
            at: lateral,
            fixed: ROLLER,
        },
    ])
}

fn bench_setup(bench: &Bench, clavicle: &Clavicle, fracture: f64) -> Setup {
    let clamped_sternal = Holds::At(vec![Hold {
        at: 0.0,
        fixed: CLAMPED,
    }]);
    let at_acromion = |force, moment| {
        vec![Action::Place {
            at: 1.0,
            force,
            moment,
        }]
    };
    let down = |at: f64, force: f64| Action::Place {
        at,
        force: vector![0.0, 0.0, -force],
        moment: Vector3::zeros(),
    };
    let zero = Vector3::zeros();
    let rollers = |span: f64| {
        let [medial, lateral] = centred(clavicle, fracture, span);
        between(medial, lateral)
    };
    match *bench {
        Bench::Axial { force } => Setup {
            holds: between(0.0, 1.0),
            actions: at_acromion(vector![-force, 0.0, 0.0], zero),
        },
        Bench::Torsion { torque } => Setup {
            holds: clamped_sternal,
            actions: at_acromion(zero, vector![torque, 0.0, 0.0]),
        },
        Bench::Cantilever { force } => Setup {
            holds: clamped_sternal,
            actions: at_acromion(vector![0.0, 0.0, -force], zero),
        },
        Bench::ThreePoint { force, span } => Setup {
            holds: rollers(span),
            actions: vec![down(fracture, force)],
        },
        Bench::FourPoint {
            force,
            span,
            inner_span,
        } => Setup {
            holds: rollers(span),
            actions: centred(clavicle, fracture, inner_span)
                .map(|at| down(at, force / 2.0))
                .to_vec(),
        },
    }
}

/// The ends of a span centred on a place, moved along if it would leave the bone.
fn centred(clavicle: &Clavicle, place: f64, span: f64) -> [f64; 2] {
    let share = (span / clavicle.length()).min(1.0);
    let start = (place - share / 2.0).clamp(0.0, 1.0 - share);
    [start, start + share]
}
