//! `clavibeam compare`, `new` and `schema case` as a user runs them.

use std::path::PathBuf;
use std::process::{Command, Output};

use serde_json::Value;

fn clavibeam(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_clavibeam"))
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("the program writes UTF-8")
}

fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("the program writes UTF-8")
}

/// A folder of this test's own, emptied.
fn scratch(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("clavibeam-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for this test");
    folder
}

fn shipped_cases() -> Vec<String> {
    let mut cases: Vec<String> = std::fs::read_dir("models")
        .unwrap()
        .map(|entry| entry.unwrap().path().display().to_string())
        .filter(|path| path.ends_with(".toml"))
        .collect();
    cases.sort();
    cases
}

/// No number of a JSON document may be absent for not being a number: those are `null`.
fn assert_complete(value: &Value, path: &str) {
    const MAY_BE_NULL: [&str; 26] = [
        "compression",
        "opened_by_putting_in",
        "lost_length_mm",
        "poor_beyond_mm",
        "holds_push_n",
        "parts_at_n",
        "ahead",
        "set_turns",
        "turns",
        "proof_stress_mpa",
        "hardware",
        "weakest",
        "nail_slip_mm",
        "nail_wall_force_n",
        "callus_modulus_mpa",
        "canal_fill",
        "working_length_mm",
        "pull_out_margin",
        "static_margin",
        "fatigue_margin_1e5",
        "fatigue_margin_1e6",
        "fatigue_margin_1e7",
        "bone_moment_nm",
        "device_moment_nm",
        "bone_stress_mpa",
        "device_stress_mpa",
    ];
    match value {
        Value::Object(fields) => {
            for (key, value) in fields {
                assert!(
                    !value.is_null() || MAY_BE_NULL.contains(&key.as_str()),
                    "{path}.{key} is null"
                );
                assert_complete(value, &format!("{path}.{key}"));
            }
        }
        Value::Array(values) => values.iter().for_each(|value| assert_complete(value, path)),
        _ => {}
    }
}

#[test]
fn every_shipped_case_compares() {
    let cases = shipped_cases();
    assert!(cases.len() >= 3, "{cases:?}");
    for case in &cases {
        let output = clavibeam(&["compare", case]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        let text = stdout(&output);
        let widest = text.lines().map(|line| line.chars().count()).max();
        assert!(widest <= Some(100), "{case}: {widest:?} columns");
        assert!(!text.contains("NaN") && !text.contains(" inf "), "{text}");

        let output = clavibeam(&["compare", case, "--json", "-"]);
        let json: Value = serde_json::from_str(&stdout(&output)).expect("one JSON document");
        assert_eq!(json["format"], "clavibeam-compare-1");
        assert!(json["constructs"].as_array().unwrap().len() >= 3);
        assert_complete(&json, "");
    }
}

#[test]
fn purchase_is_swept_where_asked() {
    let folder = scratch("purchase");
    let case = "models/roof-tiler-comminuted.toml";
    let html = folder.join("report.html");
    let output = clavibeam(&[
        "compare",
        case,
        "--purchase",
        "--json",
        "-",
        "--html",
        html.to_str().unwrap(),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let json: Value = serde_json::from_str(&stdout(&output)).expect("one JSON document");
    assert_complete(&json, "");
    let constructs = json["constructs"].as_array().unwrap();
    let sweeps: Vec<&Value> = constructs
        .iter()
        .filter_map(|construct| construct["purchase_sweep"].as_array())
        .flatten()
        .collect();
    for varied in ["tip", "plate_length", "screws_per_side"] {
        assert!(
            sweeps.iter().any(|sweep| sweep["varied"] == varied),
            "{varied}"
        );
    }
    let page = std::fs::read_to_string(&html).unwrap();
    assert!(page.contains("<h2>Purchase</h2>") && page.contains("What more purchase gains"));

    let text = stdout(&clavibeam(&["compare", case, "--purchase"]));
    let widest = text.lines().map(|line| line.chars().count()).max();
    assert!(
        widest <= Some(100) && text.contains("tip further into"),
        "{widest:?}"
    );
    let plain = stdout(&clavibeam(&["compare", case]));
    assert!(!plain.contains("tip further into"));
}

#[test]
fn report_and_pictures_are_written_where_asked_and_nowhere_else() {
    let folder = scratch("pictures");
    let html = folder.join("report.html");
    let plots = folder.join("deep/er");
    let output = clavibeam(&[
        "compare",
        "models/schoolchild-transverse.toml",
        "--html",
        html.to_str().unwrap(),
        "--plots",
        plots.to_str().unwrap(),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(std::fs::read_to_string(&html).unwrap().contains("</html>"));
    let count = |ending: &str| {
        let files = std::fs::read_dir(&plots).unwrap();
        let named = files.map(|file| file.unwrap().path().display().to_string());
        named.filter(|path| path.ends_with(ending)).count()
    };
    assert!(count(".svg") >= 4 && count(".svg") == count(".png"));
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 2);
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn defaults_are_listed_with_their_sources() {
    let output = clavibeam(&["compare", "models/potter-transverse.toml", "--defaults"]);
    let text = stdout(&output);
    let line = text
        .lines()
        .find(|line| line.starts_with("fracture.gap_mm "))
        .expect("the gap is a default");
    assert!(
        line.contains("= 0.5 ") && line.contains("(assumption: "),
        "{line}"
    );
}

#[test]
fn a_missed_limit_fails_only_when_asked() {
    let case = "models/roof-tiler-comminuted.toml";
    assert_eq!(clavibeam(&["compare", case]).status.code(), Some(0));
    let asked = clavibeam(&["compare", case, "--fail-on-limit"]);
    assert_eq!(asked.status.code(), Some(1));
    assert!(asked.stderr.is_empty());
}

#[test]
fn bad_input_is_2_and_says_where() {
    let output = clavibeam(&["compare", "tests/cases/screw_in_no_hole.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let message = stderr(&output);
    assert!(
        message.starts_with("error: tests/cases/screw_in_no_hole.toml:"),
        "{message}"
    );
    let missing = clavibeam(&["compare", "tests/cases/not_there.toml"]);
    assert_eq!(missing.status.code(), Some(2));
    let unknown = clavibeam(&["compare", "models/potter-transverse.toml", "--colour"]);
    assert_eq!(unknown.status.code(), Some(2));
}

/// A file for another command is told as such, not by all that it lacks.
#[test]
fn a_file_of_another_kind_names_its_command() {
    let case = "models/potter-transverse.toml";
    let frame = "models/frames/cantilever.toml";
    let study = "models/studies/plate-indices.toml";
    let out = ["--out", "never-written.csv"];
    for (command, file, said) in [
        (
            "compare",
            frame,
            "is a frame file, not a case file: read it with clavibeam solve",
        ),
        (
            "compare",
            study,
            "is a study, not a case file: read it with clavibeam sweep",
        ),
        (
            "solve",
            case,
            "is a case file, not a frame file: read it with clavibeam compare",
        ),
        (
            "sweep",
            case,
            "is a case file, not a study: read it with clavibeam compare",
        ),
        (
            "handcalc",
            study,
            "is a study, not a frame file: read it with clavibeam sweep",
        ),
    ] {
        let options = if command == "sweep" { &out[..] } else { &[] };
        let output = clavibeam(&[&[command, file], options].concat());
        assert_eq!(output.status.code(), Some(2));
        assert_eq!(stderr(&output), format!("error: {file}: {said}\n"));
    }
}

#[test]
fn a_folder_that_cannot_be_made_is_1() {
    let folder = scratch("file-in-the-way");
    let file = folder.join("file");
    std::fs::write(&file, "").unwrap();
    let output = clavibeam(&[
        "compare",
        "models/potter-transverse.toml",
        "--plots",
        file.to_str().unwrap(),
    ]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).starts_with("error: "));
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_new_case_compares_and_is_never_written_over() {
    let folder = scratch("new");
    for preset in clavibeam::anatomy::PRESET_NAMES {
        let file = folder.join(format!("{preset}.toml"));
        let path = file.to_str().unwrap();
        assert_eq!(clavibeam(&["new", preset, path]).status.code(), Some(0));
        assert_eq!(clavibeam(&["compare", path]).status.code(), Some(0));
        let again = clavibeam(&["new", preset, path]);
        assert_eq!(again.status.code(), Some(1));
        let message = stderr(&again);
        assert!(
            message.contains("is there already and is kept"),
            "{message}"
        );
    }
    assert_eq!(clavibeam(&["new", "giant"]).status.code(), Some(2));
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn the_schema_of_a_case_is_json() {
    let output = clavibeam(&["schema", "case"]);
    let schema: Value = serde_json::from_str(&stdout(&output)).expect("a JSON document");
    assert!(schema["properties"]["construct"].is_object());
}
