//! Stiffness, tilt and stress against purchase.

use plotters::prelude::DrawingBackend;

use crate::assess::{Assessment, ConstructAssessment, PurchaseStep, PurchaseSweep, Varied};
use crate::report::purchase::{enough, title};
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, PAPER, QUIET, Sheet, Stroke, Type, WIDTH,
};
use crate::report::words::shortened;

use super::axis::Axis;

const TOP: f64 = 8.0;
const HEAD: f64 = 52.0;
const PANEL: f64 = 120.0;
const FOOT: f64 = 52.0;
const ROW: f64 = HEAD + PANEL + FOOT;
const LEFT: f64 = 56.0;
const BETWEEN: f64 = 64.0;

type Quantity = (&'static str, fn(&PurchaseStep) -> f64);

const QUANTITIES: [Quantity; 3] = [
    ("bending down, N·m/deg", |step| {
        step.bending_sup_inf_nm_per_deg
    }),
    ("tilt of the fracture, deg", |step| step.angle_deg),
    ("stress in the device, MPa", |step| step.peak_stress_mpa),
];

fn sweeps(assessment: &Assessment) -> Vec<(&ConstructAssessment, &PurchaseSweep)> {
    let constructs = assessment.constructs.iter();
    constructs
        .flat_map(|construct| {
            construct
                .purchase_sweep
                .iter()
                .map(move |sweep| (construct, sweep))
        })
        .collect()
}

pub(super) fn height(assessment: &Assessment) -> f64 {
    TOP + ROW * sweeps(assessment).len() as f64
}

/// A row for each sweep, a column for each quantity, each panel on its own scale.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
) -> Drawn<DB> {
    let pitch = (WIDTH - 16.0 + BETWEEN - LEFT) / QUANTITIES.len() as f64;
    for (row, (construct, sweep)) in sweeps(assessment).into_iter().enumerate() {
        let top = TOP + ROW * row as f64;
        let heading = shortened(&title(construct, sweep), 110);
        sheet.text((8.0, top + 12.0), &heading, Type::Bold, Align::Left)?;
        for (column, quantity) in QUANTITIES.iter().enumerate() {
            let left = LEFT + pitch * column as f64;
            panel(sheet, sweep, quantity, (left, top + HEAD), pitch - BETWEEN)?;
        }
        let foot = (0.5 * (LEFT + WIDTH), top + HEAD + PANEL + 32.0);
        sheet.text(foot, &along(sweep), Type::Quiet, Align::Centre)?;
    }
    Ok(())
}

fn along(sweep: &PurchaseSweep) -> String {
    let what = match sweep.varied {
        Varied::Tip => format!("purchase in the {} fragment, mm", sweep.fragment),
        Varied::PlateLength => "holes".to_string(),
        Varied::ScrewsPerSide => "screws a side".to_string(),
    };
    match enough(sweep) {
        Some(enough) => format!("{what} (dashes: past {enough} more gains less than 5 %)"),
        None => format!("{what} (gains 5 % or more up to the end)"),
    }
}

/// One quantity of one sweep, its left upper corner given.
fn panel<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    sweep: &PurchaseSweep,
    (name, of): &Quantity,
    (left, top): (f64, f64),
    width: f64,
) -> Drawn<DB> {
    let bottom = top + PANEL;
    let amount = |step: &PurchaseStep| step.amount(sweep.varied);
    let amounts = || sweep.steps.iter().map(amount);
    let [first, last] = [
        amounts().fold(f64::MAX, f64::min),
        amounts().fold(0.0, f64::max),
    ];
    let from = if sweep.varied == Varied::Tip {
        0.0
    } else {
        first - 1.0
    };
    let across = Axis::linear((from, last.max(from + 1.0)), (left, left + width));
    let highest = sweep.steps.iter().map(of).fold(0.0, f64::max);
    let highest = if highest > 0.0 { 1.15 * highest } else { 1.0 };
    let up = Axis::linear((0.0, highest), (bottom, top));

    sheet.text((left, top - 13.0), name, Type::Quiet, Align::Left)?;
    for (value, label) in up.ticks(4) {
        let y = up.at(value);
        let colour = if value == 0.0 { QUIET } else { GRID };
        sheet.line(&[(left, y), (left + width, y)], Stroke::solid(colour, 1.0))?;
        sheet.text((left - 7.0, y), &label, Type::Quiet, Align::Right)?;
    }
    // Counts are whole: one label each.
    let labels = match sweep.varied {
        Varied::Tip => across.ticks(5),
        Varied::PlateLength | Varied::ScrewsPerSide => {
            amounts().map(|count| (count, count.to_string())).collect()
        }
    };
    for (value, label) in labels {
        let at = (across.at(value), bottom + 12.0);
        sheet.text(at, &label, Type::Quiet, Align::Centre)?;
    }
    if let Some(step) = sweep.enough.map(|index| &sweep.steps[index]) {
        let x = across.at(amount(step));
        sheet.line(&[(x, top), (x, bottom)], Stroke::dashed(INK, 1.2))?;
    }
    let points: Vec<_> = (sweep.steps.iter())
        .map(|step| (across.at(amount(step)), up.at(of(step))))
        .collect();
    sheet.line(&points, Stroke::solid(BLUE, 2.0))?;
    for point in points {
        sheet.disc(point, 3.5, PAPER, Stroke::solid(BLUE, 1.6))?;
    }
    Ok(())
}
