//! What a reader sees of a sweep: text, tables, pictures and a page, from an
//! [`Analysis`](crate::sensitivity::Analysis) alone.

mod contour;
mod effects;
mod indices;
mod isolines;
mod names;
mod page;
mod panel;
mod plots;
mod scatter;
mod tables;
mod text;
mod tornado;

pub use page::html;
pub use plots::{plots, write_plots};
pub use tables::write_tables;
pub use text::text;
