//! Whether the bone keeps its length: a push along it at the fracture, what holds against it, and
//! where the ends of a bar go.

use nalgebra::Vector3;
use schemars::JsonSchema;
use serde::Serialize;

use super::motion::{self, FacesApart};
use super::{ConstructAssessment, fit};
use crate::anatomy::Clavicle;
use crate::case::Case;
use crate::construct::{Bar, Construct, Fracture, Mechanics, Pattern, Standing, bar};
use crate::device::{Device, NailShape};
use crate::frame::SolveError;

/// Movement along the bone from which on the fragments are said to slide, mm.
///
/// Assumption: what is seen on a radiograph.
const SLIDES: f64 = 1.0;

/// Range of what is not known about the canal: factors on the stiffness of its wall, and friction
/// of metal on it.
///
/// Assumption: half a decade either way of an assumed stiffness; polished metal on wet bone and
/// rough metal. Friction that holds a bent nail depends on both, so it is shown as a range.
const WALLS: [(f64, f64); 2] = [(0.3, 0.2), (3.0, 0.4)];

/// Whether the construct keeps the bone's length.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Slip {
    /// `yes`, `by thread`, `only with contact` or `no`.
    pub length_stable: &'static str,
    /// Why, in a sentence.
    pub reason: String,
    /// Push along the bone at the fracture with which it was tried, N.
    pub push_n: f64,
    /// Length that the bone has lost under that push against the reduced bone, mm; absent where
    /// contact was not modelled.
    pub lost_length_mm: Option<f64>,
    /// Lost length beyond which outcomes are said to be poor, mm; absent for a child.
    pub poor_beyond_mm: Option<f64>,
    /// Push that a bar holds by itself before the fragments slide together by 1 mm, N: friction,
    /// jamming, threads and stops, the broken ends not touching.
    pub holds_push_n: Option<PushRange>,
    /// Pull that it takes to part the fragments by 1 mm along the bone with the bar in, N: soft
    /// tissue comes on top.
    pub parts_at_n: Option<f64>,
    /// The two ends of a bar, the medial one first.
    pub ends: Vec<EndTravel>,
    /// All that in sentences, with what was published; empty where contact was not modelled.
    pub words: Vec<String>,
}

/// A force over what is not known of the canal.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct PushRange {
    /// Wall 0.3 times as stiff, friction 0.2.
    pub lowest: f64,
    /// As assumed everywhere else.
    pub middle: f64,
    /// Wall 3 times as stiff, friction 0.4.
    pub highest: f64,
}

/// Where an end of a bar goes when the fragments are pushed together.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct EndTravel {
    /// `medial` or `lateral`.
    pub end: &'static str,
    /// How far it moves that way in its fragment, mm; less than zero is back.
    pub travel_mm: f64,
    /// What lies ahead of it, if it is the end that lies in the bone.
    pub ahead: Option<BoneAhead>,
}

/// The bone straight ahead of a tip after it has moved. A curved tip is turned aside by the wall
/// of the canal and goes farther.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct BoneAhead {
    /// From the tip to the outside of the bone, mm; zero or less: through.
    pub bone_left_mm: f64,
    /// Of that, cortex, mm.
    pub remaining_cortex_mm: f64,
}

/// Lost length beyond which outcomes are said to be poor, mm.
///
/// Source: Lazarides & Zafiropoulos 2006 (from memory), as quoted in *BMC Musculoskelet. Disord.*
/// (2023): over 14 mm in women, 18 mm in men.
fn poor_beyond(preset: &str) -> Option<f64> {
    match preset {
        "adult-female" => Some(14.0),
        adult if adult.starts_with("adult-male") => Some(18.0),
        _ => None,
    }
}

/// Whether a construct keeps the bone's length: tried where contact is modelled, else judged by
/// what kind of device it is.
pub(super) fn slip(construct: &Construct, device: &Device, case: &Case) -> Slip {
    let (length_stable, reason) = fit::slip_by_kind(device, &case.clavicle, &case.fracture);
    let by_kind = Slip {
        length_stable,
        reason,
        push_n: case.push,
        lost_length_mm: None,
        poor_beyond_mm: poor_beyond(&case.patient.preset),
        holds_push_n: None,
        parts_at_n: None,
        ends: Vec::new(),
        words: Vec::new(),
    };
    if construct.mechanics == Mechanics::Linear {
        return by_kind;
    }
    match tried(construct, device, case, &by_kind) {
        Ok(slip) => Slip {
            words: words(&slip, device),
            ..slip
        },
        Err(cause) => Slip {
            reason: format!("{}; trying it failed: {cause}", by_kind.reason),
            ..by_kind
        },
    }
}

/// The push tests.
fn tried(
    construct: &Construct,
    device: &Device,
    case: &Case,
    by_kind: &Slip,
) -> Result<Slip, SolveError> {
    let (clavicle, fracture) = (&case.clavicle, &case.fracture);
    let states = construct.pushed(clavicle, case.push)?;
    let [rest, pushed] = states
        .each_ref()
        .map(|state| motion::faces_apart(construct, clavicle, fracture, |node| state.motion(node)));
    let lost = (-pushed.axial).max(0.0);
    let alone = construct.clone().without_contact_of_faces();
    let Some(bar) = bar(device, clavicle, Mechanics::Contact) else {
        let states = alone.pushed(clavicle, case.push)?;
        let [rest, pushed] = states.map(|state| {
            motion::faces_apart(&alone, clavicle, fracture, |node| state.motion(node)).axial
        });
        let stable = match rest - pushed < SLIDES {
            true => "yes",
            false => "no",
        };
        return Ok(Slip {
            length_stable: stable,
            lost_length_mm: Some(lost),
            ..by_kind.clone()
        });
    };
    let middle = alone.held_along(clavicle, -SLIDES)?;
    let parts = alone.held_along(clavicle, SLIDES)?;
    let [lowest, highest] = WALLS.map(|(stiffness, friction)| {
        let varied = alone.clone().with_canal_walls(stiffness, friction);
        varied.held_along(clavicle, -SLIDES)
    });
    let held = PushRange {
        lowest: lowest?.min(middle),
        middle,
        highest: highest?.max(middle),
    };
    let ends = ends(construct, device, &bar, clavicle, &states);
    let length_stable = match (middle >= case.push, device) {
        (true, Device::Pin(_)) => "by thread",
        (true, _) => "yes",
        (false, _) if lost < SLIDES => "only with contact",
        (false, _) => "no",
    };
    let mut slip = Slip {
        length_stable,
        lost_length_mm: Some(lost),
        holds_push_n: Some(held),
        parts_at_n: Some(parts),
        ends,
        ..by_kind.clone()
    };
    slip.reason = reason(&slip, &bar, fracture, &rest, by_kind);
    Ok(slip)
}

/// Why, from what was computed.
fn reason(
    slip: &Slip,
    bar: &Bar<'_>,
    fracture: &Fracture,
    rest: &FacesApart,
    by_kind: &Slip,
) -> String {
    let (name, push) = (bar.name, slip.push_n);
    let why = match slip.length_stable {
        "yes" => format!("jammed in the canal, the {name} holds a push of {push:.0} N by itself"),
        "by thread" => "the nuts stop the fragments from parting; against sliding together only the \
             lateral thread holds, in the cortex under the nuts (Chapman 1996, cortical shear strength \
             from memory), and hardly if the hole was drilled as wide as the thread"
            .to_owned(),
        "no" if fracture.pattern == Pattern::Comminuted => format!(
            "nothing carries length over the open gap: under a push of {push:.0} N along the bone the \
             fragments slide together on the {name}"
        ),
        "no" => format!(
            "under a push of {push:.0} N along the bone the broken ends slide past each other and the \
             {name} does not stop them"
        ),
        _ => by_kind.reason.clone(),
    };
    let moved = ends_in_words(slip);
    let lost = match (slip.lost_length_mm, slip.length_stable) {
        (Some(lost), "no") => format!(
            "; the bone loses {lost:.1} mm{}{}{moved}",
            against_threshold(lost, slip.poor_beyond_mm),
            if moved.is_empty() { "" } else { ", " },
        ),
        _ if rest.widest() > SPRUNG && !moved.is_empty() => {
            format!("; as a push closes what sprang open, {moved}")
        }
        _ => String::new(),
    };
    let held = slip.holds_push_n.map_or_else(String::new, |held| {
        format!(
            "; by itself the {name} holds {:.0} N before it gives 1 mm{}",
            held.middle,
            range_in_words(&held)
        )
    });
    why + &lost + &held
}

fn range_in_words(held: &PushRange) -> String {
    let [lowest, highest] = [held.lowest.round(), held.highest.round()];
    match lowest == highest {
        true => String::new(),
        false => format!(
            " ({lowest} to {highest} N for walls of the canal 0.3 to 3 times as stiff and friction of \
             0.2 to 0.4)"
        ),
    }
}

fn against_threshold(lost: f64, poor_beyond: Option<f64>) -> String {
    match poor_beyond {
        Some(limit) if lost > limit => format!(
            ", more than the {limit:.0} mm beyond which outcomes are said to be poor (Lazarides & \
             Zafiropoulos 2006)"
        ),
        _ => String::new(),
    }
}

/// Less travel than this is not worth a word, mm. Assumption.
const WORTH_A_WORD: f64 = 0.5;

fn ends_in_words(slip: &Slip) -> String {
    let told = slip.ends.iter().filter(|end| end.travel_mm > WORTH_A_WORD);
    let words: Vec<String> = told
        .map(|end| match end.ahead {
            Some(_) => format!("its {} tip goes on by {:.1} mm", end.end, end.travel_mm),
            None => format!("its {} end backs out by {:.1} mm", end.end, end.travel_mm),
        })
        .collect();
    words.join(", ")
}

/// Where the ends of a bar go from rest to push.
fn ends(
    construct: &Construct,
    device: &Device,
    bar: &Bar<'_>,
    clavicle: &Clavicle,
    [rest, pushed]: &[Standing; 2],
) -> Vec<EndTravel> {
    let in_bone = match device {
        Device::Nail(nail) if nail.enters_medially() => "lateral",
        _ => "medial",
    };
    let pieces = [construct.device.first(), construct.device.last()];
    let sides = [("medial", -1.0, 0), ("lateral", 1.0, 1)];
    let travels = pieces.into_iter().zip(sides).zip(bar.reach());
    travels
        .filter_map(|((piece, (end, way, side)), at)| {
            let own = construct.frame.members[piece?.member].nodes[side];
            let bone = construct.node_at(at);
            let in_bone_by = |state: &Standing| state.motion(own) - state.motion(bone);
            let lies = in_bone_by(rest);
            let moved = in_bone_by(pushed) - lies;
            let ahead = clavicle.tangent(at) * way;
            let travel = moved.fixed_rows::<3>(0).dot(&ahead);
            let turned: Vector3<f64> = lies.fixed_rows::<3>(3).into_owned();
            let tip = clavicle.point(at) + lies.fixed_rows::<3>(0);
            let ahead = (ahead + turned.cross(&ahead)).normalize();
            Some(EndTravel {
                end,
                travel_mm: travel,
                ahead: (end == in_bone)
                    .then(|| bone_ahead(clavicle, at, [tip, ahead], travel.max(0.0))),
            })
        })
        .collect()
}

/// The bone straight ahead of a tip that moves on by a travel, mm.
///
/// * `at`: beside where on the bone it lies, fraction of bone length
/// * `tip`, `ahead`: where it lies, mm, and the unit direction in which it points
fn bone_ahead(
    clavicle: &Clavicle,
    at: f64,
    [tip, ahead]: [Vector3<f64>; 2],
    travel: f64,
) -> BoneAhead {
    /// Sampled so, mm: fine against the thickness of a cortex.
    const STEP: f64 = 0.1;
    let mut place = at;
    let (mut way, mut cortex_from) = (0.0, None);
    let out = loop {
        let point = tip + ahead * way;
        // The place of the centre line beside the point.
        for _ in 0..4 {
            place +=
                (point - clavicle.point(place)).dot(&clavicle.tangent(place)) / clavicle.length();
        }
        if !(0.0..=1.0).contains(&place) {
            // Out through the end of the bone, closed by a cortex as thick as its wall there.
            cortex_from.get_or_insert((way - clavicle.wall(place.clamp(0.0, 1.0))).max(0.0));
            break way;
        }
        let aside = point - clavicle.point(place);
        let distance = aside.norm();
        if distance > 1e-6 {
            if distance > clavicle.surface_distance(place, aside) {
                break way;
            }
            if distance > clavicle.canal_half_width(place, aside) {
                cortex_from.get_or_insert(way);
            }
        }
        way += STEP;
    };
    let cortex_from = cortex_from.unwrap_or(out);
    BoneAhead {
        bone_left_mm: out - travel,
        remaining_cortex_mm: (out - cortex_from.max(travel)).max(0.0),
    }
}

/// A fracture sprung open by more than this is told, mm. Assumption: what is seen on a radiograph.
const SPRUNG: f64 = 1.0;

/// A straight bar opens a reduced fracture.
pub(super) fn sprung_flag(
    assessed: &ConstructAssessment,
    device: &Device,
    fracture: &Fracture,
) -> Option<String> {
    let (name, straight) = match device {
        Device::Nail(nail) => ("nail", nail.shape == NailShape::Straight),
        Device::Wire(_) => ("wire", true),
        Device::Pin(_) | Device::CannulatedScrew(_) => return None,
        Device::Plate(_) | Device::Plates(_) => return None,
    };
    let opened = assessed.opened_by_putting_in?;
    let [rim, degrees] = [opened.rim_mm, opened.angle_deg];
    (straight && rim > SPRUNG).then(|| match fracture.pattern {
        Pattern::Comminuted => format!(
            "the straight {name}, which wants to stay straight, turns the fragments by {degrees:.0}° \
             against each other before any load, the gap on one side {rim:.1} mm wider, less if it bends \
             for good: bend it to the canal"
        ),
        Pattern::Transverse | Pattern::Oblique(_) => format!(
            "the straight {name}, which wants to stay straight, springs the reduced fracture open by up \
             to {rim:.1} mm on its rim ({degrees:.0}° of bending) before any load, less if it bends for \
             good: bend it to the canal, or hold the reduction under compression"
        ),
    })
}

/// What the ends of a bar do that a surgeon should know.
pub(super) fn migration_flags(slip: &Slip) -> Vec<String> {
    let push = slip.push_n;
    let through = slip.ends.iter().filter_map(|end| {
        let ahead = end.ahead?;
        (end.travel_mm > WORTH_A_WORD && ahead.bone_left_mm <= 0.0).then(|| {
            format!(
                "pushed with {push:.0} N, the {} tip goes on by {:.1} mm: straight ahead that is \
                 through the cortex",
                end.end, end.travel_mm
            )
        })
    });
    through.collect()
}

/// What was computed and published about the bone's length, for the verbose report.
fn words(slip: &Slip, device: &Device) -> Vec<String> {
    let Some(lost) = slip.lost_length_mm else {
        return Vec::new();
    };
    let beyond = match slip.poor_beyond_mm {
        Some(limit) => format!(
            "; beyond {limit:.0} mm outcomes are said to be poor (Lazarides & Zafiropoulos 2006, from \
             memory)"
        ),
        None => "; no threshold for children was found".to_owned(),
    };
    let mut words = vec![format!(
        "pushed with {:.0} N along the bone at the fracture, it loses {lost:.1} mm of the reduced \
         length{beyond}",
        slip.push_n
    )];
    words.extend(slip.parts_at_n.map(|pull| {
        let nuts = match device {
            Device::Pin(_) => "; its nuts are to be backed off before anything is lengthened",
            _ => "",
        };
        format!(
            "to part the fragments by 1 mm with it in takes a traction of {pull:.0} N, soft tissue \
             apart{nuts}"
        )
    }));
    words.extend(slip.ends.iter().map(|end| {
        let ahead = end.ahead.map_or_else(String::new, |ahead| {
            format!(
                "; straight ahead of it {:.1} mm of bone are left, {:.1} mm of them cortex",
                ahead.bone_left_mm.max(0.0),
                ahead.remaining_cortex_mm
            )
        });
        format!(
            "its {} end then moves out by {:.1} mm{ahead}",
            end.end, end.travel_mm
        )
    }));
    words.push(match device {
        Device::Plate(_) | Device::Plates(_) => {
            "published: plated bones lost 0.1 mm at the median, nailed ones 5.8 mm (n = 65, Acta Ortop \
             Bras 2021)"
                .to_owned()
        }
        _ => "published: nailed bones lost 5.8 mm at the median, plated ones 0.1 mm (n = 65, Acta Ortop \
              Bras 2021); elastic nails lost over 10 mm in 19 % of 27, every one with its medial end \
              come out (Lu 2014)"
            .to_owned(),
    });
    words
}
