//! The studies that come with the program, and what their README says of them.

use super::*;

/// Runs a shipped study; cells by column.
fn swept(name: &str) -> Vec<std::collections::HashMap<String, String>> {
    let folder = scratch(&format!("sweep-{name}"), "");
    let study = format!("{}/models/studies/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    done(&folder, &["sweep", &study, "--out", "t.csv"]);
    let mut reader = csv::Reader::from_path(folder.join("t.csv")).expect("a table");
    let rows: Vec<std::collections::HashMap<String, String>> = reader
        .deserialize()
        .map(|row| row.expect("whole rows"))
        .collect();
    for row in &rows {
        assert_eq!(row["failure"], "", "{name}");
    }
    rows
}

fn number(row: &std::collections::HashMap<String, String>, column: &str) -> f64 {
    row[column].parse().expect("a number")
}

#[test]
fn readme_names_every_study() {
    let readme = fs::read_to_string("models/studies/README.md").unwrap();
    let mut count = 0;
    for entry in fs::read_dir("models/studies").unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if name.ends_with(".toml") {
            assert!(readme.contains(&format!("]({name})")), "{name}");
            count += 1;
        }
    }
    assert!(count >= 5, "{count}");
}

/// `w = P λ / 2k · (cosh λl + cos λl + 2) / (sinh λl + sin λl)`, `λ = (k / 4EI)^¼`. Springs stand at
/// nodes 1 mm apart, which errs by less than 10⁻⁴ here (measured 5·10⁻⁵, falling with the square).
///
/// Source: Hetényi, Beams on Elastic Foundation (1946), from memory; evaluated here.
#[test]
fn the_rod_on_a_bed_agrees_with_its_closed_form() {
    let rows = swept("canal-foundation");
    assert_eq!(rows.len(), 20);
    for row in &rows {
        let (diameter, bed) = (number(row, "diameter_mm"), number(row, "bed_n_per_mm2"));
        let stiffness = 110_000.0 * PI * diameter.powi(4) / 64.0;
        let lambda = (bed / (4.0 * stiffness)).powf(0.25);
        let x = 100.0 * lambda;
        let shape = (x.cosh() + x.cos() + 2.0) / (x.sinh() + x.sin());
        let sinks = 100.0 * lambda / (2.0 * bed) * shape;
        assert_relative_eq!(number(row, "centre_mm"), -sinks, max_relative = 1e-4);
    }
}

#[test]
fn nails_that_cannot_be_in_their_canal_are_left_out() {
    let rows = swept("nail-canal-gap");
    // Of 7 diameters 4 are below 4 mm, 6 below 5 mm, 7 below the others; 4 gaps each.
    assert_eq!(rows.len(), 4 * (4 + 6 + 7 + 7 + 7));
    let words: Vec<&String> = rows.iter().map(|row| &row["goes_in"]).collect();
    for (word, count) in [("yes", 32), ("bends", 16), ("forced", 76)] {
        assert_eq!(
            words.iter().filter(|each| **each == word).count(),
            count,
            "{word}"
        );
    }
}

#[test]
fn a_longer_working_length_bends_more_and_strains_the_gap_more() {
    let rows = swept("plate-working-length");
    assert_eq!(rows.len(), 600);
    let median = |holes: [&str; 2], column: &str| {
        let inner = |row: &&std::collections::HashMap<String, String>| {
            [&row["medial_inner_hole"], &row["lateral_inner_hole"]] == holes
        };
        let mut values: Vec<f64> = rows
            .iter()
            .filter(inner)
            .map(|row| number(row, column))
            .collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    for (column, near, far) in [
        ("constructs.plate.working_length_mm", 30.0, 50.0),
        ("bending_nm_per_deg", 0.98, 0.76),
        ("gap_strain_percent", 11.4, 16.3),
        ("static_margin", 0.79, 0.89),
    ] {
        // As many digits as the README gives.
        assert_relative_eq!(median(["4", "7"], column), near, max_relative = 0.02);
        assert_relative_eq!(median(["3", "8"], column), far, max_relative = 0.02);
    }
}

/// Every row of the contact study is what `compare` gives for a file with those two values.
#[test]
fn a_contact_study_gives_the_numbers_of_single_comparisons() {
    use clavibeam::assess::assess;
    use clavibeam::case;
    use clavibeam::construct::Mechanics;

    let rows = swept("drawn-together");
    assert_eq!(rows.len(), 20);
    let base = fs::read_to_string("models/baker-compression.toml").unwrap();
    for row in rows.iter().step_by(6) {
        let friction = format!(
            "pattern = \"transverse\"\nface_friction = {}",
            row["face_friction"]
        );
        let turns = format!("nut_turns = {}", row["nut_turns"]);
        let text = base
            .replace("pattern = \"transverse\"", &friction)
            .replace("nut_turns = 0.25", &turns);
        let case = case::parse(&text, "varied").unwrap();
        let assessed = assess(&case, Mechanics::Contact).unwrap();
        let pin = assessed
            .constructs
            .iter()
            .find(|one| one.name == "pin 3.8, quarter turn")
            .unwrap();
        for (column, alone) in [
            ("shear_mm", pin.fracture_motion[0].shear_mm),
            ("stands_open_mm", pin.fracture_motion[0].stands_open_mm),
            (
                "faces_pressed_percent",
                pin.contact[0].faces_pressed_percent,
            ),
            ("face_force_n", pin.contact[0].face_force_n),
            ("torsion_nm_per_deg", pin.stiffness.torsion_nm_per_deg),
        ] {
            let kept = number(row, column);
            assert!(
                (kept - alone).abs() <= 1e-9 * alone.abs() + 1e-12,
                "{column}: {kept}, {alone}"
            );
        }
    }
}
