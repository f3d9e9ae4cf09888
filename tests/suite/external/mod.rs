//! Truth from outside: each check names its source.
//!
//! Where a doc comment says "closed form", the numbers were evaluated from the textbook
//! formula with general-purpose numeric libraries, independently of this program. Unless
//! said otherwise a tolerance of 1e-10 is rounding: the element is exact at its nodes.

mod beams;
mod benchmarks;
mod curved;
mod elastic_foundation;
mod partial_interaction;
mod solid;
mod stress_free;
mod taper;
