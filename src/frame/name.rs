//! Names of the parts of a frame.

use std::fmt;
use std::sync::Arc;

/// A name for messages and results, written out only when it is told: a frame has hundreds.
#[derive(Debug, Clone, PartialEq)]
pub enum Name {
    /// As given.
    Given(Arc<str>),
    /// A kind of part and a place: `bone at 12.3 mm`.
    Placed {
        /// What it is.
        what: &'static str,
        /// What it has to do with the place: `at`, `from`.
        relation: &'static str,
        /// The place.
        place_mm: f64,
    },
    /// A part of something: `screw 3 head`.
    PartOf {
        /// The whole.
        whole: Arc<str>,
        /// The part.
        part: &'static str,
    },
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Name::Given(text) => f.write_str(text),
            Name::Placed {
                what,
                relation,
                place_mm,
            } => write!(f, "{what} {relation} {place_mm:.1} mm"),
            Name::PartOf { whole, part } => write!(f, "{whole} {part}"),
        }
    }
}

impl<T: AsRef<str> + ?Sized> From<&T> for Name {
    fn from(text: &T) -> Self {
        Name::Given(text.as_ref().into())
    }
}

impl From<String> for Name {
    fn from(text: String) -> Self {
        Name::Given(text.into())
    }
}
