//! Fatigue: S-N lines, modifying factors, mean stress, cumulative damage, test statistics.
//!
//! ```text
//! published strength --factors--> S-N line --+
//!                                            +--> factor on the load, life, Miner damage
//! stress cycle --mean stress--> amplitude ---+
//! ```
//!
//! Pure functions of stresses in MPa and numbers of cycles; nothing here knows a construct.

mod factors;
mod line;
mod mean_stress;
mod method;
mod staircase;

pub use factors::{RELIABILITIES, Surface, reliability_factor, size_factor};
pub use line::SnLine;
pub use mean_stress::{Cycle, Limits, MeanStress};
pub use method::Method;
pub use staircase::{LessFrequent, Staircase, staircase};

/// Damage of blocks of cycles by the linear rule: it breaks at 1.
///
/// ```text
/// D = Σ n / N
/// ```
///
/// The order of the blocks does not count, which real metals disagree with.
///
/// * `blocks`: cycles done and cycles borne at that stress
///
/// Source: Miner's rule, Shigley, *Mechanical Engineering Design*; for design 0.3 to 0.7 in
/// place of 1 (from memory).
pub fn miner_damage(blocks: impl IntoIterator<Item = (f64, f64)>) -> f64 {
    blocks.into_iter().map(|(done, borne)| done / borne).sum()
}
