//! The members of a frame file by hand, where a textbook formula applies.

use super::beam::{Acting, Beam, Ends};
use super::bone::TEXTBOOK;
use super::cut_free::cut_free;
use super::expression::{Expression, Function, Quantity};
use super::formula;
use super::sheet::{Calculation, Sheet, Step};
use crate::frame::{LoadCase, SectionForces, SolveError};
use crate::frame_file::{FrameFile, Solved};
use crate::section::Outline;

const NOTES: [&str; 2] = [
    "Each line is worked out from the numbers printed above it, rounded to four figures as they are \
     printed.",
    "By hand a straight even member that stands alone, a cantilever or a beam on two supports, is \
     worked out under forces, moments and even loads. Where several members share a load, how they \
     share it is the model's answer (for the classics the comments of the file show how to find it \
     by hand), and each member cut free is worked out by statics. What is not is said with its reason.",
];

/// Shear is in both; what is left is rounding.
pub(super) const SAME: &str = "the element is exact here; only rounding differs";

/// Works out each member under each load case by hand, beside the finite-element answer.
///
/// # Errors
/// When the frame cannot be solved.
pub fn of_frame(file: &FrameFile) -> Result<Calculation, SolveError> {
    let solved = file.solved()?;
    let mut sheets = Vec::new();
    for path in &file.members {
        for case in 0..file.load_cases.len() {
            let title = format!(
                "Member {}, load case '{}'",
                path.name, file.load_cases[case].name
            );
            let mut sheet = Sheet::new(title);
            let beam = match file.analysis.large_displacement {
                Some(_) => Err("displacements are large".to_owned()),
                None => Beam::recognised(file, path),
            };
            let acting = beam.and_then(|beam| Ok((beam.acting(&file.load_cases[case])?, beam)));
            match acting {
                Ok((acting, beam)) => beam_sheet(
                    &mut sheet,
                    &beam,
                    &acting,
                    &Answer {
                        file,
                        solved: &solved,
                        case,
                    },
                ),
                Err(reason) => sheet.note(format!("Not by hand: {reason}.")),
            }
            sheets.push(sheet);
        }
    }
    Ok(Calculation {
        title: file.title.clone(),
        notes: NOTES.map(str::to_owned).to_vec(),
        sheets,
    })
}

/// The finite-element answer to one load case.
pub(super) struct Answer<'a> {
    file: &'a FrameFile,
    solved: &'a Solved,
    case: usize,
}

impl Answer<'_> {
    fn case(&self) -> &LoadCase {
        &self.file.load_cases[self.case]
    }

    /// Movement along (0) or across (1, 2) a beam, or turn about its axes (3 to 5).
    fn motion(&self, beam: &Beam<'_>, at: f64, component: usize) -> f64 {
        let (element, at) = beam.path.locate(at);
        let member = beam.path.first_element + element;
        let solution = &self.solved.solution.cases[self.case];
        let motion = solution.motion_along(&self.file.frame, self.case(), member, at);
        let row = beam.axes.row(component % 3).transpose();
        match component {
            0..3 => row.dot(&motion.fixed_rows::<3>(0)),
            _ => row.dot(&motion.fixed_rows::<3>(3)),
        }
    }

    pub fn forces(&self, beam: &Beam<'_>, at: f64) -> SectionForces {
        let (element, at) = beam.path.locate(at);
        let member = beam.path.first_element + element;
        let solution = &self.solved.solution.cases[self.case];
        solution.section_forces(&self.file.frame, self.case(), member, at)
    }
}

/// A plane in which a beam bends.
pub(super) struct Plane {
    /// Component of forces and movements: 1 is local y, 2 local z.
    pub axis: usize,
    second_moment: Quantity,
    /// Absent without shear deformation.
    shear: Option<Quantity>,
    /// Distance of the outermost fibre, if the outline is known.
    fibre: Option<f64>,
}

impl Plane {
    pub fn of(beam: &Beam<'_>, axis: usize) -> Self {
        let section = &beam.section;
        let (inertia, shear_area, fibre) = match (axis, section.outline) {
            (1, Outline::Ellipse { semi_y, .. }) => {
                (section.second_moment_z, section.shear_area_y, Some(semi_y))
            }
            (1, Outline::Box { half_y, .. }) => {
                (section.second_moment_z, section.shear_area_y, Some(half_y))
            }
            (1, _) => (section.second_moment_z, section.shear_area_y, None),
            (_, Outline::Ellipse { semi_z, .. }) => {
                (section.second_moment_y, section.shear_area_z, Some(semi_z))
            }
            (_, Outline::Box { half_z, .. }) => {
                (section.second_moment_y, section.shear_area_z, Some(half_z))
            }
            _ => (section.second_moment_y, section.shear_area_z, None),
        };
        let shear = shear_area.is_finite().then(|| {
            let meaning = "shear area, Cowper's coefficient or as given";
            Quantity::given("A_s", meaning, shear_area, "mm²")
        });
        Plane {
            axis,
            second_moment: Quantity::given("I", "second moment of area", inertia, "mm⁴"),
            shear,
            fibre,
        }
    }

    pub fn name(&self) -> &'static str {
        if self.axis == 1 { "x-y" } else { "x-z" }
    }

    /// Moment in this plane, from section forces.
    pub fn moment(&self, forces: &SectionForces) -> f64 {
        if self.axis == 1 {
            forces.moment_z
        } else {
            forces.moment_y
        }
    }
}

/// What every formula of a beam needs.
pub(super) struct Given {
    pub length: Quantity,
    youngs: Quantity,
    shear: Quantity,
    pub area: Quantity,
}

fn beam_sheet(sheet: &mut Sheet, beam: &Beam<'_>, acting: &Acting, answer: &Answer<'_>) {
    let given = Given {
        length: Quantity::given("L", "length", beam.length, "mm"),
        youngs: Quantity::given("E", "Young's modulus", beam.moduli.youngs, "MPa"),
        shear: Quantity::given("G", "shear modulus", beam.moduli.shear, "MPa"),
        area: Quantity::given("A", "area", beam.section.area, "mm²"),
    };
    if let Ends::Shared(why) = &beam.ends {
        return cut_free(sheet, beam, acting, answer, &given, why);
    }
    for axis in [1, 2] {
        let plane = Plane::of(beam, axis);
        let bent = match beam.ends {
            Ends::Cantilever { root_first } => {
                cantilever(sheet, beam, acting, answer, (&given, &plane), root_first)
            }
            Ends::Shared(_) => Ok(()),
            Ends::Simple => simple(sheet, beam, acting, answer, (&given, &plane)),
        };
        if let Err(reason) = bent {
            sheet.note(format!(
                "Bending in the {} plane not by hand: {reason}.",
                plane.name()
            ));
        }
    }
    if let Ends::Cantilever { root_first } = beam.ends {
        along_and_about(sheet, beam, acting, answer, &given, root_first);
    }
    column(sheet, beam, acting, answer, &given);
    if sheet.steps.is_empty() && sheet.notes.is_empty() {
        sheet.note("Nothing to work out by hand: the load case leaves this member alone.");
    }
}

fn cantilever(
    sheet: &mut Sheet,
    beam: &Beam<'_>,
    acting: &Acting,
    answer: &Answer<'_>,
    (given, plane): (&Given, &Plane),
    root_first: bool,
) -> Result<(), &'static str> {
    let (root, tip) = if root_first {
        (0.0, beam.length)
    } else {
        (beam.length, 0.0)
    };
    let (mut force, mut turn) = (0.0, 0.0);
    for (at, f, m) in &acting.points {
        let across = if plane.axis == 1 { m.z } else { -m.y };
        if f[plane.axis] == 0.0 && across == 0.0 {
            continue;
        }
        if (at - tip).abs() > 1e-6 {
            return Err("a load acts between its ends");
        }
        force += f[plane.axis];
        turn += if root_first { across } else { -across };
    }
    let even = acting.even.map_or(0.0, |even| even[plane.axis]);
    let (l, i) = (&given.length, &plane.second_moment);
    let bending = || &given.youngs * i;
    let mut moment: Vec<Expression> = Vec::new();
    let mut moved: Vec<Expression> = Vec::new();
    let mut sheared: Vec<Expression> = Vec::new();
    if force != 0.0 {
        let f = Quantity::given("F", "force at the tip", force, "N");
        moment.push(&f * l);
        moved.push(&f * l.cubed() / (3.0 * bending()));
        sheared.push(&f * l);
    }
    if turn != 0.0 {
        let m = Quantity::given(
            "M_t",
            "moment at the tip, bending it towards the axis",
            turn,
            "N·mm",
        );
        moment.push(Expression::from(&m));
        moved.push(&m * l.squared() / (2.0 * bending()));
    }
    if even != 0.0 {
        let q = Quantity::given("q", "force per length", even, "N/mm");
        moment.push(&q * l.squared() / 2.0);
        moved.push(&q * Expression::from(l).power(4.0) / (8.0 * bending()));
        sheared.push(&q * l.squared() / 2.0);
    }
    let Some(moment) = sum(moment) else {
        return Ok(());
    };
    let moment = ("moment at the root", moment);
    strength(sheet, beam, (given, plane), moment, answer, root);
    deflection(
        sheet,
        (given, plane),
        (moved, sheared),
        answer.motion(beam, tip, plane.axis),
        "at its tip",
    );
    Ok(())
}

fn simple(
    sheet: &mut Sheet,
    beam: &Beam<'_>,
    acting: &Acting,
    answer: &Answer<'_>,
    (given, plane): (&Given, &Plane),
) -> Result<(), &'static str> {
    let turned = acting
        .points
        .iter()
        .any(|(_, _, m)| m.y != 0.0 || m.z != 0.0);
    if turned {
        return Err("a moment acts on a beam on two supports");
    }
    let l = &given.length;
    let bending = || &given.youngs * &plane.second_moment;
    let across = acting.points.iter().map(|(at, f, _)| (*at, f[plane.axis]));
    let mut forces: Vec<(f64, f64)> = across.filter(|(_, force)| *force != 0.0).collect();
    forces.sort_by(|a, b| a.0.total_cmp(&b.0));
    let even = acting.even.map_or(0.0, |even| even[plane.axis]);
    let (moment, moved, sheared, at) = match (forces.as_slice(), even) {
        ([], 0.0) => return Ok(()),
        ([], _) => {
            let q = Quantity::given("q", "force per length", even, "N/mm");
            (
                &q * l.squared() / 8.0,
                5.0 * &q * Expression::from(l).power(4.0) / (384.0 * bending()),
                &q * l.squared() / 8.0,
                beam.length / 2.0,
            )
        }
        ([(at, force)], 0.0) => {
            let f = Quantity::given("F", "force", *force, "N");
            let a = Quantity::given("a", "first support to the force", *at, "mm");
            let b = Quantity::given("b", "force to the second support", beam.length - at, "mm");
            (
                &f * &a * &b / l,
                &f * a.squared() * b.squared() / (3.0 * bending() * l),
                &f * &a * &b / l,
                *at,
            )
        }
        ([(near, one), (far, other)], 0.0)
            if one == other && (near + far - beam.length).abs() < 1e-6 =>
        {
            let p = Quantity::given("P", "both forces together", 2.0 * one, "N");
            let h = Quantity::given("h", "support to the force beside it", *near, "mm");
            let a = Quantity::given("a", "between the forces", far - near, "mm");
            (
                &p * &h / 2.0,
                &p * h.squared() * (2.0 * &h + 3.0 * &a) / (12.0 * bending()),
                &p * &h / 2.0,
                *near,
            )
        }
        _ => return Err("several loads act at once; superpose the single ones"),
    };
    let moment = ("largest moment", moment);
    strength(sheet, beam, (given, plane), moment, answer, at);
    let place = format!("{at:.1} mm from its first end");
    deflection(
        sheet,
        (given, plane),
        (vec![moved], vec![sheared]),
        answer.motion(beam, at, plane.axis),
        &place,
    );
    Ok(())
}

fn sum(terms: Vec<Expression>) -> Option<Expression> {
    terms.into_iter().reduce(|sum, term| sum + term)
}

/// * `moved`, `sheared`: terms of the bending, and of the shearing before division by `G A_s`
fn deflection(
    sheet: &mut Sheet,
    (given, plane): (&Given, &Plane),
    (moved, sheared): (Vec<Expression>, Vec<Expression>),
    model: f64,
    place: &str,
) {
    let mut terms = moved;
    if let (Some(area), Some(sheared)) = (&plane.shear, sum(sheared)) {
        terms.push(sheared / (&given.shear * area));
    }
    if let Some(all) = sum(terms) {
        let what = format!("movement across it, {place}, {} plane", plane.name());
        sheet.add(Step::new(what, "w", "mm", all, TEXTBOOK).beside(Some(model), SAME));
    }
}

/// The bending moment at a place, and the stress it makes there.
///
/// * `moment`: what to call it, and its formula
fn strength(
    sheet: &mut Sheet,
    beam: &Beam<'_>,
    (given, plane): (&Given, &Plane),
    (name, moment): (&str, Expression),
    answer: &Answer<'_>,
    at: f64,
) {
    let own = plane.moment(&answer.forces(beam, at)).abs();
    let what = format!("{name}, {} plane", plane.name());
    let step = Step::new(what, "M", "N·mm", moment, TEXTBOOK);
    let signed = own * step.result.value.signum();
    let moment = sheet.add(step.beside(Some(signed), SAME));
    stress(sheet, beam, (given, plane), &moment, answer, at);
}

pub(super) fn stress(
    sheet: &mut Sheet,
    beam: &Beam<'_>,
    (given, plane): (&Given, &Plane),
    moment: &Quantity,
    answer: &Answer<'_>,
    at: f64,
) {
    let Some(fibre) = plane.fibre else {
        sheet.note("Stress not by hand: the outline of the section is not known.");
        return;
    };
    let c = Quantity::given("c", "axis to the outermost fibre", fibre, "mm");
    let forces = answer.forces(beam, at);
    let mut formula = Expression::function(Function::Size, moment) * &c / &plane.second_moment;
    let axial = forces.axial;
    if axial.abs() > 1e-9 {
        let n = Quantity::given("N", "axial force, from statics", axial, "N");
        formula = formula + Expression::function(Function::Size, &n) / &given.area;
    }
    let [moment_y, moment_z] = match plane.axis {
        1 => [0.0, forces.moment_z],
        _ => [forces.moment_y, 0.0],
    };
    let peaks = beam.section.peak_axial_stress(axial, moment_y, moment_z);
    let model = peaks.map(|(high, low)| high.max(-low));
    let what = format!("largest stress there, {} plane", plane.name());
    sheet.add(Step::new(what, "σ", "MPa", formula, TEXTBOOK).beside(model, SAME));
}

fn along_and_about(
    sheet: &mut Sheet,
    beam: &Beam<'_>,
    acting: &Acting,
    answer: &Answer<'_>,
    given: &Given,
    root_first: bool,
) {
    let tip = if root_first { beam.length } else { 0.0 };
    let at_tip = acting
        .points
        .iter()
        .filter(|(at, ..)| (at - tip).abs() < 1e-6);
    let (pull, torque) = at_tip.fold((0.0, 0.0), |(pull, torque), (_, f, m)| {
        (pull + f.x, torque + m.x)
    });
    if pull != 0.0 {
        let n = Quantity::given("N", "force along it at the tip", pull, "N");
        let formula = &n * &given.length / (&given.youngs * &given.area);
        let step = Step::new("movement of the tip along it", "u", "mm", formula, TEXTBOOK);
        sheet.add(step.beside(Some(answer.motion(beam, tip, 0)), SAME));
    }
    if torque != 0.0 {
        let t = Quantity::given("T", "torque at the tip", torque, "N·mm");
        let constant = beam.section.torsion_constant;
        let j = Quantity::given("J", "torsion constant", constant, "mm⁴");
        let formula = &t * &given.length / (&given.shear * &j);
        let step = Step::new("twist of the tip", "θ", "rad", formula, TEXTBOOK);
        sheet.add(step.beside(Some(answer.motion(beam, tip, 3)), SAME));
    }
}

/// Euler's load of a member pushed at its end, where the file asks for buckling.
fn column(sheet: &mut Sheet, beam: &Beam<'_>, acting: &Acting, answer: &Answer<'_>, given: &Given) {
    let Some(buckling) = answer.solved.buckling.get(answer.case) else {
        return;
    };
    let push = -answer.forces(beam, beam.length / 2.0).axial;
    if push <= 0.0
        || acting
            .points
            .iter()
            .any(|(at, f, _)| f.x != 0.0 && *at > 1e-6 && *at < beam.length - 1e-6)
    {
        return;
    }
    let section = &beam.section;
    let smaller = section.second_moment_y.min(section.second_moment_z);
    let i = Quantity::given("I_1", "smaller second moment", smaller, "mm⁴");
    let hinged = formula::euler(&given.youngs, &i, &given.length);
    let (what, formula) = match beam.ends {
        Ends::Simple => ("Euler's load of a hinged column", hinged),
        Ends::Cantilever { .. } => (
            "Euler's load of a column built in at one end, free at the other",
            hinged / 4.0,
        ),
        Ends::Shared(_) => return,
    };
    let model = buckling.load_factors.first().map(|factor| factor * push);
    sheet.add(Step::new(what, "P_E", "N", formula, "Euler's column (textbook)").beside(
        model,
        "the model's elements approach it with the fourth power of their length; shear, where the \
         member has it, lowers it",
    ));
}
