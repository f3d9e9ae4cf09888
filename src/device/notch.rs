//! Stress concentrations of devices, each on a stated nominal stress.

use std::f64::consts::PI;

use crate::frame::lobatto;
use crate::material::{Family, Strength};

/// What raises the stress at a critical section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Notch {
    /// A smooth bar.
    Smooth,
    /// A screw thread; nominal stress on its core.
    Thread,
    /// A round hole through a plate; nominal stress on the net section. Lengths in mm.
    Hole(Hole),
    /// A semicircular notch in each edge of a plate; nominal stress on the net section.
    Edges(EdgeNotches),
}

/// A round hole in the middle of a plate, through its thickness. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Width of the plate.
    pub width: f64,
    /// Thickness of the plate.
    pub thickness: f64,
    /// Diameter of the hole.
    pub diameter: f64,
}

/// Two semicircular notches facing each other in the edges of a plate. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeNotches {
    /// Width of the plate.
    pub width: f64,
    /// Thickness of the plate.
    pub thickness: f64,
    /// Width between the bottoms of the notches.
    pub net_width: f64,
}

/// Fatigue notch factor of rolled threads of high-strength screws, on the core section.
///
/// An upper bound: measured at the first engaged thread of a nut.
///
/// Source: Shigley, *Mechanical Engineering Design*, table of fatigue factors of threaded
/// parts, grades of 6.6 and above, rolled (from memory).
pub const THREAD_KF: f64 = 3.0;

impl Hole {
    /// What the hole leaves of the stiffness of the plate over its own diameter: of the axial
    /// and flat bending stiffness, and of the bending stiffness on edge. Flexibilities are
    /// averaged over strips across the plate:
    ///
    /// ```text
    /// 1/f_flat = (1/d) ∫ w / (w − c) dx    1/f_edge = (1/d) ∫ w³ / (w³ − c³) dx
    /// c(x) = √(d² − 4 x²),  −d/2 ≤ x ≤ d/2
    /// ```
    ///
    /// Strips leave out how the force flows around the hole, so a plate is a little more
    /// flexible in life.
    pub fn stiffness_factors(&self) -> [f64; 2] {
        let (w, d) = (self.width, self.diameter);
        let (mut flat, mut edge) = (0.0, 0.0);
        // x = (d/2) sin φ takes the root out of the chord.
        for (position, weight) in lobatto(16) {
            let angle = PI * (position - 0.5);
            let chord = d * angle.cos();
            let share = weight * PI * angle.cos() / 2.0;
            flat += share * w / (w - chord);
            edge += share * w.powi(3) / (w.powi(3) - chord.powi(3));
        }
        [1.0 / flat, 1.0 / edge]
    }

    /// Stress concentration in tension: `Kt = 3 − 3.13 x + 3.66 x² − 1.53 x³`, `x = d/w`, on
    /// `σ = N / ((w − d) t)`.
    ///
    /// Source: Young & Budynas, *Roark's Formulas for Stress and Strain*, table 17.1
    /// (as transcribed).
    pub fn tension_kt(&self) -> f64 {
        let x = self.diameter / self.width;
        3.0 - 3.13 * x + 3.66 * x * x - 1.53 * x.powi(3)
    }

    /// Stress concentration in bending across the flat side:
    ///
    /// ```text
    /// Kt = (1.79 + 0.25/(0.39 + d/t) + 0.81/(1 + (d/t)²) − 0.26/(1 + (d/t)³))
    ///      × (1 − 1.04 x + 1.22 x²)                       x = d/w
    /// σ  = 6 M / ((w − d) t²)
    /// ```
    ///
    /// The factor for the finite width is good to about `d/w = 0.3`; beyond, it is an
    /// extrapolation.
    ///
    /// Source: as [`Hole::tension_kt`]; the finite-width factor from memory.
    pub fn flat_bending_kt(&self) -> f64 {
        let slenderness = self.diameter / self.thickness;
        let x = self.diameter / self.width;
        let wide = 1.79 + 0.25 / (0.39 + slenderness) + 0.81 / (1.0 + slenderness.powi(2))
            - 0.26 / (1.0 + slenderness.powi(3));
        wide * (1.0 - 1.04 * x + 1.22 * x * x)
    }

    /// Stress concentration at the hole in bending on edge: `Kt = 2` on the net-section stress
    /// at the hole's rim, `σ = 6 M d / ((w³ − d³) t)` (from memory).
    pub const EDGE_BENDING_KT: f64 = 2.0;

    /// Fatigue notch factor for a theoretical one: `Kf = 1 + q (Kt − 1)`.
    ///
    /// `q` by Neuber's constant for steel; 1 (no relief) for every other metal, for which no
    /// fit was found.
    ///
    /// ```text
    /// q = 1 / (1 + √a / √r)
    /// √a = 0.246 − 3.08e-3 S + 1.51e-5 S² − 2.67e-8 S³     (√in, S in kpsi)
    /// ```
    ///
    /// Source: Shigley, *Mechanical Engineering Design*, eq. 6-35a (from memory).
    pub fn kf(&self, kt: f64, strength: &Strength) -> f64 {
        1.0 + notch_sensitivity(strength, self.diameter / 2.0) * (kt - 1.0)
    }
}

impl EdgeNotches {
    /// Depth of a notch, which is its radius, mm.
    pub fn depth(&self) -> f64 {
        (self.width - self.net_width) / 2.0
    }

    /// What the notches leave of the stiffness of a stretch of plate with one pair of them, as
    /// [`Hole::stiffness_factors`]: flat and on edge.
    ///
    /// ```text
    /// 1/f_flat = 1 − 2h/l + (1/l) ∫ w / (w − 2c) dx    1/f_edge: the cubes
    /// c(x) = √(h² − x²),  −h ≤ x ≤ h
    /// ```
    ///
    /// * `length`: of the stretch, mm; notches longer than it count as if it were theirs
    pub fn stiffness_factors(&self, length: f64) -> [f64; 2] {
        let (w, h) = (self.width, self.depth());
        let share = (2.0 * h / length).min(1.0);
        let (mut flat, mut edge) = (1.0 - share, 1.0 - share);
        // x = h sin φ takes the root out of the chord.
        for (position, weight) in lobatto(16) {
            let angle = PI * (position - 0.5);
            let left = w / (w - 2.0 * h * angle.cos());
            let part = share * weight * PI * angle.cos() / 2.0;
            flat += part * left;
            edge += part * left.powi(3);
        }
        [1.0 / flat, 1.0 / edge]
    }

    /// Stress concentration in tension, `x = 2h/w`, on the net section (from memory):
    /// `3.065 − 3.370 x + 0.647 x² + 0.658 x³`.
    pub fn tension_kt(&self) -> f64 {
        let x = 2.0 * self.depth() / self.width;
        3.065 - 3.370 * x + 0.647 * x * x + 0.658 * x.powi(3)
    }

    /// Stress concentration in bending on edge, `x = 2h/w`, on the net section (from memory):
    /// `3.065 − 6.637 x + 8.229 x² − 3.636 x³`.
    pub fn edge_bending_kt(&self) -> f64 {
        let x = 2.0 * self.depth() / self.width;
        3.065 - 6.637 * x + 8.229 * x * x - 3.636 * x.powi(3)
    }

    /// Stress concentration in bending across the flat side, on the net section: the upper end
    /// of 1.3–1.7 (from memory); no formula was found. Tension's is an upper bound.
    pub const FLAT_BENDING_KT: f64 = 1.7;

    /// Fatigue notch factor for a theoretical one, as [`Hole::kf`].
    pub fn kf(&self, kt: f64, strength: &Strength) -> f64 {
        1.0 + notch_sensitivity(strength, self.depth()) * (kt - 1.0)
    }
}

/// Neuber's notch sensitivity at a root of the given radius, mm; see [`Hole::kf`].
pub fn notch_sensitivity(strength: &Strength, radius: f64) -> f64 {
    const MPA_PER_KPSI: f64 = 6.894_757;
    const MM_PER_INCH: f64 = 25.4;
    if strength.family != Family::Steel {
        return 1.0;
    }
    let s = strength.ultimate_tension / MPA_PER_KPSI;
    let root_a = 0.246 - 3.08e-3 * s + 1.51e-5 * s * s - 2.67e-8 * s.powi(3);
    // The polynomial is fitted up to about 250 kpsi and must not turn negative beyond.
    let root_a = root_a.max(0.0);
    1.0 / (1.0 + root_a * (MM_PER_INCH / radius).sqrt())
}
