//! The living shoulder: what acts, what its joints bear, and how far their stiffnesses, the least
//! certain inputs, move the answer.

use schemars::JsonSchema;
use serde::Serialize;

use super::compare::critical_sections;
use crate::anatomy::{Clavicle, JointGroup, Patient};
use crate::case::Case;
use crate::construct::{Construct, JointForces, Response};
use crate::frame::SolveError;
use crate::load::{Action, Activity, Holds, Loading, Setup, arm_scale};

/// Factors by which the stiffnesses of the joints are varied.
///
/// Assumption: that uncertain.
const FACTORS: [f64; 2] = [0.3, 3.0];

/// What acts on arm, clavicle and shoulder blade in an activity.
#[derive(Debug, Clone, Default, JsonSchema, Serialize)]
pub struct ShoulderLoads {
    /// The raised arm, if any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub arm: Option<ArmLoads>,
    /// The strap, if any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strap: Option<StrapLoads>,
    /// Push upwards on the shoulder blade, N.
    pub push_up_n: f64,
    /// Push on the shoulder blade from the side, N.
    pub push_inward_n: f64,
    /// What joints and ligaments bear of strap and push, intact bone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joints: Option<JointReactions>,
}

/// Statics of a raised arm.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct ArmLoads {
    /// Elevation from hanging, deg.
    pub elevation_deg: f64,
    /// Weight of the arm, N.
    pub arm_weight_n: f64,
    /// Its lever about the shoulder, the arm level, mm.
    pub arm_lever_mm: f64,
    /// Weight in the hand, N.
    pub hand_weight_n: f64,
    /// Its lever, mm.
    pub hand_lever_mm: f64,
    /// How many times the published envelope acts.
    pub envelope_factor: f64,
    /// Push along the clavicle, N.
    pub push_n: f64,
    /// Moment at its acromial end, bending it down, N·m.
    pub end_moment_nm: f64,
}

/// A strap.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct StrapLoads {
    /// Force downwards, N.
    pub force_n: f64,
    /// Its middle, fraction of length.
    pub position: f64,
    /// Its width along the bone, mm.
    pub width_mm: f64,
}

/// What joints and ligaments bear; axes of the right clavicle: lateral, anterior, superior.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct JointReactions {
    /// Force of the breastbone on the sternal end, N.
    pub sternoclavicular_n: [f64; 3],
    /// Pull of the costoclavicular ligament, N.
    pub costoclavicular_n: f64,
    /// Where it is attached, fraction of length.
    pub costoclavicular_at: f64,
    /// Pull of the conoid ligament, N.
    pub conoid_n: f64,
    /// Where it is attached, fraction of length.
    pub conoid_at: f64,
    /// Pull of the trapezoid ligament, N.
    pub trapezoid_n: f64,
    /// Where it is attached, fraction of length.
    pub trapezoid_at: f64,
    /// Force of the acromion on the acromial end, N.
    pub acromioclavicular_n: [f64; 3],
    /// Moment of the acromion on the acromial end, N·m.
    pub acromioclavicular_nm: [f64; 3],
    /// Force of its muscles on the shoulder blade, N.
    pub scapula_n: [f64; 3],
}

impl JointReactions {
    fn of(forces: &JointForces, clavicle: &Clavicle) -> Self {
        JointReactions {
            sternoclavicular_n: forces.sternoclavicular.into(),
            costoclavicular_n: forces.costoclavicular,
            costoclavicular_at: clavicle.costoclavicular(),
            conoid_n: forces.conoid,
            conoid_at: clavicle.conoid(),
            trapezoid_n: forces.trapezoid,
            trapezoid_at: clavicle.trapezoid(),
            acromioclavicular_n: forces.acromioclavicular.into(),
            acromioclavicular_nm: (forces.acromioclavicular_moment / 1000.0).into(),
            scapula_n: forces.scapula.into(),
        }
    }
}

/// How far an answer moves when the stiffnesses of the joints are not what they are taken for.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct JointSensitivity {
    /// The activity, one in which the bone is held by its joints.
    pub activity: String,
    /// Smallest static margin as assumed.
    pub static_margin: Option<f64>,
    /// Each group of stiffnesses varied by itself, and all together.
    pub varied: Vec<JointsVaried>,
}

/// The answer with other stiffnesses.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct JointsVaried {
    /// What is varied.
    pub joints: &'static str,
    /// Factor on its stiffnesses.
    pub factor: f64,
    /// Smallest static margin then; absent where contact does not settle.
    pub static_margin: Option<f64>,
}

impl JointSensitivity {
    /// The smallest and the largest margin with other stiffnesses.
    pub fn extremes(&self) -> Option<[(&JointsVaried, f64); 2]> {
        let found = self.varied.iter();
        let margins = found.filter_map(|varied| Some((varied, varied.static_margin?)));
        let least = margins.clone().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let most = margins.max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some([least, most])
    }
}

/// What acts in an activity, with what the joints bear of it; none for a bench test.
///
/// * `intact`: the answer of the intact bone
pub(super) fn loads(
    activity: &Activity,
    patient: &Patient,
    clavicle: &Clavicle,
    (bone, intact): (&Construct, &Response),
) -> Option<ShoulderLoads> {
    let Loading::Shoulder { arm, strap, push } = &activity.loading else {
        return None;
    };
    let arm = arm.map(|arm| {
        let acting = Loading::arm(arm).setups(patient, clavicle, 0.5);
        let [Action::Place { force, moment, .. }] = acting[0].actions[..] else {
            unreachable!("a raised arm acts at the acromial end alone");
        };
        ArmLoads {
            elevation_deg: arm.elevation.to_degrees(),
            arm_weight_n: patient.arm_weight,
            arm_lever_mm: patient.shoulder_moment() / patient.arm_weight,
            hand_weight_n: patient.hand_moment(arm.hand_mass) / patient.hand_lever(),
            hand_lever_mm: patient.hand_lever(),
            envelope_factor: arm_scale(&arm, patient),
            push_n: -force.x,
            end_moment_nm: moment.y / 1000.0,
        }
    });
    let strap = strap.map(|strap| StrapLoads {
        force_n: strap.force,
        position: strap.position,
        width_mm: strap.width,
    });
    Some(ShoulderLoads {
        arm,
        strap,
        push_up_n: push.map_or(0.0, |push| push.up),
        push_inward_n: push.map_or(0.0, |push| push.inward),
        joints: intact
            .joint_forces(bone)
            .map(|forces| JointReactions::of(&forces, clavicle)),
    })
}

/// The smallest static margin of a construct with other stiffnesses of the joints, for each
/// activity in which they hold the bone.
///
/// Each group is varied by itself as well, for with all of them softer alike the loads are shared
/// much as before.
pub(super) fn joint_sensitivity(
    construct: &Construct,
    case: &Case,
    setups: &[&[Setup]],
    activities: &[Response],
) -> Vec<JointSensitivity> {
    let method = &case.aftercare.fatigue;
    let smallest = |response: Response| {
        let sections = critical_sections(construct, &[response], method);
        let margins = sections
            .iter()
            .filter_map(|s| s.activities[0].static_margin);
        margins.reduce(f64::min)
    };
    let sprung = |own: &[Setup]| own.iter().any(|s| matches!(s.holds, Holds::Joints { .. }));
    let all = case.activities.iter().zip(setups).zip(activities);
    all.filter(|((_, own), _)| sprung(own))
        .map(|((activity, own), as_assumed)| {
            let varied = JointGroup::EACH.into_iter().flat_map(|group| {
                let answer = |factor| match solved(construct, own, group, factor) {
                    Ok(response) => smallest(response),
                    Err(_) => None,
                };
                FACTORS.map(|factor| JointsVaried {
                    joints: group.name(),
                    factor,
                    static_margin: answer(factor),
                })
            });
            JointSensitivity {
                activity: activity.name.clone(),
                static_margin: smallest(as_assumed.clone()),
                varied: varied.collect(),
            }
        })
        .collect()
}

/// The answer to setups with a group of stiffnesses multiplied.
fn solved(
    construct: &Construct,
    setups: &[Setup],
    group: JointGroup,
    factor: f64,
) -> Result<Response, SolveError> {
    let setups: Vec<Setup> = setups
        .iter()
        .map(|setup| setup.with_joints(|joints| joints.with_scaled(group, factor)))
        .collect();
    Ok(construct.solve(&setups)?.into_iter().collect())
}
