//! Distributions and correlations as they are typed: what they mean and what is refused.

use clavibeam::input;
use clavibeam::sampling::{CorrelationTable, Distribution, DistributionTable, correlation};

/// A file of the test: one input and its correlations.
#[derive(Debug, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct Inputs {
    /// The input.
    length_mm: DistributionTable,
    /// What goes together.
    #[serde(default)]
    correlation: Vec<CorrelationTable>,
}

/// The distribution a text means, or the message.
fn read(text: &str) -> Result<Distribution, String> {
    let document = input::parse::<Inputs>(text, "s.toml").map_err(|error| error.to_string())?;
    let (table, mut check) = (document.table, document.check);
    let found = table.length_mm.distribution("length_mm", &mut check);
    let names = ["length", "width", "wall"];
    correlation(&table.correlation, "correlation", &names, &mut check);
    check.finish(()).map_err(|error| error.to_string())?;
    Ok(found.expect("a distribution without a problem"))
}

#[test]
fn each_table_is_a_distribution() {
    for (text, median) in [
        ("fixed.value = 7", 7.0),
        ("uniform.from = 1\nuniform.to = 3", 2.0),
        (
            "triangular.from = 1\ntriangular.likeliest = 2\ntriangular.to = 3",
            2.0,
        ),
        ("normal.mean = 5\nnormal.standard_deviation = 1", 5.0),
        (
            "lognormal.median = 5\nlognormal.coefficient_of_variation = 0.3",
            5.0,
        ),
        ("measured.values = [9, 1, 4]", 4.0),
        (
            "quantiles.probabilities = [0, 1]\nquantiles.values = [2, 4]",
            3.0,
        ),
    ] {
        let found = read(&format!("[length_mm]\n{text}")).expect(text).median();
        assert!((found - median).abs() < 1e-9, "{text}: {found}");
    }
}

#[test]
fn what_cannot_be_is_refused_with_line_and_rule() {
    let pair =
        |between: &str, rank: f64| format!("[[correlation]]\nbetween = {between}\nrank = {rank}\n");
    let opposed = [["length", "width"], ["width", "wall"], ["length", "wall"]]
        .map(|names| pair(&format!("{names:?}"), -0.9))
        .concat();
    let fixed = "[length_mm]\nfixed.value = 1\n";
    for (text, message) in [
        (
            "[length_mm.normal]\nmean = 5\nstandard_deviation = -1".to_owned(),
            "s.toml:3: length_mm.normal.standard_deviation = -1 must be greater than 0",
        ),
        (
            "[length_mm.normal]\nmean = 5\nstandard_deviation = 1\nat_least = 6\nat_most = 4"
                .to_owned(),
            "s.toml:5: length_mm.normal.at_most = 4 must be greater than at_least",
        ),
        (
            "[length_mm.normal]\nmean = 5\nstandard_deviation = 1\nat_least = 90\nat_most = 91"
                .to_owned(),
            "s.toml:1: length_mm leaves nothing likely between its limits",
        ),
        (
            "[length_mm.uniform]\nfrom = 2\nto = 2".to_owned(),
            "s.toml:3: length_mm.uniform.to = 2 must be greater than from",
        ),
        (
            "[length_mm.triangular]\nfrom = 1\nlikeliest = 4\nto = 3".to_owned(),
            "s.toml:3: length_mm.triangular.likeliest = 4 must lie between from and to",
        ),
        (
            "[length_mm.quantiles]\nprobabilities = [0, 1.5]\nvalues = [1, 2]".to_owned(),
            "s.toml:2: length_mm.quantiles.probabilities = [0, 1.5] must rise from 0 to 1",
        ),
        (
            "[length_mm]\nfixed.value = 1\nuniform.from = 1\nuniform.to = 2".to_owned(),
            "length_mm has fixed and uniform: must have only one of",
        ),
        (
            format!("{fixed}{}", pair("[\"length\", \"weight\"]", 0.5)),
            "s.toml:4: correlation[1].between = [\"length\", \"weight\"] must be two of length",
        ),
        (
            format!("{fixed}{}", pair("[\"length\", \"wall\"]", 1.2)),
            "s.toml:5: correlation[1].rank = 1.2 must be greater than -1 and less than 1",
        ),
        (
            format!("{fixed}{opposed}"),
            "cannot all hold together: their matrix is not positive definite",
        ),
    ] {
        let found = read(&text).expect_err(&text);
        assert!(found.contains(message), "{found}\nfor {message}");
    }
}
