//! Every refusal of a case file, word for word.
//!
//! Each file in `tests/cases/` is named by the rule it breaks.

use std::collections::BTreeSet;
use std::path::Path;

use clavibeam::case;
use clavibeam::input::InputError;

use crate::refused_cases::REFUSALS;

#[test]
fn every_refused_case_says_why() {
    for (name, expected) in REFUSALS {
        let path = format!("tests/cases/{name}.toml");
        let message = case::read(Path::new(&path))
            .expect_err(&format!("{path} must be refused"))
            .to_string();
        let expected: Vec<String> = expected
            .iter()
            .map(|line| format!("{path}:{line}"))
            .collect();
        assert_eq!(message, expected.join("\n"));
    }
}

#[test]
fn every_file_of_refused_cases_is_listed() {
    let files: BTreeSet<String> = std::fs::read_dir("tests/cases")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file())
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let listed: BTreeSet<String> = REFUSALS.iter().map(|row| row.0.to_owned()).collect();
    assert_eq!(files, listed);
}

#[test]
fn missing_file() {
    let error = case::read(Path::new("tests/cases/nowhere.toml")).unwrap_err();
    assert!(matches!(&error, InputError::Read { .. }));
    assert!(
        error
            .to_string()
            .starts_with("tests/cases/nowhere.toml: No such file"),
        "{error}"
    );
}

#[test]
fn directory() {
    let error = case::read(Path::new("tests/cases")).unwrap_err();
    assert!(matches!(&error, InputError::Read { .. }));
    assert!(error.to_string().starts_with("tests/cases: "), "{error}");
}

#[test]
fn not_utf8() {
    let path = std::env::temp_dir().join(format!("clavibeam-latin1-{}.toml", std::process::id()));
    std::fs::write(&path, b"title = \"a\"\n# caf\xe9\n").unwrap();
    let error = case::read(&path).unwrap_err();
    std::fs::remove_file(&path).unwrap();
    assert_eq!(
        error.to_string(),
        format!("{}: byte 18 on line 2 is not UTF-8 text", path.display())
    );
}

/// Whatever stands in place of a value, and whichever line is missing, the file is read
/// or refused with a message: no panic.
#[test]
fn no_damage_to_a_case_file_panics() {
    let text = std::fs::read_to_string("tests/every_key.toml").unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let values = [
        "nan",
        "-inf",
        "-1",
        "0",
        "1e-300",
        "1e308",
        "99999999999999999999",
        "\"\"",
        "[]",
        "[[]]",
        "{}",
        "true",
        "1979-05-27",
        "=",
    ];
    for index in 0..lines.len() {
        let mut damaged = lines.clone();
        damaged.remove(index);
        let _ = case::parse(&damaged.join("\n"), "damaged");

        let Some((key, _)) = lines[index].split_once(" = ") else {
            continue;
        };
        for value in values {
            let changed = format!("{key} = {value}");
            let mut damaged = lines.clone();
            damaged[index] = &changed;
            let _ = case::parse(&damaged.join("\n"), "damaged");
        }
    }
}
