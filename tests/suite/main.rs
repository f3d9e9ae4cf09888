//! One test program; `cargo test --test suite external` runs one kind.
mod common;
mod external;
mod layers;
mod mended;
mod properties;
mod transform;
