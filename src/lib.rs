//! Compares ways of fixing a broken collarbone with a 3D beam finite-element model.
//!
//! Data flows one way through a few plain values:
//!
//! ```text
//! case file -> Case -> Construct -> Frame -> Solution -> Assessment -> report
//! ```
//!
//! Inside the library lengths are mm, forces N, stresses MPa, moments N·mm and
//! angles rad; every quantity that crosses a file carries its unit in its key.
//!
//! It informs a decision; it never makes one. It is not a medical device.

pub mod anatomy;
pub mod assess;
pub mod case;
pub mod cli;
pub mod construct;
pub mod device;
pub mod fatigue;
pub mod frame;
pub mod frame_file;
pub mod handcalc;
pub mod healing;
pub mod input;
pub mod load;
pub mod material;
pub mod report;
pub mod sampling;
pub mod section;
pub mod study;
