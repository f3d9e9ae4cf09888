//! The load allowed in the hand, week by week, beside the usual advice.

use plotters::prelude::DrawingBackend;

use crate::assess::{ADVICE, Assessment, ConstructAssessment, MOST_HAND_MASS, Week};
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, PAPER, Point, SHADE, Sheet, Stroke, Type, VERMILION, WIDTH,
};
use crate::report::words::shortened;

use super::axis::Axis;

const COLUMNS: usize = 3;
const TOP: f64 = 44.0;
const LEFT: f64 = 56.0;
const PANEL_HEIGHT: f64 = 236.0;
/// Of a panel: its heading, its plot, its weeks.
const HEADING: f64 = 46.0;
const WEEKS_BELOW: f64 = 34.0;
const BETWEEN: f64 = 54.0;
/// Lightest mass on the scale, kg; less counts as nothing.
const LEAST: f64 = 0.1;
/// Height of the lane for nothing.
const NONE_LANE: f64 = 26.0;
const LAST_WEEK: f64 = 24.0;

pub(super) fn height(assessment: &Assessment) -> f64 {
    let rows = assessment.constructs.len().div_ceil(COLUMNS) as f64;
    TOP + rows * PANEL_HEIGHT + 18.0
}

/// One panel a construct, all on one scale of ratios.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
) -> Drawn<DB> {
    let title = "Allowed in the hand of the level arm, kg";
    sheet.text((10.0, 16.0), title, Type::Bold, Align::Left)?;
    legend(sheet)?;
    let width = (WIDTH - LEFT + BETWEEN - 16.0) / COLUMNS as f64;
    for (number, construct) in assessment.constructs.iter().enumerate() {
        let corner = (
            LEFT + width * (number % COLUMNS) as f64,
            TOP + PANEL_HEIGHT * (number / COLUMNS) as f64,
        );
        panel(sheet, construct, corner, width - BETWEEN)?;
    }
    let below = (0.5 * WIDTH, height(assessment) - 12.0);
    let words = "weeks after the operation";
    sheet.text(below, words, Type::Quiet, Align::Centre)
}

fn legend<DB: DrawingBackend>(sheet: &Sheet<'_, DB>) -> Drawn<DB> {
    let (mass, until) = ADVICE;
    let at = (394.0, 16.0);
    sheet.line(&[at, (at.0 + 28.0, 16.0)], Stroke::dashed(INK, 1.5))?;
    let words = format!("usual advice: {mass} kg for {until:.0} weeks");
    sheet.text((at.0 + 36.0, 16.0), &words, Type::Quiet, Align::Left)?;
    let at = (at.0 + 288.0, 16.0);
    sheet.disc(at, 4.5, PAPER, Stroke::solid(BLUE, 1.5))?;
    let words = "not even empty to the level";
    sheet.text((at.0 + 11.0, 16.0), words, Type::Quiet, Align::Left)
}

fn panel<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    construct: &ConstructAssessment,
    (left, top): Point,
    width: f64,
) -> Drawn<DB> {
    let (right, upper) = (left + width, top + HEADING);
    let lower = top + PANEL_HEIGHT - WEEKS_BELOW;
    let weeks = Axis::linear((0.0, LAST_WEEK), (left, right));
    let masses = Axis::logarithmic((LEAST, MOST_HAND_MASS), (lower - NONE_LANE, upper));
    let name = shortened(&construct.name, 30);
    sheet.text((left, top + 10.0), &name, Type::Bold, Align::Left)?;

    sheet.rectangle((left, lower - NONE_LANE), (right, lower), SHADE)?;
    for week in [0.0, 6.0, 12.0, 18.0, 24.0] {
        let x = weeks.at(week);
        sheet.line(&[(x, upper), (x, lower)], Stroke::solid(GRID, 1.0))?;
        let label = format!("{week:.0}");
        sheet.text((x, lower + 11.0), &label, Type::Quiet, Align::Centre)?;
    }
    for mass in [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0] {
        let y = masses.at(mass);
        sheet.line(&[(left, y), (right, y)], Stroke::solid(GRID, 1.0))?;
        let label = format!("{mass}");
        sheet.text((left - 7.0, y), &label, Type::Quiet, Align::Right)?;
    }
    let none = lower - 0.5 * NONE_LANE;
    sheet.text((left - 7.0, none), "none", Type::Quiet, Align::Right)?;

    let (cup, until) = ADVICE;
    let (x, y) = (weeks.at(until), masses.at(cup));
    let advice = [(left, y), (x, y), (x, upper)];
    sheet.line(&advice, Stroke::dashed(INK, 1.5))?;

    let place = |week: &Week| {
        let y = match week.allowed_hand_mass_kg >= LEAST {
            true => masses.at(week.allowed_hand_mass_kg.min(MOST_HAND_MASS)),
            false => none,
        };
        (weeks.at(week.at_weeks), y)
    };
    let course: Vec<Point> = construct.weeks.iter().map(place).collect();
    sheet.line(&course, Stroke::solid(BLUE, 2.0))?;
    for (week, &at) in construct.weeks.iter().zip(&course) {
        let fill = match week.allowed_elevation_deg < 180.0 {
            true => PAPER,
            false => BLUE,
        };
        sheet.disc(at, 4.0, fill, Stroke::solid(BLUE, 1.5))?;
    }
    let breaks = construct
        .aftermath
        .as_ref()
        .and_then(|a| a.breaks_after_weeks);
    if let Some(week) = breaks {
        let x = weeks.at(week);
        let line = [(x, upper), (x, lower)];
        sheet.line(&line, Stroke::solid(VERMILION, 2.0))?;
        let words = match week < 1.0 {
            true => "breaks in the first week".to_owned(),
            false => format!("breaks after about {week:.0} weeks"),
        };
        let at = (left, top + 28.0);
        sheet.text(at, &words, Type::Quiet, Align::Left)?;
    }
    Ok(())
}
