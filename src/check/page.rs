//! The verification page.

use super::text::{count, figures};
use super::{Check, Convergence, PICTURE, PUBLISHED, Report, Verdict};
use crate::handcalc::four_figures;

/// What is written by hand: what was taken and what was not.
const TAKEN: &str = include_str!("page/taken.md");

/// What is written by hand: which faults were planted, and which of them a test saw.
const FAULTS: &str = include_str!("page/faults.md");

/// Topics with a section of their own, and what that says first.
const APART: [(&str, &str); 3] = [
    ("three-dimensional solids", include_str!("page/solids.md")),
    ("published bench tests", include_str!("page/bench.md")),
    ("nails around the true curve", include_str!("page/nails.md")),
];

/// The page `tests/VERIFICATION.md`, in Markdown. Numbers have four figures, so that another
/// processor gives the same page.
pub fn page(report: &Report, convergences: &[Convergence]) -> String {
    let mut page = format!(
        "# Verification\n\nMade by `clavibeam check --page tests/VERIFICATION.md`; a test holds it \
         to what the program gives. {}\n\n{TAKEN}\n",
        count(report)
    );
    if report.count(Verdict::Misses) > 0 {
        page += &misses(report);
    }
    for (topic, words) in APART {
        page += &format!("## {}\n\n{words}\n{HEAD}", capitalised(topic));
        let checks = report.checks.iter();
        page.extend(checks.filter(|check| check.topic == topic).map(row));
        page += "\n";
    }
    page += &convergence(convergences);
    page += FAULTS;
    page += &publications(report);
    page + &tables(report)
}

fn misses(report: &Report) -> String {
    let mut text = "## Published values that do not come out\n\nNothing is tuned to make them. Each is \
        asserted at the size shown: it fails when it changes, and when it agrees after all. “Off by” \
        is counted from the nearest end of what was published, its spread included.\n\n\
        | check | published | obtained | off by | why |\n|---|--:|--:|--:|---|\n"
        .to_owned();
    for check in &report.checks {
        if let (Verdict::Misses, Some(off)) = (check.verdict, check.off_by()) {
            let [published, obtained, ..] = figures(check);
            let off = format!("{:+.0} %", 100.0 * off);
            text += &format!(
                "| {}: {} ({}) | {published} | {obtained} | {off} | {} |\n",
                check.title, check.quantity, check.source, check.tolerance_reason
            );
        }
    }
    text + "\n"
}

fn convergence(convergences: &[Convergence]) -> String {
    let mut text = format!(
        "## Finer models\n\nDifference from the limit as a model is made finer. Between neighbours \
         the order must come out as told: the difference falls with that power of the spacing.\n\n\
         ![Difference from the limit against fineness, a panel for each study; dashes fall with \
         the order asserted]({PICTURE})\n\n\
         | answer and its limit | fineness: difference | order, observed | why |\n|---|---|---|---|\n"
    );
    for study in convergences {
        let levels = study.levels.iter();
        let errors = levels.map(|level| format!("{}: {:.1e}", level.fineness, level.error));
        let orders = study.levels.iter().filter_map(|level| level.order);
        let orders = orders.map(|order| format!("{order:.2}"));
        text += &format!(
            "| {} ({}) | {}: {} | {}, {} | {} |\n",
            study.title,
            four_figures(study.limit),
            study.counted,
            errors.collect::<Vec<_>>().join(", "),
            study.order,
            orders.collect::<Vec<_>>().join(" "),
            study.order_reason,
        );
    }
    text + "\n"
}

fn publications(report: &Report) -> String {
    let mut text = "## Publications\n\n| named | what | how its values were seen | checks |\n\
        |---|---|---|--:|\n"
        .to_owned();
    for publication in PUBLISHED {
        let checks = report.checks.iter();
        let used = checks.filter(|check| publication.is_used_by(check)).count();
        text += &format!(
            "| {} | {} | {} | {used} |\n",
            publication.name, publication.what, publication.seen
        );
    }
    text + "\n"
}

const HEAD: &str = "| check | expected | obtained | difference | allowed | source; why that much |\n\
    |---|--:|--:|--:|--:|---|\n";

fn tables(report: &Report) -> String {
    let mut text =
        "## All other checks\n\nDifference and what is allowed are fractions of the expected \
        value (of 1 where that is 0). A difference below 1e-6 is shown as 0.\n"
            .to_owned();
    let apart = |topic: &str| APART.iter().any(|(own, _)| *own == topic);
    for topic in report.topics().filter(|topic| !apart(&topic[0].topic)) {
        text += &format!("\n### {}\n\n{HEAD}", capitalised(&topic[0].topic));
        text.extend(topic.iter().map(row));
    }
    text
}

fn row(check: &Check) -> String {
    let [expected, obtained, difference, allowed] = figures(check);
    let note = match check.verdict {
        Verdict::Agrees => String::new(),
        other => format!("**{}** ", other.word()),
    };
    let row = format!(
        "{}: {} | {expected} | {obtained} | {difference} | {allowed} | {note}{}; {}",
        check.title, check.quantity, check.source, check.tolerance_reason
    );
    format!("| {row} |\n")
}

fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}
