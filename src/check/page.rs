//! The verification page.

use super::text::{count, figures};
use super::{Check, Convergence, PUBLISHED, Report, Verdict};
use crate::handcalc::four_figures;

/// What is written by hand: what was taken and what was not.
const TAKEN: &str = include_str!("page/taken.md");

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
    page += &convergence(convergences);
    page += &publications(report);
    page + &tables(report)
}

fn misses(report: &Report) -> String {
    let mut text = "## Published values that do not come out\n\n\
        | check | published | obtained | why |\n|---|---|---|---|\n"
        .to_owned();
    for check in &report.checks {
        if check.verdict == Verdict::Misses {
            let [published, obtained, ..] = figures(check);
            text += &format!(
                "| {}: {} ({}) | {published} | {obtained} | {} |\n",
                check.title, check.quantity, check.source, check.tolerance_reason
            );
        }
    }
    text + "\nEach is asserted at the size shown: it fails when it changes, and when it agrees.\n\n"
}

fn convergence(convergences: &[Convergence]) -> String {
    let mut text = "## More elements\n\nDifference from the limit as members are divided more \
        finely. Between neighbours the order must come out as told.\n\n\
        | answer and its limit | elements: difference | order, observed | why |\n|---|---|---|---|\n"
        .to_owned();
    for study in convergences {
        let levels = study.levels.iter();
        let errors = levels.map(|level| format!("{}: {:.1e}", level.elements, level.error));
        let orders = study.levels.iter().filter_map(|level| level.order);
        let orders = orders.map(|order| format!("{order:.2}"));
        text += &format!(
            "| {} ({}) | {} | {}, {} | {} |\n",
            study.title,
            four_figures(study.limit),
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

fn tables(report: &Report) -> String {
    let mut text = "## All checks\n\nDifference and what is allowed are fractions of the expected \
        value (of 1 where that is 0). A difference below 1e-6 is shown as 0.\n"
        .to_owned();
    for topic in report.topics() {
        text += &format!("\n### {}\n\n", capitalised(&topic[0].topic));
        text += "| check | expected | obtained | difference | allowed | source; why that much |\n\
            |---|--:|--:|--:|--:|---|\n";
        for check in topic {
            text += &row(check);
        }
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
