//! What surrounds a construct, in sentences: the bone's length, skin and strap, vessels and nerves, and the bone
//! once the device is out.

use crate::assess::ConstructAssessment;

use super::number::plain;

/// A heading and its sentences.
pub(super) struct Topic {
    pub(super) heading: &'static str,
    pub(super) sentences: Vec<String>,
}

/// What a reader of one construct should know of its surroundings; empty topics are left out.
pub(super) fn around(construct: &ConstructAssessment) -> Vec<Topic> {
    let mut topics = vec![
        Topic {
            heading: "Length",
            sentences: construct.slip.words.clone(),
        },
        Topic {
            heading: "Stands proud",
            sentences: proud(construct),
        },
        Topic {
            heading: "Vessels and nerves",
            sentences: at_risk(construct),
        },
        Topic {
            heading: "After removal",
            sentences: construct.removal.words.clone(),
        },
    ];
    topics.retain(|topic| !topic.sentences.is_empty());
    topics
}

fn proud(construct: &ConstructAssessment) -> Vec<String> {
    let parts = construct.prominence.parts.iter().map(|part| {
        format!(
            "{}: {} mm out of the bone, {} mm broad",
            part.name,
            plain(part.height_mm),
            plain(part.breadth_mm)
        )
    });
    let straps = construct.strap.iter().map(|strap| match &strap.hardware {
        Some(hardware) => format!(
            "the strap of '{}', {} N/mm along the bone, puts {} N/mm of it on {}: {} kPa on average \
             and {} kPa at most, where bone alone would take {} kPa",
            strap.activity,
            plain(strap.line_force_n_per_mm),
            plain(hardware.line_force_n_per_mm),
            hardware.part,
            plain(hardware.mean_pressure_kpa),
            plain(hardware.peak_pressure_kpa),
            plain(strap.bone_pressure_kpa)
        ),
        None => format!(
            "the strap of '{}', {} N/mm along the bone, touches no hardware: {} kPa over bone alone",
            strap.activity,
            plain(strap.line_force_n_per_mm),
            plain(strap.bone_pressure_kpa)
        ),
    });
    parts.chain(straps).collect()
}

fn at_risk(construct: &ConstructAssessment) -> Vec<String> {
    let risks = construct.structures_at_risk.iter();
    risks.map(|risk| risk.caution.clone()).collect()
}
