//! The clavicle: centre line, outer and canal sections along it, presets.
//!
//! Everything here is a right clavicle: origin at the sternal end, `x` lateral along the
//! straight line to the acromial end, `y` anterior, `z` superior. A left one is its mirror
//! ([`Side::mirror`]).

mod bone;
mod centre_line;
mod clavicle;
mod joints;
mod patient;
mod preset;
mod spline;

pub use bone::{BoneError, BoneInputs, Station};
pub use clavicle::Clavicle;
pub use joints::{JointGroup, Joints};
pub(crate) use patient::STANDARD_GRAVITY;
pub use patient::{Patient, Side};
pub use preset::{PRESET_NAMES, Preset};
