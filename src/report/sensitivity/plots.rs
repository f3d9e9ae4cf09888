//! Which pictures there are, and what stands below them.

use std::path::{Path, PathBuf};

use plotters::prelude::DrawingBackend;

use super::{contour, effects, indices, names, scatter, tornado};
use crate::report::plot::figure::{Figure, Picture, Plan, PlotError, write_all};
use crate::report::style::{Drawn, Sheet};
use crate::sensitivity::{Analysis, Output, Surface, SurfaceKind};

/// What a picture shows, of the output of this number.
#[derive(Debug, Clone, Copy)]
enum Subject {
    Indices(usize),
    Tornado(usize),
    Effects(usize),
    Contour(usize),
    Scatter(usize),
}

/// All pictures of an analysis, output after output.
pub fn plots(analysis: &Analysis) -> Vec<Figure> {
    let outputs = 0..analysis.outputs.len();
    outputs
        .flat_map(|number| of_output(analysis, number))
        .collect()
}

/// Writes every picture as `.svg` and `.png` into a directory, made if it is not there.
///
/// Returns the files written.
///
/// # Errors
///
/// When the directory or a file cannot be written.
pub fn write_plots(directory: &Path, analysis: &Analysis) -> Result<Vec<PathBuf>, PlotError> {
    let outputs = 0..analysis.outputs.len();
    let plans: Vec<_> = outputs.flat_map(|number| plans(analysis, number)).collect();
    write_all(directory, &plans, analysis)
}

/// The pictures of one output.
pub(super) fn of_output(analysis: &Analysis, number: usize) -> Vec<Figure> {
    let plans = plans(analysis, number).into_iter();
    plans.map(|plan| plan.figure(analysis)).collect()
}

/// A word for a file name: of letters, digits and hyphens.
fn file_name(column: &str) -> String {
    let plain = |letter: char| match letter.is_ascii_alphanumeric() {
        true => letter.to_ascii_lowercase(),
        false => '-',
    };
    let name: String = column.chars().map(plain).collect();
    let words: Vec<&str> = name.split('-').filter(|word| !word.is_empty()).collect();
    words.join("-")
}

fn plans(analysis: &Analysis, number: usize) -> Vec<Plan<Subject>> {
    let output = &analysis.outputs[number];
    if output.effects.is_empty() {
        return Vec::new();
    }
    let mut name = file_name(&output.name);
    // Names may differ in signs only.
    let earlier = analysis.outputs[..number].iter();
    let alike = earlier.filter(|other| file_name(&other.name) == name);
    match alike.count() {
        0 => {}
        alike => name += &format!("-{}", alike + 1),
    }
    let plan = |kind: &str, subject, height, caption| Plan {
        name: format!("{name}-{kind}"),
        caption,
        subject,
        height,
    };
    let mut plans = Vec::new();
    if of_inputs(output).is_some() {
        let height = indices::height(analysis);
        plans.push(plan(
            "indices",
            Subject::Indices(number),
            height,
            of_indices(output),
        ));
    }
    let bars = "the bars at the ends are 95 % intervals of the means";
    let bars = if analysis.about.seed.is_some() {
        bars
    } else {
        "the plan is a full grid, so that no chance is in the means"
    };
    plans.push(plan(
        "tornado",
        Subject::Tornado(number),
        tornado::height(analysis),
        format!(
            "How far each input by itself moves the mean, from the lowest to the highest of its main \
             effect; beside each end the input's value there. The line is the mean of all samples; {bars}."
        ),
    ));
    plans.push(plan(
        "main-effects",
        Subject::Effects(number),
        effects::height(analysis),
        format!(
            "Main effects: the mean over all samples in which an input has about the value below, \
             whatever the others are; an input of many values is cut into parts of as many samples. \
             Dashes: mean of all samples; {}.",
            bars.replace("bars at the ends", "upright bars")
        ),
    ));
    if let Some(surface) = &output.surface {
        let caption = of_surface(analysis, surface);
        plans.push(plan(
            "contour",
            Subject::Contour(number),
            contour::HEIGHT,
            caption,
        ));
    }
    let drawn = match output.summary {
        Some(all) if all.count > scatter::MOST_DRAWN as u64 => {
            format!(
                "{} of {} samples, taken evenly",
                scatter::MOST_DRAWN,
                all.count
            )
        }
        _ => "Every sample".to_owned(),
    };
    plans.push(plan(
        "scatter",
        Subject::Scatter(number),
        scatter::height(analysis),
        format!(
            "{drawn}, against each input. At the margins: how all samples are distributed, each \
             margin on its own scale."
        ),
    ));
    plans
}

fn of_inputs(output: &Output) -> Option<&[crate::sampling::Indices]> {
    output.indices.as_ref()?.of_inputs.as_deref()
}

fn of_indices(output: &Output) -> String {
    let sum: f64 = of_inputs(output)
        .unwrap_or_default()
        .iter()
        .map(|each| each.first.value)
        .sum();
    let blocks = output.indices.as_ref().map_or(0, |all| all.whole);
    format!(
        "Sobol's indices from {blocks} blocks. First order: the share of the variance that would go if \
         this input alone were known. Total: the share that would stay if all but this one were \
         known; what it has more than the first order is its part in interactions. First orders add \
         up to {}.",
        names::share(sum)
    )
}

fn of_surface(analysis: &Analysis, surface: &Surface) -> String {
    let [x, y] = surface
        .inputs
        .map(|input| names::label(&analysis.inputs[input].name));
    match surface.kind {
        SurfaceKind::Means => format!(
            "The mean at each pair of values of {x} and {y}, whatever the other inputs are, straight \
             between them."
        ),
        SurfaceKind::Smoothed { neighbours, share } => format!(
            "A smooth surface over {x} and {y}, whatever the other inputs are: each point is a local \
             parabola through {neighbours} samples near by, drawn over the middle 95 % of each input. \
             It predicts {} % of the variance of samples that it was not fitted to; the rest is the \
             other inputs' or finer than the surface.",
            (100.0 * share).round()
        ),
    }
}

impl Picture for Subject {
    type Data = Analysis;

    fn draw<DB: DrawingBackend>(&self, sheet: &Sheet<'_, DB>, analysis: &Analysis) -> Drawn<DB> {
        let output = |number: usize| &analysis.outputs[number];
        match *self {
            Subject::Indices(number) => {
                let output = output(number);
                let of_inputs = of_inputs(output).unwrap_or_default();
                indices::draw(sheet, analysis, output, of_inputs)
            }
            Subject::Tornado(number) => tornado::draw(sheet, analysis, output(number)),
            Subject::Effects(number) => effects::draw(sheet, analysis, output(number)),
            Subject::Scatter(number) => scatter::draw(sheet, analysis, output(number)),
            Subject::Contour(number) => match &output(number).surface {
                Some(surface) => contour::draw(sheet, analysis, output(number), surface),
                None => Ok(()),
            },
        }
    }
}
