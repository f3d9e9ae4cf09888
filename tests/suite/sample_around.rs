//! The surroundings of the invented comparison: skin, vessels, and the bone after removal.

use clavibeam::assess::{
    BoneAhead, CallusNeeded, Compression, CompressionStep, EmptyHole, EndTravel, HardwarePressure,
    OpenedByPuttingIn, Prominence, ProudPart, PushRange, Removal, Slip, StrapPressure,
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

pub fn opened(rim: f64) -> OpenedByPuttingIn {
    OpenedByPuttingIn {
        rim_mm: rim,
        along_mm: 0.24 * rim,
        across_mm: 0.1 * rim,
        angle_deg: 6.7 * rim,
    }
}

/// Length kept or lost, and what a bar holds by itself.
pub fn slip(length_stable: &'static str, reason: &str, holds: Option<[f64; 3]>) -> Slip {
    let lost = if length_stable == "no" { 6.2 } else { 0.04 };
    let end = |end, travel_mm, ahead| EndTravel {
        end,
        travel_mm,
        ahead,
    };
    Slip {
        length_stable,
        reason: reason.into(),
        push_n: 97.0,
        lost_length_mm: Some(lost),
        poor_beyond_mm: Some(18.0),
        holds_push_n: holds.map(|[lowest, middle, highest]| PushRange {
            lowest,
            middle,
            highest,
        }),
        parts_at_n: holds.map(|[_, middle, _]| middle),
        ends: holds.map_or_else(Vec::new, |_| {
            let ahead = BoneAhead {
                bone_left_mm: 31.0,
                remaining_cortex_mm: 1.4,
            };
            vec![
                end("medial", 0.8 * lost, None),
                end("lateral", 0.2 * lost, Some(ahead)),
            ]
        }),
        words: vec![format!(
            "pushed with 97 N <along the bone>, it loses {lost} mm"
        )],
    }
}

/// A pin's nuts, tightened a quarter turn in the case; the last step is too much.
pub fn nuts() -> Compression {
    let step = |turns: f64, force: f64| CompressionStep {
        turns: Some(turns),
        travel_mm: 1.6 * turns,
        gap_change_mm: -0.036 * turns,
        stands_open_mm: 0.0,
        face_force_n: force,
        face_pressure_mpa: force / 68.0,
        device_tension_n: force,
        device_stress_mpa: Some(force / 7.26),
    };
    Compression {
        by: "nuts",
        set_mm: 0.4,
        set_turns: Some(0.25),
        crushing_pressure_mpa: 180.0,
        proof_stress_mpa: Some(690.0),
        steps: vec![step(0.0, 0.0), step(0.25, 1120.0), step(1.5, 6900.0)],
    }
}
