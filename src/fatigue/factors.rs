//! What takes strength off a polished laboratory specimen.

/// Finish of the surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    /// As the specimens whose strength is published.
    Polished,
    /// Ground.
    Ground,
    /// Machined or cold-drawn.
    Machined,
    /// Hot-rolled.
    HotRolled,
    /// As forged.
    AsForged,
}

impl Surface {
    /// What the finish leaves of the fatigue strength, at most 1.
    ///
    /// ```text
    /// ka = a Sut^b
    /// ```
    ///
    /// Fitted to steels; for titanium a guess.
    ///
    /// * `ultimate`: ultimate strength, MPa
    ///
    /// Source: Shigley, *Mechanical Engineering Design*, 9th ed., table 6-2.
    pub fn factor(self, ultimate: f64) -> f64 {
        let (a, b) = match self {
            Surface::Polished => return 1.0,
            Surface::Ground => (1.58, -0.085),
            Surface::Machined => (4.51, -0.265),
            Surface::HotRolled => (57.7, -0.718),
            Surface::AsForged => (272.0, -0.995),
        };
        f64::min(1.0, a * ultimate.powf(b))
    }
}

/// What the size of a rotating round bar leaves of its fatigue strength; `None` outside
/// 2.79 to 51 mm, where the fit was not made. Most nails and screws lie below.
///
/// ```text
/// kb = 1.24 d^−0.107
/// ```
///
/// * `diameter`: mm
///
/// Source: Shigley, *Mechanical Engineering Design*, 9th ed.
pub fn size_factor(diameter: f64) -> Option<f64> {
    (2.79..=51.0)
        .contains(&diameter)
        .then(|| 1.24 * diameter.powf(-0.107))
}

/// Share of parts that survive, %, and what of the median strength that leaves.
///
/// ```text
/// ke = 1 − 0.08 z
/// ```
///
/// Source: Shigley, *Mechanical Engineering Design*, 9th ed., for a standard deviation of 8 %.
pub const RELIABILITIES: [(f64, f64); 8] = [
    (50.0, 1.0),
    (90.0, 0.897),
    (95.0, 0.868),
    (99.0, 0.814),
    (99.9, 0.753),
    (99.99, 0.702),
    (99.999, 0.659),
    (99.9999, 0.620),
];

/// The factor of [`RELIABILITIES`] for a share of parts that survive, %; `None` if it is not
/// tabulated.
pub fn reliability_factor(percent: f64) -> Option<f64> {
    let row = RELIABILITIES.iter().find(|(share, _)| *share == percent);
    row.map(|(_, factor)| *factor)
}
