//! Stiffness of the whole construct and motion at the fracture.

use std::f64::consts::TAU;

use nalgebra::Vector3;

use super::{FractureMotion, RelativeStiffness, Stiffness};
use crate::anatomy::Clavicle;
use crate::construct::{Construct, Fracture, Response};
use crate::load::{Action, Setup};

/// Stiffness from the answers to the four setups of
/// [`stiffness_setups`](crate::load::stiffness_setups): load over the movement of its place in
/// the direction in which it acts.
pub(super) fn stiffness(
    construct: &Construct,
    setups: &[Setup],
    responses: &[Response],
) -> Stiffness {
    let measured: Vec<f64> = setups
        .iter()
        .zip(responses)
        .map(|(setup, response)| measured(construct, setup, response))
        .collect();
    Stiffness {
        axial_n_per_mm: measured[0],
        bending_sup_inf_nm_per_deg: nm_per_deg(measured[1]),
        bending_up_nm_per_deg: nm_per_deg(measured[2]),
        bending_ant_post_nm_per_deg: nm_per_deg(measured[3]),
        torsion_nm_per_deg: nm_per_deg(measured[4]),
    }
}

/// Stiffness in one of the tests, N/mm or N·mm/rad.
pub(super) fn measured(construct: &Construct, setup: &Setup, response: &Response) -> f64 {
    let [Action::Place { at, force, moment }] = setup.actions[..] else {
        unreachable!("a stiffness setup has one unit load at one place");
    };
    let motion = response.motion(construct.node_at(at));
    let work = force.dot(&motion.fixed_rows::<3>(0)) + moment.dot(&motion.fixed_rows::<3>(3));
    (force.norm_squared() + moment.norm_squared()) / work
}

pub(super) fn nm_per_deg(nmm_per_rad: f64) -> f64 {
    nmm_per_rad / 1000.0 * 1_f64.to_radians()
}

/// The same beside the intact bone.
pub(super) fn relative(own: &Stiffness, intact: &Stiffness) -> RelativeStiffness {
    RelativeStiffness {
        axial_n_per_mm: own.axial_n_per_mm,
        axial_percent_of_intact: 100.0 * own.axial_n_per_mm / intact.axial_n_per_mm,
        bending_sup_inf_nm_per_deg: own.bending_sup_inf_nm_per_deg,
        bending_sup_inf_percent_of_intact: 100.0 * own.bending_sup_inf_nm_per_deg
            / intact.bending_sup_inf_nm_per_deg,
        bending_up_nm_per_deg: own.bending_up_nm_per_deg,
        bending_ant_post_nm_per_deg: own.bending_ant_post_nm_per_deg,
        bending_ant_post_percent_of_intact: 100.0 * own.bending_ant_post_nm_per_deg
            / intact.bending_ant_post_nm_per_deg,
        torsion_nm_per_deg: own.torsion_nm_per_deg,
        torsion_percent_of_intact: 100.0 * own.torsion_nm_per_deg / intact.torsion_nm_per_deg,
    }
}

/// Motion of the lateral face against the medial one, both carried to the middle of the gap.
pub(super) fn fracture_motion(
    construct: &Construct,
    clavicle: &Clavicle,
    fracture: &Fracture,
    response: &Response,
) -> FractureMotion {
    const RIM_POINTS: usize = 72;
    let faces = construct.faces.expect("a broken bone has faces");
    let middle = clavicle.point(fracture.position);
    let [[medial, medial_turn], [lateral, lateral_turn]] = faces.map(|(at, node)| {
        let motion = response.motion(node);
        let turn: Vector3<f64> = motion.fixed_rows::<3>(3).into_owned();
        let carried = motion.fixed_rows::<3>(0) + turn.cross(&(middle - clavicle.point(at)));
        [carried, turn]
    });
    let (moved, turned) = (lateral - medial, lateral_turn - medial_turn);
    let along = clavicle.tangent(fracture.position);
    let axial = moved.dot(&along);
    let twist = turned.dot(&along);
    let normal = fracture.normal(clavicle);
    let rim = (0..RIM_POINTS)
        .map(|i| {
            let angle = TAU * i as f64 / RIM_POINTS as f64;
            let surface = |at, out| clavicle.surface_distance(at, out);
            let point = fracture.rim(clavicle, angle, surface) - middle;
            (moved + turned.cross(&point)).dot(&normal).abs()
        })
        .fold(0.0, f64::max);
    FractureMotion {
        axial_mm: axial,
        shear_mm: (moved - along * axial).norm(),
        angle_deg: (turned - along * twist).norm().to_degrees(),
        twist_deg: twist.to_degrees(),
        rim_mm: rim,
        strain_percent: 100.0 * rim / (fracture.gap * fracture.obliquity().cos()),
    }
}
