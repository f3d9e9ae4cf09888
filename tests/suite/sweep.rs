//! `clavibeam sweep` and `gather` as a user runs them.

mod plans;
mod shipped;
mod trouble;

use std::f64::consts::PI;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::Duration;

use approx::assert_relative_eq;

/// Rods of five diameters and four metals.
const CANTILEVER: &str = r#"
title = "Rod and metal"
frame = "CANTILEVER"
[[input]]
key = "section.rod.circle.diameter_mm"
column = "diameter_mm"
range = { from = 2.0, to = 4.0, count = 5 }
[[input]]
key = "material.titanium.youngs_modulus_gpa"
column = "youngs_modulus_gpa"
values = [70, 105, 110, 200]
[plan.grid]
[[output]]
key = "load_cases.tip force.nodes.tip.displacement_mm.3"
column = "down_mm"
"#;

const NAIL: &str = r#"
title = "Nail and gap"
case = "CASE"
[[input]]
key = "construct.elastic nail 3.0.nail.diameter_mm"
column = "diameter_mm"
range = { from = 2.0, to = 3.5 }
[[input]]
key = "fracture.gap_mm"
column = "gap_mm"
distribution = { normal = { mean = 8, standard_deviation = 2, at_least = 3, at_most = 13 } }
[plan.latin-hypercube]
samples = 60
seed = 3
[[output]]
key = "constructs.elastic nail 3.0.stiffness.torsion_nm_per_deg"
column = "torsion_nm_per_deg"
"#;

pub(super) fn clavibeam(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_clavibeam"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the program starts")
}

/// Runs what must succeed.
pub(super) fn done(folder: &Path, arguments: &[&str]) {
    let output = clavibeam(folder, arguments);
    let message = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {message}");
}

/// Runs what must be refused, and gives the message.
pub(super) fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = clavibeam(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    String::from_utf8(output.stderr).expect("the program writes UTF-8")
}

/// A folder of this test's own with a study in it.
pub(super) fn scratch(name: &str, study: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("clavibeam-{}-{name}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder for this test");
    let root = env!("CARGO_MANIFEST_DIR");
    let study = study
        .replace(
            "CASE\"",
            &format!("{root}/models/roof-tiler-comminuted.toml\""),
        )
        .replace(
            "CANTILEVER",
            &format!("{root}/models/frames/cantilever.toml"),
        );
    fs::write(folder.join("study.toml"), study).expect("room for a study");
    folder
}

pub(super) fn bytes(folder: &Path, name: &str) -> Vec<u8> {
    fs::read(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn table(folder: &Path, name: &str) -> Vec<csv::StringRecord> {
    let mut reader = csv::Reader::from_path(folder.join(name)).expect("a table was written");
    reader
        .records()
        .map(|row| row.expect("whole rows"))
        .collect()
}

#[test]
fn the_table_does_not_depend_on_threads_or_parts() {
    let folder = scratch("sweep-parts", NAIL);
    done(
        &folder,
        &["sweep", "study.toml", "--out", "one.csv", "--threads", "1"],
    );
    done(
        &folder,
        &[
            "sweep",
            "study.toml",
            "--out",
            "three.csv",
            "--threads",
            "3",
        ],
    );
    assert_eq!(bytes(&folder, "one.csv"), bytes(&folder, "three.csv"));
    assert_eq!(table(&folder, "one.csv").len(), 60);

    for part in ["1/3", "2/3", "3/3"] {
        let out = format!("{}.part", &part[..1]);
        done(
            &folder,
            &["sweep", "study.toml", "--part", part, "--out", &out],
        );
    }
    done(
        &folder,
        &[
            "gather",
            "2.part",
            "3.part",
            "1.part",
            "--out",
            "joined.csv",
        ],
    );
    assert_eq!(bytes(&folder, "joined.csv"), bytes(&folder, "one.csv"));
    assert_eq!(
        bytes(&folder, "joined.csv.meta.json"),
        bytes(&folder, "one.csv.meta.json")
    );
}

#[test]
fn a_sweep_killed_at_any_moment_goes_on_where_it_stopped() {
    let folder = scratch(
        "sweep-killed",
        &NAIL.replace("samples = 60", "samples = 1500"),
    );
    done(&folder, &["sweep", "study.toml", "--out", "whole.csv"]);
    let journal = folder.join("again.csv.journal");
    let length = || fs::metadata(&journal).map_or(0, |journal| journal.len());
    for _ in 0..2 {
        let before = length();
        let mut running = Command::new(env!("CARGO_BIN_EXE_clavibeam"))
            .current_dir(&folder)
            .args(["sweep", "study.toml", "--out", "again.csv"])
            .stdout(Stdio::null())
            .spawn()
            .expect("the program starts");
        while length() < before + 5000 && running.try_wait().expect("a child").is_none() {
            std::thread::sleep(Duration::from_millis(2));
        }
        running.kill().expect("a child that can be killed");
        running.wait().expect("a child");
        assert!(length() > before, "killed too late to show anything");
    }
    // What was being written when it was killed.
    let mut torn = fs::OpenOptions::new()
        .append(true)
        .open(&journal)
        .expect("a journal");
    torn.write_all(b"1499,2.5").expect("room");
    drop(torn);
    done(&folder, &["sweep", "study.toml", "--out", "again.csv"]);
    assert_eq!(bytes(&folder, "again.csv"), bytes(&folder, "whole.csv"));
    assert!(!journal.exists());
}

/// `w = P L³ / 3EI + P L / κGA` for a circle, `κ = 6 (1 + ν) / (7 + 6 ν)`: the element is exact,
/// so rounding alone is allowed.
///
/// Source: textbook formula; κ after Cowper, J. Appl. Mech. 33 (1966) 335–340 (from memory).
#[test]
fn a_frame_study_gives_the_closed_form_all_over_its_grid() {
    let folder = scratch("sweep-frame", CANTILEVER);
    done(&folder, &["sweep", "study.toml", "--out", "table.csv"]);
    let rows = table(&folder, "table.csv");
    assert_eq!(rows.len(), 20);
    for row in &rows {
        let number = |at: usize| row[at].parse::<f64>().expect("a number");
        let (diameter, modulus) = (number(1), 1000.0 * number(2));
        let (force, length, poisson) = (100.0_f64, 100.0_f64, 0.3);
        let area = PI * diameter * diameter / 4.0;
        let second_moment = PI * diameter.powi(4) / 64.0;
        let shear = modulus / (2.0 * (1.0 + poisson));
        let kappa = 6.0 * (1.0 + poisson) / (7.0 + 6.0 * poisson);
        let bent = force * length.powi(3) / (3.0 * modulus * second_moment);
        let sheared = force * length / (kappa * shear * area);
        assert_relative_eq!(number(3), -(bent + sheared), max_relative = 1e-9);
    }
    // The last input changes fastest, and both ends are met.
    assert_eq!(
        [&rows[0][1], &rows[3][1], &rows[19][1]],
        ["2.0", "2.0", "4.0"]
    );
    assert_eq!(
        [&rows[0][2], &rows[1][2], &rows[19][2]],
        ["70", "105", "200"]
    );
}

#[test]
fn what_does_not_belong_together_is_refused() {
    let folder = scratch("sweep-foreign", NAIL);
    done(
        &folder,
        &["sweep", "study.toml", "--part", "1/2", "--out", "1.part"],
    );
    fs::write(
        folder.join("other.toml"),
        fs::read_to_string(folder.join("study.toml"))
            .unwrap()
            .replace("seed = 3", "seed = 4"),
    )
    .unwrap();
    done(
        &folder,
        &["sweep", "other.toml", "--part", "2/2", "--out", "2.part"],
    );
    let message = refused(
        &folder,
        &["gather", "1.part", "1.part", "2.part", "--out", "t.csv"],
    );
    for expected in [
        "1.part: is part 1/2 as 1.part is",
        "2.part: is part 2/2 of another study",
        "part 2/2",
    ] {
        assert!(message.contains(expected), "{expected}: {message}");
    }
    assert!(!folder.join("t.csv").exists());

    fs::copy(folder.join("1.part"), folder.join("t.csv.journal")).unwrap();
    let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    assert!(
        message.contains("is the journal of another study, part or version"),
        "{message}"
    );
}

/// The table is renamed into place, which must not replace a folder or device.
#[test]
fn what_is_no_ordinary_file_is_left_alone() {
    let folder = scratch("sweep-folder", NAIL);
    fs::create_dir(folder.join("there")).unwrap();
    let message = refused(&folder, &["sweep", "study.toml", "--out", "there"]);
    assert!(message.contains("there: is no ordinary file"), "{message}");
    assert!(!folder.join("there.journal").exists());
}

#[test]
fn mistakes_in_a_study_are_told_with_line_and_key() {
    let wrong = [
        ("nail.diameter_mm", "nail.diametr_mm", "diameter_mm"),
        (
            "from = 2.0, to = 3.5",
            "from = 3.5, to = 2.0",
            "input[1].range.to = 2.0 must be greater than from",
        ),
        (
            "standard_deviation = 2",
            "standard_deviation = -2",
            "must be greater than 0",
        ),
        (
            "torsion_nm_per_deg\"\ncol",
            "torsion_nm_per_dg\"\ncol",
            "did you mean torsion_nm_per_deg?",
        ),
        ("samples = 60", "samples = 0", "samples"),
        ("column = \"gap_mm\"", "column = \"gap\"", "must end in _mm"),
    ];
    for (right, typed, told) in wrong {
        let folder = scratch("sweep-bad", &NAIL.replacen(right, typed, 1));
        let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
        assert!(
            message.contains("study.toml:") && message.contains(told),
            "{typed}: {message}"
        );
    }
}
