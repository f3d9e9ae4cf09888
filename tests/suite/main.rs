//! One test program; `cargo test --test suite external` runs one kind.

mod bad_input;
mod case_file;
mod common;
mod external;
mod input;
mod large_rotations;
mod layers;
mod mended;
mod properties;
mod report;
mod sample_assessment;
mod transform;
