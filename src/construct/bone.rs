//! The bone itself: stations, members, callus.

use nalgebra::Vector3;

use super::{Construct, CriticalPlace, Fracture, Mechanics, Part, Piece, faces, placed};
use crate::anatomy::Clavicle;
use crate::device::Notch;
use crate::frame::{Frame, LoadCase, Moduli, Profile, lobatto};
use crate::section::Section;

/// Members of the intact bone where nothing else asks for a node. The element is exact for
/// what it is given, so this only follows the curve: 48 chords stray 0.05 mm from it.
const GRID: usize = 48;

/// Nodes asked for closer together than this, mm, become one.
const SNAP: f64 = 0.02;

/// A grid node closer than this to one asked for, mm, is left out.
const CROWDED: f64 = 0.5;

/// Poisson's ratio of callus. Assumption: as trabecular bone.
const CALLUS_POISSON_RATIO: f64 = 0.3;

/// Ends of the shaft over which the stress in the bone is looked for; beyond are the joint
/// ends, which no beam describes. Assumption.
const SHAFT: [f64; 2] = [0.08, 0.92];

/// Builds the bone, with its gap if it is broken, and the callus across it.
pub(super) fn build(
    clavicle: &Clavicle,
    fracture: Option<&Fracture>,
    required: &[f64],
    mechanics: Mechanics,
) -> Construct {
    let faces = fracture.map(|fracture| fracture.faces(clavicle));
    let mut frame = Frame::default();
    let stations: Vec<(f64, usize)> = stations(clavicle, required, faces)
        .into_iter()
        .map(|at| {
            let name = placed("bone", "at", at, clavicle);
            (at, frame.add_node(name, clavicle.point(at)))
        })
        .collect();

    let cortex = Moduli::from(clavicle.cortex());
    let mut bone = Vec::new();
    let sections = stations.iter().map(|(at, _)| clavicle.section(*at));
    let sections: Vec<Section> = sections.collect();
    for (index, pair) in stations.windows(2).enumerate() {
        let [(from, first), (to, second)] = [pair[0], pair[1]];
        if faces.is_some_and(|[medial, lateral]| from >= medial && to <= lateral) {
            continue;
        }
        let [_, near, far, _] = [0, 1, 2, 3].map(|point: usize| lobatto(4)[point].0);
        let between = [near, far].map(|x| clavicle.section(from + (to - from) * x));
        let profile = vec![sections[index], between[0], between[1], sections[index + 1]];
        let member = frame.add_member(
            placed("bone", "from", from, clavicle),
            [first, second],
            Vector3::z(),
            cortex,
            Profile::Varying(profile),
        );
        bone.push(Piece {
            member,
            stretch: [from, to],
        });
    }

    let node_of = |face: f64| {
        let found = stations.iter().find(|(at, _)| *at == face);
        *found.expect("the faces of the fracture are stations")
    };
    let faces = faces.map(|faces| faces.map(node_of));
    if let (Some(fracture), Some([(_, medial), (_, lateral)])) = (fracture, faces)
        && let Some(callus) = fracture.callus
    {
        let youngs = callus.youngs_modulus;
        let moduli = Moduli {
            youngs,
            shear: youngs / (2.0 * (1.0 + CALLUS_POISSON_RATIO)),
        };
        let section = Section::circle(callus.outer_diameter, CALLUS_POISSON_RATIO);
        let profile = Profile::Prismatic(section);
        frame.add_member("callus", [medial, lateral], Vector3::z(), moduli, profile);
    }
    let mut construct = Construct {
        mechanics,
        frame,
        bone,
        device: Vec::new(),
        stations,
        faces,
        places: Vec::new(),
        put_in: LoadCase::named("device put in"),
        draws: Vec::new(),
        face_couplings: Vec::new(),
        canal_couplings: Vec::new(),
        wall_holds: Vec::new(),
        screws: Vec::new(),
    };
    if let (Some(fracture), Mechanics::Contact) = (fracture, mechanics) {
        faces::add(&mut construct, fracture, clavicle);
    }
    construct
}

/// Where the bone gets nodes: wherever one is asked for, and a grid between. Nodes asked
/// for inside the gap are dropped, the faces themselves always kept as they are.
fn stations(clavicle: &Clavicle, required: &[f64], faces: Option<[f64; 2]>) -> Vec<f64> {
    let length = clavicle.length();
    let outside_gap = |at: &f64| {
        faces.is_none_or(|[medial, lateral]| {
            *at < medial - SNAP / length || *at > lateral + SNAP / length
        })
    };
    let mut places: Vec<f64> = [0.0, 1.0]
        .iter()
        .chain(required)
        .copied()
        .filter(outside_gap)
        .collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|later, earlier| *later - *earlier < SNAP / length);
    places.extend(faces.into_iter().flatten());

    let kept = places.clone();
    let grid = (1..GRID)
        .map(|i| i as f64 / GRID as f64)
        .filter(outside_gap)
        .filter(|at| {
            let away = |other: &f64| (at - other).abs() * length > CROWDED;
            kept.iter().all(away)
        });
    places.extend(grid);
    places.sort_by(f64::total_cmp);
    places
}

/// Adds the critical places of the bone: the shaft of each fragment, or of the intact bone.
pub(super) fn add_places(construct: &mut Construct, clavicle: &Clavicle) {
    let fragments = match construct.faces {
        None => vec![("bone", SHAFT)],
        Some([(medial, _), (lateral, _)]) => vec![
            ("bone, medial fragment", [SHAFT[0], medial]),
            ("bone, lateral fragment", [lateral, SHAFT[1]]),
        ],
    };
    for (name, [from, to]) in fragments {
        let cuts = construct
            .bone
            .iter()
            .filter(|piece| piece.stretch[0] >= from && piece.stretch[1] <= to)
            .flat_map(|piece| construct.end_cuts(piece.member))
            .collect();
        construct.places.push(CriticalPlace {
            name: name.to_owned(),
            part: Part::Bone,
            at: (from + to) / 2.0,
            cuts,
            notch: Notch::Smooth,
            material: clavicle.cortex().clone(),
        });
    }
}
