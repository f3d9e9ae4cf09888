//! Truth from outside the program: each check names its source.

mod anatomy;
mod beams;
mod materials;
mod polygon_sections;
mod sections;
