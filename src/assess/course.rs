//! Moments and stresses along the bone, and shapes, for plots.

use super::stress::smooth_stress;
use super::{BoneSlice, Course, CourseSample, Cut, Drawing, PlateShape, Rod};
use crate::anatomy::Clavicle;
use crate::construct::{
    Construct, Form, Fracture, Mechanics, Pattern, Piece, PlatePoint, Response, bar, plate_points,
};
use crate::device::{Contour, Device, Plate};

/// Samples along the bone.
const SAMPLES: usize = 160;

/// Moment and stress in bone and device from the sternal to the acromial end.
pub(super) fn course(construct: &Construct, activity: &str, response: &Response) -> Course {
    // Two plates lie side by side: the worse of them.
    let look = |pieces: &[Piece], position: f64| -> Option<(f64, f64)> {
        let beside = |piece: &&Piece| (piece.stretch[0]..=piece.stretch[1]).contains(&position);
        let seen = pieces.iter().filter(beside).map(|piece| {
            let [from, to] = piece.stretch;
            let at = construct.member_length(piece.member) * (position - from) / (to - from);
            let forces = response.section_forces(&construct.frame, piece.member, at);
            let stress = smooth_stress(construct, response, piece.member, at);
            (forces.bending() / 1000.0, stress)
        });
        seen.reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)))
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
    let oblique = matches!(fracture.pattern, Pattern::Oblique(_));
    let cut = oblique.then(|| Cut {
        faces: [medial, lateral].map(|face| clavicle.point(face).into()),
        normal: fracture.normal(clavicle).into(),
    });
    // The oblique break cuts both fragments where they overlap.
    let [medial_end, lateral_start] = match oblique {
        true => {
            let [from, to] = fracture.overlap(clavicle);
            [medial.max(to), lateral.min(from)]
        }
        false => [medial, lateral],
    };
    let mut drawing = Drawing {
        fragments: vec![fragment(0.0, medial_end), fragment(lateral_start, 1.0)],
        cut,
        ..Drawing::default()
    };
    // Its shape is the same in either mechanics.
    if let Some(bar) = bar(device, clavicle, Mechanics::Linear) {
        let stretches = bar.stretches.iter().map(|stretch| {
            let [from, to] = stretch.reach;
            let threaded = matches!(stretch.form, Form::Threaded { .. });
            rod(from, to, stretch.outer_diameter, threaded)
        });
        drawing.rods = stretches.collect();
    }
    for plate in device.plates() {
        add_plate(&mut drawing, plate, clavicle);
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
    let screws = numbers.clone().zip(&holes).filter_map(|(number, hole)| {
        let screw = plate.screws.iter().find(|screw| screw.hole == number)?;
        let out = hole.outward;
        let head = hole.position + out * (plate.thickness / 2.0);
        let centre = clavicle.point(hole.beside);
        let tip = match screw.bicortical {
            true => -clavicle.surface_distance(hole.beside, -out),
            false => clavicle.canal_half_width(hole.beside, out),
        };
        Some(Rod {
            points: vec![head.into(), (centre + out * tip).into()],
            diameter: screw.outer_diameter,
            threaded: true,
        })
    });
    drawing.screws.extend(screws);
    let along = points[STEPS].position - points[0].position;
    let along = |point: &PlatePoint| match plate.contour {
        Contour::Contoured => clavicle.tangent(point.beside),
        Contour::Straight => along.normalize(),
    };
    drawing.plates.push(PlateShape {
        points: points.iter().map(|point| point.position.into()).collect(),
        normals: points.iter().map(|point| point.normal.into()).collect(),
        across: points
            .iter()
            .map(|point| point.normal.cross(&along(point)).into())
            .collect(),
        width: plate.width,
        thickness: plate.thickness,
        holes: numbers
            .zip(&holes)
            .filter(|(number, _)| plate.hole(*number).is_some())
            .map(|(number, hole)| (hole.position.into(), plate.is_filled(number)))
            .collect(),
        hole_diameter: plate.hole_diameter,
    });
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
