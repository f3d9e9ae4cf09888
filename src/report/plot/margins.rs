//! The smallest margins of each construct in each activity.

use plotters::prelude::DrawingBackend;

use crate::assess::Assessment;
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, PAPER, Point, QUIET, SHADE, SKY, Sheet, Stroke, Type, VERMILION,
    WIDTH,
};
use crate::report::weakest::margins;
use crate::report::words::shortened;

use super::axis::{Axis, round_up};

const TOP: f64 = 78.0;
const ROW: f64 = 29.0;
/// Static margins stand so far above the middle of a row, fatigue margins below.
const LANE: f64 = 5.5;
const HEADING: f64 = 28.0;
const NAMES: f64 = 270.0;
/// Margins outside these are drawn at the edge with an arrow.
const SHOWN: (f64, f64) = (0.05, 20.0);

/// The marks of this plot.
#[derive(Debug, Clone, Copy)]
enum Mark {
    Static,
    Fatigue(usize),
    Bone,
}

pub(super) fn height(assessment: &Assessment) -> f64 {
    bottom(assessment) + 46.0
}

fn bottom(assessment: &Assessment) -> f64 {
    let block = HEADING + ROW * assessment.activities.len() as f64;
    TOP + block * assessment.constructs.len() as f64
}

/// A row for each construct and activity on a scale of ratios; the line at 1 is the limit.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
) -> Drawn<DB> {
    let bottom = bottom(assessment);
    let axis = Axis::logarithmic(range(assessment), (NAMES, WIDTH - 30.0));
    legend(sheet)?;

    let one = axis.at(1.0);
    sheet.rectangle((NAMES, TOP - 6.0), (one, bottom), SHADE)?;
    for (value, label) in axis.ticks(0) {
        let x = axis.at(value);
        sheet.line(&[(x, TOP - 6.0), (x, bottom)], Stroke::solid(GRID, 1.0))?;
        sheet.text((x, bottom + 12.0), &label, Type::Quiet, Align::Centre)?;
    }
    sheet.line(&[(one, TOP - 24.0), (one, bottom)], Stroke::solid(INK, 1.5))?;
    let words = "bends or breaks ←";
    sheet.text((one - 8.0, TOP - 17.0), words, Type::Label, Align::Right)?;
    sheet.text((one + 8.0, TOP - 17.0), "→ holds", Type::Label, Align::Left)?;
    let title = (0.5 * (NAMES + WIDTH - 30.0), bottom + 32.0);
    let words = "margin: load it would bear / load of the activity";
    sheet.text(title, words, Type::Quiet, Align::Centre)?;

    let mut y = TOP;
    for construct in &assessment.constructs {
        let name = shortened(&construct.name, 34);
        sheet.text((10.0, y + 0.6 * HEADING), &name, Type::Bold, Align::Left)?;
        y += HEADING;
        for (number, activity) in assessment.activities.iter().enumerate() {
            let middle = y + 0.5 * ROW;
            let name = shortened(&activity.name, 33);
            sheet.text((NAMES - 12.0, middle), &name, Type::Label, Align::Right)?;
            sheet.line(
                &[(NAMES, middle), (WIDTH - 30.0, middle)],
                Stroke::solid(GRID, 1.0),
            )?;
            let margins = margins(construct, number);
            let on_axis = |margin: Option<f64>| margin.filter(|m| *m > 0.0);
            let fatigue = margins.fatigue.map(on_axis);
            let place = |margin: f64, lane: f64| (axis.at(clipped(margin)), middle + lane);
            let line: Vec<Point> = fatigue.iter().flatten().map(|&m| place(m, LANE)).collect();
            if line.len() > 1 {
                sheet.line(&line, Stroke::solid(BLUE, 2.0))?;
            }
            let marks = fatigue
                .iter()
                .enumerate()
                .map(|(decade, &margin)| (Mark::Fatigue(decade), margin))
                .chain([
                    (Mark::Static, on_axis(margins.stays_straight)),
                    (Mark::Bone, on_axis(margins.bone_if_governing())),
                ]);
            for (mark, margin) in marks {
                let Some(margin) = margin else { continue };
                let lane = match mark {
                    Mark::Fatigue(_) => LANE,
                    Mark::Static | Mark::Bone => -LANE,
                };
                let at = place(margin, lane);
                draw_mark(sheet, mark, at)?;
                if margin > SHOWN.1 {
                    sheet.text((at.0 + 8.0, at.1), "→", Type::Label, Align::Left)?;
                } else if margin < SHOWN.0 {
                    sheet.text((at.0 - 8.0, at.1), "←", Type::Label, Align::Right)?;
                }
            }
            y += ROW;
        }
    }
    Ok(())
}

/// From the smallest margin to the largest, with 1 well inside.
fn range(assessment: &Assessment) -> (f64, f64) {
    let (mut least, mut most) = (0.5_f64, 2.0_f64);
    for construct in &assessment.constructs {
        for activity in 0..assessment.activities.len() {
            let margins = margins(construct, activity);
            let all = margins
                .fatigue
                .into_iter()
                .chain([margins.stays_straight, margins.bone_if_governing()]);
            for margin in all.flatten().filter(|margin| *margin > 0.0) {
                least = least.min(clipped(margin));
                most = most.max(clipped(margin));
            }
        }
    }
    (1.0 / round_up(1.0 / (0.9 * least)), round_up(1.1 * most))
}

fn clipped(margin: f64) -> f64 {
    margin.clamp(SHOWN.0, SHOWN.1)
}

fn draw_mark<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, mark: Mark, (x, y): Point) -> Drawn<DB> {
    match mark {
        Mark::Static => sheet.rectangle((x - 4.5, y - 4.5), (x + 4.5, y + 4.5), INK),
        Mark::Fatigue(decade) => {
            let fill = [PAPER, SKY, BLUE][decade];
            sheet.disc((x, y), 5.0, fill, Stroke::solid(BLUE, 1.5))
        }
        Mark::Bone => {
            let diamond = [(x - 6.5, y), (x, y - 6.5), (x + 6.5, y), (x, y + 6.5)];
            sheet.area(&diamond, PAPER)?;
            sheet.closed_line(&diamond, Stroke::solid(VERMILION, 2.0))
        }
    }
}

fn legend<DB: DrawingBackend>(sheet: &Sheet<'_, DB>) -> Drawn<DB> {
    sheet.text((10.0, 18.0), "Smallest margins", Type::Bold, Align::Left)?;
    let entries = [
        (Mark::Static, "bends", 84.0),
        (Mark::Fatigue(0), "breaks: after 10⁵", 156.0),
        (Mark::Fatigue(1), "10⁶", 62.0),
        (Mark::Fatigue(2), "10⁷ cycles", 110.0),
        (Mark::Bone, "bone breaks, where sooner", 0.0),
    ];
    let mut x = NAMES + 6.0;
    for (mark, words, room) in entries {
        draw_mark(sheet, mark, (x, 18.0))?;
        sheet.text((x + 12.0, 18.0), words, Type::Quiet, Align::Left)?;
        x += room;
    }
    sheet.line(
        &[(NAMES, 36.0), (WIDTH - 30.0, 36.0)],
        Stroke::solid(QUIET, 0.5),
    )
}
