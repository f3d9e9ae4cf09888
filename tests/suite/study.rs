//! Studies beside single runs: whatever is varied and kept, the numbers are those of `compare`.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use clavibeam::assess::{Assessment, add_weeks, assess, sweep_purchase};
use clavibeam::case::{self, Case};
use clavibeam::construct::Mechanics;
use clavibeam::study;
use serde_json::Value as Json;
use toml::{Table, Value as Toml};

/// Invented.
const CASE: &str = r#"
title = "Invented: one plate and one nail"
[patient]
preset = "adult-male-large"
[bone]
outer_scale = 1.0
[joints]
scapula_n_per_mm = 50
sternoclavicular_turning_nm_per_deg = 0.1
[fracture]
position = 0.5
pattern = "comminuted"
gap_mm = 6
callus = { youngs_modulus_mpa = 5, outer_diameter_mm = 15 }
[[construct]]
name = "plate 3.5"
[construct.plate]
size = "limited-contact-3.5"
surface = "superior"
hole_count = 7
[[construct]]
name = "nail"
[construct.nail]
diameter_mm = [2.0, 2.5]
[[activity]]
name = "arm and strap"
arm_elevation_deg = 60
hand_mass_kg = 1
strap_force_n = 50
[[activity]]
name = "four-point bench"
[activity.four_point]
force_n = 60
span_mm = 60
inner_span_mm = 20
"#;

/// Two values of every key of patient and bone, and of some others.
const VARIED: [(&[&str], [&str; 2]); 32] = [
    (&["patient", "preset"], ["'adult-female'", "'child-12'"]),
    (&["patient", "side"], ["'left'", "'right'"]),
    (&["patient", "body_mass_kg"], ["60", "120"]),
    (&["patient", "stature_m"], ["1.6", "1.9"]),
    (&["patient", "arm_weight_n"], ["30", "60"]),
    (&["patient", "strap_width_mm"], ["25", "70"]),
    (&["bone", "length_mm"], ["145", "165"]),
    (&["bone", "medial_curve_depth_mm"], ["8", "20"]),
    (&["bone", "lateral_curve_depth_mm"], ["6", "16"]),
    (&["bone", "superior_bow_mm"], ["-4", "6"]),
    (&["bone", "outer_scale"], ["0.95", "1.1"]),
    (&["bone", "wall_scale"], ["0.8", "1.1"]),
    (&["bone", "canal_min_diameter_mm"], ["4", "6"]),
    (&["bone", "youngs_modulus_gpa"], ["12", "20"]),
    (&["bone", "shear_modulus_gpa"], ["3", "6"]),
    (&["bone", "trabecular_modulus_mpa"], ["50", "600"]),
    (&["bone", "osteoporotic"], ["true", "false"]),
    (&["bone", "canal_from"], ["0.2", "0.3"]),
    (&["bone", "canal_to"], ["0.75", "0.85"]),
    (&["joints", "scapula_n_per_mm"], ["15", "150"]),
    (
        &["joints", "sternoclavicular_turning_nm_per_deg"],
        ["0.03", "0.3"],
    ),
    (&["fracture", "position"], ["0.47", "0.53"]),
    (&["fracture", "pattern"], ["'comminuted'", "'transverse'"]),
    (&["fracture", "gap_mm"], ["4", "8"]),
    (&["fracture", "callus", "youngs_modulus_mpa"], ["1", "200"]),
    (
        &["activity", "arm and strap", "arm_elevation_deg"],
        ["30", "90"],
    ),
    (&["activity", "arm and strap", "hand_mass_kg"], ["0", "4"]),
    (
        &["activity", "arm and strap", "strap_force_n"],
        ["20", "200"],
    ),
    (
        &["activity", "four-point bench", "four_point", "span_mm"],
        ["50", "70"],
    ),
    (
        &["construct", "plate 3.5", "plate", "hole_count"],
        ["6", "8"],
    ),
    (
        &["construct", "plate 3.5", "plate", "thickness_mm"],
        ["2.5", "4.0"],
    ),
    (&["construct", "nail", "nail", "tip"], ["0.8", "0.7"]),
];

/// Parts of a construct that take the whole of it, or more.
const WHOLE: [&str; 4] = ["device", "sizes", "flags", "courses"];
const MORE: [&str; 3] = ["purchase_sweep", "weeks", "aftermath"];

fn scratch(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("clavibeam-{}-{name}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder for this test");
    folder
}

/// The rows of a study of [`CASE`] with one input, cells by column.
fn rows(
    folder: &Path,
    path: &[&str],
    values: [&str; 2],
    outputs: &[String],
) -> Vec<BTreeMap<String, String>> {
    fs::write(folder.join("case.toml"), CASE).expect("room");
    let (key, [one, other]) = (path.join("."), values);
    let mut text = format!(
        "title = 'Keys'\ncase = 'case.toml'\n[[input]]\nkey = '{key}'\ncolumn = 'varied {key}'\n\
         values = [{one}, {other}]\n[plan.grid]\n"
    );
    for output in outputs {
        text += &format!("[[output]]\nkey = \"{output}\"\n");
    }
    fs::write(folder.join("study.toml"), text).expect("room");
    let study = study::read(&folder.join("study.toml"));
    let study = study.unwrap_or_else(|error| panic!("{key}: {error}"));
    let out = folder.join("table.csv");
    study::run(&study, None, &out, 1, |_| {}).expect("the folder can be written to");
    let mut reader = csv::Reader::from_path(out).expect("a table");
    reader
        .deserialize()
        .map(|row| row.expect("whole rows"))
        .collect()
}

/// The case with one value set.
fn with(path: &[&str], value: &str) -> Case {
    fn set(here: &mut Toml, path: &[&str], value: Toml) {
        let Some((first, rest)) = path.split_first() else {
            *here = value;
            return;
        };
        let next = match here {
            Toml::Array(list) => list
                .iter_mut()
                .find(|entry| entry["name"].as_str() == Some(first)),
            Toml::Table(table) => Some(table.entry(*first).or_insert(Toml::Boolean(false))),
            _ => None,
        };
        set(next.expect("a place in the case"), rest, value);
    }
    let value = format!("x = {value}").parse::<Table>().expect("a value")["x"].clone();
    let mut table = Toml::Table(CASE.parse().expect("TOML"));
    set(&mut table, path, value);
    let text = toml::to_string(&table).expect("TOML");
    case::parse(&text, "case.toml").unwrap_or_else(|error| panic!("{path:?}: {error}"))
}

fn json(assessment: &Assessment) -> Json {
    serde_json::to_value(assessment).expect("text keys only")
}

/// The key paths of all numbers, words and nulls below a value, except where `skip` says so.
fn leaves(value: &Json, path: &str, skip: &dyn Fn(&str) -> bool, into: &mut Vec<String>) {
    let below = |key: &str| format!("{path}.{key}");
    match value {
        _ if skip(path) => {}
        Json::Object(table) => {
            for (key, value) in table {
                leaves(value, &below(key), skip, into);
            }
        }
        Json::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                let week = value["at_weeks"].as_f64().map(|week| week.to_string());
                let name = value["name"].as_str().map(str::to_owned).or(week);
                let key = name.unwrap_or_else(|| (index + 1).to_string());
                leaves(value, &below(&key), skip, into);
            }
        }
        _ => into.push(path.trim_start_matches('.').to_owned()),
    }
}

/// What stands at a key path that [`leaves`] gave, of results that may be laid out otherwise.
fn at<'v>(value: &'v Json, path: &str) -> Option<&'v Json> {
    if path.is_empty() {
        return Some(value);
    }
    let under = |key: &str, next: &'v Json| {
        let rest = path.strip_prefix(key)?;
        let rest = rest.strip_prefix('.').or(rest.is_empty().then_some(""))?;
        at(next, rest)
    };
    match value {
        Json::Object(table) => table.iter().find_map(|(key, next)| under(key, next)),
        Json::Array(list) => list.iter().enumerate().find_map(|(index, next)| {
            let week = next["at_weeks"].as_f64().map(|week| week.to_string());
            let name = next["name"].as_str().map(str::to_owned).or(week);
            under(&name.unwrap_or_else(|| (index + 1).to_string()), next)
        }),
        _ => None,
    }
}

/// A study solves only what it keeps, several loads at once: rounding alone may differ.
fn assert_same(row: &BTreeMap<String, String>, alone: &Json, outputs: &[String], what: &str) {
    assert_eq!(row["failure"], "", "{what}");
    for output in outputs {
        let cell = &row[output];
        match at(alone, output).unwrap_or(&Json::Null) {
            Json::Null => assert_eq!(cell, "", "{what}: {output}"),
            Json::String(word) => assert_eq!(cell, word, "{what}: {output}"),
            Json::Bool(yes) => assert_eq!(*cell, yes.to_string(), "{what}: {output}"),
            number => {
                let expected = number.as_f64().expect("a number");
                let found: f64 = cell
                    .parse()
                    .unwrap_or_else(|_| panic!("{what}: {output} '{cell}'"));
                let near = (found - expected).abs() <= 1e-9 * expected.abs() + 1e-12;
                assert!(
                    near,
                    "{what}: {output}: {found} in the study, {expected} alone"
                );
            }
        }
    }
}

/// What samples share, such as the unbroken bone, must not be that of another sample.
#[test]
fn whatever_is_varied_a_study_gives_the_numbers_of_single_runs() {
    let schema: Json = serde_json::from_str(&case::schema_json()).expect("JSON");
    for table in ["PatientTable", "BoneTable"] {
        let keys = schema["$defs"][table]["properties"]
            .as_object()
            .expect("keys");
        // Stations are a list that the base file must have.
        for key in keys.keys().filter(|key| *key != "station") {
            let varied = VARIED
                .iter()
                .any(|(path, _)| path.last() == Some(&key.as_str()));
            assert!(varied, "{key} is not varied here");
        }
    }
    let folder = scratch("study-keys");
    let base = case::parse(CASE, "case.toml").expect("nothing wrong");
    let base = json(&assess(&base, Mechanics::Linear).expect("it can be solved"));
    for (index, (path, values)) in VARIED.into_iter().enumerate() {
        // The parts of one construct by themselves, of the other the whole.
        let whole = ["plate 3.5", "nail"][index % 2];
        let skip = |path: &str| {
            let mut keys = path.trim_start_matches('.').splitn(2, '.');
            let (first, rest) = (keys.next().unwrap_or(""), keys.next().unwrap_or(""));
            let known = [
                "",
                "patient",
                "fracture",
                "activities",
                "intact",
                "constructs",
            ];
            let by_itself = first == "constructs" && !rest.starts_with(whole);
            !known.contains(&first)
                || path.contains(".samples.") && !path.contains(".samples.50")
                || by_itself && WHOLE.iter().any(|part| rest.ends_with(part))
                || rest.ends_with(".name")
        };
        let mut outputs = Vec::new();
        leaves(&base, "", &skip, &mut outputs);
        outputs.retain(|path| path != "constructs");
        assert!(outputs.len() > 200, "{}", outputs.len());
        let rows = rows(&folder, path, values, &outputs);
        assert_eq!(rows.len(), 2);
        for (row, value) in rows.iter().zip(values) {
            let alone = assess(&with(path, value), Mechanics::Linear).expect("it can be solved");
            let what = format!("{} = {value}", path.join("."));
            assert_same(row, &json(&alone), &outputs, &what);
        }
    }
}

#[test]
fn weeks_and_purchase_are_kept_as_compare_gives_them() {
    let folder = scratch("study-weeks");
    let (path, values) = (&["fracture", "gap_mm"][..], ["3", "6"]);
    let alone = |value| {
        let case = with(path, value);
        let mut assessed = assess(&case, Mechanics::Linear).expect("it can be solved");
        add_weeks(&mut assessed, &case, Mechanics::Linear).expect("it can be solved");
        sweep_purchase(&mut assessed, &case);
        json(&assessed)
    };
    let skip = |path: &str| {
        let mut keys = path.split('.').skip(1);
        let (first, rest) = (keys.next(), keys.collect::<Vec<_>>().join("."));
        let below = rest.strip_prefix("nail").unwrap_or("no");
        let mut part = below.split('.').skip(1);
        first.is_some_and(|first| first != "constructs")
            || !rest.is_empty() && below == "no"
            || part.next().is_some_and(|part| !MORE.contains(&part))
    };
    let singles = values.map(alone);
    let mut outputs = Vec::new();
    leaves(&singles[1], "", &skip, &mut outputs);
    let named = |part: &str| outputs.iter().filter(|path| path.contains(part)).count();
    assert!(
        MORE.iter().all(|part| named(&format!("nail.{part}.")) > 5),
        "{outputs:?}"
    );
    let rows = rows(&folder, path, values, &outputs);
    for (row, (alone, value)) in rows.iter().zip(singles.iter().zip(values)) {
        assert_same(row, alone, &outputs, value);
    }
}
