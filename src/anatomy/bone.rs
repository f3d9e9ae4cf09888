//! What describes a clavicle before it is built, and what can be wrong with it.

use std::fmt;

use crate::material::Material;

/// Outer size and wall at one place along the bone. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Fraction of the straight length from the sternal end.
    pub fraction: f64,
    /// Outer size, antero-posterior and supero-inferior.
    pub outer: [f64; 2],
    /// Thickness of the cortex, even all round.
    pub wall: f64,
}

/// Everything about a clavicle that can be given. Lengths in mm, moduli in MPa.
#[derive(Debug, Clone, PartialEq)]
pub struct BoneInputs {
    /// Straight length from end to end; the centre line is some 5 % longer.
    pub length: f64,
    /// Offset of the medial curve from the straight line, forwards.
    pub medial_curve_depth: f64,
    /// Offset of the lateral curve from the straight line, backwards.
    pub lateral_curve_depth: f64,
    /// Offset of the bow from the straight line, upwards; may be negative.
    pub superior_bow: f64,
    /// Outer sizes and walls, from fraction 0 to fraction 1.
    pub stations: Vec<Station>,
    /// Multiplies the outer sizes; the walls stay.
    pub outer_scale: f64,
    /// Multiplies the walls; the outer sizes stay.
    pub wall_scale: f64,
    /// Diameter of the largest rod that passes the canal zone: sets the walls by one factor,
    /// so that `wall_scale` and the thinning of osteoporosis no longer matter.
    pub canal_min_diameter: Option<f64>,
    /// Fractions between which the canal is open; trabecular bone fills it elsewhere.
    pub canal_zone: [f64; 2],
    /// Cortical bone.
    pub cortex: Material,
    /// Young's modulus of trabecular bone.
    pub trabecular_modulus: f64,
    /// Thin and soft bone: walls × 0.70, cortical moduli × 0.66, trabecular modulus × 0.34;
    /// outer sizes and limits stay (no number was found for the limits).
    pub osteoporotic: bool,
    /// Centre of the conoid ligament's attachment, along the straight line.
    pub conoid_from_lateral_end: f64,
    /// Centre of the trapezoid ligament's attachment, along the straight line.
    pub trapezoid_from_lateral_end: f64,
    /// Fraction at the centre of the costoclavicular ligament's attachment.
    pub costoclavicular: f64,
}

/// Why no bone can be built from the inputs. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum BoneError {
    /// The stations do not run from 0 to 1, or are fewer than three.
    Stations,
    /// The walls meet in the middle.
    WallTooThick {
        /// Fraction of the length where that happens first.
        fraction: f64,
        /// Factor on all walls below which a canal is left.
        wall_factor_below: f64,
    },
    /// No walls give the canal asked for.
    CanalDiameter {
        /// What was asked for.
        given: f64,
        /// The canal left by the thickest walls possible: it must be wider.
        above: f64,
        /// The least outer size: it must be narrower.
        below: f64,
    },
}

impl fmt::Display for BoneError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BoneError::Stations => write!(
                f,
                "the stations must be at least three, start at fraction 0, rise and end at 1"
            ),
            BoneError::WallTooThick {
                fraction,
                wall_factor_below,
            } => write!(
                f,
                "the walls leave no canal at {fraction:.2} of the length; multiply them by less \
                 than {wall_factor_below:.3}"
            ),
            BoneError::CanalDiameter {
                given,
                above,
                below,
            } => write!(
                f,
                "a narrowest canal of {given} mm does not fit this bone; it must be more than \
                 {above:.1} mm and less than {below:.1} mm"
            ),
        }
    }
}

impl std::error::Error for BoneError {}
