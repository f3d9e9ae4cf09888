//! What a case file means: units, defaults, the default screws, the template.

use std::collections::BTreeMap;

use approx::assert_relative_eq;
use clavibeam::anatomy::{PRESET_NAMES, Side};
use clavibeam::case::{self, Case};
use clavibeam::construct::{Construct, Mechanics, Pattern};
use clavibeam::device::{Device, Plate, Surface};
use clavibeam::load::{Bench, Loading};

const GOOD: &str = r#"
title = "Good"

[patient]
preset = "adult-male-average"
side = "left"
body_mass_kg = 95
stature_m = 1.8

[bone]
length_mm = 150
youngs_modulus_gpa = 16

[fracture]
pattern = "comminuted"
gap_mm = 8
[fracture.callus]
youngs_modulus_mpa = 100
outer_diameter_mm = 18

[[construct]]
name = "nail"
[construct.nail]
diameter_mm = 2.5

[[construct]]
name = "plate"
[construct.plate]
surface = "anteroinferior"
size = "limited-contact-3.5"
hole_count = 9
empty_holes = [2]

[[construct]]
name = "pin"
[construct.pin]
outer_diameter_mm = 3.8

[[activity]]
name = "lift"
arm_elevation_deg = 60
hand_mass_kg = 2

[[activity]]
name = "twist"
[activity.torsion]
torque_nm = -1.5
"#;

fn good() -> Case {
    case::parse(GOOD, "good.toml").unwrap_or_else(|error| panic!("{error}"))
}

fn plate(case: &Case) -> &Plate {
    match &case.constructs[1].1 {
        Device::Plate(plate) => plate,
        other => panic!("not a plate: {other:?}"),
    }
}

fn default<'a>(case: &'a Case, key: &str) -> Option<&'a str> {
    let used = case.defaults_used.iter().find(|used| used.key == key)?;
    assert!(!used.source.is_empty(), "{key} has no source");
    Some(&used.value)
}

#[test]
fn values_are_taken_in_the_units_of_the_library() {
    let case = good();
    assert_eq!(case.patient.side, Side::Left);
    assert_relative_eq!(case.patient.stature, 1800.0);
    assert_relative_eq!(case.clavicle.length(), 150.0);
    assert_relative_eq!(case.clavicle.cortex().youngs_modulus, 16_000.0);
    assert_eq!(case.fracture.pattern, Pattern::Comminuted);
    assert_eq!(case.fracture.gap, 8.0);
    assert_eq!(case.fracture.callus.unwrap().youngs_modulus, 100.0);
    let Loading::Shoulder { arm: Some(arm), .. } = case.activities[0].loading else {
        panic!("the first activity raises the arm");
    };
    assert_relative_eq!(arm.elevation, std::f64::consts::FRAC_PI_3);
    assert_eq!(
        case.activities[1].loading,
        Loading::Bench(Bench::Torsion { torque: -1500.0 })
    );
}

#[test]
fn constructs_keep_the_order_of_the_file() {
    let names: Vec<String> = good()
        .constructs
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    assert_eq!(names, ["nail", "plate", "pin"]);
}

/// The preset's 36.8 N at 76 kg, scaled to 95 kg.
#[test]
fn arm_weight_follows_the_body_mass() {
    assert_relative_eq!(good().patient.arm_weight, 36.8 * 95.0 / 76.0);
    let given = GOOD.replace("stature_m = 1.8", "arm_weight_n = 40");
    let case = case::parse(&given, "given").unwrap();
    assert_eq!(case.patient.arm_weight, 40.0);
}

/// Nine holes, 13 mm apart: hole 5 lies over the gap, hole 2 is to stay empty.
#[test]
fn default_screws_leave_the_gap_and_the_empty_holes_free() {
    let case = good();
    let plate = plate(&case);
    let holes: Vec<usize> = plate.screws.iter().map(|screw| screw.hole).collect();
    assert_eq!(holes, [1, 3, 4, 6, 7, 8, 9]);
    assert!(
        plate
            .screws
            .iter()
            .all(|screw| screw.bicortical && screw.locking)
    );
    assert_eq!(plate.surface, Surface::Anteroinferior);
    assert_eq!([plate.width, plate.thickness], [11.0, 3.3]);
}

/// A gap that just lets hole 5's neighbours through, then just not: `13 - 5 / 2 = 10.5`.
#[test]
fn a_default_screw_needs_the_whole_hole_clear_of_the_gap() {
    for (gap, filled) in [("20.9", true), ("21.1", false)] {
        let text = GOOD.replace("gap_mm = 8", &format!("gap_mm = {gap}"));
        let case = case::parse(&text, "gap").unwrap();
        assert_eq!(plate(&case).is_filled(4), filled, "gap {gap} mm");
        assert_eq!(plate(&case).is_filled(6), filled, "gap {gap} mm");
    }
}

#[test]
fn listed_screws_replace_the_default_ones() {
    let text = GOOD.replace(
        "empty_holes = [2]",
        "locking = false\nscrew = [{ hole = 9, bicortical = false }, { hole = 1, locking = true }]",
    );
    let case = case::parse(&text, "screws").unwrap();
    let screws = &plate(&case).screws;
    assert_eq!(screws.len(), 2);
    assert_eq!(
        (screws[0].hole, screws[0].bicortical, screws[0].locking),
        (1, true, true)
    );
    assert_eq!(
        (screws[1].hole, screws[1].bicortical, screws[1].locking),
        (9, false, false)
    );
    assert_eq!(screws[1].core_diameter, 2.4);
    assert_eq!(default(&case, "construct[2].plate.screw"), None);
}

#[test]
fn defaults_are_listed_and_given_values_are_not() {
    let case = good();
    assert_eq!(default(&case, "construct[1].nail.entry"), Some("0.06"));
    assert_eq!(
        default(&case, "construct[2].plate.thickness_mm"),
        Some("3.3")
    );
    assert_eq!(
        default(&case, "construct[3].pin.core_diameter_mm"),
        Some("3.04")
    );
    assert_eq!(default(&case, "patient.arm_weight_n"), Some("46"));
    assert_eq!(default(&case, "fracture.position"), Some("0.5"));
    assert_eq!(default(&case, "bone.length_mm"), None);
    assert_eq!(default(&case, "patient.side"), None);
    assert_eq!(default(&case, "fracture.gap_mm"), None);
    let mut keys: Vec<&str> = case
        .defaults_used
        .iter()
        .map(|used| used.key.as_str())
        .collect();
    let count = keys.len();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), count, "a default is listed twice");
}

/// The pin's medial thread ends 5 mm short of the gap and is 40 mm long, along the bone.
#[test]
fn the_default_pin_keeps_its_threads_medial_of_the_fracture() {
    let case = good();
    let Device::Pin(pin) = &case.constructs[2].1 else {
        panic!("the third construct is a pin");
    };
    let along = |fraction| case.clavicle.arc_length(fraction);
    assert_relative_eq!(
        along(0.5) - along(pin.thread_end),
        4.0 + 5.0,
        epsilon = 1e-9
    );
    assert_relative_eq!(
        along(pin.thread_end) - along(pin.medial_tip),
        40.0,
        epsilon = 1e-9
    );
}

#[test]
fn a_case_without_activities_takes_the_usual_three() {
    for (preset, force) in [("adult-female", 45.0), ("child-12", 27.0)] {
        let text = format!(
            "title = \"usual\"\npatient.preset = \"{preset}\"\nfracture.pattern = \"transverse\"\n\
             [[construct]]\nname = \"nail\"\nnail.diameter_mm = 2\n"
        );
        let case = case::parse(&text, "usual").unwrap();
        assert_eq!(case.fracture.gap, 0.5);
        assert_eq!(case.activities.len(), 3);
        let Loading::Shoulder {
            strap: Some(strap), ..
        } = case.activities[2].loading
        else {
            panic!("the last activity is the strap");
        };
        assert_eq!(strap.force, force);
        assert!(default(&case, "activity").is_some());
    }
}

#[test]
fn the_template_of_every_preset_reads_cleanly() {
    for preset in PRESET_NAMES {
        let text = case::template(preset).unwrap();
        let case = case::parse(&text, preset).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(case.patient.preset, preset);
        assert_eq!(case.constructs.len(), 4);
    }
    assert_eq!(case::template("nobody"), None);
}

/// A case that was read builds and solves: every device under every loading.
fn solve_all(case: &Case) {
    let position = case.fracture.position;
    for activity in &case.activities {
        let setups = activity.setups(&case.patient, &case.clavicle, position);
        for (name, device) in &case.constructs {
            let broken = Some((&case.fracture, device));
            let construct = Construct::new(&case.clavicle, broken, &setups, Mechanics::Linear);
            if let Err(error) = construct.solve(&setups) {
                panic!("{name}, {}: {error}", activity.name);
            }
        }
    }
}

#[test]
fn what_is_read_can_be_solved() {
    solve_all(&good());
    for preset in PRESET_NAMES {
        solve_all(&case::parse(&case::template(preset).unwrap(), preset).unwrap());
    }
}

/// One value after another of a full case is replaced: what is still accepted must solve.
#[test]
fn whatever_is_accepted_can_be_solved() {
    let text = std::fs::read_to_string("tests/every_key.toml").unwrap();
    solve_all(&case::parse(&text, "every key").unwrap());
    let lines: Vec<&str> = text.lines().collect();
    let mut accepted = 0;
    for index in 0..lines.len() {
        let Some((key, _)) = lines[index].split_once(" = ") else {
            continue;
        };
        for value in [
            "0", "1e-300", "0.001", "0.1", "0.2", "0.3", "0.5", "0.7", "0.9", "1", "2", "4", "8",
            "15", "40", "60", "150", "250", "1000", "10000", "30000", "true", "[]",
        ] {
            let changed = format!("{key} = {value}");
            let mut lines = lines.clone();
            lines[index] = &changed;
            if let Ok(case) = case::parse(&lines.join("\n"), "changed") {
                solve_all(&case);
                accepted += 1;
            }
        }
    }
    assert!(accepted > 300, "only {accepted} accepted");
}

/// A key in a comment of the template shows the value that is taken without it.
#[test]
fn comments_of_the_template_show_the_defaults() {
    for preset in PRESET_NAMES {
        let text = case::template(preset).unwrap();
        let case = case::parse(&text, preset).unwrap();
        let (mut table, mut counts, mut compared) = (String::new(), BTreeMap::new(), 0);
        for line in text.lines() {
            let uncommented = line.trim_start_matches("# ");
            if let Some(list) = uncommented.strip_prefix("[[") {
                let list = list.trim_end_matches(']');
                let count = counts.entry(list).and_modify(|count| *count += 1);
                table = format!("{list}[{}]", count.or_insert(1));
            } else if let Some(name) = uncommented.strip_prefix('[') {
                let name = name.trim_end_matches(']');
                table = match name.split_once('.') {
                    Some((list, rest)) if counts.contains_key(list) => {
                        format!("{list}[{}].{rest}", counts[list])
                    }
                    _ => name.to_owned(),
                };
            } else if let Some((key, rest)) = uncommented.split_once(" = ")
                && line.starts_with("# ")
                && let Some(taken) = default(&case, &format!("{table}.{key}"))
            {
                let shown = rest.split('#').next().unwrap_or_default().trim();
                assert_eq!(shown.trim_matches('"'), taken, "{preset}: {table}.{key}");
                compared += 1;
            }
        }
        assert!(compared >= 10, "{preset}: only {compared} compared");
    }
}

#[test]
fn oblique_break_without_words_is_the_worst_published() {
    let text = GOOD.replace("comminuted", "oblique");
    let case = case::parse(&text, "oblique").unwrap();
    let Pattern::Oblique(slope) = case.fracture.pattern else {
        panic!("{:?}", case.fracture.pattern);
    };
    assert_relative_eq!(slope.obliquity.to_degrees(), 45.0, max_relative = 1e-12);
    assert_eq!(slope.direction.word(), "superomedial-to-inferolateral");
    let defaults = case.defaults_used.iter().map(|d| d.key.as_str());
    let told = |key: &&str| key.starts_with("fracture.obliquity");
    assert_eq!(defaults.filter(told).count(), 2);
}

#[test]
fn windows_line_ends_and_a_byte_order_mark_are_accepted() {
    let text = format!("\u{feff}{}", GOOD.replace('\n', "\r\n"));
    assert!(case::parse(&text, "windows").is_ok());
    let text = text.replace("gap_mm = 8", "gap_mm = -8");
    let error = case::parse(&text, "windows").unwrap_err().to_string();
    assert!(
        error.starts_with("windows:16: fracture.gap_mm = -8 must be"),
        "{error}"
    );
}
