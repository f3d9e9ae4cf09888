//! Every construct of a case by hand.

use super::bar;
use super::bone::{self, Bone};
use super::loads::{self, AtFracture};
use super::plate::Plating;
use super::sheet::{Calculation, Sheet};
use crate::assess::{AssessError, ConstructAssessment, assess, compared};
use crate::case::Case;
use crate::construct::Mechanics;
use crate::device::{Device, Plate};
use crate::frame::SolveError;

/// How a calculation of a case is to be read.
const NOTES: [&str; 3] = [
    "Each line is worked out from the numbers printed above it, rounded to four figures as they are \
     printed.",
    "The finite-element values are those of the same program's linear model, in which parts do not \
     touch, part or slide, so that both answer the same question; what compare prints is with \
     contact.",
    "It informs a decision; it never makes one.",
];

/// Works out the bone, each activity and each construct of a case by hand, beside the linear
/// finite-element model.
///
/// # Errors
/// When the model cannot be solved.
pub fn of_case(case: &Case) -> Result<Calculation, AssessError> {
    let assessment = assess(case, Mechanics::Linear)?;
    let failed = |construct: &str, source: SolveError| AssessError {
        construct: construct.to_owned(),
        source,
    };
    let position = 100.0 * case.fracture.position;
    let mut sheet = Sheet::new(format!("The bone, broken at {position:.0} % of its length"));
    let bone = bone::bone(&mut sheet, case, &assessment)
        .map_err(|source| failed("intact bone", source))?;
    let mut sheets = vec![sheet];

    let mut activities = Vec::new();
    for (activity, summary) in case.activities.iter().zip(&assessment.activities) {
        let mut sheet = Sheet::new(format!("Load: {}", activity.name));
        activities.push(loads::at_fracture(&mut sheet, case, activity, summary));
        sheets.push(sheet);
    }
    for (index, model) in assessment.constructs.iter().enumerate() {
        let (name, device) = (&model.name, compared(case, index, model));
        let mut sheet = Sheet::new(format!("Construct: {name}"));
        sheet.note(sentence(&model.device));
        construct(&mut sheet, case, &bone, (device, model), &activities)
            .map_err(|source| failed(name, source))?;
        sheets.push(sheet);
    }
    Ok(Calculation {
        title: case.title.clone(),
        notes: NOTES.map(str::to_owned).to_vec(),
        sheets,
    })
}

fn construct(
    sheet: &mut Sheet,
    case: &Case,
    bone: &Bone,
    (device, model): (&Device, &ConstructAssessment),
    activities: &[AtFracture],
) -> Result<(), SolveError> {
    if case.fracture.callus.is_some() {
        sheet.note("Callus is left out by hand: the device is the only bridge over the gap.");
    }
    let largest = activities.iter().enumerate();
    let largest = largest.max_by(|(_, a), (_, b)| a.resultant.value.total_cmp(&b.resultant.value));
    let Some((index, acting)) = largest else {
        return Ok(());
    };
    sheet.note(format!(
        "Stresses and motion are those of '{}', which bends the fracture most.",
        acting.name
    ));
    let buckles = push_at_buckling(activities, model);
    match device.plates() {
        [] => bar::bar(sheet, case, bone, device, model, (acting, index), buckles),
        [plate] => one_plate(sheet, case, bone, (plate, model), (acting, index), buckles),
        plates => {
            sheet.note(
                "Two plates on different sides share the moment as springs side by side and as a \
                 couple. No textbook formula gives their shares: stresses and motion of the gap are \
                 left to the model, and each plate is worked out as if alone.",
            );
            for plate in plates {
                let plating = Plating::new(sheet, case, plate, bone, model);
                plating.net_section(sheet);
                plating.on_rollers(sheet)?;
                plating.working_length(sheet);
            }
            Ok(())
        }
    }
}

fn one_plate(
    sheet: &mut Sheet,
    case: &Case,
    bone: &Bone,
    (plate, model): (&Plate, &ConstructAssessment),
    (acting, activity): (&AtFracture, usize),
    buckles: Option<f64>,
) -> Result<(), SolveError> {
    let plating = Plating::new(sheet, case, plate, bone, model);
    plating.net_section(sheet);
    plating.on_rollers(sheet)?;
    plating.with_bone(sheet)?;
    if let Some(working) = plating.working_length(sheet) {
        plating.buckling(sheet, &working, buckles);
        plating.under(sheet, acting, activity, &working);
    }
    plating.pull_out(sheet);
    Ok(())
}

/// Push at which the model buckles under the first activity that pushes along the bone, N.
fn push_at_buckling(activities: &[AtFracture], model: &ConstructAssessment) -> Option<f64> {
    let mut factors = activities.iter().zip(&model.buckling_factors);
    factors.find_map(|(acting, factor)| Some(acting.push.as_ref()?.value * (*factor)?))
}

/// Words as a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters
        .next()
        .map(|letter| letter.to_uppercase().to_string());
    format!("{}{}.", first.unwrap_or_default(), letters.as_str())
}
