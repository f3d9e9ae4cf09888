//! Generic sizes: nails, wires, cannulated screws, plates and the screws that belong to them.

/// Diameters in which elastic nails are made, mm (from memory).
pub const NAIL_DIAMETERS: [f64; 6] = [1.5, 2.0, 2.5, 3.0, 3.5, 4.0];

/// Diameters in which threaded pins are made, mm. Source: Golish et al., *J. Orthop. Surg. Res.*
/// 3:28 (2008) for 3.8 and 4.5; the others from memory.
pub const PIN_DIAMETERS: [f64; 4] = [2.5, 3.0, 3.8, 4.5];

/// Diameters in which smooth wires are made, mm (from memory).
pub const WIRE_DIAMETERS: [f64; 8] = [1.0, 1.2, 1.6, 1.8, 2.0, 2.4, 2.5, 2.8];

/// Dimensions of a generic plate, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateSize {
    /// The word for it in case files.
    pub name: &'static str,
    /// Width across the plate.
    pub width: f64,
    /// Width where its edges are notched, half-way between holes; none for straight edges.
    pub notch_width: Option<f64>,
    /// Thickness.
    pub thickness: f64,
    /// Distance between hole centres.
    pub hole_spacing: f64,
    /// Diameter of the holes, one value for the stepped or oval real hole.
    pub hole_diameter: f64,
    /// Its screws when their heads do not lock in the plate.
    pub plain_screw: ScrewSize,
    /// Its screws when their heads lock in the plate.
    pub locking_screw: ScrewSize,
    /// Where width, thickness and hole spacing come from.
    pub source: &'static str,
}

/// Diameters of a screw thread, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScrewSize {
    /// Outer diameter.
    pub outer_diameter: f64,
    /// Core diameter.
    pub core_diameter: f64,
    /// Distance from thread to thread.
    pub pitch: f64,
    /// Where they come from.
    pub source: &'static str,
}

/// Source of every hole diameter in the catalogue.
pub const HOLE_DIAMETER_SOURCE: &str = "assumption: between the shaft and the head of the screw, \
                                        5.0 mm for 3.5 mm screws and in proportion";

/// Source of every notch width in the catalogue.
pub const NOTCH_WIDTH_SOURCE: &str = "assumption: three quarters of the width; not published";

/// Cortical screw for 3.5 mm plates.
pub const CORTICAL_3_5: ScrewSize = ScrewSize {
    outer_diameter: 3.5,
    core_diameter: 2.4,
    pitch: 1.25,
    source: "ISO 5835, HA 3.5, as given by an online orthopaedic textbook; pitch from memory",
};

/// Locking screw for 3.5 mm plates.
pub const LOCKING_3_5: ScrewSize = ScrewSize {
    outer_diameter: 3.5,
    core_diameter: 2.9,
    pitch: 0.8,
    source: "from memory",
};

/// Cortical screw for 2.7 mm plates.
pub const CORTICAL_2_7: ScrewSize = ScrewSize {
    outer_diameter: 2.7,
    core_diameter: 1.9,
    pitch: 1.0,
    source: "from memory: ISO 5835, HA 2.7",
};

/// Locking screw for 2.7 mm plates.
pub const LOCKING_2_7: ScrewSize = ScrewSize {
    outer_diameter: 2.7,
    core_diameter: 2.1,
    pitch: 0.8,
    source: "from memory (pitch 0.6-1.0)",
};

/// Cortical screw for 2.4 mm plates.
pub const CORTICAL_2_4: ScrewSize = ScrewSize {
    outer_diameter: 2.4,
    core_diameter: 1.7,
    pitch: 1.0,
    source: "from memory",
};

/// Locking screw for 2.4 mm plates.
pub const LOCKING_2_4: ScrewSize = ScrewSize {
    outer_diameter: 2.4,
    core_diameter: 1.9,
    pitch: 0.7,
    source: "assumption: in proportion to the 2.7 mm locking screw; none was found",
};

/// Cortical screw for 2.0 mm plates.
pub const CORTICAL_2_0: ScrewSize = ScrewSize {
    outer_diameter: 2.0,
    core_diameter: 1.3,
    pitch: 0.6,
    source: "from memory: ISO 5835, HA 2.0",
};

/// Locking screw for 2.0 mm plates.
pub const LOCKING_2_0: ScrewSize = ScrewSize {
    outer_diameter: 2.0,
    core_diameter: 1.6,
    pitch: 0.6,
    source: "assumption: in proportion to the 2.7 mm locking screw; none was found",
};

/// Dimensions of a generic cannulated screw, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CannulatedSize {
    /// The word for it in case files.
    pub name: &'static str,
    /// Its thread.
    pub thread: ScrewSize,
    /// Diameter of the channel.
    pub cannulation_diameter: f64,
}

const CANNULATED_SOURCE: &str = "from memory (core and channel vary between makes)";

/// Cannulated screws, by generic name.
pub const CANNULATED_SIZES: [CannulatedSize; 3] = [
    CannulatedSize {
        name: "cannulated-4.0",
        thread: ScrewSize {
            outer_diameter: 4.0,
            core_diameter: 2.6,
            pitch: 1.75,
            source: CANNULATED_SOURCE,
        },
        cannulation_diameter: 1.4,
    },
    CannulatedSize {
        name: "cannulated-4.5",
        thread: ScrewSize {
            outer_diameter: 4.5,
            core_diameter: 3.1,
            pitch: 1.75,
            source: CANNULATED_SOURCE,
        },
        cannulation_diameter: 1.7,
    },
    CannulatedSize {
        name: "cannulated-6.5",
        thread: ScrewSize {
            outer_diameter: 6.5,
            core_diameter: 4.8,
            pitch: 2.75,
            source: CANNULATED_SOURCE,
        },
        cannulation_diameter: 2.9,
    },
];

impl CannulatedSize {
    /// The size with this name, if the catalogue has it.
    pub fn named(name: &str) -> Option<CannulatedSize> {
        CANNULATED_SIZES.into_iter().find(|size| size.name == name)
    }
}

/// Plates of the usual systems, by generic name.
pub const PLATE_SIZES: [PlateSize; 10] = [
    PlateSize {
        name: "reconstruction-3.5",
        width: 10.0,
        notch_width: Some(7.5),
        thickness: 2.8,
        hole_spacing: 12.0,
        hole_diameter: 5.0,
        plain_screw: CORTICAL_3_5,
        locking_screw: LOCKING_3_5,
        source: "an online orthopaedic textbook",
    },
    PlateSize {
        name: "compression-3.5",
        width: 10.0,
        notch_width: None,
        thickness: 3.0,
        hole_spacing: 12.0,
        hole_diameter: 5.0,
        plain_screw: CORTICAL_3_5,
        locking_screw: LOCKING_3_5,
        source: "from memory (spacing across the middle of real plates is wider)",
    },
    PlateSize {
        name: "limited-contact-3.5",
        width: 11.0,
        notch_width: None,
        thickness: 3.3,
        hole_spacing: 13.0,
        hole_diameter: 5.0,
        plain_screw: CORTICAL_3_5,
        locking_screw: LOCKING_3_5,
        source: "from memory",
    },
    // Modelled flat: the real section is curved and stiffer about its width.
    PlateSize {
        name: "one-third-tubular-3.5",
        width: 9.0,
        notch_width: None,
        thickness: 1.0,
        hole_spacing: 12.0,
        hole_diameter: 5.0,
        plain_screw: CORTICAL_3_5,
        locking_screw: LOCKING_3_5,
        source: "from memory (modelled flat, real plates are curved and stiffer)",
    },
    PlateSize {
        name: "compression-2.7",
        width: 8.0,
        notch_width: None,
        thickness: 2.5,
        hole_spacing: 8.0,
        hole_diameter: 3.9,
        plain_screw: CORTICAL_2_7,
        locking_screw: LOCKING_2_7,
        source: "from memory",
    },
    PlateSize {
        name: "precontoured-superior",
        width: 10.0,
        notch_width: None,
        thickness: 3.0,
        hole_spacing: 12.0,
        hole_diameter: 5.0,
        plain_screw: CORTICAL_3_5,
        locking_screw: LOCKING_3_5,
        source: "from memory, middle of 9-11, 2.5-3.6 and 10-14 mm (waists between holes left out)",
    },
    PlateSize {
        name: "precontoured-anterior",
        width: 9.0,
        notch_width: None,
        thickness: 2.8,
        hole_spacing: 11.5,
        hole_diameter: 5.0,
        plain_screw: CORTICAL_3_5,
        locking_screw: LOCKING_3_5,
        source: "from memory, middle of 8-10, 2.5-3.0 and 10-13 mm (waists between holes left out)",
    },
    PlateSize {
        name: "reconstruction-2.7",
        width: 8.0,
        notch_width: Some(6.0),
        thickness: 2.2,
        hole_spacing: 8.0,
        hole_diameter: 3.9,
        plain_screw: CORTICAL_2_7,
        locking_screw: LOCKING_2_7,
        source: "from memory (thickness 2.0-2.5 mm)",
    },
    PlateSize {
        name: "mini-fragment-2.4",
        width: 6.5,
        notch_width: None,
        thickness: 1.7,
        hole_spacing: 8.0,
        hole_diameter: 3.4,
        plain_screw: CORTICAL_2_4,
        locking_screw: LOCKING_2_4,
        source: "from memory, upper end of 5-6.5, 1.0-1.7 and 5-8 mm",
    },
    PlateSize {
        name: "mini-fragment-2.0",
        width: 5.0,
        notch_width: None,
        thickness: 1.2,
        hole_spacing: 6.0,
        hole_diameter: 2.9,
        plain_screw: CORTICAL_2_0,
        locking_screw: LOCKING_2_0,
        source: "from memory, lower end of 5-6.5, 1.0-1.7 and 5-8 mm",
    },
];

impl PlateSize {
    /// The size with this name, if the catalogue has it.
    pub fn named(name: &str) -> Option<PlateSize> {
        PLATE_SIZES.into_iter().find(|size| size.name == name)
    }
}
