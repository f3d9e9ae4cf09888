//! Sobol's indices of each input with their intervals.

use plotters::prelude::DrawingBackend;

use super::names;
use super::panel::Scale;
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, PAPER, QUIET, Sheet, Stroke, Type, WIDTH,
};
use crate::sampling::{Estimate, Indices};
use crate::sensitivity::{Analysis, Output};

const TOP: f64 = 76.0;
const ROW: f64 = 36.0;
const NAMES: f64 = 270.0;

pub(super) fn height(analysis: &Analysis) -> f64 {
    TOP + ROW * analysis.inputs.len() as f64 + 52.0
}

pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    analysis: &Analysis,
    output: &Output,
    indices: &[Indices],
) -> Drawn<DB> {
    let title = names::cut(&names::label(&output.name), 100);
    sheet.text((10.0, 16.0), &title, Type::Bold, Align::Left)?;
    let bottom = TOP + ROW * indices.len() as f64;
    let all = || indices.iter().flat_map(|each| [each.first, each.total]);
    let least = all().map(|each| each.from).fold(0.0, f64::min);
    let most = all().map(|each| each.to).fold(1.0, f64::max);
    let scale = Scale::round((least, most), (NAMES, WIDTH - 30.0), 10);
    for (value, text) in &scale.ticks {
        let x = scale.axis.at(*value);
        let colour = if value.abs() < 1e-9 { QUIET } else { GRID };
        sheet.line(&[(x, TOP - 6.0), (x, bottom)], Stroke::solid(colour, 1.0))?;
        sheet.text((x, bottom + 12.0), text, Type::Quiet, Align::Centre)?;
    }
    let legend = [
        ("first order: this input alone", true),
        ("total: with all others", false),
    ];
    for (nth, (words, filled)) in legend.into_iter().enumerate() {
        let x = NAMES + 260.0 * nth as f64;
        mark(sheet, (x + 6.0, 44.0), filled)?;
        sheet.text((x + 18.0, 44.0), words, Type::Quiet, Align::Left)?;
    }
    for (row, &input) in output.ranking.iter().enumerate() {
        let y = TOP + ROW * (row as f64 + 0.5);
        let name = names::cut(&names::label(&analysis.inputs[input].name), 38);
        sheet.text((NAMES - 14.0, y), &name, Type::Label, Align::Right)?;
        let Indices { first, total } = &indices[input];
        let lane = |estimate: &Estimate, y: f64, filled: bool| {
            let ends = [estimate.from, estimate.to].map(|end| (scale.axis.at(end), y));
            sheet.line(&ends, Stroke::solid(INK, 1.4))?;
            mark(sheet, (scale.axis.at(estimate.value), y), filled)
        };
        lane(first, y - 7.0, true)?;
        lane(total, y + 7.0, false)?;
    }
    let foot = (0.5 * (NAMES + WIDTH - 30.0), bottom + 32.0);
    let words = "share of the variance, with its 95 % interval";
    sheet.text(foot, words, Type::Quiet, Align::Centre)
}

fn mark<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, at: (f64, f64), filled: bool) -> Drawn<DB> {
    let fill = if filled { BLUE } else { PAPER };
    sheet.disc(at, 4.5, fill, Stroke::solid(BLUE, 1.8))
}
