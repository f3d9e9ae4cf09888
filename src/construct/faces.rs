//! The two faces of a fracture: they press and rub but do not pull.

use std::f64::consts::TAU;

use nalgebra::Matrix3;

use super::{Construct, Fracture, Pattern};
use crate::anatomy::Clavicle;
use crate::frame::{Coupling, Law, Shape, Touch};

/// Places around the cortex where the faces may touch.
const POINTS: usize = 16;

/// Thickness of the rough layer that gives when broken ends press on each other, mm, and what
/// share of the cortex's modulus it has.
///
/// Assumption: a broken end bears on its peaks; no measured stiffness was found.
const ROUGH_LAYER: f64 = 1.0;
const ROUGH_SHARE: f64 = 0.1;

/// Friction of broken bone on broken bone. Assumption: rough; no measured value was found.
const BONE_ON_BONE: f64 = 0.4;

/// Adds a ring of one-sided couplings around the middle of the cortex, in the middle of the
/// gap. A transverse break is reduced: its faces touch from the start, the gap in the model
/// being only where bone is left out. Over a comminuted gap the fragments meet when it has
/// closed.
pub(super) fn add(construct: &mut Construct, fracture: &Fracture, clavicle: &Clavicle) {
    let Some([(_, medial), (_, lateral)]) = construct.faces else {
        return;
    };
    let gap = match fracture.pattern {
        Pattern::Transverse => 0.0,
        Pattern::Comminuted => fracture.gap,
    };
    let at = fracture.position;
    let [along, anterior, superior] = clavicle.axes(at);
    let cortex = clavicle.cortex();
    let area = clavicle.section(at).area / POINTS as f64;
    let stiffness = ROUGH_SHARE * cortex.youngs_modulus * area / ROUGH_LAYER;
    for point in 0..POINTS {
        let (sin, cos) = (TAU * point as f64 / POINTS as f64).sin_cos();
        let out = anterior * cos + superior * sin;
        let middle =
            (clavicle.surface_distance(at, out) + clavicle.canal_half_width(at, out)) / 2.0;
        construct
            .face_couplings
            .push(construct.frame.couplings.len());
        construct.frame.couplings.push(Coupling {
            name: format!("fracture faces, point {}", point + 1),
            nodes: [medial, lateral],
            at: clavicle.point(at) + out * middle,
            axes: Matrix3::from_columns(&[along, anterior, superior]),
            law: Law::Touch(Touch {
                shape: Shape::Face { gap },
                stiffness,
                friction: BONE_ON_BONE,
                shear_stiffness: stiffness,
            }),
        });
    }
}
