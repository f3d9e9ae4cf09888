//! The pictures of a comparison, as SVG and PNG from the same drawing code.

mod allowed;
mod along;
mod anatomy;
mod axis;
mod margins;
mod purchase;
mod stiffness;

use std::path::{Path, PathBuf};
use std::{error, fmt, fs, io};

use plotters::coord::Shift;
use plotters::prelude::*;

use crate::assess::{Assessment, ConstructAssessment};

use super::style::{Drawn, Medium, Sheet, WIDTH, shown_at};

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// File name without its ending.
    pub name: String,
    /// What it shows and how to read it.
    pub caption: String,
    /// The picture as an SVG document.
    pub svg: String,
}

/// A picture that could not be written.
#[derive(Debug)]
pub struct PlotError {
    /// The file or directory.
    pub path: PathBuf,
    /// Why.
    pub source: io::Error,
}

impl fmt::Display for PlotError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path.display(), self.source)
    }
}

impl error::Error for PlotError {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        Some(&self.source)
    }
}

/// All pictures of a comparison.
pub fn plots(assessment: &Assessment) -> Vec<Figure> {
    plans(assessment)
        .into_iter()
        .map(|plan| Figure {
            svg: plan.svg(assessment),
            name: plan.name,
            caption: plan.caption,
        })
        .collect()
}

/// Writes every picture as `.svg` and `.png` into a directory, made if it is not there.
///
/// Returns the files written.
///
/// # Errors
///
/// When the directory or a file cannot be written.
pub fn write_plots(directory: &Path, assessment: &Assessment) -> Result<Vec<PathBuf>, PlotError> {
    let failed = |path: &Path, source: io::Error| PlotError {
        path: path.to_path_buf(),
        source,
    };
    fs::create_dir_all(directory).map_err(|source| failed(directory, source))?;
    let mut written = Vec::new();
    for plan in plans(assessment) {
        let svg = directory.join(format!("{}.svg", plan.name));
        fs::write(&svg, plan.svg(assessment)).map_err(|source| failed(&svg, source))?;
        let png = directory.join(format!("{}.png", plan.name));
        plan.write_png(assessment, &png)
            .map_err(|source| failed(&png, source))?;
        written.extend([svg, png]);
    }
    Ok(written)
}

/// A picture to be drawn.
struct Plan {
    name: String,
    caption: String,
    subject: Subject,
    height: f64,
}

/// What a picture shows.
enum Subject {
    Anatomy,
    Stiffness,
    Margins,
    Allowed,
    Purchase,
    /// Courses in the activity of this number.
    Along(usize),
}

fn plans(assessment: &Assessment) -> Vec<Plan> {
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

impl Plan {
    fn svg(&self, assessment: &Assessment) -> String {
        let mut svg = String::new();
        {
            let size = Medium::Svg.size(WIDTH, self.height);
            let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
            self.draw(&area, assessment, Medium::Svg)
                .and_then(|()| area.present())
                .expect("drawing into a string cannot fail");
        }
        shown_at(&svg, WIDTH, self.height)
    }

    fn write_png(&self, assessment: &Assessment, path: &Path) -> io::Result<()> {
        let size = Medium::Png.size(WIDTH, self.height);
        let area = BitMapBackend::new(path, size).into_drawing_area();
        self.draw(&area, assessment, Medium::Png)
            .and_then(|()| area.present())
            .map_err(|error| io::Error::other(error.to_string()))
    }

    fn draw<DB: DrawingBackend>(
        &self,
        area: &DrawingArea<DB, Shift>,
        assessment: &Assessment,
        medium: Medium,
    ) -> Drawn<DB> {
        let sheet = Sheet::new(area, medium)?;
        match self.subject {
            Subject::Anatomy => anatomy::draw(&sheet, assessment),
            Subject::Stiffness => stiffness::draw(&sheet, assessment),
            Subject::Margins => margins::draw(&sheet, assessment),
            Subject::Allowed => allowed::draw(&sheet, assessment),
            Subject::Purchase => purchase::draw(&sheet, assessment),
            Subject::Along(activity) => along::draw(&sheet, assessment, activity),
        }
    }
}
