//! Moments and stresses along the bone, and shapes, for plots.

use super::stress::smooth_stress;
use super::{BoneSlice, Course, CourseSample, Cut, Drawing, PlateShape, Rod};
use crate::anatomy::Clavicle;
use crate::construct::{
    Construct, Fracture, Pattern, Piece, Response, lateral_thread, plate_points,
};
use crate::device::{Device, Plate};
use nalgebra::Vector3;

/// Samples along the bone.
const SAMPLES: usize = 160;

/// Moment and stress in bone and device from the sternal to the acromial end.
pub(super) fn course(construct: &Construct, activity: &str, response: &Response) -> Course {
    let look = |pieces: &[Piece], position: f64| -> Option<(f64, f64)> {
        let beside = |piece: &&Piece| (piece.stretch[0]..=piece.stretch[1]).contains(&position);
        let piece = pieces.iter().find(beside)?;
        let [from, to] = piece.stretch;
        let at = construct.member_length(piece.member) * (position - from) / (to - from);
        let forces = response.section_forces(&construct.frame, piece.member, at);
        let stress = smooth_stress(construct, response, piece.member, at);
        Some((forces.bending() / 1000.0, stress))
    };
    let samples = (0..=SAMPLES)
        .map(|i| {
            let position = i as f64 / SAMPLES as f64;
            let bone = look(&construct.bone, position);
            let device = look(&construct.device, position);
            CourseSample {
                position,
                bone_moment_nm: bone.map(|(moment, _)| moment),
                bone_stress_mpa: bone.map(|(_, stress)| stress),
                device_moment_nm: device.map(|(moment, _)| moment),
                device_stress_mpa: device.map(|(_, stress)| stress),
            }
        })
        .collect();
    Course {
        activity: activity.to_owned(),
        samples,
    }
}

/// Shapes of bone and device.
pub(super) fn drawing(clavicle: &Clavicle, fracture: &Fracture, device: &Device) -> Drawing {
    let [medial, lateral] = fracture.faces(clavicle);
    let fragment = |from: f64, to: f64| -> Vec<BoneSlice> {
        between(from, to).map(|at| slice(clavicle, at)).collect()
    };
    let rod = |from: f64, to: f64, diameter: f64, threaded: bool| Rod {
        points: between(from, to)
            .map(|at| clavicle.point(at).into())
            .collect(),
        diameter,
        threaded,
    };
    let [from, to] = fracture.overlap(clavicle);
    let cut = matches!(fracture.pattern, Pattern::Oblique(_)).then(|| Cut {
        faces: [medial, lateral].map(|face| clavicle.point(face).into()),
        normal: fracture.normal(clavicle).into(),
    });
    let mut drawing = Drawing {
        fragments: vec![
            fragment(0.0, medial.max(to)),
            fragment(lateral.min(from), 1.0),
        ],
        cut,
        ..Drawing::default()
    };
    match device {
        Device::Nail(nail) => {
            drawing.rods = vec![rod(nail.entry, nail.tip, nail.diameter, false)];
        }
        Device::Pin(pin) => {
            let second_thread = lateral_thread(pin, clavicle);
            drawing.rods = vec![
                rod(pin.medial_tip, pin.thread_end, pin.outer_diameter, true),
                rod(pin.thread_end, second_thread, pin.shank_diameter, false),
                rod(second_thread, pin.nut, pin.outer_diameter, true),
            ];
        }
        Device::Plate(plate) => add_plate(&mut drawing, plate, clavicle),
    }
    drawing
}

fn add_plate(drawing: &mut Drawing, plate: &Plate, clavicle: &Clavicle) {
    const STEPS: usize = 60;
    let half = plate.length() / 2.0;
    let offsets = (0..=STEPS).map(|i| half * (2.0 * i as f64 / STEPS as f64 - 1.0));
    let points = plate_points(plate, clavicle, offsets);
    let numbers = 1..=plate.hole_count;
    let holes = plate_points(
        plate,
        clavicle,
        numbers.clone().map(|number| plate.hole_offset(number)),
    );
    drawing.screws = numbers
        .clone()
        .zip(&holes)
        .filter_map(|(number, hole)| {
            let screw = plate.screws.iter().find(|screw| screw.hole == number)?;
            let head = hole.position + hole.normal * (plate.thickness / 2.0);
            let reach = |out: Vector3<f64>| out * clavicle.surface_distance(hole.beside, out);
            let centre = clavicle.point(hole.beside);
            let near_wall =
                reach(hole.normal).norm() - clavicle.canal_half_width(hole.beside, hole.normal);
            let tip = match screw.bicortical {
                true => centre + reach(-hole.normal),
                false => centre + reach(hole.normal) - hole.normal * near_wall,
            };
            Some(Rod {
                points: vec![head.into(), tip.into()],
                diameter: screw.outer_diameter,
                threaded: true,
            })
        })
        .collect();
    drawing.plates = vec![PlateShape {
        points: points.iter().map(|point| point.position.into()).collect(),
        normals: points.iter().map(|point| point.normal.into()).collect(),
        across: points
            .iter()
            .map(|point| point.normal.cross(&clavicle.tangent(point.beside)).into())
            .collect(),
        width: plate.width,
        thickness: plate.thickness,
        holes: numbers
            .zip(&holes)
            .map(|(number, hole)| (hole.position.into(), plate.is_filled(number)))
            .collect(),
        hole_diameter: plate.hole_diameter,
    }];
}

fn between(from: f64, to: f64) -> impl Iterator<Item = f64> {
    const STEPS: usize = 60;
    (0..=STEPS).map(move |i| from + (to - from) * i as f64 / STEPS as f64)
}

fn slice(clavicle: &Clavicle, at: f64) -> BoneSlice {
    BoneSlice {
        centre: clavicle.point(at).into(),
        outer: clavicle.outer(at),
        canal: clavicle.canal(at),
        canal_open: clavicle.has_canal(at),
    }
}
