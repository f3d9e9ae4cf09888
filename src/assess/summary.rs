//! The answer in a few sentences, and what stands behind every number.

use super::{ConstructAssessment, Part, SectionStress};
use crate::construct::Mechanics;
use crate::load::Activity;

impl ConstructAssessment {
    /// The smallest static margin over all sections and activities, with the section's index
    /// and the activity's; `None` when nothing is loaded.
    pub fn smallest_static_margin(&self) -> Option<(usize, usize, f64)> {
        self.smallest(|_, stress| stress.static_margin)
    }

    /// The same for fatigue of the nail, pin or plate at 10⁵ cycles. Screws are left out: the
    /// notch factor of their threads is an upper bound.
    pub fn smallest_fatigue_margin(&self) -> Option<(usize, usize, f64)> {
        self.smallest(|part, stress| match part {
            Part::Device => stress.fatigue_margin_1e5,
            Part::Screw | Part::Bone => None,
        })
    }

    fn smallest(
        &self,
        margin: fn(Part, &SectionStress) -> Option<f64>,
    ) -> Option<(usize, usize, f64)> {
        let sections = self.critical_sections.iter().enumerate();
        sections
            .flat_map(|(s, section)| {
                let stresses = section.activities.iter().enumerate();
                stresses.filter_map(move |(a, stress)| Some((s, a, margin(section.part, stress)?)))
            })
            .min_by(|a, b| a.2.total_cmp(&b.2))
    }
}

/// The answer first: what holds best, what gives way, what will not go in or keep length.
pub(super) fn summary(constructs: &[ConstructAssessment], activities: &[Activity]) -> Vec<String> {
    let mut sentences = Vec::new();
    let largest = constructs
        .iter()
        .filter(|construct| construct.fit.verdict != "no")
        .filter_map(|construct| Some((construct, construct.smallest_static_margin()?)))
        .max_by(|a, b| a.1.2.total_cmp(&b.1.2));
    if let Some((construct, (section, activity, margin))) = largest {
        let section = &construct.critical_sections[section];
        sentences.push(format!(
            "Largest margin against bending under these loads: {}, {margin:.1} at its weakest place \
             ({}, {}).",
            construct.name, section.name, activities[activity].name
        ));
    }
    let list = |heading: &str, is: &dyn Fn(&ConstructAssessment) -> bool| {
        let names: Vec<&str> = constructs
            .iter()
            .filter(|construct| is(construct))
            .map(|construct| construct.name.as_str())
            .collect();
        (!names.is_empty()).then(|| format!("{heading}: {}.", names.join(", ")))
    };
    let below_one = |margin: Option<(usize, usize, f64)>| margin.is_some_and(|(.., m)| m < 1.0);
    sentences.extend(list("Does not go in", &|c| c.fit.verdict == "no"));
    sentences.extend(list("Goes in only by force", &|c| {
        c.fit.verdict == "forced"
    }));
    sentences.extend(list("Gives way under at least one of these loads", &|c| {
        below_one(c.smallest_static_margin())
    }));
    sentences.extend(list("Holds once, but not 100 000 times", &|c| {
        !below_one(c.smallest_static_margin()) && below_one(c.smallest_fatigue_margin())
    }));
    sentences.extend(list("Not length-stable", &|c| c.slip.length_stable == "no"));
    sentences
}

/// How each number was measured.
pub(super) fn fixtures(mechanics: Mechanics) -> Vec<String> {
    let coupling = match mechanics {
        Mechanics::Contact => {
            "Contact: the device is put in first, then each load comes on by itself. Broken ends \
             press and rub but do not pull; a nail has play in its canal, is bent by it and rubs; \
             plates press on the bone, drawn to it by screws that do not lock. Friction of metal on \
             bone is 0.3, of broken ends 0.4 unless given: assumptions. Movements are small. Stiffness is that at 100 N and 1 N·m. Length: a push along the \
             bone through the middle of the fracture, the fragments free to turn; what a bar holds alone is \
             tried with the broken ends kept from meeting."
        }
        Mechanics::Linear => {
            "Linear model: broken ends do not touch, a nail has no play in its canal, nothing slides."
        }
    };
    [
        "Stiffness: sternal tenth of the bone clamped, acromial tenth gripped and otherwise free. \
         Axial: force along the line between the grips. Bending: a pure moment, the same at every \
         section, about the front-to-back axis (acromial end down) or the vertical one (front-back). Torsion: \
         about the line between the grips. Moments are referred to the grip; no lever arm enters.",
        "Raised arm: a published envelope of section forces (126 N, 2.4 N·m for an unloaded arm; \
         Hoogervorst et al. 2019) scaled by the moment at the shoulder; the largest resultant \
         moment on the shaft is the published one.",
        "Strap and push on the shoulder blade: the bone is held by springs for the sternoclavicular and \
         acromioclavicular joint and for its ligaments, which pull only, the shoulder blade by those of \
         its muscles; with linear couplings too. A push along the bone can topple it between joints that \
         give, and the buckling factor tells that as well.",
        "Static margin: proof stress over the largest nominal stress (yield of bone). Fatigue margin: \
         modified Goodman, the load coming and going (R = 0), median strength of smooth specimens \
         less environment, notch factor Kf, no factor for reliability or surface. The fatigue of \
         screws stands apart, among the critical sections: their Kf is an upper bound.",
        "Buckling factor: factor on an activity's loads at which the construct buckles while broken \
         ends do not touch and a nail has no play. Near 1 and below, small movements do not tell how \
         far it bends.",
        "Strap: a band without stiffness over a ridge with 5 mm of soft skin (assumption); the force on \
         the clavicle stays the same, hardware takes its share from the bone beside it. After removal: \
         the fracture healed; strength at the first crack under an even moment or torque, on the rim of \
         an empty hole if there is one, against the unbroken bone; a lower bound.",
        coupling,
    ]
    .map(str::to_owned)
    .to_vec()
}

/// What the reader must keep in mind.
pub(super) fn cautions() -> Vec<String> {
    [
        "This informs a decision; it does not make one. Licensed practice and local rules decide.",
        "Not a medical device. Presets are population-typical, not this patient's bone.",
        "Compare constructs with each other; absolute values hold only for the fixtures stated.",
    ]
    .map(str::to_owned)
    .to_vec()
}
