//! The weeks in plain sentences, for the talk with the patient.

use super::weeks::{ADVICE, Aftermath, MOST_HAND_MASS, Week};
use super::{ConstructAssessment, Limit};
use crate::case::Case;
use crate::load::BY_THE_SURGEON;

/// Sentences about one construct: what is allowed when, and what would go wrong.
///
/// Of the first six weeks the one that allows least is told, then a later one before union that
/// allows less than the weeks before it, then what is gained until weeks 8 and 12, as long as nothing has broken.
pub(super) fn talk(weeks: &[Week], aftermath: &Aftermath) -> Vec<String> {
    let mut sentences = Vec::new();
    let first_six = weeks.iter().filter(|week| week.at_weeks <= ADVICE.1);
    let Some(least) = first_six.min_by(|a, b| least_first(a, b)) else {
        return sentences;
    };
    sentences.push(format!(
        "In the first six weeks {}; beyond that {}.",
        allowed(least),
        least.governs.consequence()
    ));
    if least.full_cup_elevation_deg < 180.0 {
        let angle = floored(least.full_cup_elevation_deg, 5.0);
        sentences.push(format!(
            "A full cup may be raised to about {angle:.0}° on the straight arm."
        ));
    }
    let dip = dip(weeks, aftermath);
    sentences.extend(dip.map(|[before, then]| {
        let reason = match then.governs {
            Limit::TissueTears => {
                ". The callus is turning to bone then, which bears less strain than the softer \
                 tissue before it and is not yet stiff enough to spare itself"
            }
            _ => "",
        };
        format!(
            "Around week {:.0} less is allowed than in week {:.0}: {}; beyond that {}{reason}.",
            then.at_weeks,
            before.at_weeks,
            allowed(then),
            then.governs.consequence()
        )
    }));
    let mut before = least;
    for at in [8.0, 12.0] {
        let is_whole = aftermath.breaks_after_weeks.is_none_or(|week| at < week);
        let Some(then) = weeks.iter().find(|week| week.at_weeks == at) else {
            continue;
        };
        let lasts = dip.is_none_or(|[_, then]| then.at_weeks < at);
        if is_whole && lasts && allows_more(then, before) {
            sentences.push(format!(
                "From week {at:.0} on {}, if it heals as reckoned.",
                allowed(then)
            ));
            before = then;
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
    sentences.extend(after_accidents(weeks));
    sentences.push(format!(
        "These are limits of implant, bone and callus alone. Wound, muscle and pain set their own, and \
         the usual advice is a full cup for {:.0} weeks (common practice, no source).",
        ADVICE.1
    ));
    sentences
}

/// Two weeks before union of which the later allows less: the last before it falls, and the least
/// from there on.
fn dip<'w>(weeks: &'w [Week], aftermath: &Aftermath) -> Option<[&'w Week; 2]> {
    let before_union = |week: &&Week| {
        let united = aftermath.united_after_weeks;
        united.is_none_or(|united| week.at_weeks < united)
    };
    let falls = |pair: &[Week]| allows_more(&pair[0], &pair[1]);
    let from = weeks.windows(2).position(falls)?;
    let later = weeks[from + 1..].iter().filter(before_union);
    let least = later.min_by(|a, b| least_first(a, b))?;
    Some([&weeks[from], least])
}

/// The week that allows less comes first.
fn least_first(a: &Week, b: &Week) -> std::cmp::Ordering {
    let raised = a.allowed_elevation_deg.total_cmp(&b.allowed_elevation_deg);
    raised.then(a.allowed_hand_mass_kg.total_cmp(&b.allowed_hand_mass_kg))
}

/// Whether a week allows so much more than another that it is worth telling: a fifth and 100 g, or
/// 5°.
fn allows_more(week: &Week, than: &Week) -> bool {
    let heavier = week.allowed_hand_mass_kg > 1.2 * than.allowed_hand_mass_kg + 0.1;
    let higher = week.allowed_elevation_deg > than.allowed_elevation_deg + 5.0;
    heavier || higher
}

/// Until when an accident would be too much, and what it would do.
fn after_accidents(weeks: &[Week]) -> Vec<String> {
    let Some(first) = weeks.first() else {
        return Vec::new();
    };
    let numbers = 0..first.accidents.len();
    numbers
        .filter_map(|number| {
            let too_much = |week: &&Week| week.accidents[number].margin < 1.0;
            let last = weeks.iter().rfind(too_much)?;
            let accident = &last.accidents[number];
            let first = &first.accidents[number];
            let is_last = last.at_weeks == weeks[weeks.len() - 1].at_weeks;
            Some(format!(
                "Up to week {:.0}{} ‘{}’ must not happen: {}.",
                last.at_weeks,
                if is_last { ", the last looked at," } else { "" },
                accident.name,
                first.governs.consequence()
            ))
        })
        .collect()
}

/// What a week allows the arm, as part of a sentence.
fn allowed(week: &Week) -> String {
    if week.allowed_elevation_deg < 180.0 {
        let angle = floored(week.allowed_elevation_deg, 5.0);
        format!("the empty arm may be raised to about {angle:.0}°")
    } else if week.allowed_hand_mass_kg < 0.1 {
        "the empty arm may be raised freely".to_owned()
    } else {
        let held = mass(week.allowed_hand_mass_kg);
        format!("the level arm may hold up to {held}")
    }
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
    let names = |done: bool| -> Vec<&str> {
        let routine = case.aftercare.routine.iter();
        let wanted = routine.filter(|activity| activity.phases.is_empty() != done);
        wanted.map(|activity| activity.name.as_str()).collect()
    };
    let activities = names(true);
    let accidents = match names(false).as_slice() {
        [] => String::new(),
        accidents => format!(" Looked at by itself, once: {}.", accidents.join("; ")),
    };
    let surgeon = match activities.contains(&BY_THE_SURGEON) {
        true => {
            " (the full range by the surgeon, but as forceful as by the patient: an upper bound)"
        }
        false => "",
    };
    format!(
        "Weeks: {}callus modulus log-linear in time, slower while strain in the gap stays above 10 % and \
         in fixation too stiff for callus (assumptions); damage of the device by Miner's rule, {} with \
         what is locked in as mean, {} % of parts surviving, over: {}{surgeon}. A load is allowed when device, \
         screws and bone do not yield, no screw pulls out, the device bears it {:.0} times, over \
         an open gap half of what would buckle the construct is not passed, and the strain in the gap, \
         counted over 2 mm at the least, stays below what the tissue of that week bears: 100 % \
         granulation, 10 % cartilage, 2 % bone, so that stiffer tissue may for a time allow less.{accidents}",
        nothing_yet(case),
        fatigue.mean_stress.word(),
        fatigue.reliability_percent,
        activities.join("; "),
        case.aftercare.repeats,
    )
}

/// That the first week is that of the comparison, as the beginning of a sentence.
fn nothing_yet(case: &Case) -> &'static str {
    match (
        case.aftercare.healing.first_tissue > 0.0,
        case.fracture.callus,
    ) {
        (true, None) => {
            "in the first nothing bridges the gap, as in the comparison; granulation tissue does from \
             week 1 on (assumption), so that later margins are larger than those of the comparison; "
        }
        (true, Some(_)) => {
            "they begin with the operation and nothing in the gap, while the comparison has the \
             callus of the case; "
        }
        (false, _) => "",
    }
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
        format!("{MOST_HAND_MASS:.0} kg")
    } else if kilograms >= 1.0 {
        format!("{} kg", floored(kilograms, 0.5))
    } else {
        format!("{:.0} g", 1000.0 * floored(kilograms, 0.1))
    }
}

fn floored(value: f64, step: f64) -> f64 {
    (value / step + 1e-9).floor() * step
}

#[cfg(test)]
mod tests {
    use super::*;

    fn week(at_weeks: f64, allowed_hand_mass_kg: f64) -> Week {
        Week {
            at_weeks,
            callus_modulus_mpa: 1.0,
            strain_percent: 0.0,
            hardest_activity: String::new(),
            worst_section: String::new(),
            stress_mpa: 0.0,
            static_margin: None,
            damage: 0.0,
            allowed_hand_mass_kg,
            allowed_elevation_deg: 180.0,
            full_cup_elevation_deg: 180.0,
            governs: Limit::DeviceBends,
            allowed_strap_force_n: None,
            strap_governs: None,
            accidents: Vec::new(),
        }
    }

    /// What a later week gains is told from a fifth and 100 g more on: from 2 kg, above 2.5 kg.
    #[test]
    fn only_a_gain_worth_telling_is_told() {
        let aftermath = Aftermath {
            united_after_weeks: None,
            damage_at_union: 0.0,
            breaks_after_weeks: None,
            most_damaged: None,
            bent_after_weeks: None,
            bent_by: None,
            talk: Vec::new(),
            mechanics: "contact",
        };
        for (later, told) in [(2.45, false), (2.55, true)] {
            let said = talk(&[week(0.0, 2.0), week(8.0, later)], &aftermath);
            let found = said.iter().any(|s| s.starts_with("From week 8"));
            assert_eq!(found, told, "{later} kg: {said:?}");
        }
    }
}
