//! One test program; `cargo test --test suite external` runs one kind.

mod analysis;
mod bad_input;
mod case_file;
mod common;
mod compare_cli;
mod contact_laws;
mod device_flags;
mod external;
mod factorisation;
mod frame_file;
mod handcalc;
mod input;
mod large_rotations;
mod layers;
mod mechanisms;
mod mended;
mod models;
mod properties;
mod random_constructs;
mod refused_frames;
mod report;
mod sample_around;
mod sample_assessment;
mod solve_cli;
mod transform;
mod weeks;
