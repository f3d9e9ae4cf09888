//! Everything a reader sees of a comparison: terminal text, JSON, HTML and plots; and, in
//! [`sensitivity`], of a sweep.
//!
//! The only input is an [`Assessment`](crate::assess::Assessment). What the tables say stands in
//! one place (`table`), how it is laid out in another (`text`, `html`); how pictures look is
//! decided in `style` alone.

mod around;
mod compression;
mod html;
mod joints;
mod json;
mod number;
pub(crate) mod plot;
mod purchase;
mod scatter;
mod screws;
pub mod sensitivity;
mod sizes;
pub(crate) mod style;
mod table;
mod text;
mod weakest;
mod weeks;
mod words;

pub use html::html;
pub use json::json;
pub use plot::{Figure, PlotError, plots, write_plots};
pub use text::{Options, defaults, text};
