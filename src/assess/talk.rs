//! The weeks in plain sentences, for the talk with the patient.

use super::weeks::{Aftermath, MOST_HAND_MASS, Week};

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
        format!("At first {raised}; beyond that {}.", week.governs.consequence())
    }));
    for [from, to] in [[0, 6], [6, 12]] {
        let at = |number: usize| weeks.iter().find(|w| w.at_weeks == number as f64);
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
        Some(week) => format!("The bone should have united after about {week:.0} weeks."),
        None => "In this reckoning the bone has not united after 24 weeks.".to_owned(),
    });
    if let Some((week, activity)) = &aftermath.bent_by {
        sentences.push(format!(
            "‘{activity}’ would bend the implant for good in week {week:.0}: it must wait."
        ));
    }
    sentences.extend(aftermath.breaks_after_weeks.map(|week| {
        format!(
            "With the activities of the plan the implant would break by fatigue after about \
             {week:.1} weeks, before the bone has united."
        )
    }));
    sentences
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
