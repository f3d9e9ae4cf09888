//! Results as tables for the terminal: four significant digits, at most 100 columns.

use std::io::{self, Write};

use super::expect::Comparison;
use super::result::{Action, CaseResults, Motion, Named, Results};

/// Rows of a table shown; the JSON document has them all.
const MOST_ROWS: usize = 40;

/// Characters of a name shown.
const LONGEST_NAME: usize = 18;

/// A value below this share of the largest of its kind in a table is round-off.
const ROUND_OFF: f64 = 1e-9;

/// Columns of text.
const WIDTH: usize = 98;

const MOTION: [&str; 6] = ["ux mm", "uy mm", "uz mm", "rx rad", "ry rad", "rz rad"];
const ACTION: [&str; 6] = ["Fx N", "Fy N", "Fz N", "Mx N·mm", "My N·mm", "Mz N·mm"];
const CONTACT: [&str; 2] = ["pressure N", "slid mm"];
const STRESS: [&str; 3] = ["peak MPa", "at mm", "proof/peak"];
const SECTION_FORCES: [&str; 6] = ["axial N", "Vy N", "Vz N", "T N·mm", "My N·mm", "Mz N·mm"];

/// Writes the results of every load case. Nodes inside members and repeated couplings are
/// left out.
///
/// # Errors
/// The text cannot be written.
pub fn write_text(out: &mut impl Write, results: &Results) -> io::Result<()> {
    writeln!(out, "{}", results.title)?;
    for case in &results.load_cases {
        write_case(out, case)?;
    }
    writeln!(
        out,
        "\nself-check: smallest pivot ratio {:.1e} (a mechanism is below 1e-11)",
        results.smallest_pivot_ratio
    )?;
    if !results.references.is_empty() {
        writeln!(out, "\nreference values")?;
    }
    for comparison in &results.references {
        write_comparison(out, comparison)?;
    }
    Ok(())
}

fn write_case(out: &mut impl Write, case: &CaseResults) -> io::Result<()> {
    writeln!(out, "\nload case: {}", case.name)?;
    write_stability(out, case)?;

    let lengths = case.members.0.iter().map(|(_, member)| member.length_mm);
    let length = lengths.reduce(f64::max).unwrap_or(1.0);
    let motions = case.nodes.0.iter().map(|(_, motion)| six_of_motion(motion));
    let motion_scales = scales(motions, 1.0 / length);
    let member_ends = case.members.0.iter().map(|(_, member)| member.end_forces);
    let actions = (case.reactions.0.iter().chain(&case.couplings.0))
        .map(|(_, action)| *action)
        .chain(member_ends.flat_map(|ends| [ends.start, ends.end]));
    let action_scales = scales(actions.map(|action| six_of_action(&action)), length);

    let motions = table("node", &MOTION, &motion_scales, &case.nodes, six_of_motion);
    motions.write(out, "displacement and rotation, global axes")?;

    let reactions = table(
        "support",
        &ACTION,
        &action_scales,
        &case.reactions,
        six_of_action,
    );
    reactions.write(out, "reactions on the frame, global axes")?;

    let couplings = table(
        "coupling",
        &ACTION,
        &action_scales,
        &case.couplings,
        six_of_action,
    );
    couplings.write(out, "forces in couplings, their axes")?;

    write_contacts(out, case, action_scales[0], length)?;

    let mut ends = Table::new("member end", &SECTION_FORCES, &action_scales);
    let peaks = case.members.0.iter().filter_map(|(_, m)| m.peak_stress_mpa);
    let stress_scales = [peaks.fold(0.0, f64::max), 0.0, 0.0];
    let has_margin = (case.members.0.iter()).any(|(_, m)| m.proof_stress_margin.is_some());
    let headings = &STRESS[..if has_margin { 3 } else { 2 }];
    let mut stresses = Table::new("member", headings, &stress_scales);
    for (name, member) in &case.members.0 {
        let [start, end] = [member.end_forces.start, member.end_forces.end];
        let name = shortened(name);
        ends.row(format!("{name} start"), six_of_action(&start).map(Some));
        ends.row(format!("{name} end"), six_of_action(&end).map(Some));
        if let (Some(peak), Some(at)) = (member.peak_stress_mpa, member.peak_stress_at_mm) {
            stresses.row(name, [Some(peak), Some(at), member.proof_stress_margin]);
        }
    }
    ends.write(out, "section forces, local axes")?;
    stresses.write(out, "largest axial stress")?;
    writeln!(
        out,
        "\n  self-check: residual {:.1e}, loads against reactions {:.1e}",
        case.residual, case.imbalance
    )?;
    match &case.settling {
        Some(settling) => writeln!(
            out,
            "  settled in {} iterations with {} factorisations",
            settling.iterations, settling.factorisations
        ),
        None => Ok(()),
    }
}

/// How couplings that touch, stop or grip ended; of repeated ones only those that bear.
fn write_contacts(
    out: &mut impl Write,
    case: &CaseResults,
    force: f64,
    length: f64,
) -> io::Result<()> {
    let scales = [force, length];
    let mut contacts = Table::new("contact", &CONTACT, &scales);
    for (name, contact) in &case.contacts.0 {
        if !name.contains('#') || contact.state != "open" {
            contacts.row(
                format!("{:7}  {}", contact.state, shortened(name)),
                [Some(contact.pressure_n), Some(contact.slid_mm)],
            );
        }
    }
    contacts.write(out, "contact, stops and grips")
}

/// Writes what was left unbalanced before each iteration of each load case that settles.
///
/// # Errors
/// The text cannot be written.
pub fn write_trace(out: &mut impl Write, results: &Results) -> io::Result<()> {
    for case in &results.load_cases {
        if let Some(settling) = &case.settling {
            write_iterations(out, &case.name, &settling.unbalanced)?;
        }
    }
    Ok(())
}

/// What was left unbalanced before each iteration of a load case.
///
/// # Errors
/// The text cannot be written.
pub fn write_iterations(out: &mut impl Write, case: &str, unbalanced: &[f64]) -> io::Result<()> {
    writeln!(out, "\ntrace of load case: {case}")?;
    writeln!(out, "  iteration  unbalanced share")?;
    for (index, unbalanced) in unbalanced.iter().enumerate() {
        writeln!(out, "  {:>9}  {unbalanced:>16.1e}", index + 1)?;
    }
    Ok(())
}

/// Where large displacements ended, and load factors at which stability is lost.
fn write_stability(out: &mut impl Write, case: &CaseResults) -> io::Result<()> {
    let list = |factors: &[f64]| match factors.is_empty() {
        true => "none".to_owned(),
        false => {
            let shown: Vec<String> = factors.iter().map(|f| four_digits(*f)).collect();
            shown.join(", ")
        }
    };
    let mut lines = Vec::new();
    if let Some(path) = &case.path {
        let state = if path.stable { "stable" } else { "unstable" };
        lines.push(format!(
            "large displacements, {} states, up to load factor {} ({state})",
            path.states.len() - 1,
            four_digits(path.load_factor)
        ));
        if !path.limit_load_factors.is_empty() {
            let limits = list(&path.limit_load_factors);
            lines.push(format!("the load turns at load factors {limits}"));
        }
    }
    if let Some(buckling) = &case.buckling {
        let factors = list(&buckling.load_factors);
        lines.push(format!("buckles at load factors {factors}"));
    }
    for line in lines.iter().flat_map(|line| wrapped(line, WIDTH - 2)) {
        writeln!(out, "  {line}")?;
    }
    Ok(())
}

fn write_comparison(out: &mut impl Write, comparison: &Comparison) -> io::Result<()> {
    let verdict = match comparison.agrees {
        true => "agrees",
        false => "DIFFERS",
    };
    let shown = |value: Option<f64>| value.map_or("none".to_owned(), four_digits);
    writeln!(
        out,
        "  {}, {}, {}",
        comparison.load_case, comparison.place, comparison.quantity
    )?;
    writeln!(
        out,
        "    result {}, reference {}, relative difference {} (allowed {:e}): {verdict}",
        shown(comparison.result),
        four_digits(comparison.reference),
        comparison
            .difference
            .map_or("none".to_owned(), |difference| format!("{difference:.0e}")),
        comparison.tolerance,
    )?;
    for line in wrapped(&comparison.source, WIDTH - 6) {
        writeln!(out, "      {line}")?;
    }
    Ok(())
}

fn six_of_motion(motion: &Motion) -> [f64; 6] {
    let [u, r] = [motion.displacement_mm, motion.rotation_rad];
    [u[0], u[1], u[2], r[0], r[1], r[2]]
}

fn six_of_action(action: &Action) -> [f64; 6] {
    let [f, m] = [action.force_n, action.moment_nmm];
    [f[0], f[1], f[2], m[0], m[1], m[2]]
}

/// The size of forces and moments (or displacements and rotations), beside which round-off
/// is small: the largest of each, a moment being worth a force times `lever`.
fn scales(values: impl Iterator<Item = [f64; 6]>, lever: f64) -> [f64; 6] {
    let (mut force, mut moment) = (0.0_f64, 0.0_f64);
    for six in values {
        force = six[..3].iter().fold(force, |force, f| force.max(f.abs()));
        moment = six[3..]
            .iter()
            .fold(moment, |moment, m| moment.max(m.abs()));
    }
    let [f, m] = [force.max(moment / lever), moment.max(force * lever)];
    [f, f, f, m, m, m]
}

fn table<'a, T>(
    label: &'static str,
    headings: &'static [&'static str; 6],
    scales: &'a [f64; 6],
    values: &Named<T>,
    six: fn(&T) -> [f64; 6],
) -> Table<'a> {
    let mut table = Table::new(label, headings, scales);
    for (name, value) in &values.0 {
        if !name.contains('#') {
            table.row(shortened(name), six(value).map(Some));
        }
    }
    table
}

struct Table<'a> {
    label: &'static str,
    headings: &'static [&'static str],
    /// The size of what each column holds.
    scales: &'a [f64],
    rows: Vec<(String, Vec<Option<f64>>)>,
}

impl<'a> Table<'a> {
    fn new(label: &'static str, headings: &'static [&'static str], scales: &'a [f64]) -> Self {
        Table {
            label,
            headings,
            scales,
            rows: Vec::new(),
        }
    }

    fn row<const N: usize>(&mut self, name: String, values: [Option<f64>; N]) {
        self.rows.push((name, values.to_vec()));
    }

    fn write(&self, out: &mut impl Write, title: &str) -> io::Result<()> {
        if self.rows.is_empty() {
            return Ok(());
        }
        let columns = self.columns();
        let names = self.rows.iter().map(|(name, _)| name.chars().count());
        let name_width = names.chain([self.label.len()]).max().unwrap_or(0);
        writeln!(out, "\n  {title}")?;
        write!(out, "    {:name_width$}", self.label)?;
        for (heading, column) in self.headings.iter().zip(&columns) {
            let width = column[0].chars().count().max(heading.chars().count());
            write!(out, "  {heading:>width$}")?;
        }
        writeln!(out)?;
        for (index, (name, _)) in self.rows.iter().enumerate().take(MOST_ROWS) {
            write!(out, "    {name:name_width$}")?;
            for (heading, column) in self.headings.iter().zip(&columns) {
                let width = column[index].chars().count().max(heading.chars().count());
                write!(out, "  {:>width$}", column[index])?;
            }
            writeln!(out)?;
        }
        match self.rows.len().saturating_sub(MOST_ROWS) {
            0 => Ok(()),
            more => writeln!(out, "    … and {more} more: --json FILE writes them all"),
        }
    }

    /// The cells of each column, aligned at the point and equally wide.
    fn columns(&self) -> Vec<Vec<String>> {
        let column = |index: usize| {
            let cells = self.rows.iter().map(|(_, row)| match row[index] {
                Some(value) if value.abs() <= ROUND_OFF * self.scales[index] => "0".to_owned(),
                Some(value) => four_digits(value),
                None => "-".to_owned(),
            });
            aligned(cells.collect())
        };
        (0..self.headings.len()).map(column).collect()
    }
}

/// Pads cells so that their points stand below one another.
fn aligned(cells: Vec<String>) -> Vec<String> {
    let before = |cell: &String| cell.find(['.', 'e']).unwrap_or(cell.len());
    let after = |cell: &String| cell.len() - before(cell);
    let left = cells.iter().map(before).max().unwrap_or(0);
    let right = cells.iter().map(after).max().unwrap_or(0);
    let pad = |cell: &String| {
        let [left, right] = [left - before(cell), right - after(cell)];
        format!("{:left$}{cell}{:right$}", "", "")
    };
    cells.iter().map(pad).collect()
}

/// Four significant digits, with an exponent when very large or small.
fn four_digits(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let rounded = format!("{value:.3e}");
    let exponent = rounded
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse::<i32>().ok());
    match exponent {
        Some(exponent @ -3..=4) => {
            let decimals = usize::try_from(3 - exponent).unwrap_or(0);
            let number: f64 = rounded.parse().unwrap_or(value);
            format!("{number:.decimals$}")
        }
        _ => rounded,
    }
}

fn shortened(name: &str) -> String {
    match name.char_indices().nth(LONGEST_NAME) {
        Some((cut, _)) => format!("{}…", &name[..cut]),
        None => name.to_owned(),
    }
}

/// Breaks text between words into lines of at most `width` characters.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let last = lines.len() - 1;
        let used = lines[last].chars().count();
        if used > 0 && used + 1 + word.chars().count() > width {
            lines.push(word.to_owned());
        } else {
            if used > 0 {
                lines[last].push(' ');
            }
            lines[last].push_str(word);
        }
    }
    lines
}
