//! A panel of a picture: a frame of two axes with round values.

use plotters::prelude::DrawingBackend;

use super::names;
use crate::report::plot::axis::{Axis, round_up};
use crate::report::style::{Align, Drawn, GRID, QUIET, Sheet, Stroke, Type, WIDTH};

pub(super) const COLUMNS: usize = 3;
const LEFT: f64 = 76.0;
const RIGHT: f64 = 16.0;
pub(super) const BETWEEN: f64 = 26.0;

/// Where a panel lies on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// The frame of a panel in rows of [`COLUMNS`], with room kept free at the right of the sheet.
pub(super) fn frame(column: usize, top: f64, height: f64, free: f64) -> Frame {
    let columns = COLUMNS as f64;
    let width = (WIDTH - LEFT - RIGHT - free - (columns - 1.0) * BETWEEN) / columns;
    let left = LEFT + column as f64 * (width + BETWEEN);
    Frame {
        left,
        right: left + width,
        top,
        bottom: top + height,
    }
}

/// An axis and its round values.
pub(super) struct Scale {
    pub axis: Axis,
    pub ticks: Vec<(f64, String)>,
}

impl Scale {
    /// From round value to round value, so that everything between two values is on it.
    pub fn round((least, most): (f64, f64), pixels: (f64, f64), count: usize) -> Self {
        let (least, most) = apart(least, most);
        let step = round_up((most - least) / count as f64);
        let ends = ((least / step).floor() * step, (most / step).ceil() * step);
        Scale {
            axis: Axis::linear(ends, pixels),
            ticks: ticks(ends, step),
        }
    }

    /// A little past both ends, round values between them.
    pub fn about((least, most): (f64, f64), pixels: (f64, f64), count: usize) -> Self {
        let (least, most) = apart(least, most);
        let past = 0.04 * (most - least);
        let ends = (least - past, most + past);
        Scale {
            axis: Axis::linear(ends, pixels),
            ticks: ticks(ends, round_up((ends.1 - ends.0) / count as f64)),
        }
    }

    /// Words side by side.
    pub fn words(words: &[String], (from, to): (f64, f64)) -> Self {
        let last = words.len() as f64 - 0.5;
        let room = ((to - from) / words.len() as f64 / 7.0) as usize;
        let cut = |word: &String| crate::report::words::shortened(word, room.max(3));
        let words = words.iter().enumerate();
        Scale {
            axis: Axis::linear((-0.5, last), (from, to)),
            ticks: words.map(|(at, word)| (at as f64, cut(word))).collect(),
        }
    }
}

/// Two values that differ.
fn apart(least: f64, most: f64) -> (f64, f64) {
    let room = 0.05 * least.abs().max(most.abs());
    match most - least > 1e-9 * room {
        true => (least, most),
        false if room > 0.0 => (least - room, most + room),
        false => (-1.0, 1.0),
    }
}

/// Multiples of a step between two values, with as many digits as the step needs.
pub(super) fn ticks((from, to): (f64, f64), step: f64) -> Vec<(f64, String)> {
    let first = (from / step - 1e-6).ceil() as i64;
    let last = (to / step + 1e-6).floor() as i64;
    let largest = from.abs().max(to.abs());
    let decimals = (-(step * 1.000_001).log10().floor()).max(0.0) as usize;
    (first..=last)
        .map(|multiple| {
            let value = multiple as f64 * step;
            let text = match largest >= 1e6 || step < 1e-4 {
                true if value != 0.0 => format!("{value:.1e}"),
                true => "0".to_owned(),
                false => format!("{value:.decimals$}"),
            };
            (value, text.replace('-', "−"))
        })
        .collect()
}

/// Grid lines across a frame with their labels at its left, if it is the first of its row.
pub(super) fn rise<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    frame: Frame,
    up: &Scale,
    labelled: bool,
) -> Drawn<DB> {
    for (value, text) in &up.ticks {
        let y = up.axis.at(*value);
        let line = [(frame.left, y), (frame.right, y)];
        sheet.line(&line, Stroke::solid(GRID, 1.0))?;
        if labelled {
            sheet.text((frame.left - 7.0, y), text, Type::Quiet, Align::Right)?;
        }
    }
    Ok(())
}

/// The foot of a frame: values of the input, and its name.
pub(super) fn foot<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    frame: Frame,
    across: &Scale,
    column: &str,
) -> Drawn<DB> {
    let line = [(frame.left, frame.bottom), (frame.right, frame.bottom)];
    sheet.line(&line, Stroke::solid(QUIET, 1.0))?;
    for (value, text) in &across.ticks {
        let x = across.axis.at(*value);
        let mark = [(x, frame.bottom), (x, frame.bottom + 4.0)];
        sheet.line(&mark, Stroke::solid(QUIET, 1.0))?;
        sheet.text((x, frame.bottom + 13.0), text, Type::Quiet, Align::Centre)?;
    }
    let room = ((frame.right - frame.left) / 6.6) as usize;
    let name = names::cut(&names::label(column), room);
    let at = (0.5 * (frame.left + frame.right), frame.bottom + 32.0);
    sheet.text(at, &name, Type::Label, Align::Centre)
}
