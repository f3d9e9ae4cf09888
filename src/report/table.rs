//! What the comparison table says, whatever it is printed on.

use crate::assess::{
    Assessment, ConstructAssessment, ContactState, FractureMotion, PushRange, RelativeStiffness,
    StrapPressure,
};

use super::number::{plain, three_figures};
use super::screws::weakest_pull_out;
use super::weakest::{Margins, margins, weakest_place};
use super::words::width;

/// A row of the comparison: one cell for each construct.
pub(super) struct Row {
    /// Quantity and unit.
    pub(super) label: String,
    /// Number of the activity the row belongs to; absent for the construct as such.
    pub(super) activity: Option<usize>,
    /// In case order.
    pub(super) cells: Vec<Cell>,
}

/// What stands in a cell.
pub(super) enum Cell {
    /// A number.
    Number(f64),
    /// A number with the word that says what it means.
    Verdict(f64, &'static str),
    /// Words alone.
    Words(String),
    /// Nothing to say.
    Nothing,
}

impl Cell {
    /// A margin, with a word where it is less than one.
    fn margin(margin: Option<f64>, below_one: &'static str) -> Self {
        match margin {
            None => Self::Nothing,
            Some(margin) if margin < 1.0 => Self::Verdict(margin, below_one),
            Some(margin) => Self::Number(margin),
        }
    }

    /// A range in whole numbers, or its middle where it is none.
    fn range(range: Option<PushRange>) -> Self {
        range.map_or(Self::Nothing, |range| {
            let [lowest, highest] = [range.lowest.round(), range.highest.round()];
            match lowest == highest {
                true => Self::Number(range.middle),
                false => Self::Words(format!("{lowest}–{highest}")),
            }
        })
    }

    fn number(number: Option<f64>) -> Self {
        number.map_or(Self::Nothing, Self::Number)
    }

    /// The number as printed, if there is one.
    fn figures(&self) -> Option<String> {
        match self {
            Self::Number(value) | Self::Verdict(value, _) => Some(three_figures(*value)),
            Self::Words(_) | Self::Nothing => None,
        }
    }

    fn is_nothing(&self) -> bool {
        matches!(self, Self::Nothing)
    }
}

/// All rows, those of the construct as such first.
pub(super) fn comparison(assessment: &Assessment) -> Vec<Row> {
    let mut rows = construct_rows(assessment);
    for activity in 0..assessment.activities.len() {
        rows.extend(activity_rows(assessment, activity));
    }
    rows.retain(|row| !row.cells.iter().all(Cell::is_nothing));
    rows
}

/// Characters before the decimal point of the longest number in a construct's column.
pub(super) fn whole_width(rows: &[Row], construct: usize) -> usize {
    rows.iter()
        .filter_map(|row| row.cells[construct].figures())
        .map(|figures| before_point(&figures))
        .max()
        .unwrap_or(0)
}

/// Blanks to put before a number so that its decimal point stands under the others'.
pub(super) fn indent(figures: &str, whole_width: usize) -> usize {
    whole_width.saturating_sub(before_point(figures))
}

fn before_point(figures: &str) -> usize {
    width(figures.split('.').next().unwrap_or(figures))
}

fn construct_rows(assessment: &Assessment) -> Vec<Row> {
    let row = |label: &str, cell: &dyn Fn(&ConstructAssessment) -> Cell| Row {
        label: label.to_string(),
        activity: None,
        cells: assessment.constructs.iter().map(cell).collect(),
    };
    let share = |label: &str, of: fn(&RelativeStiffness) -> f64| {
        row(label, &|construct| Cell::Number(of(&construct.stiffness)))
    };
    vec![
        row("goes in", &|construct| {
            Cell::Words(construct.fit.verdict.to_string())
        }),
        row("canal filled, %", &|construct| {
            Cell::number(construct.fit.canal_fill.map(|fill| 100.0 * fill))
        }),
        share("bending down, % intact", |s| {
            s.bending_sup_inf_percent_of_intact
        }),
        share("bending front-back, %", |s| {
            s.bending_ant_post_percent_of_intact
        }),
        share("torsion, %", |s| s.torsion_percent_of_intact),
        row("axial, %", &|construct| {
            if slips(construct) {
                Cell::Words("slips".to_string())
            } else {
                Cell::Number(construct.stiffness.axial_percent_of_intact)
            }
        }),
        row("keeps length", &|construct| {
            Cell::Words(construct.slip.length_stable.to_string())
        }),
        row("opened by putting in, mm", &|construct| {
            // Plates go on without moving the faces; in the linear model nothing does.
            let bar = construct.fit.canal_fill.and(construct.opened_by_putting_in);
            Cell::number(bar.map(|opened| opened.rim_mm))
        }),
        row("alone holds a push of, N", &|construct| {
            Cell::range(construct.slip.holds_push_n)
        }),
        row("length lost, pushed, mm", &|construct| {
            Cell::number(construct.slip.lost_length_mm)
        }),
        row("hardware stands proud, mm", &|construct| {
            Cell::Number(construct.prominence.highest_mm)
        }),
        row("strap pressure on it, kPa", &|construct| {
            let pressures = construct.strap.iter().map(StrapPressure::pressure_kpa);
            Cell::number(pressures.reduce(f64::max))
        }),
        row("after removal, bending, %", &|construct| {
            Cell::Number(construct.removal.bending_percent_of_intact)
        }),
        row("after removal, torsion, %", &|construct| {
            Cell::Number(construct.removal.torsion_percent_of_intact)
        }),
        row("weakest place", &|construct| {
            weakest_place(construct)
                .map_or(Cell::Nothing, |section| Cell::Words(section.name.clone()))
        }),
    ]
}

fn activity_rows(assessment: &Assessment, activity: usize) -> Vec<Row> {
    let row = |label: &str, cell: &dyn Fn(&ConstructAssessment) -> Cell| Row {
        label: label.to_string(),
        activity: Some(activity),
        cells: assessment.constructs.iter().map(cell).collect(),
    };
    let margin = |label: &str, below_one: &'static str, of: fn(&Margins) -> Option<f64>| {
        row(label, &|construct| {
            Cell::margin(of(&margins(construct, activity)), below_one)
        })
    };
    let motion = |label: &str, of: fn(&FractureMotion) -> f64| {
        row(label, &|construct| {
            Cell::number(construct.fracture_motion.get(activity).map(of))
        })
    };
    let contact = |label: &str, of: fn(&ContactState) -> Option<f64>| {
        let told = assessment.constructs.iter().any(|c| !c.contact.is_empty());
        told.then(|| {
            row(label, &|construct| {
                Cell::number(construct.contact.get(activity).and_then(of))
            })
        })
    };
    let mut rows = vec![
        margin("static margin", "bends", |m| m.stays_straight),
        margin("fatigue margin, 10^5", "breaks", |m| m.fatigue[0]),
        margin("fatigue margin, 10^6", "breaks", |m| m.fatigue[1]),
        margin("bone margin, if less", "breaks", Margins::bone_if_governing),
        row("buckling factor", &|construct| {
            let factor = construct.buckling_factors.get(activity).copied().flatten();
            Cell::margin(factor, "buckles")
        }),
        row("weakest screw, pull-out", &|construct| {
            Cell::margin(weakest_pull_out(construct, activity), "pulls out")
        }),
        motion("gap motion along, mm", |m| m.axial_mm),
        motion("gap motion across, mm", |m| m.shear_mm),
        motion("then stands open, mm", |m| m.stands_open_mm),
        motion("strain in the gap, %", |m| m.strain_percent),
    ];
    rows.extend(contact("ends pressed, % of rim", |c| {
        Some(c.faces_pressed_percent)
    }));
    rows.extend(contact("nail slides, mm", |c| c.nail_slip_mm));
    rows
}

/// Whether nothing holds the bone's length, so that an axial stiffness would mislead.
pub(super) fn slips(construct: &ConstructAssessment) -> bool {
    construct.slip.length_stable == "no"
}

/// What the fracture and patient are, in one line.
pub(super) fn subject(assessment: &Assessment) -> String {
    let (patient, fracture) = (&assessment.patient, &assessment.fracture);
    let callus = match fracture.callus_modulus_mpa {
        Some(modulus) => format!("callus of {} MPa", plain(modulus)),
        None => "no callus yet".to_string(),
    };
    let slope = match (fracture.obliquity_deg, fracture.obliquity_direction) {
        (Some(angle), Some(direction)) => {
            format!(" ({}°, {})", plain(angle), direction.replace('-', " "))
        }
        _ => String::new(),
    };
    format!(
        "{} fracture{slope} at {} % of the length, {} mm gap, {callus}; {}, {} clavicle of {} mm, \
         {} kg; narrowest canal {} mm at {} % of the length",
        fracture.pattern,
        plain(100.0 * fracture.position),
        plain(fracture.gap_mm),
        patient.preset,
        patient.side,
        plain(patient.length_mm),
        plain(patient.body_mass_kg),
        plain(patient.narrowest_canal_mm),
        plain(100.0 * patient.narrowest_canal_position),
    )
}

/// The stiffness that 100 % stands for.
pub(super) fn intact(assessment: &Assessment) -> String {
    let intact = &assessment.intact;
    format!(
        "Intact bone (100 %): bending down {} N·m/deg, front-back {} N·m/deg, torsion {} \
         N·m/deg, axial {} N/mm. Gap motion is from rest with the device in to load, below zero closing the gap along the \
         bone; where the faces then stand open is told against their reduced place, strain \
         over the gap at rest.",
        plain(intact.bending_sup_inf_nm_per_deg),
        plain(intact.bending_ant_post_nm_per_deg),
        plain(intact.torsion_nm_per_deg),
        plain(intact.axial_n_per_mm),
    )
}
