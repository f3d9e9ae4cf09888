//! A calculation as a list of steps, whatever it is printed on.

use super::expression::{Expression, Print, Quantity, with_unit};
use super::number::{four_figures, rounded};

/// A hand calculation.
#[derive(Debug, Clone, PartialEq)]
pub struct Calculation {
    /// Title of the case or frame.
    pub title: String,
    /// How to read it.
    pub notes: Vec<String>,
    /// What is worked out, in order.
    pub sheets: Vec<Sheet>,
}

/// One subject: the bone, a construct, a member under a load.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// What it is about.
    pub title: String,
    /// What is taken for granted, and what cannot be done by hand.
    pub notes: Vec<String>,
    /// The steps, each from numbers given or worked out above it.
    pub steps: Vec<Step>,
}

/// One number worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What is worked out.
    pub what: String,
    /// Its letter, value as printed, and unit.
    pub result: Quantity,
    /// The formula.
    pub formula: Expression,
    /// Where the formula comes from.
    pub source: &'static str,
    /// The same from the finite-element model, unit of the result.
    pub finite_element: Option<f64>,
    /// Why the two differ.
    pub why: String,
}

impl Sheet {
    pub(super) fn new(title: impl Into<String>) -> Self {
        Sheet {
            title: title.into(),
            notes: Vec::new(),
            steps: Vec::new(),
        }
    }

    pub(super) fn note(&mut self, note: impl Into<String>) {
        self.notes.push(note.into());
    }

    /// Adds a step and gives its result for those below.
    pub(super) fn add(&mut self, step: Step) -> Quantity {
        let result = step.result.clone();
        self.steps.push(step);
        result
    }
}

impl Step {
    /// Works out a formula from the printed values of its letters and rounds the result, as a
    /// person would who writes each line down.
    pub(super) fn new(
        what: impl Into<String>,
        symbol: &'static str,
        unit: &'static str,
        formula: Expression,
        source: &'static str,
    ) -> Self {
        let what = what.into();
        let result = Quantity {
            symbol,
            meaning: what.clone(),
            value: rounded(formula.value()),
            unit,
            worked_out: true,
        };
        Step {
            what,
            result,
            formula,
            source,
            finite_element: None,
            why: String::new(),
        }
    }

    /// Sets the finite-element value beside it, and says why the two differ.
    pub(super) fn beside(mut self, finite_element: Option<f64>, why: impl Into<String>) -> Self {
        self.finite_element = finite_element.filter(|value| value.is_finite());
        self.why = why.into();
        self
    }

    /// `I_f = w t³ / 12`.
    pub fn formula_text(&self) -> String {
        format!(
            "{} = {}",
            self.result.symbol,
            self.formula.text(Print::Letters)
        )
    }

    /// The right-hand side with its numbers: `11 × 3.3³ / 12`.
    pub fn substituted(&self) -> String {
        self.formula.text(Print::Numbers)
    }

    /// What is put in, each letter once.
    pub fn put_in(&self) -> impl Iterator<Item = &Quantity> {
        self.formula.quantities().into_iter()
    }

    /// The finite-element value and how far it lies from the result, in words.
    pub fn comparison(&self) -> Option<String> {
        let other = self.finite_element?;
        let number = with_unit(&four_figures(other), self.result.unit);
        let own = self.result.value;
        let percent = 100.0 * (other - own) / own.abs();
        Some(match own == 0.0 {
            true => number,
            false if percent.abs() < 0.05 => format!("{number}, the same"),
            false if percent.abs() < 10.0 => format!("{number}, {percent:+.1} %"),
            false if percent.abs() < 1000.0 => format!("{number}, {percent:+.0} %"),
            false => format!("{number}, {} times as much", four_figures(other / own)),
        })
    }
}
