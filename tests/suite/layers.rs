//! Module order: no module of the library uses one that stands after it.

use std::fs;
use std::path::{Path, PathBuf};

/// What each module may use of the others.
const MAY_USE: [(&str, &[&str]); 20] = [
    ("section", &[]),
    ("material", &[]),
    ("fatigue", &["material"]),
    ("healing", &[]),
    ("input", &[]),
    ("sampling", &["input"]),
    ("frame", &["section", "material"]),
    ("anatomy", &["section", "material", "frame"]),
    ("device", &["section", "material", "frame"]),
    ("load", &["section", "material", "frame", "anatomy"]),
    (
        "construct",
        &["section", "material", "frame", "anatomy", "device", "load"],
    ),
    ("frame_file", &["section", "material", "input", "frame"]),
    (
        "case",
        &[
            "section",
            "material",
            "fatigue",
            "healing",
            "input",
            "sampling",
            "anatomy",
            "device",
            "load",
            "construct",
        ],
    ),
    (
        "assess",
        &[
            "section",
            "material",
            "fatigue",
            "healing",
            "sampling",
            "frame",
            "anatomy",
            "device",
            "load",
            "construct",
            "case",
        ],
    ),
    (
        "study",
        &[
            "input",
            "sampling",
            "frame",
            "construct",
            "frame_file",
            "case",
            "assess",
        ],
    ),
    ("sensitivity", &["input", "sampling", "study"]),
    (
        "handcalc",
        &[
            "section",
            "material",
            "frame",
            "anatomy",
            "device",
            "load",
            "construct",
            "frame_file",
            "case",
            "assess",
        ],
    ),
    (
        "report",
        &[
            "section",
            "material",
            "fatigue",
            "healing",
            "frame",
            "anatomy",
            "device",
            "load",
            "construct",
            "case",
            "assess",
            "sampling",
            "study",
            "sensitivity",
        ],
    ),
    (
        "check",
        &[
            "section",
            "material",
            "fatigue",
            "healing",
            "frame",
            "anatomy",
            "device",
            "load",
            "construct",
            "frame_file",
            "case",
            "assess",
            "study",
            "handcalc",
            "report",
        ],
    ),
    (
        "cli",
        &[
            "check",
            "section",
            "material",
            "input",
            "frame",
            "anatomy",
            "device",
            "load",
            "construct",
            "frame_file",
            "case",
            "assess",
            "study",
            "sensitivity",
            "handcalc",
            "report",
        ],
    ),
];

/// Every `.rs` file of a module: `src/name.rs` and all under `src/name/`.
fn files(module: &str) -> Vec<PathBuf> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut open = vec![src.join(module)];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).into_iter().flatten() {
            let path = entry.expect("a readable folder").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                found.push(path);
            }
        }
    }
    let single = src.join(format!("{module}.rs"));
    found.extend(single.exists().then_some(single));
    found
}

/// Modules named after `crate::` outside comments, in `use` lines or in full paths.
fn used(text: &str) -> Vec<&str> {
    text.lines()
        .map(|line| line.split("//").next().unwrap_or_default())
        .flat_map(|line| line.split("crate::").skip(1))
        .map(|rest| {
            let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_');
            &rest[..end.unwrap_or(rest.len())]
        })
        .collect()
}

#[test]
fn no_module_uses_a_later_one() {
    let mut wrong = Vec::new();
    for (module, allowed) in MAY_USE {
        let files = files(module);
        assert!(!files.is_empty(), "module {module} has no files");
        for path in files {
            let text = fs::read_to_string(&path).expect("a readable source file");
            // A list in braces after `crate::` would hide what it names.
            assert!(
                !text.contains("crate::{"),
                "{}: spell each module out",
                path.display()
            );
            for other in used(&text) {
                if other != module && !allowed.contains(&other) {
                    wrong.push(format!("{} uses {other}", path.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_module_has_a_place() {
    let library = include_str!("../../src/lib.rs");
    for line in library.lines() {
        if let Some(module) = line.strip_prefix("pub mod ") {
            let module = module.trim_end_matches(';');
            assert!(
                MAY_USE.iter().any(|(name, _)| *name == module),
                "{module} has no place"
            );
        }
    }
}
