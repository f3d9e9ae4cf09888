//! Values from outside: published or computed independently of this crate.

mod anatomy;
mod materials;
mod sections;
