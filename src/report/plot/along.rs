//! Bending moment and stress along the bone in one activity.

use plotters::prelude::DrawingBackend;

use crate::assess::{Assessment, ConstructAssessment, CourseSample, Part};
use crate::report::number::three_figures;
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, Point, QUIET, SHADE, Sheet, Stroke, Type, VERMILION, WIDTH,
};

use super::axis::{Axis, round_up};

const TOP: f64 = 66.0;
const NAME: f64 = 26.0;
const PANEL: f64 = 116.0;
const ROW: f64 = NAME + PANEL + 14.0;
const LEFT: f64 = 52.0;
const BETWEEN: f64 = 60.0;
/// A limit is drawn when the stress passes this part of it.
const NEAR: f64 = 0.4;

const BONE_LINE: Stroke = Stroke::solid(BLUE, 2.0);
const DEVICE_LINE: Stroke = Stroke::dashed(VERMILION, 2.2);
const LIMIT_LINE: Stroke = Stroke {
    colour: INK,
    width: 1.2,
    dash: Some((2.0, 3.0)),
};

/// A quantity along the bone.
struct Quantity {
    title: &'static str,
    bone: fn(&CourseSample) -> Option<f64>,
    device: fn(&CourseSample) -> Option<f64>,
}

const MOMENT: Quantity = Quantity {
    title: "bending moment, N·m",
    bone: |sample| sample.bone_moment_nm,
    device: |sample| sample.device_moment_nm,
};

const STRESS: Quantity = Quantity {
    title: "largest nominal stress, MPa",
    bone: |sample| sample.bone_stress_mpa,
    device: |sample| sample.device_stress_mpa,
};

/// A stress that must not be passed, worth drawing.
struct Limit {
    stress: f64,
    words: String,
}

pub(super) fn height(assessment: &Assessment) -> f64 {
    TOP + ROW * assessment.constructs.len() as f64 + 36.0
}

/// A row for each construct: moment on the left, stress on the right, each on one scale.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
    activity: usize,
) -> Drawn<DB> {
    legend(sheet, &assessment.activities[activity].name)?;
    let panel = 0.5 * (WIDTH - LEFT - BETWEEN - 16.0);
    for (column, quantity) in [MOMENT, STRESS].iter().enumerate() {
        let left = LEFT + (panel + BETWEEN) * column as f64;
        let along = Axis::linear((0.0, 100.0), (left, left + panel));
        sheet.text((left, TOP - 14.0), quantity.title, Type::Quiet, Align::Left)?;

        let with_limits = column == 1;
        let limits_of = |construct: &ConstructAssessment| {
            let limits = if with_limits {
                limits(construct, activity)
            } else {
                Vec::new()
            };
            limits.into_iter()
        };
        let highest = assessment
            .constructs
            .iter()
            .flat_map(|construct| {
                let curves = peaks(construct, activity, quantity);
                curves.chain(limits_of(construct).map(|limit| limit.stress))
            })
            .fold(0.0, f64::max);
        let highest = if highest > 0.0 { 1.12 * highest } else { 1.0 };
        for (row, construct) in assessment.constructs.iter().enumerate() {
            let bottom = TOP + ROW * row as f64 + NAME + PANEL;
            let up = Axis::linear((0.0, highest), (bottom, bottom - PANEL));
            if column == 0 {
                let at = (8.0, bottom - PANEL - 13.0);
                sheet.text(at, &construct.name, Type::Bold, Align::Left)?;
            }
            background(sheet, assessment, &along, &up)?;
            for limit in limits_of(construct) {
                let y = up.at(limit.stress);
                sheet.line(&[(left, y), (left + panel, y)], LIMIT_LINE)?;
                let at = (left + 6.0, y - 8.0);
                sheet.text(at, &limit.words, Type::Label, Align::Left)?;
            }
            let Some(course) = construct.courses.get(activity) else {
                continue;
            };
            for (of, stroke) in [(quantity.bone, BONE_LINE), (quantity.device, DEVICE_LINE)] {
                for run in runs(&course.samples, of, &along, &up) {
                    sheet.line(&run, stroke)?;
                }
            }
        }
        let bottom = TOP + ROW * assessment.constructs.len() as f64 - 14.0;
        for (value, label) in along.ticks(5) {
            let at = (along.at(value), bottom + 12.0);
            sheet.text(at, &label, Type::Quiet, Align::Centre)?;
        }
        let at = (left + 0.5 * panel, bottom + 31.0);
        let title = "position from sternal end, % of length";
        sheet.text(at, title, Type::Quiet, Align::Centre)?;
    }
    Ok(())
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

/// Largest value of each curve.
fn peaks(
    construct: &ConstructAssessment,
    activity: usize,
    quantity: &Quantity,
) -> impl Iterator<Item = f64> {
    let samples = construct
        .courses
        .get(activity)
        .map_or(&[][..], |course| &course.samples[..]);
    [quantity.bone, quantity.device]
        .into_iter()
        .filter_map(move |of| samples.iter().filter_map(of).reduce(f64::max))
}

/// Limits of bone and device that the stress of this activity comes near.
fn limits(construct: &ConstructAssessment, activity: usize) -> Vec<Limit> {
    let Some(course) = construct.courses.get(activity) else {
        return Vec::new();
    };
    let limit = |part: Part, word: &str, of: fn(&CourseSample) -> Option<f64>| {
        let stress = construct
            .critical_sections
            .iter()
            .filter(|section| section.part == part)
            .map(|section| section.proof_stress_mpa)
            .reduce(f64::min)?;
        let peak = course.samples.iter().filter_map(of).reduce(f64::max)?;
        (peak > NEAR * stress).then(|| Limit {
            stress,
            words: format!("{word} at {} MPa", three_figures(stress)),
        })
    };
    [
        limit(Part::Device, "device bends", STRESS.device),
        limit(Part::Bone, "bone breaks", STRESS.bone),
    ]
    .into_iter()
    .flatten()
    .collect()
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
                .filter_map(|sample| {
                    Some((along.at(100.0 * sample.position), up.at(of(sample)?)))
                })
                .collect()
        })
        .collect()
}

fn legend<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, activity: &str) -> Drawn<DB> {
    let y = 18.0;
    sheet.text((8.0, y), activity, Type::Bold, Align::Left)?;
    let mut x = WIDTH - 372.0;
    for (stroke, words, room) in [
        (BONE_LINE, "bone", 92.0),
        (DEVICE_LINE, "device", 104.0),
    ] {
        sheet.line(&[(x, y), (x + 32.0, y)], stroke)?;
        sheet.text((x + 38.0, y), words, Type::Quiet, Align::Left)?;
        x += room;
    }
    sheet.rectangle((x, y - 7.0), (x + 20.0, y + 7.0), SHADE)?;
    sheet.text((x + 27.0, y), "fracture", Type::Quiet, Align::Left)
}
