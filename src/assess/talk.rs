//! The weeks in plain sentences, for the talk with the patient.

use super::ConstructAssessment;
use super::weeks::{Aftermath, MOST_HAND_MASS, Week};
use crate::case::Case;

/// Sentences about one construct: what is allowed when, and what would go wrong.
///
/// They take the place of no advice: numbers hold for the model's bone, loads and healing.
pub(super) fn talk(weeks: &[Week], aftermath: &Aftermath) -> Vec<String> {
    let mut sentences = Vec::new();
    sentences.extend(weeks.first().map(|week| {
        let raised = match week.allowed_elevation_deg < 180.0 {
            true => format!(
                "the empty arm may be raised to about {:.0}°",
                floored(week.allowed_elevation_deg, 5.0)
            ),
            false => format!(
                "the empty arm may be raised freely, with up to {} in the hand of the level arm",
                mass(week.allowed_hand_mass_kg)
            ),
        };
        format!(
            "At first {raised}; beyond that {}.",
            week.governs.consequence()
        )
    }));
    sentences.extend(
        weeks
            .first()
            .filter(|week| week.full_cup_elevation_deg < 180.0)
            .map(|week| {
                let angle = floored(week.full_cup_elevation_deg, 5.0);
                format!("A full cup may be raised to about {angle:.0}° on the straight arm.")
            }),
    );
    let whole_in = |week: f64| {
        aftermath
            .breaks_after_weeks
            .is_none_or(|breaks| week < breaks)
    };
    for [from, to] in [[0, 6], [6, 12]]
        .into_iter()
        .filter(|[_, to]| whole_in(f64::from(*to)))
    {
        let at = |number: i32| weeks.iter().find(|week| week.at_weeks == f64::from(number));
        let (Some(before), Some(then)) = (at(from), at(to)) else {
            continue;
        };
        if then.allowed_hand_mass_kg > 1.2 * before.allowed_hand_mass_kg + 0.05 {
            sentences.push(format!(
                "From week {to} on the level arm may hold {}, if it heals as reckoned.",
                mass(then.allowed_hand_mass_kg)
            ));
        } else if then.allowed_elevation_deg > before.allowed_elevation_deg + 5.0 {
            let angle = floored(then.allowed_elevation_deg, 5.0);
            sentences.push(format!(
                "From week {to} on the empty arm may be raised to about {angle:.0}°, if it heals as \
                 reckoned."
            ));
        }
    }
    sentences.push(match aftermath.united_after_weeks {
        Some(week) => format!(
            "If the implant holds, the bone should have united after about {week:.0} weeks."
        ),
        None => "In this reckoning the bone has not united after 24 weeks.".to_owned(),
    });
    if let (Some(week), Some(activity)) = (aftermath.bent_after_weeks, &aftermath.bent_by) {
        sentences.push(format!(
            "‘{activity}’ would bend the implant for good in week {week:.0}: it is too much for it \
             then."
        ));
    }
    sentences.extend(aftermath.breaks_after_weeks.map(|week| {
        format!(
            "With the activities of the plan the implant would break by fatigue {}, before the \
             bone has united.",
            after(week)
        )
    }));
    sentences
}

/// Warnings about the weeks.
pub(super) fn flags(aftermath: &Aftermath) -> Vec<String> {
    let mut flags = Vec::new();
    let place = aftermath.most_damaged.as_deref().unwrap_or("device");
    flags.extend(aftermath.breaks_after_weeks.map(|week| {
        format!(
            "week by week, the device ({place}) breaks by fatigue {}, before the bone unites",
            after(week)
        )
    }));
    let bent = aftermath.bent_after_weeks.zip(aftermath.bent_by.as_ref());
    flags.extend(bent.map(|(week, activity)| {
        format!("week by week, '{activity}' bends the device for good in week {week:.0}")
    }));
    if aftermath.mechanics == "linear" {
        let flag = "contact did not settle in some week, so its weeks are the linear answer";
        flags.push(flag.to_owned());
    }
    flags
}

/// The answer of the weeks: what does not last until the bone unites.
pub(super) fn summary(constructs: &[ConstructAssessment]) -> Option<String> {
    let breaks = |construct: &&ConstructAssessment| {
        let aftermath = construct.aftermath.as_ref();
        aftermath.is_some_and(|aftermath| aftermath.breaks_after_weeks.is_some())
    };
    let names: Vec<&str> = constructs
        .iter()
        .filter(breaks)
        .map(|construct| construct.name.as_str())
        .collect();
    (!names.is_empty()).then(|| {
        let names = names.join(", ");
        format!(
            "Breaks by fatigue before the bone unites, with the activities of the weeks: {names}."
        )
    })
}

/// What the weeks were reckoned with.
pub(super) fn method(case: &Case) -> String {
    let fatigue = &case.aftercare.fatigue;
    let activities: Vec<&str> = case
        .aftercare
        .routine
        .iter()
        .map(|activity| activity.name.as_str())
        .collect();
    format!(
        "Weeks: callus modulus log-linear in time, slower while strain in the gap stays above 10 % and \
         in fixation too stiff for callus (assumptions); damage of the device by Miner's rule, {} with \
         what is locked in as mean, {} % of parts surviving, over: {}. A load is allowed when device, \
         screws and bone do not yield, no screw pulls out, the device bears it {:.0} times, and the \
         strain in the gap, counted over 2 mm at the least, stays below what the tissue of that week bears: 100 % granulation, 10 % cartilage, 2 % \
         bone, so that stiffer tissue may for a time allow less. Pushing off from a chair and a fall are \
         left out.",
        fatigue.mean_stress.word(),
        fatigue.reliability_percent,
        activities.join("; "),
        case.aftercare.repeats,
    )
}

fn after(week: f64) -> String {
    match week < 1.0 {
        true => "within the first week".to_owned(),
        false => format!("after about {week:.0} weeks"),
    }
}

/// Rounded down to what is easily said: a hundred grams, above a kilogram half of one.
fn mass(kilograms: f64) -> String {
    if kilograms >= MOST_HAND_MASS {
        format!("{MOST_HAND_MASS:.0} kg and more")
    } else if kilograms >= 1.0 {
        format!("{} kg", floored(kilograms, 0.5))
    } else if kilograms >= 0.1 {
        format!("{:.0} g", 1000.0 * floored(kilograms, 0.1))
    } else {
        "nothing".to_owned()
    }
}

fn floored(value: f64, step: f64) -> f64 {
    (value / step + 1e-9).floor() * step
}
