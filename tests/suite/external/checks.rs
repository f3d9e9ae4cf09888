//! The checks that the program carries: `clavibeam check` and its page.

use std::fs;

use clavibeam::check::{self, FRAME_FILES, PUBLISHED, Verdict};

/// Every value from outside, or the table of those that fail.
#[test]
fn all_agree() {
    let mut report = check::run(None);
    assert!(report.checks.len() >= 700, "{} checks", report.checks.len());
    report
        .checks
        .retain(|check| check.verdict == Verdict::Fails);
    assert!(report.checks.is_empty(), "{}", check::text(&report));
}

/// What misses is told with its size: outside of what was published, by as much as is known.
#[test]
fn misses_are_outside_of_what_was_published() {
    let report = check::run(Some("published bench tests"));
    assert!(report.count(Verdict::Misses) >= 5);
    for missed in report
        .checks
        .iter()
        .filter(|c| c.verdict == Verdict::Misses)
    {
        assert!(missed.off_by().unwrap().abs() > 0.0, "{missed:#?}");
    }
}

/// Every study of convergence is in the picture.
#[test]
fn the_picture_shows_every_study() {
    let studies = check::convergences();
    assert!(studies.len() >= 12);
    let picture = check::picture(&studies);
    for study in &studies {
        assert!(picture.contains(&study.short), "{}", study.short);
    }
    let path = format!("tests/{}", check::PICTURE);
    if std::env::var_os("BLESS").is_some() {
        fs::write(&path, &picture).unwrap();
    }
    let committed = fs::read_to_string(&path).unwrap();
    assert!(studies.iter().all(|study| committed.contains(&study.short)));
}

/// Every frame file is among the checks.
#[test]
fn no_frame_file_is_forgotten() {
    let mut found: Vec<String> = fs::read_dir("models/frames")
        .unwrap()
        .map(|entry| format!("models/frames/{}", entry.unwrap().file_name().display()))
        .filter(|path| path.ends_with(".toml"))
        .collect();
    found.sort();
    let listed: Vec<&str> = FRAME_FILES.iter().map(|file| file.path).collect();
    assert_eq!(listed, found, "the list stands in src/check/frames.rs");
}

/// Ids are told apart, each check gives a reason for its tolerance, each publication is used.
#[test]
fn each_has_its_name_source_and_reason() {
    let report = check::run(None);
    let mut ids: Vec<&str> = report.checks.iter().map(|c| c.id.as_str()).collect();
    ids.sort_unstable();
    for pair in ids.windows(2) {
        assert_ne!(pair[0], pair[1]);
    }
    for check in &report.checks {
        assert!(!check.source.is_empty() && !check.tolerance_reason.is_empty());
    }
    let used = |p: &&check::Publication| report.checks.iter().any(|c| p.is_used_by(c));
    let unused: Vec<_> = PUBLISHED.iter().filter(|p| !used(p)).collect();
    assert!(unused.is_empty(), "{unused:?}");
    assert!(PUBLISHED.len() >= 12);
}

/// `BLESS=1` writes the page anew.
#[test]
fn the_page_is_what_the_program_gives() {
    let page = check::page(&check::run(None), &check::convergences());
    let path = "tests/VERIFICATION.md";
    if std::env::var_os("BLESS").is_some() {
        fs::write(path, &page).unwrap();
    }
    let committed = fs::read_to_string(path).unwrap();
    assert!(page == committed, "run `clavibeam check --page {path}`");
}
