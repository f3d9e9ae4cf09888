//! The picture of the verification page: how differences fall.

use plotters::prelude::*;

use super::{Convergence, Level};
use crate::report::plot::axis::Axis;
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, Medium, PAPER, Point, QUIET, Sheet, Stroke, Type, WIDTH,
    shown_at,
};

/// The file name of the picture, beside the page.
pub const PICTURE: &str = "convergence.svg";

const COLUMNS: usize = 3;
const PITCH: f64 = WIDTH / COLUMNS as f64;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 16.0;
const HEAD: f64 = 34.0;
const PANEL: f64 = 130.0;
const ROW: f64 = HEAD + PANEL + 50.0;

/// Difference from the limit against fineness, a panel for each study, both on logarithmic axes;
/// dashes fall with the order that is asserted. An SVG document.
pub fn picture(studies: &[Convergence]) -> String {
    let height = ROW * studies.len().div_ceil(COLUMNS) as f64;
    let mut svg = String::new();
    {
        let size = Medium::Svg.size(WIDTH, height);
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        let draw = || {
            let sheet = Sheet::new(&area, Medium::Svg)?;
            for (index, study) in studies.iter().enumerate() {
                let (row, column) = (index / COLUMNS, index % COLUMNS);
                let corner = (PITCH * column as f64 + LEFT, ROW * row as f64 + HEAD);
                panel(&sheet, study, corner)?;
            }
            area.present()
        };
        draw().expect("drawing into a string cannot fail");
    }
    shown_at(&svg, WIDTH, height)
}

/// One study, its left upper corner given.
fn panel<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    study: &Convergence,
    (left, top): Point,
) -> Drawn<DB> {
    let (right, bottom) = (left + PITCH - LEFT - RIGHT, top + PANEL);
    let levels = &study.levels;
    let size = |level: &Level| level.error.abs().max(1e-15);
    let errors = levels.iter().map(size);
    let lowest = errors.clone().fold(f64::INFINITY, f64::min).log10().floor();
    let highest = errors.fold(0.0, f64::max).log10().ceil();
    let [coarse, fine] = [levels.first(), levels.last()]
        .map(|level| level.map_or(1.0, |level| level.fineness as f64));
    let across = Axis::logarithmic((0.8 * coarse, 1.25 * fine), (left, right));
    let up = Axis::linear((lowest, highest), (bottom, top));

    let title = (left - 20.0, top - 18.0);
    sheet.text(title, &study.short, Type::Label, Align::Left)?;
    for decade in lowest as i32..=highest as i32 {
        let y = up.at(f64::from(decade));
        sheet.line(&[(left, y), (right, y)], Stroke::solid(GRID, 1.0))?;
        let label = format!("1e{decade}");
        sheet.text((left - 7.0, y), &label, Type::Quiet, Align::Right)?;
    }
    for level in levels {
        let at = (across.at(level.fineness as f64), bottom + 12.0);
        sheet.text(at, &level.fineness.to_string(), Type::Quiet, Align::Centre)?;
    }
    let foot = format!("{}; order {}", study.counted, study.order);
    let middle = ((left + right) / 2.0, bottom + 30.0);
    sheet.text(middle, &foot, Type::Quiet, Align::Centre)?;

    let place = |fineness: f64, error: f64| (across.at(fineness), up.at(error.log10()));
    if let Some(first) = levels.first() {
        // As far as the frame of the panel.
        let start = size(first);
        let falls = (start.log10() - lowest) / study.order;
        let end = fine.min(coarse * 10.0_f64.powf(falls));
        let ends = [
            place(coarse, start),
            place(end, start * (coarse / end).powf(study.order)),
        ];
        sheet.line(&ends, Stroke::dashed(QUIET, 1.2))?;
    }
    let points: Vec<Point> = levels
        .iter()
        .map(|level| place(level.fineness as f64, size(level)))
        .collect();
    sheet.line(&points, Stroke::solid(BLUE, 2.0))?;
    for point in points {
        sheet.disc(point, 3.5, PAPER, Stroke::solid(INK, 1.4))?;
    }
    Ok(())
}
