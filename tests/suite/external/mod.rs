//! Truth from outside the program: each check names its source.
//!
//! Where a doc comment says "closed form", the numbers were evaluated from the textbook
//! formula with general-purpose numeric libraries, independently of this program. Unless
//! said otherwise a tolerance of 1e-10 is rounding: the element is exact at its nodes.

mod anatomy;
mod around;
mod assessed;
mod beams;
mod buckling;
mod by_hand;
mod checks;
mod constructs;
mod contact;
mod contact_constructs;
mod curved;
mod devices;
mod fatigue;
mod fractures;
mod large_displacement;
mod materials;
mod notches;
mod partial_interaction;
mod polygon_sections;
mod sampling;
mod scatter;
mod sections;
mod sensitivity;
mod shortening;
mod shoulder;
mod sizes;
mod stress_free;
mod weeks;
