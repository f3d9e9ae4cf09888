//! The bone once the device is out: empty holes or an empty canal, and when callus is enough.
//!
//! The fracture is taken as healed where strength of holes and canal is concerned: the bone is
//! the unbroken one, with the holes left in it.

use schemars::JsonSchema;
use serde::Serialize;

use super::holes::{Bore, Drilled, drilled, rim_stress};
use super::solved::Solved;
use super::stress::{cut, cut_stress};
use crate::anatomy::Clavicle;
use crate::case::Case;
use crate::construct::{Construct, Part, Piece, Response};
use crate::device::{Device, Notch};
use crate::material::Strength;

/// What removing a device leaves behind.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Removal {
    /// Moment at which the bone first cracks under an even moment, up-down or front-back,
    /// whichever is worse, % of intact.
    pub bending_percent_of_intact: f64,
    /// Torque at which it first cracks under an even torque, % of intact.
    pub torsion_percent_of_intact: f64,
    /// Bending if the rim of a hole raised no stress and only the bone drilled away were missed,
    /// % of intact: the upper bound to `bending_percent_of_intact`.
    pub bending_net_section_percent: f64,
    /// The hole that governs bending; absent when none weakens the bone.
    pub weakest: Option<String>,
    /// Every hole, from the sternal end.
    pub holes: Vec<EmptyHole>,
    /// Yield over stress at the weakest place of the unbroken bone without device, one for each
    /// activity; absent when nothing acts.
    pub bone_margins: Vec<Option<f64>>,
    /// What the callus must be.
    pub callus: CallusNeeded,
    /// All of it in sentences, beside what was published.
    pub words: Vec<String>,
}

/// A hole that a device leaves in the bone.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct EmptyHole {
    /// What it was for.
    pub name: String,
    /// Fraction of bone length.
    pub position: f64,
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Diameter over the outer diameter of the bone.
    pub diameter_ratio: f64,
    /// Walls it goes through.
    pub walls: usize,
    /// Stress concentration in bending, on the stress of the bone without the hole.
    pub bending_kt: f64,
    /// Largest tension at its rim over the shear stress of torsion without the hole.
    pub torsion_kt: f64,
    /// What the bone drilled away leaves of the second moment of the section, %.
    pub net_section_percent: f64,
    /// Bending strength with this hole alone, % of intact.
    pub bending_percent_of_intact: f64,
    /// Torsional strength with this hole alone, % of intact.
    pub torsion_percent_of_intact: f64,
}

/// What the callus must be before the device can go.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct CallusNeeded {
    /// Its outer diameter: that of the case, or the bone's own, mm.
    pub outer_diameter_mm: f64,
    /// Modulus at which the fracture bends to first crack no sooner than the rest of the bone
    /// without the device, MPa.
    pub as_strong_as_the_rest_mpa: f64,
    /// Margin asked for under the activities of the case.
    pub margin: f64,
    /// Modulus at which the fracture has that margin in each of them, MPa.
    pub safe_mpa: f64,
}

/// Margin against first crack asked of the healed fracture under the activities of the case.
///
/// Assumption: two; no published rule was found.
const MARGIN: f64 = 2.0;

/// The intact bone under the stiffness tests and the activities.
#[derive(Debug)]
pub(super) struct IntactBone {
    pub solved: Solved,
    /// Fractions of bone length of the cuts through its shaft.
    cuts: Vec<f64>,
    /// Use of its strength at each of them, for each test and each activity.
    tests: Vec<Vec<f64>>,
    activities: Vec<Vec<f64>>,
}

/// A load: what the intact bone answers, and the use of its strength at each cut.
#[derive(Clone, Copy)]
struct Load<'a> {
    response: &'a Response,
    used: &'a [f64],
}

impl IntactBone {
    /// * `solved`: the unbroken bone
    pub fn of(solved: Solved, clavicle: &Clavicle) -> Self {
        let construct = &solved.construct;
        let shaft = construct.places.iter().find(|p| p.part == Part::Bone);
        let shaft = &shaft.expect("a bone has its shaft as a place").cuts;
        let beside = |&(member, at): &(usize, f64)| {
            let piece = construct.bone.iter().find(|piece| piece.member == member);
            let [from, to] = piece.expect("a cut through the bone").stretch;
            from + (to - from) * at / construct.member_length(member)
        };
        let strength = strength(clavicle);
        let used = |response: &Response| -> Vec<f64> {
            let at_cut = |&(member, at)| smooth_use(construct, strength, response, member, at);
            shaft.iter().map(at_cut).collect()
        };
        IntactBone {
            cuts: shaft.iter().map(beside).collect(),
            tests: solved.stiffness_tests.iter().map(used).collect(),
            activities: solved.activities.iter().map(used).collect(),
            solved,
        }
    }

    /// Even moment up-down, even moment front-back, even torque.
    fn tests(&self) -> [Load<'_>; 3] {
        [1, 3, 4].map(|test: usize| Load {
            response: &self.solved.stiffness_tests[test],
            used: &self.tests[test],
        })
    }

    fn activities(&self) -> impl Iterator<Item = Load<'_>> {
        let activities = self.solved.activities.iter().zip(&self.activities);
        activities.map(|(response, used)| Load { response, used })
    }
}

fn strength(clavicle: &Clavicle) -> &Strength {
    let strength = clavicle.cortex().strength.as_ref();
    strength.expect("cortical bone comes with its strength")
}

/// The bone without its device.
pub(super) fn removal(device: &Device, case: &Case, intact: &IntactBone) -> Removal {
    let clavicle = &case.clavicle;
    let bore = Bore::left_by(device, clavicle);
    let leaves = |at: &f64| bore.map_or(1.0, |bore| bore.leaves(*at, clavicle));
    let left = Left {
        intact,
        bore,
        leaves: intact.cuts.iter().map(leaves).collect(),
        clavicle,
        strength: strength(clavicle),
    };
    let [down, forward, twist] = intact.tests();
    let holes: Vec<EmptyHole> = drilled(device, clavicle)
        .into_iter()
        .map(|drilled| {
            let share = |response| left.share(std::slice::from_ref(&drilled), response);
            EmptyHole {
                bending_percent_of_intact: 100.0 * share(down).min(share(forward)),
                torsion_percent_of_intact: 100.0 * share(twist),
                name: drilled.name,
                position: drilled.at,
                diameter_mm: drilled.diameter,
                diameter_ratio: drilled.ratio,
                walls: drilled.walls,
                bending_kt: drilled.kt[0],
                torsion_kt: drilled.kt[1],
                net_section_percent: 100.0 * drilled.net_section,
            }
        })
        .collect();
    let all = drilled(device, clavicle);
    let share = |response| left.share(&all, response);
    let bending = share(down).min(share(forward));
    let torsion = share(twist);
    let net = left
        .net_share(&all, down)
        .min(left.net_share(&all, forward));
    let weakest = holes
        .iter()
        .min_by(|a, b| {
            a.bending_percent_of_intact
                .total_cmp(&b.bending_percent_of_intact)
        })
        .filter(|hole| hole.bending_percent_of_intact < 99.9)
        .map(|hole| hole.name.clone());
    let callus = callus_needed(case, &left, &all);
    let bone_margins = intact
        .activities()
        .map(|activity| {
            let used = left.used(&all, activity);
            (used > 0.0).then(|| 1.0 / used)
        })
        .collect();
    let mut removal = Removal {
        bending_percent_of_intact: 100.0 * bending,
        torsion_percent_of_intact: 100.0 * torsion,
        bending_net_section_percent: 100.0 * net,
        weakest,
        holes,
        bone_margins,
        callus,
        words: Vec::new(),
    };
    removal.words = words(&removal, device);
    removal
}

/// The bone that is left.
struct Left<'a> {
    intact: &'a IntactBone,
    bore: Option<Bore>,
    /// Share of the bone left at each cut through the shaft.
    leaves: Vec<f64>,
    clavicle: &'a Clavicle,
    strength: &'a Strength,
}

impl Left<'_> {
    /// Share of its strength that the bone keeps under a load: largest use of it intact over
    /// largest use without the device.
    fn share(&self, holes: &[Drilled], load: Load) -> f64 {
        let intact = largest(load.used);
        if intact > 0.0 {
            intact / self.used(holes, load)
        } else {
            1.0
        }
    }

    /// Largest use of the bone's strength without the device, 1 at first crack.
    fn used(&self, holes: &[Drilled], load: Load) -> f64 {
        let leaves = |at| self.bore.map_or(1.0, |bore| bore.leaves(at, self.clavicle));
        let shaft = load.used.iter().zip(&self.leaves);
        let shaft = shaft
            .map(|(used, leaves)| used / leaves)
            .fold(0.0, f64::max);
        holes
            .iter()
            .map(|hole| self.at_hole(hole, load.response) / leaves(hole.at))
            .fold(shaft, f64::max)
    }

    /// Largest use at the rims of a hole. What the bone without it bears at the hole's mouth,
    /// over its middle and both sides, counts as the nominal stress; a load may act either way,
    /// so that a wall that is pressed counts as stretched.
    fn at_hole(&self, hole: &Drilled, response: &Response) -> f64 {
        let construct = &self.intact.solved.construct;
        let (member, at) = member_at(construct, hole.at);
        let (forces, section) = cut(construct, response, member, at);
        let shear = (forces.torque * section.torsion_shear).abs();
        hole.mouths
            .iter()
            .map(|&fibre| {
                section.axial_stress(forces.axial, forces.moment_y, forces.moment_z, fibre)
            })
            .map(|axial| rim_stress(hole.kt, axial.abs(), shear) / self.strength.proof_tension)
            .fold(0.0, f64::max)
    }

    /// Share of its strength that the bone keeps if holes only take bone away.
    fn net_share(&self, holes: &[Drilled], load: Load) -> f64 {
        let construct = &self.intact.solved.construct;
        let intact = largest(load.used);
        let net = holes.iter().map(|hole| {
            let (member, at) = member_at(construct, hole.at);
            smooth_use(construct, self.strength, load.response, member, at) / hole.net_section
        });
        intact / net.fold(intact, f64::max)
    }
}

fn largest(used: &[f64]) -> f64 {
    used.iter().copied().fold(0.0, f64::max)
}

/// The member of the bone at a fraction of its length, and the distance from its first end.
fn member_at(construct: &Construct, fraction: f64) -> (usize, f64) {
    let beside = |piece: &&Piece| piece.stretch[0] <= fraction && fraction <= piece.stretch[1];
    let piece = construct.bone.iter().find(beside);
    let piece = piece.expect("holes lie in the bone");
    let [from, to] = piece.stretch;
    let length = construct.member_length(piece.member);
    (piece.member, length * (fraction - from) / (to - from))
}

/// Use of the strength of the intact bone at a cut.
fn smooth_use(
    construct: &Construct,
    strength: &Strength,
    response: &Response,
    member: usize,
    at: f64,
) -> f64 {
    let (forces, section) = cut(construct, response, member, at);
    cut_stress(&Notch::Smooth, &section, &forces, strength).used
}

/// Modulus the callus needs.
///
/// ```text
/// M_callus = ε_y E W    ε_y = σ_y/E of cortical bone,  W = π D³/32
/// ```
///
/// Assumption: callus, solid and round, cracks at the strain at which cortical bone yields in
/// tension, so that its strength goes with its modulus.
fn callus_needed(case: &Case, left: &Left, holes: &[Drilled]) -> CallusNeeded {
    let (clavicle, fracture) = (&case.clavicle, &case.fracture);
    let [ap, si] = clavicle.outer(fracture.position);
    let callus = fracture.callus.map(|callus| callus.outer_diameter);
    let outer_diameter = callus.unwrap_or((ap + si) / 2.0);
    let strain = left.strength.proof_tension / clavicle.cortex().youngs_modulus;
    let section_modulus = std::f64::consts::PI * outer_diameter.powi(3) / 32.0;
    let modulus_for = |moment: f64| moment / (strain * section_modulus);

    let construct = &left.intact.solved.construct;
    let at_fracture = |response: &Response| {
        let beside = |piece: &&Piece| piece.stretch[1] >= fracture.position;
        let piece = construct.bone.iter().find(beside);
        let member = piece.expect("the fracture lies in the bone").member;
        let forces = response.section_forces(&construct.frame, member, 0.0);
        forces.resultant_moment()
    };
    // The moment of each test is even: at first crack of the rest it acts on the fracture too.
    let [down, forward, _] = left.intact.tests();
    let rest = [down, forward]
        .map(|load| at_fracture(load.response) / left.used(holes, load))
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let worst = left
        .intact
        .activities()
        .map(|load| at_fracture(load.response))
        .fold(0.0, f64::max);
    CallusNeeded {
        outer_diameter_mm: outer_diameter,
        as_strong_as_the_rest_mpa: modulus_for(rest),
        margin: MARGIN,
        safe_mpa: modulus_for(MARGIN * worst),
    }
}

/// The answer in sentences, beside published experience.
///
/// Sources: *J. Orthop. Surg. Res.* (2019), article 1516-z, refracture after removal of a
/// plate; a series of 90 bones (2012, PMC3460104), plates and elastic nails; Smith et al., *Knee
/// Surg. Sports Traumatol. Arthrosc.* (2013), plastic bones: 12.9 and 30.2 of 36.5 N·m.
fn words(removal: &Removal, device: &Device) -> Vec<String> {
    let mut words = vec![what_is_left(removal)];
    words.push(match device {
        Device::Plate(_) | Device::Plates(_) => {
            "published: 7.2 % of 278 bones broke again after their plate was removed, 23.9 days \
             later on average (J Orthop Surg Res 2019), 7 % after plates and none after elastic \
             nails in a series of 90 (2012); plastic bones kept 35 % of their bending strength \
             (Smith 2013)"
        }
        Device::Nail(_) | Device::Pin(_) | Device::Wire(_) | Device::CannulatedScrew(_) => {
            "published: none of the bones broke again after elastic nails were removed, 7 % did \
             after plates (series of 90, 2012); plastic bones kept 83 % of their bending strength after a locked \
             intramedullary device (Smith 2013)"
        }
    }
    .to_owned());
    let callus = &removal.callus;
    words.push(format!(
        "callus {:.0} mm across makes the fracture as strong as the rest of this bone at {:.0} MPa, \
         and gives it a margin of {} in every activity here at {:.0} MPa",
        callus.outer_diameter_mm,
        round(callus.as_strong_as_the_rest_mpa),
        callus.margin,
        round(callus.safe_mpa)
    ));
    let margins = removal.bone_margins.iter().flatten();
    if let Some(margin) = margins.copied().reduce(f64::min)
        && margin < callus.margin
    {
        words.push(format!(
            "callus alone does not make it safe: without the device the rest of the bone has, counted \
             at first crack on the rim of a hole, a margin of only {margin:.1} in the worst of these \
             activities until the holes fill"
        ));
    }
    words
}

/// To two figures: no callus is known better.
fn round(value: f64) -> f64 {
    let unit = 10_f64.powf(value.abs().max(1.0).log10().floor() - 1.0);
    (value / unit).round() * unit
}

/// What removal leaves, in a sentence.
fn what_is_left(removal: &Removal) -> String {
    let weakest = removal
        .holes
        .iter()
        .find(|hole| Some(&hole.name) == removal.weakest.as_ref());
    match weakest {
        Some(hole) => format!(
            "until it fills with bone, {} ({:.1} mm, {:.0} % of the bone's thickness) lets the bone \
             crack at {:.0} % of its strength in bending, {:.0} % in torsion; were no rim to raise the \
             stress, {:.0} % in bending would be left",
            hole.name,
            hole.diameter_mm,
            100.0 * hole.diameter_ratio,
            removal.bending_percent_of_intact,
            removal.torsion_percent_of_intact,
            removal.bending_net_section_percent,
        ),
        None => format!(
            "the empty canal leaves the bone {:.0} % of its strength in bending and {:.0} % in torsion; \
             the hole by which the device went in lies where these loads do little",
            removal.bending_percent_of_intact, removal.torsion_percent_of_intact,
        ),
    }
}

impl Removal {
    /// The warning, where removal weakens the bone by more than a tenth.
    pub(super) fn flag(&self) -> Option<String> {
        let marked = self
            .bending_percent_of_intact
            .min(self.torsion_percent_of_intact)
            < 90.0;
        (marked && self.weakest.is_some())
            .then(|| format!("after removal, and {}", what_is_left(self)))
    }
}
