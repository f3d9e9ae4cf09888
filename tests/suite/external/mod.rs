//! Truth from outside the program: each check names its source.

mod anatomy;
mod beams;
mod constructs;
mod materials;
mod notches;
mod polygon_sections;
mod sections;
