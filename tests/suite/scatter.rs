//! Scatter over virtual patients: what must follow from what, what is refused, what readers see.

use std::process::Command;

use clavibeam::case::{self, Quantity};
use clavibeam::report;
use clavibeam::sampling::Share;

use crate::common::scattered;

const POTTER: &str = "models/potter-transverse.toml";

/// The same seed gives the same bytes with one thread and with three; another seed gives others.
#[test]
fn a_seed_repeats_whatever_the_threads() {
    let text = std::fs::read_to_string(POTTER).unwrap();
    let json = |seed, threads| report::json(&scattered(&text, (6, seed), threads).1);
    let one = json(5, 1);
    assert_eq!(one, json(5, 3));
    assert_ne!(one, json(6, 3));
}

#[test]
fn what_is_measured_does_not_scatter() {
    let text = std::fs::read_to_string(POTTER).unwrap();
    let varies = |text: &str, quantity: Quantity| {
        let case = case::parse(text, "check").unwrap_or_else(|error| panic!("{error}"));
        let inputs = &case.scatter.inputs;
        let input = inputs.iter().find(|input| input.quantity == quantity);
        input.is_some_and(|i| i.distribution.quantile(0.2) < i.distribution.quantile(0.8))
    };
    let measured = format!("{text}\n[bone]\nlength_mm = 141\ncanal_min_diameter_mm = 5.6\n");
    let given = format!(
        "{measured}[scatter.canal_min_diameter_mm.normal]\nmean = 5.6\nstandard_deviation = 0.2\n"
    );
    for (quantity, usual, when_measured, when_given) in [
        (Quantity::Length, true, false, false),
        (Quantity::OuterScale, true, true, true),
        (Quantity::WallScale, true, false, false),
        (Quantity::CanalMinDiameter, false, false, true),
    ] {
        assert_eq!(varies(&text, quantity), usual, "{quantity:?}");
        assert_eq!(varies(&measured, quantity), when_measured, "{quantity:?}");
        assert_eq!(varies(&given, quantity), when_given, "{quantity:?}");
    }
}

#[test]
fn readers_see_the_chances() {
    let text = std::fs::read_to_string(POTTER).unwrap();
    let (_, assessment) = scattered(&text, (8, 1), 2);
    let verbose = report::Options {
        colour: false,
        verbose: true,
    };
    let shown = report::text(&assessment, verbose);
    let joined = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    let page = report::html(&assessment);
    for words in [
        "Chance before union over 8 virtual patients (seed 1), %, with 95 % interval",
        "breaks by fatigue",
        "needs a limit below 0.4 kg",
        "Over many patients",
        "Over 8 virtual patients it fails before union in",
    ] {
        assert!(joined.contains(words), "text: {words}");
        assert!(page.contains(words), "page: {words}");
    }
    // What is part of the row above is set in, on the page too.
    assert!(shown.contains("\n    one in twenty above  "), "{shown}");
    assert!(page.contains("<th scope=\"row\" class=\"part\">one in twenty above</th>"));
    let widest = shown.lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(100), "{widest:?} columns");
    assert!(!shown.contains("NaN") && !shown.contains("inf "), "{shown}");
    let defaults = report::defaults(&assessment);
    assert!(defaults.contains("Bernat et al. 2014") && defaults.contains("Langohr"));
    let names: Vec<String> = report::plots(&assessment)
        .into_iter()
        .map(|file| file.name)
        .collect();
    assert!(names.contains(&"scatter".to_owned()), "{names:?}");
    let json: serde_json::Value = serde_json::from_str(&report::json(&assessment)).unwrap();
    assert_eq!(json["scatter"]["patients"], 8);
    for construct in json["constructs"].as_array().unwrap() {
        let fails = &construct["chances"]["fails"];
        let [from, to] = ["from", "to"].map(|end| fails[end].as_f64().expect("a number"));
        let middle = fails["probability"].as_f64().expect("a number");
        assert!(0.0 <= from && from <= middle && middle <= to && to <= 1.0);
        // Yes or no in each patient: as wide as for so many of them.
        for chance in ["needs_limit", "not_united"] {
            let found = &construct["chances"][chance];
            let [from, share, to] =
                ["from", "probability", "to"].map(|key| found[key].as_f64().expect("a number"));
            let wilson = Share::wilson(share, 8.0);
            assert!((from - wilson.from).abs() < 1e-9, "{chance}: {found}");
            assert!((to - wilson.to).abs() < 1e-9, "{chance}: {found}");
        }
    }
}

#[test]
fn impossible_scatter_is_refused_with_file_line_and_key() {
    let text = std::fs::read_to_string(POTTER).unwrap();
    let line = text.lines().count() + 1;
    let bone = format!("{text}[bone]\ncanal_min_diameter_mm = 5.6\n");
    for (before, scatter, message) in [
        (
            &text,
            "[scatter.load_factor.normal]\nmean = 1\nstandard_deviation = 1",
            format!(
                "{line}: scatter.load_factor must keep its values between 0.05 and 20, but they run \
                 from -4.998 to 6.998"
            ),
        ),
        (
            &text,
            "[scatter.cycles_factor.lognormal]\nmedian = 0\ncoefficient_of_variation = 1",
            format!(
                "{}: scatter.cycles_factor.lognormal.median = 0 must be greater than 0",
                line + 1
            ),
        ),
        (
            &text,
            "[scatter.thread_kf.quantiles]\nprobabilities = [0.1, 1.2]\nvalues = [1, 2]",
            format!(
                "{}: scatter.thread_kf.quantiles.probabilities = [0.1, 1.2] must rise from 0 to 1",
                line + 1
            ),
        ),
        (
            &bone,
            "[scatter.wall_scale.fixed]\nvalue = 1",
            format!(
                "{}: scatter.wall_scale must not stand beside a canal_min_diameter_mm, which sets \
                 the walls",
                line + 2
            ),
        ),
        (
            &text,
            "[[scatter.correlation]]\nbetween = [\"load_factor\", \"weather\"]\nrank = 0.5",
            format!("{}: scatter.correlation[1].between", line + 1),
        ),
        (
            &text,
            "[scatter]\nhand_mass_kg = -1",
            format!("{}: scatter.hand_mass_kg = -1 must be at least 0", line + 1),
        ),
    ] {
        let refused = case::parse(&format!("{before}{scatter}\n"), "s.toml");
        let told = refused.expect_err(scatter).to_string();
        assert!(
            told.contains(&format!("s.toml:{message}")),
            "{told}\n{message}"
        );
    }
}

#[test]
fn no_patients_and_a_seed_alone_are_refused() {
    for arguments in [
        &["--scatter", "0"][..],
        &["--scatter", "-3"],
        &["--seed", "4"],
    ] {
        let told = Command::new(env!("CARGO_BIN_EXE_clavibeam"))
            .args(["compare", POTTER])
            .args(arguments)
            .output()
            .expect("the program runs");
        assert_eq!(told.status.code(), Some(2), "{arguments:?}");
        assert!(String::from_utf8_lossy(&told.stderr).contains("--scatter"));
    }
}

/// The two halves of the cohort differ in title and fracture alone: nothing is tuned to either.
#[test]
fn the_cohort_is_not_tuned_case_by_case() {
    let [simple, comminuted] = ["simple", "comminuted"].map(|kind| {
        let text = std::fs::read_to_string(format!("models/cohort-{kind}.toml")).unwrap();
        let mut table: toml::Table = toml::from_str(&text).unwrap();
        assert!(table.remove("title").is_some() && table.remove("fracture").is_some());
        table
    });
    assert_eq!(simple, comminuted);
}
