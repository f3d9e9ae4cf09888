//! The comparison as one HTML file that needs nothing else.

use crate::assess::{Assessment, ConstructAssessment, CriticalSection};

use super::around::around;
use super::compression;
use super::joints;
use super::number::{NOTHING, plain, three_figures, three_figures_or_dash};
use super::plot::{Figure, plots};
use super::purchase;
use super::scatter;
use super::screws;
use super::sizes;
use super::table::{Cell, Row, comparison, indent, intact, subject, whole_width};
use super::text::{LINEAR, holds, part};
use super::weakest::fatigue_margins;
use super::weeks;

const STYLE: &str = include_str!("page.css");

/// A page for the browser and the printer: answer, table, warnings, pictures, method.
pub fn html(assessment: &Assessment) -> String {
    let sections = [
        answer(assessment),
        table("Side by side", assessment),
        sizes::html(assessment),
        purchase::html(assessment),
        joints::html(assessment),
        week_tables(assessment),
        warnings(assessment),
        figures(&plots(assessment)),
        constructs(assessment),
        surroundings(assessment),
        fracture_motion(assessment),
        linear(assessment),
        loads(assessment),
        list("How stiffness was measured", &assessment.fixtures),
        defaults(assessment),
        list("What to keep in mind", &assessment.cautions),
    ];
    page(&assessment.title, &sections.concat())
}

/// A whole page around what it says.
pub(super) fn page(title: &str, body: &str) -> String {
    let title = escaped(title);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n\
         {body}</main>\n</body>\n</html>\n"
    )
}

fn answer(assessment: &Assessment) -> String {
    let sentences: String = assessment
        .summary
        .iter()
        .map(|sentence| format!("<p>{}</p>\n", escaped(sentence)))
        .collect();
    format!(
        "<h1>{}</h1>\n<div class=\"answer\">\n{sentences}</div>\n<p class=\"quiet\">{}.</p>\n",
        escaped(&assessment.title),
        escaped(&capitalised(&subject(assessment)))
    )
}

fn table(heading: &str, assessment: &Assessment) -> String {
    let intact = escaped(&intact(assessment));
    side_by_side(assessment, heading, &comparison(assessment))
        + &format!("<p class=\"quiet\">{intact}</p>\n")
}

/// What each week allows, and what to tell the patient.
fn week_tables(assessment: &Assessment) -> String {
    let tables: String = weeks::tables(assessment)
        .iter()
        .chain(&scatter::table(assessment))
        .map(|table| {
            let explanation = escaped(&table.explanation);
            side_by_side(assessment, &table.heading, &table.rows)
                + &format!("<p class=\"quiet\">{explanation}</p>\n")
        })
        .collect();
    let talks: String = assessment
        .constructs
        .iter()
        .filter_map(|construct| Some((construct, weeks::talk(construct)?)))
        .map(|(construct, topic)| bullets(&construct.name, &topic.sentences))
        .collect();
    let chances: String = assessment
        .constructs
        .iter()
        .filter_map(|construct| Some((construct, scatter::topic(construct)?)))
        .map(|(construct, topic)| bullets(&construct.name, &topic.sentences))
        .collect();
    let mut page = tables;
    for (heading, items) in [(weeks::TALK, talks), (scatter::HEADING, chances)] {
        if !items.is_empty() {
            page.push_str(&format!("<h2>{heading}</h2>\n{items}"));
        }
    }
    page
}

fn bullets(heading: &str, sentences: &[String]) -> String {
    let items: String = sentences
        .iter()
        .map(|sentence| format!("<li>{}</li>\n", escaped(sentence)))
        .collect();
    format!("<h3>{}</h3>\n<ul>\n{items}</ul>\n", escaped(heading))
}

fn side_by_side(assessment: &Assessment, heading: &str, comparison: &[Row]) -> String {
    let names: String = assessment
        .constructs
        .iter()
        .map(|construct| format!("<th scope=\"col\">{}</th>", escaped(&construct.name)))
        .collect();
    let mut rows = String::new();
    let mut activity = None;
    let whole_widths: Vec<usize> = (0..assessment.constructs.len())
        .map(|construct| whole_width(comparison, construct))
        .collect();
    for row in comparison {
        if row.activity != activity {
            activity = row.activity;
            if let Some(activity) = activity.map(|number| &assessment.activities[number]) {
                rows.push_str(&format!(
                    "<tr class=\"activity\"><th scope=\"row\">{}</th><td colspan=\"{}\">{} N·m at \
                     the fracture</td></tr>\n",
                    escaped(&activity.name),
                    assessment.constructs.len(),
                    plain(activity.fracture_moment_nm)
                ));
            }
        }
        let cells: String = row
            .cells
            .iter()
            .zip(&whole_widths)
            .map(|(words, &whole_width)| cell(words, whole_width))
            .collect();
        // A row that is part of the one above is indented in text.
        let (class, label) = match row.label.strip_prefix("  ") {
            Some(label) => (" class=\"part\"", label),
            None => ("", row.label.as_str()),
        };
        rows.push_str(&format!(
            "<tr><th scope=\"row\"{class}>{}</th>{cells}</tr>\n",
            escaped(label)
        ));
    }
    scrolled(
        heading,
        &format!("<thead><tr><td></td>{names}</tr></thead>\n<tbody>\n{rows}</tbody>"),
    )
}

/// The table of the linear answer, if asked for.
fn linear(assessment: &Assessment) -> String {
    match &assessment.linear {
        Some(linear) => {
            let table = table("With linear couplings", linear);
            format!("{table}<p class=\"quiet\">{}</p>\n", escaped(LINEAR))
        }
        None => String::new(),
    }
}

fn cell(cell: &Cell, whole_width: usize) -> String {
    let aligned = |figures: String| {
        // U+2007, a blank as wide as a digit.
        let blanks = "\u{2007}".repeat(indent(&figures, whole_width));
        format!("{blanks}{}", figures.replace('-', "−"))
    };
    match cell {
        Cell::Number(value) => format!("<td>{}</td>", aligned(three_figures(*value))),
        Cell::Verdict(value, word) => format!(
            "<td class=\"fails\">{} {word}</td>",
            aligned(three_figures(*value))
        ),
        Cell::Limited(value, word) => format!("<td>{} {word}</td>", aligned(three_figures(*value))),
        Cell::Words(words) => format!("<td class=\"words\">{}</td>", escaped(words)),
        Cell::Nothing => format!("<td>{}</td>", aligned(NOTHING.to_string())),
    }
}

fn warnings(assessment: &Assessment) -> String {
    let warned: String = assessment
        .constructs
        .iter()
        .filter(|construct| !construct.flags.is_empty())
        .map(|construct| {
            let flags: String = construct
                .flags
                .iter()
                .map(|flag| format!("<li>{}</li>\n", escaped(&capitalised(flag))))
                .collect();
            let name = escaped(&construct.name);
            format!("<h3>{name}</h3>\n<ul>\n{flags}</ul>\n")
        })
        .collect();
    if warned.is_empty() {
        return String::new();
    }
    format!("<h2>Warnings</h2>\n{warned}")
}

fn figures(figures: &[Figure]) -> String {
    let figures: String = figures.iter().map(figure).collect();
    format!("<h2>Pictures</h2>\n{figures}")
}

/// A picture and its caption.
pub(super) fn figure(figure: &Figure) -> String {
    let caption = escaped(&figure.caption);
    format!(
        "<figure>\n<div class=\"scroll\" role=\"img\" aria-label=\"{caption}\">\n{}\n\
         </div>\n<figcaption>{caption}</figcaption>\n</figure>\n",
        figure.svg.trim_end()
    )
}

fn constructs(assessment: &Assessment) -> String {
    let constructs: String = assessment
        .constructs
        .iter()
        .map(|construct| {
            format!(
                "<h3>{}</h3>\n<p>{}. Holds: {}.</p>\n<p>Goes in: {}. {}</p>\n\
                 <p>Keeps length: {}. {}</p>\n{}{}{}",
                escaped(&construct.name),
                escaped(&capitalised(&construct.device)),
                escaped(&holds(construct)),
                escaped(construct.fit.verdict),
                escaped(&construct.fit.reason),
                escaped(construct.slip.length_stable),
                escaped(&construct.slip.reason),
                critical_sections(assessment, construct),
                screws::html(assessment, construct),
                compression::html(construct)
            )
        })
        .collect();
    format!(
        "<h2>Critical sections</h2>\n<p class=\"quiet\">Stress is nominal, as defined with each \
         place; Kt is its theoretical concentration and Kf its fatigue notch factor. A margin is \
         the factor on the load at which the part bends for good (static) or breaks after so many \
         loads, bold below 1. A dash: nothing acts or no such limit is known.</p>\n{constructs}"
    )
}

/// Skin and strap, vessels and nerves, and the bone after removal.
fn surroundings(assessment: &Assessment) -> String {
    let constructs: String = assessment
        .constructs
        .iter()
        .map(|construct| {
            let topics: String = around(construct)
                .iter()
                .map(|topic| {
                    let items: String = topic
                        .sentences
                        .iter()
                        .map(|sentence| format!("<li>{}</li>\n", escaped(&capitalised(sentence))))
                        .collect();
                    format!("<p>{}</p>\n<ul>\n{items}</ul>\n", topic.heading)
                })
                .collect();
            format!("<h3>{}</h3>\n{topics}", escaped(&construct.name))
        })
        .collect();
    format!(
        "<h2>Skin, vessels and removal</h2>\n<p class=\"quiet\">Depths and places are cautions; none \
         is a clearance to drill. After removal, strength is counted at the first crack: on the rim of an \
         empty hole, under an even moment or torque, against the unbroken bone.</p>\n{constructs}"
    )
}

fn critical_sections(assessment: &Assessment, construct: &ConstructAssessment) -> String {
    let rows: String = construct
        .critical_sections
        .iter()
        .map(|section| section_rows(assessment, section))
        .collect();
    format!(
        "<div class=\"scroll\">\n<table>\n<thead><tr><th scope=\"col\">place</th>\
         <th scope=\"col\">at, % of length</th><th scope=\"col\">Kt</th><th scope=\"col\">Kf</th>\
         <th scope=\"col\">proof, MPa</th><th scope=\"col\">activity</th>\
         <th scope=\"col\">stress, MPa</th><th scope=\"col\">static margin</th>\
         <th scope=\"col\">fatigue margin, 10⁵</th><th scope=\"col\">10⁶</th>\
         <th scope=\"col\">10⁷ cycles</th></tr></thead>\n<tbody>\n{rows}</tbody>\n\
         </table>\n</div>\n"
    )
}

fn section_rows(assessment: &Assessment, section: &CriticalSection) -> String {
    let height = section.activities.len().max(1);
    let spanned = |words: &str| format!("<td rowspan=\"{height}\">{words}</td>");
    let place = format!(
        "<th scope=\"rowgroup\" rowspan=\"{height}\">{} <small>{}, {}; {}</small></th>{}{}{}{}",
        escaped(&section.name),
        part(section.part),
        escaped(&section.material),
        escaped(&section.nominal),
        spanned(&plain(100.0 * section.position)),
        spanned(&number(section.kt)),
        spanned(&number(section.kf)),
        spanned(&number(section.proof_stress_mpa)),
    );
    if section.activities.is_empty() {
        return format!("<tr>{place}{}</tr>\n", "<td>–</td>".repeat(6));
    }
    assessment
        .activities
        .iter()
        .zip(&section.activities)
        .enumerate()
        .map(|(number, (activity, stress))| {
            let margins: String = fatigue_margins(stress)
                .iter()
                .map(|&factor| margin(factor))
                .collect();
            format!(
                "<tr>{}<td class=\"words\">{}</td><td>{}</td>{}{margins}</tr>\n",
                if number == 0 { place.as_str() } else { "" },
                escaped(&activity.name),
                three_figures(stress.nominal_stress_mpa),
                margin(stress.static_margin),
            )
        })
        .collect()
}

pub(super) fn margin(factor: Option<f64>) -> String {
    let class = if factor.is_some_and(|factor| factor < 1.0) {
        " class=\"fails\""
    } else {
        ""
    };
    format!("<td{class}>{}</td>", three_figures_or_dash(factor))
}

fn fracture_motion(assessment: &Assessment) -> String {
    let mut rows = String::new();
    for construct in &assessment.constructs {
        for (activity, motion) in assessment.activities.iter().zip(&construct.fracture_motion) {
            let cells: String = [
                motion.axial_mm,
                motion.shear_mm,
                motion.angle_deg,
                motion.twist_deg,
                motion.rim_mm,
                motion.stands_open_mm,
                motion.strain_percent,
            ]
            .iter()
            .map(|&value| format!("<td>{}</td>", number(value)))
            .collect();
            rows.push_str(&format!(
                "<tr><th scope=\"row\">{}</th><td class=\"words\">{}</td>{cells}</tr>\n",
                escaped(&construct.name),
                escaped(&activity.name)
            ));
        }
    }
    scrolled(
        "Motion of the fracture",
        &format!(
            "<thead><tr><th scope=\"col\">construct</th><th scope=\"col\">activity</th>\
             <th scope=\"col\">along, mm</th><th scope=\"col\">across, mm</th>\
             <th scope=\"col\">bending, deg</th><th scope=\"col\">twist, deg</th>\
             <th scope=\"col\">most on the rim, mm</th>\
             <th scope=\"col\">then stands open, mm</th><th scope=\"col\">strain, %</th>\
             </tr></thead>\n<tbody>\n{rows}</tbody>"
        ),
    ) + "<p class=\"quiet\">How the lateral fragment moves against the medial one, from rest with the \
         device in to load. Along the bone, less than zero closes the gap. Where the faces then stand \
         open is told against their reduced place. Strain is the motion on the rim over the gap there \
         at rest.</p>\n"
}

fn loads(assessment: &Assessment) -> String {
    let rows: String = assessment
        .activities
        .iter()
        .map(|activity| {
            format!(
                "<tr><th scope=\"row\">{}</th><td class=\"words\">{}</td><td>{}</td>\
                 <td>{}</td></tr>\n",
                escaped(&activity.name),
                escaped(&activity.description),
                number(activity.peak_moment_nm),
                number(activity.fracture_moment_nm)
            )
        })
        .collect();
    scrolled(
        "Loads",
        &format!(
            "<thead><tr><th scope=\"col\">activity</th><th scope=\"col\">what acts</th>\
             <th scope=\"col\">largest bending moment, N·m</th>\
             <th scope=\"col\">at the fracture, N·m</th></tr></thead>\n<tbody>\n{rows}</tbody>"
        ),
    )
}

fn defaults(assessment: &Assessment) -> String {
    if assessment.defaults_used.is_empty() {
        return String::new();
    }
    let rows: String = assessment
        .defaults_used
        .iter()
        .map(|default| {
            format!(
                "<tr><th scope=\"row\"><code>{}</code></th><td class=\"words\">{}</td>\
                 <td class=\"words\">{}</td></tr>\n",
                escaped(&default.key),
                escaped(&default.value),
                escaped(&default.source)
            )
        })
        .collect();
    scrolled(
        "Inputs left to their defaults",
        &format!(
            "<thead><tr><th scope=\"col\">input</th><th scope=\"col\">value</th>\
             <th scope=\"col\">source</th></tr></thead>\n<tbody>\n{rows}</tbody>"
        ),
    )
}

/// A heading and a table that scrolls by itself where the page is narrow.
pub(super) fn scrolled(heading: &str, table: &str) -> String {
    format!("<h2>{heading}</h2>\n<div class=\"scroll\">\n<table>\n{table}\n</table>\n</div>\n")
}

pub(super) fn list(heading: &str, sentences: &[String]) -> String {
    if sentences.is_empty() {
        return String::new();
    }
    let items: String = sentences
        .iter()
        .map(|sentence| format!("<li>{}</li>\n", escaped(sentence)))
        .collect();
    format!("<h2>{heading}</h2>\n<ul>\n{items}</ul>\n")
}

/// A number with a true minus sign.
pub(super) fn number(value: f64) -> String {
    three_figures(value).replace('-', "−")
}

pub(super) fn capitalised(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Text that cannot be taken for markup; powers of ten as such.
pub(super) fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(letter),
        }
    }
    for (typed, raised) in [("10^5", "10⁵"), ("10^6", "10⁶"), ("10^7", "10⁷")] {
        out = out.replace(typed, raised);
    }
    out
}
