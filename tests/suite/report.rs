//! Reports of an invented comparison: what a reader sees, not whether it is true.

use std::fs;
use std::path::Path;

use clavibeam::report::{self, Options};

use crate::sample_assessment::{sample, sample_of};

const VERBOSE: Options = Options {
    colour: false,
    verbose: true,
};

/// Compares with a stored report; `BLESS=1` stores the new one.
fn assert_golden(name: &str, found: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("BLESS").is_some() {
        fs::create_dir_all(path.parent().expect("a golden file lies in a directory"))
            .expect("the directory of golden files can be made");
        fs::write(&path, found).expect("a golden file can be written");
    }
    let expected = fs::read_to_string(&path).expect("BLESS=1 stores a missing golden file");
    assert_eq!(found, expected, "{name} changed; BLESS=1 accepts it");
}

#[test]
fn text_report_is_as_stored() {
    assert_golden(
        "report_sample.txt",
        &report::text(&sample(), Options::default()),
    );
    assert_golden(
        "report_sample_verbose.txt",
        &report::text(&sample(), VERBOSE),
    );
    assert_golden("report_sample_defaults.txt", &report::defaults(&sample()));
}

#[test]
fn no_line_is_wider_than_100_characters() {
    for count in [1, 3, 5, 9] {
        let text = report::text(&sample_of(count), VERBOSE);
        for line in text.lines() {
            let width = line.chars().count();
            assert!(
                width <= 100,
                "{count} constructs, {width} characters: {line}"
            );
        }
        let first_words = sample_of(count).constructs[count - 1].name.clone();
        assert!(text.contains(&first_words), "{first_words} is missing");
    }
}

#[test]
fn a_long_name_without_blanks_stays_inside_the_table() {
    let mut assessment = sample();
    assessment.constructs[0].name = "x".repeat(150);
    let text = report::text(&assessment, VERBOSE);
    assert!(text.lines().all(|line| line.chars().count() <= 100));
}

#[test]
fn decimal_points_stand_under_one_another() {
    let mut assessment = sample();
    assessment.constructs.drain(..3);
    let text = report::text(&assessment, Options::default());
    let points: Vec<usize> = text
        .lines()
        .filter(|line| line.starts_with("    ") && line.contains(" margin"))
        .filter_map(|line| line.chars().position(|letter| letter == '.'))
        .collect();
    assert!(points.len() >= 9 && text.contains(" 17.2"), "{text}");
    assert!(points.iter().all(|&place| place == points[0]), "{text}");
}

#[test]
fn colour_adds_nothing_but_type() {
    let plain = report::text(&sample(), Options::default());
    let coloured = report::text(
        &sample(),
        Options {
            colour: true,
            verbose: false,
        },
    );
    let stripped = coloured.replace("\u{1b}[1m", "").replace("\u{1b}[0m", "");
    assert_ne!(plain, coloured);
    assert_eq!(plain, stripped);
}

#[test]
fn absent_margins_are_dashes_and_nothing_is_not_a_number() {
    let mut assessment = sample();
    for construct in &mut assessment.constructs {
        construct.stiffness.torsion_percent_of_intact = f64::NAN;
        for section in &mut construct.critical_sections {
            for stress in &mut section.activities {
                stress.static_margin = None;
                stress.fatigue_margin_1e5 = None;
                stress.fatigue_margin_1e7 = None;
            }
        }
        construct.critical_sections[0].activities[0].fatigue_margin_1e6 = Some(f64::INFINITY);
    }
    let mut pages = vec![
        report::text(&assessment, VERBOSE),
        report::html(&assessment),
    ];
    assert!(pages[0].contains('–') && pages[1].contains("<td>–</td>"));
    assert!(!pages[0].contains("static margin"), "a row of dashes alone");
    pages.extend(
        report::plots(&assessment)
            .into_iter()
            .map(|figure| figure.svg),
    );
    for page in pages {
        for word in page.split(|letter: char| !letter.is_alphanumeric()) {
            assert!(!["NaN", "inf", "Infinity"].contains(&word), "{page}");
        }
    }
}

#[test]
fn json_has_every_construct_and_no_drawing() {
    let json = report::json(&sample());
    let document: serde_json::Value = serde_json::from_str(&json).expect("it is JSON");
    let constructs = document["constructs"].as_array().expect("a list");
    assert_eq!(constructs.len(), 4);
    assert_eq!(constructs[1]["stiffness"]["torsion_percent_of_intact"], 6.4);
    assert!(constructs[0].get("drawing").is_none());
}

#[test]
fn html_escapes_what_it_is_given() {
    let mut assessment = sample();
    assessment.title = "<script>alert('1 & 2')</script>".into();
    assessment.constructs[0].name = "nail <b>".into();
    assessment.activities[0].name = "\"lift\" <i>".into();
    let page = report::html(&assessment);
    assert!(!page.contains("<script") && !page.contains("nail <b>") && !page.contains("<i>"));
    assert!(page.contains("&lt;script&gt;alert(&#39;1 &amp; 2&#39;)&lt;/script&gt;"));
    assert!(page.contains("&lt;bench&gt;"));
    assert_well_formed("page", page.split_once("</head>").expect("a head").1);
}

#[test]
fn every_figure_is_well_formed() {
    for count in [1, 3, 9] {
        let mut assessment = sample_of(count);
        assessment.constructs[0].name = "nail & <pin>".into();
        let figures = report::plots(&assessment);
        let names: Vec<&str> = figures.iter().map(|figure| figure.name.as_str()).collect();
        let expected = [
            "anatomy",
            "stiffness",
            "margins",
            "along-1",
            "along-2",
            "along-3",
        ];
        assert_eq!(names, expected);
        for figure in &figures {
            assert_well_formed(&figure.name, &figure.svg);
            assert!(
                figure.svg.starts_with("<svg width=\"920\""),
                "{}",
                figure.name
            );
            assert!(!figure.svg.contains("Clavibeam Sans"));
        }
    }
}

/// A left clavicle is the mirror image: its sternal end is on the left.
#[test]
fn a_left_clavicle_is_mirrored() {
    let mut assessment = sample();
    let right = report::plots(&assessment)[0].svg.clone();
    assessment.patient.side = "left";
    let left = report::plots(&assessment)[0].svg.clone();
    assert!(right.contains("← acromial") && right.contains("sternal →"));
    assert!(left.contains("← sternal") && left.contains("acromial →"));
}

#[test]
fn plots_are_written_where_the_user_says() {
    let directory = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report-plots/new");
    let written = report::write_plots(&directory, &sample()).expect("a new directory is made");
    assert_eq!(written.len(), 12);
    for path in &written {
        let start = fs::read(path).expect("it was written");
        let expected: &[u8] = if path.extension().is_some_and(|e| e == "png") {
            b"\x89PNG"
        } else {
            b"<svg"
        };
        assert!(start.starts_with(expected), "{}", path.display());
    }

    let file = directory.join("margins.svg");
    let error = report::write_plots(&file, &sample()).expect_err("a file is not a directory");
    assert_eq!(error.path, file);
    assert!(error.to_string().starts_with(&file.display().to_string()));
}

/// Every tag closed in order, no stray `<` or `&`.
fn assert_well_formed(name: &str, document: &str) {
    let mut open: Vec<&str> = Vec::new();
    for piece in document.split('<').skip(1) {
        let (tag, _) = piece
            .split_once('>')
            .unwrap_or_else(|| panic!("{name}: a tag has no end: {piece}"));
        if let Some(closed) = tag.strip_prefix('/') {
            let opened = open.pop();
            let outer = opened.is_none() && ["body", "html"].contains(&closed);
            assert!(
                outer || opened == Some(closed),
                "{name}: </{closed}> closes {opened:?}"
            );
        } else if !tag.ends_with('/') {
            open.push(tag.split_whitespace().next().unwrap_or(""));
            if open.last() == Some(&"body") {
                open.pop();
            }
        }
    }
    assert!(open.is_empty(), "{name}: left open: {open:?}");
    for entity in document.split('&').skip(1) {
        let known = ["amp;", "lt;", "gt;", "quot;", "apos;", "#39;"];
        assert!(
            known.iter().any(|known| entity.starts_with(known)),
            "{name}: &{entity:.12}"
        );
    }
}
