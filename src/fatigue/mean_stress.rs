//! Stress cycles, and what a mean stress costs.

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

/// Static limits that mean stress is measured against, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Ultimate strength.
    pub ultimate: f64,
    /// Proof stress.
    pub proof: f64,
}

/// How mean stress is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeanStress {
    /// Straight line to the ultimate strength (modified Goodman).
    Goodman,
    /// Parabola to the ultimate strength.
    Gerber,
    /// Straight line to the proof stress.
    Soderberg,
    /// Geometric mean of peak and amplitude (Smith, Watson and Topper).
    SmithWatsonTopper,
}

impl MeanStress {
    /// Fully reversed amplitude that does the same damage, MPa; without bound where the mean
    /// alone is too much. A mean in compression counts as none.
    ///
    /// ```text
    /// Goodman    σa / (1 − σm/Sut)          Gerber  σa / (1 − (σm/Sut)²)
    /// Soderberg  σa / (1 − σm/Sy)           Smith, Watson, Topper  √((σa + σm) σa)
    /// ```
    ///
    /// Source: Shigley, *Mechanical Engineering Design*; Smith, Watson and Topper from memory.
    pub fn reversed(self, amplitude: f64, mean: f64, limits: &Limits) -> f64 {
        let mean = mean.max(0.0);
        let used = match self {
            MeanStress::Goodman => mean / limits.ultimate,
            MeanStress::Gerber => (mean / limits.ultimate).powi(2),
            MeanStress::Soderberg => mean / limits.proof,
            MeanStress::SmithWatsonTopper => return ((amplitude + mean) * amplitude).sqrt(),
        };
        match used < 1.0 {
            true => amplitude / (1.0 - used),
            false => f64::INFINITY,
        }
    }

    /// The method in a word.
    pub fn word(self) -> &'static str {
        match self {
            MeanStress::Goodman => "modified Goodman",
            MeanStress::Gerber => "Gerber",
            MeanStress::Soderberg => "Soderberg",
            MeanStress::SmithWatsonTopper => "Smith-Watson-Topper",
        }
    }
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

    /// Fully reversed amplitude that does the same damage when the load is multiplied, MPa.
    ///
    /// ```text
    /// σa' = n σa     σm' = min(n σm + σs, Sy − n σa) with a standing stress
    /// ```
    ///
    /// A standing stress that would carry the peak past proof stress is relieved by yielding;
    /// Soderberg's line, which ends at proof stress, counts it in full.
    ///
    /// * `load_factor`: `n`
    pub fn reversed(&self, load_factor: f64, rule: MeanStress, limits: &Limits) -> f64 {
        let amplitude = load_factor * self.amplitude;
        let mean = load_factor * self.mean + self.standing;
        let kept = match self.standing > 0.0 && rule != MeanStress::Soderberg {
            true => mean.min(limits.proof - amplitude),
            false => mean,
        };
        rule.reversed(amplitude, kept, limits)
    }

    /// Factor on the load that brings the cycle to a fully reversed strength; `None` when
    /// nothing cycles, zero when what stands is too much by itself.
    ///
    /// By bisection, since each rule has its own closed form and a standing stress spoils most.
    ///
    /// ```
    /// use clavibeam::fatigue::{Cycle, Limits, MeanStress};
    /// let limits = Limits { ultimate: 860.0, proof: 690.0 };
    /// let cycle = Cycle::from_zero_to(400.0);
    /// let factor = cycle.factor(279.0, MeanStress::Goodman, &limits).expect("it cycles");
    /// assert!((1.0 / factor - (200.0 / 279.0 + 200.0 / 860.0)).abs() < 1e-12);
    /// ```
    pub fn factor(&self, strength: f64, rule: MeanStress, limits: &Limits) -> Option<f64> {
        if self.amplitude <= 0.0 {
            return None;
        }
        // No rule asks less of the amplitude than the amplitude itself.
        let (mut borne, mut too_much) = (0.0, strength / self.amplitude * (1.0 + f64::EPSILON));
        for _ in 0..60 {
            let middle = 0.5 * (borne + too_much);
            match self.reversed(middle, rule, limits) < strength {
                true => borne = middle,
                false => too_much = middle,
            }
        }
        Some(borne)
    }
}
