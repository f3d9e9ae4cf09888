//! Plates.

use super::{EdgeNotches, Hole, Screw};
use crate::material::Material;

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

/// The shape of a plate along the bone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Contour {
    /// Bent to lie along the bone.
    Contoured,
    /// Straight: it stands off wherever the bone curves away.
    Straight,
}

/// A plate with equally spaced holes numbered from 1 at its medial end.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    /// The side of the bone it lies on.
    pub surface: Surface,
    /// Width across the plate, mm.
    pub width: f64,
    /// Width where the edges are notched, half-way between holes, mm; none for straight edges.
    pub notch_width: Option<f64>,
    /// Thickness, mm.
    pub thickness: f64,
    /// Whether it is bent to the bone.
    pub contour: Contour,
    /// Number of holes.
    pub hole_count: usize,
    /// Distance between hole centres along the plate, mm.
    pub hole_spacing: f64,
    /// Diameter of the holes through the plate, mm.
    pub hole_diameter: f64,
    /// Numbers of holes it does not have: it is solid there.
    pub absent_holes: Vec<usize>,
    /// Gap between plate and bone, mm; of a straight plate where it is nearest.
    pub standoff: f64,
    /// Where the middle of the plate lies, fraction of bone length.
    pub centre: f64,
    /// Alloy and temper.
    pub material: Material,
    /// Force with which each screw that does not lock presses the plate on the bone, N.
    pub screw_preload: f64,
    /// How far its compression holes drive the lateral fragment along it towards the medial one, mm.
    pub compression: f64,
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

    /// The hole with this number (from 1), where the plate has one.
    pub fn hole(&self, number: usize) -> Option<Hole> {
        (!self.absent_holes.contains(&number)).then_some(Hole {
            width: self.width,
            thickness: self.thickness,
            diameter: self.hole_diameter,
        })
    }

    /// The notches in its edges half-way between holes, if it has any.
    pub fn notches(&self) -> Option<EdgeNotches> {
        self.notch_width.map(|net_width| EdgeNotches {
            width: self.width,
            thickness: self.thickness,
            net_width,
        })
    }

    /// Distance between the innermost screws on either side of a place along it, mm; none if
    /// a side has no screw.
    ///
    /// * `offset`: distance of the fracture from the middle of the plate, mm
    pub fn working_length(&self, offset: f64) -> Option<f64> {
        let offsets = || self.screws.iter().map(|screw| self.hole_offset(screw.hole));
        let medial = offsets().filter(|at| *at < offset).reduce(f64::max)?;
        let lateral = offsets().filter(|at| *at > offset).reduce(f64::min)?;
        Some(lateral - medial)
    }
}

impl Surface {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Surface::Superior => "superior",
            Surface::Anteroinferior => "anteroinferior",
            Surface::Anterior => "anterior",
        }
    }
}
