//! One test program; `cargo test --test suite external` runs one kind.

mod bad_input;
mod case_file;
mod external;
mod frame_file;
mod input;
mod models;
mod refused_frames;
mod solve_cli;
