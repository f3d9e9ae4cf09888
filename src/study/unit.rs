//! Units at the end of key and column names.

/// A unit as it ends a name and as readers see it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unit {
    /// How a name ends.
    pub suffix: &'static str,
    /// Beside a number or on an axis.
    pub shown: &'static str,
}

/// The longer of two that fit stands first.
const UNITS: [(&str, &str); 23] = [
    ("_nm_per_deg", "N·m/deg"),
    ("_n_per_mm", "N/mm"),
    ("_percent_of_intact", "% of intact"),
    ("_percent", "%"),
    ("_nmm", "N·mm"),
    ("_nm", "N·m"),
    ("_mm2", "mm²"),
    ("_mm4", "mm⁴"),
    ("_mm", "mm"),
    ("_mpa", "MPa"),
    ("_gpa", "GPa"),
    ("_kpa", "kPa"),
    ("_kg", "kg"),
    ("_deg", "deg"),
    ("_rad", "rad"),
    ("_weeks", "weeks"),
    ("_n", "N"),
    ("_m", "m"),
    ("_turns", "turns"),
    ("_per_day", "per day"),
    ("_1e7", "10⁷ cycles"),
    ("_1e6", "10⁶ cycles"),
    ("_1e5", "10⁵ cycles"),
];

/// The unit of the last key of a path that has one.
pub fn unit(path: &str) -> Option<Unit> {
    path.rsplit('.').find_map(|key| {
        let found = UNITS.iter().find(|(suffix, _)| key.ends_with(suffix))?;
        Some(Unit {
            suffix: found.0,
            shown: found.1,
        })
    })
}
