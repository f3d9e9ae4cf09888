//! What the screws of a construct carry, as text and as HTML.

use crate::assess::{Assessment, ConstructAssessment, ScrewAssessment, ScrewLoad};

use super::html::{escaped, margin, number};
use super::number::{three_figures, three_figures_or_dash};
use super::words::padded;

/// The smallest pull-out margin of a construct in one activity.
pub(super) fn weakest_pull_out(construct: &ConstructAssessment, activity: usize) -> Option<f64> {
    let screws = construct.screws.iter();
    let margins = screws.filter_map(|screw| screw.activities.get(activity)?.pull_out_margin);
    margins.reduce(f64::min)
}

/// The activity that bends a screw most.
fn worst(screw: &ScrewAssessment) -> Option<(usize, &ScrewLoad)> {
    let loads = screw.activities.iter().enumerate();
    loads.max_by(|(_, a), (_, b)| a.bending_stress_mpa.total_cmp(&b.bending_stress_mpa))
}

/// One line for each screw, in the activity that bends it most, under two lines of headings;
/// nothing without screws.
pub(super) fn lines(construct: &ConstructAssessment) -> Vec<String> {
    if construct.screws.is_empty() {
        return Vec::new();
    }
    let mut lines = vec![
        "  screw                          at %  cortex  pull-out  along   across  bending  pull-out"
            .to_owned(),
        "                                       mm      N         N       N       MPa      margin"
            .to_owned(),
    ];
    lines.extend(construct.screws.iter().filter_map(|screw| {
        let (_, load) = worst(screw)?;
        let weakest = screw.activities.iter().filter_map(|l| l.pull_out_margin);
        Some(format!(
            "  {}  {:<4}  {:<6}  {:<8}  {:<6}  {:<6}  {:<7}  {}",
            padded(&screw.name, 29),
            three_figures(100.0 * screw.position),
            three_figures(screw.cortex_mm),
            three_figures(screw.pull_out_n),
            three_figures(load.axial_force_n),
            three_figures(load.lateral_force_n),
            three_figures(load.bending_stress_mpa),
            three_figures_or_dash(weakest.reduce(f64::min)),
        ))
    }));
    lines
}

/// A table of every screw in every activity; nothing without screws.
pub(super) fn html(assessment: &Assessment, construct: &ConstructAssessment) -> String {
    if construct.screws.is_empty() {
        return String::new();
    }
    let rows: String = construct
        .screws
        .iter()
        .flat_map(|screw| {
            let loads = assessment.activities.iter().zip(&screw.activities);
            loads.map(move |(activity, load)| {
                format!(
                    "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td>\
                     <td class=\"words\">{}</td><td>{}</td><td>{}</td><td>{}</td>{}</tr>\n",
                    escaped(&screw.name),
                    number(100.0 * screw.position),
                    number(screw.cortex_mm),
                    number(screw.pull_out_n),
                    escaped(&activity.name),
                    number(load.axial_force_n),
                    number(load.lateral_force_n),
                    number(load.bending_stress_mpa),
                    margin(load.pull_out_margin),
                )
            })
        })
        .collect();
    format!(
        "<div class=\"scroll\">\n<table>\n<thead><tr><th scope=\"col\">screw</th>\
         <th scope=\"col\">at, % of length</th><th scope=\"col\">cortex, mm</th>\
         <th scope=\"col\">pull-out, N</th><th scope=\"col\">activity</th>\
         <th scope=\"col\">along, N</th><th scope=\"col\">across, N</th>\
         <th scope=\"col\">bending, MPa</th><th scope=\"col\">pull-out margin</th></tr></thead>\n\
         <tbody>\n{rows}</tbody>\n</table>\n</div>\n\
         <p class=\"quiet\">Along a screw, more than zero pulls it out. Pull-out after Chapman 1996 \
         with the cortex it passes through.</p>\n"
    )
}
