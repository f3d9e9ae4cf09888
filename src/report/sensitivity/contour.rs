//! An output over two inputs: bands of one colour, darker where it is greater, and lines of
//! equal value with their numbers on them.

use plotters::prelude::{DrawingBackend, RGBColor};

use super::isolines::{Lattice, Loop};
use super::names;
use super::panel::{Frame, Scale, foot, ticks};
use crate::report::plot::axis::round_up;
use crate::report::style::{Align, Drawn, INK, PAPER, Point, QUIET, Sheet, Stroke, Type};
use crate::sensitivity::{Analysis, Output, Surface};

const FRAME: Frame = Frame {
    left: 96.0,
    right: 770.0,
    top: 64.0,
    bottom: 484.0,
};
pub(super) const HEIGHT: f64 = 534.0;
/// At most about so many lines, half as many at least.
const LINES: usize = 12;
/// The lightest and the darkest band.
const BANDS: [RGBColor; 2] = [RGBColor(236, 244, 250), RGBColor(0, 62, 110)];

pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    analysis: &Analysis,
    output: &Output,
    surface: &Surface,
) -> Drawn<DB> {
    let title = names::cut(&names::label(&output.name), 100);
    sheet.text((10.0, 16.0), &title, Type::Bold, Align::Left)?;
    let [across, up] =
        [&surface.across, &surface.up].map(|values| (values[0], values[values.len() - 1]));
    let across = scale(across, (FRAME.left, FRAME.right), 9);
    let up = scale(up, (FRAME.bottom, FRAME.top), 9);
    let [x, y] = surface
        .inputs
        .map(|input| analysis.inputs[input].name.as_str());
    foot(sheet, FRAME, &across, x)?;
    for (value, text) in &up.ticks {
        let y = up.axis.at(*value);
        sheet.line(
            &[(FRAME.left - 4.0, y), (FRAME.left, y)],
            Stroke::solid(QUIET, 1.0),
        )?;
        sheet.text((FRAME.left - 9.0, y), text, Type::Quiet, Align::Right)?;
    }
    let name = names::cut(&names::label(y), 80);
    sheet.text(
        (10.0, FRAME.top - 18.0),
        &format!("↑ {name}"),
        Type::Label,
        Align::Left,
    )?;

    let known = || {
        surface
            .values
            .iter()
            .copied()
            .filter(|value| value.is_finite())
    };
    let least = known().fold(f64::INFINITY, f64::min);
    let most = known().fold(f64::NEG_INFINITY, f64::max);
    if least >= most {
        let middle = (
            0.5 * (FRAME.left + FRAME.right),
            0.5 * (FRAME.top + FRAME.bottom),
        );
        let words = format!("{} all over", names::typeset(&names::figures(least)));
        return sheet.text(middle, &words, Type::Label, Align::Centre);
    }
    let step = round_up((most - least) / LINES as f64);
    let mut levels = ticks((least, most), step);
    levels.retain(|(value, _)| least < *value && *value < most);
    let lattice = Lattice {
        across: &surface.across,
        up: &surface.up,
        values: &surface.values,
    };
    let place = |point: &[f64; 2]| (across.axis.at(point[0]), up.axis.at(point[1]));
    // The ground first, then each level.
    let values = std::iter::once(f64::MIN).chain(levels.iter().map(|(value, _)| *value));
    let mut loops: Vec<(usize, Loop)> = values
        .enumerate()
        .flat_map(|(number, value)| {
            lattice
                .loops(value)
                .into_iter()
                .map(move |each| (number, each))
        })
        .collect();
    // Lines of equal value never cross: the larger goes around the smaller, and paint covers
    // paint. Of equal ones the inner is the higher level, or the lower about a hole.
    loops.sort_by(|(a, one), (b, other)| {
        let inner = if one.cells > 0.0 { a.cmp(b) } else { b.cmp(a) };
        other.cells.abs().total_cmp(&one.cells.abs()).then(inner)
    });
    for (number, each) in &loops {
        let band = if each.cells > 0.0 {
            Some(*number)
        } else {
            number.checked_sub(1)
        };
        let fill = band.map_or(PAPER, |band| shade(band, levels.len()));
        let points: Vec<Point> = each.points.iter().map(|(point, _)| place(point)).collect();
        sheet.area(&points, fill)?;
    }
    let mut labels: Vec<Point> = Vec::new();
    for (number, (_, text)) in levels.iter().enumerate() {
        let own = loops.iter().filter(|(level, _)| *level == number + 1);
        let pieces: Vec<Vec<Point>> = own
            .flat_map(|(_, each)| each.pieces())
            .map(|piece| piece.iter().map(place).collect())
            .collect();
        // A speck is no line.
        for piece in pieces.iter().filter(|piece| length(piece) > 8.0) {
            sheet.line(piece, Stroke::solid(INK, 1.1))?;
        }
        let longest = pieces.iter().max_by(|a, b| length(a).total_cmp(&length(b)));
        if let Some(at) = longest.and_then(|piece| free(piece, &labels)) {
            let half = 3.9 * text.chars().count() as f64 + 2.0;
            sheet.rectangle((at.0 - half, at.1 - 8.0), (at.0 + half, at.1 + 8.0), PAPER)?;
            sheet.text(at, text, Type::Label, Align::Centre)?;
            labels.push(at);
        }
    }
    let corners = [
        (FRAME.left, FRAME.top),
        (FRAME.right, FRAME.top),
        (FRAME.right, FRAME.bottom),
        (FRAME.left, FRAME.bottom),
    ];
    sheet.closed_line(&corners, Stroke::solid(QUIET, 1.0))?;
    key(sheet, &levels)
}

/// Exactly from end to end.
fn scale(ends: (f64, f64), pixels: (f64, f64), count: usize) -> Scale {
    let step = round_up((ends.1 - ends.0) / count as f64);
    Scale {
        axis: crate::report::plot::axis::Axis::linear(ends, pixels),
        ticks: ticks(ends, step),
    }
}

/// Colour of a band, counted from the lowest.
fn shade(band: usize, lines: usize) -> RGBColor {
    let share = band as f64 / lines.max(1) as f64;
    let mixed = |from: u8, to: u8| {
        (f64::from(from) + share * (f64::from(to) - f64::from(from))).round() as u8
    };
    let [light, dark] = BANDS;
    RGBColor(
        mixed(light.0, dark.0),
        mixed(light.1, dark.1),
        mixed(light.2, dark.2),
    )
}

fn length(piece: &[Point]) -> f64 {
    let steps = piece.windows(2);
    steps.map(|pair| distance(pair[0], pair[1])).sum()
}

fn distance(a: Point, b: Point) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// How far apart labels are, which are wider than high.
fn apart(a: Point, b: Point) -> f64 {
    (0.55 * (a.0 - b.0)).hypot(1.5 * (a.1 - b.1))
}

/// The point of a line farthest from other labels, and clear of the frame; none on a line that is
/// too short for a number.
fn free(piece: &[Point], labels: &[Point]) -> Option<Point> {
    if length(piece) < 60.0 {
        return None;
    }
    let clear = |at: &&Point| {
        (FRAME.left + 24.0..FRAME.right - 24.0).contains(&at.0)
            && (FRAME.top + 14.0..FRAME.bottom - 14.0).contains(&at.1)
    };
    let middle = piece[piece.len() / 2];
    let room = |at: &Point| {
        let nearest = labels.iter().map(|label| apart(*label, *at));
        // Far from the others first, then near the middle of the line.
        nearest.fold(120.0, f64::min) - 0.2 * distance(middle, *at)
    };
    let best = piece
        .iter()
        .filter(clear)
        .max_by(|a, b| room(a).total_cmp(&room(b)))?;
    labels
        .iter()
        .all(|label| apart(*label, *best) > 30.0)
        .then_some(*best)
}

/// The bands beside the picture, the greatest on top.
fn key<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, levels: &[(f64, String)]) -> Drawn<DB> {
    let (left, right) = (FRAME.right + 36.0, FRAME.right + 62.0);
    let bands = levels.len() + 1;
    let height = (26.0_f64).min((FRAME.bottom - FRAME.top) / bands as f64);
    for band in 0..bands {
        let top = FRAME.top + height * (bands - 1 - band) as f64;
        sheet.rectangle(
            (left, top),
            (right, top + height),
            shade(band, levels.len()),
        )?;
        if let Some((_, text)) = levels.get(band) {
            sheet.line(&[(left, top), (right + 4.0, top)], Stroke::solid(INK, 1.0))?;
            sheet.text((right + 9.0, top), text, Type::Label, Align::Left)?;
        }
    }
    Ok(())
}
