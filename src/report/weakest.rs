//! Which place of a construct fails first.

use crate::assess::{ConstructAssessment, CriticalSection, Part, SectionStress};

/// The smallest margins of one construct in one activity.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Margins {
    /// Proof stress over stress, device and screws.
    pub(super) stays_straight: Option<f64>,
    /// Factors on the load for 10⁵, 10⁶ and 10⁷ cycles, nail, pin or plate.
    pub(super) fatigue: [Option<f64>; 3],
    /// Strength over stress, bone.
    pub(super) bone: Option<f64>,
}

impl Margins {
    /// The bone's margin where it is smaller than that of what is implanted.
    pub(super) fn bone_if_governing(&self) -> Option<f64> {
        let bone = self.bone?;
        (self.stays_straight.is_none_or(|metal| bone < metal)).then_some(bone)
    }
}

/// The smallest margins of a construct in the activity of this number.
pub(super) fn margins(construct: &ConstructAssessment, activity: usize) -> Margins {
    let mut least = Margins::default();
    for section in &construct.critical_sections {
        let Some(stress) = section.activities.get(activity) else {
            continue;
        };
        if section.part == Part::Bone {
            least.bone = smaller(least.bone, stress.static_margin);
            continue;
        }
        least.stays_straight = smaller(least.stays_straight, stress.static_margin);
        if section.part == Part::Screw {
            continue;
        }
        for (least, margin) in least.fatigue.iter_mut().zip(fatigue_margins(stress)) {
            *least = smaller(*least, margin);
        }
    }
    least
}

/// The section with the smallest of all static margins and of the device's fatigue margins for
/// 10⁶ cycles. The fatigue margins of screws and bone are only bounds or indications.
pub(super) fn weakest_place(construct: &ConstructAssessment) -> Option<&CriticalSection> {
    construct
        .critical_sections
        .iter()
        .filter_map(|section| Some((section, least_margin(section)?)))
        .min_by(|(_, a), (_, b)| a.total_cmp(b))
        .map(|(section, _)| section)
}

/// Number of the activity in which a section has its smallest margin.
pub(super) fn worst_activity(section: &CriticalSection) -> Option<usize> {
    section
        .activities
        .iter()
        .enumerate()
        .filter_map(|(number, stress)| Some((number, least_of(section.part, stress)?)))
        .min_by(|(_, a), (_, b)| a.total_cmp(b))
        .map(|(number, _)| number)
}

/// Fatigue margins for 10⁵, 10⁶ and 10⁷ cycles.
pub(super) fn fatigue_margins(stress: &SectionStress) -> [Option<f64>; 3] {
    [
        stress.fatigue_margin_1e5,
        stress.fatigue_margin_1e6,
        stress.fatigue_margin_1e7,
    ]
}

fn least_margin(section: &CriticalSection) -> Option<f64> {
    section.activities.iter().fold(None, |least, stress| {
        smaller(least, least_of(section.part, stress))
    })
}

fn least_of(part: Part, stress: &SectionStress) -> Option<f64> {
    match part {
        Part::Device => smaller(stress.static_margin, stress.fatigue_margin_1e6),
        Part::Screw | Part::Bone => stress.static_margin,
    }
}

fn smaller(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}
