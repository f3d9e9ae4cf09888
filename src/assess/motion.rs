//! Stiffness of the whole construct and motion at the fracture.

use std::f64::consts::TAU;

use nalgebra::{Vector3, Vector6};

use super::{FractureMotion, OpenedByPuttingIn, RelativeStiffness, Stiffness};
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
        .map(|(setup, response)| {
            let [Action::Place { at, force, moment }] = setup.actions[..] else {
                unreachable!("a stiffness setup has one unit load at one place");
            };
            let motion = response.motion(construct.node_at(at));
            let work =
                force.dot(&motion.fixed_rows::<3>(0)) + moment.dot(&motion.fixed_rows::<3>(3));
            (force.norm_squared() + moment.norm_squared()) / work
        })
        .collect();
    let nm_per_deg = |nmm_per_rad: f64| nmm_per_rad / 1000.0 * 1_f64.to_radians();
    Stiffness {
        axial_n_per_mm: measured[0],
        bending_sup_inf_nm_per_deg: nm_per_deg(measured[1]),
        bending_up_nm_per_deg: nm_per_deg(measured[2]),
        bending_ant_post_nm_per_deg: nm_per_deg(measured[3]),
        torsion_nm_per_deg: nm_per_deg(measured[4]),
    }
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

/// Where the lateral face stands against the medial one, both carried to the middle of the gap.
pub(super) struct FacesApart {
    /// Along the bone at its axis, mm; less than zero is nearer.
    pub axial: f64,
    /// Across the bone, mm.
    pub shear: f64,
    /// Bending angle, rad.
    pub angle: f64,
    /// Twist, rad.
    pub twist: f64,
    /// Square to the faces at places around the rim, mm; less than zero is nearer.
    pub rim: Vec<f64>,
}

impl FacesApart {
    /// Farthest that they stand open on the rim, mm.
    pub fn widest(&self) -> f64 {
        self.rim.iter().copied().fold(0.0, f64::max)
    }
}

/// Where the faces stand after motions of the bone's nodes (mm, rad) from their reduced place.
pub(super) fn faces_apart(
    construct: &Construct,
    clavicle: &Clavicle,
    fracture: &Fracture,
    motion: impl Fn(usize) -> Vector6<f64>,
) -> FacesApart {
    const RIM_POINTS: usize = 72;
    let faces = construct.faces.expect("a broken bone has faces");
    let middle = clavicle.point(fracture.position);
    let [[medial, medial_turn], [lateral, lateral_turn]] = faces.map(|(at, node)| {
        let motion = motion(node);
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
            (moved + turned.cross(&point)).dot(&normal)
        })
        .collect();
    FacesApart {
        axial,
        shear: (moved - along * axial).norm(),
        angle: (turned - along * twist).norm(),
        twist,
        rim,
    }
}

/// Where the faces stand once the device is in and nothing acts yet.
pub(super) fn at_rest(
    construct: &Construct,
    clavicle: &Clavicle,
    fracture: &Fracture,
    response: &Response,
) -> FacesApart {
    faces_apart(construct, clavicle, fracture, |node| response.at_rest(node))
}

/// Smallest gap over which strain is counted where the fragments of an open gap have come to
/// meet, mm. Assumption: as much as is left out of the model at a clean break.
const MEETING_GAP: f64 = 0.5;

/// How the faces move from rest to load, and where they then stand.
///
/// Strain is counted place by place around the rim, over the gap that is there at rest: where a
/// straight nail has sprung the fracture open, tissue fills what stands open.
///
/// ```text
/// ε = max |u_load − u_rest| / (g cos α + u_rest)     u square to the faces, from their reduced place
/// ```
pub(super) fn fracture_motion(
    construct: &Construct,
    clavicle: &Clavicle,
    fracture: &Fracture,
    response: &Response,
) -> FractureMotion {
    let moved = faces_apart(construct, clavicle, fracture, |node| response.motion(node));
    let rest = at_rest(construct, clavicle, fracture, response);
    let reduced = fracture.gap * fracture.obliquity().cos();
    let around = || moved.rim.iter().zip(&rest.rim);
    let strain = around().map(|(moved, rest)| {
        let gap = (reduced + rest).max(MEETING_GAP.min(reduced));
        100.0 * moved.abs() / gap
    });
    FractureMotion {
        axial_mm: moved.axial,
        shear_mm: moved.shear,
        angle_deg: moved.angle.to_degrees(),
        twist_deg: moved.twist.to_degrees(),
        rim_mm: moved.rim.iter().map(|u| u.abs()).fold(0.0, f64::max),
        stands_open_mm: around().map(|(u, rest)| u + rest).fold(0.0, f64::max),
        strain_percent: strain.fold(0.0, f64::max),
    }
}

/// What putting the device in does to the reduced fracture.
pub(super) fn opened_by_putting_in(rest: &FacesApart) -> OpenedByPuttingIn {
    OpenedByPuttingIn {
        rim_mm: rest.widest(),
        along_mm: rest.axial,
        across_mm: rest.shear,
        angle_deg: rest.angle.to_degrees(),
    }
}
