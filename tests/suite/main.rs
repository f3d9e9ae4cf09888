//! One test program; `cargo test --test suite external` runs one kind.
mod common;
mod external;
mod factorisation;
mod layers;
mod mechanisms;
mod mended;
mod properties;
mod transform;
