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

    /// Factor on a cycle with no standing stress that brings it to a fully reversed strength, but
    /// for rounding: [`MeanStress::reversed`] solved for it.
    ///
    /// ```text
    /// Goodman    n = 1 / (σa/S + σm/Sut)   Gerber  n = 2 / (σa/S + √((σa/S)² + (2 σm/Sut)²))
    /// Soderberg  n = 1 / (σa/S + σm/Sy)    Smith, Watson, Topper  n = S / √((σa + σm) σa)
    /// ```
    fn factor(self, amplitude: f64, mean: f64, strength: f64, limits: &Limits) -> f64 {
        let (a, m) = (amplitude / strength, mean.max(0.0));
        match self {
            MeanStress::Goodman => 1.0 / (a + m / limits.ultimate),
            MeanStress::Gerber => 2.0 / (a + (a * a + (2.0 * m / limits.ultimate).powi(2)).sqrt()),
            MeanStress::Soderberg => 1.0 / (a + m / limits.proof),
            MeanStress::SmithWatsonTopper => strength / ((amplitude + m) * amplitude).sqrt(),
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
    /// By bisection to the last digit, since a standing stress spoils the closed forms; where none
    /// stands they bracket it.
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
        let mut bracket = [0.0, strength / self.amplitude * (1.0 + f64::EPSILON)];
        let narrowed = |[borne, too_much]: [f64; 2], factor: f64| match self
            .reversed(factor, rule, limits)
            < strength
        {
            true => [factor, too_much],
            false => [borne, factor],
        };
        if self.standing == 0.0 {
            let about = rule.factor(self.amplitude, self.mean, strength, limits);
            // A handful of operations round by less than this.
            for rounding in [-4.0 * f64::EPSILON, 4.0 * f64::EPSILON] {
                bracket = narrowed(bracket, about * (1.0 + rounding));
            }
        }
        for _ in 0..60 {
            let [borne, too_much] = bracket;
            let middle = 0.5 * (borne + too_much);
            if middle == borne || middle == too_much {
                break;
            }
            bracket = narrowed(bracket, middle);
        }
        Some(bracket[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The closed forms only bracket the answer: it is the last number that is borne.
    #[test]
    fn the_factor_is_the_last_number_that_is_borne() {
        let limits = Limits {
            ultimate: 860.0,
            proof: 690.0,
        };
        let rules = [
            MeanStress::Goodman,
            MeanStress::Gerber,
            MeanStress::Soderberg,
            MeanStress::SmithWatsonTopper,
        ];
        for (rule, case) in rules
            .into_iter()
            .flat_map(|rule| (0..500).map(move |i| (rule, i)))
        {
            let cycle = Cycle {
                mean: f64::from(case % 7 - 2) * 31.7,
                standing: f64::from(case % 3) * 3.1,
                ..Cycle::from_zero_to(0.3 + 1.71 * f64::from(case))
            };
            let strength = 120.0 + 0.37 * f64::from(case);
            let factor = cycle.factor(strength, rule, &limits).expect("it cycles");
            let reversed = |factor| cycle.reversed(factor, rule, &limits);
            assert!(reversed(factor) < strength, "{rule:?} {cycle:?}");
            assert!(reversed(factor.next_up()) >= strength, "{rule:?} {cycle:?}");
        }
    }
}
