//! `[analysis]` of frame files: large displacements and buckling from file to document, and
//! what is refused.

use std::process::Command;

use clavibeam::frame::{Follow, LoadCase, LoadSense, PathEnd, PathOptions, SolveError};
use clavibeam::frame::{buckle, follow_path};
use clavibeam::frame_file;
use clavibeam::section::Section;
use nalgebra::vector;

use crate::common::{TITANIUM, straight};

fn model(name: &str) -> String {
    std::fs::read_to_string(format!("models/frames/{name}.toml")).unwrap()
}

fn document(text: &str) -> serde_json::Value {
    let results = frame_file::parse(text, "test").unwrap().solve().unwrap();
    serde_json::from_str(&results.json()).unwrap()
}

#[test]
fn buckling_stands_in_the_document() {
    let case = &document(&model("euler_column"))["load_cases"][0];
    let factors = case["buckling"]["load_factors"].as_array().unwrap();
    assert_eq!(factors.len(), 4);
    assert!((factors[0].as_f64().unwrap() - 5921.5).abs() < 1.0);
    assert!(case.get("path").is_none());
    assert!(
        document(&model("cantilever"))["load_cases"][0]
            .get("buckling")
            .is_none()
    );
}

#[test]
fn the_path_stands_in_the_document() {
    let case = &document(&model("toggle"))["load_cases"][0];
    let path = &case["path"];
    assert_eq!(path["load_factor"], 60.0);
    assert_eq!(path["stable"], true);
    assert_eq!(path["limit_load_factors"].as_array().unwrap().len(), 2);
    let states = path["states"].as_array().unwrap();
    assert_eq!(states[0]["load_factor"], 0.0);
    let last = &states.last().unwrap()["nodes"]["apex"];
    assert_eq!(last, &case["nodes"]["apex"]);
}

/// Both analyses side by side.
#[test]
fn large_displacement_and_buckling_together() {
    let text = model("elastica") + "\n[analysis.buckling]\nmodes = 1\n";
    let case = &document(&text)["load_cases"][0];
    assert!(case["path"].is_object() && case["buckling"].is_object());
}

#[test]
fn a_snap_through_is_refused_by_load() {
    let text = model("toggle").replace("follow = \"path\"", "follow = \"load\"");
    let error = frame_file::parse(&text, "test")
        .unwrap()
        .solve()
        .unwrap_err();
    let SolveError::NoEquilibrium { load_factor, .. } = error else {
        panic!("{error}");
    };
    assert!((load_factor - 33.87).abs() < 0.01, "{load_factor}");

    let path = std::env::temp_dir().join(format!("snap-{}.toml", std::process::id()));
    std::fs::write(&path, text).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_clavibeam"))
        .args(["solve", path.to_str().unwrap()])
        .output()
        .unwrap();
    std::fs::remove_file(&path).unwrap();
    assert_eq!(output.status.code(), Some(3));
    let message = String::from_utf8(output.stderr).unwrap();
    assert!(message.contains("no equilibrium was found beyond load factor 33.87"));
}

/// A load just below the limit is reached, though the step there goes past it.
#[test]
fn a_load_below_the_limit_is_reached() {
    for follow in ["load", "path"] {
        for load_factor in ["20.0", "33.5", "33.86"] {
            let text = model("toggle")
                .replace("\"path\"", &format!("\"{follow}\""))
                .replace("load_factor = 60", &format!("load_factor = {load_factor}"));
            let path = &document(&text)["load_cases"][0]["path"];
            assert_eq!(path["load_factor"].to_string(), load_factor);
            assert_eq!(path["limit_load_factors"].as_array().unwrap().len(), 0);
        }
    }
}

#[test]
fn bad_keys_are_refused() {
    for (key, rule) in [
        ("buckling.modes = 0", "must be"),
        ("buckling.mode = 1", "modes"),
        ("large-displacement.follow = \"up\"", "must be"),
        ("large-displacement.steps = 0", "must be"),
        ("large-displacement.load_factor = -1", "must be"),
        (
            "large-displacement.largest_displacement_mm = nan",
            "must be",
        ),
    ] {
        let text =
            model("cantilever").replace("[material", &format!("[analysis]\n{key}\n[material"));
        let error = frame_file::parse(&text, "test").unwrap_err().to_string();
        assert!(
            error.contains(rule) && error.contains("analysis"),
            "{key}: {error}"
        );
    }
    let text = model("euler_column").replace(
        "quantity = \"buckling",
        "node = \"left\"\nquantity = \"buckling",
    );
    let error = frame_file::parse(&text, "test").unwrap_err().to_string();
    assert!(error.contains("belongs to the load case"), "{error}");
}

/// More modes than the search space can hold are refused, not guessed.
#[test]
fn modes_that_cannot_be_proven_are_refused() {
    let section = Section::circle(10.0, 0.3);
    let (mut frame, nodes) = straight(300.0, 300, TITANIUM, section);
    frame.fix(nodes[0]);
    let push = LoadCase::named("push").with_force(nodes[300], vector![-1.0, 0.0, 0.0]);
    let error = buckle(&frame, &push, 401, LoadSense::AsGiven)
        .map(|found| found.load_factors.len())
        .unwrap_err();
    assert!(matches!(error, SolveError::ModesMissing { modes: 401, .. }));
    assert!(error.to_string().contains("401 buckling modes"));
}

/// The other ends of a path, and a case that loads nothing.
#[test]
fn ends_of_a_path() {
    let (mut frame, nodes) = straight(100.0, 4, TITANIUM, Section::circle(3.0, 0.3));
    frame.fix(nodes[0]);
    let case = LoadCase::named("up").with_force(nodes[4], vector![0.0, 0.0, 100.0]);
    let options = PathOptions {
        follow: Follow::Path,
        most_states: 5,
        growth: 1.0,
        ..PathOptions::default()
    };
    let path = follow_path(&frame, &case, &options).unwrap();
    assert_eq!((path.end, path.states.len()), (PathEnd::States, 6));
    let options = PathOptions {
        largest_displacement: 20.0,
        most_states: 1000,
        ..options
    };
    let path = follow_path(&frame, &case, &options).unwrap();
    assert_eq!(path.end, PathEnd::Displacement);
    assert!(path.last().displacement(nodes[4]).norm() >= 20.0);
    let path = follow_path(&frame, &LoadCase::named("none"), &options).unwrap();
    assert_eq!(path.end, PathEnd::LoadFactor);
    assert_eq!(path.last().displacement(nodes[4]).norm(), 0.0);
    let error = follow_path(
        &straight(1.0, 1, TITANIUM, Section::circle(1.0, 0.3)).0,
        &case,
        &options,
    );
    assert!(error.is_err());
}
