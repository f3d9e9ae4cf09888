//! A calculation as one HTML page with MathML that needs nothing else.

use super::expression::mathml_symbol;
use super::sheet::{Calculation, Sheet, Step};
use super::text::{Answers, Lines, mathml_lines};

/// The page style of the comparison, so that both pages look alike.
const STYLE: &str = include_str!("../report/page.css");
const OWN_STYLE: &str = include_str!("page.css");

/// A page for the browser and the printer.
pub fn html(calculation: &Calculation, answers: Answers) -> String {
    let title = escaped(&calculation.title);
    let notes = paragraphs(&calculation.notes);
    let contents: String = (calculation.sheets.iter().enumerate())
        .map(|(index, sheet)| {
            format!(
                "<li><a href=\"#sheet-{index}\">{}</a></li>\n",
                escaped(&sheet.title)
            )
        })
        .collect();
    let sheets: String = (calculation.sheets.iter().enumerate())
        .map(|(index, sheet)| html_sheet(index, sheet, answers))
        .collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}, by hand</title>\n<style>\n{STYLE}{OWN_STYLE}</style>\n</head>\n<body>\n\
         <main>\n<h1>{title}, by hand</h1>\n{notes}<ul>\n{contents}</ul>\n{sheets}</main>\n</body>\n\
         </html>\n"
    )
}

fn html_sheet(index: usize, sheet: &Sheet, answers: Answers) -> String {
    let steps: String = sheet
        .steps
        .iter()
        .map(|step| html_step(step, answers))
        .collect();
    format!(
        "<h2 id=\"sheet-{index}\">{}</h2>\n{}<ol class=\"steps\">\n{steps}</ol>\n",
        escaped(&sheet.title),
        paragraphs(&sheet.notes)
    )
}

fn html_step(step: &Step, answers: Answers) -> String {
    let lines = Lines::of(step, answers);
    let math: String = mathml_lines(step, answers)
        .iter()
        .map(|line| {
            format!("<div class=\"formula\"><math displaystyle=\"true\">{line}</math></div>\n")
        })
        .collect();
    let given: Vec<String> = step
        .put_in()
        .filter(|quantity| !quantity.worked_out)
        .map(|quantity| {
            format!(
                "<math>{}<mo>=</mo><mtext>{}</mtext></math> {}",
                mathml_symbol(quantity.symbol),
                escaped(&quantity.number_and_unit().replace('-', "−")),
                escaped(&quantity.meaning)
            )
        })
        .collect();
    let given = match given.is_empty() {
        true => String::new(),
        false => format!("<p class=\"given\">{}</p>\n", given.join("; ")),
    };
    let comparison = lines.comparison.map_or(String::new(), |words| {
        let words = escaped(&words.replace(" -", " −"));
        format!("<p class=\"beside\"><b>Finite elements</b> {words}</p>\n")
    });
    format!(
        "<li>\n<h3>{}</h3>\n<div class=\"scroll\">{math}</div>\n{given}{comparison}\
         <p class=\"quiet\">{}</p>\n</li>\n",
        escaped(&step.what),
        escaped(step.source)
    )
}

fn paragraphs(notes: &[String]) -> String {
    let paragraph = |note: &String| format!("<p>{}</p>\n", escaped(note));
    notes.iter().map(paragraph).collect()
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
