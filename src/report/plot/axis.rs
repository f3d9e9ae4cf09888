//! Axes: from values to places on the sheet.

use crate::report::number::plain;

/// A straight axis, equal steps or equal ratios.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Axis {
    values: (f64, f64),
    pixels: (f64, f64),
    logarithmic: bool,
}

impl Axis {
    /// Equal steps; the second value differs from the first.
    pub(crate) fn linear(values: (f64, f64), pixels: (f64, f64)) -> Self {
        Self {
            values,
            pixels,
            logarithmic: false,
        }
    }

    /// Equal ratios; both values are greater than zero and differ.
    pub(crate) fn logarithmic(values: (f64, f64), pixels: (f64, f64)) -> Self {
        Self {
            values,
            pixels,
            logarithmic: true,
        }
    }

    /// Place of a value.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let (from, to) = self.values;
        let share = if self.logarithmic {
            (value / from).ln() / (to / from).ln()
        } else {
            (value - from) / (to - from)
        };
        self.pixels.0 + share * (self.pixels.1 - self.pixels.0)
    }

    /// Place where the axis ends.
    pub(crate) fn end(&self) -> f64 {
        self.pixels.1
    }

    /// Round values along the axis with their labels; about `count` on a linear one.
    pub(crate) fn ticks(&self, count: usize) -> Vec<(f64, String)> {
        let (from, to) = self.values;
        let values: Vec<f64> = if self.logarithmic {
            (-6..=6)
                .flat_map(|power| [1.0, 2.0, 5.0].map(|digit| digit * 10.0_f64.powi(power)))
                .filter(|value| (from * 0.999..=to * 1.001).contains(value))
                .collect()
        } else {
            let step = round_up((to - from) / count as f64);
            let steps = ((to - from) / step + 1e-9).floor() as usize;
            (0..=steps).map(|i| from + i as f64 * step).collect()
        };
        values
            .into_iter()
            .map(|value| (value, plain(value)))
            .collect()
    }
}

/// The next of 1, 2 or 5 times a power of ten.
pub(crate) fn round_up(value: f64) -> f64 {
    let power = 10.0_f64.powf(value.log10().floor());
    let digit = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|digit| digit * power >= value * 0.999_999)
        .unwrap_or(10.0);
    digit * power
}
