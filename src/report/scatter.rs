//! Chances over many virtual patients in a table and in sentences.

use crate::assess::{Assessment, Chances, ConstructAssessment, Share, Spread, percent};

use super::around::Topic;
use super::table::{Cell, Row};
use super::weeks::{self, TitledTable};

/// Heading of the sentences about one construct.
pub(super) const HEADING: &str = "Over many patients";

/// Chances of each construct; nothing if they were not asked for.
pub(super) fn table(assessment: &Assessment) -> Option<TitledTable> {
    let scatter = assessment.scatter.as_ref()?;
    let chance = |label: &str, of: &dyn Fn(&Chances) -> Share| {
        row(assessment, label, &|chances| {
            let share = of(chances);
            let [middle, from, to] = [share.probability, share.from, share.to].map(percent);
            Cell::Words(format!("{middle} ({from}–{to})"))
        })
    };
    let damage = |label: &str, of: &dyn Fn(&Spread) -> f64| {
        row(assessment, label, &|chances| {
            weeks::damage(of(&chances.damage_at_union))
        })
    };
    let union = |label: &str, of: &dyn Fn(&Spread) -> f64| {
        row(assessment, label, &|chances| {
            let weeks = chances.united_after_weeks.as_ref();
            weeks.map_or(Cell::Nothing, |weeks| Cell::Number(of(weeks)))
        })
    };
    let limit = format!("needs a limit below {} kg", scatter.hand_mass_kg);
    Some(TitledTable {
        heading: format!(
            "Chance before union over {} virtual patients (seed {}), %, with 95 % interval",
            scatter.patients, scatter.seed
        ),
        explanation:
            "The interval is that of drawing so many patients. A limit is needed where the \
                      level arm may not hold so much at some time in the first six weeks."
                .to_owned(),
        rows: vec![
            chance("device fails", &|chances| chances.fails),
            chance("  breaks by fatigue", &|chances| chances.breaks),
            chance("  bends for good", &|chances| chances.bends),
            chance(&limit, &|chances| chances.needs_limit),
            chance("not united by week 24", &|chances| chances.not_united),
            damage("damage at union, middle", &|spread| spread.median),
            damage("  one in twenty above", &|spread| spread.to),
            union("united after, weeks, middle", &|spread| spread.median),
            union("  one in twenty before", &|spread| spread.from),
            union("  one in twenty after", &|spread| spread.to),
        ],
    })
}

fn row(assessment: &Assessment, label: &str, cell: &dyn Fn(&Chances) -> Cell) -> Row {
    let of = |construct: &ConstructAssessment| {
        let chances = construct.chances.as_ref();
        chances.map_or(Cell::Nothing, cell)
    };
    Row {
        label: label.to_owned(),
        activity: None,
        cells: assessment.constructs.iter().map(of).collect(),
    }
}

/// How one construct fares in many patients.
pub(super) fn topic(construct: &ConstructAssessment) -> Option<Topic> {
    let chances = construct.chances.as_ref()?;
    Some(Topic {
        heading: HEADING,
        sentences: chances.sentences.clone(),
    })
}
