//! Statistics of a staircase fatigue test.

/// Which outcome of a staircase test came less often; only its counts are used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LessFrequent {
    /// Specimens that broke.
    Failures,
    /// Specimens that ran out.
    RunOuts,
}

/// Fatigue strength from a staircase test, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Staircase {
    /// Mean strength.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
}

/// Mean and deviation of the strength from a staircase test; `None` without any specimen.
///
/// ```text
/// F = Σ fi   A = Σ i fi   B = Σ i² fi      mean = S0 + d (A/F ∓ ½), − for failures
/// s = 1.62 d ((F B − A²)/F² + 0.029)  if (F B − A²)/F² ≥ 0.3, else 0.53 d
/// ```
///
/// * `lowest`: stress of the lowest level, MPa; `step`: between levels, MPa
/// * `counts`: how often the less frequent outcome came at each level, from the lowest
///
/// Source: Dixon and Mood, as in ISO 12107 and Çalışkan et al., *Frattura Integrità
/// Strutturale* 58 (2021) 344.
pub fn staircase(
    lowest: f64,
    step: f64,
    counts: &[usize],
    outcome: LessFrequent,
) -> Option<Staircase> {
    let sum = |power: i32| -> f64 {
        let levels = counts.iter().enumerate();
        levels
            .map(|(level, &count)| (level as f64).powi(power) * count as f64)
            .sum()
    };
    let (f, a, b) = (sum(0), sum(1), sum(2));
    let half = match outcome {
        LessFrequent::Failures => -0.5,
        LessFrequent::RunOuts => 0.5,
    };
    let spread = (f * b - a * a) / (f * f);
    let deviation = match spread >= 0.3 {
        true => 1.62 * step * (spread + 0.029),
        false => 0.53 * step,
    };
    (f > 0.0).then(|| Staircase {
        mean: lowest + step * (a / f + half),
        deviation,
    })
}
