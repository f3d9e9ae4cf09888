//! Fatigue strength and margins.

use crate::material::Strength;

/// A stress cycle, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Half the range.
    pub amplitude: f64,
    /// Middle of the range.
    pub mean: f64,
    /// Stress that stands whatever the load, added to the mean.
    pub standing: f64,
}

impl Cycle {
    /// From nothing to a peak and back: `R = 0`.
    pub fn from_zero_to(peak: f64) -> Self {
        Cycle {
            amplitude: peak / 2.0,
            mean: peak / 2.0,
            standing: 0.0,
        }
    }
}

/// What share of the ultimate strength a metal bears for 10³ cycles.
///
/// Source: Shigley, *Mechanical Engineering Design*, fatigue strength fraction, about 0.9 at
/// low strength.
const SHARE_AT_1E3: f64 = 0.9;

/// Fully reversed stress amplitude that is borne for a number of cycles, MPa: the straight
/// line on logarithmic axes through `0.9 Sut` at 10³ and the amplitude known at 10⁷ cycles.
///
/// ```text
/// S = a N^b    b = −¼ log10(f Sut / Se)    a = f Sut 10^(−3b)
/// ```
///
/// Median strength: no factor for reliability, size or surface. Environment is in `Se`.
///
/// * `cycles`: from 10³ to 10⁷
///
/// Source: Shigley, *Mechanical Engineering Design*, two-point construction, with its knee
/// moved from 10⁶ to 10⁷ cycles, where the amplitudes of implant metals are published.
pub fn fatigue_strength(strength: &Strength, cycles: f64) -> f64 {
    let short = SHARE_AT_1E3 * strength.ultimate_tension;
    let exponent = -0.25 * (short / strength.fatigue_amplitude_1e7).log10();
    short * (cycles / 1e3).powf(exponent)
}

/// Factor on the load that brings a cycle to the modified Goodman line; `None` when nothing
/// cycles.
///
/// ```text
/// n (σa/S(N) + σm/Sut) + σs/Sut = 1
/// ```
///
/// A standing stress that would carry the peak past proof stress is relieved by yielding, so
/// that the mean is no more than `proof − n σa`; then
///
/// ```text
/// n σa (1/S(N) − 1/Sut) + proof/Sut = 1
/// ```
///
/// Source: Shigley, *Mechanical Engineering Design*, modified Goodman criterion.
///
/// ```
/// use clavibeam::assess::{Cycle, goodman_margin};
/// use clavibeam::material::Material;
/// let steel = Material::named("steel-316l-cold-worked").expect("in the catalogue");
/// let strength = steel.strength.expect("a metal of the catalogue has a strength");
/// // S(10⁷) = 0.9 × 310 = 279 MPa, Sut = 860 MPa.
/// let margin = goodman_margin(&Cycle::from_zero_to(400.0), &strength, 1e7).expect("it cycles");
/// assert!((1.0 / margin - (200.0 / 279.0 + 200.0 / 860.0)).abs() < 1e-12);
/// ```
pub fn goodman_margin(cycle: &Cycle, strength: &Strength, cycles: f64) -> Option<f64> {
    let used = cycle.amplitude / fatigue_strength(strength, cycles)
        + cycle.mean.max(0.0) / strength.ultimate_tension;
    let left = 1.0 - cycle.standing.max(0.0) / strength.ultimate_tension;
    let kept = left.max(0.0) / used;
    let relieved = (1.0 - strength.proof_tension / strength.ultimate_tension)
        / (cycle.amplitude
            * (1.0 / fatigue_strength(strength, cycles) - 1.0 / strength.ultimate_tension));
    let margin = match cycle.standing > 0.0 {
        true => kept.max(relieved),
        false => kept,
    };
    (used > 0.0).then_some(margin)
}
