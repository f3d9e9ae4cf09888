//! Single parts of an assessment, for studies that keep a few numbers of very many designs.

use serde::Serialize;
use serde_json::Value;

use super::compare::{
    self, Intact, Unsettled, buckling_factors, contact_states, critical_sections,
};
use super::purchase::purchase_sweep;
use super::solved::{AssessError, Loadings, solved_for};
use super::{
    RelativeStiffness, Sizes, at_risk, compression, fit, motion, prominence, removal, screws,
    shortening, shoulder, sizes, strap, weeks,
};
use crate::case::Case;
use crate::construct::Mechanics;
use crate::frame::Workspace;

/// A part of a construct's assessment that can be worked out by itself, named as in the JSON of
/// `compare`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Answer {
    /// `stiffness`
    Stiffness,
    /// `critical_sections`
    CriticalSections,
    /// `opened_by_putting_in`
    OpenedByPuttingIn,
    /// `fracture_motion`
    FractureMotion,
    /// `contact`
    Contact,
    /// `buckling_factors`
    BucklingFactors,
    /// `joint_sensitivity`
    JointSensitivity,
    /// `fit`
    Fit,
    /// `purchase`
    Purchase,
    /// `slip`
    Slip,
    /// `compression`
    Compression,
    /// `prominence`
    Prominence,
    /// `strap`
    Strap,
    /// `structures_at_risk`
    StructuresAtRisk,
    /// `removal`
    Removal,
    /// `screws`
    Screws,
    /// `working_length_mm`
    WorkingLength,
    /// `device`
    Device,
    /// `sizes`
    Sizes,
    /// `flags`, those of the weeks left out
    Flags,
    /// `courses`
    Courses,
    /// `purchase_sweep`
    PurchaseSweep,
    /// `weeks`
    Weeks,
    /// `aftermath`
    Aftermath,
}

impl Answer {
    /// Every part, with its name.
    pub const ALL: [(&'static str, Answer); 24] = [
        ("stiffness", Answer::Stiffness),
        ("critical_sections", Answer::CriticalSections),
        ("opened_by_putting_in", Answer::OpenedByPuttingIn),
        ("fracture_motion", Answer::FractureMotion),
        ("contact", Answer::Contact),
        ("buckling_factors", Answer::BucklingFactors),
        ("joint_sensitivity", Answer::JointSensitivity),
        ("fit", Answer::Fit),
        ("purchase", Answer::Purchase),
        ("slip", Answer::Slip),
        ("compression", Answer::Compression),
        ("prominence", Answer::Prominence),
        ("strap", Answer::Strap),
        ("structures_at_risk", Answer::StructuresAtRisk),
        ("removal", Answer::Removal),
        ("screws", Answer::Screws),
        ("working_length_mm", Answer::WorkingLength),
        ("device", Answer::Device),
        ("sizes", Answer::Sizes),
        ("flags", Answer::Flags),
        ("courses", Answer::Courses),
        ("purchase_sweep", Answer::PurchaseSweep),
        ("weeks", Answer::Weeks),
        ("aftermath", Answer::Aftermath),
    ];

    /// The part with a name.
    pub fn named(name: &str) -> Option<Answer> {
        let found = Answer::ALL.iter().find(|(own, _)| *own == name);
        found.map(|(_, answer)| *answer)
    }

    fn name(self) -> &'static str {
        Answer::ALL[self as usize].0
    }

    /// Whether the construct must be solved for the activities.
    fn needs_activities(self) -> bool {
        matches!(
            self,
            Answer::CriticalSections
                | Answer::FractureMotion
                | Answer::Contact
                | Answer::JointSensitivity
                | Answer::Screws
        )
    }

    /// Whether the construct must be solved for the stiffness tests.
    fn needs_tests(self) -> bool {
        matches!(self, Answer::Stiffness | Answer::OpenedByPuttingIn)
    }

    /// Whether the whole assessment of the construct must be worked out.
    fn needs_whole(self) -> bool {
        self >= Answer::Device
    }

    /// Whether it is measured against the unbroken bone in the stiffness tests, and in the
    /// activities too.
    pub fn needs_intact(self) -> [bool; 2] {
        let activities = self == Answer::Removal || self.needs_whole();
        [self == Answer::Stiffness || activities, activities]
    }
}

/// A part of the JSON of `compare` that is of the case, not of a construct.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CaseAnswer {
    /// `patient`
    Patient,
    /// `fracture`
    Fracture,
    /// `activities`
    Activities,
    /// `intact`
    Intact,
}

impl CaseAnswer {
    /// Every part, with its name.
    pub const ALL: [(&'static str, CaseAnswer); 4] = [
        ("patient", CaseAnswer::Patient),
        ("fracture", CaseAnswer::Fracture),
        ("activities", CaseAnswer::Activities),
        ("intact", CaseAnswer::Intact),
    ];

    /// The part with a name.
    pub fn named(name: &str) -> Option<CaseAnswer> {
        let found = CaseAnswer::ALL.iter().find(|(own, _)| *own == name);
        found.map(|(_, answer)| *answer)
    }

    /// Whether the unbroken bone is solved for it in the stiffness tests, and in the activities.
    pub fn needs_intact(self) -> [bool; 2] {
        let activities = self == CaseAnswer::Activities;
        [activities || self == CaseAnswer::Intact, activities]
    }

    /// The part as in the JSON of `compare`.
    ///
    /// # Panics
    /// If it needs the unbroken bone and that is not given.
    pub fn of(self, case: &Case, intact: Option<&Intact>) -> Value {
        let intact = || intact.expect("the caller gives the intact bone where it is needed");
        match self {
            CaseAnswer::Patient => json(&compare::patient(case)),
            CaseAnswer::Fracture => json(&compare::fracture(case)),
            CaseAnswer::Activities => json(&compare::activities(case, &intact().bone().solved)),
            CaseAnswer::Intact => json(&intact().stiffness),
        }
    }
}

/// Parts of the assessment of one construct, in the order asked for, as in the JSON of
/// `compare`; a part that the construct does not have is null.
///
/// With sizes to choose from, the one that `compare` picks is assessed.
///
/// * `construct`: its number in the case, from 0
/// * `intact`: the unbroken bone of the case, where a part needs it, solved for all parts wanted
/// * `workspace`: of the thread, good for one construct after another
///
/// # Errors
/// The construct cannot be solved, or its contact does not settle.
///
/// # Panics
/// If a part needs the unbroken bone and it is not given.
pub fn answers(
    case: &Case,
    construct: usize,
    mechanics: Mechanics,
    wanted: &[Answer],
    intact: Option<&Intact>,
    workspace: &mut Workspace,
) -> Result<Vec<Value>, AssessError> {
    let own;
    let loading = match intact {
        Some(intact) => &intact.loading,
        None => {
            own = Loadings::of(case);
            &own
        }
    };
    let intact = || intact.expect("the caller gives the intact bone where it is needed");
    if wanted.iter().any(|answer| answer.needs_whole()) {
        return of_whole(case, construct, mechanics, wanted, intact());
    }
    let (name, _) = &case.constructs[construct];
    let offered = case.offered(construct);
    let sizes = match offered.len() > 1 || wanted.contains(&Answer::Fit) {
        true => sizes::sizes(offered, &case.clavicle),
        false => None,
    };
    let device = &offered[sizes.as_ref().map_or(0, Sizes::picked)];
    let needs = [
        wanted.iter().any(|answer| answer.needs_tests()),
        wanted.iter().any(|answer| answer.needs_activities()),
    ];
    let held_by = Some((name.as_str(), device));
    let solved = solved_for(held_by, case, loading, mechanics, needs, workspace)?;
    let (built, activities) = (&solved.construct, &solved.activities);
    let (clavicle, fracture) = (&case.clavicle, &case.fracture);
    let answer = |wanted: &Answer| match wanted {
        Answer::Stiffness => {
            let own = loading.stiffness(&solved);
            json::<RelativeStiffness>(&motion::relative(&own, &intact().stiffness))
        }
        Answer::CriticalSections => json(&critical_sections(
            built,
            activities,
            &case.aftercare.fatigue,
        )),
        Answer::OpenedByPuttingIn => json(&(mechanics == Mechanics::Contact).then(|| {
            let rest = motion::at_rest(built, clavicle, fracture, &solved.stiffness_tests[0]);
            motion::opened_by_putting_in(&rest)
        })),
        Answer::FractureMotion => {
            let motion = |response| motion::fracture_motion(built, clavicle, fracture, response);
            json(&activities.iter().map(motion).collect::<Vec<_>>())
        }
        Answer::Contact => json(&contact_states(built, activities)),
        Answer::BucklingFactors => json(&buckling_factors(case, device, loading, built)),
        Answer::JointSensitivity => json(&shoulder::joint_sensitivity(
            built,
            case,
            &loading.of_activities(),
            activities,
        )),
        Answer::Fit => json(&fit::fit(device, clavicle, sizes.as_ref())),
        Answer::Purchase => json(&fit::purchase(device, clavicle, fracture)),
        Answer::Slip => json(&shortening::slip(built, device, case)),
        Answer::Compression => json(&compression::compression(built, device, case)),
        Answer::Prominence => json(&prominence::prominence(device, clavicle)),
        Answer::Strap => {
            let parts = prominence::prominence(device, clavicle).parts;
            json(&strap::strap_pressures(
                &case.activities,
                device,
                &parts,
                clavicle,
            ))
        }
        Answer::StructuresAtRisk => json(&at_risk::structures_at_risk(device, clavicle)),
        Answer::Removal => json(&removal::removal(device, case, intact().bone())),
        Answer::Screws => json(&screws::screws(built, clavicle, activities)),
        Answer::WorkingLength => json(&fit::working_length(device, clavicle, fracture)),
        Answer::Device
        | Answer::Sizes
        | Answer::Flags
        | Answer::Courses
        | Answer::PurchaseSweep
        | Answer::Weeks
        | Answer::Aftermath => unreachable!("taken from the whole assessment above"),
    };
    Ok(wanted.iter().map(answer).collect())
}

/// The same from the whole assessment of the construct.
fn of_whole(
    case: &Case,
    index: usize,
    mechanics: Mechanics,
    wanted: &[Answer],
    intact: &Intact,
) -> Result<Vec<Value>, AssessError> {
    let mut assessed = compare::construct(case, index, mechanics, intact, Unsettled::Refused)?;
    let device = sizes::compared(case, index, &assessed);
    if wanted.contains(&Answer::PurchaseSweep) {
        let activities = compare::activities(case, &intact.bone().solved);
        assessed.purchase_sweep = purchase_sweep(device, case, &activities);
    }
    if wanted.contains(&Answer::Weeks) || wanted.contains(&Answer::Aftermath) {
        let name = &case.constructs[index].0;
        let (weeks, aftermath) =
            weeks::reckoned(name, device, case, mechanics, Unsettled::Refused)?;
        assessed.weeks = weeks;
        assessed.aftermath = Some(aftermath);
    }
    let mut found = json(&assessed);
    let taken = wanted.iter().map(|answer| found[answer.name()].take());
    Ok(taken.collect())
}

fn json<T: Serialize>(answer: &T) -> Value {
    serde_json::to_value(answer).expect("an assessment has text keys only")
}
