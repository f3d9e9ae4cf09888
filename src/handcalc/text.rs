//! A calculation as plain text, at most 100 columns wide, and as Markdown.

use std::fmt::Write;

use super::expression::{Print, Quantity, with_unit};
use super::sheet::{Calculation, Sheet, Step};

const WIDTH: usize = 100;
/// What stands where an answer goes.
const BLANK: &str = "____________";

/// Whether answers are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answers {
    /// Everything.
    Printed,
    /// Blanks in their place, for a reader to fill in.
    Blank,
}

/// The lines of a step that every renderer prints, in order.
pub(super) struct Lines {
    /// `= 11 × 3.3³ / 12`; nothing in a question.
    pub substituted: Option<String>,
    /// `= 32.94 mm⁴`.
    pub result: String,
    /// `w = 11 mm, width of the plate; t = 3.3 mm, its thickness`.
    pub put_in: String,
    /// The finite-element value, how far off it is and why; nothing in a question.
    pub comparison: Option<String>,
}

impl Lines {
    pub fn of(step: &Step, answers: Answers) -> Self {
        let result = &step.result;
        let why = match step.why.is_empty() {
            true => String::new(),
            false => format!(": {}", step.why),
        };
        let put_in: Vec<String> = step
            .put_in()
            .map(|quantity| named(quantity, answers))
            .collect();
        match answers {
            Answers::Printed => Lines {
                substituted: Some(step.substituted())
                    .filter(|numbers| *numbers != step.formula.text(Print::Letters)),
                result: result.number_and_unit(),
                put_in: put_in.join("; "),
                comparison: step.comparison().map(|words| words + &why),
            },
            Answers::Blank => Lines {
                substituted: None,
                result: with_unit(BLANK, result.unit),
                put_in: put_in.join("; "),
                comparison: None,
            },
        }
    }
}

/// `w = 11 mm, width of the plate`; what was worked out above is named without its value in a
/// question, and without its meaning everywhere.
fn named(quantity: &Quantity, answers: Answers) -> String {
    match (quantity.worked_out, answers) {
        (false, _) => {
            let number = quantity.number_and_unit();
            format!("{} = {number}, {}", quantity.symbol, quantity.meaning)
        }
        (true, Answers::Printed) => format!("{} = {}", quantity.symbol, quantity.number_and_unit()),
        (true, Answers::Blank) => format!("{} from above", quantity.symbol),
    }
}

/// Plain text.
pub fn text(calculation: &Calculation, answers: Answers) -> String {
    let mut out = String::new();
    paragraph(&mut out, "", "", &calculation.title);
    for note in &calculation.notes {
        paragraph(&mut out, "", "", note);
    }
    for sheet in &calculation.sheets {
        out.push('\n');
        paragraph(&mut out, "", "", &sheet.title);
        let width = sheet.title.chars().count().min(WIDTH);
        paragraph(&mut out, "", "", &"=".repeat(width));
        for note in &sheet.notes {
            paragraph(&mut out, "", "", note);
        }
        for (number, step) in (1..).zip(&sheet.steps) {
            out.push('\n');
            text_step(&mut out, number, step, answers);
        }
    }
    out
}

fn text_step(out: &mut String, number: usize, step: &Step, answers: Answers) {
    let lines = Lines::of(step, answers);
    let indent = "     ";
    paragraph(out, &format!("{number:>3}. "), indent, &step.what);
    let symbol = step.result.symbol;
    let equals = " ".repeat(symbol.chars().count());
    let hanging = format!("{indent}  {equals}   ");
    paragraph(out, &format!("{indent}  "), &hanging, &step.formula_text());
    if let Some(substituted) = &lines.substituted {
        paragraph(
            out,
            &format!("{indent}  {equals} = "),
            &hanging,
            substituted,
        );
    }
    paragraph(
        out,
        &format!("{indent}  {equals} = "),
        &hanging,
        &lines.result,
    );
    if !lines.put_in.is_empty() {
        let put_in = format!("with {}", lines.put_in);
        paragraph(out, indent, &format!("{indent}  "), &put_in);
    }
    let source = format!("source: {}", step.source);
    paragraph(out, indent, &format!("{indent}  "), &source);
    if let Some(comparison) = &lines.comparison {
        let comparison = format!("finite elements: {comparison}");
        paragraph(out, indent, &format!("{indent}  "), &comparison);
    }
}

/// Words broken at blanks to the width of the page.
fn paragraph(out: &mut String, first: &str, others: &str, words: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in words.split(' ') {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(&line);
            out.push('\n');
            line = others.to_owned();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(&line);
    out.push('\n');
}

/// Markdown.
pub fn markdown(calculation: &Calculation, answers: Answers) -> String {
    let mut out = format!("# {}\n", calculation.title);
    for note in &calculation.notes {
        let _ = write!(out, "\n{note}\n");
    }
    for sheet in &calculation.sheets {
        markdown_sheet(&mut out, sheet, answers);
    }
    out
}

fn markdown_sheet(out: &mut String, sheet: &Sheet, answers: Answers) {
    let mut push = |words: String| out.push_str(&words);
    push(format!("\n## {}\n", sheet.title));
    for note in &sheet.notes {
        push(format!("\n{note}\n"));
    }
    for (number, step) in (1..).zip(&sheet.steps) {
        let lines = Lines::of(step, answers);
        push(format!("\n### {number}. {}\n\n", step.what));
        push(format!("    {}\n", step.formula_text()));
        let equals = " ".repeat(step.result.symbol.chars().count());
        if let Some(substituted) = &lines.substituted {
            push(format!("    {equals} = {substituted}\n"));
        }
        push(format!("    {equals} = {}\n\n", lines.result));
        if !lines.put_in.is_empty() {
            push(format!("- With {}\n", lines.put_in));
        }
        push(format!("- Source: {}\n", step.source));
        if let Some(comparison) = &lines.comparison {
            push(format!("- Finite elements: {comparison}\n"));
        }
    }
}

/// The result and the formula for a page: letters, then numbers.
pub(super) fn mathml_lines(step: &Step, answers: Answers) -> Vec<String> {
    let symbol = super::expression::mathml_symbol(step.result.symbol);
    let lines = Lines::of(step, answers);
    let mut all = vec![format!(
        "{symbol}<mo>=</mo>{}",
        step.formula.mathml(Print::Letters)
    )];
    if lines.substituted.is_some() {
        let numbers = step.formula.mathml(Print::Numbers);
        all.push(format!("<mo>=</mo>{numbers}"));
    }
    let result = lines.result.replace('-', "−");
    all.push(format!("<mo>=</mo><mtext>{result}</mtext>"));
    all
}
