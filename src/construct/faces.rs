//! The two faces of a fracture: they press and rub but do not pull.

use std::f64::consts::TAU;

use nalgebra::Matrix3;

use super::{Construct, Fracture, Pattern};
use crate::anatomy::Clavicle;
use crate::frame::{AxisLaw, Coupling, Law, Shape, Touch};

/// Places around the cortex where the faces may touch.
const POINTS: usize = 16;

/// Thickness of the rough layer that gives when broken ends press on each other, mm, and what
/// share of the cortex's modulus it has.
///
/// Assumption: a broken end bears on its peaks; no measured stiffness was found.
const ROUGH_LAYER: f64 = 1.0;
const ROUGH_SHARE: f64 = 0.1;

/// Adds a ring of one-sided couplings around the middle of the cortex, where the plane of the
/// break cuts it. A clean break is reduced: its faces touch from the start, the gap in the
/// model being only where bone is left out. Over a comminuted gap the fragments meet when it
/// has closed.
///
/// The points share the area of the slanted cut, `A / cos α`. Teeth of the break, if any,
/// hold shear along each of two directions in the plane, pressed or not, up to their bound,
/// and keep the bound when they give way.
pub(super) fn add(construct: &mut Construct, fracture: &Fracture, clavicle: &Clavicle) {
    let Some([(_, medial), (_, lateral)]) = construct.faces else {
        return;
    };
    let gap = match fracture.pattern {
        Pattern::Transverse | Pattern::Oblique(_) => 0.0,
        Pattern::Comminuted => fracture.gap,
    };
    let cortex = clavicle.cortex();
    let cut = clavicle.section(fracture.position).area / fracture.obliquity().cos();
    let stiffness = ROUGH_SHARE * cortex.youngs_modulus * cut / POINTS as f64 / ROUGH_LAYER;
    let normal = fracture.normal(clavicle);
    let [.., superior] = clavicle.axes(fracture.position);
    let up = (superior - normal * normal.dot(&superior)).normalize();
    let axes = Matrix3::from_columns(&[normal, up.cross(&normal), up]);
    let free = AxisLaw::Free;
    let teeth = AxisLaw::Grip {
        stiffness,
        strip: fracture.interlock_shear / POINTS as f64,
    };
    for point in 0..POINTS {
        let angle = TAU * point as f64 / POINTS as f64;
        let at = fracture.rim(clavicle, angle, |at, out| {
            (clavicle.surface_distance(at, out) + clavicle.canal_half_width(at, out)) / 2.0
        });
        let coupling = |name: &str, law: Law| Coupling {
            name: format!("{name}, point {}", point + 1).into(),
            nodes: [medial, lateral],
            at,
            axes,
            law,
        };
        let touch = Law::Touch(Touch {
            shape: Shape::Face { gap },
            stiffness,
            friction: fracture.face_friction,
            shear_stiffness: stiffness,
        });
        construct
            .face_couplings
            .push(construct.frame.couplings.len());
        construct
            .frame
            .couplings
            .push(coupling("fracture faces", touch));
        if fracture.interlock_shear > 0.0 {
            let law = Law::Axes([free, teeth, teeth, free, free, free]);
            construct
                .frame
                .couplings
                .push(coupling("teeth of the fracture", law));
        }
    }
}
