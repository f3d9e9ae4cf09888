//! The weeks after the operation in tables and sentences.

use crate::assess::{
    ADVICE, Assessment, ConstructAssessment, MOST_HAND_MASS, MOST_STRAP_FORCE, Week,
};

use super::around::Topic;
use super::number::{plain, three_figures, three_figures_or_dash};
use super::table::{Cell, Row};
use super::words::shortened;

/// Heading of the sentences for the patient.
pub(super) const TALK: &str = "For the talk with the patient";

/// Less than this counts as an empty hand, kg. Assumption: a pencil.
const LEAST_MASS: f64 = 0.02;

/// A table with one column for each construct.
pub(super) struct TitledTable {
    pub(super) heading: String,
    pub(super) explanation: String,
    pub(super) rows: Vec<Row>,
}

/// Allowed loads and damage by week; nothing if the weeks were not asked for.
pub(super) fn tables(assessment: &Assessment) -> Vec<TitledTable> {
    if assessment.constructs.iter().all(|c| c.weeks.is_empty()) {
        return Vec::new();
    }
    let (cup, until) = ADVICE;
    let mut tables = vec![TitledTable {
        heading: "Allowed in the hand of the level arm, kg, and what limits it".to_owned(),
        explanation: format!(
            "Where not even the empty arm may be level: how far it may be raised. Usual advice: \
             nothing heavier than a full cup, about {cup} kg, for {until:.0} weeks (common practice, \
             no source). All of it presumes that nothing has bent or broken before."
        ),
        rows: rows(assessment, &[0, 2, 4, 6, 8, 12, 16, 24], allowed_in_hand),
    }];
    let strap = rows(assessment, &[0, 2, 6, 12, 24], allowed_strap);
    if !strap.is_empty() {
        tables.push(TitledTable {
            heading: "Allowed strap force on the clavicle, N, and what limits it".to_owned(),
            explanation: "Three kilograms of a backpack without a hip belt press with about 8 N \
                          while walking (assumption)."
                .to_owned(),
            rows: strap,
        });
    }
    for name in accident_names(assessment) {
        tables.push(TitledTable {
            explanation:
                "What it bears over what the accident asks for, once, if nothing has bent or \
                          broken before; below 1 it gives way. How the force is shared between the \
                          bone and the muscles of the shoulder blade is uncertain."
                    .to_owned(),
            rows: rows(assessment, &[0, 2, 6, 12, 24], |week| accident(week, name)),
            heading: format!("If it happens: {name}, and what gives way first"),
        });
    }
    tables.push(TitledTable {
        heading: "Damage of the device by fatigue: it breaks at 1".to_owned(),
        explanation: "With the activities of the weeks, listed below. At threads the notch factor \
                      is an upper bound, and so is the damage."
            .to_owned(),
        rows: damage_rows(assessment),
    });
    tables
}

fn rows(assessment: &Assessment, weeks: &[u32], cell: impl Fn(&Week) -> Option<Cell>) -> Vec<Row> {
    let row = |&number: &u32| {
        let of = |construct: &ConstructAssessment| {
            let mut weeks = construct.weeks.iter();
            let week = weeks.find(|week| week.at_weeks == f64::from(number));
            week.and_then(&cell).unwrap_or(Cell::Nothing)
        };
        Row {
            label: format!("week {number}"),
            activity: None,
            cells: assessment.constructs.iter().map(of).collect(),
        }
    };
    let rows = weeks.iter().map(row);
    rows.filter(|row| !row.cells.iter().all(Cell::is_nothing))
        .collect()
}

fn allowed_in_hand(week: &Week) -> Option<Cell> {
    let word = week.governs.word();
    Some(if week.allowed_elevation_deg < 180.0 {
        Cell::Words(format!("to {:.0}°, {word}", week.allowed_elevation_deg))
    } else if week.allowed_hand_mass_kg >= MOST_HAND_MASS {
        Cell::Words(format!("over {MOST_HAND_MASS:.0}"))
    } else if week.allowed_hand_mass_kg < LEAST_MASS {
        Cell::Words(format!("empty, {word}"))
    } else {
        Cell::Limited(week.allowed_hand_mass_kg, word)
    })
}

fn allowed_strap(week: &Week) -> Option<Cell> {
    let (force, limit) = (week.allowed_strap_force_n?, week.strap_governs?);
    Some(match force >= MOST_STRAP_FORCE {
        true => Cell::Words(format!("over {MOST_STRAP_FORCE:.0}")),
        false => Cell::Limited(force, limit.word()),
    })
}

/// What must not happen, by name.
fn accident_names(assessment: &Assessment) -> Vec<&str> {
    let weeks = assessment.constructs.iter().find_map(|c| c.weeks.first());
    let accidents = weeks.into_iter().flat_map(|week| &week.accidents);
    accidents.map(|accident| accident.name.as_str()).collect()
}

fn accident(week: &Week, name: &str) -> Option<Cell> {
    let accident = week.accidents.iter().find(|own| own.name == name)?;
    Some(Cell::Limited(accident.margin, accident.governs.word()))
}

fn damage_rows(assessment: &Assessment) -> Vec<Row> {
    let mut rows = rows(assessment, &[2, 4, 6, 12], |week| Some(damage(week.damage)));
    let aftermaths = || assessment.constructs.iter().map(|c| c.aftermath.as_ref());
    let mut push = |label: &str, cells: Vec<Cell>| {
        rows.push(Row {
            label: label.to_owned(),
            activity: None,
            cells,
        });
    };
    let found = |cell: Option<Cell>| cell.unwrap_or(Cell::Nothing);
    let at_union = aftermaths().map(|a| found(a.map(|a| damage(a.damage_at_union))));
    push("at union, or week 24", at_union.collect());
    let union = aftermaths().map(|aftermath| {
        found(aftermath.map(|a| match a.united_after_weeks {
            Some(week) => Cell::Number(week),
            None => Cell::Words("not by 24".to_owned()),
        }))
    });
    push("united after, weeks", union.collect());
    let breaks = aftermaths().map(|aftermath| {
        found(aftermath.map(|a| match a.breaks_after_weeks {
            Some(week) if week < 1.0 => Cell::Words("in the first".to_owned()),
            Some(week) => Cell::Verdict(week, "breaks"),
            None => Cell::Words("no".to_owned()),
        }))
    });
    push("breaks after, weeks", breaks.collect());
    rows
}

/// Damage, with a word from 1 on; beyond 100 the number says nothing any more.
pub(super) fn damage(value: f64) -> Cell {
    match value {
        _ if value > 100.0 => Cell::Words("broken".to_owned()),
        _ if value >= 1.0 => Cell::Verdict(value, "breaks"),
        _ => Cell::Number(value),
    }
}

/// Every week of one construct, a line each under a heading.
pub(super) fn lines(construct: &ConstructAssessment) -> Vec<String> {
    let week = |week: &Week| {
        format!(
            "{:<4} {:<7} {:<6} {:<6} {:<6} {:<8} {}; {}",
            plain(week.at_weeks),
            three_figures(week.callus_modulus_mpa),
            three_figures(week.strain_percent),
            three_figures(week.stress_mpa),
            three_figures_or_dash(week.static_margin),
            match week.damage > 100.0 {
                true => "over 100".to_owned(),
                false => three_figures(week.damage),
            },
            shortened(&week.hardest_activity, 26),
            shortened(&week.worst_section, 24),
        )
    };
    if construct.weeks.is_empty() {
        return Vec::new();
    }
    let headings = [
        "week callus  strain stress static damage   hardest activity and where".to_owned(),
        "     MPa     %      MPa    margin so far".to_owned(),
    ];
    let weeks = construct.weeks.iter().map(week);
    headings.into_iter().chain(weeks).collect()
}

/// What to tell the patient.
pub(super) fn talk(construct: &ConstructAssessment) -> Option<Topic> {
    let aftermath = construct.aftermath.as_ref()?;
    Some(Topic {
        heading: TALK,
        sentences: aftermath.talk.clone(),
    })
}
