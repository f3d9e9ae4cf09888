//! Screws of plates, and what pulls them out.

use std::f64::consts::PI;

/// A screw in one hole of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Screw {
    /// Hole number, from 1 at the medial end of the plate.
    pub hole: usize,
    /// Outer diameter of the thread, mm.
    pub outer_diameter: f64,
    /// Core diameter of the thread, mm.
    pub core_diameter: f64,
    /// Distance from thread to thread, mm.
    pub pitch: f64,
    /// Whether it holds in both cortices or only in the near one.
    pub bicortical: bool,
    /// Whether its head locks in the plate.
    pub locking: bool,
}

/// Shear strength of cortical bone of 17.5 GPa along its axis, MPa: the middle of the 50–70 MPa
/// that human cortical bone is said to have (from memory).
pub const CORTICAL_SHEAR_STRENGTH: f64 = 60.0;

/// Modulus of the bone to which that strength belongs, MPa: the adult presets'.
const MODULUS_OF_STRENGTH: f64 = 17_500.0;

/// Shear strength of cortical bone of a given modulus, MPa. Assumption: in proportion to it.
pub fn cortical_shear_strength(youngs_modulus: f64) -> f64 {
    CORTICAL_SHEAR_STRENGTH * youngs_modulus / MODULUS_OF_STRENGTH
}

/// Force that pulls a thread out of bone, N: the bone shears along the tips of the thread.
///
/// ```text
/// F = S π D L TSF     TSF = 0.5 + 0.57735 d / p     d = (D − D_core) / 2
/// ```
///
/// Made for cancellous bone and foam; in a thin cortex the engaged length is what the thread
/// passes through of all cortices.
///
/// * `diameters`: outer and core, mm
/// * `pitch`: mm
/// * `shear_strength`: of the bone, MPa
/// * `engaged`: length of thread in bone, mm
///
/// Source: Chapman et al., *J. Biomech. Eng.* 118 (1996) 391–398 (formula from memory).
pub fn thread_pull_out(diameters: [f64; 2], pitch: f64, shear_strength: f64, engaged: f64) -> f64 {
    let [outer, _] = diameters;
    shear_strength * PI * outer * engaged * thread_shape_factor(diameters, pitch)
}

/// How much of the cylinder around a thread shears, as [`thread_pull_out`] has it.
fn thread_shape_factor([outer, core]: [f64; 2], pitch: f64) -> f64 {
    0.5 + 0.57735 * (outer - core) / 2.0 / pitch
}

impl Screw {
    /// How much of the cylinder around the thread shears when the screw is pulled out: TSF of
    /// [`thread_pull_out`].
    pub fn thread_shape_factor(&self) -> f64 {
        thread_shape_factor(self.diameters(), self.pitch)
    }

    /// Force that pulls the screw out, N: see [`thread_pull_out`].
    ///
    /// * `shear_strength`: of the bone, MPa
    /// * `engaged`: length of thread in bone, mm
    pub fn pull_out(&self, shear_strength: f64, engaged: f64) -> f64 {
        thread_pull_out(self.diameters(), self.pitch, shear_strength, engaged)
    }

    fn diameters(&self) -> [f64; 2] {
        [self.outer_diameter, self.core_diameter]
    }
}
