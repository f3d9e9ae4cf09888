//! Main effects: the mean of an output against each input.

use plotters::prelude::DrawingBackend;

use super::names;
use super::panel::{COLUMNS, Scale, foot, frame, rise};
use crate::report::style::{Align, BLUE, Drawn, INK, PAPER, Point, QUIET, Sheet, Stroke, Type};
use crate::sensitivity::{Analysis, Effect, Output};

const TOP: f64 = 46.0;
const PANEL: f64 = 170.0;
const PITCH: f64 = PANEL + 70.0;

pub(super) fn height(analysis: &Analysis) -> f64 {
    TOP + PITCH * analysis.inputs.len().div_ceil(COLUMNS) as f64 - 14.0
}

/// A panel for each input, all on one scale of the output.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    analysis: &Analysis,
    output: &Output,
) -> Drawn<DB> {
    let heading = format!("mean of {}", names::cut(&names::label(&output.name), 90));
    sheet.text((10.0, 16.0), &heading, Type::Bold, Align::Left)?;
    let Some(summary) = output.summary else {
        return Ok(());
    };
    let levels = || output.effects.iter().flat_map(|effect| &effect.levels);
    let ends = levels().flat_map(|level| {
        let half = level.half.unwrap_or(0.0);
        [level.mean - half, level.mean + half]
    });
    let (least, most) = ends.fold((summary.mean, summary.mean), |(least, most), end| {
        (least.min(end), most.max(end))
    });
    for (number, (input, effect)) in analysis.inputs.iter().zip(&output.effects).enumerate() {
        let top = TOP + PITCH * (number / COLUMNS) as f64;
        let frame = frame(number % COLUMNS, top, PANEL, 0.0);
        let up = Scale::round((least, most), (frame.bottom, frame.top), 4);
        rise(sheet, frame, &up, number % COLUMNS == 0)?;
        let mean = up.axis.at(summary.mean);
        let line = [(frame.left, mean), (frame.right, mean)];
        sheet.line(&line, Stroke::dashed(QUIET, 1.0))?;
        let across = across(effect, (frame.left, frame.right));
        foot(sheet, frame, &across, &input.name)?;

        let points: Vec<Point> = places(effect)
            .zip(&effect.levels)
            .map(|(place, level)| (across.axis.at(place), up.axis.at(level.mean)))
            .collect();
        for (point, level) in points.iter().zip(&effect.levels) {
            let Some(half) = level.half else { continue };
            let ends = [level.mean - half, level.mean + half].map(|end| (point.0, up.axis.at(end)));
            sheet.line(&ends, Stroke::solid(INK, 1.2))?;
        }
        let in_order = effect.levels.iter().all(|level| level.word.is_none());
        if in_order {
            sheet.line(&points, Stroke::solid(BLUE, 2.0))?;
        }
        if points.len() <= 25 {
            for point in points {
                sheet.disc(point, 3.5, PAPER, Stroke::solid(BLUE, 1.6))?;
            }
        }
    }
    Ok(())
}

/// The axis of an input's levels.
fn across(effect: &Effect, pixels: (f64, f64)) -> Scale {
    let words: Option<Vec<String>> = effect
        .levels
        .iter()
        .map(|level| level.word.clone())
        .collect();
    match words {
        Some(words) if !words.is_empty() => Scale::words(&words, pixels),
        _ => {
            let ends = effect.levels.first().zip(effect.levels.last());
            let (first, last) = ends.map_or((0.0, 0.0), |(first, last)| (first.from, last.to));
            Scale::about((first, last), pixels, 5)
        }
    }
}

/// Where each level stands on that axis.
fn places(effect: &Effect) -> impl Iterator<Item = f64> {
    let levels = effect.levels.iter().enumerate();
    levels.map(|(number, level)| match level.word {
        Some(_) => number as f64,
        None => level.centre,
    })
}
