//! Saltelli's design: points from which Sobol's sensitivity indices are estimated.

use super::plan::{Method, Plan};

/// Points of the unit cube in blocks that belong together.
///
/// A point of Sobol's scrambled sequence in twice as many dimensions as there are inputs gives a
/// row of two independent matrices, A and B, and with them a block of `inputs + 2` points:
///
/// ```text
/// A, AB1, AB2, …, ABk, B      ABi: the row of A with input i taken from B
/// ```
///
/// Source: Saltelli et al., Comput. Phys. Commun. 181 (2010) 259–270.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Saltelli {
    plan: Plan,
    inputs: u64,
}

impl Saltelli {
    /// Most inputs: each takes two dimensions of Sobol's sequence.
    pub const MOST_INPUTS: usize = Plan::MOST_SOBOL_DIMENSIONS / 2;

    /// A design of `base` blocks.
    ///
    /// # Errors
    /// The rule broken: too many inputs or blocks.
    pub fn new(inputs: usize, base: u64, seed: u64) -> Result<Self, String> {
        if inputs > Self::MOST_INPUTS {
            return Err(format!("must be at most {} inputs", Self::MOST_INPUTS));
        }
        Ok(Saltelli {
            plan: Plan::new(Method::ScrambledSobol, 2 * inputs, base, seed)?,
            inputs: inputs as u64,
        })
    }

    /// Points of a block.
    pub fn block(&self) -> u64 {
        self.inputs + 2
    }

    /// Points of all blocks.
    pub fn samples(&self) -> u64 {
        // At most 2³² blocks of a few dozen points.
        self.plan.count * self.block()
    }

    /// The point with an index, from 0: block after block.
    ///
    /// ```
    /// use clavibeam::sampling::Saltelli;
    /// let design = Saltelli::new(2, 8, 1).expect("a small design");
    /// let [a, ab1, ab2, b] = [4, 5, 6, 7].map(|index| design.point(index));
    /// assert_eq!(ab1, [b[0], a[1]]);
    /// assert_eq!(ab2, [a[0], b[1]]);
    /// ```
    ///
    /// # Panics
    /// When the index is not less than [`Saltelli::samples`].
    pub fn point(&self, index: u64) -> Vec<f64> {
        let row = self.plan.point(index / self.block());
        let (a, b) = row.split_at(self.inputs as usize);
        let taken_from_b = |input: u64| match index % self.block() {
            0 => false,
            place if place <= self.inputs => place == input + 1,
            _ => true,
        };
        let inputs = (0..self.inputs).zip(a.iter().zip(b));
        inputs
            .map(|(input, (a, b))| if taken_from_b(input) { *b } else { *a })
            .collect()
    }
}
