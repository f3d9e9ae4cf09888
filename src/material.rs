//! Materials: stiffness, limits, fatigue data, each with its source.

/// A linear elastic material with the limits used in assessment. Stresses in MPa.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// The name used in case and frame files.
    pub name: String,
    /// Young's modulus, MPa.
    pub youngs_modulus: f64,
    /// Shear modulus, MPa (not tied to Young's modulus: cortical bone is not isotropic).
    pub shear_modulus: f64,
    /// Poisson's ratio, used for shear coefficients only.
    pub poisson_ratio: f64,
    /// What it can bear; absent for frame files that only ask for stiffness.
    pub strength: Option<Strength>,
}

/// Static limits and fatigue points. Stresses in MPa.
#[derive(Debug, Clone, PartialEq)]
pub struct Strength {
    /// 0.2 % proof stress, or the tensile yield stress of bone.
    pub proof: f64,
    /// Ultimate tensile strength.
    pub ultimate: f64,
    /// Fully reversed smooth-specimen fatigue amplitude at 10⁷ cycles, environment included.
    pub fatigue_amplitude_1e7: f64,
    /// Where the numbers come from.
    pub source: &'static str,
}

impl Material {
    /// An isotropic material without limits: `G = E / (2 (1 + ν))`.
    pub fn isotropic(name: &str, youngs_modulus: f64, poisson_ratio: f64) -> Self {
        Material {
            name: name.to_owned(),
            youngs_modulus,
            shear_modulus: youngs_modulus / (2.0 * (1.0 + poisson_ratio)),
            poisson_ratio,
            strength: None,
        }
    }
}
