//! Warnings in plain sentences: subject, verb, consequence, and where the rule comes from.

use super::strap::SKIN_FLOW;
use super::{
    ConstructAssessment, CriticalSection, FractureMotion, Part, SectionStress, StrapPressure,
    at_risk, compression, fit, shortening,
};
use crate::anatomy::Clavicle;
use crate::case::Case;
use crate::construct::{Fracture, Pattern, plate_points};
use crate::device::{Contour, Device, Plate, catalogue};

/// A nail that fills less of the canal than this is loose.
///
/// Source: Lascombes et al., *J. Pediatr. Orthop.* (2013), children's long bones; no rule for
/// the clavicle was found.
const LOOSE_FILL: f64 = 0.40;

/// A bar needs at least this many diameters in each fragment.
///
/// Source: *Orthop. Traumatol. Surg. Res.* 101 (2015) 823–826, elastic nails in cadaver clavicles.
pub(super) const PURCHASE_DIAMETERS: f64 = 3.0;

/// Strains beyond which callus does not turn to bone, and beyond which no tissue survives, %.
///
/// Source: Perren's strain theory (teaching summaries): 2, 10 and 100 %.
const STRAIN_LIMITS: [f64; 2] = [10.0, 100.0];

/// Screws a side that are usual.
///
/// Source: *Orthop. J. Sports Med.* 5(9) (2017) 2325967117725293: three that do not lock a side;
/// two locking ones were their equal there, and not in another test.
pub(super) const USUAL_SCREWS: usize = 3;

/// All warnings about one construct.
pub(super) fn flags(assessed: &ConstructAssessment, device: &Device, case: &Case) -> Vec<String> {
    let mut flags = Vec::new();
    let names: Vec<&str> = case.activities.iter().map(|a| a.name.as_str()).collect();
    flags.extend(length_flag(assessed));
    flags.extend(shortening::migration_flags(&assessed.slip));
    flags.extend(fit_flag(assessed));
    flags.extend(shortening::sprung_flag(assessed, device, &case.fracture));
    flags.extend(strength_flags(&assessed.critical_sections, &names));
    flags.extend(motion_flag(assessed, &names, &case.fracture));
    flags.extend(buckling_flag(assessed, &names));
    flags.extend(pull_out_flag(assessed, &names));
    match device {
        Device::Nail(nail) => {
            flags.extend(bar_flags(assessed, "nail", nail.diameter));
            flags.extend(size_flag("nail", nail.diameter, &catalogue::NAIL_DIAMETERS));
            flags.extend(twist_flag(assessed, "nail", &names));
            flags.extend(play_flag(assessed, "nail", nail.material.youngs_modulus));
            flags.push(
                "a smooth device in the shoulder girdle can migrate; it is to be watched and \
                 removed (common practice, no source)"
                    .to_owned(),
            );
        }
        Device::Pin(pin) => {
            flags.extend(bar_flags(assessed, "pin", pin.outer_diameter));
            flags.extend(size_flag(
                "pin",
                pin.outer_diameter,
                &catalogue::PIN_DIAMETERS,
            ));
            let [medial, _] = case.fracture.faces(&case.clavicle);
            if pin.thread_end > medial {
                flags.push(
                    "the medial thread runs past the medial face of the fracture: its run-out, the \
                     weakest section, lies in the gap, and the thread cannot draw the fragments \
                     together"
                        .to_owned(),
                );
            }
            flags.push(format!(
                "the nuts stand {:.0} mm proud of the lateral cortex and may trouble the skin",
                assessed.prominence.highest_mm
            ));
        }
        Device::Wire(wire) => {
            flags.extend(bar_flags(assessed, "wire", wire.diameter));
            flags.extend(size_flag("wire", wire.diameter, &catalogue::WIRE_DIAMETERS));
            flags.extend(twist_flag(assessed, "wire", &names));
            flags.extend(play_flag(assessed, "wire", wire.material.youngs_modulus));
            flags.push(
                "smooth wires in the shoulder girdle migrate, have killed, and are to be removed; a \
                 thread does not prevent it (common practice, no source)"
                    .to_owned(),
            );
        }
        Device::CannulatedScrew(screw) => {
            flags.extend(bar_flags(assessed, "screw", screw.outer_diameter));
            flags.push(
                "the head lies on the lateral cortex and may trouble the skin; a thread does not \
                 prevent migration (common practice, no source)"
                    .to_owned(),
            );
        }
        Device::Plate(_) | Device::Plates(_) => flags.extend(plate_flags(assessed, device, case)),
    }
    flags.extend(compression::flags(assessed));
    flags.extend(strap_flag(&assessed.strap));
    flags.extend(at_risk::summary(&assessed.structures_at_risk));
    flags.extend(assessed.removal.flag());
    flags
}

/// The strap that presses hardest on hardware, beside what it does to bone alone.
fn strap_flag(straps: &[StrapPressure]) -> Option<String> {
    let pressed = |strap: &'_ StrapPressure| {
        let hardware = strap.hardware.clone()?;
        Some((strap.clone(), hardware))
    };
    let (strap, hardware) = straps
        .iter()
        .filter_map(pressed)
        .max_by(|a, b| a.1.mean_pressure_kpa.total_cmp(&b.1.mean_pressure_kpa))?;
    Some(format!(
        "{} stands {:.1} mm proud under the strap of '{}', which presses the skin on it with {:.0} kPa, \
         where bone alone would take {:.0} kPa; blood flow of skin is said to suffer beyond \
         {SKIN_FLOW:.0} kPa, so neither is borne without a pause",
        hardware.part,
        hardware.height_mm,
        strap.activity,
        hardware.mean_pressure_kpa,
        strap.bone_pressure_kpa
    ))
}

/// The screw nearest to being pulled out, if the load does it.
fn pull_out_flag(assessed: &ConstructAssessment, names: &[&str]) -> Option<String> {
    let loads = assessed.screws.iter().flat_map(|screw| {
        let loads = screw.activities.iter().enumerate();
        loads.filter_map(move |(index, load)| Some((screw, index, load, load.pull_out_margin?)))
    });
    let (screw, index, load, margin) = loads.min_by(|a, b| a.3.total_cmp(&b.3))?;
    (margin < 1.0).then(|| {
        format!(
            "{} is pulled out under '{}': {:.0} N against {:.0} N that {:.1} mm of cortex hold \
             (Chapman 1996, cortical shear strength from memory)",
            screw.name, names[index], load.axial_force_n, screw.pull_out_n, screw.cortex_mm
        )
    })
}

/// A diameter in which the trade does not make a device.
fn size_flag(bar: &str, diameter: f64, usual: &[f64]) -> Option<String> {
    let made = usual.iter().any(|size| (size - diameter).abs() < 0.05);
    let sizes: Vec<String> = usual.iter().map(f64::to_string).collect();
    (!made).then(|| {
        format!(
            "a {bar} of {diameter} mm is not usual: they come in {} mm (from memory)",
            sizes.join(", ")
        )
    })
}

/// What the linear model leaves out of a smooth bar's play, or what the canal does to a straight
/// one.
fn play_flag(assessed: &ConstructAssessment, bar: &str, youngs_modulus: f64) -> Option<String> {
    match assessed.contact.is_empty() {
        true => Some(format!(
            "the {bar} is taken to fill its canal without play and to lie in it free of stress: a \
             real one is held less firmly and starts bent, so its stiffness and margins are upper \
             bounds"
        )),
        false if matches!(assessed.fit.verdict, "bends" | "drill" | "forced" | "no") => None,
        false => bent_flag(assessed, bar, youngs_modulus),
    }
}

fn length_flag(assessed: &ConstructAssessment) -> Option<String> {
    (assessed.slip.length_stable != "yes").then(|| assessed.slip.reason.clone())
}

fn fit_flag(assessed: &ConstructAssessment) -> Option<String> {
    (assessed.fit.verdict != "yes").then(|| assessed.fit.reason.clone())
}

/// The activity in which a section comes out worst by the given margin, if below one.
fn failing(
    section: &CriticalSection,
    margin: impl Fn(&SectionStress) -> Option<f64>,
) -> Option<(usize, f64)> {
    section
        .activities
        .iter()
        .enumerate()
        .filter_map(|(index, stress)| Some((index, margin(stress)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, margin)| *margin < 1.0)
}

/// What yields or breaks first, one sentence for each part of the construct.
fn strength_flags(sections: &[CriticalSection], names: &[&str]) -> Vec<String> {
    let mut flags = Vec::new();
    for part in [Part::Device, Part::Screw, Part::Bone] {
        let of_part = || sections.iter().filter(|section| section.part == part);
        let worst = |margin: fn(&SectionStress) -> Option<f64>| {
            of_part()
                .filter_map(|section| Some((section, failing(section, margin)?)))
                .min_by(|a, b| a.1.1.total_cmp(&b.1.1))
        };
        if let Some((section, (index, margin))) = worst(|stress| stress.static_margin) {
            let stress = section.activities[index].nominal_stress_mpa;
            let fails = if part == Part::Bone {
                "cracks"
            } else {
                "bends for good"
            };
            flags.push(format!(
                "{} {fails} under '{}': {stress:.0} MPa against {:.0} MPa, {margin:.2} of what is \
                 needed",
                section.label(),
                names[index],
                section.proof_stress_mpa
            ));
        }
        let fatigue = worst(|stress| stress.fatigue_margin_1e5);
        match (part, fatigue) {
            (Part::Device, Some((section, (index, margin)))) => flags.push(format!(
                "{} breaks by fatigue before 100 000 repeats of '{}': it bears {margin:.2} of that \
                 load (Kf {:.2} on the nominal stress)",
                section.label(),
                names[index],
                section.kf
            )),
            (Part::Screw, Some((section, (index, margin)))) => flags.push(format!(
                "{} may break by fatigue before 100 000 repeats of '{}': it bears at least \
                 {margin:.2} of that load (Kf {:.0} of a thread in its nut, an upper bound)",
                section.label(),
                names[index],
                section.kf
            )),
            // Living bone repairs itself, and its fatigue line is femoral.
            _ => {}
        }
    }
    flags
}

fn motion_flag(
    assessed: &ConstructAssessment,
    names: &[&str],
    fracture: &Fracture,
) -> Option<String> {
    let linear = assessed.contact.is_empty();
    let (index, worst) = assessed
        .fracture_motion
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.strain_percent.total_cmp(&b.1.strain_percent))?;
    let [callus, tissue] = STRAIN_LIMITS;
    let strain = worst.strain_percent;
    if strain <= callus {
        return None;
    }
    let consequence = match strain > tissue {
        true => format!("beyond {tissue:.0} % no tissue is said to survive"),
        false => format!("beyond {callus:.0} % callus is said not to turn to bone"),
    };
    let excuse = match fracture.pattern {
        Pattern::Transverse | Pattern::Oblique(_) if linear => {
            "; broken ends that touch would share it, which linear couplings leave out"
        }
        _ => "",
    };
    Some(format!(
        "the fracture opens or closes by {:.2} mm on its rim under '{}', a strain of {strain:.0} % of \
         the gap there at rest: {consequence} (Perren){excuse}",
        worst.rim_mm, names[index]
    ))
}

/// Load factor below which the answers of small movements are not to be trusted.
///
/// Under a push along the bone bending grows about `1 / (1 − 1/λ)` times: twice at 2.
pub(super) const NEAR_BUCKLING: f64 = 2.0;

/// A bone under push bows the more the nearer it is to buckling.
fn buckling_flag(assessed: &ConstructAssessment, names: &[&str]) -> Option<String> {
    let factors = assessed.buckling_factors.iter().enumerate();
    let (index, factor) = factors
        .filter_map(|(index, factor)| Some((index, (*factor)?)))
        .filter(|(_, factor)| *factor < NEAR_BUCKLING)
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let name = names[index];
    Some(match factor < 1.0 {
        true => format!(
            "the construct buckles at {factor:.2} of the load of '{name}' unless broken ends that \
             meet stop it: its motions and stresses there, worked out for small movements, are too \
             small by far"
        ),
        false => format!(
            "the push of '{name}' is not far from buckling the construct, which {factor:.2} times \
             that load would do: it bends at least twice as much as these answers, worked out for small \
             movements, say"
        ),
    })
}

/// What bending a straight bar to the canal does to it.
fn bent_flag(assessed: &ConstructAssessment, bar: &str, youngs_modulus: f64) -> Option<String> {
    let of_device = |section: &&CriticalSection| section.part == Part::Device;
    let sections = || assessed.critical_sections.iter().filter(of_device);
    let locked = sections()
        .flat_map(|section| &section.activities)
        .map(|stress| stress.locked_in_stress_mpa)
        .fold(0.0, f64::max);
    let proof = sections().map(|section| section.proof_stress_mpa).next()?;
    (locked > proof).then(|| {
        format!(
            "put in straight, the {bar} is bent for good by the curve of the canal ({:.2} % strain at \
             its surface, {locked:.0} MPa if it stayed elastic, proof stress {proof:.0} MPa)",
            100.0 * locked / youngs_modulus
        )
    })
}

/// A smooth bar lets the fragments turn; the linear answer says that they do, not how far.
fn twist_flag(assessed: &ConstructAssessment, bar: &str, names: &[&str]) -> Option<String> {
    /// Assumption: more than this is seen at a glance on the operating table.
    const SEEN_DEG: f64 = 10.0;
    let twist = |motion: &FractureMotion| motion.twist_deg.abs();
    let (index, _) = assessed
        .fracture_motion
        .iter()
        .enumerate()
        .filter(|(_, motion)| twist(motion) > SEEN_DEG)
        .max_by(|a, b| twist(a.1).total_cmp(&twist(b.1)))?;
    Some(format!(
        "little but its ends stops the fragments from turning about the smooth {bar} under '{}'",
        names[index]
    ))
}

fn bar_flags(assessed: &ConstructAssessment, bar: &str, diameter: f64) -> Vec<String> {
    let mut flags = Vec::new();
    if let Some(fill) = assessed.fit.canal_fill
        && fill < LOOSE_FILL
    {
        flags.push(format!(
            "the {bar} fills only {:.0} % of the narrowest canal; under 40 % children's long bones had \
             trouble (Lascombes 2013; no rule for the clavicle was found)",
            100.0 * fill
        ));
    }
    let needed = PURCHASE_DIAMETERS * diameter;
    for (side, length) in [
        ("medial", assessed.purchase.medial_mm),
        ("lateral", assessed.purchase.lateral_mm),
    ] {
        if length < needed {
            flags.push(format!(
                "only {length:.0} mm of {bar} lie in the {side} fragment; three diameters, \
                 {needed:.1} mm, were asked for in cadaver tests (Orthop Traumatol Surg Res 2015)"
            ));
        }
    }
    flags
}

/// A plate on the stretched side lets the broken ends press on the other one.
fn tension_band_flag(assessed: &ConstructAssessment) -> Option<String> {
    /// Assumption: less than this is lost among what is not known.
    const MARKED: f64 = 1.25;
    let down = assessed.stiffness.bending_sup_inf_nm_per_deg;
    let up = assessed.stiffness.bending_up_nm_per_deg;
    let (stiff, slack, [with, against]) = match down > up {
        true => (down, up, ["down", "up"]),
        false => (up, down, ["up", "down"]),
    };
    (stiff > MARKED * slack).then(|| {
        format!(
            "bent {with} at the acromial end the plate works as a tension band, the broken ends \
             pressing on each other ({stiff:.2} N·m/deg); bent {against} it does not ({slack:.2})"
        )
    })
}

fn plate_flags(assessed: &ConstructAssessment, device: &Device, case: &Case) -> Vec<String> {
    let mut flags = Vec::new();
    if case.fracture.pattern != Pattern::Comminuted {
        flags.extend(tension_band_flag(assessed));
    }
    for (side, count) in [
        ("medial", assessed.purchase.medial_screws),
        ("lateral", assessed.purchase.lateral_screws),
    ] {
        if count < USUAL_SCREWS {
            flags.push(format!(
                "only {count} screw{} hold{} in the {side} fragment; three are usual, and tests of two \
                 locking screws against three disagree (Orthop J Sports Med 2017 and another)",
                if count == 1 { "" } else { "s" },
                if count == 1 { "s" } else { "" },
            ));
        }
    }
    if device.plates().len() > 1 {
        flags.push(
            "screws of the two plates cross in the bone; whether they meet is not computed"
                .to_owned(),
        );
    }
    for plate in device.plates() {
        let of_plate = match device.plates() {
            [_] => String::new(),
            _ => format!(" of the {} plate", plate.surface.word()),
        };
        for number in holes_over_gap(plate, &case.clavicle, &case.fracture) {
            flags.push(match plate.is_filled(number) {
                true => {
                    format!(
                        "the screw in hole {number}{of_plate} stands in the gap and holds nothing"
                    )
                }
                false => format!(
                    "hole {number}{of_plate} stands empty over the gap, where the plate is bent \
                     most; a plate without a hole there was stressed about half as much in a \
                     published model (Pengrung 2019)"
                ),
            });
        }
        flags.extend(straight_flag(plate, &case.clavicle));
        flags.extend(lag_screw_flag(plate, case));
    }
    flags
}

/// Screws through a sloping break, which a real one would draw together.
fn lag_screw_flag(plate: &Plate, case: &Case) -> Option<String> {
    let numbers = plate.screws.iter().map(|screw| screw.hole);
    let offsets = numbers.clone().map(|hole| plate.hole_offset(hole));
    let crossing: Vec<String> = plate_points(plate, &case.clavicle, offsets)
        .iter()
        .zip(numbers)
        .filter(|(point, _)| {
            case.fracture
                .crosses(&case.clavicle, point.beside, point.normal)
        })
        .map(|(_, hole)| hole.to_string())
        .collect();
    (!crossing.is_empty()).then(|| {
        format!(
            "screws that cross the sloping break (holes {}) are taken to hold in one fragment only, \
             not to draw the two together",
            crossing.join(", ")
        )
    })
}

/// A straight plate whose screws have to bridge or tilt far.
fn straight_flag(plate: &Plate, clavicle: &Clavicle) -> Option<String> {
    /// Assumption: more than this is seen at a glance on the operating table, mm.
    const SEEN: f64 = 2.0;
    let [gap, strays] = fit::stands_off(plate, clavicle);
    (plate.contour == Contour::Straight && gap.max(strays) > SEEN).then(|| {
        format!(
            "the straight plate stands off the bone by up to {gap:.1} mm and strays sideways by up to \
             {strays:.1} mm at its holes: screws bend over what they bridge and tilt towards the bone; \
             contour it"
        )
    })
}

/// Numbers of the holes whose middle lies over the gap.
fn holes_over_gap(plate: &Plate, clavicle: &Clavicle, fracture: &Fracture) -> Vec<usize> {
    let middle = clavicle.arc_length(plate.centre);
    let fracture_middle = clavicle.arc_length(fracture.position);
    (1..=plate.hole_count)
        .filter(|&number| plate.hole(number).is_some())
        .filter(|&number| {
            let away = middle + plate.hole_offset(number) - fracture_middle;
            away.abs() < fracture.gap / 2.0
        })
        .collect()
}
