//! Stiffness in the four modes as a share of the unbroken bone's.

use plotters::prelude::DrawingBackend;

use crate::assess::{Assessment, RelativeStiffness};
use crate::report::number::three_figures;
use crate::report::style::{Align, BLUE, Drawn, INK, QUIET, Sheet, Stroke, Type, WIDTH};
use crate::report::table::slips;

use super::axis::Axis;
use super::name_of_row;

const TOP: f64 = 62.0;
const ROW: f64 = 34.0;
const NAMES: f64 = 176.0;
const SPACE: f64 = 16.0;
/// Room for a number beside its bar.
const NUMBER: f64 = 44.0;

type Mode = (&'static str, fn(&RelativeStiffness) -> f64);

const MODES: [Mode; 4] = [
    ("bending down", |s| s.bending_sup_inf_percent_of_intact),
    ("bending front-back", |s| {
        s.bending_ant_post_percent_of_intact
    }),
    ("torsion", |s| s.torsion_percent_of_intact),
    (AXIAL, |s| s.axial_percent_of_intact),
];
const AXIAL: &str = "axial";

pub(super) fn height(assessment: &Assessment) -> f64 {
    TOP + ROW * assessment.constructs.len() as f64 + 44.0
}

/// One panel a mode, one bar a construct, all on one scale.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
) -> Drawn<DB> {
    let bottom = TOP + ROW * assessment.constructs.len() as f64;
    let largest = assessment
        .constructs
        .iter()
        .flat_map(|construct| MODES.map(|(_, of)| of(&construct.stiffness)))
        .filter(|share| share.is_finite())
        .fold(100.0, f64::max);
    let panel = (WIDTH - NAMES) / MODES.len() as f64;

    for (row, construct) in assessment.constructs.iter().enumerate() {
        let middle = TOP + ROW * (row as f64 + 0.5);
        name_of_row(sheet, &construct.name, (NAMES - 10.0, middle))?;
    }

    for (number, (mode, of)) in MODES.iter().enumerate() {
        let left = NAMES + panel * number as f64;
        // A quarter more than the longest bar, for the number at its end.
        let axis = Axis::linear((0.0, 1.25 * largest), (left, left + panel - SPACE));
        sheet.text((left, 14.0), mode, Type::Bold, Align::Left)?;
        for (value, label) in axis.ticks(3) {
            let x = axis.at(value);
            sheet.line(&[(x, bottom), (x, bottom + 4.0)], Stroke::solid(QUIET, 1.0))?;
            sheet.text((x, bottom + 14.0), &label, Type::Quiet, Align::Centre)?;
        }
        let intact = axis.at(100.0);
        let line = [(intact, TOP - 14.0), (intact, bottom)];
        sheet.line(&line, Stroke::dashed(INK, 1.2))?;
        sheet.text((intact, TOP - 23.0), "intact", Type::Quiet, Align::Centre)?;
        for (row, construct) in assessment.constructs.iter().enumerate() {
            let middle = TOP + ROW * (row as f64 + 0.5);
            if *mode == AXIAL && slips(construct) {
                let at = (left + 6.0, middle);
                sheet.text(at, "slips", Type::Label, Align::Left)?;
                continue;
            }
            let share = of(&construct.stiffness);
            let end = axis.at(if share.is_finite() { share } else { 0.0 });
            sheet.rectangle((left, middle - 9.0), (end, middle + 9.0), BLUE)?;
            // Inside the bar where it would stand across the line of the intact bone.
            let inside = end < intact && end + NUMBER > intact;
            let (x, kind, align) = if inside {
                (end - 6.0, Type::Reversed, Align::Right)
            } else {
                (end + 6.0, Type::Label, Align::Left)
            };
            sheet.text((x, middle), &three_figures(share), kind, align)?;
        }
        sheet.line(
            &[(left, TOP - 8.0), (left, bottom)],
            Stroke::solid(QUIET, 1.0),
        )?;
    }
    let rule = [(NAMES, bottom), (WIDTH - SPACE, bottom)];
    sheet.line(&rule, Stroke::solid(QUIET, 1.0))?;
    let title = (NAMES + 0.5 * (WIDTH - NAMES), bottom + 33.0);
    sheet.text(
        title,
        "stiffness, % of intact bone",
        Type::Quiet,
        Align::Centre,
    )
}
