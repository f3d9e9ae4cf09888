//! Free bodies: the raised arm, the clavicle it loads, and the clavicle among its joints.
//!
//! Seen from the front, the acromial end of a right clavicle on the left.

use plotters::prelude::DrawingBackend;

use crate::assess::{ActivitySummary, ArmLoads, Assessment, BoneSlice, ShoulderLoads};
use crate::report::number::plain;
use crate::report::style::{
    Align, BLUE, BONE, Drawn, INK, PAPER, Point, QUIET, SHADE, Sheet, Stroke, Type, VERMILION,
};
use crate::report::words::shortened;

const TITLE: f64 = 30.0;
/// Height of one free body.
const ROW: f64 = 220.0;
const NOTE: f64 = 30.0;
/// Places of the acromial and of the sternal end.
const ENDS: [f64; 2] = [350.0, 810.0];
/// How far the arm is drawn.
const ARM: f64 = 165.0;
/// Length of an arrow.
const ARROW: f64 = 42.0;
/// A force smaller than this is not drawn, N.
const NOTHING: f64 = 0.5;

/// What acts from outside.
const ACTS: Stroke = Stroke::solid(VERMILION, 3.4);
/// What holds.
const HOLDS: Stroke = Stroke::solid(BLUE, 1.7);
const OUTLINE: Stroke = Stroke::solid(QUIET, 1.2);
const SLACK: Stroke = Stroke {
    colour: QUIET,
    width: 1.2,
    dash: Some((2.0, 4.0)),
};

/// One free body of an activity.
enum Body<'a> {
    Arm(&'a ArmLoads),
    Joints(&'a ShoulderLoads),
}

fn bodies(assessment: &Assessment) -> Vec<(&ActivitySummary, Body<'_>)> {
    let all = assessment.activities.iter();
    all.flat_map(|activity| {
        let shoulder = activity.shoulder.as_ref();
        let arm = shoulder.and_then(|own| own.arm.as_ref()).map(Body::Arm);
        let joints = shoulder.filter(|own| own.joints.is_some());
        let joints = joints.map(Body::Joints);
        let both = arm.into_iter().chain(joints);
        both.map(move |body| (activity, body))
    })
    .collect()
}

/// Whether there is anything to draw.
pub(super) fn has_any(assessment: &Assessment) -> bool {
    !bodies(assessment).is_empty()
}

pub(super) fn height(assessment: &Assessment) -> f64 {
    bodies(assessment).len() as f64 * (TITLE + ROW) + NOTE
}

pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    assessment: &Assessment,
) -> Drawn<DB> {
    let mut top = 0.0;
    for (activity, body) in bodies(assessment) {
        let heading = shortened(&activity.name, 90);
        sheet.text((10.0, top + 18.0), &heading, Type::Bold, Align::Left)?;
        let bone = Bone::new(assessment, top + TITLE + 0.45 * ROW);
        bone.draw(sheet)?;
        match body {
            Body::Arm(arm) => raised_arm(sheet, &bone, arm, top + TITLE)?,
            Body::Joints(loads) => among_joints(sheet, &bone, loads)?,
        }
        top += TITLE + ROW;
    }
    let note = "Thick, vermilion: what acts. Thin, blue: what holds. Forces below 0.5 N are left out; arrows are not to \
                scale.";
    sheet.text((10.0, top + 12.0), note, Type::Quiet, Align::Left)
}

/// The bone on the sheet.
struct Bone {
    fragments: Vec<Vec<BoneSlice>>,
    length: f64,
    middle: f64,
}

impl Bone {
    fn new(assessment: &Assessment, middle: f64) -> Self {
        let first = assessment.constructs.first();
        Bone {
            fragments: first.map_or_else(Vec::new, |c| c.drawing.fragments.clone()),
            length: assessment.patient.length_mm,
            middle,
        }
    }

    fn scale(&self) -> f64 {
        (ENDS[1] - ENDS[0]) / self.length
    }

    fn at(&self, along: f64, up: f64) -> Point {
        let scale = self.scale();
        (ENDS[1] - scale * along, self.middle - scale * up)
    }

    /// The rim at a fraction of length, on top (1) or below (−1).
    fn rim(&self, at: f64, side: f64) -> Point {
        let along = at * self.length;
        let slices = self.fragments.iter().flatten();
        let nearest = slices.min_by(|a, b| {
            let [a, b] = [a, b].map(|slice| (slice.centre[0] - along).abs());
            a.total_cmp(&b)
        });
        let up = nearest.map_or(0.0, |slice| slice.centre[2] + side * slice.outer[1] / 2.0);
        self.at(along, up)
    }

    fn draw<DB: DrawingBackend>(&self, sheet: &Sheet<'_, DB>) -> Drawn<DB> {
        for slices in &self.fragments {
            let side = |sign: f64| {
                slices.iter().map(move |slice| {
                    self.at(
                        slice.centre[0],
                        slice.centre[2] + sign * slice.outer[1] / 2.0,
                    )
                })
            };
            let outline: Vec<Point> = side(1.0).chain(side(-1.0).rev()).collect();
            sheet.area(&outline, BONE)?;
            sheet.closed_line(&outline, OUTLINE)?;
        }
        let end = |at: f64, words: &str, align| {
            let (x, _) = self.rim(at, 1.0);
            sheet.text((x, self.middle - 76.0), words, Type::Quiet, align)
        };
        end(0.0, "sternal end", Align::Right)?;
        end(1.0, "acromial end", Align::Left)
    }
}

/// An arrow with its tip at a point, coming from a direction.
fn arrow<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    tip: Point,
    (along, down): (f64, f64),
    stroke: Stroke,
) -> Drawn<DB> {
    let tail = (tip.0 - ARROW * along, tip.1 - ARROW * down);
    head(sheet, tip, (along, down), stroke)?;
    let neck = (tip.0 - 7.0 * along, tip.1 - 7.0 * down);
    sheet.line(&[tail, neck], stroke)
}

fn head<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    tip: Point,
    (along, down): (f64, f64),
    stroke: Stroke,
) -> Drawn<DB> {
    let side = |sign: f64| {
        (
            tip.0 - 10.0 * along - 4.5 * sign * down,
            tip.1 - 10.0 * down + 4.5 * sign * along,
        )
    };
    sheet.area(&[tip, side(1.0), side(-1.0)], stroke.colour)
}

/// The arm about the shoulder, and the clavicle with the envelope that follows from it.
fn raised_arm<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    bone: &Bone,
    arm: &ArmLoads,
    top: f64,
) -> Drawn<DB> {
    let shoulder = (ENDS[0] - 120.0, top + 60.0);
    let angle = arm.elevation_deg.to_radians();
    let place = |lever: f64| {
        let reach = ARM * lever / arm.hand_lever_mm;
        (
            shoulder.0 - reach * angle.sin(),
            shoulder.1 + reach * angle.cos(),
        )
    };
    let hand = place(arm.hand_lever_mm);
    sheet.line(&[shoulder, hand], Stroke::solid(SHADE, 14.0))?;
    sheet.line(&[shoulder, hand], OUTLINE)?;
    sheet.disc(shoulder, 5.0, PAPER, Stroke::solid(INK, 1.5))?;
    let words = format!("shoulder, arm at {:.0}°", arm.elevation_deg);
    let above = (shoulder.0 + 14.0, shoulder.1 - 22.0);
    sheet.text(above, &words, Type::Quiet, Align::Right)?;
    for (weight, lever, name) in [
        (arm.arm_weight_n, arm.arm_lever_mm, "arm"),
        (arm.hand_weight_n, arm.hand_lever_mm, "hand"),
    ] {
        if weight < NOTHING {
            continue;
        }
        let (x, y) = place(lever);
        let tip = (x, y + ARROW + 6.0);
        arrow(sheet, tip, (0.0, 1.0), ACTS)?;
        let lines = [
            format!("{name} {} N", plain(weight)),
            format!("at {lever:.0} mm"),
        ];
        for (number, line) in lines.iter().enumerate() {
            let below = (x, tip.1 + 12.0 + 15.0 * number as f64);
            sheet.text(below, line, Type::Label, Align::Centre)?;
        }
    }
    let factor = format!("{} × the published envelope", plain(arm.envelope_factor));
    let below = (0.5 * (ENDS[0] + ENDS[1]), bone.middle + 78.0);
    sheet.text(below, &factor, Type::Label, Align::Centre)?;

    let acromial = bone.at(bone.length, 0.0);
    let tip = (acromial.0 - 3.0, acromial.1);
    arrow(sheet, tip, (1.0, 0.0), ACTS)?;
    let push = format!("{} N", plain(arm.push_n));
    let beside = (tip.0 - ARROW - 6.0, tip.1);
    sheet.text(beside, &push, Type::Label, Align::Right)?;
    turn(sheet, (acromial.0 + 8.0, acromial.1), ACTS)?;
    let moment = format!("{} N·m", plain(arm.end_moment_nm));
    let below = (acromial.0 + 8.0, acromial.1 + 46.0);
    sheet.text(below, &moment, Type::Label, Align::Centre)?;
    clamp(sheet, bone.at(0.0, 0.0))?;
    let words = "section forces of the shaft are published, the joints' are not";
    let below = (0.5 * (ENDS[0] + ENDS[1]), bone.middle + 96.0);
    sheet.text(below, words, Type::Quiet, Align::Centre)
}

/// A turn that bends the acromial end, on the left, down.
fn turn<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, (x, y): Point, stroke: Stroke) -> Drawn<DB> {
    const RADIUS: f64 = 27.0;
    let at = |degrees: f64| {
        let angle = degrees.to_radians();
        (x + RADIUS * angle.cos(), y - RADIUS * angle.sin())
    };
    let arc: Vec<Point> = (0..=24)
        .map(|i| at(50.0 + 150.0 * f64::from(i) / 24.0))
        .collect();
    sheet.line(&arc, stroke)?;
    let (from, to) = (at(198.0), at(212.0));
    let length = (to.0 - from.0).hypot(to.1 - from.1);
    let along = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    head(sheet, to, along, stroke)
}

/// A wall that holds the sternal end.
fn clamp<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, (x, y): Point) -> Drawn<DB> {
    let (x, half) = (x + 2.0, 34.0);
    sheet.line(&[(x, y - half), (x, y + half)], Stroke::solid(INK, 2.0))?;
    for number in 0..7 {
        let from = y - half + 10.0 * f64::from(number);
        sheet.line(&[(x, from + 8.0), (x + 9.0, from)], OUTLINE)?;
    }
    Ok(())
}

/// The clavicle among its joints, and the shoulder blade.
fn among_joints<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    bone: &Bone,
    loads: &ShoulderLoads,
) -> Drawn<DB> {
    let Some(joints) = &loads.joints else {
        return Ok(());
    };
    if let Some(strap) = &loads.strap {
        let half = strap.width_mm / 2.0 / bone.length;
        for number in 0..5 {
            let at = strap.position + half * (0.5 * f64::from(number) - 1.0);
            let at = at.clamp(0.0, 1.0);
            let (x, y) = bone.rim(at, 1.0);
            arrow(sheet, (x, y - 2.0), (0.0, 1.0), ACTS)?;
        }
        let (x, y) = bone.rim(strap.position, 1.0);
        let words = format!("strap {} N", plain(strap.force_n));
        let above = (x, y - ARROW - 14.0);
        sheet.text(above, &words, Type::Label, Align::Centre)?;
    }
    for (name, at, pull) in [
        (
            "costoclavicular",
            joints.costoclavicular_at,
            joints.costoclavicular_n,
        ),
        ("conoid", joints.conoid_at, joints.conoid_n),
        ("trapezoid", joints.trapezoid_at, joints.trapezoid_n),
    ] {
        // The trapezoid's words stand lower, clear of the conoid's.
        let drop = if name == "trapezoid" { 34.0 } else { 0.0 };
        let (x, y) = bone.rim(at, -1.0);
        let end = y + ARROW + drop;
        let words = match pull < NOTHING {
            true => {
                sheet.line(&[(x, y), (x, end)], SLACK)?;
                "slack".to_owned()
            }
            false => {
                sheet.line(&[(x, y), (x, end - 8.0)], HOLDS)?;
                head(sheet, (x, end), (0.0, 1.0), HOLDS)?;
                format!("{} N", plain(pull))
            }
        };
        // Beside the arrow of the breastbone there is no room below the line.
        let (x, y, align) = match name {
            "costoclavicular" => (x - 8.0, end - 16.0, Align::Right),
            _ => (x, end + 11.0, Align::Centre),
        };
        sheet.text((x, y), name, Type::Quiet, align)?;
        sheet.text((x, y + 15.0), &words, Type::Label, align)?;
    }
    let ends = [
        (0.0, joints.sternoclavicular_n, Align::Left, 1.0),
        (1.0, joints.acromioclavicular_n, Align::Right, -1.0),
    ];
    for (at, [lateral, _, up], align, outwards) in ends {
        if up.abs() >= NOTHING {
            let side = if up > 0.0 { -1.0 } else { 1.0 };
            let (x, y) = bone.rim(at, side);
            let x = x - 10.0 * outwards;
            arrow(sheet, (x, y - 3.0 * side), (0.0, side), HOLDS)?;
            let words = format!("{} N", plain(up.abs()));
            let beside = (x + 8.0 * outwards, y - side * (3.0 + 0.7 * ARROW));
            sheet.text(beside, &words, Type::Label, align)?;
        }
        if lateral.abs() >= NOTHING {
            let (x, y) = bone.at(at * bone.length, 0.0);
            // Lateral is to the left.
            let along = -lateral.signum();
            let pushes = along * outwards < 0.0;
            let tip = if pushes {
                x + 3.0 * outwards
            } else {
                x + (ARROW + 3.0) * outwards
            };
            arrow(sheet, (tip, y), (along, 0.0), HOLDS)?;
            let words = format!("{} N", plain(lateral.abs()));
            let above = (x + (ARROW + 3.0) * outwards, y - 14.0);
            let align = if outwards > 0.0 {
                Align::Right
            } else {
                Align::Left
            };
            sheet.text(above, &words, Type::Label, align)?;
        }
    }
    shoulder_blade(sheet, bone.middle, loads)
}

/// The shoulder blade between what pushes it and the muscles that hold it.
fn shoulder_blade<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    middle: f64,
    loads: &ShoulderLoads,
) -> Drawn<DB> {
    let Some(joints) = &loads.joints else {
        return Ok(());
    };
    let (left, right) = (120.0, 220.0);
    let (top, bottom) = (middle - 26.0, middle + 26.0);
    sheet.rectangle((left, top), (right, bottom), SHADE)?;
    let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
    sheet.closed_line(&corners, OUTLINE)?;
    let centre = 0.5 * (left + right);
    for (number, words) in ["shoulder", "blade"].iter().enumerate() {
        let line = (centre, middle - 8.0 + 16.0 * number as f64);
        sheet.text(line, words, Type::Label, Align::Centre)?;
    }
    if loads.push_up_n >= NOTHING {
        let tip = (left + 26.0, bottom + 3.0);
        arrow(sheet, tip, (0.0, -1.0), ACTS)?;
        let words = format!("push {} N", plain(loads.push_up_n));
        let below = (tip.0, tip.1 + ARROW + 12.0);
        sheet.text(below, &words, Type::Label, Align::Centre)?;
    }
    if loads.push_inward_n >= NOTHING {
        let tip = (left - 3.0, middle + 12.0);
        arrow(sheet, tip, (1.0, 0.0), ACTS)?;
        let words = format!("push {} N", plain(loads.push_inward_n));
        let below = (tip.0, tip.1 + 18.0);
        sheet.text(below, &words, Type::Label, Align::Right)?;
    }
    let [lateral, _, up] = joints.scapula_n;
    if up.abs() >= NOTHING {
        let (tip, down, words_at) = match up > 0.0 {
            true => ((right - 26.0, bottom + 3.0), -1.0, bottom + ARROW + 15.0),
            false => ((right - 26.0, top - 3.0), 1.0, top - ARROW - 13.0),
        };
        arrow(sheet, tip, (0.0, down), HOLDS)?;
        let words = format!("muscles {} N", plain(up.abs()));
        sheet.text((tip.0, words_at), &words, Type::Label, Align::Centre)?;
    }
    if lateral.abs() >= NOTHING {
        // Lateral is to the left: a force that way pulls at the near side.
        let (tip, along) = match lateral > 0.0 {
            true => ((left - 3.0 - ARROW, middle - 12.0), -1.0),
            false => ((left - 3.0, middle - 12.0), 1.0),
        };
        arrow(sheet, tip, (along, 0.0), HOLDS)?;
        let words = format!("muscles {} N", plain(lateral.abs()));
        let above = (left - 3.0, middle - 30.0);
        sheet.text(above, &words, Type::Label, Align::Right)?;
    }
    Ok(())
}
