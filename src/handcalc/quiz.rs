//! The same calculation with other numbers: a file's own numbers varied by a seed.

use toml::{Table, Value};

/// How far a number is moved, and by which rule it stays sensible.
struct Range {
    key: &'static str,
    /// Factors between which it is moved.
    factors: [f64; 2],
}

/// The numbers of a case file that are varied. Assumption: as far as they vary between people,
/// sizes and jobs; those that would make a device not fit only become smaller.
const CASE_RANGES: [Range; 10] = [
    Range {
        key: "body_mass_kg",
        factors: [0.85, 1.15],
    },
    Range {
        key: "gap_mm",
        factors: [0.7, 1.0],
    },
    Range {
        key: "diameter_mm",
        factors: [0.85, 1.1],
    },
    Range {
        key: "thickness_mm",
        factors: [0.85, 1.15],
    },
    Range {
        key: "hand_mass_kg",
        factors: [0.5, 1.5],
    },
    Range {
        key: "strap_force_n",
        factors: [0.6, 1.4],
    },
    Range {
        key: "arm_elevation_deg",
        factors: [0.5, 1.0],
    },
    Range {
        key: "force_n",
        factors: [0.6, 1.4],
    },
    Range {
        key: "torque_nm",
        factors: [0.6, 1.4],
    },
    Range {
        key: "outer_scale",
        factors: [0.94, 1.06],
    },
];

/// The numbers of a frame file that are varied. Assumption: a rod is still a rod.
const FRAME_RANGES: [Range; 8] = [
    Range {
        key: "youngs_modulus_gpa",
        factors: [0.7, 1.3],
    },
    Range {
        key: "diameter_mm",
        factors: [0.7, 1.3],
    },
    Range {
        key: "width_mm",
        factors: [0.8, 1.2],
    },
    Range {
        key: "depth_mm",
        factors: [0.8, 1.2],
    },
    Range {
        key: "outer_diameter_mm",
        factors: [1.0, 1.3],
    },
    Range {
        key: "force_n",
        factors: [0.5, 2.0],
    },
    Range {
        key: "moment_nmm",
        factors: [0.5, 2.0],
    },
    Range {
        key: "force_n_per_mm",
        factors: [0.5, 2.0],
    },
];

/// A stream of numbers from a seed, the same everywhere.
///
/// Source: Steele, Lea & Flood, SplitMix64 (2014), from memory.
struct Numbers(u64);

impl Numbers {
    /// Between 0 and 1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// A case file with other numbers; the bone is a little larger or smaller too.
pub fn varied_case(mut file: Table, seed: u64) -> Table {
    let bone = file.entry("bone").or_insert(Value::Table(Table::new()));
    if let Value::Table(bone) = bone {
        bone.entry("outer_scale").or_insert(Value::Float(1.0));
    }
    vary(&mut file, &CASE_RANGES, &mut Numbers(seed));
    file
}

/// A frame file with other numbers; its reference values, true no longer, are left out.
pub fn varied_frame(mut file: Table, seed: u64) -> Table {
    file.remove("expect");
    vary(&mut file, &FRAME_RANGES, &mut Numbers(seed));
    file
}

fn vary(table: &mut Table, ranges: &[Range], numbers: &mut Numbers) {
    for (key, value) in table {
        let range = ranges.iter().find(|range| range.key == key);
        match (range, value) {
            (
                Some(Range {
                    factors: [low, high],
                    ..
                }),
                value,
            ) => {
                scale(value, low + (high - low) * numbers.next());
            }
            (None, Value::Table(inner)) => vary(inner, ranges, numbers),
            (None, Value::Array(entries)) => {
                for entry in entries {
                    if let Value::Table(inner) = entry {
                        vary(inner, ranges, numbers);
                    }
                }
            }
            (None, _) => {}
        }
    }
}

/// Multiplies a number, or all numbers of a list, and rounds to three figures.
fn scale(value: &mut Value, factor: f64) {
    let scaled = |number: f64| {
        let rounded = format!("{:.2e}", number * factor).parse();
        Value::Float(rounded.expect("a printed number can be read"))
    };
    match value {
        Value::Integer(whole) => *value = scaled(*whole as f64),
        Value::Float(number) => *value = scaled(*number),
        Value::Array(entries) => entries.iter_mut().for_each(|entry| scale(entry, factor)),
        _ => {}
    }
}
