//! Values from outside: published or computed independently of this crate.

mod polygon_sections;
mod sections;
