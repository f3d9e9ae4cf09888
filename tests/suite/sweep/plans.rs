//! What samples of each plan are: spread, correlated, left out, failed.

use super::*;

fn drawn(plan: &str, extra: &str) -> String {
    let study = CANTILEVER
        .replace(
            "range = { from = 2.0, to = 4.0, count = 5 }",
            "range = { from = 2.0, to = 4.0 }",
        )
        .replace(
            "values = [70, 105, 110, 200]",
            "distribution = { normal = { mean = 110, standard_deviation = 10, at_least = 85 } }",
        );
    study.replace("[plan.grid]", &format!("{extra}\n{plan}"))
}

fn column(rows: &[csv::StringRecord], at: usize) -> Vec<f64> {
    rows.iter()
        .map(|row| row[at].parse().expect("a number"))
        .collect()
}

fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    for (rank, index) in order.into_iter().enumerate() {
        ranks[index] = rank as f64;
    }
    ranks
}

/// Spearman's `ρ = 1 − 6 Σ d² / (n (n² − 1))`, without ties. Textbook formula.
fn rank_correlation(one: &[f64], other: &[f64]) -> f64 {
    let squares = ranks(one).into_iter().zip(ranks(other));
    let sum: f64 = squares.map(|(a, b)| (a - b) * (a - b)).sum();
    let n = one.len() as f64;
    1.0 - 6.0 * sum / (n * (n * n - 1.0))
}

/// Of `n` samples Spearman's ρ scatters by about `(1 − ρ²) / √n`; five times that is allowed,
/// which is still far from no correlation.
#[test]
fn inputs_have_the_rank_correlation_asked_for() {
    let samples = 2500;
    for (plan, asked) in [("random", 0.6), ("latin-hypercube", -0.8), ("sobol", 0.3)] {
        let correlation = format!(
            "[[correlation]]\nbetween = ['diameter_mm', 'youngs_modulus_gpa']\nrank = {asked}"
        );
        let plan = format!("[plan.{plan}]\nsamples = {samples}\nseed = 2");
        let folder = scratch("sweep-ranks", &drawn(&plan, &correlation));
        done(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
        let rows = table(&folder, "t.csv");
        let found = rank_correlation(&column(&rows, 1), &column(&rows, 2));
        let allowed = 5.0 * (1.0 - asked * asked) / f64::from(samples).sqrt();
        assert!(
            (found - asked).abs() < allowed,
            "{plan}: {found} for {asked}"
        );
        assert!(column(&rows, 2).iter().all(|modulus| *modulus >= 85.0));
    }
}

/// A Latin hypercube and Sobol's points put one of 64 samples into each 64th of a range (the
/// definition of both, for a power of two); independent draws leave some of them empty.
#[test]
fn plans_spread_their_samples_as_their_names_say() {
    let taken = |plan: &str, seed: u32| {
        let plan = format!("[plan.{plan}]\nsamples = 64\nseed = {seed}");
        let folder = scratch("sweep-spread", &drawn(&plan, ""));
        done(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
        let diameters = column(&table(&folder, "t.csv"), 1);
        let mut slots: Vec<u64> = diameters
            .iter()
            .map(|d| ((d - 2.0) * 32.0) as u64)
            .collect();
        slots.sort_unstable();
        slots.dedup();
        (slots.len(), diameters)
    };
    for plan in ["latin-hypercube", "sobol"] {
        assert_eq!(taken(plan, 1).0, 64, "{plan}");
    }
    // 64 (1 − 1/e) = 40 slots are expected.
    let (slots, first) = taken("random", 1);
    assert!((30..52).contains(&slots), "{slots}");
    for plan in ["latin-hypercube", "sobol", "random"] {
        assert_ne!(
            taken(plan, 1).1,
            taken(plan, 2).1,
            "{plan}: the seed does nothing"
        );
    }
    assert_eq!(first, taken("random", 1).1);
}

#[test]
fn parts_of_every_plan_make_the_whole() {
    for plan in ["random", "sobol", "latin-hypercube"] {
        let plan = format!("[plan.{plan}]\nsamples = 101");
        let folder = scratch("sweep-plan-parts", &drawn(&plan, ""));
        done(&folder, &["sweep", "study.toml", "--out", "whole.csv"]);
        for (part, out) in [("1/2", "1.part"), ("2/2", "2.part")] {
            done(
                &folder,
                &["sweep", "study.toml", "--part", part, "--out", out],
            );
        }
        done(
            &folder,
            &["gather", "1.part", "2.part", "--out", "joined.csv"],
        );
        assert_eq!(
            bytes(&folder, "joined.csv"),
            bytes(&folder, "whole.csv"),
            "{plan}"
        );
    }
}

/// Of 13 × 11 pairs of nail and canal those with a nail below the canal are kept: counted by hand.
#[test]
fn combinations_that_cannot_be_are_left_out_counted_and_told() {
    let study = r#"
title = "Nail in canal"
case = "CASE"
[[input]]
key = "construct.elastic nail 3.0.nail.diameter_mm"
column = "nail_mm"
range = { from = 3.0, to = 6.0, count = 13 }
[[input]]
key = "bone.canal_min_diameter_mm"
column = "canal_mm"
range = { from = 4.0, to = 6.5, count = 11 }
[plan.grid]
[[constraint]]
smaller = "construct.elastic nail 3.0.nail.diameter_mm"
than = "bone.canal_min_diameter_mm"
[[output]]
key = "constructs.elastic nail 3.0.purchase.lateral_mm"
"#;
    let folder = scratch("sweep-constraint", study);
    let output = clavibeam(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    let told = String::from_utf8(output.stdout).unwrap();
    let rows = table(&folder, "t.csv");
    let mut kept = 0;
    for nail in 0..13 {
        kept += (0..11).filter(|canal| 12 + nail < 16 + canal).count();
    }
    assert_eq!(rows.len(), kept);
    let expected = format!(
        "143 samples of 'Nail in canal': {kept} rows, {} left out as they cannot be",
        143 - kept
    );
    assert!(told.contains(&expected), "{told}");
    assert!(
        rows.iter()
            .all(|row| row[1].parse::<f64>().unwrap() < row[2].parse().unwrap())
    );
    let plan = clavibeam(&folder, &["sweep", "study.toml", "--dry-run"]);
    let plan = String::from_utf8(plan.stdout).unwrap();
    assert!(
        plan.contains("only where   construct.elastic nail 3.0.nail.diameter_mm smaller than"),
        "{plan}"
    );
    assert!(!plan.contains("of those     0 left out"), "{plan}");
}

/// Twenty-four holes make a plate longer than the bone.
#[test]
fn samples_that_fail_are_rows_with_their_reason_and_the_run_goes_on() {
    let study = r#"
title = "Holes"
case = "CASE"
[[input]]
key = "construct.superior plate.plate.hole_count"
column = "holes"
values = [8, 24, 7]
[plan.grid]
[[output]]
key = "constructs.superior plate.stiffness.torsion_nm_per_deg"
column = "torsion_nm_per_deg"
[[output]]
key = "constructs.superior plate.fit.verdict"
column = "goes_in"
"#;
    let folder = scratch("sweep-failing", study);
    let output = clavibeam(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    assert_eq!(output.status.code(), Some(0));
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(
        told.contains("3 rows, 1 failed (the column failure says why)"),
        "{told}"
    );
    let rows = table(&folder, "t.csv");
    assert_eq!(&rows[1][1], "24");
    assert_eq!([&rows[1][2], &rows[1][3]], ["", ""]);
    assert!(rows[1][4].contains("hole_count"), "{:?}", rows[1]);
    for row in [&rows[0], &rows[2]] {
        assert!(row[2].parse::<f64>().unwrap() > 0.0 && &row[3] == "yes" && row[4].is_empty());
    }
}
