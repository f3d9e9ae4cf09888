//! Chance of failure before union, and how the damage spreads over virtual patients.

use plotters::prelude::DrawingBackend;

use crate::assess::{Assessment, Chances, Share, percent};
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, PAPER, SHADE, Sheet, Stroke, Type, VERMILION, WIDTH,
};

use super::axis::Axis;
use super::name_of_row;

const TOP: f64 = 84.0;
const ROW: f64 = 46.0;
/// Failing stands so far above the middle of a row, needing a limit below.
const LANE: f64 = 9.0;
const NAMES: f64 = 180.0;
/// Ends of the two scales.
const CHANCE: (f64, f64) = (NAMES + 10.0, 490.0);
const DAMAGE: (f64, f64) = (590.0, WIDTH - 34.0);
/// Where the chances stand in figures.
const FIGURES: f64 = CHANCE.1 + 14.0;
/// Damage outside these is drawn at the edge.
const SHOWN: (f64, f64) = (1e-6, 100.0);

pub(super) fn height(assessment: &Assessment) -> f64 {
    bottom(assessment) + 46.0
}

fn bottom(assessment: &Assessment) -> f64 {
    TOP + ROW * assessment.constructs.len() as f64
}

/// A row for each construct: chances with their intervals on the left, damage on the right.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
) -> Drawn<DB> {
    let bottom = bottom(assessment);
    let chance = Axis::linear((0.0, 100.0), CHANCE);
    let damage = Axis::logarithmic(SHOWN, DAMAGE);
    scales(sheet, &chance, &damage, bottom)?;
    legend(sheet, assessment)?;
    for (row, construct) in assessment.constructs.iter().enumerate() {
        let middle = TOP + ROW * (row as f64 + 0.5);
        name_of_row(sheet, &construct.name, (NAMES - 10.0, middle))?;
        match &construct.chances {
            Some(chances) => {
                share(sheet, &chance, &chances.fails, middle - LANE, true)?;
                share(sheet, &chance, &chances.needs_limit, middle + LANE, false)?;
                spread(sheet, &damage, chances, middle)?;
            }
            None => {
                let at = (CHANCE.0 + 6.0, middle);
                sheet.text(at, "fits no patient", Type::Quiet, Align::Left)?;
            }
        }
    }
    Ok(())
}

fn scales<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    chance: &Axis,
    damage: &Axis,
    bottom: f64,
) -> Drawn<DB> {
    let top = TOP - 6.0;
    let one = damage.at(1.0);
    sheet.rectangle((one, top), (DAMAGE.1, bottom), SHADE)?;
    for percent in [0.0, 20.0, 40.0, 60.0, 80.0, 100.0] {
        let x = chance.at(percent);
        sheet.line(&[(x, top), (x, bottom)], Stroke::solid(GRID, 1.0))?;
        let label = format!("{percent:.0}");
        sheet.text((x, bottom + 12.0), &label, Type::Quiet, Align::Centre)?;
    }
    for (value, label) in [
        (1e-6, "10⁻⁶"),
        (1e-4, "10⁻⁴"),
        (1e-2, "0.01"),
        (1.0, "1"),
        (100.0, "100"),
    ] {
        let x = damage.at(value);
        sheet.line(&[(x, top), (x, bottom)], Stroke::solid(GRID, 1.0))?;
        sheet.text((x, bottom + 12.0), label, Type::Quiet, Align::Centre)?;
    }
    sheet.line(&[(one, top - 14.0), (one, bottom)], Stroke::solid(INK, 1.5))?;
    sheet.text((one + 8.0, top - 9.0), "breaks", Type::Label, Align::Left)?;
    let words = "chance with its 95 % interval, %";
    let at = (0.5 * (CHANCE.0 + CHANCE.1), bottom + 32.0);
    sheet.text(at, words, Type::Quiet, Align::Centre)?;
    let words = "damage at union: middle, and nine patients in ten";
    let at = (0.5 * (DAMAGE.0 + DAMAGE.1), bottom + 32.0);
    sheet.text(at, words, Type::Quiet, Align::Centre)
}

fn legend<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, assessment: &Assessment) -> Drawn<DB> {
    let scatter = assessment.scatter.as_ref();
    let title = format!(
        "Over {} virtual patients",
        scatter.map_or(0, |scatter| scatter.patients)
    );
    sheet.text((10.0, 16.0), &title, Type::Bold, Align::Left)?;
    let mass = scatter.map_or(0.0, |scatter| scatter.hand_mass_kg);
    let limit = format!("needs a limit below {mass} kg in the first six weeks");
    let entries = [
        (CHANCE.0, true, "fails before union"),
        (CHANCE.0 + 160.0, false, limit.as_str()),
    ];
    for (x, filled, words) in entries {
        mark(sheet, (x, 42.0), filled)?;
        sheet.text((x + 12.0, 42.0), words, Type::Quiet, Align::Left)?;
    }
    Ok(())
}

fn mark<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, (x, y): (f64, f64), filled: bool) -> Drawn<DB> {
    match filled {
        true => sheet.disc((x, y), 5.0, VERMILION, Stroke::solid(VERMILION, 1.5)),
        false => sheet.disc((x, y), 5.0, PAPER, Stroke::solid(BLUE, 2.0)),
    }
}

fn share<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    axis: &Axis,
    share: &Share,
    y: f64,
    filled: bool,
) -> Drawn<DB> {
    let [middle, from, to] =
        [share.probability, share.from, share.to].map(|each| axis.at(100.0 * each));
    let colour = if filled { VERMILION } else { BLUE };
    sheet.line(&[(from, y), (to, y)], Stroke::solid(colour, 2.0))?;
    for end in [from, to] {
        let bar = [(end, y - 4.0), (end, y + 4.0)];
        sheet.line(&bar, Stroke::solid(colour, 2.0))?;
    }
    mark(sheet, (middle, y), filled)?;
    let figures = percent(share.probability);
    sheet.text((FIGURES, y), &figures, Type::Quiet, Align::Left)
}

fn spread<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    axis: &Axis,
    chances: &Chances,
    y: f64,
) -> Drawn<DB> {
    let place = |value: f64| axis.at(value.clamp(SHOWN.0, SHOWN.1));
    let spread = chances.damage_at_union;
    let [from, middle, to] = [spread.from, spread.median, spread.to].map(place);
    sheet.line(&[(from, y), (to, y)], Stroke::solid(INK, 3.0))?;
    sheet.disc((middle, y), 5.0, INK, Stroke::solid(INK, 1.0))?;
    if spread.from < SHOWN.0 {
        sheet.text((DAMAGE.0 - 6.0, y), "←", Type::Label, Align::Right)?;
    }
    if spread.to > SHOWN.1 {
        sheet.text((DAMAGE.1 + 6.0, y), "→", Type::Label, Align::Left)?;
    }
    Ok(())
}
