//! The constructs on the bone, to scale, from the front and from above.
//!
//! The acromial end of a right clavicle is on the left in both views, as in a radiograph: that is
//! what someone facing the patient sees, and what they see bending over the shoulder from there.

use plotters::prelude::DrawingBackend;

use crate::assess::{Assessment, BoneSlice, ConstructAssessment, Cut, Drawing, PlateShape, Rod};
use crate::report::style::{
    Align, BLUE, BONE, Drawn, INK, PAPER, Point, QUIET, SKY, Sheet, Stroke, Type, WIDTH,
};
use crate::report::words::shortened;

const TITLE: f64 = 30.0;
/// Above and below each view, for the words.
const WORDS: f64 = 22.0;
/// Between the two views of a panel.
const BETWEEN: f64 = 14.0;
const LEGEND: f64 = 44.0;
const MARGIN: f64 = 28.0;
const SCALE_BAR_MM: f64 = 20.0;
/// A plate seen less than this much face-on (cosine) shows no holes.
const EDGE_ON: f64 = 0.3;

const OUTLINE: Stroke = Stroke::solid(QUIET, 1.2);
const CANAL: Stroke = Stroke {
    colour: QUIET,
    width: 1.0,
    dash: Some((4.0, 3.0)),
};
const HIDDEN: Stroke = Stroke {
    colour: INK,
    width: 1.2,
    dash: Some((6.0, 3.0)),
};
const RIM: Stroke = Stroke::solid(INK, 1.0);

/// A way of looking at the bone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum View {
    /// x-z plane, the viewer in front of the patient.
    Front,
    /// x-y plane, the viewer above, anterior down.
    Above,
}

impl View {
    /// Words at the top and bottom of the view.
    fn directions(self) -> (&'static str, &'static str) {
        match self {
            Self::Front => ("superior", "inferior"),
            Self::Above => ("posterior", "anterior"),
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Front => "from the front",
            Self::Above => "from above",
        }
    }

    /// How far up a point or direction lies in the view.
    fn up(self, [_, y, z]: [f64; 3]) -> f64 {
        match self {
            Self::Front => z,
            Self::Above => -y,
        }
    }

    /// How much a direction points at the viewer.
    fn towards(self, [_, y, z]: [f64; 3]) -> f64 {
        match self {
            Self::Front => y,
            Self::Above => z,
        }
    }
}

/// From millimetres to the sheet.
#[derive(Debug, Clone, Copy)]
struct Frame {
    view: View,
    /// 1 when lateral is to the right, -1 when it is to the left.
    lateral: f64,
    /// Pixels for each mm.
    scale: f64,
    /// Place of the sternal end's centre.
    origin: Point,
}

impl Frame {
    fn at(&self, point: [f64; 3]) -> Point {
        (
            self.origin.0 + self.scale * self.lateral * point[0],
            self.origin.1 - self.scale * self.view.up(point),
        )
    }
}

/// Sizes shared by all panels, so that they can be compared.
struct Layout {
    columns: usize,
    panel: (f64, f64),
    scale: f64,
    /// Lowest and highest place in each view, mm.
    front: (f64, f64),
    above: (f64, f64),
}

fn layout(assessment: &Assessment) -> Layout {
    let columns = assessment.constructs.len().min(2);
    let width = WIDTH / columns as f64;
    let scale = (width - 2.0 * MARGIN) / assessment.patient.length_mm;
    let extent = |view: View| {
        assessment
            .constructs
            .iter()
            .flat_map(|construct| reach(&construct.drawing, view))
            .fold((-10.0_f64, 10.0_f64), |(low, high), up| {
                (low.min(up), high.max(up))
            })
    };
    let (front, above) = (extent(View::Front), extent(View::Above));
    let view = |(low, high): (f64, f64)| scale * (high - low) + 2.0 * WORDS;
    Layout {
        columns,
        panel: (width, TITLE + view(front) + BETWEEN + view(above) + 18.0),
        scale,
        front,
        above,
    }
}

/// How far up and down the parts of a drawing reach in a view, mm.
fn reach(drawing: &Drawing, view: View) -> Vec<f64> {
    let mut reach = Vec::new();
    let mut add = |centre: [f64; 3], half: f64| {
        let up = view.up(centre);
        reach.extend([up - half, up + half]);
    };
    for slice in drawing.fragments.iter().flatten() {
        add(slice.centre, 0.5 * size(slice.outer, view));
    }
    for rod in drawing.rods.iter().chain(&drawing.screws) {
        for &point in &rod.points {
            add(point, 0.5 * rod.diameter);
        }
    }
    for plate in &drawing.plates {
        for (number, &point) in plate.points.iter().enumerate() {
            add(point, half_height(plate, number, view));
        }
    }
    reach
}

/// Size across the view of a section given front to back and top to bottom.
fn size([front_back, up_down]: [f64; 2], view: View) -> f64 {
    match view {
        View::Front => up_down,
        View::Above => front_back,
    }
}

/// Half of what a plate's section measures up the view at one of its points.
fn half_height(plate: &PlateShape, number: usize, view: View) -> f64 {
    0.5 * (view.up(plate.across[number]).abs() * plate.width
        + view.up(plate.normals[number]).abs() * plate.thickness)
}

pub(super) fn height(assessment: &Assessment) -> f64 {
    let layout = layout(assessment);
    let rows = assessment.constructs.len().div_ceil(layout.columns);
    layout.panel.1 * rows as f64 + LEGEND
}

/// A panel for each construct, two views in each, all at one scale.
pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
) -> Drawn<DB> {
    let layout = layout(assessment);
    for (number, construct) in assessment.constructs.iter().enumerate() {
        let corner = (
            layout.panel.0 * (number % layout.columns) as f64,
            layout.panel.1 * (number / layout.columns) as f64,
        );
        panel(sheet, assessment, construct, &layout, corner)?;
    }
    let rows = assessment.constructs.len().div_ceil(layout.columns);
    let y = layout.panel.1 * rows as f64 + 0.5 * LEGEND;
    legend(sheet, layout.scale, y)
}

fn panel<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
    construct: &ConstructAssessment,
    layout: &Layout,
    (left, top): Point,
) -> Drawn<DB> {
    let lateral = if assessment.patient.side == "left" {
        1.0
    } else {
        -1.0
    };
    let sternal = if lateral > 0.0 {
        left + MARGIN
    } else {
        left + layout.panel.0 - MARGIN
    };
    let name = &shortened(&construct.name, 48);
    sheet.text((left + MARGIN, top + 16.0), name, Type::Bold, Align::Left)?;

    let mut y = top + TITLE;
    for (view, (low, high)) in [(View::Front, layout.front), (View::Above, layout.above)] {
        let bottom = y + 2.0 * WORDS + layout.scale * (high - low);
        let frame = Frame {
            view,
            lateral,
            scale: layout.scale,
            origin: (sternal, y + WORDS + layout.scale * high),
        };
        scene(sheet, &construct.drawing, &frame)?;

        let right = left + layout.panel.0 - MARGIN;
        let (up, down) = view.directions();
        let (first, last) = if lateral > 0.0 {
            ("← sternal", "acromial →")
        } else {
            ("← acromial", "sternal →")
        };
        let centre = 0.5 * (left + MARGIN + right);
        let (above, below) = (y + 10.0, bottom - 10.0);
        for (at, words, kind, align) in [
            (
                (left + MARGIN, above),
                view.name(),
                Type::Label,
                Align::Left,
            ),
            ((centre, above), up, Type::Quiet, Align::Centre),
            ((centre, below), down, Type::Quiet, Align::Centre),
            ((left + MARGIN, below), first, Type::Quiet, Align::Left),
            ((right, below), last, Type::Quiet, Align::Right),
        ] {
            sheet.text(at, words, kind, align)?;
        }
        y = bottom + BETWEEN;
    }
    Ok(())
}

/// From back to front: plates behind the bone, bone, what is in it, plates on it.
fn scene<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, drawing: &Drawing, frame: &Frame) -> Drawn<DB> {
    let (behind, before): (Vec<_>, Vec<_>) = drawing
        .plates
        .iter()
        .partition(|plate| facing(plate, frame.view) < -EDGE_ON);
    for plate in &behind {
        sheet.area(&plate_outline(plate, frame), BLUE)?;
    }
    for (slices, lateral) in drawing.fragments.iter().zip([false, true]) {
        let beyond = |point| beyond_cut(drawing.cut.as_ref(), lateral, frame, point);
        let outline = bone_outline(slices, |slice| slice.outer, frame);
        let outline = cut_off(&outline, beyond);
        sheet.area(&outline, BONE)?;
        sheet.closed_line(&outline, OUTLINE)?;
        for run in slices.split(|slice| !slice.canal_open) {
            if run.len() > 1 {
                let canal = bone_outline(run, |slice| slice.canal, frame);
                for wall in canal.chunks(run.len()) {
                    let within = |point: &&Point| beyond(**point) <= 0.0;
                    let wall: Vec<Point> = wall.iter().filter(within).copied().collect();
                    sheet.line(&wall, CANAL)?;
                }
            }
        }
    }
    for rod in &drawing.rods {
        draw_rod(sheet, rod, BLUE, frame)?;
    }
    for screw in &drawing.screws {
        draw_rod(sheet, screw, SKY, frame)?;
    }
    for plate in &behind {
        sheet.closed_line(&plate_outline(plate, frame), HIDDEN)?;
    }
    for plate in &before {
        let outline = plate_outline(plate, frame);
        sheet.area(&outline, BLUE)?;
        sheet.closed_line(&outline, RIM)?;
        if facing(plate, frame.view) > EDGE_ON {
            draw_holes(sheet, plate, frame)?;
        }
    }
    Ok(())
}

fn bone_outline(slices: &[BoneSlice], of: fn(&BoneSlice) -> [f64; 2], frame: &Frame) -> Vec<Point> {
    let axis: Vec<Point> = slices.iter().map(|slice| frame.at(slice.centre)).collect();
    let half = |number: usize| 0.5 * frame.scale * size(of(&slices[number]), frame.view);
    strip(&axis, half)
}

/// How far beyond the face of its fragment a point of the outline lies, in no unit; an outline
/// lies beside the centre line in the view, so the face is a line there.
fn beyond_cut(cut: Option<&Cut>, lateral: bool, frame: &Frame, point: Point) -> f64 {
    let Some(Cut { faces, normal }) = cut else {
        return -1.0;
    };
    let face = faces[usize::from(lateral)];
    let tip = [0, 1, 2].map(|i| face[i] + normal[i]);
    let (from, to) = (frame.at(face), frame.at(tip));
    let ahead = (point.0 - from.0) * (to.0 - from.0) + (point.1 - from.1) * (to.1 - from.1);
    if lateral { -ahead } else { ahead }
}

/// An outline without what lies beyond a straight cut.
fn cut_off(outline: &[Point], beyond: impl Fn(Point) -> f64) -> Vec<Point> {
    let mut left = Vec::new();
    for (number, &point) in outline.iter().enumerate() {
        let next = outline[(number + 1) % outline.len()];
        let (here, there) = (beyond(point), beyond(next));
        if here <= 0.0 {
            left.push(point);
        }
        if here * there < 0.0 {
            let share = here / (here - there);
            left.push((
                point.0 + share * (next.0 - point.0),
                point.1 + share * (next.1 - point.1),
            ));
        }
    }
    left
}

fn draw_rod<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    rod: &Rod,
    fill: plotters::style::RGBColor,
    frame: &Frame,
) -> Drawn<DB> {
    let axis: Vec<Point> = rod.points.iter().map(|&point| frame.at(point)).collect();
    let [Some(&first), Some(&last)] = [axis.first(), axis.last()] else {
        return Ok(());
    };
    let half = 0.5 * frame.scale * rod.diameter;
    if (last.0 - first.0).hypot(last.1 - first.1) < half {
        return sheet.disc(first, half, fill, RIM);
    }
    let outline = strip(&axis, |_| half);
    sheet.area(&outline, fill)?;
    sheet.closed_line(&outline, RIM)?;
    if rod.threaded {
        for turn in turns(&axis, half) {
            sheet.line(&turn, Stroke::solid(PAPER, 1.0))?;
        }
    }
    Ok(())
}

/// Slanted strokes across a bar, like the turns of a thread; their spacing is for the eye only.
fn turns(axis: &[Point], half: f64) -> Vec<[Point; 2]> {
    const SPACING: f64 = 5.0;
    let mut turns = Vec::new();
    let mut next = 0.5 * SPACING;
    let mut passed = 0.0;
    for pair in axis.windows(2) {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let length = dx.hypot(dy);
        while next < passed + length {
            let (along, across) = ((dx / length, dy / length), (-dy / length, dx / length));
            let place = next - passed;
            let centre = (pair[0].0 + place * along.0, pair[0].1 + place * along.1);
            turns.push([-1.0, 1.0].map(|side| {
                (
                    centre.0 + side * (half * across.0 + 0.3 * SPACING * along.0),
                    centre.1 + side * (half * across.1 + 0.3 * SPACING * along.1),
                )
            }));
            next += SPACING;
        }
        passed += length;
    }
    turns
}

fn plate_outline(plate: &PlateShape, frame: &Frame) -> Vec<Point> {
    let axis: Vec<Point> = plate.points.iter().map(|&point| frame.at(point)).collect();
    strip(&axis, |number| {
        frame.scale * half_height(plate, number, frame.view)
    })
}

/// Mean share of the plate's outer face that looks at the viewer, from -1 to 1.
fn facing(plate: &PlateShape, view: View) -> f64 {
    let sum: f64 = plate
        .normals
        .iter()
        .map(|&normal| view.towards(normal))
        .sum();
    sum / plate.normals.len().max(1) as f64
}

/// Filled holes dark, empty ones open, flattened as far as the plate is turned away.
fn draw_holes<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    plate: &PlateShape,
    frame: &Frame,
) -> Drawn<DB> {
    let radius = 0.5 * frame.scale * plate.hole_diameter;
    let flattening = facing(plate, frame.view);
    for &(centre, filled) in &plate.holes {
        let (x, y) = frame.at(centre);
        let rim: Vec<Point> = (0..32)
            .map(|i| {
                let angle = std::f64::consts::TAU * f64::from(i) / 32.0;
                (
                    x + radius * angle.cos(),
                    y + flattening * radius * angle.sin(),
                )
            })
            .collect();
        let (fill, edge) = if filled { (INK, PAPER) } else { (PAPER, INK) };
        sheet.area(&rim, fill)?;
        sheet.closed_line(&rim, Stroke::solid(edge, 1.0))?;
    }
    Ok(())
}

/// A closed strip about a line: one side from first to last, then the other from last to first.
fn strip(axis: &[Point], half: impl Fn(usize) -> f64) -> Vec<Point> {
    let last = axis.len().saturating_sub(1);
    let side = |sign: f64, number: usize| {
        let (from, to) = (axis[number.saturating_sub(1)], axis[(number + 1).min(last)]);
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
        let reach = sign * half(number) / length;
        (axis[number].0 - reach * dy, axis[number].1 + reach * dx)
    };
    let one = (0..axis.len()).map(|number| side(1.0, number));
    let other = (0..axis.len()).rev().map(|number| side(-1.0, number));
    one.chain(other).collect()
}

fn legend<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, scale: f64, y: f64) -> Drawn<DB> {
    let (from, to) = (MARGIN, MARGIN + SCALE_BAR_MM * scale);
    sheet.line(&[(from, y), (to, y)], Stroke::solid(INK, 2.0))?;
    for end in [from, to] {
        sheet.line(&[(end, y - 5.0), (end, y + 5.0)], Stroke::solid(INK, 2.0))?;
    }
    sheet.text((to + 8.0, y), "20 mm", Type::Label, Align::Left)?;

    let mut x = to + 84.0;
    let swatch = |x: f64| {
        [
            (x, y - 6.0),
            (x + 22.0, y - 6.0),
            (x + 22.0, y + 6.0),
            (x, y + 6.0),
        ]
    };
    sheet.area(&swatch(x), BONE)?;
    sheet.closed_line(&swatch(x), OUTLINE)?;
    sheet.text((x + 28.0, y), "bone", Type::Quiet, Align::Left)?;
    x += 84.0;
    sheet.line(&[(x, y), (x + 24.0, y)], CANAL)?;
    sheet.text((x + 29.0, y), "canal", Type::Quiet, Align::Left)?;
    x += 86.0;
    sheet.area(&swatch(x), BLUE)?;
    sheet.text((x + 28.0, y), "nail, pin, plate", Type::Quiet, Align::Left)?;
    x += 150.0;
    sheet.area(&swatch(x), BLUE)?;
    for step in [3.0, 9.0, 15.0] {
        let thread = [(x + step, y + 6.0), (x + step + 4.0, y - 6.0)];
        sheet.line(&thread, Stroke::solid(PAPER, 1.0))?;
    }
    sheet.text((x + 28.0, y), "thread", Type::Quiet, Align::Left)?;
    x += 92.0;
    sheet.disc((x + 6.0, y), 6.0, INK, RIM)?;
    sheet.text((x + 18.0, y), "hole with screw", Type::Quiet, Align::Left)?;
    x += 140.0;
    sheet.disc((x + 6.0, y), 6.0, PAPER, RIM)?;
    sheet.text((x + 18.0, y), "empty hole", Type::Quiet, Align::Left)
}
