//! Bone, fracture and device become a [`Frame`](crate::frame::Frame).

/// How the bone is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// A clean break across the bone.
    Transverse,
    /// A gap with nothing in it that carries load.
    Comminuted,
}

/// The fracture: a stretch of bone that is missing from the model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fracture {
    /// Middle of the gap, fraction of bone length.
    pub position: f64,
    /// Pattern.
    pub pattern: Pattern,
    /// Length of the gap along the bone, mm.
    pub gap: f64,
    /// Healing tissue that bridges the gap, if any.
    pub callus: Option<Callus>,
}

/// Healing tissue between and around the fragments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Callus {
    /// Young's modulus, MPa.
    pub youngs_modulus: f64,
    /// Outer diameter, mm.
    pub outer_diameter: f64,
}
