//! The way to contact through the interior, where every one-sided part presses a little and
//! leaves a little gap.
//!
//! ```text
//! p/k − depth = s,   p s = μ,   p > 0,  s > 0,   μ driven to nothing
//! ```
//!
//! Newton's step of these, with `δs` taken out, makes each part a linear spring:
//!
//! ```text
//! p + δp = (μ + p (s + depth + δdepth)) / (s + p/k)
//! ```
//!
//! so that a step is one factorisation of the frame, however stiff the parts are. `μ` follows
//! from a first step aimed at nothing, whose product `δp δs` corrects the second (Mehrotra,
//! *SIAM J. Optim.* 2 (1992) 575, from memory).

use super::law::{Bearing, Press, Pressing};

/// How much of the way to where a pressure or gap would vanish is gone.
const TO_THE_BOUNDARY: f64 = 0.99;

/// A largest pressure or gap below this share of that at the beginning counts as none.
const VANISHED: f64 = 1e-3;

/// All one-sided parts of a frame on their way.
pub(crate) struct Interior {
    parts: Vec<Part>,
    /// Pressure at the beginning, N.
    first_pressure: f64,
    /// Smallest gap at the beginning, mm.
    first_gap: f64,
}

/// A one-sided part on its way.
struct Part {
    /// Which contact, and which part of it.
    at: (usize, usize),
    stiffness: f64,
    depth: f64,
    /// `p`, N.
    pressure: f64,
    /// `s`, mm.
    gap: f64,
    /// `μ` less what the last first step showed of `δp δs`, N·mm.
    aim: f64,
}

impl Part {
    /// Force per depth of the linear spring, N/mm.
    fn spring(&self) -> f64 {
        self.pressure / (self.gap + self.pressure / self.stiffness)
    }

    /// `p + δp` at a depth.
    fn pressure_at(&self, depth: f64) -> f64 {
        (self.aim + self.pressure * (self.gap + depth))
            / (self.gap + self.pressure / self.stiffness)
    }
}

/// What a step would change in a part.
#[derive(Clone, Copy)]
pub(crate) struct Change {
    pressure: f64,
    gap: f64,
}

impl Interior {
    /// Begins with the same pressure and at least the same gap everywhere.
    ///
    /// * `bearings`: contact, part of it, and how it stands
    /// * `spring`: a stiffness typical of the frame, N/mm
    pub fn enter(bearings: &[((usize, usize), Bearing)], spring: f64) -> Self {
        let deepest = bearings
            .iter()
            .map(|(_, b)| b.depth.abs())
            .fold(1e-6, f64::max);
        let parts = bearings
            .iter()
            .map(|(at, bearing)| Part {
                at: *at,
                stiffness: bearing.stiffness,
                depth: bearing.depth,
                pressure: spring * deepest,
                gap: deepest.max(-bearing.depth),
                aim: 0.0,
            })
            .collect();
        Interior {
            parts,
            first_pressure: spring * deepest,
            first_gap: deepest,
        }
    }

    /// Takes note of where the parts stand.
    pub fn look(&mut self, bearings: &[((usize, usize), Bearing)]) {
        for (part, (_, bearing)) in self.parts.iter_mut().zip(bearings) {
            part.depth = bearing.depth;
        }
    }

    /// Each part as the linear spring of this step.
    pub fn presses(&self) -> Vec<Pressing> {
        let press = |part: &Part| Press {
            force: part.pressure_at(part.depth),
            stiffness: part.spring(),
            pressure: part.pressure,
            friction: None,
        };
        self.parts
            .iter()
            .map(|part| (part.at, press(part)))
            .collect()
    }

    /// Pressure of each part that the way here suggests will press, the rest none.
    pub fn pressing(&self) -> impl Iterator<Item = ((usize, usize), f64)> {
        let (pressure, gap) = self.largest();
        self.parts.iter().map(move |part| {
            let presses = part.pressure * gap > part.gap * pressure;
            (part.at, if presses { part.pressure } else { 0.0 })
        })
    }

    /// What a step changes.
    ///
    /// * `closing`: how much deeper each part gets, mm
    pub fn changes(&self, closing: &[f64]) -> Vec<Change> {
        let change = |(part, closing): (&Part, &f64)| {
            let pressure = part.pressure_at(part.depth + closing) - part.pressure;
            let now = part.pressure / part.stiffness - part.depth - part.gap;
            Change {
                pressure,
                gap: pressure / part.stiffness - closing + now,
            }
        };
        self.parts.iter().zip(closing).map(change).collect()
    }

    /// The largest share of a step, up to the whole, that leaves pressures and gaps positive.
    pub fn reach(&self, changes: &[Change]) -> f64 {
        let to_zero = |value: f64, change: f64| match change < 0.0 {
            true => -TO_THE_BOUNDARY * value / change,
            false => 1.0,
        };
        let shares = self.parts.iter().zip(changes).map(|(part, change)| {
            to_zero(part.pressure, change.pressure).min(to_zero(part.gap, change.gap))
        });
        shares.fold(1.0, f64::min)
    }

    /// Aims at nothing.
    pub fn aim_low(&mut self) {
        for part in &mut self.parts {
            part.aim = 0.0;
        }
    }

    /// Aims as far as the step aimed at nothing would lead, and corrects its product.
    pub fn aim(&mut self, first: &[Change]) {
        let reach = self.reach(first);
        let count = self.parts.len() as f64;
        let now = self.parts.iter().map(|p| p.pressure * p.gap).sum::<f64>() / count;
        let then = self.parts.iter().zip(first).map(|(part, change)| {
            (part.pressure + reach * change.pressure) * (part.gap + reach * change.gap)
        });
        let share = then.sum::<f64>() / count / now;
        let aim = now * share.powi(3);
        for (part, change) in self.parts.iter_mut().zip(first) {
            part.aim = aim - change.pressure * change.gap;
        }
    }

    /// Goes a share of a step.
    pub fn go(&mut self, changes: &[Change], share: f64) {
        for (part, change) in self.parts.iter_mut().zip(changes) {
            part.pressure += share * change.pressure;
            part.gap += share * change.gap;
        }
    }

    /// Mean product of pressure and gap over that of the largest ones.
    pub fn undecided(&self) -> f64 {
        let (pressure, gap) = self.largest();
        let products: f64 = self.parts.iter().map(|part| part.pressure * part.gap).sum();
        products / (self.parts.len() as f64 * pressure * gap)
    }

    /// Largest pressure and gap, but for what has all but vanished since the beginning.
    fn largest(&self) -> (f64, f64) {
        let largest = |of: fn(&Part) -> f64| self.parts.iter().map(of).fold(0.0, f64::max);
        let pressure = largest(|part| part.pressure).max(VANISHED * self.first_pressure);
        let gap = largest(|part| part.gap).max(VANISHED * self.first_gap);
        (pressure, gap)
    }
}
