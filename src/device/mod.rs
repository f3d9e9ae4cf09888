//! Devices that hold a fracture: bars in the canal, plates and their screws.
//!
//! Lengths in mm. Positions along the bone are fractions of its straight length
//! from the sternal end.

mod bar;
pub mod catalogue;
mod notch;
mod plate;
mod screw;

pub use bar::{CannulatedScrew, Nail, NailShape, Pin, Wire};
pub use notch::{EdgeNotches, Hole, Notch, THREAD_KF, notch_sensitivity};
pub use plate::{Contour, Plate, Surface};
pub use screw::{CORTICAL_SHEAR_STRENGTH, Screw, cortical_shear_strength, thread_pull_out};

/// One way of holding the fracture.
#[derive(Debug, Clone, PartialEq)]
pub enum Device {
    /// A smooth elastic nail in the canal.
    Nail(Nail),
    /// A threaded pin in the canal.
    Pin(Pin),
    /// A smooth wire in the canal.
    Wire(Wire),
    /// A cannulated screw in the canal.
    CannulatedScrew(CannulatedScrew),
    /// A plate on the surface, with screws.
    Plate(Plate),
    /// Two plates on different sides of the bone.
    Plates(Box<[Plate; 2]>),
}

impl Device {
    /// Its plates; none for a bar in the canal.
    pub fn plates(&self) -> &[Plate] {
        match self {
            Device::Plate(plate) => std::slice::from_ref(plate),
            Device::Plates(plates) => plates.as_slice(),
            Device::Nail(_) | Device::Pin(_) | Device::Wire(_) | Device::CannulatedScrew(_) => &[],
        }
    }
}
