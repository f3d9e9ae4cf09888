//! Plates and screws.

use std::f64::consts::PI;
use std::sync::Arc;

use nalgebra::Matrix3;

use super::foundation::held_in_cortex;
use super::plate_points::{PlatePoint, plate_points};
use super::{Construct, CriticalPlace, Draw, Mechanics, Part, Piece, ScrewHold, placed};
use crate::anatomy::Clavicle;
use crate::device::{Contour, Notch, Plate, Screw};
use crate::frame::{AxisLaw, Coupling, Law, Moduli, Name, Profile, Shape, Touch};
use crate::section::Section;

/// Sideways stiffness of a cortex at a screw, per length of screw in it and per modulus of
/// the bone: the modulus of the foundation over that of the bone.
///
/// Assumption: of the order of one, as for a rigid bar bonded in an elastic body.
const CORTEX_BEDDING: f64 = 1.0;

/// Axial stiffness of a thread in a cortex: the bone around it shears.
///
/// ```text
/// k = 2π G t / ln(r_far / r)
/// ```
///
/// Assumption: the shear dies out at four radii (`ln 4`).
const THREAD_SHEAR: f64 = 2.0 * PI / 1.386;

/// How firmly the head of a screw that does not lock is held against tilting, N·mm/rad.
///
/// Assumption: ten N·m/rad, small against a locked head and enough that it does not spin.
const LOOSE_HEAD: f64 = 10_000.0;

/// Stiffness of the seat of a screw head in its hole, N/mm. Assumption: large against the
/// bone's, so that it does not matter.
const HEAD_SEAT: f64 = 1e6;

/// A straight plate nearer to the bone than this touches it, mm. Assumption: what a screw takes up
/// without bending the plate.
const TOUCHING: f64 = 0.2;

/// Places along the bone under the filled holes.
pub(super) fn hole_places(plate: &Plate, clavicle: &Clavicle) -> Vec<f64> {
    let offsets = plate
        .screws
        .iter()
        .map(|screw| plate.hole_offset(screw.hole));
    plate_points(plate, clavicle, offsets)
        .iter()
        .map(|point| point.beside)
        .collect()
}

/// Adds a plate and its screws; `prefix` stands before the names of its places.
pub(super) fn add(construct: &mut Construct, plate: &Plate, clavicle: &Clavicle, prefix: &str) {
    let radius = plate.hole_diameter / 2.0;
    let half_length = plate.length() / 2.0;
    let mut offsets = vec![-half_length];
    for number in 1..=plate.hole_count {
        let hole = plate.hole_offset(number);
        offsets.extend([hole - radius, hole, hole + radius]);
    }
    offsets.push(half_length);
    let points = plate_points(plate, clavicle, offsets);
    let nodes: Vec<usize> = points
        .iter()
        .map(|point| {
            let label = placed("plate", "at", point.beside, clavicle);
            construct.frame.add_node(label, point.position)
        })
        .collect();

    let nu = plate.material.poisson_ratio;
    let gross = Section::rectangle(plate.width, plate.thickness, nu);
    let first_piece = construct.device.len();
    for (index, pair) in points.windows(2).enumerate() {
        // From the plate's end: plain, half a hole, half a hole, plain, ...
        let left = match index % 3 {
            // No notch beyond the end holes.
            0 if index == 0 || index + 2 == points.len() => None,
            0 => plate
                .notches()
                .map(|notches| notches.stiffness_factors(pair[1].offset - pair[0].offset)),
            _ => plate
                .hole(index / 3 + 1)
                .map(|hole| hole.stiffness_factors()),
        };
        let section = left.map_or(gross, |left| weakened(&gross, left));
        let member = construct.frame.add_member(
            placed("plate", "from", pair[0].beside, clavicle),
            [nodes[index], nodes[index + 1]],
            (pair[0].normal + pair[1].normal) / 2.0,
            Moduli::from(&plate.material),
            Profile::Prismatic(section),
        );
        construct.device.push(Piece {
            member,
            stretch: [pair[0].beside, pair[1].beside],
        });
    }

    for number in 1..=plate.hole_count {
        let point = &points[3 * number - 1];
        let halves = [3 * number - 2, 3 * number - 1]
            .map(|piece| construct.device[first_piece + piece].member);
        let centre = construct.member_length(halves[0]);
        let (name, notch) = match plate.hole(number) {
            Some(hole) if plate.is_filled(number) => (format!("hole {number}"), Notch::Hole(hole)),
            Some(hole) => (format!("hole {number} (empty)"), Notch::Hole(hole)),
            None => (format!("solid for hole {number}"), Notch::Smooth),
        };
        construct.places.push(CriticalPlace {
            name: format!("{prefix}{name}"),
            part: Part::Device,
            at: point.beside,
            cuts: vec![(halves[0], centre), (halves[1], 0.0)],
            notch,
            material: plate.material.clone(),
        });
    }
    add_bridge_place(construct, plate, first_piece, prefix);
    if construct.mechanics == Mechanics::Contact {
        rest_on_bone(construct, clavicle, &points, &nodes);
    }
    for screw in &plate.screws {
        let index = 3 * screw.hole - 1;
        add_screw(
            construct,
            plate,
            screw,
            clavicle,
            &points[index],
            (nodes[index], prefix),
        );
    }
}

/// The part of the plate between holes nearest the middle of the gap.
fn add_bridge_place(construct: &mut Construct, plate: &Plate, first_piece: usize, prefix: &str) {
    let Some([(medial, _), (lateral, _)]) = construct.faces else {
        return;
    };
    let middle = (medial + lateral) / 2.0;
    let away = |piece: &Piece| ((piece.stretch[0] + piece.stretch[1]) / 2.0 - middle).abs();
    let plain = construct.device[first_piece..]
        .iter()
        .enumerate()
        .step_by(3);
    let nearest = plain.min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)));
    if let Some((index, piece)) = nearest {
        let at_an_end = index == 0 || index == 3 * plate.hole_count;
        let notches = plate.notches().filter(|_| !at_an_end);
        let mut cuts = construct.end_cuts(piece.member).to_vec();
        if notches.is_some() {
            let halfway = construct.member_length(piece.member) / 2.0;
            cuts = vec![(piece.member, halfway)];
        }
        construct.places.push(CriticalPlace {
            name: format!("{prefix}between holes at the gap"),
            part: Part::Device,
            at: middle,
            cuts,
            notch: notches.map_or(Notch::Smooth, Notch::Edges),
            material: plate.material.clone(),
        });
    }
}

/// The prismatic section that gives a stretch of plate what holes or notches leave of its
/// stiffness flat and on edge.
///
/// Torsion constant and shear areas go with the area (assumption).
fn weakened(gross: &Section, [flat, edge]: [f64; 2]) -> Section {
    Section {
        area: gross.area * flat,
        second_moment_y: gross.second_moment_y * flat,
        second_moment_z: gross.second_moment_z * edge,
        torsion_constant: gross.torsion_constant * flat,
        shear_area_y: gross.shear_area_y * flat,
        shear_area_z: gross.shear_area_z * flat,
        ..*gross
    }
}

/// Adds a screw from its hole into one or both cortices: a bar with a spring at the middle
/// of each cortex, so that its resistance to tilting comes from the distance between them. In
/// its cortex it is a beam on an elastic foundation ([`held_in_cortex`]).
/// The hole holds it through the plate's thickness: it is free from the plate's underside on.
fn add_screw(
    construct: &mut Construct,
    plate: &Plate,
    screw: &Screw,
    clavicle: &Clavicle,
    hole: &PlatePoint,
    (plate_node, prefix): (usize, &str),
) {
    if construct.in_gap(hole.beside) {
        return;
    }
    let bone = construct.node_at(hole.beside);
    let name = format!("{prefix}screw {}", screw.hole);
    let whole: Arc<str> = name.as_str().into();
    let part = |part: &'static str| Name::PartOf {
        whole: whole.clone(),
        part,
    };
    let [tangent, ..] = clavicle.axes(hole.beside);
    let axes = Matrix3::from_columns(&[hole.outward, tangent, hole.outward.cross(&tangent)]);

    let mut previous = plate_node;
    if !screw.locking {
        previous = construct.frame.add_node(part("head"), hole.position);
        construct.frame.couplings.push(Coupling {
            name: part("seat"),
            nodes: [plate_node, previous],
            at: hole.position,
            axes,
            law: seat(construct.mechanics),
        });
        // What a compression hole does: the heads of the lateral fragment go medially along it.
        let lateral = construct
            .faces
            .is_some_and(|[_, (face, _)]| hole.beside >= face);
        if construct.mechanics == Mechanics::Contact && lateral {
            let draw = Draw {
                coupling: construct.frame.couplings.len() - 1,
                axis: 1,
                sign: -1.0,
            };
            construct.add_draw(draw, plate.compression);
        }
        // No screw pulls a straight plate onto the bone: that would take bending it.
        let lies_on_bone = plate.contour == Contour::Contoured || hole.gap < TOUCHING;
        match construct.mechanics {
            Mechanics::Linear if lies_on_bone => {
                press_plate(construct, plate, clavicle, hole, [bone, plate_node], axes);
            }
            Mechanics::Contact if lies_on_bone => {
                let preload = hole.outward * plate.screw_preload;
                construct.put_in = std::mem::take(&mut construct.put_in)
                    .with_force(plate_node, -preload)
                    .with_force(previous, preload);
            }
            Mechanics::Linear | Mechanics::Contact => {}
        }
    }

    let sides: &[f64] = if screw.bicortical {
        &[1.0, -1.0]
    } else {
        &[1.0]
    };
    let centre = clavicle.point(hole.beside);
    let cortex = clavicle.cortex();
    let (mut cuts, mut members, mut engaged) = (Vec::new(), Vec::new(), 0.0);
    let core = Section::circle(screw.core_diameter, plate.material.poisson_ratio);
    let bending = plate.material.youngs_modulus * core.second_moment_y;
    for side in sides {
        let out = hole.outward * *side;
        let surface = clavicle.surface_distance(hole.beside, out);
        let wall = surface - clavicle.canal_half_width(hole.beside, out);
        let position = centre + out * (surface - wall / 2.0);
        let [node_part, member_part, hold_part] = match *side > 0.0 {
            true => ["near cortex", "to near cortex", "in near cortex"],
            false => ["far cortex", "to far cortex", "in far cortex"],
        };
        let node = construct.frame.add_node(part(node_part), position);
        let member = construct.frame.add_member(
            part(member_part),
            [previous, node],
            tangent,
            Moduli::from(&plate.material),
            Profile::Prismatic(core),
        );
        if *side > 0.0 {
            construct.frame.members[member].arms[0] = hole.outward * (-plate.thickness / 2.0);
        }
        let foundation = CORTEX_BEDDING * cortex.youngs_modulus;
        let [across, tilt] = held_in_cortex(bending, foundation, wall);
        let spin = foundation * wall * (screw.outer_diameter / 2.0).powi(2);
        construct.frame.couplings.push(Coupling {
            name: part(hold_part),
            nodes: [bone, node],
            at: position,
            axes,
            law: Law::Springs([
                THREAD_SHEAR * cortex.shear_modulus * wall,
                across,
                across,
                spin,
                tilt,
                tilt,
            ]),
        });
        cuts.extend(construct.end_cuts(member));
        members.push(member);
        engaged += wall;
        previous = node;
    }
    construct.screws.push(ScrewHold {
        name: name.clone(),
        screw: screw.clone(),
        at: hole.beside,
        engaged,
        members,
    });
    construct.places.push(CriticalPlace {
        name,
        part: Part::Screw,
        at: hole.beside,
        cuts,
        notch: Notch::Thread,
        material: plate.material.clone(),
    });
}

/// The seat of a head that does not lock, its first axis along the screw.
///
/// With contact the seat gives way along the screw while it is tightened, so that the preload
/// alone draws head and plate together, and holds them where they have come to lie from then
/// on: what a load adds to the preload it adds to the seat as well.
fn seat(mechanics: Mechanics) -> Law {
    let (firm, loose) = (AxisLaw::Spring(HEAD_SEAT), AxisLaw::Spring(LOOSE_HEAD));
    let along = match mechanics {
        Mechanics::Linear => firm,
        Mechanics::Contact => AxisLaw::Grip {
            stiffness: HEAD_SEAT,
            strip: f64::MAX,
        },
    };
    Law::Axes([along, firm, firm, loose, loose, loose])
}

/// Friction of a plate on the bone. Assumption: as of a nail in the canal.
const PLATE_ON_BONE: f64 = 0.3;

/// Lets the plate press on the bone wherever it bears down on it, beside the holes and at its
/// ends; it lifts off freely.
fn rest_on_bone(
    construct: &mut Construct,
    clavicle: &Clavicle,
    points: &[PlatePoint],
    nodes: &[usize],
) {
    for (index, point) in points.iter().enumerate() {
        let hole_centre = index % 3 == 2 && index + 1 < points.len();
        if hole_centre || construct.in_gap(point.beside) {
            continue;
        }
        let reach = |a: usize, b: usize| (points[b].offset - points[a].offset) / 2.0;
        let tributary =
            reach(index.saturating_sub(1), index) + reach(index, (index + 1).min(points.len() - 1));
        let [tangent, ..] = clavicle.axes(point.beside);
        let surface = clavicle.surface_distance(point.beside, point.outward);
        let stiffness = CORTEX_BEDDING * clavicle.cortex().youngs_modulus * tributary;
        construct.frame.couplings.push(Coupling {
            name: placed("plate", "on bone at", point.beside, clavicle),
            nodes: [construct.node_at(point.beside), nodes[index]],
            at: clavicle.point(point.beside) + point.outward * surface,
            axes: Matrix3::from_columns(&[point.outward, tangent, point.outward.cross(&tangent)]),
            law: Law::Touch(Touch {
                shape: Shape::Face { gap: point.gap },
                stiffness,
                friction: PLATE_ON_BONE,
                shear_stiffness: stiffness,
            }),
        });
    }
}

/// A screw that does not lock presses the plate on the bone: in the linear model plate and bone
/// move together where they touch, under the head.
fn press_plate(
    construct: &mut Construct,
    plate: &Plate,
    clavicle: &Clavicle,
    hole: &PlatePoint,
    nodes: [usize; 2],
    axes: Matrix3<f64>,
) {
    let at = clavicle.point(hole.beside)
        + hole.outward * clavicle.surface_distance(hole.beside, hole.outward);
    let pressed = CORTEX_BEDDING * clavicle.cortex().youngs_modulus * plate.hole_diameter;
    construct.frame.couplings.push(Coupling {
        name: "plate pressed on bone".into(),
        nodes,
        at,
        axes,
        law: Law::Springs([pressed, pressed, pressed, 0.0, 0.0, 0.0]),
    });
}
