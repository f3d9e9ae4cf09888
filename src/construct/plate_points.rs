//! Where a plate lies on the bone.

use nalgebra::Vector3;

use crate::anatomy::Clavicle;
use crate::device::{Contour, Plate, Surface};

/// A place along a plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlatePoint {
    /// Distance from the middle of the plate along it, mm; negative is medial.
    pub offset: f64,
    /// Fraction of bone length beside it.
    pub beside: f64,
    /// Middle of the plate's thickness.
    pub position: Vector3<f64>,
    /// Unit direction out of the plate.
    pub normal: Vector3<f64>,
    /// Unit direction from the bone's axis to it: along a screw, head outwards.
    pub outward: Vector3<f64>,
    /// Distance between the plate and the bone, mm.
    pub gap: f64,
}

/// Unit direction out of the bone towards a plate, across the centre line.
pub fn plate_normal(surface: Surface, clavicle: &Clavicle, at: f64) -> Vector3<f64> {
    let [_, anterior, superior] = clavicle.axes(at);
    match surface {
        Surface::Superior => superior,
        Surface::Anterior => anterior,
        Surface::Anteroinferior => (anterior - superior).normalize(),
    }
}

/// The places of a plate at the given distances from its middle, mm.
///
/// Those of a contoured plate are measured along the bone's centre line, which a plate on the
/// outside of a curve exceeds and one on the inside falls short of by a few per cent. A
/// straight plate is laid along the line between the places where its ends would touch,
/// raised until it clears the bone everywhere, and shifted sideways to stray from it as little
/// as it can; its screws aim at the axis of the bone.
pub fn plate_points(
    plate: &Plate,
    clavicle: &Clavicle,
    offsets: impl IntoIterator<Item = f64>,
) -> Vec<PlatePoint> {
    match plate.contour {
        Contour::Contoured => contoured_points(plate, clavicle, offsets),
        Contour::Straight => straight_points(plate, clavicle, offsets),
    }
}

fn contoured_points(
    plate: &Plate,
    clavicle: &Clavicle,
    offsets: impl IntoIterator<Item = f64>,
) -> Vec<PlatePoint> {
    let middle = clavicle.arc_length(plate.centre);
    offsets
        .into_iter()
        .map(|offset| {
            let beside = clavicle.fraction_at_arc_length(middle + offset);
            let normal = plate_normal(plate.surface, clavicle, beside);
            let height =
                clavicle.surface_distance(beside, normal) + plate.standoff + plate.thickness / 2.0;
            PlatePoint {
                offset,
                beside,
                position: clavicle.point(beside) + normal * height,
                normal,
                outward: normal,
                gap: plate.standoff,
            }
        })
        .collect()
}

/// Places of a straight plate; see [`plate_points`].
fn straight_points(
    plate: &Plate,
    clavicle: &Clavicle,
    offsets: impl IntoIterator<Item = f64>,
) -> Vec<PlatePoint> {
    /// Places where the plate must clear the bone; a few millimetres apart.
    const SAMPLES: usize = 40;
    let half = plate.length() / 2.0;
    let touching = Plate {
        contour: Contour::Contoured,
        thickness: 0.0,
        standoff: 0.0,
        ..plate.clone()
    };
    let samples = (0..=SAMPLES).map(|i| half * (2.0 * i as f64 / SAMPLES as f64 - 1.0));
    let surface = contoured_points(&touching, clavicle, samples);
    let start = surface[0].position;
    let along = (surface[SAMPLES].position - start).normalize();
    let normal = surface[SAMPLES / 2].normal;
    let normal = (normal - along * along.dot(&normal)).normalize();
    let across = normal.cross(&along);
    let heights = surface.iter().map(|p| (p.position - start).dot(&normal));
    let height = heights.fold(0.0, f64::max) + plate.standoff + plate.thickness / 2.0;
    let sideways = || surface.iter().map(|p| (p.position - start).dot(&across));
    let (least, most) = (
        sideways().fold(0.0, f64::min),
        sideways().fold(0.0, f64::max),
    );
    let middle = (surface[SAMPLES / 2].position - start).dot(&along);
    let origin = start + along * middle + normal * height + across * ((least + most) / 2.0);
    offsets
        .into_iter()
        .map(|offset| {
            let position = origin + along * offset;
            let beside = beside(clavicle, position, along);
            let centre = clavicle.point(beside);
            let [tangent, ..] = clavicle.axes(beside);
            let out = position - centre;
            let outward = (out - tangent * tangent.dot(&out)).normalize();
            let surface = clavicle.surface_distance(beside, outward);
            let gap = out.dot(&outward) - surface - plate.thickness / 2.0;
            PlatePoint {
                offset,
                beside,
                position,
                normal,
                outward,
                gap: gap.max(0.0),
            }
        })
        .collect()
}

/// Fraction of bone length whose place on the centre line lies level with a position, looking
/// across a direction that leads from medial to lateral.
fn beside(clavicle: &Clavicle, position: Vector3<f64>, along: Vector3<f64>) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    // A thousandth of a millimetre after 20 halvings of a bone.
    for _ in 0..20 {
        let middle = (low + high) / 2.0;
        match (clavicle.point(middle) - position).dot(&along) < 0.0 {
            true => low = middle,
            false => high = middle,
        }
    }
    (low + high) / 2.0
}
