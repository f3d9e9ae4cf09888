//! Statics by hand: what an activity puts on the bone where it is broken.
//!
//! The bone is a straight strut or beam along the line between its ends. Moments keep the sign of
//! the right clavicle: `M_v` about the antero-posterior axis is positive where the acromial end is
//! bent down, `M_h` about the vertical axis where it is bent forward.

use super::bone::TEXTBOOK;
use super::expression::{Expression, Function, Quantity};
use super::joints::among_joints;
use super::sheet::{Sheet, Step};
use crate::anatomy::{Clavicle, Patient};
use crate::assess::ActivitySummary;
use crate::case::Case;
use crate::load::{
    Action, Activity, Arm, Bench, ENVELOPE_FORCE, ENVELOPE_MOMENT, Holds, Loading, Setup,
};

const ENVELOPE: &str = "Hoogervorst et al., Clin. Biomech. (2019), doi 10.1016/j.clinbiomech.2019.07.001, \
                        scaled as the moment at the shoulder (assumption)";
const ARM: &str = "Dempster (0.53) and Drillis & Contini (0.332, from memory), via Winter, \
                   Biomechanics and Motor Control of Human Movement";

/// What acts on the section at the fracture in one activity.
pub(super) struct AtFracture {
    /// Name of the activity.
    pub name: String,
    /// Compression along the bone.
    pub push: Option<Quantity>,
    /// Moment about the antero-posterior axis.
    pub vertical: Option<Quantity>,
    /// Moment about the vertical axis.
    pub horizontal: Option<Quantity>,
    /// Torque about the bone.
    pub torque: Option<Quantity>,
    /// Resultant moment.
    pub resultant: Quantity,
}

/// The parts of a resultant that setups acting together add up to.
#[derive(Default)]
pub(super) struct Parts {
    pub push: Vec<Quantity>,
    pub vertical: Vec<Quantity>,
    pub horizontal: Vec<Quantity>,
    torque: Option<Quantity>,
}

/// Works out one activity; `model` is what the model makes of it.
pub(super) fn at_fracture(
    sheet: &mut Sheet,
    case: &Case,
    activity: &Activity,
    model: &ActivitySummary,
) -> AtFracture {
    let (clavicle, position) = (&case.clavicle, case.fracture.position);
    let setups = activity.setups(&case.patient, clavicle, position);
    let mut parts = Parts::default();
    match &activity.loading {
        Loading::Shoulder { arm, strap, .. } => {
            let mut setups = setups.iter();
            if let (Some(arm), Some(setup)) = (arm, setups.clone().next()) {
                setups.next();
                raised_arm(sheet, case, arm, setup, &mut parts);
            }
            let joints = model.shoulder.as_ref().and_then(|shoulder| shoulder.joints);
            if let Some(joints) = joints {
                among_joints(sheet, case, strap.as_ref(), &joints, &mut parts);
            }
        }
        Loading::Bench(bench) => fixture(sheet, case, bench, &setups[0], &mut parts),
    }
    let vertical = together(
        sheet,
        ("M_v", "N·mm"),
        "moment up and down, all together",
        parts.vertical,
    );
    let horizontal = together(
        sheet,
        ("M_h", "N·mm"),
        "moment front and back, all together",
        parts.horizontal,
    );
    let push = together(sheet, ("N_t", "N"), "push, all together", parts.push);
    let all: Vec<&Quantity> = [&vertical, &horizontal, &parts.torque]
        .into_iter()
        .flatten()
        .collect();
    let resultant = sheet.add(
        Step::new(
            "resultant moment at the fracture",
            "M",
            "N·mm",
            resultant_of(&all),
            TEXTBOOK,
        )
        .beside(
            Some(1000.0 * model.fracture_moment_nm),
            "statics alone: the model's value is that of the unbroken bone at its station just \
             medial of the fracture",
        ),
    );
    let torque = parts.torque.or_else(|| {
        vertical
            .as_ref()
            .map(|moment| torque(sheet, clavicle, position, moment))
    });
    AtFracture {
        name: activity.name.clone(),
        push,
        vertical,
        horizontal,
        torque,
        resultant,
    }
}

/// Moments about axes square to each other together.
pub(super) fn resultant_of(moments: &[&Quantity]) -> Expression {
    match moments {
        [] => Expression::Number(0.0),
        [one] => Expression::function(Function::Size, *one),
        [first, rest @ ..] => {
            let squares = rest.iter().map(|moment| moment.squared());
            squares
                .fold(first.squared(), |sum, square| sum + square)
                .root()
        }
    }
}

/// Forces along or moments about one axis added; one alone passes.
fn together(
    sheet: &mut Sheet,
    (symbol, unit): (&'static str, &'static str),
    what: &str,
    parts: Vec<Quantity>,
) -> Option<Quantity> {
    match parts.as_slice() {
        [] => None,
        [part] => Some(part.clone()),
        [first, rest @ ..] => {
            let sum = rest
                .iter()
                .fold(Expression::from(first), |sum, part| sum + part);
            Some(sheet.add(Step::new(what, symbol, unit, sum, TEXTBOOK)))
        }
    }
}

/// Where the bone runs at an angle to the line of its ends, part of the moment twists it.
fn torque(sheet: &mut Sheet, clavicle: &Clavicle, at: f64, moment: &Quantity) -> Quantity {
    let angle = clavicle.tangent(at).y.asin().to_degrees();
    let meaning = "angle of the bone to the line of its ends, seen from above";
    let beta = Quantity::given("β", meaning, angle, "deg");
    let sine = Expression::function(Function::Sine, &beta);
    let what = "torque at the fracture: the part of the moment along the bone";
    sheet.add(Step::new(what, "T", "N·mm", moment * sine, TEXTBOOK))
}

fn raised_arm(sheet: &mut Sheet, case: &Case, arm: &Arm, setup: &Setup, parts: &mut Parts) {
    let patient: &Patient = &case.patient;
    let [Action::Place { moment, .. }] = setup.actions[..] else {
        unreachable!("a raised arm acts at the acromial end alone");
    };
    let stature = Quantity::given("H", "standing height", patient.stature, "mm");
    let weight = Quantity::given("W", "weight of the arm", patient.arm_weight, "N");
    let elevation = arm.elevation.to_degrees().min(90.0);
    let elevation = Quantity::given("ε", "elevation, 90° at most", elevation, "deg");
    let own = sheet.add(Step::new(
        "moment of the level arm's own weight at the shoulder",
        "M_a",
        "N·mm",
        Expression::from(0.53) * 0.332 * &stature * &weight,
        ARM,
    ));
    let mut all = Expression::from(&own);
    if arm.hand_mass > 0.0 {
        let mass = Quantity::given("m", "mass in the hand", arm.hand_mass, "kg");
        let hand = Expression::from(0.36) * &stature * &mass * 9.807;
        let what = "moment of the mass in the hand at the shoulder";
        let hand = sheet.add(Step::new(
            what,
            "M_w",
            "N·mm",
            hand,
            "0.36 H to the hand (from memory)",
        ));
        all = all + &hand;
    }
    let reference = sheet.add(Step::new(
        "the same for the average man, for whom the published loads are taken to stand",
        "M_r",
        "N·mm",
        Expression::from(0.53) * 0.332 * 1760.0 * 36.8,
        ARM,
    ));
    let scale = all / &reference * Expression::function(Function::Sine, &elevation);
    let what = "how many times the published loads act";
    let scale = sheet.add(Step::new(what, "k", "", scale, ENVELOPE));
    let what = "push along the line of the joints";
    let push = sheet.add(Step::new(what, "N", "N", &scale * ENVELOPE_FORCE, ENVELOPE));
    sheet.note(format!(
        "Raised arm: the bone is held at its sternal end, pushed and bent at its acromial end. The \
         moment M_0 there is found by trial: with it the largest moment on the shaft is k × \
         {ENVELOPE_MOMENT} N·mm."
    ));
    let end = Quantity::given("M_0", "moment at the acromial end", moment.y, "N·mm");
    let place = case.clavicle.point(case.fracture.position);
    let height = Quantity::given("z", "height of the fracture above that line", place.z, "mm");
    let ahead = Quantity::given("y", "how far it lies in front of it", place.y, "mm");
    parts.vertical.push(sheet.add(Step::new(
        "moment at the fracture up and down: a bent strut pushed at its ends",
        "M_v",
        "N·mm",
        &end + &push * &height,
        TEXTBOOK,
    )));
    parts.horizontal.push(sheet.add(Step::new(
        "moment at the fracture front and back",
        "M_h",
        "N·mm",
        -(&push * &ahead),
        TEXTBOOK,
    )));
    parts.push.push(push);
}

fn fixture(sheet: &mut Sheet, case: &Case, bench: &Bench, setup: &Setup, parts: &mut Parts) {
    let (clavicle, position) = (&case.clavicle, case.fracture.position);
    let length = clavicle.length();
    let from_to = |from: f64, to: f64| (to - from) * length;
    sheet.note(match bench {
        Bench::Axial { .. } => "Bench: ball joints at both ends.",
        Bench::Torsion { .. } | Bench::Cantilever { .. } => "Bench: the sternal end is clamped.",
        Bench::ThreePoint { .. } | Bench::FourPoint { .. } => {
            "Bench: the bone lies on two rollers."
        }
    });
    match *bench {
        Bench::Axial { force } => {
            let push = Quantity::given("N", "push along the line of the joints", force, "N");
            let place = clavicle.point(position);
            let height = Quantity::given("z", "height of the fracture above it", place.z, "mm");
            let ahead = Quantity::given("y", "how far it lies in front of it", place.y, "mm");
            let what = "moment at the fracture up and down: a bent strut on ball joints";
            let moment = Step::new(what, "M_v", "N·mm", &push * &height, TEXTBOOK);
            parts.vertical.push(sheet.add(moment));
            let what = "moment at the fracture front and back";
            let moment = Step::new(what, "M_h", "N·mm", -(&push * &ahead), TEXTBOOK);
            parts.horizontal.push(sheet.add(moment));
            parts.push.push(push);
        }
        Bench::Torsion { torque } => {
            parts.torque = Some(Quantity::given("T", "torque", torque, "N·mm"));
        }
        Bench::Cantilever { force } => {
            let force = Quantity::given("F", "force at the acromial end", force, "N");
            let arm = from_to(position, 1.0);
            let arm = Quantity::given("l", "fracture to the acromial end", arm, "mm");
            let what = "moment at the fracture: a cantilever";
            parts
                .vertical
                .push(sheet.add(Step::new(what, "M_v", "N·mm", &force * &arm, TEXTBOOK)));
        }
        Bench::ThreePoint { force, .. } => {
            let force = Quantity::given("F", "force in the middle", force, "N");
            let Holds::At(holds) = &setup.holds else {
                unreachable!("a bench fixture holds the bone at places");
            };
            let [medial, lateral] = [holds[0].at, holds[1].at];
            let a = Quantity::given(
                "l_1",
                "medial roller to the force",
                from_to(medial, position),
                "mm",
            );
            let b = Quantity::given(
                "l_2",
                "force to the lateral roller",
                from_to(position, lateral),
                "mm",
            );
            let what = "moment at the fracture: three-point bending, sagging";
            let moment = -(&force * &a * &b / (&a + &b));
            parts
                .vertical
                .push(sheet.add(Step::new(what, "M_v", "N·mm", moment, TEXTBOOK)));
        }
        Bench::FourPoint {
            force,
            span,
            inner_span,
        } => {
            let force = Quantity::given("F", "both forces together", force, "N");
            let reach = (span - inner_span) / 2.0;
            let reach = Quantity::given("h", "roller to the force beside it", reach, "mm");
            let what = "moment between the inner rollers: four-point bending, sagging";
            let moment = -(&force * &reach / 2.0);
            parts
                .vertical
                .push(sheet.add(Step::new(what, "M_v", "N·mm", moment, TEXTBOOK)));
        }
    }
}
