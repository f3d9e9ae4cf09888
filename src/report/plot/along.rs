//! Bending moment and stress along the bone in one activity.

use plotters::prelude::DrawingBackend;

use crate::assess::{Assessment, ConstructAssessment, CourseSample, Part};
use crate::report::number::plain;
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, Point, QUIET, SHADE, Sheet, Stroke, Type, VERMILION, WIDTH,
};

use crate::report::words::shortened;

use super::axis::Axis;

const TOP: f64 = 66.0;
const NAME: f64 = 26.0;
const PANEL: f64 = 116.0;
const ROW: f64 = NAME + PANEL + 14.0;
const LEFT: f64 = 52.0;
const BETWEEN: f64 = 56.0;
/// A limit is drawn when the stress passes this part of it.
const NEAR: f64 = 0.4;

const BONE_LINE: Stroke = Stroke::solid(BLUE, 2.0);
const DEVICE_LINE: Stroke = Stroke::dashed(VERMILION, 2.2);
const LIMIT_LINE: Stroke = Stroke {
    colour: INK,
    width: 1.2,
    dash: Some((2.0, 3.0)),
};

/// A quantity along the bone, in the bone, the device or both.
struct Quantity {
    title: &'static str,
    curves: &'static [Curve],
    /// The part whose proof stress is the quantity's limit, and what happens there.
    limit: Option<(Part, &'static str)>,
}

type Curve = (fn(&CourseSample) -> Option<f64>, Stroke);

const QUANTITIES: [Quantity; 3] = [
    Quantity {
        title: "bending moment, N·m",
        curves: &[
            (|sample| sample.bone_moment_nm, BONE_LINE),
            (|sample| sample.device_moment_nm, DEVICE_LINE),
        ],
        limit: None,
    },
    Quantity {
        title: "largest stress in the device, MPa",
        curves: &[(|sample| sample.device_stress_mpa, DEVICE_LINE)],
        limit: Some((Part::Device, "bends")),
    },
    Quantity {
        title: "largest stress in the bone, MPa",
        curves: &[(|sample| sample.bone_stress_mpa, BONE_LINE)],
        limit: Some((Part::Bone, "breaks")),
    },
];

/// A stress that must not be passed, worth drawing.
struct Limit {
    stress: f64,
    words: String,
}

pub(super) fn height(assessment: &Assessment) -> f64 {
    TOP + ROW * assessment.constructs.len() as f64 + 36.0
}

/// A row for each construct, a column for each quantity; a quantity has one scale in all rows.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
    activity: usize,
) -> Drawn<DB> {
    legend(sheet, &assessment.activities[activity].name)?;
    for (row, construct) in assessment.constructs.iter().enumerate() {
        let at = (8.0, TOP + ROW * row as f64 + NAME - 13.0);
        sheet.text(at, &shortened(&construct.name, 90), Type::Bold, Align::Left)?;
    }
    let pitch = (WIDTH - 16.0 + BETWEEN - LEFT) / QUANTITIES.len() as f64;
    let foot = TOP + ROW * assessment.constructs.len() as f64 - 14.0;
    for (column, quantity) in QUANTITIES.iter().enumerate() {
        let left = LEFT + pitch * column as f64;
        let right = left + pitch - BETWEEN;
        let along = Axis::linear((0.0, 100.0), (left, right));
        sheet.text((left, TOP - 14.0), quantity.title, Type::Quiet, Align::Left)?;

        let highest = assessment
            .constructs
            .iter()
            .flat_map(|construct| {
                let limit = limit(construct, activity, quantity);
                peak(construct, activity, quantity)
                    .into_iter()
                    .chain(limit.map(|limit| limit.stress))
            })
            .fold(0.0, f64::max);
        let highest = if highest > 0.0 { 1.2 * highest } else { 1.0 };
        for (row, construct) in assessment.constructs.iter().enumerate() {
            let bottom = TOP + ROW * row as f64 + NAME + PANEL;
            let up = Axis::linear((0.0, highest), (bottom, bottom - PANEL));
            background(sheet, assessment, &along, &up)?;
            if let Some(limit) = limit(construct, activity, quantity) {
                let y = up.at(limit.stress);
                sheet.line(&[(left, y), (right, y)], LIMIT_LINE)?;
                let at = (left + 4.0, y - 8.0);
                sheet.text(at, &limit.words, Type::Label, Align::Left)?;
            }
            for &(of, stroke) in quantity.curves {
                for run in runs(samples(construct, activity), of, &along, &up) {
                    sheet.line(&run, stroke)?;
                }
            }
        }
        for (value, label) in along.ticks(5) {
            let at = (along.at(value), foot + 12.0);
            sheet.text(at, &label, Type::Quiet, Align::Centre)?;
        }
    }
    let at = (0.5 * (LEFT + WIDTH), foot + 31.0);
    let title = "position from sternal end, % of length";
    sheet.text(at, title, Type::Quiet, Align::Centre)
}

/// Grid, labels of the upward axis, and the shaded gap.
fn background<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
    along: &Axis,
    up: &Axis,
) -> Drawn<DB> {
    let fracture = &assessment.fracture;
    let middle = 100.0 * fracture.position;
    let half = 50.0 * fracture.gap_mm / assessment.patient.length_mm;
    let (top, bottom) = (up.end(), up.at(0.0));
    // A closed fracture still shows as a line.
    let left = along.at(middle - half);
    let right = along.at(middle + half).max(left + 1.5);
    sheet.rectangle((left, top), (right, bottom), SHADE)?;
    for (value, label) in up.ticks(4) {
        let y = up.at(value);
        let stroke = Stroke::solid(if value == 0.0 { QUIET } else { GRID }, 1.0);
        sheet.line(&[(along.at(0.0), y), (along.at(100.0), y)], stroke)?;
        let at = (along.at(0.0) - 7.0, y);
        sheet.text(at, &label, Type::Quiet, Align::Right)?;
    }
    for (value, _) in along.ticks(5) {
        let x = along.at(value);
        sheet.line(&[(x, top), (x, bottom)], Stroke::solid(GRID, 1.0))?;
    }
    Ok(())
}

fn samples(construct: &ConstructAssessment, activity: usize) -> &[CourseSample] {
    construct
        .courses
        .get(activity)
        .map_or(&[], |course| &course.samples)
}

/// Largest value of all curves of a quantity.
fn peak(construct: &ConstructAssessment, activity: usize, quantity: &Quantity) -> Option<f64> {
    samples(construct, activity)
        .iter()
        .flat_map(|sample| quantity.curves.iter().filter_map(|(of, _)| of(sample)))
        .reduce(f64::max)
}

/// The limit of a quantity, if it comes near it.
fn limit(construct: &ConstructAssessment, activity: usize, quantity: &Quantity) -> Option<Limit> {
    let (part, word) = quantity.limit?;
    let stress = construct
        .critical_sections
        .iter()
        .filter(|section| section.part == part)
        .map(|section| section.proof_stress_mpa)
        .reduce(f64::min)?;
    let near = peak(construct, activity, quantity)? > NEAR * stress;
    near.then(|| Limit {
        stress,
        words: format!("{word} at {}", plain(stress)),
    })
}

/// The curve in pieces, interrupted where there is nothing.
fn runs(
    samples: &[CourseSample],
    of: fn(&CourseSample) -> Option<f64>,
    along: &Axis,
    up: &Axis,
) -> Vec<Vec<Point>> {
    samples
        .split(|sample| of(sample).is_none())
        .filter(|run| run.len() > 1)
        .map(|run| {
            run.iter()
                .filter_map(|sample| Some((along.at(100.0 * sample.position), up.at(of(sample)?))))
                .collect()
        })
        .collect()
}

fn legend<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, activity: &str) -> Drawn<DB> {
    let y = 18.0;
    sheet.text((8.0, y), &shortened(activity, 56), Type::Bold, Align::Left)?;
    let mut x = WIDTH - 372.0;
    for (stroke, words, room) in [(BONE_LINE, "bone", 92.0), (DEVICE_LINE, "device", 104.0)] {
        sheet.line(&[(x, y), (x + 32.0, y)], stroke)?;
        sheet.text((x + 38.0, y), words, Type::Quiet, Align::Left)?;
        x += room;
    }
    sheet.rectangle((x, y - 7.0), (x + 20.0, y + 7.0), SHADE)?;
    sheet.text((x + 27.0, y), "fracture", Type::Quiet, Align::Left)
}
