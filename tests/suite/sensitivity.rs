//! `clavibeam sensitivity` as a user runs it, and what it does with tables that have holes.

use std::fs;
use std::path::Path;

use clavibeam::sensitivity::{Choice, analyse};
use clavibeam::study::{Cells, Column, Finished, Manifest, Part};

use super::sweep::{bytes, clavibeam, done, refused, scratch};

/// The slope of a cantilever, `F L² / 2 E I`, and the stress at its root, `32 F L / π d³`: products
/// of powers of the inputs.
const ROD: &str = r#"
title = "Rod, metal and force"
frame = "CANTILEVER"
[[input]]
key = "section.rod.circle.diameter_mm"
column = "diameter_mm"
range = { from = 8.0, to = 12.0 }
[[input]]
key = "material.titanium.youngs_modulus_gpa"
column = "youngs_modulus_gpa"
range = { from = 70, to = 200 }
[[input]]
key = "load_case.tip force.nodal.tip.force_n.3"
column = "force_n"
range = { from = -150, to = -50 }
[plan.sobol-indices]
base_samples = 1024
[[output]]
key = "load_cases.tip force.nodes.tip.rotation_rad.2"
column = "slope_rad"
[[output]]
key = "load_cases.tip force.members.rod.peak_stress_mpa"
column = "stress_mpa"
"#;

fn table(path: &Path) -> Vec<csv::StringRecord> {
    let mut reader = csv::Reader::from_path(path).expect("a table was written");
    reader
        .records()
        .map(|row| row.expect("whole rows"))
        .collect()
}

fn said(folder: &Path, arguments: &[&str]) -> String {
    let output = clavibeam(folder, arguments);
    let message = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {message}");
    String::from_utf8(output.stdout).expect("the program writes UTF-8")
}

/// First and total index of each factor of a product: with `vi` the variance of a factor over its
/// squared mean, `V = Π (1 + vi) − 1`, `Si = vi / V`, `Ti = vi Π(1 + vj≠i) / V`.
fn of_product(own: &[f64]) -> Vec<[f64; 2]> {
    let product: f64 = own.iter().map(|each| 1.0 + each).product();
    let indices = own
        .iter()
        .map(|each| [*each, each * product / (1.0 + each)]);
    indices
        .map(|pair| pair.map(|part| part / (product - 1.0)))
        .collect()
}

/// Variance of `x^power` over its squared mean, `x` evenly between two numbers.
fn power(from: f64, to: f64, power: i32) -> f64 {
    let mean = |power: i32| match power {
        -1 => (to / from).ln() / (to - from),
        power => (to.powi(power + 1) - from.powi(power + 1)) / f64::from(power + 1) / (to - from),
    };
    mean(2 * power) / mean(power).powi(2) - 1.0
}

/// The whole way from a study file: Sobol's indices of a frame's results against the closed form
/// of products (textbook). Tolerance: 0.02 for 1024 base samples.
#[test]
fn indices_of_a_frame_are_those_of_a_product() {
    let folder = scratch("sensitivity-rod", ROD);
    done(&folder, &["sweep", "study.toml", "--out", "table.csv"]);
    done(&folder, &["sensitivity", "table.csv", "--tables", "tables"]);
    let force = power(50.0, 150.0, 1);
    let slope = of_product(&[power(8.0, 12.0, -4), power(70.0, 200.0, -1), force]);
    let stress = of_product(&[power(8.0, 12.0, -3), 0.0, force]);
    let rows = table(&folder.join("tables/indices.csv"));
    assert_eq!(rows.len(), 6);
    for (row, expected) in rows.iter().zip(slope.iter().chain(&stress)) {
        for (at, expected) in [2, 5].into_iter().zip(expected) {
            let found: f64 = row[at].parse().expect("a number");
            assert!(
                (found - expected).abs() < 0.02,
                "{row:?}: {found} for {expected}"
            );
        }
        assert_eq!([&row[8], &row[9]], ["1024", "0"]);
    }
    // The modulus is nothing to the stress, to the last digit but rounding.
    let total: f64 = rows[4][5].parse().expect("a number");
    assert!(total.abs() < 1e-12, "{total}");
}

/// Parts, stops and file kinds change nothing.
#[test]
fn blocks_may_be_cut_anywhere() {
    let folder = scratch("sensitivity-parts", &ROD.replace("1024", "64"));
    done(&folder, &["sweep", "study.toml", "--out", "whole.csv"]);
    for part in ["1/3", "2/3", "3/3"] {
        let out = format!("{}.part", &part[..1]);
        done(
            &folder,
            &["sweep", "study.toml", "--part", part, "--out", &out],
        );
    }
    let parts = ["1.part", "2.part", "3.part"];
    let gather = |out| [["gather"].as_slice(), &parts, &["--out", out]].concat();
    done(&folder, &gather("joined.csv"));
    assert_eq!(bytes(&folder, "whole.csv"), bytes(&folder, "joined.csv"));
    let whole = said(&folder, &["sensitivity", "whole.csv"]);
    assert!(whole.contains("320 samples, none failed"), "{whole}");
    if cfg!(feature = "parquet") {
        done(&folder, &gather("joined.parquet"));
        assert_eq!(said(&folder, &["sensitivity", "joined.parquet"]), whole);
    }
}

#[test]
fn a_page_and_pictures_need_nothing_else() {
    let folder = scratch("sensitivity-page", &ROD.replace("1024", "64"));
    done(&folder, &["sweep", "study.toml", "--out", "table.csv"]);
    let out = [
        "sensitivity",
        "table.csv",
        "--html",
        "page.html",
        "--plots",
        "pictures",
    ];
    let chosen = [
        "--output",
        "slope_rad",
        "--contour",
        "force_n",
        "diameter_mm",
    ];
    done(&folder, &[out.as_slice(), &chosen].concat());
    let page = fs::read_to_string(folder.join("page.html")).expect("a page");
    for expected in [
        "Rod, metal and force",
        "first order (95 %)",
        "Rank correlations (Spearman)",
        "smooth surface over force, N and diameter, mm",
        "percentile bootstrap",
    ] {
        assert!(page.contains(expected), "{expected}");
    }
    assert_eq!(page.matches("<svg").count(), 5);
    assert!(
        !page.contains("stress_mpa"),
        "only one output was asked for"
    );
    for outside in ["src=", "href=", "url(", "@import", "NaN", "inf,"] {
        assert!(!page.contains(outside), "{outside}");
    }
    let mut names: Vec<String> = fs::read_dir(folder.join("pictures"))
        .expect("a folder of pictures")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("plain")
        })
        .collect();
    names.sort();
    let expected = ["contour", "indices", "main-effects", "scatter", "tornado"];
    let expected: Vec<String> = expected
        .iter()
        .flat_map(|kind| ["png", "svg"].map(|ending| format!("slope-rad-{kind}.{ending}")))
        .collect();
    assert_eq!(names, expected);
}

#[test]
fn what_indices_cannot_be_asked_of_is_refused() {
    let correlation = "[[correlation]]\nbetween = [\"diameter_mm\", \"force_n\"]\nrank = 0.5\n";
    let constraint = "[[constraint]]\nsmaller = \"section.rod.circle.diameter_mm\"\nthan = \
                      \"material.titanium.youngs_modulus_gpa\"\n";
    for (added, told) in [
        (
            correlation,
            "correlation[1] cannot stand beside plan.sobol-indices",
        ),
        (
            constraint,
            "constraint[1] cannot stand beside plan.sobol-indices",
        ),
    ] {
        let study = format!("{ROD}{added}");
        let folder = scratch("sensitivity-refused", &study);
        let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
        assert!(
            message.contains("study.toml:") && message.contains(told),
            "{message}"
        );
        assert!(message.contains("independent inputs"), "{message}");
    }
    let folder = scratch("sensitivity-few", &ROD.replace("1024", "8"));
    let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    assert!(message.contains("base_samples = 8"), "{message}");
}

#[test]
fn mistakes_are_told_with_what_there_is() {
    let folder = scratch("sensitivity-bad", &ROD.replace("1024", "16"));
    done(&folder, &["sweep", "study.toml", "--out", "table.csv"]);
    let told = |arguments: &[&str], expected: &str| {
        let message = refused(&folder, &[&["sensitivity"], arguments].concat());
        assert!(message.contains(expected), "{arguments:?}: {message}");
    };
    told(
        &["table.csv", "--output", "slop_rad"],
        "did you mean slope_rad?",
    );
    told(
        &["table.csv", "--contour", "force_n", "force_n"],
        "two different inputs",
    );
    told(
        &["table.csv", "--contour", "force_n", "d"],
        "is no such column",
    );
    told(&["study.toml"], "needs study.toml.meta.json beside it");
    let part = ["sweep", "study.toml", "--part", "1/2", "--out", "1.part"];
    done(&folder, &part);
    told(&["1.part"], "gather makes parts a table");
    let whole = fs::read_to_string(folder.join("table.csv")).unwrap();
    let cut: String = whole
        .lines()
        .take(20)
        .map(|line| format!("{line}\n"))
        .collect();
    fs::write(folder.join("table.csv"), cut).unwrap();
    told(
        &["table.csv"],
        "has 19 rows, not the 80 it was written with",
    );
    fs::write(
        folder.join("table.csv"),
        whole.replacen("force_n", "force", 1),
    )
    .unwrap();
    told(&["table.csv"], "has not the columns it was written with");
    fs::write(folder.join("table.csv"), whole.replacen("\n0,", "\n0,x", 1)).unwrap();
    told(&["table.csv"], "line 2: 'x");
    told(&["gone.csv"], "gone.csv: ");
}

/// A table of blocks of two inputs and one output, `y = x1 + 2 x2`; `broken` says what becomes of
/// a sample: a reason, or no row at all.
fn blocks(count: u64, broken: impl Fn(u64) -> Option<&'static str>, gone: &[u64]) -> Finished {
    let design = clavibeam::sampling::Saltelli::new(2, count, 1).expect("a small design");
    let samples: Vec<u64> = (0..design.samples())
        .filter(|each| !gone.contains(each))
        .collect();
    let point = |axis: usize| {
        samples
            .iter()
            .map(|&each| design.point(each)[axis])
            .collect::<Vec<_>>()
    };
    let (x1, x2) = (point(0), point(1));
    let reasons = samples
        .iter()
        .map(|&each| broken(each).unwrap_or_default().to_owned());
    let failure: Vec<String> = reasons.collect();
    let output = (x1.iter().zip(&x2).zip(&failure)).map(|((x1, x2), failed)| {
        if failed.is_empty() {
            x1 + 2.0 * x2
        } else {
            f64::NAN
        }
    });
    let output = output.collect();
    let numbers = samples.iter().map(|&each| each as f64).collect();
    let column = |(name, number): (&str, bool)| Column {
        name: name.to_owned(),
        number,
    };
    let columns = [
        ("sample", true),
        ("x1", true),
        ("x2", true),
        ("y", true),
        ("failure", false),
    ];
    Finished {
        manifest: Manifest {
            format: String::new(),
            version: String::new(),
            title: "blocks".to_owned(),
            study: String::new(),
            plan: "blocks".to_owned(),
            seed: Some(1),
            samples: design.samples(),
            part: Part::WHOLE,
            columns: columns.into_iter().map(column).collect(),
            inputs: 2,
            block: Some(design.block()),
            correlations: Vec::new(),
            constraints: Vec::new(),
            rows: None,
            failed: None,
            mark: None,
        },
        columns: vec![
            Cells::Numbers(numbers),
            Cells::Numbers(x1),
            Cells::Numbers(x2),
            Cells::Numbers(output),
            Cells::Words(failure),
        ],
    }
}

/// A block with a failed or missing sample is dropped whole, counted, and told; what is left is as
/// if it had never been there.
#[test]
fn broken_blocks_are_dropped_whole_and_told() {
    let choice = Choice::default();
    let whole = analyse(blocks(64, |_| None, &[]), &choice).expect("a table");
    let indices = whole.outputs[0].indices.as_ref().expect("blocks");
    assert_eq!((indices.blocks, indices.whole), (64, 64));
    assert!(whole.cautions.is_empty(), "{:?}", whole.cautions);
    assert_eq!(whole.used, 128);

    // Sample 13 lies in block 3 (12 to 15), 22 and 23 in block 5, and 40 begins block 10.
    let failing = |sample| match sample {
        13 => Some("too thick"),
        22 | 23 => Some("too thin"),
        _ => None,
    };
    let broken = analyse(blocks(64, failing, &[40]), &choice).expect("a table");
    let found = broken.outputs[0].indices.as_ref().expect("blocks");
    assert_eq!((found.blocks, found.whole), (64, 61));
    let told = broken.cautions.join("\n");
    for expected in ["3 of 255 rows failed", "3 of 64 blocks", "1 of 256 samples"] {
        assert!(told.contains(expected), "{expected}: {told}");
    }
    let reasons: Vec<_> = (broken.failures.iter())
        .map(|failure| (failure.reason.as_str(), failure.count, failure.first_sample))
        .collect();
    assert_eq!(reasons, [("too thin", 2, 22), ("too thick", 1, 13)]);
    let without: Vec<u64> = (12..16).chain(20..24).chain(40..44).collect();
    let never = analyse(blocks(64, |_| None, &without), &choice).expect("a table");
    assert_eq!(
        never.outputs[0].indices.as_ref().map(|all| &all.of_inputs),
        Some(&found.of_inputs)
    );
    // Half of all blocks: the indices are of another range.
    let many = analyse(
        blocks(64, |each| (each < 128).then_some("no"), &[]),
        &choice,
    );
    let many = many.expect("a table").cautions.join("\n");
    assert!(many.contains("narrow the ranges"), "{many}");
    let nothing = analyse(blocks(64, |_| Some("no"), &[]), &choice).expect("a table");
    assert!(nothing.outputs[0].effects.is_empty());
    let nothing = nothing.cautions.join("\n");
    assert!(
        nothing.contains("y: has no value in any sample"),
        "{nothing}"
    );
}

/// The shipped study for indices, with fewer blocks: every sample has a result, and thickness
/// leads for each output, as its README says.
#[test]
fn the_shipped_study_for_indices_runs() {
    let root = env!("CARGO_MANIFEST_DIR");
    let study = fs::read_to_string(format!("{root}/models/studies/plate-indices.toml")).unwrap();
    let study = study.replace("base_samples = 512", "base_samples = 32");
    let study = study.replace("\"../", &format!("\"{root}/models/"));
    let folder = scratch("sensitivity-shipped", &study);
    done(&folder, &["sweep", "study.toml", "--out", "table.csv"]);
    let text = said(&folder, &["sensitivity", "table.csv"]);
    assert!(text.contains("256 samples, none failed"), "{text}");
    let lines: Vec<&str> = text.lines().map(str::trim_start).collect();
    let leading = lines
        .windows(2)
        .filter(|pair| pair[0].starts_with("input,"));
    let leading: Vec<&str> = leading.map(|pair| pair[1]).collect();
    assert_eq!(leading.len(), 3, "{text}");
    let led = |line: &&str| line.starts_with("thickness_mm");
    assert!(leading.iter().all(led), "{text}");
}
