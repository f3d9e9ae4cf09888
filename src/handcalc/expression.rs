//! Formulas as trees: one tree is printed with its letters, printed with its numbers, and worked
//! out, so that the three cannot disagree.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::number::{four_figures, plain, rounded, superscript};

/// A letter with its number, as printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// Letter, a subscript after `_`.
    pub symbol: &'static str,
    /// What it is.
    pub meaning: String,
    /// Its value, rounded to the figures that are printed.
    pub value: f64,
    /// Unit; nothing for a plain number.
    pub unit: &'static str,
    /// Whether it was worked out in an earlier step.
    pub worked_out: bool,
}

impl Quantity {
    /// A number that the calculation starts from.
    pub fn given(
        symbol: &'static str,
        meaning: impl Into<String>,
        value: f64,
        unit: &'static str,
    ) -> Self {
        Quantity {
            symbol,
            meaning: meaning.into(),
            value: rounded(value),
            unit,
            worked_out: false,
        }
    }

    /// The number without its unit.
    pub fn number(&self) -> String {
        match self.worked_out {
            true => four_figures(self.value),
            false => plain(self.value),
        }
    }

    /// The number with its unit.
    pub fn number_and_unit(&self) -> String {
        with_unit(&self.number(), self.unit)
    }

    pub(super) fn squared(&self) -> Expression {
        Expression::from(self).power(2.0)
    }

    pub(super) fn cubed(&self) -> Expression {
        Expression::from(self).power(3.0)
    }
}

/// `12.3 mm`, `40 %`, `1.3` if there is no unit.
pub(super) fn with_unit(number: &str, unit: &str) -> String {
    match unit.is_empty() {
        true => number.to_owned(),
        false => format!("{number} {unit}"),
    }
}

/// A formula.
#[derive(Debug, Clone, PartialEq)]
pub enum Expression {
    /// A number that belongs to the formula.
    Number(f64),
    /// π.
    Pi,
    /// A letter.
    Quantity(Quantity),
    /// `a + b`.
    Sum(Box<[Expression; 2]>),
    /// `a − b`.
    Difference(Box<[Expression; 2]>),
    /// `a b`.
    Product(Box<[Expression; 2]>),
    /// `a / b`.
    Quotient(Box<[Expression; 2]>),
    /// `a` to the power `b`.
    Power(Box<[Expression; 2]>),
    /// `−a`.
    Negative(Box<Expression>),
    /// Square root.
    Root(Box<Expression>),
    /// A function of one argument.
    Function(Function, Box<Expression>),
}

/// The functions that formulas use; angles in degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Function {
    /// Sine of an angle in degrees.
    Sine,
    /// Cosine of an angle in degrees.
    Cosine,
    /// Hyperbolic tangent.
    HyperbolicTangent,
    /// The exponential function.
    Exponential,
    /// Logarithm to base ten.
    Logarithm,
    /// Size without sign.
    Size,
}

/// What stands in the place of each letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Print {
    /// The letter.
    Letters,
    /// Its number.
    Numbers,
}

/// How tightly an expression holds together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binding {
    Sum,
    Product,
    Power,
    Atom,
}

impl Function {
    fn name(self) -> &'static str {
        match self {
            Function::Sine => "sin",
            Function::Cosine => "cos",
            Function::HyperbolicTangent => "tanh",
            Function::Exponential => "exp",
            Function::Logarithm => "log10",
            Function::Size => "abs",
        }
    }

    fn of(self, argument: f64) -> f64 {
        match self {
            Function::Sine => argument.to_radians().sin(),
            Function::Cosine => argument.to_radians().cos(),
            Function::HyperbolicTangent => argument.tanh(),
            Function::Exponential => argument.exp(),
            Function::Logarithm => argument.log10(),
            Function::Size => argument.abs(),
        }
    }
}

impl Expression {
    pub(super) fn power(self, exponent: impl Into<Expression>) -> Self {
        Expression::Power(Box::new([self, exponent.into()]))
    }

    pub(super) fn root(self) -> Self {
        Expression::Root(Box::new(self))
    }

    pub(super) fn function(function: Function, argument: impl Into<Expression>) -> Self {
        Expression::Function(function, Box::new(argument.into()))
    }

    /// Its value.
    pub fn value(&self) -> f64 {
        match self {
            Expression::Number(value) => *value,
            Expression::Pi => std::f64::consts::PI,
            Expression::Quantity(quantity) => quantity.value,
            Expression::Sum(terms) => terms[0].value() + terms[1].value(),
            Expression::Difference(terms) => terms[0].value() - terms[1].value(),
            Expression::Product(terms) => terms[0].value() * terms[1].value(),
            Expression::Quotient(terms) => terms[0].value() / terms[1].value(),
            Expression::Power(terms) => terms[0].value().powf(terms[1].value()),
            Expression::Negative(inner) => -inner.value(),
            Expression::Root(inner) => inner.value().sqrt(),
            Expression::Function(function, inner) => function.of(inner.value()),
        }
    }

    /// Its letters, each once, in the order in which they are read.
    pub fn quantities(&self) -> Vec<&Quantity> {
        let mut found = Vec::new();
        self.collect(&mut found);
        found
    }

    fn collect<'a>(&'a self, found: &mut Vec<&'a Quantity>) {
        match self {
            Expression::Number(_) | Expression::Pi => {}
            Expression::Quantity(quantity) => {
                if found.iter().all(|other| other.symbol != quantity.symbol) {
                    found.push(quantity);
                }
            }
            Expression::Sum(terms)
            | Expression::Difference(terms)
            | Expression::Product(terms)
            | Expression::Quotient(terms)
            | Expression::Power(terms) => terms.iter().for_each(|term| term.collect(found)),
            Expression::Negative(inner)
            | Expression::Root(inner)
            | Expression::Function(_, inner) => inner.collect(found),
        }
    }

    /// On one line: `π d⁴ / 64`, or with numbers `π × 3⁴ / 64`.
    pub fn text(&self, print: Print) -> String {
        let inside = |inner: &Expression, least| inner.text_at_least(print, least);
        match self {
            Expression::Number(value) => plain(*value),
            Expression::Pi => "π".to_owned(),
            Expression::Quantity(quantity) => match print {
                Print::Letters => quantity.symbol.to_owned(),
                Print::Numbers => quantity.number(),
            },
            Expression::Sum(terms) => format!(
                "{} + {}",
                inside(&terms[0], Binding::Sum),
                inside(&terms[1], Binding::Product)
            ),
            Expression::Difference(terms) => format!(
                "{} - {}",
                inside(&terms[0], Binding::Sum),
                inside(&terms[1], Binding::Product)
            ),
            Expression::Product(terms) => {
                let right = inside(&terms[1], Binding::Product);
                let digits = right.starts_with(|c: char| c.is_ascii_digit());
                let times = match print == Print::Numbers || digits {
                    true => " × ",
                    false => " ",
                };
                format!("{}{times}{right}", inside(&terms[0], Binding::Product))
            }
            Expression::Quotient(terms) => format!(
                "{} / {}",
                inside(&terms[0], Binding::Product),
                inside(&terms[1], Binding::Power)
            ),
            Expression::Power(terms) => {
                let base = inside(&terms[0], Binding::Atom);
                match terms[1].small_whole() {
                    Some(exponent) => format!("{base}{}", superscript(&exponent.to_string())),
                    None => format!("{base}^{}", inside(&terms[1], Binding::Atom)),
                }
            }
            Expression::Negative(inner) => format!("-{}", inside(inner, Binding::Product)),
            Expression::Root(inner) => format!("√({})", inner.text(print)),
            Expression::Function(Function::Size, inner) => format!("|{}|", inner.text(print)),
            Expression::Function(function, inner) => {
                format!("{}({})", function.name(), inner.text(print))
            }
        }
    }

    fn text_at_least(&self, print: Print, least: Binding) -> String {
        match self.binding(print) < least {
            true => format!("({})", self.text(print)),
            false => self.text(print),
        }
    }

    /// As MathML, to stand in a `math` element.
    pub fn mathml(&self, print: Print) -> String {
        let inside = |inner: &Expression, least| inner.mathml_at_least(print, least);
        match self {
            Expression::Number(value) => mathml_number(&plain(*value)),
            Expression::Pi => "<mi>π</mi>".to_owned(),
            Expression::Quantity(quantity) => match print {
                Print::Letters => mathml_symbol(quantity.symbol),
                Print::Numbers => mathml_number(&quantity.number()),
            },
            Expression::Sum(terms) => format!(
                "{}<mo>+</mo>{}",
                inside(&terms[0], Binding::Sum),
                inside(&terms[1], Binding::Product)
            ),
            Expression::Difference(terms) => format!(
                "{}<mo>−</mo>{}",
                inside(&terms[0], Binding::Sum),
                inside(&terms[1], Binding::Product)
            ),
            Expression::Product(terms) => {
                let right = inside(&terms[1], Binding::Product);
                let times = match print == Print::Numbers || right.starts_with("<mn>") {
                    true => "<mo>×</mo>",
                    false => "<mspace width=\"0.2em\"/>",
                };
                format!("{}{times}{right}", inside(&terms[0], Binding::Product))
            }
            Expression::Quotient(terms) => format!(
                "<mfrac><mrow>{}</mrow><mrow>{}</mrow></mfrac>",
                terms[0].mathml(print),
                terms[1].mathml(print)
            ),
            Expression::Power(terms) => format!(
                "<msup><mrow>{}</mrow><mrow>{}</mrow></msup>",
                inside(&terms[0], Binding::Atom),
                terms[1].mathml(print)
            ),
            Expression::Negative(inner) => {
                format!("<mo>−</mo>{}", inside(inner, Binding::Product))
            }
            Expression::Root(inner) => format!("<msqrt>{}</msqrt>", inner.mathml(print)),
            Expression::Function(Function::Size, inner) => {
                format!("<mrow><mo>|</mo>{}<mo>|</mo></mrow>", inner.mathml(print))
            }
            Expression::Function(function, inner) => format!(
                "<mi>{}</mi><mrow><mo>(</mo>{}<mo>)</mo></mrow>",
                function.name(),
                inner.mathml(print)
            ),
        }
    }

    fn mathml_at_least(&self, print: Print, least: Binding) -> String {
        // A fraction shows by its bar what it holds.
        let clear = matches!(self, Expression::Quotient(_)) && least <= Binding::Product;
        match self.binding(print) < least && !clear {
            true => format!("<mrow><mo>(</mo>{}<mo>)</mo></mrow>", self.mathml(print)),
            false => self.mathml(print),
        }
    }

    fn binding(&self, print: Print) -> Binding {
        let of_number = |number: &str| match number {
            negative if negative.starts_with('-') => Binding::Sum,
            scientific if scientific.contains('×') => Binding::Product,
            _ => Binding::Atom,
        };
        match self {
            Expression::Number(value) => of_number(&plain(*value)),
            Expression::Quantity(quantity) if print == Print::Numbers => {
                of_number(&quantity.number())
            }
            Expression::Sum(_) | Expression::Difference(_) | Expression::Negative(_) => {
                Binding::Sum
            }
            Expression::Product(_) | Expression::Quotient(_) => Binding::Product,
            Expression::Power(_) => Binding::Power,
            Expression::Pi
            | Expression::Quantity(_)
            | Expression::Root(_)
            | Expression::Function(..) => Binding::Atom,
        }
    }

    /// The exponents that are written raised.
    fn small_whole(&self) -> Option<u8> {
        match self {
            Expression::Number(value) if value.fract() == 0.0 && (2.0..=9.0).contains(value) => {
                Some(*value as u8)
            }
            _ => None,
        }
    }
}

/// A letter, its subscript lowered.
pub(super) fn mathml_symbol(symbol: &str) -> String {
    match symbol.split_once('_') {
        Some((letter, below)) => {
            format!("<msub><mi>{letter}</mi><mi mathvariant=\"normal\">{below}</mi></msub>")
        }
        None => format!("<mi>{symbol}</mi>"),
    }
}

fn mathml_number(number: &str) -> String {
    format!("<mn>{}</mn>", number.replace('-', "−"))
}

impl From<f64> for Expression {
    fn from(value: f64) -> Self {
        Expression::Number(value)
    }
}

impl From<&Quantity> for Expression {
    fn from(quantity: &Quantity) -> Self {
        Expression::Quantity(quantity.clone())
    }
}

/// Lets formulas be written as they are read: `Expression::Pi * d.cubed() / 32.0`.
macro_rules! operator {
    ($trait:ident, $method:ident, $variant:ident) => {
        impl<T: Into<Expression>> $trait<T> for Expression {
            type Output = Expression;
            fn $method(self, other: T) -> Expression {
                Expression::$variant(Box::new([self, other.into()]))
            }
        }

        impl<T: Into<Expression>> $trait<T> for &Quantity {
            type Output = Expression;
            fn $method(self, other: T) -> Expression {
                Expression::from(self).$method(other)
            }
        }

        impl $trait<&Quantity> for f64 {
            type Output = Expression;
            fn $method(self, other: &Quantity) -> Expression {
                Expression::from(self).$method(other)
            }
        }

        impl $trait<Expression> for f64 {
            type Output = Expression;
            fn $method(self, other: Expression) -> Expression {
                Expression::from(self).$method(other)
            }
        }
    };
}

impl Neg for Expression {
    type Output = Expression;
    fn neg(self) -> Expression {
        Expression::Negative(Box::new(self))
    }
}

operator!(Add, add, Sum);
operator!(Sub, sub, Difference);
operator!(Mul, mul, Product);
operator!(Div, div, Quotient);
