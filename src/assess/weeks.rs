//! Week by week after the operation: how stiff the callus is, what damage the implant has
//! gathered, and what the patient may do.

use std::f64::consts::FRAC_PI_2;

use schemars::JsonSchema;
use serde::Serialize;

use super::allowed::{AllowedLoad, Judge, Limit};
use super::compare::Unsettled;
use super::history::{History, Stretch, Walk, Wear, reached, value_at};
use super::sizes::compared;
use super::solved::AssessError;
use super::{Assessment, talk};
use crate::case::Case;
use crate::construct::Mechanics;
use crate::device::Device;
use crate::frame::SolveError;
use crate::load::{Arm, Loading, Setup, Strap};

/// Largest mass in the hand that is looked for, kg. Assumption: near what the fixed bone bears.
pub const MOST_HAND_MASS: f64 = 10.0;

/// Largest strap force that is looked for, N. Assumption: some 80 kg on the back.
pub const MOST_STRAP_FORCE: f64 = 400.0;

/// What is usually advised: at most this mass in the hand, kg, up to this week.
///
/// Source: a full cup for six weeks, common practice, no source; its mass is an assumption.
pub const ADVICE: (f64, f64) = (0.4, 6.0);

/// A construct in one week after the operation.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Week {
    /// Weeks since the operation.
    pub at_weeks: f64,
    /// Young's modulus of the callus, MPa. Zero in the first week of the usual course: nothing
    /// bridges the gap then, as in the comparison, unless that has callus of its own.
    pub callus_modulus_mpa: f64,
    /// Strain in the healing gap, 2 mm wide at the least, over the week's activities by their
    /// cycles, %; in the first week that of the tissue that is forming.
    pub strain_percent: f64,
    /// The activity of the week that brings the device nearest to bending for good; it is one of
    /// the weeks, not of those compared.
    pub hardest_activity: String,
    /// Where it does.
    pub worst_section: String,
    /// Nominal stress there, MPa.
    pub stress_mpa: f64,
    /// Proof stress over it, with the callus of the week, which the comparison does not count
    /// on; absent when nothing acts.
    pub static_margin: Option<f64>,
    /// Damage of the device up to this week by Miner's rule; it breaks at 1.
    pub damage: f64,
    /// Largest mass in the hand of the level arm, kg; zero when not even the empty arm may be
    /// level. At most [`MOST_HAND_MASS`] is looked for.
    pub allowed_hand_mass_kg: f64,
    /// How far the empty arm may be raised, deg; 180 when it is free.
    pub allowed_elevation_deg: f64,
    /// How far a full cup may be raised on the straight arm, deg; 180 when it is free.
    pub full_cup_elevation_deg: f64,
    /// What limits all three.
    pub governs: Limit,
    /// Largest force of a strap on the clavicle, N; absent when no strap is in the case. At most
    /// [`MOST_STRAP_FORCE`] is looked for.
    pub allowed_strap_force_n: Option<f64>,
    /// What limits it.
    pub strap_governs: Option<Limit>,
    /// What must not happen, such as a fall: the activities of the routine without cycles.
    pub accidents: Vec<Accident>,
}

/// What an accident does to a construct.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Accident {
    /// Name in the routine.
    pub name: String,
    /// The nearest limit over what the accident asks for; below 1 it gives way.
    pub margin: f64,
    /// What is nearest to giving way.
    pub governs: Limit,
}

/// How the weeks come out for one construct.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Aftermath {
    /// Weeks until the fracture has united; absent if it has not by the last week looked at.
    pub united_after_weeks: Option<f64>,
    /// Damage of the device by then, or at the last week.
    pub damage_at_union: f64,
    /// Weeks until the device breaks; absent if it does not before union.
    pub breaks_after_weeks: Option<f64>,
    /// Where it is damaged most.
    pub most_damaged: Option<String>,
    /// Week before union in which an activity of the routine first bends the device for good.
    pub bent_after_weeks: Option<f64>,
    /// That activity.
    pub bent_by: Option<String>,
    /// Plain sentences for the talk with the patient.
    pub talk: Vec<String>,
    /// `contact` or `linear`: how the parts act on each other in this reckoning.
    pub mechanics: &'static str,
}

/// Adds the weeks after the operation to every construct of a comparison.
///
/// # Errors
/// When a construct has a part that nothing holds; the error names the construct.
pub fn add_weeks(
    assessment: &mut Assessment,
    case: &Case,
    mechanics: Mechanics,
) -> Result<(), AssessError> {
    // One thread a construct: they share nothing.
    let found: Vec<Result<_, AssessError>> = std::thread::scope(|scope| {
        let reckonings: Vec<_> = case
            .constructs
            .iter()
            .zip(&assessment.constructs)
            .enumerate()
            .map(|(index, ((name, _), assessed))| {
                let device = compared(case, index, assessed);
                scope.spawn(move || reckoned(name, device, case, mechanics, Unsettled::Linear))
            })
            .collect();
        reckonings
            .into_iter()
            .map(|reckoning| reckoning.join().expect("a reckoning does not panic"))
            .collect()
    });
    for (construct, found) in assessment.constructs.iter_mut().zip(found) {
        let (weeks, aftermath) = found?;
        construct.flags.extend(talk::flags(&aftermath));
        construct.weeks = weeks;
        construct.aftermath = Some(aftermath);
    }
    assessment
        .summary
        .extend(talk::summary(&assessment.constructs));
    assessment.fixtures.push(talk::method(case));
    Ok(())
}

/// The weeks of one construct.
pub(super) fn reckoned(
    name: &str,
    device: &Device,
    case: &Case,
    mechanics: Mechanics,
    unsettled: Unsettled,
) -> Result<(Vec<Week>, Aftermath), AssessError> {
    let failed = |source| AssessError {
        construct: name.to_owned(),
        source,
    };
    let run = |mechanics| walked(device, case, mechanics).map_err(failed);
    let (weeks, mut aftermath) = match run(mechanics) {
        Err(error) if error.is_unsettled() && unsettled == Unsettled::Linear => {
            run(Mechanics::Linear)?
        }
        settled => settled?,
    };
    aftermath.talk = talk::talk(&weeks, &aftermath);
    Ok((weeks, aftermath))
}

fn walked(
    device: &Device,
    case: &Case,
    mechanics: Mechanics,
) -> Result<(Vec<Week>, Aftermath), SolveError> {
    let beside: Vec<Setup> = [Some(level_arm(case)), unit_strap(case)]
        .into_iter()
        .flatten()
        .collect();
    let walk = Walk {
        case,
        device,
        mechanics,
        beside: &beside,
        load: 1.0,
        callus: 1.0,
        until_union: false,
    };
    let mut allowed: Vec<(Option<f64>, Allowed)> = Vec::new();
    let history = walk.run(|state, stretch| {
        let same = allowed
            .last()
            .filter(|(modulus, _)| *modulus == stretch.modulus);
        let found = match same {
            Some((_, allowed)) => allowed.clone(),
            None => {
                let judge = Judge::new(case, device, state, &beside, Wear::USUAL);
                allowed_in(&judge, case, &beside)?
            }
        };
        allowed.push((stretch.modulus, found));
        Ok(())
    })?;
    let damages = history.damages(&case.aftercare.fatigue, &Wear::USUAL);
    let damage = (damages.iter()).map(|(week, each)| (*week, largest(each).1));
    let damage: Vec<(f64, f64)> = damage.collect();
    let weeks = (history.stretches.iter().zip(&damage).zip(allowed))
        .map(|((stretch, (_, damage)), (_, allowed))| {
            week(case, &history, stretch, *damage, &allowed)
        })
        .collect();
    let last = history.lasts_until();
    let after_last = damages.last().map_or(&[][..], |(_, each)| each);
    let bent = history.bends_in();
    let aftermath = Aftermath {
        united_after_weeks: history.united,
        damage_at_union: value_at(&damage, last),
        breaks_after_weeks: reached(&damage, 1.0).filter(|week| *week <= last),
        most_damaged: (history.places.get(largest(after_last).0)).map(|place| place.name.clone()),
        bent_after_weeks: bent.map(|stretch| stretch.weeks[0]),
        bent_by: bent
            .and_then(Stretch::most_used)
            .map(|most| case.aftercare.routine[most.activity].name.clone()),
        mechanics: match mechanics {
            Mechanics::Linear => "linear",
            Mechanics::Contact => "contact",
        },
        talk: Vec::new(),
    };
    Ok((weeks, aftermath))
}

/// The level arm with an empty hand.
pub(super) fn level_arm(case: &Case) -> Setup {
    let level = Arm {
        elevation: FRAC_PI_2,
        hand_mass: 0.0,
    };
    alone(case, &Loading::arm(level))
}

/// Factor on the level empty arm that a mass in the hand comes to.
///
/// * `mass`: kg
pub(super) fn with_mass(case: &Case, mass: f64) -> f64 {
    1.0 + case.patient.hand_moment(mass) / case.patient.shoulder_moment()
}

/// A strap with a force of 1 N, if one is in the case.
fn unit_strap(case: &Case) -> Option<Setup> {
    let mut of_the_case = case.activities.iter().chain(&case.aftercare.routine);
    let strap = of_the_case.find_map(|activity| match activity.loading {
        Loading::Shoulder { strap, .. } => strap,
        Loading::Bench(_) => None,
    });
    strap.map(|strap| {
        let unit = Strap {
            force: 1.0,
            ..strap
        };
        alone(case, &Loading::strap(unit))
    })
}

/// The setup of a loading that has one.
fn alone(case: &Case, loading: &Loading) -> Setup {
    setups(case, loading).remove(0)
}

fn setups(case: &Case, loading: &Loading) -> Vec<Setup> {
    loading.setups(&case.patient, &case.clavicle, case.fracture.position)
}

/// Factors on the level arm and on the unit strap that a week allows, and what accidents do in it.
#[derive(Debug, Clone)]
struct Allowed {
    arm: AllowedLoad,
    strap: Option<AllowedLoad>,
    accidents: Vec<Accident>,
}

/// * `beside`: the level arm, then the unit strap if there is one
fn allowed_in(judge: &Judge, case: &Case, beside: &[Setup]) -> Result<Allowed, SolveError> {
    let most = with_mass(case, MOST_HAND_MASS);
    let most_strap = |strap| judge.largest_factor(strap, 50.0, MOST_STRAP_FORCE);
    let routine = case.aftercare.routine.iter();
    let accidents = routine
        .filter(|activity| activity.phases.is_empty())
        .map(|activity| {
            let (used, governs) = judge.used_once(&setups(case, &activity.loading))?;
            Ok(Accident {
                name: activity.name.clone(),
                margin: 1.0 / used,
                governs,
            })
        });
    Ok(Allowed {
        arm: judge.largest_factor(&beside[0], 1.0, most)?,
        strap: beside.get(1).map(most_strap).transpose()?,
        accidents: accidents.collect::<Result<_, SolveError>>()?,
    })
}

fn week(
    case: &Case,
    history: &History,
    stretch: &Stretch,
    damage: f64,
    Allowed {
        arm,
        strap,
        accidents,
    }: &Allowed,
) -> Week {
    let hardest = stretch.most_used();
    let name = |name: Option<&String>| name.cloned().unwrap_or_default();
    let activity = hardest.map(|most| &case.aftercare.routine[most.activity].name);
    let place = hardest.map(|most| &history.places[most.place].name);
    // What an extra kilogram adds to the factor.
    let per_mass = with_mass(case, 1.0) - 1.0;
    Week {
        at_weeks: stretch.weeks[0],
        callus_modulus_mpa: stretch.modulus.unwrap_or(0.0),
        strain_percent: stretch.strain,
        hardest_activity: name(activity),
        worst_section: name(place),
        stress_mpa: hardest.map_or(0.0, |most| most.stress),
        static_margin: hardest.map(|most| 1.0 / most.used),
        damage,
        allowed_hand_mass_kg: ((arm.factor - 1.0) / per_mass).max(0.0),
        allowed_elevation_deg: elevation(arm.factor),
        full_cup_elevation_deg: elevation(arm.factor / with_mass(case, ADVICE.0)),
        governs: arm.limit,
        allowed_strap_force_n: strap.map(|strap| strap.factor),
        strap_governs: strap.map(|strap| strap.limit),
        accidents: accidents.clone(),
    }
}

/// How far an arm may be raised whose moment at the level is `1 / share` of what is allowed,
/// deg; see [`arm_scale`](crate::load::arm_scale).
fn elevation(share: f64) -> f64 {
    match share < 1.0 {
        true => share.asin().to_degrees(),
        false => 180.0,
    }
}

/// Index and value of the largest; zero of an empty list.
fn largest(values: &[f64]) -> (usize, f64) {
    let all = values.iter().copied().enumerate();
    all.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, 0.0))
}
