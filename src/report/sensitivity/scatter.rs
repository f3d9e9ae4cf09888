//! Every sample: an output against each input, with the distribution of both at the margins.

use std::collections::HashSet;

use plotters::prelude::DrawingBackend;

use super::names;
use super::panel::{COLUMNS, Scale, foot, frame, rise};
use crate::report::style::{Align, BLUE, Drawn, PAPER, QUIET, Sheet, Stroke, Type};
use crate::sensitivity::{Analysis, Input, Output};
use crate::study::Cells;

const TOP: f64 = 40.0;
/// Height of the margin above a panel, and width of that at the right of a row.
const MARGIN: f64 = 42.0;
const PANEL: f64 = 180.0;
const PITCH: f64 = MARGIN + PANEL + 66.0;
/// Bars of a margin, but of words one for each.
const BARS: usize = 24;
/// Most samples drawn in a panel; of more, evenly many over the table.
pub(super) const MOST_DRAWN: usize = 400;

pub(super) fn height(analysis: &Analysis) -> f64 {
    TOP + PITCH * analysis.inputs.len().div_ceil(COLUMNS) as f64 - 8.0
}

pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    analysis: &Analysis,
    output: &Output,
) -> Drawn<DB> {
    let heading = names::cut(&names::label(&output.name), 100);
    sheet.text((10.0, 16.0), &heading, Type::Bold, Align::Left)?;
    let Some(summary) = output.summary else {
        return Ok(());
    };
    let rows: Vec<usize> = (0..output.values.len())
        .filter(|&row| output.values[row].is_finite())
        .collect();
    let last = analysis.inputs.len() - 1;
    for (number, input) in analysis.inputs.iter().enumerate() {
        let top = TOP + MARGIN + PITCH * (number / COLUMNS) as f64;
        let frame = frame(number % COLUMNS, top, PANEL, MARGIN + 6.0);
        let ends = (summary.least, summary.most);
        let up = Scale::about(ends, (frame.bottom, frame.top), 6);
        rise(sheet, frame, &up, number % COLUMNS == 0)?;
        let (across, values, span, count) = positions(input, (frame.left, frame.right));
        foot(sheet, frame, &across, &input.name)?;
        let drawn = rows.len().min(MOST_DRAWN);
        for row in (0..drawn).map(|nth| rows[nth * rows.len() / drawn]) {
            let at = (across.axis.at(values[row]), up.axis.at(output.values[row]));
            sheet.disc(at, 1.8, BLUE, Stroke::solid(PAPER, 0.4))?;
        }
        let places = rows.iter().map(|&row| values[row]);
        let foot = frame.top - 4.0;
        for (from, to, share) in bars(places, span, count) {
            let [from, to] = [from, to].map(|end| across.axis.at(end));
            let top = foot - share * (MARGIN - 8.0);
            sheet.rectangle((from + 0.5, top), (to - 0.5, foot), QUIET)?;
        }
        if number % COLUMNS == COLUMNS - 1 || number == last {
            let places = rows.iter().map(|&row| output.values[row]);
            let foot = frame.right + 4.0;
            for (from, to, share) in bars(places, ends, BARS) {
                let [from, to] = [from, to].map(|end| up.axis.at(end));
                let far = foot + share * (MARGIN - 4.0);
                sheet.rectangle((foot, to + 0.5), (far, from - 0.5), QUIET)?;
            }
        }
    }
    Ok(())
}

/// Parts of a span that hold any values: both ends, and how many as a share of the fullest.
fn bars(
    values: impl Iterator<Item = f64>,
    (from, to): (f64, f64),
    count: usize,
) -> Vec<(f64, f64, f64)> {
    let mut counts = vec![0_u32; count];
    for value in values {
        let part = ((value - from) / (to - from) * count as f64) as usize;
        counts[part.min(count - 1)] += 1;
    }
    let most = counts.iter().copied().max().unwrap_or(0).max(1);
    let width = (to - from) / count as f64;
    let parts = counts.into_iter().enumerate();
    parts
        .filter(|(_, count)| *count > 0)
        .map(|(part, count)| {
            let start = from + width * part as f64;
            (start, start + width, f64::from(count) / f64::from(most))
        })
        .collect()
}

/// The axis of an input, the value of each sample on it, and span and number of its bars: words
/// stand side by side, a bar for each.
fn positions(input: &Input, pixels: (f64, f64)) -> (Scale, Vec<f64>, (f64, f64), usize) {
    match &input.cells {
        Cells::Numbers(values) => {
            let least = values.iter().copied().fold(f64::INFINITY, f64::min);
            let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let scale = Scale::about((least, most), pixels, 5);
            let kinds: HashSet<u64> = values.iter().map(|value| value.to_bits()).collect();
            // Bars of single values stand about them.
            let past = match kinds.len() <= BARS {
                true => 0.5 * (most - least) / (BARS - 1) as f64,
                false => 0.0,
            };
            (scale, values.clone(), (least - past, most + past), BARS)
        }
        Cells::Words(words) => {
            let mut kinds = words.clone();
            kinds.sort_unstable();
            kinds.dedup();
            let place = |word: &String| kinds.binary_search(word).map_or(f64::NAN, |at| at as f64);
            let places = words.iter().map(place).collect();
            let span = (-0.5, kinds.len() as f64 - 0.5);
            (Scale::words(&kinds, pixels), places, span, kinds.len())
        }
    }
}
