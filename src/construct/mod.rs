//! Bone, fracture and device become a [`Frame`].
//!
//! ```text
//! bone      members from station to station of the centre line, none in the gap
//! callus    one member between the two faces of the fracture
//! bar       members along the canal, sprung across it to the bone at every station
//! plate     members along the surface, screws as members into one or both cortices,
//!           each cortex a spring at the screw
//! ```
//!
//! With [`Mechanics::Contact`] a nail lies in its canal with play and rubs, broken ends press and
//! rub but do not pull, a plate presses on the bone, drawn to it by screws that do not lock; the
//! device is put in first, then loaded. With [`Mechanics::Linear`] a nail fills its canal without
//! play and a fracture face carries nothing, so a nail is held more firmly than in life and a
//! reduced fracture less.
//!
//! Everything is built in the axes of the right clavicle. A left clavicle is its mirror
//! image, so its lengths, forces, stresses and margins are the same.

mod along;
mod bar;
mod bone;
mod faces;
mod foundation;
mod fracture;
mod insertion;
mod joints;
mod loading;
mod plate;
mod plate_points;
mod rod;

pub use along::{Draw, Standing};
pub use bar::{Bar, Form, Stretch, bar, lateral_thread};
pub use foundation::held_in_cortex;
pub use fracture::{Callus, Fracture, Pattern, Slope, SlopeDirection};
pub use insertion::{Insertion, insertion};
pub use joints::JointForces;
pub use loading::{ContactSummary, Response};
pub use plate_points::{PlatePoint, plate_normal, plate_points};

use serde::Serialize;

use crate::anatomy::Clavicle;
use crate::device::{Device, Notch, Screw};
use crate::frame::{Frame, LoadCase, Name};
use crate::load::{Action, Holds, Setup};
use crate::material::Material;

/// How the parts of a construct act on each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mechanics {
    /// Every coupling is linear.
    Linear,
    /// Surfaces press and rub, and part.
    Contact,
}

/// A bone, broken or not, held by a device or not, ready to be loaded.
#[derive(Debug, Clone)]
pub struct Construct {
    /// How its parts act on each other.
    pub mechanics: Mechanics,
    /// Members and couplings; supports are added by each loading.
    pub frame: Frame,
    /// Bone members from the sternal to the acromial end.
    pub bone: Vec<Piece>,
    /// Members of the nail, pin or plate from its medial to its lateral end.
    pub device: Vec<Piece>,
    /// Bone nodes: fraction of bone length and node, from the sternal end.
    pub stations: Vec<(f64, usize)>,
    /// Fractions and nodes of the medial and the lateral face of the fracture, if any.
    pub faces: Option<[(f64, usize); 2]>,
    /// Where it can fail.
    pub places: Vec<CriticalPlace>,
    /// What acts once the device is in, before any load: a straight nail's wish to be straight,
    /// the preload of screws that do not lock.
    pub put_in: LoadCase,
    /// What draws the fragments together when it is tightened.
    pub draws: Vec<Draw>,
    /// Couplings between the two faces of the fracture.
    pub face_couplings: Vec<usize>,
    /// Couplings between a bar and the wall of the canal where it has play and rubs.
    pub canal_couplings: Vec<usize>,
    /// Where a bar without thread is held across the canal: fraction of bone length, coupling.
    pub wall_holds: Vec<(f64, usize)>,
    /// The screws of plates.
    pub screws: Vec<ScrewHold>,
}

/// A member and the stretch of bone beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Index of the member.
    pub member: usize,
    /// Fractions of bone length at its ends.
    pub stretch: [f64; 2],
}

/// A place that can fail.
#[derive(Debug, Clone)]
pub struct CriticalPlace {
    /// Short name.
    pub name: String,
    /// What it belongs to.
    pub part: Part,
    /// Fraction of bone length.
    pub at: f64,
    /// Members and distances from their first end where the stress is looked for, mm.
    pub cuts: Vec<(usize, f64)>,
    /// What concentrates the stress.
    pub notch: Notch,
    /// Material.
    pub material: Material,
}

/// A screw of a plate in the bone.
#[derive(Debug, Clone)]
pub struct ScrewHold {
    /// Short name.
    pub name: String,
    /// What it is.
    pub screw: Screw,
    /// Fraction of bone length.
    pub at: f64,
    /// Length of cortex that it passes through, mm.
    pub engaged: f64,
    /// Its members from head to tip.
    pub members: Vec<usize>,
}

/// What part of the construct a critical section belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, schemars::JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Part {
    /// Nail, pin or plate.
    Device,
    /// A screw.
    Screw,
    /// The bone.
    Bone,
}

impl Construct {
    /// Builds the frame of a bone, its fracture and its device.
    ///
    /// * `broken`: the fracture and the device that holds it; `None` for the intact bone
    /// * `setups`: the loadings to come; the bone gets a node wherever one holds or acts
    pub fn new(
        clavicle: &Clavicle,
        broken: Option<(&Fracture, &Device)>,
        setups: &[Setup],
        mechanics: Mechanics,
    ) -> Self {
        let mut required: Vec<f64> = setups.iter().flat_map(loaded_places).collect();
        let bar = broken.and_then(|(_, device)| bar(device, clavicle, mechanics));
        let plates = broken.map_or(&[][..], |(_, device)| device.plates());
        required.extend(bar.iter().flat_map(Bar::places));
        for plate in plates {
            required.extend(plate::hole_places(plate, clavicle));
        }
        let fracture = broken.map(|(fracture, _)| fracture);
        let mut construct = bone::build(clavicle, fracture, &required, mechanics);
        if let Some(bar) = &bar {
            rod::add(&mut construct, bar, clavicle, rod::MARROW);
        }
        for plate in plates {
            let prefix = match plates {
                [_] => String::new(),
                _ => format!("{} plate, ", plate.surface.word()),
            };
            plate::add(&mut construct, plate, clavicle, &prefix);
        }
        bone::add_places(&mut construct, clavicle);
        construct
    }

    /// The bone node nearest to a fraction of bone length.
    pub fn node_at(&self, fraction: f64) -> usize {
        let nearest = self
            .stations
            .iter()
            .min_by(|a, b| (a.0 - fraction).abs().total_cmp(&(b.0 - fraction).abs()));
        nearest.expect("a bone has stations").1
    }

    /// Whether a fraction of bone length lies in the gap, where there is no bone.
    pub fn in_gap(&self, fraction: f64) -> bool {
        self.faces
            .is_some_and(|[(medial, _), (lateral, _)]| medial < fraction && fraction < lateral)
    }

    /// Both ends of the members of a device that lie beside a stretch of bone.
    fn device_cuts(&self, from: f64, to: f64) -> Vec<(usize, f64)> {
        self.device
            .iter()
            .filter(|piece| piece.stretch[0] >= from - 1e-9 && piece.stretch[1] <= to + 1e-9)
            .flat_map(|piece| self.end_cuts(piece.member))
            .collect()
    }

    /// Both ends of a member.
    pub(crate) fn end_cuts(&self, member: usize) -> [(usize, f64); 2] {
        [(member, 0.0), (member, self.member_length(member))]
    }

    /// Length of a member, mm.
    pub(crate) fn member_length(&self, member: usize) -> f64 {
        self.frame.member_length(member)
    }
}

/// The name of a part at a fraction of bone length, told as a place along the bone.
fn placed(what: &'static str, relation: &'static str, at: f64, clavicle: &Clavicle) -> Name {
    Name::Placed {
        what,
        relation,
        place_mm: at * clavicle.length(),
    }
}

/// Fractions of bone length that a setup holds or loads.
fn loaded_places(setup: &Setup) -> Vec<f64> {
    let mut places: Vec<f64> = match &setup.holds {
        Holds::At(holds) => holds.iter().map(|hold| hold.at).collect(),
        Holds::Joints { ligaments, .. } => vec![
            0.0,
            ligaments.costoclavicular,
            ligaments.conoid,
            ligaments.trapezoid,
            1.0,
        ],
    };
    for action in &setup.actions {
        match action {
            Action::Place { at, .. } => places.push(*at),
            Action::Patch { stretch, .. } => places.extend(stretch),
            Action::Scapula { .. } => {}
        }
    }
    places
}
