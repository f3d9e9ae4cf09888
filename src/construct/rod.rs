//! Nails and pins: a bar along the canal, held across it by its walls.

use nalgebra::{Matrix3, Vector3};

use super::{Construct, CriticalPlace, Mechanics, Part, Piece};
use crate::anatomy::Clavicle;
use crate::device::{Nail, NailShape, Notch, Pin};
use crate::frame::{AxisLaw, Coupling, Law, MemberAction, Moduli, Profile, Shape, Touch};
use crate::material::Material;
use crate::section::Section;

/// Stiffness of the bone around a bar, per length of bar and per modulus of that bone:
/// force per length and sideways movement is this times `E` of the wall (open canal) or of
/// the trabecular filling.
///
/// Assumption: of the order of one, as for a rigid bar bonded in an elastic body; a wall
/// that gives more lets the bar bend a little further into the fragments (the length
/// concerned goes with the fourth root of this number).
const BEDDING: f64 = 1.0;

/// Modulus of what fills the canal beside a bar that has play in it, MPa.
///
/// Assumption: marrow, so soft that it only keeps a bar which touches nothing yet in its place;
/// ten times more would hold a nail against the millimetres it moves in going straight.
const MARROW: f64 = 0.1;

/// Stretch at either end of a smooth bar, as a fraction of bone length, that trabecular bone
/// holds across where it has come to lie once it is in.
///
/// Common practice, no source: the lateral canal is poor and often formed by the nail itself;
/// medially the hole in the cortex holds it.
const BEDDED_END: f64 = 0.08;

/// Friction of metal on the wall of the canal. Assumption: between polished metal on wet bone,
/// about 0.2, and rough, about 0.4.
const METAL_ON_BONE: f64 = 0.3;

/// Force per movement along the wall before a bar slides, as a share of that across it.
/// Assumption: a bonded bar gives about three times more along than across.
const SHEAR_SHARE: f64 = 0.3;

/// What holds each end of a smooth nail along its axis, N/mm: friction and trabecular bone in
/// the linear model, soft bone at the ends alone where friction is modelled.
///
/// Assumption: small against any fixed hold, so that the answer is determinate without
/// pretending that the nail keeps the bone's length.
const SMOOTH_END_AXIAL: f64 = 100.0;
const SMOOTH_END_AXIAL_BESIDE_FRICTION: f64 = 5.0;

/// What holds each end of a smooth nail against turning in the canal, N·mm/rad: the
/// flattened tip, the bend at the entry.
///
/// Assumption: about what 1 N·m/rad of soft bone around a 3 mm tip gives.
const SMOOTH_END_TORSION: f64 = 1000.0;

/// Stiffness of the nuts on the lateral cortex along the pin, N/mm.
///
/// Assumption: local denting of a cortex about 1 mm thick under a nut, of the order `E t / 4`.
const NUT_AXIAL: f64 = 5000.0;

/// Length of the lateral thread that carries the nuts, mm. Assumption: no published number.
const LATERAL_THREAD: f64 = 25.0;

/// Where the smooth shank of a pin turns into its lateral thread, fraction of bone length.
pub fn lateral_thread(pin: &Pin, clavicle: &Clavicle) -> f64 {
    let nut = clavicle.arc_length(pin.nut);
    clavicle
        .fraction_at_arc_length(nut - LATERAL_THREAD)
        .max(pin.thread_end)
}

/// Places along the bone where a pin changes.
pub(super) fn pin_places(pin: &Pin, clavicle: &Clavicle) -> Vec<f64> {
    vec![
        pin.medial_tip,
        pin.thread_end,
        lateral_thread(pin, clavicle),
        pin.nut,
    ]
}

/// Adds a smooth nail.
pub(super) fn add_nail(construct: &mut Construct, nail: &Nail, clavicle: &Clavicle) {
    let stretches = [Stretch {
        to: nail.tip,
        diameter: nail.diameter,
        threaded: false,
    }];
    let end_axial = match construct.mechanics {
        Mechanics::Linear => SMOOTH_END_AXIAL,
        Mechanics::Contact => SMOOTH_END_AXIAL_BESIDE_FRICTION,
    };
    let hold = |at: f64| {
        let end = at == nail.entry || at == nail.tip;
        let share = f64::from(u8::from(end));
        AxialHold {
            axial: share * end_axial,
            torsion: share * SMOOTH_END_TORSION,
        }
    };
    add_bar(
        construct,
        clavicle,
        "nail",
        nail.entry,
        &stretches,
        &nail.material,
        &hold,
    );
    add_bar_places(construct, nail.entry, nail.tip, &nail.material);
    if (construct.mechanics, nail.shape) == (Mechanics::Contact, NailShape::Straight) {
        straighten(construct);
    }
}

/// Makes a bar that was drawn along the canal want to be straight: each member would, free of
/// stress, turn back half the kink of the chords at either end.
///
/// ```text
/// κ = −(½ d₋ × d + ½ d × d₊) / L     d unit chords
/// ```
fn straighten(construct: &mut Construct) {
    let chord = |piece: &Piece| {
        let [a, b] = construct.frame.members[piece.member]
            .nodes
            .map(|node| construct.frame.nodes[node].position);
        b - a
    };
    let chords: Vec<Vector3<f64>> = construct.device.iter().map(chord).collect();
    let kink = |before: usize| match (chords.get(before), chords.get(before + 1)) {
        (Some(a), Some(b)) => a.normalize().cross(&b.normalize()) / 2.0,
        _ => Vector3::zeros(),
    };
    for (index, piece) in construct.device.iter().enumerate() {
        let before = index.checked_sub(1).map_or(Vector3::zeros(), kink);
        let length = chords[index].norm();
        let curvature = -(before + kink(index)) / length;
        // Local axes of a member whose z leans up.
        let x = chords[index] / length;
        let z = (Vector3::z() - x * x.z).normalize();
        let y = z.cross(&x);
        let action = MemberAction::StressFree {
            strain: 0.0,
            curvature_y: curvature.dot(&y),
            curvature_z: curvature.dot(&z),
        };
        construct.put_in = std::mem::take(&mut construct.put_in).with_action(piece.member, action);
    }
}

/// Adds a threaded pin.
pub(super) fn add_pin(construct: &mut Construct, pin: &Pin, clavicle: &Clavicle) {
    let second_thread = lateral_thread(pin, clavicle);
    let stretches = [
        Stretch {
            to: pin.thread_end,
            diameter: pin.core_diameter,
            threaded: true,
        },
        Stretch {
            to: second_thread,
            diameter: pin.shank_diameter,
            threaded: false,
        },
        Stretch {
            to: pin.nut,
            diameter: pin.core_diameter,
            threaded: true,
        },
    ];
    let hold = |at: f64| {
        let nut = f64::from(u8::from(at == pin.nut));
        AxialHold {
            axial: nut * NUT_AXIAL,
            torsion: 0.0,
        }
    };
    add_bar(
        construct,
        clavicle,
        "pin",
        pin.medial_tip,
        &stretches,
        &pin.material,
        &hold,
    );
    add_bar_places(construct, pin.thread_end, second_thread, &pin.material);
    for (name, at, [from, to]) in [
        (
            "thread run-out, medial",
            pin.thread_end,
            [pin.medial_tip, pin.thread_end],
        ),
        (
            "thread run-out, lateral",
            second_thread,
            [second_thread, pin.nut],
        ),
    ] {
        let cuts = construct.device_cuts(from, to);
        push_place(construct, name, at, cuts, Notch::Thread, &pin.material);
    }
}

/// A stretch of bar of one diameter, up to a fraction of bone length.
struct Stretch {
    to: f64,
    diameter: f64,
    threaded: bool,
}

/// Springs along and about the bar at one place, N/mm and N·mm/rad.
struct AxialHold {
    axial: f64,
    torsion: f64,
}

/// Adds a bar along the centre line from `start` through its stretches, with a node at every
/// bone station it passes and one in the middle of the gap.
fn add_bar(
    construct: &mut Construct,
    clavicle: &Clavicle,
    name: &str,
    start: f64,
    stretches: &[Stretch],
    material: &Material,
    hold: &dyn Fn(f64) -> AxialHold,
) {
    let end = stretches.last().map_or(start, |stretch| stretch.to);
    let mut places: Vec<(f64, Option<usize>)> = construct
        .stations
        .iter()
        .filter(|(at, _)| (start..=end).contains(at))
        .map(|&(at, node)| (at, Some(node)))
        .collect();
    if let Some([(medial, _), (lateral, _)]) = construct.faces {
        places.push(((medial + lateral) / 2.0, None));
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    let nodes: Vec<usize> = places
        .iter()
        .map(|(at, _)| {
            let label = format!("{name} at {:.1} mm", at * clavicle.length());
            construct.frame.add_node(label, clavicle.point(*at))
        })
        .collect();

    for (pair, ends) in places.windows(2).zip(nodes.windows(2)) {
        let [(from, _), (to, _)] = [pair[0], pair[1]];
        let stretch = stretches
            .iter()
            .find(|stretch| (from + to) / 2.0 <= stretch.to)
            .expect("the last stretch reaches the end of the bar");
        let member = construct.frame.add_member(
            format!("{name} from {:.1} mm", from * clavicle.length()),
            [ends[0], ends[1]],
            Vector3::z(),
            Moduli::from(material),
            Profile::Prismatic(Section::circle(stretch.diameter, material.poisson_ratio)),
        );
        construct.device.push(Piece {
            member,
            stretch: [from, to],
        });
    }

    for (index, &(at, bone)) in places.iter().enumerate() {
        let Some(bone) = bone else { continue };
        // Each place stands for the bar halfway to its neighbours within the same fragment.
        let reach = |other: Option<&(f64, Option<usize>)>| match other {
            Some(&(next, Some(_))) if !construct.in_gap((at + next) / 2.0) => {
                (clavicle.arc_length(next) - clavicle.arc_length(at)).abs() / 2.0
            }
            _ => 0.0,
        };
        let tributary = reach(index.checked_sub(1).and_then(|before| places.get(before)))
            + reach(places.get(index + 1));
        let wall = match clavicle.has_canal(at) {
            true => clavicle.cortex().youngs_modulus,
            false => clavicle.trabecular_modulus(),
        };
        let across = BEDDING * wall * tributary;
        let AxialHold { axial, torsion } = hold(at);
        let thread = stretches
            .iter()
            .find(|stretch| at <= stretch.to)
            .filter(|stretch| stretch.threaded);
        // A thread holds along and about the bar as firmly as the wall holds across it.
        let (thread_axial, thread_torsion) = thread.map_or((0.0, 0.0), |thread| {
            (across, across * (thread.diameter / 2.0).powi(2))
        });
        // Where the canal is open and the bar smooth, it has play and rubs.
        let diameter = stretches
            .iter()
            .find(|stretch| at <= stretch.to)
            .map_or(0.0, |stretch| stretch.diameter);
        let loose =
            construct.mechanics == Mechanics::Contact && clavicle.has_canal(at) && thread.is_none();
        if loose {
            let [ap, si] = clavicle.canal(at);
            construct
                .canal_couplings
                .push(construct.frame.couplings.len());
            construct.frame.couplings.push(Coupling {
                name: format!(
                    "{name} on the canal's wall at {:.1} mm",
                    at * clavicle.length()
                ),
                nodes: [bone, nodes[index]],
                at: clavicle.point(at),
                axes: Matrix3::from_columns(&clavicle.axes(at)),
                law: Law::Touch(Touch {
                    shape: Shape::Ring {
                        clearance: ((ap.min(si) - diameter) / 2.0).max(0.0),
                        offset: [0.0; 2],
                    },
                    stiffness: across,
                    friction: METAL_ON_BONE,
                    shear_stiffness: SHEAR_SHARE * across,
                }),
            });
        }
        let held_across = if loose { MARROW * tributary } else { across };
        if loose && (at - start < BEDDED_END || end - at < BEDDED_END) {
            let hold = AxisLaw::Grip {
                stiffness: clavicle.trabecular_modulus() * tributary,
                strip: f64::MAX,
            };
            let free = AxisLaw::Free;
            construct.frame.couplings.push(Coupling {
                name: format!("{name} bedded at {:.1} mm", at * clavicle.length()),
                nodes: [bone, nodes[index]],
                at: clavicle.point(at),
                axes: Matrix3::from_columns(&clavicle.axes(at)),
                law: Law::Axes([free, hold, hold, free, free, free]),
            });
        }
        let springs = [
            axial + thread_axial,
            held_across,
            held_across,
            torsion + thread_torsion,
            0.0,
            0.0,
        ];
        if springs.iter().any(|k| *k > 0.0) {
            construct.frame.couplings.push(Coupling {
                name: format!("{name} in bone at {:.1} mm", at * clavicle.length()),
                nodes: [bone, nodes[index]],
                at: clavicle.point(at),
                axes: Matrix3::from_columns(&clavicle.axes(at)),
                law: Law::Springs(springs),
            });
        }
    }
}

/// The smooth part of a bar: over the gap and in each fragment.
fn add_bar_places(construct: &mut Construct, from: f64, to: f64, material: &Material) {
    let Some([(medial, _), (lateral, _)]) = construct.faces else {
        return;
    };
    for (name, at, [start, end]) in [
        ("over the gap", (medial + lateral) / 2.0, [medial, lateral]),
        ("in the medial fragment", medial, [from, medial]),
        ("in the lateral fragment", lateral, [lateral, to]),
    ] {
        let cuts = construct.device_cuts(start, end);
        push_place(construct, name, at, cuts, Notch::Smooth, material);
    }
}

fn push_place(
    construct: &mut Construct,
    name: &str,
    at: f64,
    cuts: Vec<(usize, f64)>,
    notch: Notch,
    material: &Material,
) {
    if cuts.is_empty() {
        return;
    }
    construct.places.push(CriticalPlace {
        name: name.to_owned(),
        part: Part::Device,
        at,
        cuts,
        notch,
        material: material.clone(),
    });
}
