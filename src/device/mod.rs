//! Devices that hold a fracture: nails, threaded pins, plates and their screws.
//!
//! Lengths in mm. Positions along the bone are fractions of its straight length
//! from the sternal end.

pub mod catalogue;
mod notch;

pub use notch::{Hole, Notch, THREAD_KF, notch_sensitivity};

use crate::material::Material;

/// One way of holding the fracture.
#[derive(Debug, Clone, PartialEq)]
pub enum Device {
    /// A smooth elastic nail in the canal.
    Nail(Nail),
    /// A threaded pin in the canal.
    Pin(Pin),
    /// A plate on the surface, with screws.
    Plate(Plate),
}

/// A smooth round elastic nail lying in the canal.
#[derive(Debug, Clone, PartialEq)]
pub struct Nail {
    /// Diameter, mm.
    pub diameter: f64,
    /// Where it enters the bone (medial entry), fraction of bone length.
    pub entry: f64,
    /// Where its lateral tip lies, fraction of bone length.
    pub tip: f64,
    /// Whether it is bent to the canal before it goes in.
    pub shape: NailShape,
    /// Alloy and temper.
    pub material: Material,
}

/// The shape of a nail before it goes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NailShape {
    /// Straight: the canal bends it, and it stays bent under stress.
    Straight,
    /// Bent to the canal: it lies there free of stress.
    Prebent,
}

/// A threaded pin: thread in the medial fragment, smooth shank across the fracture,
/// lateral thread with two nuts. Its core governs wherever it is threaded.
#[derive(Debug, Clone, PartialEq)]
pub struct Pin {
    /// Outer diameter of the threads, mm.
    pub outer_diameter: f64,
    /// Core diameter of the threads, mm.
    pub core_diameter: f64,
    /// Diameter of the smooth shank, mm.
    pub shank_diameter: f64,
    /// Medial end of the pin (start of the medial thread), fraction of bone length.
    pub medial_tip: f64,
    /// Where the medial thread runs out into the shank, fraction of bone length.
    pub thread_end: f64,
    /// Where the nuts bear on the lateral cortex, fraction of bone length.
    pub nut: f64,
    /// Alloy and temper.
    pub material: Material,
}

/// The side of the bone a plate lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    /// On top.
    Superior,
    /// In front and below, at 45°.
    Anteroinferior,
    /// In front.
    Anterior,
}

/// A plate contoured to the bone, with equally spaced holes numbered from 1 at its medial end.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    /// The side of the bone it lies on.
    pub surface: Surface,
    /// Width across the plate, mm.
    pub width: f64,
    /// Thickness, mm.
    pub thickness: f64,
    /// Number of holes.
    pub hole_count: usize,
    /// Distance between hole centres along the plate, mm.
    pub hole_spacing: f64,
    /// Diameter of the holes through the plate, mm.
    pub hole_diameter: f64,
    /// Gap between plate and bone, mm.
    pub standoff: f64,
    /// Where the middle of the plate lies, fraction of bone length.
    pub centre: f64,
    /// Alloy and temper.
    pub material: Material,
    /// Force with which each screw that does not lock presses the plate on the bone, N.
    pub screw_preload: f64,
    /// The filled holes, in order of hole number.
    pub screws: Vec<Screw>,
}

impl Plate {
    /// Overall length: `(n - 1) × spacing` between the end holes and half a spacing beyond each, mm.
    pub fn length(&self) -> f64 {
        self.hole_count as f64 * self.hole_spacing
    }

    /// Distance of hole `number` (from 1) from the middle of the plate along it, mm; negative is medial.
    pub fn hole_offset(&self, number: usize) -> f64 {
        (number as f64 - (self.hole_count as f64 + 1.0) / 2.0) * self.hole_spacing
    }

    /// Whether hole `number` (from 1) carries a screw.
    pub fn is_filled(&self, number: usize) -> bool {
        self.screws.iter().any(|screw| screw.hole == number)
    }
}

/// A screw in one hole of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Screw {
    /// Hole number, from 1 at the medial end of the plate.
    pub hole: usize,
    /// Outer diameter of the thread, mm.
    pub outer_diameter: f64,
    /// Core diameter of the thread, mm.
    pub core_diameter: f64,
    /// Whether it holds in both cortices or only in the near one.
    pub bicortical: bool,
    /// Whether its head locks in the plate.
    pub locking: bool,
}
