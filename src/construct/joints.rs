//! The living shoulder around a bone: breastbone, first rib and shoulder blade.
//!
//! ```text
//! breastbone      springs at the sternal end, along, across and against turning
//! first rib       costoclavicular ligament up to the bone
//! shoulder blade  a body that may shift but not turn, on the springs of its muscles;
//!                 conoid and trapezoid ligament up to the bone, capsule and contact of the
//!                 acromioclavicular joint at its acromial end
//! ```
//!
//! Ligaments pull only and the joint presses only, whether the parts of the construct touch or are
//! linear: a strap slackens the ligaments, and one that bore a push would hold what nothing holds.
//! As none of them has slack to begin with, the answer still grows as the load does.

use nalgebra::Vector3;

use super::{Construct, Response};
use crate::anatomy::Joints;
use crate::frame::{AxisLaw, CaseSolution, Frame, Law, Status, Support, TouchState};
use crate::load::LigamentPlaces;

/// What joints and ligaments bear in one activity. Forces N, axes of the right clavicle: `x`
/// lateral, `y` anterior, `z` superior.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct JointForces {
    /// Force of the breastbone on the sternal end.
    pub sternoclavicular: Vector3<f64>,
    /// Pull of the costoclavicular ligament.
    pub costoclavicular: f64,
    /// Pull of the conoid ligament.
    pub conoid: f64,
    /// Pull of the trapezoid ligament.
    pub trapezoid: f64,
    /// Force of the acromion on the acromial end.
    pub acromioclavicular: Vector3<f64>,
    /// Moment of the acromion on the acromial end, N·mm.
    pub acromioclavicular_moment: Vector3<f64>,
    /// Force of its muscles on the shoulder blade.
    pub scapula: Vector3<f64>,
}

/// What [`add`] appends to a frame, in order: nodes and couplings.
const SCAPULA: usize = 0;
const COSTOCLAVICULAR: usize = 0;
const CONOID: usize = 1;
const TRAPEZOID: usize = 2;
const CAPSULE: usize = 3;
const PRESSED: usize = 4;

/// The node of the shoulder blade, once [`add`] has been at work on a construct's frame.
pub(super) fn scapula_node(construct: &Construct) -> usize {
    construct.frame.nodes.len() + SCAPULA
}

/// Adds joints and ligaments to the frame of a construct.
pub(super) fn add(
    frame: &mut Frame,
    construct: &Construct,
    joints: &Joints,
    ligaments: &LigamentPlaces,
) {
    let [sternal, acromial] = [0.0, 1.0].map(|at| construct.node_at(at));
    let place = |node: usize| construct.frame.nodes[node].position;
    let scapula = frame.add_node("shoulder blade", place(acromial));
    let attached = construct.node_at(ligaments.costoclavicular);
    let rib = frame.add_node("first rib", place(attached));
    frame.fix(rib);
    let hold = joints.scapula;
    frame.supports.push(Support {
        node: scapula,
        fixed: [false, false, false, true, true, true],
        springs: [hold, hold, hold, 0.0, 0.0, 0.0],
    });
    let (across, turning) = (
        joints.sternoclavicular_across,
        joints.sternoclavicular_turning,
    );
    let along = joints.sternoclavicular_along;
    frame.spring(sternal, [along, across, across, turning, turning, turning]);

    let ahead = |axis: usize, stiffness: f64| {
        let mut axes = [AxisLaw::Free; 6];
        if stiffness > 0.0 {
            let gap = 0.0;
            axes[axis] = AxisLaw::StopAhead { stiffness, gap };
        }
        Law::Axes(axes)
    };
    for (name, from, at, stiffness) in [
        (
            "costoclavicular ligament",
            rib,
            ligaments.costoclavicular,
            joints.costoclavicular,
        ),
        ("conoid ligament", scapula, ligaments.conoid, joints.conoid),
        (
            "trapezoid ligament",
            scapula,
            ligaments.trapezoid,
            joints.trapezoid,
        ),
    ] {
        let node = construct.node_at(at);
        frame.add_coupling(name, [from, node], place(node), ahead(2, stiffness));
    }
    let capsule = joints.acromioclavicular_capsule;
    let turning = joints.acromioclavicular_turning;
    let springs = [capsule, capsule, capsule, turning, turning, turning];
    let pair = [scapula, acromial];
    let name = "acromioclavicular capsule";
    frame.add_coupling(name, pair, place(acromial), Law::Springs(springs));
    let pressed = ahead(0, joints.acromioclavicular_pressed);
    frame.add_coupling("acromioclavicular joint", pair, place(acromial), pressed);
}

/// Puts springs in place of what pulls or presses only, where it does.
pub(super) fn linearise(frame: &mut Frame, touches: &[TouchState]) {
    for touch in touches {
        let law = &mut frame.couplings[touch.coupling].law;
        let Law::Axes(axes) = law else { continue };
        for axis in axes {
            if let AxisLaw::StopAhead { stiffness, .. } = *axis {
                *axis = match touch.status {
                    Status::Open => AxisLaw::Free,
                    Status::Holding | Status::Sliding => AxisLaw::Spring(stiffness),
                };
            }
        }
    }
}

impl JointForces {
    /// What joints bear in a solution of a frame that [`add`] has been at work on.
    fn of(construct: &Construct, solution: &CaseSolution) -> Option<Self> {
        let joints = solution
            .coupling_forces
            .get(construct.frame.couplings.len()..)
            .filter(|joints| joints.len() > PRESSED)?;
        // Of the second body, the bone, on the law: turned round, it is what the bone feels.
        let on_bone = -(joints[CAPSULE] + joints[PRESSED]);
        Some(JointForces {
            sternoclavicular: solution.reaction_force(construct.node_at(0.0)),
            costoclavicular: joints[COSTOCLAVICULAR][2],
            conoid: joints[CONOID][2],
            trapezoid: joints[TRAPEZOID][2],
            acromioclavicular: on_bone.fixed_rows::<3>(0).into_owned(),
            acromioclavicular_moment: on_bone.fixed_rows::<3>(3).into_owned(),
            scapula: solution.reaction_force(scapula_node(construct)),
        })
    }

    fn less(&self, other: &JointForces) -> Self {
        JointForces {
            sternoclavicular: self.sternoclavicular - other.sternoclavicular,
            costoclavicular: self.costoclavicular - other.costoclavicular,
            conoid: self.conoid - other.conoid,
            trapezoid: self.trapezoid - other.trapezoid,
            acromioclavicular: self.acromioclavicular - other.acromioclavicular,
            acromioclavicular_moment: self.acromioclavicular_moment
                - other.acromioclavicular_moment,
            scapula: self.scapula - other.scapula,
        }
    }
}

impl Response {
    /// What joints and ligaments bear of the setup that is held by them, if one is.
    pub fn joint_forces(&self, construct: &Construct) -> Option<JointForces> {
        self.solutions().find_map(|(before, after)| {
            let forces = JointForces::of(construct, after)?;
            let before = before.and_then(|before| JointForces::of(construct, before));
            Some(forces.less(&before.unwrap_or_default()))
        })
    }
}
