//! The bone once the device is out: empty holes or an empty canal, and when callus is enough.
//!
//! The fracture is taken as healed where strength of holes and canal is concerned: the bone is
//! the unbroken one, with the holes left in it.

use nalgebra::Vector3;
use serde::Serialize;

use super::stress::{cut, equivalent, extremes};
use crate::anatomy::Clavicle;
use crate::case::Case;
use crate::construct::{Construct, Part, Piece, Response, plate_normal};
use crate::device::{Device, Plate};
use crate::material::Strength;

/// What removing a device leaves behind.
#[derive(Debug, Clone, Serialize)]
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
#[derive(Debug, Clone, Serialize)]
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
#[derive(Debug, Clone, Serialize)]
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

/// How much wider than the nail its entry hole is, mm. Assumption: so that it turns freely.
const ENTRY_PLAY: f64 = 0.5;

/// Largest ratios of the fitted formulas of [`tube_hole_kt`].
const WIDEST_HOLE: f64 = 0.4;
const THINNEST_WALL: f64 = 0.9;

/// Stress concentration of a round hole across a tube, in bending with the hole where it is
/// stretched most, and in torsion; both on the stress of the tube without the hole, the second
/// the largest tension over the largest shear.
///
/// ```text
/// x = d/D    i = Di/D    Kt = C1 + C2 x + C3 x² + C4 x³        x ≤ 0.4, i ≤ 0.9
/// bending   C1 = 3   C2 = −6.690 − 1.620 i + 4.432 i²    C3 = 44.739 + 10.724 i − 19.927 i²
///           C4 = −53.307 − 25.998 i + 43.258 i²
/// torsion   C1 = 4   C2 = −6.793 + 1.133 i − 0.126 i²    C3 = 38.382 − 7.242 i + 6.495 i²
///           C4 = −44.576 − 7.428 i + 58.656 i²
/// ```
///
/// Small holes give 3 and 4, as in a wide plate (Kirsch). Fitted to a hole through both walls;
/// taken for one through one wall too, the stress being that of its own rim. Wider holes are
/// taken as 0.4 of the tube. Bone is neither round nor isotropic; it is so here.
///
/// Source: Young & Budynas, *Roark's Formulas for Stress and Strain*, table 17.1, radial hole
/// in a hollow circular shaft: torsion as transcribed, bending from memory.
pub fn tube_hole_kt(diameter_ratio: f64, bore_ratio: f64) -> [f64; 2] {
    let x = diameter_ratio.min(WIDEST_HOLE);
    let i = bore_ratio.min(THINNEST_WALL);
    let cubic = |c: [f64; 4]| c[0] + x * (c[1] + x * (c[2] + x * c[3]));
    [
        cubic([
            3.0,
            -6.690 - 1.620 * i + 4.432 * i * i,
            44.739 + 10.724 * i - 19.927 * i * i,
            -53.307 - 25.998 * i + 43.258 * i * i,
        ]),
        cubic([
            4.0,
            -6.793 + 1.133 * i - 0.126 * i * i,
            38.382 - 7.242 * i + 6.495 * i * i,
            -44.576 - 7.428 * i + 58.656 * i * i,
        ]),
    ]
}

/// Tension at the rim of a hole where the bone without it has a stress along it and a shear.
///
/// ```text
/// σmax = (Kb − 2) σ + √((2 σ)² + (Kt τ)²)
/// ```
///
/// Exact for a small hole in a wide plate, `3 σ1 − σ2` of its principal stresses (Kirsch); for
/// a hole in a tube it is `Kb σ` in bending and `Kt τ` in torsion, and between them an
/// interpolation of ours.
fn rim_stress([bending_kt, torsion_kt]: [f64; 2], axial: f64, shear: f64) -> f64 {
    (bending_kt - 2.0) * axial + (2.0 * axial).hypot(torsion_kt * shear)
}

/// The intact bone under a load: what it answers, and its largest stress.
pub(super) struct IntactBone<'a> {
    pub construct: &'a Construct,
    /// Even moment up-down, even moment front-back, even torque.
    pub tests: [&'a Response; 3],
    pub activities: &'a [Response],
}

/// The bone without its device.
pub(super) fn removal(device: &Device, case: &Case, intact: &IntactBone) -> Removal {
    let clavicle = &case.clavicle;
    let strength = clavicle.cortex().strength.as_ref();
    let strength = strength.expect("cortical bone comes with its strength");
    let bore = Bore::left_by(device, clavicle);
    let left = Left {
        intact,
        bore,
        clavicle,
        strength,
    };
    let [down, forward, twist] = intact.tests;
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
        .activities
        .iter()
        .map(|response| {
            let used = left.used(&all, response);
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

/// A hole as it was drilled.
struct Drilled {
    name: String,
    at: f64,
    diameter: f64,
    ratio: f64,
    walls: usize,
    kt: [f64; 2],
    /// What it leaves of the second moment of the bone.
    net_section: f64,
    /// Places on the surface of the bone where its axis and its sides come out, in the local
    /// axes of the bone, mm from the centre line.
    mouths: Vec<[f64; 2]>,
}

impl Drilled {
    /// ```text
    /// I_net / I ≈ 1 − n d t r² / I    n walls, r = (D + Di)/4, tube of the mean sizes
    /// ```
    fn new(
        name: String,
        at: f64,
        diameter: f64,
        (walls, out): (usize, Vector3<f64>),
        clavicle: &Clavicle,
    ) -> Self {
        let mean = |[a, b]: [f64; 2]| (a + b) / 2.0;
        let outer = mean(clavicle.outer(at));
        let inner = mean(clavicle.canal(at));
        let second_moment = std::f64::consts::PI / 64.0 * (outer.powi(4) - inner.powi(4));
        let wall = (outer - inner) / 2.0;
        let radius = (outer + inner) / 4.0;
        let lost = walls as f64 * diameter * wall * radius * radius;
        let [along, anterior, superior] = clavicle.axes(at);
        let across = along.cross(&out) * (diameter / 2.0);
        let mouths = [out, -out]
            .iter()
            .take(walls)
            .flat_map(|side| {
                let middle = side * clavicle.surface_distance(at, *side);
                [middle - across, middle, middle + across]
            })
            .map(|place| [place.dot(&anterior), place.dot(&superior)])
            .collect();
        Drilled {
            name,
            at,
            diameter,
            ratio: diameter / outer,
            walls,
            kt: tube_hole_kt(diameter / outer, inner / outer),
            net_section: 1.0 - lost / second_moment,
            mouths,
        }
    }
}

/// The holes a device leaves, from the sternal end. A screw's is as wide as its thread.
///
/// From memory: a nail goes in at the front of the medial end, a pin comes out at the back of
/// the lateral one.
fn drilled(device: &Device, clavicle: &Clavicle) -> Vec<Drilled> {
    let anterior = |at: f64| clavicle.axes(at)[1];
    match device {
        Device::Nail(nail) => {
            let diameter = nail.diameter + ENTRY_PLAY;
            let name = "the nail's entry hole".to_owned();
            let through = (1, anterior(nail.entry));
            vec![Drilled::new(name, nail.entry, diameter, through, clavicle)]
        }
        Device::Pin(pin) => {
            let name = "the pin's lateral hole".to_owned();
            let through = (1, -anterior(pin.nut));
            let diameter = pin.outer_diameter;
            vec![Drilled::new(name, pin.nut, diameter, through, clavicle)]
        }
        Device::Plate(plate) => plate_holes(plate, clavicle),
    }
}

fn plate_holes(plate: &Plate, clavicle: &Clavicle) -> Vec<Drilled> {
    let middle = clavicle.arc_length(plate.centre);
    plate
        .screws
        .iter()
        .map(|screw| {
            let at = clavicle.fraction_at_arc_length(middle + plate.hole_offset(screw.hole));
            let name = format!("the hole of screw {}", screw.hole);
            let walls = if screw.bicortical { 2 } else { 1 };
            let through = (walls, plate_normal(plate.surface, clavicle, at));
            Drilled::new(name, at, screw.outer_diameter, through, clavicle)
        })
        .collect()
}

/// A round bore along the canal, as wide as the bar that lay there.
#[derive(Clone, Copy)]
struct Bore {
    stretch: [f64; 2],
    diameter: f64,
}

impl Bore {
    fn left_by(device: &Device, clavicle: &Clavicle) -> Option<Self> {
        let [from, to] = clavicle.canal_zone();
        let (start, end, diameter) = match device {
            Device::Nail(nail) => (nail.entry, nail.tip, nail.diameter),
            Device::Pin(pin) => (pin.medial_tip, pin.nut, pin.outer_diameter),
            Device::Plate(_) => return None,
        };
        Some(Bore {
            stretch: [start.max(from), end.min(to)],
            diameter,
        })
    }

    /// What is left of the second moment of the bone where the bore is wider than the open
    /// canal; trabecular bone at its ends is not counted.
    fn leaves(&self, at: f64, clavicle: &Clavicle) -> f64 {
        if !(self.stretch[0]..=self.stretch[1]).contains(&at) {
            return 1.0;
        }
        let moments = |[a, b]: [f64; 2]| [a * b.powi(3), b * a.powi(3)];
        let canal = clavicle.canal(at);
        let outer = moments(clavicle.outer(at));
        let before = moments(canal);
        let after = moments(canal.map(|size| size.max(self.diameter)));
        [0, 1]
            .map(|axis| (outer[axis] - after[axis]) / (outer[axis] - before[axis]))
            .into_iter()
            .fold(1.0, f64::min)
            .max(f64::MIN_POSITIVE)
    }
}

/// The bone that is left.
struct Left<'a> {
    intact: &'a IntactBone<'a>,
    bore: Option<Bore>,
    clavicle: &'a Clavicle,
    strength: &'a Strength,
}

impl Left<'_> {
    /// Share of its strength that the bone keeps under a load: largest use of it intact over
    /// largest use without the device.
    fn share(&self, holes: &[Drilled], response: &Response) -> f64 {
        let intact = self.shaft(response, |_| 1.0);
        if intact > 0.0 {
            intact / self.used(holes, response)
        } else {
            1.0
        }
    }

    /// Largest use of the bone's strength without the device, 1 at first crack.
    fn used(&self, holes: &[Drilled], response: &Response) -> f64 {
        let leaves = |at| self.bore.map_or(1.0, |bore| bore.leaves(at, self.clavicle));
        let shaft = self.shaft(response, leaves);
        holes
            .iter()
            .map(|hole| self.at_hole(hole, response) / leaves(hole.at))
            .fold(shaft, f64::max)
    }

    /// Largest use over the shaft, each place weakened to the share that is left there.
    fn shaft(&self, response: &Response, leaves: impl Fn(f64) -> f64) -> f64 {
        let construct = self.intact.construct;
        let bone = construct.places.iter().find(|p| p.part == Part::Bone);
        let cuts = &bone.expect("a bone has its shaft as a place").cuts;
        let beside = |member: usize, at: f64| {
            let piece = construct.bone.iter().find(|piece| piece.member == member);
            let [from, to] = piece.expect("a cut through the bone").stretch;
            from + (to - from) * at / construct.member_length(member)
        };
        cuts.iter()
            .map(|&(member, at)| self.smooth(response, member, at) / leaves(beside(member, at)))
            .fold(0.0, f64::max)
    }

    /// Largest use at the rims of a hole. What the bone without it bears at the hole's mouth,
    /// over its middle and both sides, counts as the nominal stress; a load may act either way,
    /// so that a wall that is pressed counts as stretched.
    fn at_hole(&self, hole: &Drilled, response: &Response) -> f64 {
        let (member, at) = self.member_at(hole.at);
        let (forces, section) = cut(self.intact.construct, response, member, at);
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
    fn net_share(&self, holes: &[Drilled], response: &Response) -> f64 {
        let intact = self.shaft(response, |_| 1.0);
        let net = holes.iter().map(|hole| {
            let (member, at) = self.member_at(hole.at);
            self.smooth(response, member, at) / hole.net_section
        });
        intact / net.fold(intact, f64::max)
    }

    /// The member of the bone at a fraction of its length, and the distance from its first end.
    fn member_at(&self, fraction: f64) -> (usize, f64) {
        let construct = self.intact.construct;
        let beside = |piece: &&Piece| piece.stretch[0] <= fraction && fraction <= piece.stretch[1];
        let piece = construct.bone.iter().find(beside);
        let piece = piece.expect("holes lie in the bone");
        let [from, to] = piece.stretch;
        let length = construct.member_length(piece.member);
        (piece.member, length * (fraction - from) / (to - from))
    }

    /// Use of the strength of the intact bone at a cut.
    fn smooth(&self, response: &Response, member: usize, at: f64) -> f64 {
        let (forces, section) = cut(self.intact.construct, response, member, at);
        let [tension, compression] = extremes(&section, &forces);
        let shear = forces.torque * section.torsion_shear;
        (equivalent(tension, shear) / self.strength.proof_tension)
            .max(equivalent(compression, shear) / self.strength.proof_compression)
    }
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

    let construct = left.intact.construct;
    let at_fracture = |response: &Response| {
        let beside = |piece: &&Piece| piece.stretch[1] >= fracture.position;
        let piece = construct.bone.iter().find(beside);
        let member = piece.expect("the fracture lies in the bone").member;
        let forces = response.section_forces(&construct.frame, member, 0.0);
        forces.resultant_moment()
    };
    // The moment of each test is even: at first crack of the rest it acts on the fracture too.
    let [down, forward, _] = left.intact.tests;
    let rest = [down, forward]
        .map(|response| at_fracture(response) / left.used(holes, response))
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let worst = left
        .intact
        .activities
        .iter()
        .map(at_fracture)
        .fold(0.0, f64::max);
    CallusNeeded {
        outer_diameter_mm: outer_diameter,
        as_strong_as_the_rest_mpa: modulus_for(rest),
        margin: MARGIN,
        safe_mpa: modulus_for(MARGIN * worst),
    }
}

/// The answer in sentences.
fn words(removal: &Removal, device: &Device) -> Vec<String> {
    let mut words = vec![what_is_left(removal)];
    words.push(match device {
        Device::Plate(_) => {
            "published: 7.2 % of 278 bones broke again after their plate was removed, 23.9 days \
             later on average (J Orthop Surg Res 2019), 7 % after plates and none after elastic \
             nails in another series (2012); plastic bones kept 35 % of their bending strength \
             (Smith 2013)"
        }
        Device::Nail(_) | Device::Pin(_) => {
            "published: none of the bones broke again after elastic nails were removed, 7 % did \
             after plates (2012); plastic bones kept 83 % of their bending strength after a locked \
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
