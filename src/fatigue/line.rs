//! The S-N line.

/// Fully reversed stress amplitude against life, straight on logarithmic axes.
///
/// ```text
/// S = a N^b     N = (S/a)^(1/b)
/// ```
///
/// There is no endurance limit: the line goes on falling past its second point.
///
/// Source: Basquin's law, Shigley, *Mechanical Engineering Design*.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SnLine {
    /// `a`, MPa.
    pub coefficient: f64,
    /// `b`, less than zero.
    pub exponent: f64,
}

impl SnLine {
    /// The line through two points: cycles and amplitude, MPa. The second has more cycles and
    /// the smaller amplitude.
    pub fn through([(few, high), (many, low)]: [(f64, f64); 2]) -> Self {
        let exponent = (low / high).ln() / (many / few).ln();
        SnLine {
            coefficient: high * few.powf(-exponent),
            exponent,
        }
    }

    /// Two-point construction: a share of the ultimate strength at 10³ cycles and the amplitude
    /// known at many, usually 10⁶ or 10⁷.
    ///
    /// ```text
    /// b = −log10(f Sut / Se) / 3    a = (f Sut)² / Se      with the limit at 10⁶
    /// ```
    ///
    /// * `limit`: cycles and amplitude, MPa
    ///
    /// Source: Shigley, *Mechanical Engineering Design*.
    ///
    /// ```
    /// use clavibeam::fatigue::SnLine;
    /// let line = SnLine::two_point(900.0, 0.9, (1e6, 400.0));
    /// assert!((line.coefficient - 810.0 * 810.0 / 400.0).abs() < 1e-9);
    /// ```
    pub fn two_point(ultimate: f64, share: f64, limit: (f64, f64)) -> Self {
        SnLine::through([(1e3, share * ultimate), limit])
    }

    /// Amplitude borne for a number of cycles, MPa.
    pub fn strength(&self, cycles: f64) -> f64 {
        self.coefficient * cycles.powf(self.exponent)
    }

    /// Cycles borne at an amplitude, MPa.
    pub fn life(&self, amplitude: f64) -> f64 {
        (amplitude / self.coefficient).powf(1.0 / self.exponent)
    }
}
