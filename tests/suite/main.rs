//! One test program; `cargo test --test suite external` runs one kind.

mod bad_input;
mod external;
