//! Disks that fill up, folders that are none, parts that are done or spoilt, studies that cannot be.

use super::*;

/// A limit on the size of files stands for a disk that fills up: the write fails, with what was
/// written so far in place.
#[cfg(unix)]
#[test]
fn a_full_disk_is_told_and_loses_nothing() {
    let study = NAIL.replace("samples = 60", "samples = 400");
    let folder = scratch("sweep-full", &study);
    done(&folder, &["sweep", "study.toml", "--out", "whole.csv"]);
    // Blocks of 1024 bytes; the signal that comes with the limit is ignored, as a full disk sends none.
    let limited = format!(
        "trap '' XFSZ; ulimit -f 16; exec '{}' sweep study.toml --out t.csv",
        env!("CARGO_BIN_EXE_clavibeam")
    );
    let output = Command::new("bash")
        .current_dir(&folder)
        .args(["-c", &limited])
        .output()
        .expect("bash starts");
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{message}");
    let safe = "t.csv.journal: run the same command again to go on";
    assert!(
        message.contains("File too large") && message.contains(safe),
        "{message}"
    );
    assert!(!folder.join("t.csv").exists());
    assert!(bytes(&folder, "t.csv.journal").len() > 15_000);
    done(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    assert_eq!(bytes(&folder, "t.csv"), bytes(&folder, "whole.csv"));
}

/// The last step fails: every row is safe, and the same command ends what was begun.
#[test]
fn a_table_that_cannot_be_placed_leaves_its_rows() {
    let folder = scratch("sweep-unplaced", CANTILEVER);
    fs::create_dir(folder.join("t.csv.unfinished")).unwrap();
    let output = clavibeam(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{message}");
    assert!(
        message.contains("t.csv: ") && message.contains("are safe in t.csv.journal"),
        "{message}"
    );
    fs::remove_dir(folder.join("t.csv.unfinished")).unwrap();
    done(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    assert_eq!(table(&folder, "t.csv").len(), 20);
    assert!(!folder.join("t.csv.journal").exists());
}

#[test]
fn a_folder_that_cannot_be_written_to_is_told_before_anything_is_done() {
    let folder = scratch("sweep-nowhere", CANTILEVER);
    for out in ["study.toml/t.csv", "missing/t.csv", "missing/t.parquet"] {
        let output = clavibeam(&folder, &["sweep", "study.toml", "--out", out]);
        let message = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{message}");
        assert!(message.contains(&format!("{out}.journal: ")), "{message}");
        assert!(!message.contains("safe"), "{message}");
    }
}

#[cfg(unix)]
#[test]
fn a_journal_that_is_a_device_is_left_alone() {
    let folder = scratch("sweep-device", CANTILEVER);
    std::os::unix::fs::symlink("/dev/zero", folder.join("t.csv.journal")).unwrap();
    let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    assert!(
        message.contains("t.csv.journal: is no ordinary file"),
        "{message}"
    );
}

/// A job that is sent again does not do its part again.
#[test]
fn a_finished_part_is_left_as_it_is_and_another_is_replaced() {
    let folder = scratch("sweep-finished", CANTILEVER);
    let part = ["sweep", "study.toml", "--part", "1/2", "--out", "1.part"];
    done(&folder, &part);
    let written = || {
        fs::metadata(folder.join("1.part"))
            .unwrap()
            .modified()
            .unwrap()
    };
    let (first, text) = (written(), bytes(&folder, "1.part"));
    done(&folder, &part);
    assert_eq!(written(), first);
    // Of another study, or damaged.
    let spoilt = String::from_utf8(text.clone())
        .unwrap()
        .replacen(",70,", ",71,", 1);
    let other = String::from_utf8(text.clone())
        .unwrap()
        .replacen("Rod and metal", "Rod", 1);
    for wrong in [spoilt, other] {
        fs::write(folder.join("1.part"), wrong).unwrap();
        done(&folder, &part);
        assert_eq!(bytes(&folder, "1.part"), text);
    }
}

#[test]
fn parts_that_are_spoilt_unfinished_or_something_else_are_named() {
    let folder = scratch("sweep-spoilt", CANTILEVER);
    for part in ["1", "2", "3"] {
        let (of, out) = (format!("{part}/3"), format!("{part}.part"));
        done(
            &folder,
            &["sweep", "study.toml", "--part", &of, "--out", &out],
        );
    }
    let whole = String::from_utf8(bytes(&folder, "2.part")).unwrap();
    let lines: Vec<&str> = whole.lines().collect();
    let mut swapped = lines.clone();
    swapped.swap(1, 2);
    let cut = whole[..whole.len() - 9].to_owned();
    let journal = whole.replacen("\"rows\":7", "\"rows\":null", 1);
    for (text, told) in [
        (swapped.join("\n") + "\n", "2.part: is damaged"),
        (
            lines[..lines.len() - 1].join("\n") + "\n",
            "2.part: is damaged",
        ),
        (cut, "2.part: is damaged"),
        (journal, "2.part: is a journal: this part is not finished"),
        (String::new(), "2.part: is not a part of a sweep"),
        (
            "sample,x\n1,2\n".to_owned(),
            "2.part: is not a part of a sweep",
        ),
    ] {
        fs::write(folder.join("2.part"), text).unwrap();
        let gather = ["gather", "1.part", "2.part", "3.part", "--out", "t.csv"];
        let message = refused(&folder, &gather);
        assert!(message.contains(told), "{told}: {message}");
        assert!(
            message.contains("missing of 'Rod and metal': part 2/3"),
            "{message}"
        );
        assert!(!folder.join("t.csv").exists());
    }
}

/// Rows of two runs in one journal would be a table with samples twice.
#[test]
fn a_journal_with_rows_out_of_order_is_refused() {
    let folder = scratch("sweep-order", CANTILEVER);
    fs::create_dir(folder.join("t.csv.unfinished")).unwrap();
    clavibeam(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    fs::remove_dir(folder.join("t.csv.unfinished")).unwrap();
    let whole = String::from_utf8(bytes(&folder, "t.csv.journal")).unwrap();
    let again = whole.lines().nth(5).unwrap();
    let (head, last) = whole.trim_end().rsplit_once('\n').unwrap();
    fs::write(
        folder.join("t.csv.journal"),
        format!("{head}\n{again}\n{last}\n"),
    )
    .unwrap();
    let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
    assert!(message.contains("t.csv.journal: is damaged"), "{message}");
    assert!(!folder.join("t.csv").exists());
}

#[test]
fn studies_that_cannot_be_are_refused() {
    let scattered = "{ normal = { mean = 8, standard_deviation = 2, at_least = 3, at_most = 13 } }";
    let wrong = [
        (
            "{ normal = { mean = 8, standard_deviation = 2, at_least = 13, at_most = 3 } }",
            "at_most",
        ),
        (
            "{ normal = { mean = 8, standard_deviation = 0 } }",
            "must be greater than 0",
        ),
        (
            "{ normal = { mean = nan, standard_deviation = 1 } }",
            "mean",
        ),
        (
            "{ normal = { mean = 8, standard_deviation = 1, at_least = 500, at_most = 501 } }",
            "nothing likely",
        ),
        (
            "{ lognormal = { median = -8, coefficient_of_variation = 0.2 } }",
            "median",
        ),
        (
            "{ uniform = { from = 8, to = 8 } }",
            "must be greater than from",
        ),
        (
            "{ triangular = { from = 3, likeliest = 14, to = 13 } }",
            "must lie between",
        ),
        (
            "{ quantiles = { probabilities = [0, 0.9], values = [3, 5] } }",
            "must rise from 0 to 1",
        ),
        (
            "{ quantiles = { probabilities = [0, 1], values = [5, 3] } }",
            "must rise",
        ),
        ("{ measured = { values = [] } }", "values"),
        (
            "{ normal = { mean = 8, standard_deviation = 1 }, fixed = { value = 3 } }",
            "only one",
        ),
        ("{ gauss = { mean = 8 } }", "gauss"),
        // Beyond what the base file may hold.
        ("{ uniform = { from = -5, to = 5 } }", "fracture.gap_mm"),
    ];
    for (typed, told) in wrong {
        let folder = scratch("sweep-impossible", &NAIL.replace(scattered, typed));
        let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
        let line = "study.toml:";
        assert!(
            message.contains(line) && message.contains(told),
            "{typed}: {message}"
        );
        assert!(!folder.join("t.csv.journal").exists());
    }
    let others = [
        (
            "gap_mm\"\ncolumn",
            "gapp_mm\"\ncolumn",
            "did you mean gap_mm",
        ),
        (
            "construct.elastic nail 3.0",
            "construct.elastic nail 3,0",
            "did you mean elastic nail 3.0",
        ),
        ("range = { from = 2.0, to = 3.5 }", "values = []", "values"),
        (
            "range = { from = 2.0, to = 3.5 }",
            "",
            "must have one of values, range, distribution",
        ),
        (
            "constructs.elastic nail 3.0.stiffness.torsion_nm_per_deg",
            "summary.1",
            "is not kept in a study",
        ),
        (
            "constructs.elastic nail 3.0.stiffness.torsion_nm_per_deg",
            "constructs.elastic nail 3.0.stiffness",
            "must go on to one number",
        ),
        (
            "constructs.elastic nail 3.0.stiffness.torsion_nm_per_deg",
            "constructs.elastic nail 3.0.weeks.5.damage",
            "names no entry at '5",
        ),
        (
            "[plan.latin-hypercube]",
            "[[correlation]]\nbetween = ['diameter_mm', 'gap']\nrank = 0.5\n[plan.latin-hypercube]",
            "gap_mm",
        ),
        (
            "[plan.latin-hypercube]",
            "[[constraint]]\nsmaller = 'fracture.gap_mm'\nthan = 'fracture.pattern'\n[plan.latin-hypercube]",
            "is neither varied nor a number",
        ),
        (
            "title = \"Nail and gap\"",
            "title = \"Nail and gap\"\nmechanics = \"contct\"",
            "did you mean \"contact\"?",
        ),
        ("roof-tiler-comminuted", "roof-tiler", "roof-tiler.toml"),
    ];
    let root = env!("CARGO_MANIFEST_DIR");
    let study = NAIL.replace("CASE", &format!("{root}/models/roof-tiler-comminuted.toml"));
    for (right, typed, told) in others {
        let folder = scratch("sweep-impossible", &study.replacen(right, typed, 1));
        let message = refused(&folder, &["sweep", "study.toml", "--out", "t.csv"]);
        assert!(message.contains(told), "{typed}: {message}");
    }
}
