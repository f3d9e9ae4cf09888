//! How fatigue is judged in one case.

use super::{Cycle, Limits, MeanStress, SnLine, Surface};
use crate::material::{Family, Material, Strength};

/// What share of the ultimate strength a metal bears for 10³ cycles.
///
/// Source: Shigley, *Mechanical Engineering Design*, fatigue strength fraction, about 0.9 at
/// low strength.
const SHARE_AT_1E3: f64 = 0.9;

/// How fatigue is judged: the rule for mean stress, what is taken off the published strength,
/// and lines that were measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Method {
    /// How mean stress is counted.
    pub mean_stress: MeanStress,
    /// Share of parts that survive, %: one of [`RELIABILITIES`](super::RELIABILITIES).
    pub reliability_percent: f64,
    /// Factor on the median strength for that share.
    pub reliability: f64,
    /// Finish of implants.
    pub surface: Surface,
    /// Material and its measured S-N line, used as it is.
    pub measured: Vec<(String, SnLine)>,
}

impl Default for Method {
    /// Modified Goodman on the median strength of smooth specimens.
    fn default() -> Self {
        Method {
            mean_stress: MeanStress::Goodman,
            reliability_percent: 50.0,
            reliability: 1.0,
            surface: Surface::Polished,
            measured: Vec::new(),
        }
    }
}

impl Method {
    /// The S-N line of a material: the measured one, or the two-point line through 0.9 of its
    /// ultimate strength at 10³ cycles and its published amplitude at 10⁷, surface and
    /// reliability taken off the latter. Environment is in the published amplitude; size is
    /// left out, implants being as thin as the specimens.
    ///
    /// * `strength`: that of the material
    pub fn line(&self, material: &Material, strength: &Strength) -> SnLine {
        let measured = self
            .measured
            .iter()
            .find(|(name, _)| *name == material.name);
        if let Some((_, line)) = measured {
            return *line;
        }
        let surface = match strength.family {
            Family::Bone => 1.0,
            Family::Steel | Family::Titanium | Family::CobaltChromium => {
                self.surface.factor(strength.ultimate_tension)
            }
        };
        let amplitude = surface * self.reliability * strength.fatigue_amplitude_1e7;
        SnLine::two_point(strength.ultimate_tension, SHARE_AT_1E3, (1e7, amplitude))
    }

    /// Factors on the load for numbers of cycles; `None` when nothing cycles.
    pub fn margins<const COUNT: usize>(
        &self,
        cycle: &Cycle,
        material: &Material,
        strength: &Strength,
        cycles: [f64; COUNT],
    ) -> [Option<f64>; COUNT] {
        let (line, limits) = (self.line(material, strength), Limits::of(strength));
        cycles.map(|cycles| cycle.factor(line.strength(cycles), self.mean_stress, &limits))
    }

    /// Cycles until it breaks, at least one.
    pub fn life(&self, cycle: &Cycle, material: &Material, strength: &Strength) -> f64 {
        let amplitude = cycle.reversed(1.0, self.mean_stress, &Limits::of(strength));
        self.line(material, strength).life(amplitude).max(1.0)
    }
}

impl Limits {
    /// Those of a material in tension.
    pub fn of(strength: &Strength) -> Self {
        Limits {
            ultimate: strength.ultimate_tension,
            proof: strength.proof_tension,
        }
    }
}
