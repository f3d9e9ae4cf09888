//! Holes and bores that a device leaves in the bone, and the stress they raise.

use nalgebra::Vector3;

use crate::anatomy::Clavicle;
use crate::construct::plate_normal;
use crate::device::{Device, Plate};

/// How much wider than the nail its entry hole is, mm. Assumption: so that it turns freely.
const ENTRY_PLAY: f64 = 0.5;

/// Largest ratios of the fitted formulas of [`tube_hole_kt`].
const WIDEST_HOLE: f64 = 0.4;
const THINNEST_WALL: f64 = 0.9;

/// Least share of the bone that a hole or bore is said to leave, so that one as wide as the bone
/// does not divide by nothing.
const LEAST: f64 = 1e-3;

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
pub(super) fn rim_stress([bending_kt, torsion_kt]: [f64; 2], axial: f64, shear: f64) -> f64 {
    (bending_kt - 2.0) * axial + (2.0 * axial).hypot(torsion_kt * shear)
}

/// A hole as it was drilled.
pub(super) struct Drilled {
    /// What it was for.
    pub name: String,
    /// Fraction of bone length.
    pub at: f64,
    /// Diameter, mm.
    pub diameter: f64,
    /// Diameter over the outer diameter of the bone.
    pub ratio: f64,
    /// Walls it goes through.
    pub walls: usize,
    /// [`tube_hole_kt`].
    pub kt: [f64; 2],
    /// What it leaves of the second moment of the bone.
    pub net_section: f64,
    /// Places on the surface of the bone where its axis and its sides come out, in the local
    /// axes of the bone, mm from the centre line.
    pub mouths: Vec<[f64; 2]>,
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
            net_section: (1.0 - lost / second_moment).max(LEAST),
            mouths,
        }
    }
}

/// The holes a device leaves, from the sternal end. A screw's is as wide as its thread.
///
/// From memory: a nail goes in at the front of the medial end, a pin comes out at the back of
/// the lateral one.
pub(super) fn drilled(device: &Device, clavicle: &Clavicle) -> Vec<Drilled> {
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
        Device::Wire(wire) => {
            let name = "the wire's lateral hole".to_owned();
            let through = (1, -anterior(wire.lateral_end));
            vec![Drilled::new(
                name,
                wire.lateral_end,
                wire.diameter,
                through,
                clavicle,
            )]
        }
        Device::CannulatedScrew(screw) => {
            let name = "the screw's lateral hole".to_owned();
            let through = (1, -anterior(screw.head));
            let diameter = screw.outer_diameter;
            vec![Drilled::new(name, screw.head, diameter, through, clavicle)]
        }
        Device::Plate(_) | Device::Plates(_) => (device.plates().iter())
            .flat_map(|plate| plate_holes(plate, clavicle))
            .collect(),
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
pub(super) struct Bore {
    stretch: [f64; 2],
    diameter: f64,
}

impl Bore {
    pub fn left_by(device: &Device, clavicle: &Clavicle) -> Option<Self> {
        let [from, to] = clavicle.canal_zone();
        let (start, end, diameter) = match device {
            Device::Nail(nail) => {
                let [start, end] = nail.ends();
                (start, end, nail.diameter)
            }
            Device::Wire(wire) => (wire.medial_end, wire.lateral_end, wire.diameter),
            Device::CannulatedScrew(screw) => (screw.medial_tip, screw.head, screw.outer_diameter),
            Device::Pin(pin) => (pin.medial_tip, pin.nut, pin.outer_diameter),
            Device::Plate(_) | Device::Plates(_) => return None,
        };
        Some(Bore {
            stretch: [start.max(from), end.min(to)],
            diameter,
        })
    }

    /// What is left of the second moment of the bone where the bore is wider than the open
    /// canal; trabecular bone at its ends is not counted.
    pub fn leaves(&self, at: f64, clavicle: &Clavicle) -> f64 {
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
            .max(LEAST)
    }
}
