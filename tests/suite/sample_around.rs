//! The surroundings of the invented comparison: skin, vessels, and the bone after removal.

use clavibeam::assess::{
    CallusNeeded, EmptyHole, HardwarePressure, Prominence, ProudPart, Removal, StrapPressure,
    StructureAtRisk,
};

pub fn proud(part: &str, position: f64, height: f64) -> Prominence {
    Prominence {
        highest_mm: height,
        parts: vec![ProudPart {
            plate: None,
            name: part.into(),
            stretch: [position - 0.02, position + 0.02],
            height_mm: height,
            breadth_mm: 6.2,
        }],
    }
}

/// The picking bag's strap; `hardware` under it: its height and what the skin on it takes.
pub fn strap(hardware: Option<(&str, f64, f64)>) -> Vec<StrapPressure> {
    vec![StrapPressure {
        activity: "picking bag on shoulder strap".into(),
        line_force_n_per_mm: 1.0,
        bone_pressure_kpa: 33.0,
        hardware: hardware.map(|(part, height, pressure)| HardwarePressure {
            part: part.into(),
            height_mm: height,
            above_ridge_mm: height,
            line_force_n_per_mm: 0.6,
            mean_pressure_kpa: pressure,
            peak_pressure_kpa: 1.2 * pressure,
        }),
    }]
}

pub fn at_risk(part: &str, position: f64) -> Vec<StructureAtRisk> {
    vec![StructureAtRisk {
        part: part.into(),
        position,
        structures: vec!["subclavian vein"],
        direction: "downwards",
        far_cortex_mm: [9.1, 11.4],
        is_screw: true,
        caution: format!("{part} <caution>, not a clearance to drill"),
    }]
}

pub fn after_removal(bending: f64, torsion: f64, hole: Option<&str>) -> Removal {
    Removal {
        bending_percent_of_intact: bending,
        torsion_percent_of_intact: torsion,
        bending_net_section_percent: bending.max(60.0),
        weakest: hole.map(str::to_owned),
        holes: hole
            .map(|name| EmptyHole {
                name: name.into(),
                position: 0.3,
                diameter_mm: 3.5,
                diameter_ratio: 0.28,
                walls: 2,
                bending_kt: 3.5,
                torsion_kt: 4.4,
                net_section_percent: 60.0,
                bending_percent_of_intact: bending,
                torsion_percent_of_intact: torsion,
            })
            .into_iter()
            .collect(),
        bone_margins: vec![Some(1.4), None, Some(3.1)],
        callus: CallusNeeded {
            outer_diameter_mm: 12.0,
            as_strong_as_the_rest_mpa: 4000.0,
            margin: 2.0,
            safe_mpa: 7000.0,
        },
        words: vec!["an empty hole or canal is left, and what that means.".into()],
    }
}
