//! `clavibeam solve` and `clavibeam schema` as a user runs them.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub fn clavibeam(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_clavibeam"))
        .args(arguments)
        .output()
        .expect("the program starts")
}

pub fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("the program writes UTF-8")
}

pub fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("the program writes UTF-8")
}

/// A path of this test's own for a file that it writes.
fn scratch(name: &str) -> PathBuf {
    std::env::temp_dir().join(format!("clavibeam-{}-{name}", std::process::id()))
}

#[test]
fn a_mechanism_names_the_node() {
    let path = scratch("mechanism.toml");
    let text = std::fs::read_to_string("models/frames/cantilever.toml").unwrap();
    let loose = text.replace(r#""uz", "rx", "ry", "rz"]"#, r#""uz", "ry", "rz"]"#);
    assert_ne!(loose, text);
    std::fs::write(&path, loose).unwrap();
    let output = clavibeam(&["solve", path.to_str().unwrap()]);
    std::fs::remove_file(&path).unwrap();
    assert_eq!(output.status.code(), Some(3));
    let message = stderr(&output);
    for part in ["error: ", "'root'", "'tip'", "free to turn about x"] {
        assert!(message.contains(part), "{message}");
    }
}

#[test]
fn unreadable_files() {
    let output = clavibeam(&["solve", "nowhere.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).starts_with("error: nowhere.toml: No such file"));

    let path = scratch("latin1.toml");
    std::fs::write(&path, b"title = \"caf\xe9\"\n").unwrap();
    let output = clavibeam(&["solve", path.to_str().unwrap()]);
    std::fs::remove_file(&path).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        stderr(&output),
        format!(
            "error: {}: byte 13 on line 1 is not UTF-8 text\n",
            path.display()
        )
    );
}

#[test]
fn command_line_mistakes_exit_with_2() {
    for arguments in [
        &["solv"][..],
        &["solve"],
        &["solve", "a.toml", "--jsn", "x"],
        &["schema", "case-file"],
    ] {
        let output = clavibeam(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).starts_with("error: "), "{arguments:?}");
    }
}

#[test]
fn results_that_cannot_be_written_exit_with_1() {
    let output = clavibeam(&[
        "solve",
        "models/frames/cantilever.toml",
        "--json",
        "nowhere/results.json",
    ]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).starts_with("error: nowhere/results.json: "));
}

#[test]
fn help_shows_an_example() {
    for command in ["solve", "schema"] {
        let output = clavibeam(&[command, "--help"]);
        assert_eq!(output.status.code(), Some(0));
        assert!(stdout(&output).contains(&format!("example: clavibeam {command} ")));
    }
}

/// The tables of every model: at most 100 columns, round-off shown as 0, references agreed.
#[test]
fn tables_are_narrow_and_free_of_noise() {
    for entry in std::fs::read_dir("models/frames").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "toml") {
            continue;
        }
        let output = clavibeam(&["solve", path.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        let text = stdout(&output);
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{}: {line}", path.display());
        }
        let tables = text
            .lines()
            .filter(|line| line.starts_with("    ") && !line.contains(':'));
        for line in tables {
            assert!(!line.contains("e-1"), "{}: {line}", path.display());
        }
        assert!(text.contains(": agrees") && !text.contains("DIFFERS"));
        assert!(text.contains("self-check: residual "));
    }
}

#[test]
fn cantilever_in_words() {
    let output = clavibeam(&["solve", "models/frames/cantilever.toml"]);
    let text = stdout(&output);
    let expected = "\
Cantilever with a force or a moment at its tip

load case: tip force

  displacement and rotation, global axes
    node  ux mm  uy mm    uz mm  rx rad    ry rad  rz rad
    root      0      0   0            0  0              0
    tip       0      0  -0.6207       0  0.009260       0

  reactions on the frame, global axes
    support  Fx N  Fy N   Fz N  Mx N·mm  My N·mm  Mz N·mm
    root        0     0  100.0        0   -10000        0

  section forces, local axes
    member end  axial N  Vy N    Vz N  T N·mm  My N·mm  Mz N·mm
    rod start         0     0  -100.0       0    10000        0
    rod end           0     0  -100.0       0        0        0

  largest axial stress
    member  peak MPa  at mm
    rod        101.9      0

  self-check: residual ";
    assert!(text.starts_with(expected), "{text}");
}

#[test]
fn json_document() {
    let output = clavibeam(&["solve", "models/frames/rod_in_plugs.toml", "--json", "-"]);
    assert_eq!(output.status.code(), Some(0));
    let document: serde_json::Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(document["format"], "clavibeam-solve-1");
    let case = &document["load_cases"][0];
    assert_eq!(case["name"], "tip force");
    let tip = &case["nodes"]["tip"];
    assert!((tip["displacement_mm"][2].as_f64().unwrap() + 2.754).abs() < 1e-3);
    assert!(tip["rotation_rad"].is_array());
    assert!(case["nodes"]["rod#3"].is_object());
    let root = &case["reactions"]["root"];
    assert!((root["force_n"][2].as_f64().unwrap() - 10.0).abs() < 1e-8);
    assert!((root["moment_nmm"][1].as_f64().unwrap() + 1400.0).abs() < 1e-6);
    let bone = &case["members"]["lateral bone"];
    for end in ["start", "end"] {
        assert!(bone["end_forces"][end]["force_n"].is_array());
        assert!(bone["end_forces"][end]["moment_nmm"].is_array());
    }
    assert!(bone["peak_stress_mpa"].as_f64().unwrap() > 0.0);
    assert!(case["couplings"]["plug at 15"]["force_n"].is_array());
    assert!(case["residual"].as_f64().unwrap() < 1e-8);
    assert!(document["smallest_pivot_ratio"].as_f64().unwrap() > 1e-11);
    assert_eq!(document["references"][0]["agrees"], true);
}

#[test]
fn contact_in_words_and_in_the_document() {
    let model = "models/frames/block_on_rough_face.toml";
    let text = stdout(&clavibeam(&["solve", model]));
    let table = "
  contact, stops and grips
    contact        pressure N  slid mm
    sliding  face       100.0   0.1997
";
    assert!(text.contains(table), "{text}");
    assert!(text.contains("\n  settled in ") && !text.contains("trace"));

    let document = stdout(&clavibeam(&["solve", model, "--json", "-"]));
    let document: serde_json::Value = serde_json::from_str(&document).unwrap();
    let states = ["holding", "sliding", "holding"];
    for (case, state) in document["load_cases"]
        .as_array()
        .unwrap()
        .iter()
        .zip(states)
    {
        assert_eq!(case["contacts"]["face"]["state"], state);
        assert!((case["contacts"]["face"]["pressure_n"].as_f64().unwrap() - 100.0).abs() < 1e-6);
        let settling = &case["settling"];
        let unbalanced = settling["unbalanced"].as_array().unwrap();
        assert_eq!(settling["iterations"], unbalanced.len());
        assert!(unbalanced.last().unwrap().as_f64().unwrap() <= 1e-9);
        assert!(settling["factorisations"].is_u64());
    }
    let first = &document["load_cases"][0]["settling"];
    assert!(first["factorisations"].as_u64().unwrap() > 0);
}

#[test]
fn trace_shows_every_iteration() {
    let model = "models/frames/cantilever_and_stop.toml";
    let text = stdout(&clavibeam(&["solve", model, "--trace"]));
    let trace = "\ntrace of load case: stopped\n  iteration  unbalanced share\n          1 ";
    assert!(text.contains(trace), "{text}");

    let model = "models/frames/cantilever.toml";
    let linear = stdout(&clavibeam(&["solve", model, "--trace"]));
    assert!(!linear.contains("trace") && !linear.contains("settled in"));
}

/// One file a load case; the points carry the solved motion, the last of the first file
/// that of the tip.
#[test]
fn vtk_files() {
    let path = scratch("shape.vtu");
    let output = clavibeam(&[
        "solve",
        "models/frames/cantilever.toml",
        "--vtk",
        path.to_str().unwrap(),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let with_case = |name: &str| scratch(&format!("shape-{name}.vtu"));
    let [force, moment] = ["1-tip-force", "2-tip-moment"].map(|name| {
        let path: PathBuf = with_case(name);
        let text = std::fs::read_to_string(&path).unwrap();
        std::fs::remove_file(&path).unwrap();
        text
    });
    assert!(!Path::new(&path).exists());
    assert_ne!(force, moment);
    let array = |name: &str| -> Vec<f64> {
        let start = force.find(&format!("Name=\"{name}\"")).unwrap();
        let body = &force[start..];
        let body = &body[body.find('>').unwrap() + 1..body.find("</DataArray>").unwrap()];
        body.split_whitespace()
            .map(|number| number.parse().unwrap())
            .collect()
    };
    assert!(force.contains(r#"NumberOfPoints="9" NumberOfCells="1""#));
    let displacement = array("displacement_mm");
    assert_eq!(displacement.len(), 27);
    assert!((displacement[26] + 0.62072356956665).abs() < 1e-9);
    let moments = array("section_moment_nmm");
    assert!((moments[1] - 10_000.0).abs() < 1e-6 && moments[25].abs() < 1e-6);
    assert_eq!(array("position_mm")[24..], [100.0, 0.0, 0.0]);
    assert_eq!(array("offsets"), [9.0]);
    assert_eq!(array("types"), [4.0]);
}

#[test]
fn schema_of_frame_files() {
    let output = clavibeam(&["schema", "frame"]);
    assert_eq!(output.status.code(), Some(0));
    let schema: serde_json::Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(schema["title"], "clavibeam frame file");
    assert_eq!(schema["additionalProperties"], false);
    let diameter = &schema["$defs"]["CircleTable"]["properties"]["diameter_mm"];
    assert_eq!(diameter["exclusiveMinimum"], 0);
}
