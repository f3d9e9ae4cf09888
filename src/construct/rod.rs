//! Bars along the canal, held across it by its walls.

use nalgebra::{Matrix3, Vector3};

use super::bar::{Bar, EndHold, Form, SEAT_AXIAL, Stop, Stretch, Way};
use super::{Construct, CriticalPlace, Draw, Mechanics, Part, Piece, Response, placed};
use crate::anatomy::Clavicle;
use crate::device::Notch;
use crate::frame::{AxisLaw, Coupling, Law, MemberAction, Moduli, Profile, Shape, Touch};
use crate::material::Material;

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
pub(super) const MARROW: f64 = 0.1;

/// Stretch at either end of a smooth bar, as a fraction of bone length, that trabecular bone
/// holds across where it has come to lie once it is in.
///
/// Common practice, no source: the lateral canal is poor and often formed by the nail itself;
/// medially the hole in the cortex holds it.
const BEDDED_END: f64 = 0.08;

/// The middle third of the bone, where the canal is open marrow and beds no end.
const MIDDLE_THIRD: [f64; 2] = [1.0 / 3.0, 2.0 / 3.0];

/// Friction of metal on the wall of the canal. Assumption: between polished metal on wet bone,
/// about 0.2, and rough, about 0.4.
const METAL_ON_BONE: f64 = 0.3;

/// Force per movement along the wall before a bar slides, as a share of that across it.
/// Assumption: a bonded bar gives about three times more along than across.
const SHEAR_SHARE: f64 = 0.3;

/// Adds a bar and its critical places.
///
/// * `marrow`: modulus of what lies beside it where it has play, MPa
pub(super) fn add(construct: &mut Construct, bar: &Bar<'_>, clavicle: &Clavicle, marrow: f64) {
    add_bar(construct, clavicle, bar, marrow);
    add_places(construct, bar);
    if construct.mechanics == Mechanics::Contact && bar.straight {
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

/// Adds a bar along the centre line through its stretches, with a node at every bone station it
/// passes and one in the middle of the gap.
fn add_bar(construct: &mut Construct, clavicle: &Clavicle, bar: &Bar<'_>, marrow: f64) {
    let (name, [start, end]) = (bar.name, bar.reach());
    let stretch_at = |at: f64| -> &Stretch {
        let found = bar.stretches.iter().find(|stretch| at <= stretch.reach[1]);
        found.or(bar.stretches.last()).expect("a bar has a stretch")
    };
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
            let label = placed(name, "at", *at, clavicle);
            construct.frame.add_node(label, clavicle.point(*at))
        })
        .collect();

    for (pair, ends) in places.windows(2).zip(nodes.windows(2)) {
        let [(from, _), (to, _)] = [pair[0], pair[1]];
        let stretch = stretch_at((from + to) / 2.0);
        let member = construct.frame.add_member(
            placed(name, "from", from, clavicle),
            [ends[0], ends[1]],
            Vector3::z(),
            Moduli::from(bar.material),
            Profile::Prismatic(stretch.section),
        );
        construct.device.push(Piece {
            member,
            stretch: [from, to],
        });
    }

    // Each place stands for the bar halfway to its neighbours within the same fragment.
    let along = |(at, _): &(f64, Option<usize>)| clavicle.arc_length(*at);
    let along: Vec<f64> = places.iter().map(along).collect();
    let half_way = |pair: usize| match [places[pair], places[pair + 1]] {
        [(from, Some(_)), (to, Some(_))] if !construct.in_gap((from + to) / 2.0) => {
            (along[pair + 1] - along[pair]) / 2.0
        }
        _ => 0.0,
    };
    let halves: Vec<f64> = (0..along.len().saturating_sub(1)).map(half_way).collect();

    for (index, &(at, bone)) in places.iter().enumerate() {
        let Some(bone) = bone else { continue };
        let before = index.checked_sub(1).map_or(0.0, |before| halves[before]);
        let tributary = before + halves.get(index).copied().unwrap_or(0.0);
        let wall = match clavicle.has_canal(at) {
            true => clavicle.cortex().youngs_modulus,
            false => clavicle.trabecular_modulus(),
        };
        let across = BEDDING * wall * tributary;
        let EndHold {
            axial,
            torsion,
            stop,
            thread: end_thread,
        } = match index {
            0 => bar.ends[0],
            last if last + 1 == places.len() => bar.ends[1],
            _ => EndHold::default(),
        };
        let stretch = stretch_at(at);
        // A thread holds about the bar, and along it where it bites, as firmly as the wall holds
        // across it.
        let thread = match stretch.form {
            Form::Threaded { core_diameter } => Some(core_diameter / 2.0),
            Form::Smooth | Form::Flattened => None,
        };
        let thread_torsion = thread.map_or(0.0, |radius| across * radius.powi(2));
        let thread_axial = if stretch.bites { across } else { 0.0 };
        // Where the canal is open and the bar smooth, it has play and rubs.
        let loose =
            construct.mechanics == Mechanics::Contact && clavicle.has_canal(at) && thread.is_none();
        if loose {
            let [ap, si] = clavicle.canal(at);
            construct
                .canal_couplings
                .push(construct.frame.couplings.len());
            construct.frame.couplings.push(Coupling {
                name: placed(name, "on the canal's wall at", at, clavicle),
                nodes: [bone, nodes[index]],
                at: clavicle.point(at),
                axes: Matrix3::from_columns(&clavicle.axes(at)),
                law: Law::Touch(Touch {
                    shape: Shape::Ring {
                        clearance: ((ap.min(si) - stretch.outer_diameter) / 2.0).max(0.0),
                        offset: [0.0; 2],
                    },
                    stiffness: across,
                    friction: METAL_ON_BONE,
                    shear_stiffness: SHEAR_SHARE * across,
                }),
            });
        }
        let held_across = if loose { marrow * tributary } else { across };
        let bedded = at - start < BEDDED_END || end - at < BEDDED_END;
        let marrow_only = MIDDLE_THIRD[0] < at && at < MIDDLE_THIRD[1];
        if loose && bedded && !marrow_only {
            let hold = AxisLaw::Grip {
                stiffness: clavicle.trabecular_modulus() * tributary,
                strip: f64::MAX,
            };
            let free = AxisLaw::Free;
            construct.frame.couplings.push(Coupling {
                name: placed(name, "bedded at", at, clavicle),
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
        if bar.is_smooth() && held_across > 0.0 {
            let rubbing = construct.canal_couplings.last().filter(|_| loose);
            let hold = rubbing.copied().unwrap_or(construct.frame.couplings.len());
            construct.wall_holds.push((at, hold));
        }
        if springs.iter().any(|k| *k > 0.0) {
            construct.frame.couplings.push(Coupling {
                name: placed(name, "in bone at", at, clavicle),
                nodes: [bone, nodes[index]],
                at: clavicle.point(at),
                axes: Matrix3::from_columns(&clavicle.axes(at)),
                law: Law::Springs(springs),
            });
        }
        let place = (at, [bone, nodes[index]]);
        if let Some(stop) = stop {
            add_stop(construct, clavicle, bar, stop, place);
        }
        if let Some(strip) = end_thread {
            let (held, stiffness) = ("thread in the cortex at", SEAT_AXIAL);
            let grip = AxisLaw::Grip { stiffness, strip };
            add_along(construct, clavicle, (bar.name, held), grip, place);
        }
    }
}

/// A seat on the cortex that bears one way, and by which a bar may be drawn laterally through the
/// lateral fragment.
fn add_stop(
    construct: &mut Construct,
    clavicle: &Clavicle,
    bar: &Bar<'_>,
    stop: Stop,
    place: (f64, [usize; 2]),
) {
    let (stiffness, gap) = (stop.stiffness, 0.0);
    let along = match stop.keeps_from {
        Way::Medially => AxisLaw::StopBehind { stiffness, gap },
        Way::Laterally => AxisLaw::StopAhead { stiffness, gap },
    };
    let coupling = add_along(construct, clavicle, (bar.name, "seated at"), along, place);
    if let Some(travel) = stop.drawn {
        let draw = Draw {
            coupling,
            axis: 0,
            sign: 1.0,
        };
        construct.add_draw(draw, travel);
    }
}

/// A law along the bar at one place; the coupling.
fn add_along(
    construct: &mut Construct,
    clavicle: &Clavicle,
    (bar, held): (&'static str, &'static str),
    along: AxisLaw,
    (at, nodes): (f64, [usize; 2]),
) -> usize {
    let free = AxisLaw::Free;
    construct.frame.couplings.push(Coupling {
        name: placed(bar, held, at, clavicle),
        nodes,
        at: clavicle.point(at),
        axes: Matrix3::from_columns(&clavicle.axes(at)),
        law: Law::Axes([along, free, free, free, free, free]),
    });
    construct.frame.couplings.len() - 1
}

/// The smooth part of a bar over the gap and in each fragment, its run-outs of thread, its
/// flattened tip and its entry.
fn add_places(construct: &mut Construct, bar: &Bar<'_>) {
    let Some([(medial, _), (lateral, _)]) = construct.faces else {
        return;
    };
    let smooth = bar.stretches.iter().filter(|s| s.form == Form::Smooth);
    for Stretch {
        reach: [from, to], ..
    } in smooth
    {
        for (name, at, [start, end]) in [
            ("over the gap", (medial + lateral) / 2.0, [medial, lateral]),
            ("in the medial fragment", medial, [*from, medial]),
            ("in the lateral fragment", lateral, [lateral, *to]),
        ] {
            let cuts = construct.device_cuts(start, end);
            push_place(construct, name, at, cuts, Notch::Smooth, bar.material);
        }
    }
    for stretch in &bar.stretches {
        let [from, to] = stretch.reach;
        let (name, at, notch) = match stretch.form {
            Form::Smooth => continue,
            Form::Flattened => ("flattened tip", (from + to) / 2.0, Notch::Smooth),
            Form::Threaded { .. } if to <= medial => ("thread run-out, medial", to, Notch::Thread),
            Form::Threaded { .. } => ("thread run-out, lateral", from, Notch::Thread),
        };
        let cuts = construct.device_cuts(from, to);
        push_place(construct, name, at, cuts, notch, bar.material);
    }
    if let Some(entry) = bar.entry {
        let cuts = construct.cuts_beside(entry);
        push_place(construct, "entry", entry, cuts, Notch::Smooth, bar.material);
    }
}

impl Construct {
    /// Where a smooth bar presses hardest on the canal in each fragment, over all responses.
    ///
    /// These places depend on the loads, so they are not among those the construct is built
    /// with.
    pub fn canal_contacts(&self, responses: &[Response]) -> Vec<CriticalPlace> {
        let Some([(medial, _), (lateral, _)]) = self.faces else {
            return Vec::new();
        };
        // A bar is all of one material; no other device is held by the wall.
        let Some(bar) = self.places.iter().find(|p| p.part == Part::Device) else {
            return Vec::new();
        };
        let pressed = |coupling: usize| {
            let forces = responses.iter().map(|r| r.force_across(coupling));
            forces.fold(0.0, f64::max)
        };
        let hardest = |from: f64, to: f64| {
            let holds = self.wall_holds.iter();
            holds
                .filter(|(at, _)| (from..=to).contains(at))
                .map(|&(at, coupling)| (at, pressed(coupling)))
                .filter(|(_, force)| *force > 0.0)
                .max_by(|a, b| a.1.total_cmp(&b.1))
        };
        [
            ("canal contact, medial", hardest(0.0, medial)),
            ("canal contact, lateral", hardest(lateral, 1.0)),
        ]
        .into_iter()
        .filter_map(|(name, found)| {
            let (at, _) = found?;
            Some(CriticalPlace {
                name: name.to_owned(),
                part: Part::Device,
                at,
                cuts: self.cuts_beside(at),
                notch: Notch::Smooth,
                material: bar.material.clone(),
            })
        })
        .collect()
    }

    /// The ends of device members that meet at a place.
    fn cuts_beside(&self, at: f64) -> Vec<(usize, f64)> {
        self.device
            .iter()
            .flat_map(|piece| piece.stretch.into_iter().zip(self.end_cuts(piece.member)))
            .filter(|(end, _)| (end - at).abs() < 1e-9)
            .map(|(_, cut)| cut)
            .collect()
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
