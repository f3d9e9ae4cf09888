//! Every frame file that comes with the program solves and gives the reference values it
//! states, each with its source and tolerance.

use std::path::PathBuf;

use clavibeam::frame_file;

fn frame_files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir("models/frames")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "toml")
        })
        .collect();
    files.sort();
    files
}

#[test]
fn frame_files_give_their_reference_values() {
    let files = frame_files();
    assert!(files.len() >= 47, "only {} frame files", files.len());
    for path in files {
        let file = frame_file::read(&path).unwrap_or_else(|error| panic!("{error}"));
        let results = file
            .solve()
            .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        assert!(!results.references.is_empty(), "{}", path.display());
        for comparison in &results.references {
            assert!(comparison.agrees, "{}: {comparison:#?}", path.display());
        }
    }
}

/// The comparison can fail: every reference value moved by twice its tolerance is seen.
#[test]
fn wrong_reference_values_are_seen() {
    for path in frame_files() {
        let text = std::fs::read_to_string(&path).unwrap();
        let file = frame_file::parse(&text, "as it is").unwrap();
        let references = file.solve().unwrap().references;
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let values = lines.iter_mut().filter(|line| line.starts_with("value = "));
        for (line, reference) in values.zip(&references) {
            let found = reference.result.expect("every model has its results");
            let scale = if found == 0.0 { 1.0 } else { found.abs() };
            let moved = found + 2.0 * reference.tolerance * scale;
            *line = format!("value = {moved:e}");
        }
        let file = frame_file::parse(&lines.join("\n"), "moved").unwrap();
        for comparison in file.solve().unwrap().references {
            assert!(!comparison.agrees, "{}: {comparison:#?}", path.display());
        }
    }
}

/// The index of classics names at least twenty files, and each of them teaches something.
#[test]
fn classics_have_a_lesson_and_a_worked_line() {
    let readme = std::fs::read_to_string("models/frames/README.md").unwrap();
    let links = readme.lines().filter_map(|line| {
        let (_, link) = line.strip_prefix("| ")?.rsplit_once("](")?;
        link.strip_suffix(") |")
    });
    let links: Vec<&str> = links.collect();
    assert!(links.len() >= 20, "only {} classics", links.len());
    for link in links {
        let text = std::fs::read_to_string(format!("models/frames/{link}"))
            .unwrap_or_else(|error| panic!("{link}: {error}"));
        for words in ["# Teaches: ", "# By hand"] {
            assert!(text.contains(words), "{link}: {words}");
        }
    }
}
