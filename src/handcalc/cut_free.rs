//! A member that others hold up, cut free: from what flows into its first end, by statics.

use super::beam::{Acting, Beam};
use super::expression::{Expression, Function, Quantity};
use super::frame::{Answer, Given, Plane, SAME, stress};
use super::sheet::{Sheet, Step};

const STATICS: &str = "equilibrium of the member cut free (textbook)";

/// Forces and moments smaller than this share of the largest count as none.
const NOTHING: f64 = 1e-7;

/// Works out the moment at the second end, and the stress where it is larger, from the section
/// forces at the first end.
///
/// * `why`: what makes more than statics of the member necessary, in words
pub(super) fn cut_free(
    sheet: &mut Sheet,
    beam: &Beam<'_>,
    acting: &Acting,
    answer: &Answer<'_>,
    given: &Given,
    why: &str,
) {
    let inside = |at: f64| at > 1e-6 && at < beam.length - 1e-6;
    if acting.points.iter().any(|(at, ..)| inside(*at)) {
        sheet.note(format!(
            "Not by hand: {why}, and a load acts between its ends."
        ));
        return;
    }
    sheet.note(format!(
        "Cut free, for {why}: what flows into its first end is the model's, the rest is statics."
    ));
    let [first, second] = [0.0, beam.length].map(|at| answer.forces(beam, at));
    let l = &given.length;
    let largest = [&first, &second]
        .map(|f| f.bending().max(beam.length * f.shear_y.hypot(f.shear_z)))
        .into_iter()
        .fold(beam.length * first.axial.abs(), f64::max);
    let mut bent = false;
    for axis in [1, 2] {
        let plane = Plane::of(beam, axis);
        let moments = [&first, &second].map(|forces| plane.moment(forces));
        // What is only rounding is nothing.
        let [start, end] = moments.map(|m| if m.abs() <= NOTHING * largest { 0.0 } else { m });
        let across = if axis == 1 {
            first.shear_y
        } else {
            first.shear_z
        };
        let even = acting.even.map_or(0.0, |even| even[axis]);
        if start.abs().max(end.abs()).max(beam.length * across.abs()) <= NOTHING * largest {
            continue;
        }
        bent = true;
        let m = Quantity::given("M_1", "moment at its first end", start, "N·mm");
        let v = Quantity::given("V_1", "shear force at its first end", across, "N");
        // Moments about local y grow with the shear along z, those about z fall with that along y.
        let mut formula = match axis {
            1 => &m - &v * l,
            _ => &m + &v * l,
        };
        if even != 0.0 {
            let q = Quantity::given("q", "force per length", even, "N/mm");
            let load = &q * l.squared() / 2.0;
            formula = match axis {
                1 => formula + load,
                _ => formula - load,
            };
        }
        let what = format!("moment at its second end, {} plane", plane.name());
        let vanishes = end == 0.0;
        let (model, reason) = match vanishes {
            true => (None, "nothing in the model: what is left is rounding"),
            false => (Some(end), SAME),
        };
        let step = Step::new(what, "M_2", "N·mm", formula, STATICS);
        let m_2 = sheet.add(step.beside(model, reason));
        let (moment, at) = match start.abs() > end.abs() {
            true => (m, 0.0),
            false => (m_2, beam.length),
        };
        stress(sheet, beam, (given, &plane), &moment, answer, at);
    }
    if !bent && first.axial.abs() * beam.length > NOTHING * largest {
        let n = Quantity::given("N", "axial force", first.axial, "N");
        let formula = Expression::function(Function::Size, &n) / &given.area;
        let peaks = beam.section.peak_axial_stress(first.axial, 0.0, 0.0);
        let model = peaks.map(|(high, low)| high.max(-low));
        let step = Step::new(
            "stress along it",
            "σ",
            "MPa",
            formula,
            "force over area (textbook)",
        );
        sheet.add(step.beside(model, SAME));
    }
}
