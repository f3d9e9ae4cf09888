//! The clavicle: centre line, outer and canal sections along it, presets.

/// Which clavicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Right clavicle: the frame of reference.
    Right,
    /// Left clavicle: its mirror.
    Left,
}

/// Who the bone belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Patient {
    /// Name of the preset everything not given comes from.
    pub preset: String,
    /// Side.
    pub side: Side,
    /// Body mass, kg.
    pub body_mass: f64,
    /// Standing height, mm.
    pub stature: f64,
    /// Weight of one arm, N.
    pub arm_weight: f64,
    /// Width of a shoulder strap, mm.
    pub strap_width: f64,
}

/// An intact clavicle.
#[derive(Debug, Clone)]
pub struct Clavicle {}
