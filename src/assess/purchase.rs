//! How far a device must reach: what more purchase gains.

use schemars::JsonSchema;
use serde::Serialize;

use super::flags::{PURCHASE_DIAMETERS, USUAL_SCREWS};
use super::sizes::compared;
use super::{ActivitySummary, Assessment, Part, fit, motion, stress};
use crate::anatomy::Clavicle;
use crate::case::Case;
use crate::construct::{Construct, Mechanics, Response, bar};
use crate::device::{Device, Plate, Screw};
use crate::load::{Setup, stiffness_setups};

/// Distance between two places of the tip, mm.
const STEP: f64 = 4.0;
/// The shortest purchase tried, mm.
const SHORTEST: f64 = 5.0;
/// More purchase is worth having while it adds more than this share of bending stiffness.
const WORTH: f64 = 0.05;
/// Plates tried, number of holes.
const HOLE_COUNTS: std::ops::RangeInclusive<usize> = 4..=12;

/// A device with more and more purchase, everything else kept.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PurchaseSweep {
    /// What is varied.
    pub varied: Varied,
    /// The fragment in which the purchase is counted: that of the tip; of plates, the worse held.
    pub fragment: &'static str,
    /// The activity behind angle, slip and stress: the one that bends the fracture most.
    pub activity: String,
    /// From the least to the most purchase; those whose contact does not settle are left out.
    pub steps: Vec<PurchaseStep>,
    /// The least past which all more gains less than 5 % in bending stiffness, index of the step;
    /// absent when it gains more up to the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub enough: Option<usize>,
    /// The end of the usable canal on the side of the tip, fraction of bone length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub canal_end_position: Option<f64>,
    /// The rules of the trade, for comparison.
    pub rules: Vec<String>,
}

/// What a sweep varies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Varied {
    /// The tip of a bar moves along the canal.
    Tip,
    /// Plates with more holes at the same spacing, every hole clear of the gap filled.
    PlateLength,
    /// More screws in the same plate: the innermost and the outermost, then evenly between.
    ScrewsPerSide,
}

/// One purchase.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PurchaseStep {
    /// Length of device in the fragment, mm.
    pub purchase_mm: f64,
    /// Holes of the plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hole_count: Option<usize>,
    /// Screws in the medial and in the lateral fragment.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub screws_per_side: Option<[usize; 2]>,
    /// Bending the acromial end down, N·m/deg.
    pub bending_sup_inf_nm_per_deg: f64,
    /// The same, % of the stiffest step.
    pub bending_sup_inf_percent_of_most: f64,
    /// Bending angle between the faces of the fracture in the activity, deg.
    pub angle_deg: f64,
    /// Farthest that a bar slides on the wall of the canal in the activity, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip_mm: Option<f64>,
    /// Largest nominal stress of the device in the activity, MPa.
    pub peak_stress_mpa: f64,
    /// Thickness of the cortex around the tip, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cortex_at_tip_mm: Option<f64>,
    /// Bone ahead of the tip along the axis, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bone_past_tip_mm: Option<f64>,
}

impl PurchaseStep {
    /// What is varied, as a number: mm of purchase, holes, or screws on the side that has fewer.
    pub fn amount(&self, varied: Varied) -> f64 {
        let count = |count: Option<usize>| count.map_or(f64::NAN, |count| count as f64);
        match varied {
            Varied::Tip => self.purchase_mm,
            Varied::PlateLength => count(self.hole_count),
            Varied::ScrewsPerSide => count(self.screws_per_side.map(|[a, b]| a.max(b))),
        }
    }
}

/// Adds to each construct what more purchase would gain. Two plates at once are left out.
pub fn sweep_purchase(assessment: &mut Assessment, case: &Case) {
    for (index, assessed) in assessment.constructs.iter_mut().enumerate() {
        let device = compared(case, index, assessed);
        assessed.purchase_sweep = purchase_sweep(device, case, &assessment.activities);
    }
}

/// What more purchase of one device would gain, under the activity that bends the fracture most.
pub(super) fn purchase_sweep(
    device: &Device,
    case: &Case,
    activities: &[ActivitySummary],
) -> Vec<PurchaseSweep> {
    let moments = activities.iter().map(|a| a.fracture_moment_nm);
    let Some((worst, _)) = moments.enumerate().max_by(|a, b| a.1.total_cmp(&b.1)) else {
        return Vec::new();
    };
    let sweeper = Sweeper::new(case, worst);
    match device {
        Device::Plate(plate) => sweeper.plate(plate),
        Device::Plates(_) => Vec::new(),
        bar => sweeper.tip(bar).into_iter().collect(),
    }
}

/// The loads under which purchases are compared.
struct Sweeper<'a> {
    case: &'a Case,
    activity: &'a str,
    /// The bending test, then the activity.
    setups: Vec<Setup>,
}

impl<'a> Sweeper<'a> {
    fn new(case: &'a Case, activity: usize) -> Self {
        let [_, bending, ..] = stiffness_setups(&case.clavicle);
        let activity = &case.activities[activity];
        let position = case.fracture.position;
        let acting = activity.setups(&case.patient, &case.clavicle, position);
        Sweeper {
            case,
            activity: &activity.name,
            setups: [bending].into_iter().chain(acting).collect(),
        }
    }

    /// One purchase; none if contact does not settle.
    fn step(&self, device: &Device, purchase_mm: f64) -> Option<PurchaseStep> {
        let Case {
            clavicle, fracture, ..
        } = self.case;
        let broken = Some((fracture, device));
        let construct = Construct::new(clavicle, broken, &self.setups, Mechanics::Contact);
        let mut responses = construct.solve(&self.setups).ok()?.into_iter();
        let bending = responses.next()?;
        let activity: Response = responses.collect();
        let measured = motion::measured(&construct, &self.setups[0], &bending);
        let of_device = construct.places.iter().filter(|p| p.part == Part::Device);
        Some(PurchaseStep {
            purchase_mm,
            hole_count: None,
            screws_per_side: None,
            bending_sup_inf_nm_per_deg: motion::nm_per_deg(measured),
            bending_sup_inf_percent_of_most: 0.0,
            angle_deg: motion::fracture_motion(&construct, clavicle, fracture, &activity).angle_deg,
            slip_mm: activity.contact(&construct).and_then(|c| c.nail_slid),
            peak_stress_mpa: of_device
                .map(|place| {
                    stress::at_place(place, &construct, &activity, &self.case.aftercare.fatigue)
                        .nominal_stress_mpa
                })
                .fold(0.0, f64::max),
            cortex_at_tip_mm: None,
            bone_past_tip_mm: None,
        })
    }

    /// A bar whose tip moves on to the end of the usable canal.
    fn tip(&self, device: &Device) -> Option<PurchaseSweep> {
        let Case {
            clavicle, fracture, ..
        } = self.case;
        let faces = fracture.faces(clavicle).map(|at| clavicle.arc_length(at));
        let laterally = tip_is_lateral(device);
        let end = clavicle.canal_zone()[usize::from(laterally)];
        let most = match laterally {
            true => clavicle.arc_length(end) - faces[1],
            false => faces[0] - clavicle.arc_length(end),
        };
        let least = SHORTEST + thread_length(device, clavicle, faces[0]);
        let count = ((most - least) / STEP).floor().max(0.0) as usize;
        let lengths = (0..=count).map(|i| least + STEP * i as f64);
        let mut lengths: Vec<f64> = lengths
            .filter(|length| most - length > STEP / 2.0)
            .collect();
        lengths.extend((most > least).then_some(most));
        let steps = lengths.into_iter().filter_map(|length| {
            let place = match laterally {
                true => faces[1] + length,
                false => faces[0] - length,
            };
            let at = clavicle.fraction_at_arc_length(place);
            let step = self.step(&with_tip(device, at, clavicle), length)?;
            let ahead = match laterally {
                true => clavicle.arc_length(1.0) - place,
                false => place,
            };
            Some(PurchaseStep {
                cortex_at_tip_mm: Some(clavicle.wall(at)),
                bone_past_tip_mm: Some(ahead),
                ..step
            })
        });
        let diameter = bar(device, clavicle, Mechanics::Linear)?.outer_diameter();
        let sweep = self.sweep(Varied::Tip, steps.collect(), tip_rules(diameter))?;
        Some(PurchaseSweep {
            fragment: if laterally { "lateral" } else { "medial" },
            canal_end_position: Some(end),
            ..sweep
        })
    }

    /// Longer plates, then more screws in the plate as it is.
    fn plate(&self, plate: &Plate) -> Vec<PurchaseSweep> {
        let clavicle = &self.case.clavicle;
        let step = |plate: Plate| {
            let (hole_count, device) = (plate.hole_count, Device::Plate(plate));
            let held = fit::purchase(&device, clavicle, &self.case.fracture);
            let screws = [held.medial_screws, held.lateral_screws];
            if screws.contains(&0) {
                return None;
            }
            let step = self.step(&device, held.medial_mm.min(held.lateral_mm))?;
            Some(PurchaseStep {
                hole_count: Some(hole_count),
                screws_per_side: Some(screws),
                ..step
            })
        };
        let longer = HOLE_COUNTS.filter_map(|count| step(self.with_holes(plate, count)?));
        let sides = self.sides(plate);
        let most = sides
            .each_ref()
            .map(Vec::len)
            .into_iter()
            .max()
            .unwrap_or(0);
        let fuller = (2..=most).filter_map(|count| {
            let screws = sides.iter().flat_map(|side| spread(side, count)).collect();
            let screws: Vec<Screw> = screws;
            let plate = plate.clone();
            step(Plate { screws, ..plate })
        });
        let (longer, fuller) = (longer.collect(), fuller.collect());
        [
            (Varied::PlateLength, longer),
            (Varied::ScrewsPerSide, fuller),
        ]
        .into_iter()
        .filter_map(|(varied, steps)| self.sweep(varied, steps, screw_rules()))
        .collect()
    }

    /// The screws of each fragment, from the fracture outwards.
    fn sides(&self, plate: &Plate) -> [Vec<Screw>; 2] {
        let clavicle = &self.case.clavicle;
        let away = clavicle.arc_length(self.case.fracture.position);
        let fracture = away - clavicle.arc_length(plate.centre);
        let (mut medial, lateral): (Vec<Screw>, Vec<Screw>) = (plate.screws.iter().cloned())
            .partition(|screw| plate.hole_offset(screw.hole) < fracture);
        medial.reverse();
        [medial, lateral]
    }

    /// The plate with so many holes, a screw in each that is clear of the gap; none if it does not
    /// lie on the bone or its missing holes have no place.
    fn with_holes(&self, plate: &Plate, hole_count: usize) -> Option<Plate> {
        let clavicle = &self.case.clavicle;
        let shift = hole_count as isize - plate.hole_count as isize;
        if !plate.absent_holes.is_empty() && shift % 2 != 0 {
            return None;
        }
        let moved = |hole: &usize| hole.checked_add_signed(shift / 2);
        let mut plate = Plate {
            hole_count,
            absent_holes: plate.absent_holes.iter().filter_map(moved).collect(),
            ..plate.clone()
        };
        let (middle, half) = (clavicle.arc_length(plate.centre), plate.length() / 2.0);
        if middle < half || middle + half > clavicle.arc_length(1.0) {
            return None;
        }
        let faces = self.case.fracture.faces(clavicle);
        let [from, to] = faces.map(|face| clavicle.arc_length(face) - middle);
        let screw = plate.screws.first()?.clone();
        let radius = plate.hole_diameter / 2.0;
        let clear = |hole: &usize| {
            let at = plate.hole_offset(*hole);
            (at + radius <= from || at - radius >= to) && plate.hole(*hole).is_some()
        };
        let holes = (1..=hole_count).filter(clear);
        plate.screws = holes.map(|hole| Screw { hole, ..screw }).collect();
        Some(plate)
    }

    /// The sweep of at least two steps.
    fn sweep(
        &self,
        varied: Varied,
        mut steps: Vec<PurchaseStep>,
        rules: Vec<String>,
    ) -> Option<PurchaseSweep> {
        if steps.len() < 2 {
            return None;
        }
        let stiffness: Vec<f64> = steps.iter().map(|s| s.bending_sup_inf_nm_per_deg).collect();
        let most = stiffness.iter().copied().fold(0.0, f64::max);
        for (step, own) in steps.iter_mut().zip(&stiffness) {
            step.bending_sup_inf_percent_of_most = 100.0 * own / most;
        }
        let last = stiffness.len() - 1;
        let enough = (0..last).find(|&i| {
            let later = stiffness[i..].iter().copied().fold(0.0, f64::max);
            later < (1.0 + WORTH) * stiffness[i]
        });
        Some(PurchaseSweep {
            varied,
            fragment: "worse held",
            activity: self.activity.to_owned(),
            steps,
            enough,
            canal_end_position: None,
            rules,
        })
    }
}

/// Whether the free tip of a bar lies in the lateral fragment: a nail put in medially.
fn tip_is_lateral(device: &Device) -> bool {
    matches!(device, Device::Nail(nail) if nail.enters_medially())
}

/// A bar with its tip elsewhere; the thread of a cannulated screw moves with it.
fn with_tip(device: &Device, at: f64, clavicle: &Clavicle) -> Device {
    let mut device = device.clone();
    match &mut device {
        Device::Nail(nail) => nail.tip = at,
        Device::Pin(pin) => pin.medial_tip = at,
        Device::Wire(wire) => wire.medial_end = at,
        Device::CannulatedScrew(screw) => {
            let [tip, end] = [screw.medial_tip, screw.thread_end].map(|at| clavicle.arc_length(at));
            screw.thread_end = clavicle.fraction_at_arc_length(clavicle.arc_length(at) + end - tip);
            screw.medial_tip = at;
        }
        Device::Plate(_) | Device::Plates(_) => {}
    }
    device
}

/// What of the medial fragment a thread or the shank before it takes in any case, mm.
fn thread_length(device: &Device, clavicle: &Clavicle, face: f64) -> f64 {
    match device {
        Device::Pin(pin) => (face - clavicle.arc_length(pin.thread_end)).max(0.0),
        Device::CannulatedScrew(screw) => {
            clavicle.arc_length(screw.thread_end) - clavicle.arc_length(screw.medial_tip)
        }
        _ => 0.0,
    }
}

/// So many screws of one fragment: the first and the last, the others evenly between.
fn spread(side: &[Screw], count: usize) -> Vec<Screw> {
    let count = count.min(side.len());
    let last = side.len().saturating_sub(1) as f64;
    let between = (count.max(2) - 1) as f64;
    let mut picked: Vec<Screw> = (0..count)
        .map(|i| side[(last * i as f64 / between).round() as usize].clone())
        .collect();
    picked.sort_by_key(|screw| screw.hole);
    picked
}

/// What the trade asks of a bar of this diameter, mm.
fn tip_rules(diameter: f64) -> Vec<String> {
    vec![
        format!(
            "more than {PURCHASE_DIAMETERS:.0} diameters, {:.1} mm (Orthop Traumatol Surg Res 2015, \
             nails in cadaver clavicles; how they measured the length was not seen)",
            PURCHASE_DIAMETERS * diameter
        ),
        "20 to 30 mm (from memory)".to_owned(),
    ]
}

fn screw_rules() -> Vec<String> {
    vec![
        "a count of holes that leaves one over the fracture bends more: its innermost screws stand \
         further apart"
            .to_owned(),
        format!(
        "{USUAL_SCREWS} screws a side in both cortices (Orthop J Sports Med 2017); two locking ones \
         a side were equal to three that do not lock there, while another cadaver test found three \
         better than two: the sources conflict"
        ),
    ]
}
