//! Bars that lie in the canal.

use std::f64::consts::PI;

use crate::material::Material;

/// A smooth round elastic nail lying in the canal.
#[derive(Debug, Clone, PartialEq)]
pub struct Nail {
    /// Diameter, mm.
    pub diameter: f64,
    /// Where it enters the bone, fraction of bone length; lateral of its tip in a nail put in
    /// from the acromial side.
    pub entry: f64,
    /// Where its tip lies, fraction of bone length.
    pub tip: f64,
    /// Whether it is bent to the canal before it goes in.
    pub shape: NailShape,
    /// Whether a threaded sleeve in the cortex keeps it from backing out at its entry.
    pub end_cap: bool,
    /// Alloy and temper.
    pub material: Material,
}

impl Nail {
    /// Length of the flattened tip, mm (from memory: about 10 mm).
    ///
    /// The tip is curved as well, by about 30–45° (from memory), to be steered: the model lets
    /// it follow the canal.
    pub const TIP_LENGTH: f64 = 10.0;

    /// Thickness of the flattened tip over the diameter. Assumption: no published thickness
    /// was found.
    const TIP_THICKNESS: f64 = 0.6;

    /// Its medial and its lateral end, fractions of bone length.
    pub fn ends(&self) -> [f64; 2] {
        [self.entry.min(self.tip), self.entry.max(self.tip)]
    }

    /// Whether it is put in from the sternal side.
    pub fn enters_medially(&self) -> bool {
        self.entry < self.tip
    }

    /// Thickness and width of the flattened tip, mm: the round bar pressed flat, its area kept.
    pub fn tip_size(&self) -> [f64; 2] {
        let thickness = Self::TIP_THICKNESS * self.diameter;
        [thickness, PI * self.diameter.powi(2) / 4.0 / thickness]
    }
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
    /// Distance from thread to thread, mm.
    pub pitch: f64,
    /// Diameter of the smooth shank, mm.
    pub shank_diameter: f64,
    /// Medial end of the pin (start of the medial thread), fraction of bone length.
    pub medial_tip: f64,
    /// Where the medial thread runs out into the shank, fraction of bone length.
    pub thread_end: f64,
    /// Where the nuts bear on the lateral cortex, fraction of bone length.
    pub nut: f64,
    /// How far nuts and pin end stand beyond the lateral cortex, mm.
    pub prominence: f64,
    /// By how many turns the nuts are tightened on the cortex once they bear on it.
    pub nut_turns: f64,
    /// Alloy and temper.
    pub material: Material,
}

/// A smooth straight wire in the canal.
#[derive(Debug, Clone, PartialEq)]
pub struct Wire {
    /// Diameter, mm.
    pub diameter: f64,
    /// Its medial end, fraction of bone length.
    pub medial_end: f64,
    /// Its lateral end, fraction of bone length.
    pub lateral_end: f64,
    /// Alloy and temper.
    pub material: Material,
}

/// A hollow screw in the canal: thread at its far, medial end, smooth shank, head on the
/// lateral cortex. Drawn home, it presses the broken ends together.
#[derive(Debug, Clone, PartialEq)]
pub struct CannulatedScrew {
    /// Outer diameter of the thread, mm.
    pub outer_diameter: f64,
    /// Core diameter of the thread, mm.
    pub core_diameter: f64,
    /// Diameter of the smooth shank, mm.
    pub shank_diameter: f64,
    /// Diameter of the channel along its axis, mm.
    pub cannulation_diameter: f64,
    /// Distance from thread to thread, mm.
    pub pitch: f64,
    /// Its medial tip, where the thread begins, fraction of bone length.
    pub medial_tip: f64,
    /// Where the thread runs out into the shank, fraction of bone length.
    pub thread_end: f64,
    /// Where its head bears on the lateral cortex, fraction of bone length.
    pub head: f64,
    /// How far it is drawn home once its head bears on the cortex, mm.
    pub compression: f64,
    /// Alloy and temper.
    pub material: Material,
}
