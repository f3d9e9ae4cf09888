//! What an engineer would work out by hand, beside the finite-element values.
//!
//! A [`Calculation`] is a list of [`Sheet`]s, each a list of [`Step`]s; a step holds its formula as
//! a tree ([`Expression`]), from which its letters, its numbers and its value all come. Numbers are
//! rounded as they are printed, so that each line can be worked out again from what stands on the
//! page.
//!
//! ```
//! use clavibeam::{frame_file, handcalc};
//! let file = frame_file::read("models/frames/cantilever.toml".as_ref()).unwrap();
//! let calculation = handcalc::of_frame(&file).unwrap();
//! let moment = &calculation.sheets[0].steps[0];
//! assert_eq!(moment.formula_text(), "M = F L");
//! assert_eq!(moment.substituted(), "(-100) × 100");
//! assert_eq!(moment.result.value, -10_000.0);
//! ```

mod bar;
mod beam;
mod bench;
mod bone;
mod case;
mod cut_free;
mod expression;
pub mod formula;
mod frame;
mod html;
mod joints;
mod loads;
mod number;
mod plate;
mod plate_loaded;
mod quiz;
mod sheet;
mod strength;
mod text;

pub use case::of_case;
pub use expression::{Expression, Function, Print, Quantity};
pub use frame::of_frame;
pub use html::html;
pub use number::four_figures;
pub use quiz::{varied_case, varied_frame};
pub use sheet::{Calculation, Sheet, Step};
pub use text::{Answers, markdown, text};
