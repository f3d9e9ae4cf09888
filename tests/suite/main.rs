//! One test program; `cargo test --test suite external` runs one kind.
mod external;
mod report;
mod sample_assessment;
