//! The pictures of a comparison, as SVG and PNG from the same drawing code.

mod allowed;
mod along;
mod anatomy;
pub(crate) mod axis;
pub(super) mod figure;
mod free_body;
mod margins;
mod purchase;
mod scatter;
mod stiffness;

use std::path::{Path, PathBuf};

use plotters::prelude::DrawingBackend;

use crate::assess::{Assessment, ConstructAssessment};

use super::style::{Align, Drawn, Point, Sheet, Type};
use super::words::{shortened, wrapped};
use figure::{Picture, Plan, write_all};

pub use figure::{Figure, PlotError};

/// All pictures of a comparison.
pub fn plots(assessment: &Assessment) -> Vec<Figure> {
    let plans = plans(assessment).into_iter();
    plans.map(|plan| plan.figure(assessment)).collect()
}

/// Writes every picture as `.svg` and `.png` into a directory, made if it is not there.
///
/// Returns the files written.
///
/// # Errors
///
/// When the directory or a file cannot be written.
pub fn write_plots(directory: &Path, assessment: &Assessment) -> Result<Vec<PathBuf>, PlotError> {
    write_all(directory, &plans(assessment), assessment)
}

/// What a picture shows.
enum Subject {
    Anatomy,
    Stiffness,
    Margins,
    Allowed,
    Purchase,
    Scatter,
    FreeBody,
    /// Courses in the activity of this number.
    Along(usize),
}

fn plans(assessment: &Assessment) -> Vec<Plan<Subject>> {
    if assessment.constructs.is_empty() {
        return Vec::new();
    }
    let mut plans = vec![
        Plan {
            name: "anatomy".to_string(),
            caption: "The constructs on the bone, to scale, seen from the front and from above. \
                      Nails, pins and screws are drawn through the bone; a plate behind the bone \
                      is outlined with dashes."
                .to_string(),
            subject: Subject::Anatomy,
            height: anatomy::height(assessment),
        },
        Plan {
            name: "stiffness".to_string(),
            caption: "Stiffness of each construct as a share of the unbroken bone's in the same \
                      fixtures. “Slips”: nothing keeps the length, so axial stiffness means \
                      nothing."
                .to_string(),
            subject: Subject::Stiffness,
            height: stiffness::height(assessment),
        },
        Plan {
            name: "margins".to_string(),
            caption: "By how much the load could grow before the weakest part of the implant \
                      bends for good (square) or breaks after 10⁵, 10⁶ or 10⁷ such loads \
                      (circles). Left of 1 it does. The bone is shown where its margin is smaller \
                      than the implant's."
                .to_string(),
            subject: Subject::Margins,
            height: margins::height(assessment),
        },
    ];
    if assessment.constructs.iter().any(|c| !c.weeks.is_empty()) {
        plans.push(Plan {
            name: "allowed-load".to_string(),
            caption: "The largest mass that the hand of the level arm may hold in each week for every \
                      limit to be kept, and the usual advice of nothing heavier than a full cup for \
                      six weeks. Hollow marks: not even the empty arm may be raised to the level. \
                      Ten kilograms are the most looked for."
                .to_string(),
            subject: Subject::Allowed,
            height: allowed::height(assessment),
        });
    }
    if assessment.scatter.is_some() {
        plans.push(Plan {
            name: "scatter".to_string(),
            caption: "Over virtual patients: the chance that the device breaks or bends for good \
                      before union, the chance that a limit on the load is needed, and how the \
                      damage of the device at union spreads."
                .to_string(),
            subject: Subject::Scatter,
            height: scatter::height(assessment),
        });
    }
    let swept = |c: &ConstructAssessment| !c.purchase_sweep.is_empty();
    if assessment.constructs.iter().any(swept) {
        plans.push(Plan {
            name: "purchase".to_string(),
            caption:
                "What more purchase gains: bending stiffness, tilt of the fracture and largest \
                      nominal stress in the device against how far it reaches or how many screws \
                      hold it."
                    .to_string(),
            subject: Subject::Purchase,
            height: purchase::height(assessment),
        });
    }
    if free_body::has_any(assessment) {
        plans.push(Plan {
            name: "free-body".to_string(),
            caption: "The loads as free bodies. A raised arm: its weight about the shoulder scales \
                      published section forces. A strap or push: what joints, ligaments and muscles \
                      bear of it, unbroken bone; what acts between clavicle and shoulder blade is \
                      drawn on the clavicle."
                .to_string(),
            subject: Subject::FreeBody,
            height: free_body::height(assessment),
        });
    }
    for (number, activity) in assessment.activities.iter().enumerate() {
        plans.push(Plan {
            name: format!("along-{}", number + 1),
            caption: format!(
                "Bending moment and largest nominal stress along the bone: {}. Limits are drawn \
                 where stress comes near them. Stress concentrations are not in these curves but \
                 in the margins.",
                activity.name
            ),
            subject: Subject::Along(number),
            height: along::height(assessment),
        });
    }
    plans
}

impl Picture for Subject {
    type Data = Assessment;

    fn draw<DB: DrawingBackend>(
        &self,
        sheet: &Sheet<'_, DB>,
        assessment: &Assessment,
    ) -> Drawn<DB> {
        match *self {
            Subject::Anatomy => anatomy::draw(sheet, assessment),
            Subject::Stiffness => stiffness::draw(sheet, assessment),
            Subject::Margins => margins::draw(sheet, assessment),
            Subject::Allowed => allowed::draw(sheet, assessment),
            Subject::Purchase => purchase::draw(sheet, assessment),
            Subject::Scatter => scatter::draw(sheet, assessment),
            Subject::FreeBody => free_body::draw(sheet, assessment),
            Subject::Along(activity) => along::draw(sheet, assessment, activity),
        }
    }
}

/// The name of a construct to the left of its row, its lines about the middle of the row.
fn name_of_row<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, name: &str, at: Point) -> Drawn<DB> {
    const LINE: f64 = 15.0;
    let (right, middle) = at;
    let lines = wrapped(&shortened(name, 44), 22);
    let first = middle - 0.5 * LINE * (lines.len() as f64 - 1.0);
    for (number, line) in lines.iter().enumerate() {
        let at = (right, first + LINE * number as f64);
        sheet.text(at, line, Type::Label, Align::Right)?;
    }
    Ok(())
}
