//! How far the stiffnesses of the shoulder's joints move the smallest margins.

use crate::assess::{Assessment, ConstructAssessment, JointSensitivity, JointsVaried};

use super::html::escaped;
use super::number::{plain, three_figures, three_figures_or_dash};
use super::words::{padded, shortened, width};

const HEADING: &str = "Joints and ligaments 0.3 and 3 times as stiff: smallest static margin";
const COLUMNS: [&str; 4] = ["construct", "as assumed", "smallest", "largest"];
/// Longest name of a construct, characters.
const NAME: usize = 30;

/// The activities in which joints hold the bone, with each construct's answers.
fn activities(
    assessment: &Assessment,
) -> Vec<(&str, Vec<(&ConstructAssessment, &JointSensitivity)>)> {
    let of = |name: &str| -> Vec<(&ConstructAssessment, &JointSensitivity)> {
        let constructs = assessment.constructs.iter();
        constructs
            .filter_map(|construct| {
                let mut all = construct.joint_sensitivity.iter();
                Some((construct, all.find(|own| own.activity == name)?))
            })
            .collect()
    };
    let names = assessment.activities.iter().map(|a| a.name.as_str());
    names
        .map(|name| (name, of(name)))
        .filter(|(_, rows)| !rows.is_empty())
        .collect()
}

fn cells(construct: &ConstructAssessment, own: &JointSensitivity) -> [String; COLUMNS.len()] {
    let with = |(varied, margin): (&JointsVaried, f64)| {
        let margin = three_figures(margin);
        format!("{margin} ({} × {})", varied.joints, varied.factor)
    };
    let [least, most] = match own.extremes() {
        Some(extremes) => extremes.map(with),
        None => [three_figures_or_dash(None), three_figures_or_dash(None)],
    };
    [
        shortened(&construct.name, NAME),
        three_figures_or_dash(own.static_margin),
        least,
        most,
    ]
}

/// What the table says in a sentence, and what is not known by it.
fn sentence(assessment: &Assessment) -> String {
    let mut widest: Option<(f64, String)> = None;
    let mut undecided: Vec<String> = Vec::new();
    for (activity, rows) in activities(assessment) {
        for (construct, own) in rows {
            let (Some(assumed), Some([(low, least), (high, most)])) =
                (own.static_margin, own.extremes())
            else {
                continue;
            };
            for (varied, margin) in [(low, least), (high, most)] {
                let apart = (margin / assumed - 1.0).abs();
                if widest.as_ref().is_none_or(|(most, _)| apart > *most) {
                    let words = format!("{}, {activity}: {}", construct.name, varied.joints);
                    widest = Some((apart, words));
                }
            }
            if least < 1.0 && most >= 1.0 {
                undecided.push(format!("{} ({activity})", construct.name));
            }
        }
    }
    let mut sentences = vec![
        "The stiffnesses of joints, ligaments and muscles are the least certain inputs. Each joint is \
         varied by itself, and all together."
            .to_owned(),
    ];
    sentences.extend(widest.map(|(apart, words)| {
        let percent = plain(100.0 * apart);
        format!("They move these margins by {percent} % at most ({words}).")
    }));
    sentences.push(match undecided.is_empty() {
        true => "None passes from holding to giving way by that.".to_owned(),
        false => format!(
            "Whether it holds depends on them: {}.",
            undecided.join(", ")
        ),
    });
    sentences.join(" ")
}

/// A block for the page: heading, lines of the table, sentence; none without such activities.
pub(super) fn blocks(assessment: &Assessment) -> Vec<(String, Vec<String>, String)> {
    let activities = activities(assessment);
    if activities.is_empty() {
        return Vec::new();
    }
    let table: Vec<(&str, Vec<[String; COLUMNS.len()]>)> = activities
        .into_iter()
        .map(|(name, rows)| {
            (
                name,
                rows.into_iter().map(|(c, own)| cells(c, own)).collect(),
            )
        })
        .collect();
    let column_width = |column: usize| {
        let cells = table.iter().flat_map(|(_, rows)| rows);
        let widths = cells.map(|row| width(&row[column]));
        widths.chain([width(COLUMNS[column])]).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..COLUMNS.len()).map(column_width).collect();
    let line = |cells: &[&str]| {
        let cells = cells.iter().zip(&widths);
        let cells: Vec<String> = cells.map(|(cell, width)| padded(cell, *width)).collect();
        format!("  {}", cells.join("  "))
    };
    let mut lines = vec![line(&COLUMNS)];
    for (name, rows) in &table {
        lines.push(format!("  {name}:"));
        for row in rows {
            lines.push(line(&row.each_ref().map(String::as_str)));
        }
    }
    vec![(HEADING.to_owned(), lines, sentence(assessment))]
}

/// The same for the page of the browser.
pub(super) fn html(assessment: &Assessment) -> String {
    let activities = activities(assessment);
    if activities.is_empty() {
        return String::new();
    }
    let headings: String = COLUMNS[1..]
        .iter()
        .map(|heading| format!("<th scope=\"col\">{heading}</th>"))
        .collect();
    let mut body = String::new();
    for (name, rows) in activities {
        let name = escaped(name);
        body.push_str(&format!(
            "<tr class=\"activity\"><th scope=\"row\">{name}</th><td colspan=\"3\"></td></tr>\n"
        ));
        for (construct, own) in rows {
            let [name, numbers @ ..] = cells(construct, own);
            let numbers: String = numbers
                .iter()
                .map(|cell| format!("<td>{}</td>", escaped(cell)))
                .collect();
            let name = escaped(&name);
            body.push_str(&format!(
                "<tr><th scope=\"row\">{name}</th>{numbers}</tr>\n"
            ));
        }
    }
    format!(
        "<h2>{HEADING}</h2>\n<div class=\"scroll\">\n<table>\n<thead><tr><td></td>{headings}</tr></thead>\n\
         <tbody>\n{body}</tbody>\n</table>\n</div>\n<p class=\"quiet\">{}</p>\n",
        escaped(&sentence(assessment))
    )
}
