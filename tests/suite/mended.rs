//! Bugs that were found and mended, one test each.

use clavibeam::frame::{LoadCase, SolveError, solve};
use nalgebra::vector;

use crate::transform::cut_chain;

/// Rounding in long levers lifted a mechanism's smallest pivot to 1.5e-10 of its diagonal,
/// past the limit of 1e-11: without loads it was accepted, with loads called inaccurate.
#[test]
fn a_mechanism_with_long_levers_was_not_named() {
    let (frame, _) = cut_chain(33);
    assert!(matches!(
        solve(&frame, &[]),
        Err(SolveError::Mechanism { .. })
    ));
    let case = LoadCase::named("tip").with_force(9, vector![1.0, 2.0, 3.0]);
    assert!(matches!(
        solve(&frame, &[case]),
        Err(SolveError::Mechanism { .. })
    ));
}
