//! Generic plate sizes and the screws that belong to them.

/// Dimensions of a generic plate, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateSize {
    /// The word for it in case files.
    pub name: &'static str,
    /// Width across the plate.
    pub width: f64,
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
    /// Where they come from.
    pub source: &'static str,
}

/// Source of every hole diameter in the catalogue.
pub const HOLE_DIAMETER_SOURCE: &str = "assumption: between the shaft and the head of the screw, \
                                        5.0 mm for 3.5 mm screws and in proportion";

/// Cortical screw for 3.5 mm plates.
pub const CORTICAL_3_5: ScrewSize = ScrewSize {
    outer_diameter: 3.5,
    core_diameter: 2.4,
    source: "ISO 5835, HA 3.5, as given by an online orthopaedic textbook",
};

/// Locking screw for 3.5 mm plates.
pub const LOCKING_3_5: ScrewSize = ScrewSize {
    outer_diameter: 3.5,
    core_diameter: 2.9,
    source: "from memory",
};

/// Cortical screw for 2.7 mm plates.
pub const CORTICAL_2_7: ScrewSize = ScrewSize {
    outer_diameter: 2.7,
    core_diameter: 1.9,
    source: "from memory: ISO 5835, HA 2.7",
};

/// Locking screw for 2.7 mm plates.
pub const LOCKING_2_7: ScrewSize = ScrewSize {
    outer_diameter: 2.7,
    core_diameter: 2.1,
    source: "from memory",
};

/// Plates of the usual systems, by generic name.
pub const PLATE_SIZES: [PlateSize; 5] = [
    PlateSize {
        name: "reconstruction-3.5",
        width: 10.0,
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
        thickness: 2.5,
        hole_spacing: 8.0,
        hole_diameter: 3.9,
        plain_screw: CORTICAL_2_7,
        locking_screw: LOCKING_2_7,
        source: "from memory",
    },
];

impl PlateSize {
    /// The size with this name, if the catalogue has it.
    pub fn named(name: &str) -> Option<PlateSize> {
        PLATE_SIZES.into_iter().find(|size| size.name == name)
    }
}
