//! `clavibeam solve` and `clavibeam schema` as a user runs them.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

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

/// A path of this test's own for a file that it writes.
fn scratch(name: &str) -> PathBuf {
    std::env::temp_dir().join(format!("clavibeam-{}-{name}", std::process::id()))
}

/// Name of the file under `tests/cases/frame/`, exit code, and each line of the message
/// without the path that begins it.
const REFUSALS: &[(&str, i32, &[&str])] = &[
    (
        "analysis_not_yet",
        2,
        &[
            "35: analysis is not a key (keys here: coupling, expect, foundation, interlayer, load_case, material, member, node, section, support, title)",
        ],
    ),
    (
        "arc_beside_via",
        2,
        &["21: member[1].arc_centre_mm = [50, 50, 0] must not stand beside via_mm"],
    ),
    (
        "arc_centre_between_ends",
        2,
        &["21: member[1].arc_centre_mm = [50, 0, 0] must not lie on the line through both ends"],
    ),
    (
        "arc_centre_off",
        2,
        &[
            "21: member[1].arc_centre_mm = [40, 40, 0] must be equally far from both ends: it is 56.568542 and 72.111026 mm away",
        ],
    ),
    (
        "canal_wider_than_bone",
        2,
        &["11: section.rod.hollow-ellipse.inner_depth_mm = 8 must be less than depth_mm"],
    ),
    (
        "coupling_axis_along_up",
        2,
        &[
            "27: coupling[1].x_axis = [0, 0, 1] must not lie along up (default [0, 0, 1]), nor be zero",
        ],
    ),
    (
        "coupling_of_one_node",
        2,
        &[r#"26: coupling[1].between = ["tip", "tip"] must be two different nodes"#],
    ),
    (
        "coupling_without_springs",
        2,
        &["24: coupling[1] must have a spring in translations_n_per_mm or rotations_nmm_per_rad"],
    ),
    (
        "default_up_along_the_member",
        2,
        &["18: member[1].up = [0, 0, 1] (default) must not lie along the member, nor be zero"],
    ),
    (
        "expect_off_the_member",
        2,
        &["38: expect[1].at_mm = 101 must lie on the member, which is 100 mm long"],
    ),
    (
        "expect_reaction_of_a_member",
        2,
        &[r#"38: expect[1].quantity = "reaction_force_x_n" needs a node, not a member"#],
    ),
    (
        "expect_stress_of_a_node",
        2,
        &[r#"38: expect[1].quantity = "peak_stress_mpa" needs a member, not a node"#],
    ),
    (
        "expect_without_place",
        2,
        &["35: expect[1] must have one of node, member"],
    ),
    (
        "heat_without_expansion",
        2,
        &[
            "37: load_case[1].stress_free[1].temperature_k = 50 needs thermal_expansion_per_k in the member's material",
        ],
    ),
    (
        "interlayer_of_unequal_members",
        2,
        &[
            r#"33: interlayer[1].members = ["rod", "plate"] must be two different members with equal numbers of elements: they have 1 and 2"#,
        ],
    ),
    (
        "line_load_reversed",
        2,
        &["38: load_case[1].line[1].from_mm = 60 must be less than 20, where the load ends"],
    ),
    (
        "load_off_the_member",
        2,
        &[
            "37: load_case[1].point[1].at_mm = 100.5 must lie on the member, which is 100 mm long",
            "44: load_case[1].line[1].to_mm = 120 must lie on the member, which is 100 mm long",
        ],
    ),
    (
        "material_without_shear",
        2,
        &["3: material.titanium must have poisson_ratio, shear_modulus_gpa or both"],
    ),
    (
        "member_from_node_to_itself",
        2,
        &[r#"20: member[1].between = ["tip", "tip"] must be two different nodes"#],
    ),
    (
        "member_of_no_length",
        2,
        &[r#"20: member[1].between = ["root", "tip"] must not be at one place"#],
    ),
    (
        "movement_of_a_free_node",
        2,
        &["37: load_case[1].movement[1].uz_mm = 1 needs a support that fixes uz"],
    ),
    (
        "no_load_case",
        2,
        &["1: load_case is missing: a list of tables, each headed [[load_case]]"],
    ),
    (
        "no_shape",
        2,
        &[
            "7: section.rod must have one of circle, tube, ellipse, hollow-ellipse, rectangle, polygon, properties",
        ],
    ),
    (
        "node_name_with_hash",
        2,
        &[r#"15: node[2].name = "tip#1" must not contain #: that is for nodes inside members"#],
    ),
    (
        "node_that_nothing_joins",
        2,
        &[r#"19: node[3].name = "stray" must be joined by a member or a coupling"#],
    ),
    (
        "polygon_crosses_itself",
        2,
        &[
            "7: section.rod.polygon does not bound a section: the outer contour crosses or touches itself: give each point once, in order around it",
        ],
    ),
    (
        "product_moment_too_large",
        2,
        &[
            "11: section.rod.properties.product_moment_mm4 = -6 must be less in size than the root of the product of the second moments",
        ],
    ),
    (
        "several_names",
        2,
        &[
            r#"20: member[1].between[2] = "tipp" must be the name of a node: did you mean "tip"?"#,
            r#"22: member[1].material = "titan" must be the name of a material: did you mean "titanium"?"#,
            r#"25: support[1].node = "rot" must be the name of a node: did you mean "root"?"#,
        ],
    ),
    (
        "several_problems",
        2,
        &[
            "4: material.titanium.young_modulus_gpa = 110 is not a key: did you mean youngs_modulus_gpa? (keys here: poisson_ratio, proof_stress_mpa, shear_modulus_gpa, thermal_expansion_per_k, youngs_modulus_gpa)",
            "8: section.rod.circle.diameter_mm = -10 must be greater than 0",
        ],
    ),
    (
        "support_of_nothing",
        2,
        &["35: support[2] must have fixed freedoms or springs"],
    ),
    (
        "taper_between_shapes",
        2,
        &[
            r#"26: member[1].section_end = "flat" must be of the same shape as section, neither polygon nor properties"#,
        ],
    ),
    (
        "tube_without_wall",
        2,
        &["9: section.rod.tube.inner_diameter_mm = 10 must be less than outer_diameter_mm"],
    ),
    (
        "two_load_cases_of_one_name",
        2,
        &[r#"36: load_case[2].name = "tip force" is the name of an earlier load case"#],
    ),
    (
        "two_members_of_one_name",
        2,
        &[r#"36: member[2].name = "rod" is the name of an earlier member"#],
    ),
    (
        "two_nodes_of_one_name",
        2,
        &[
            r#"15: node[2].name = "root" is the name of an earlier node"#,
            r#"20: member[1].between[2] = "tip" must be the name of a node (known: root)"#,
            r#"32: load_case[1].nodal[1].node = "tip" must be the name of a node (known: root)"#,
        ],
    ),
    (
        "two_shapes",
        2,
        &[
            "7: section.rod has circle and rectangle: must have only one of circle, tube, ellipse, hollow-ellipse, rectangle, polygon, properties",
        ],
    ),
    (
        "unknown_freedom",
        2,
        &[r#"26: support[1].fixed[6] = "rw" must be one of "ux", "uy", "uz", "rx", "ry", "rz""#],
    ),
    (
        "unknown_key",
        2,
        &[
            "8: section.rod.circle.diametre_mm = 10 is not a key: did you mean diameter_mm? (keys here: diameter_mm)",
        ],
    ),
    (
        "unknown_load_case",
        2,
        &[
            r#"36: expect[1].load_case = "tip forces" must be the name of a load case: did you mean "tip force"?"#,
        ],
    ),
    (
        "unknown_material",
        2,
        &[r#"22: member[1].material = "steel" must be the name of a material (known: titanium)"#],
    ),
    (
        "unknown_member",
        2,
        &[r#"36: load_case[1].line[1].member = "nail" must be the name of a member (known: rod)"#],
    ),
    (
        "unknown_node",
        2,
        &[
            r#"32: load_case[1].nodal[1].node = "tipp" must be the name of a node: did you mean "tip"?"#,
        ],
    ),
    (
        "unknown_section",
        2,
        &[r#"21: member[1].section = "rods" must be the name of a section: did you mean "rod"?"#],
    ),
    (
        "unknown_section_end",
        2,
        &[r#"22: member[1].section_end = "thin" must be the name of a section (known: rod)"#],
    ),
    (
        "up_along_the_member",
        2,
        &["23: member[1].up = [2, 0, 0] must not lie along the member, nor be zero"],
    ),
    (
        "via_twice_at_one_place",
        2,
        &["21: member[1].via_mm = [[50, 0, 0], [50, 0, 0]] must not have two points at one place"],
    ),
];

#[test]
fn every_refused_frame_says_why() {
    for (name, code, expected) in REFUSALS {
        let path = format!("tests/cases/frame/{name}.toml");
        let output = clavibeam(&["solve", &path]);
        let expected: Vec<String> = expected
            .iter()
            .map(|line| format!("{path}:{line}"))
            .collect();
        assert_eq!(stderr(&output), format!("error: {}\n", expected.join("\n")));
        assert_eq!(output.status.code(), Some(*code), "{path}");
        assert_eq!(stdout(&output), "", "{path}");
    }
}

#[test]
fn every_file_of_refused_frames_is_listed() {
    let files: BTreeSet<String> = std::fs::read_dir("tests/cases/frame")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let listed: BTreeSet<String> = REFUSALS.iter().map(|row| row.0.to_owned()).collect();
    assert_eq!(files, listed);
}

/// The pivot ratio of a mechanism is round-off and not to be compared.
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
    let message = format!(
        "error: {}: node 'tip' is free to turn about x, and 'root' with it: \
         a support, member or coupling is missing",
        path.display()
    );
    let found = stderr(&output).replace("node 'root' is", "node 'tip' is");
    assert!(
        found
            .replace("'tip' with it", "'root' with it")
            .starts_with(&message),
        "{found}"
    );
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
