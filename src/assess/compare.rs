//! The whole comparison: every construct of a case solved and judged.

use super::removal::IntactBone;
use super::solved::{AssessError, Loadings, Solved, solved, solved_for};
use super::{
    ActivitySummary, Assessment, ConstructAssessment, ContactState, CriticalSection,
    FractureSummary, Part, PatientSummary, Price, Sizes, Stiffness, at_risk, compression, course,
    fit, flags, motion, prominence, removal, screws, shortening, shoulder, sizes, strap, stress,
};
use crate::anatomy::{Clavicle, Side};
use crate::case::Case;
use crate::construct::{Construct, CriticalPlace, Mechanics, Pattern, Piece, Response};
use crate::device::{Device, EdgeNotches, Notch, THREAD_KF};
use crate::fatigue::Method;
use crate::frame::Workspace;

/// Solves and judges every construct of a case.
///
/// # Errors
/// When a construct has a part that nothing holds; the error names the construct.
pub fn assess(case: &Case, mechanics: Mechanics) -> Result<Assessment, AssessError> {
    let intact = Intact::of(case, true)?;
    let constructs = (0..case.constructs.len())
        .map(|index| construct(case, index, mechanics, &intact, Unsettled::Linear))
        .collect::<Result<Vec<_>, AssessError>>()?;
    Ok(Assessment {
        format: "clavibeam-compare-1",
        mechanics: match mechanics {
            Mechanics::Linear => "linear",
            Mechanics::Contact => "contact",
        },
        title: case.title.clone(),
        summary: super::summary::summary(&constructs, &case.activities),
        patient: patient(case),
        fracture: fracture(case),
        fixtures: super::summary::fixtures(mechanics),
        activities: activities(case, &intact.bone().solved),
        intact: intact.stiffness,
        constructs,
        defaults_used: case.defaults_used.clone(),
        cautions: super::summary::cautions(),
        scatter: None,
        linear: None,
    })
}

/// The patient as the model sees them.
pub(super) fn patient(case: &Case) -> PatientSummary {
    let clavicle = &case.clavicle;
    let zone = clavicle.canal_zone();
    let (narrowest_canal_position, narrowest_canal_mm) = clavicle.narrowest_canal(zone[0], zone[1]);
    PatientSummary {
        preset: case.patient.preset.clone(),
        side: match case.patient.side {
            Side::Right => "right",
            Side::Left => "left",
        },
        body_mass_kg: case.patient.body_mass,
        length_mm: clavicle.length(),
        narrowest_canal_mm,
        narrowest_canal_position,
    }
}

/// The fracture as the model sees it.
pub(super) fn fracture(case: &Case) -> FractureSummary {
    let slope = match case.fracture.pattern {
        Pattern::Oblique(slope) => Some(slope),
        Pattern::Transverse | Pattern::Comminuted => None,
    };
    FractureSummary {
        position: case.fracture.position,
        pattern: case.fracture.pattern.word(),
        obliquity_deg: slope.map(|slope| slope.obliquity.to_degrees()),
        obliquity_direction: slope.map(|slope| slope.direction.word()),
        gap_mm: case.fracture.gap,
        face_friction: case.fracture.face_friction,
        interlock_shear_n: case.fracture.interlock_shear,
        callus_modulus_mpa: case.fracture.callus.map(|callus| callus.youngs_modulus),
    }
}

/// What becomes of a construct whose contact does not settle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unsettled {
    /// The linear answer, with a flag that says so.
    Linear,
    /// An error.
    Refused,
}

/// Solves and judges one construct, in the size that is compared, its neighbours in size priced.
pub(super) fn construct(
    case: &Case,
    index: usize,
    mechanics: Mechanics,
    intact: &Intact,
    unsettled: Unsettled,
) -> Result<ConstructAssessment, AssessError> {
    let name = &case.constructs[index].0;
    let in_size = |device: &Device, sizes: Option<&Sizes>| {
        let held_by = Some((name.as_str(), device));
        let (solved, cause) = match solved(held_by, case, &intact.loading, mechanics) {
            Err(error) if error.is_unsettled() && unsettled == Unsettled::Linear => {
                let linear = solved(held_by, case, &intact.loading, Mechanics::Linear)?;
                (linear, Some(error.source))
            }
            settled => (settled?, None),
        };
        let mut assessed = assess_construct(name, (device, sizes), case, &solved, intact);
        if let Some(cause) = cause {
            let flag = format!("contact did not settle, so this is the linear answer: {cause}");
            assessed.flags.insert(0, flag);
        }
        Ok(assessed)
    };
    let offered = case.offered(index);
    let mut sizes = sizes::sizes(offered, &case.clavicle);
    let picked = sizes.as_ref().map_or(0, Sizes::picked);
    let mut assessed = in_size(&offered[picked], sizes.as_ref())?;
    if let Some(sizes) = &mut sizes {
        for neighbour in sizes.neighbours() {
            let other = in_size(&offered[neighbour], None)?;
            sizes.tried[neighbour].price = Some(Price::of(&other, &assessed));
        }
    }
    let none = sizes.as_ref().and_then(Sizes::none_goes_in);
    assessed.flags.splice(..0, none);
    assessed.sizes = sizes;
    Ok(assessed)
}

/// The unbroken bone of a case, solved: the measure of its constructs.
#[derive(Debug)]
pub struct Intact {
    clavicle: Clavicle,
    pub(super) loading: Loadings,
    pub(super) stiffness: Stiffness,
    /// Where the activities are solved too.
    bone: Option<IntactBone>,
}

impl Intact {
    /// Solves the stiffness tests of the unbroken bone and, if wanted, the activities.
    ///
    /// # Errors
    /// The bone cannot be solved.
    pub fn of(case: &Case, with_activities: bool) -> Result<Self, AssessError> {
        let loading = Loadings::of(case);
        let solved = solved_for(
            None,
            case,
            &loading,
            Mechanics::Linear,
            [true, with_activities],
            &mut Workspace::default(),
        )?;
        Ok(Intact {
            clavicle: case.clavicle.clone(),
            stiffness: loading.stiffness(&solved),
            loading,
            bone: with_activities.then(|| IntactBone::of(solved, &case.clavicle)),
        })
    }

    /// Its answers to the stiffness tests and the activities.
    pub(super) fn bone(&self) -> &IntactBone {
        let bone = self.bone.as_ref();
        bone.expect("whoever asks had the activities solved too")
    }

    /// Whether a case has this bone under these loads, which is all that it depends on.
    pub fn is_of(&self, case: &Case) -> bool {
        self.clavicle.made_of() == case.clavicle.made_of() && self.loading == Loadings::of(case)
    }
}

fn assess_construct(
    name: &str,
    (device, sizes): (&Device, Option<&Sizes>),
    case: &Case,
    solved: &Solved,
    intact: &Intact,
) -> ConstructAssessment {
    let loading = &intact.loading;
    let Solved {
        construct,
        activities,
        ..
    } = solved;
    let (clavicle, fracture) = (&case.clavicle, &case.fracture);
    let prominence = prominence::prominence(device, clavicle);
    let mut assessed = ConstructAssessment {
        name: name.to_owned(),
        device: fit::describe(device),
        stiffness: motion::relative(&loading.stiffness(solved), &intact.stiffness),
        critical_sections: critical_sections(construct, activities, &case.aftercare.fatigue),
        opened_by_putting_in: (construct.mechanics == Mechanics::Contact).then(|| {
            let rest = motion::at_rest(construct, clavicle, fracture, &solved.stiffness_tests[0]);
            motion::opened_by_putting_in(&rest)
        }),
        fracture_motion: activities
            .iter()
            .map(|response| motion::fracture_motion(construct, clavicle, fracture, response))
            .collect(),
        contact: contact_states(construct, activities),
        buckling_factors: buckling_factors(case, device, loading, construct),
        joint_sensitivity: shoulder::joint_sensitivity(
            construct,
            case,
            &loading.of_activities(),
            activities,
        ),
        fit: fit::fit(device, clavicle, sizes),
        sizes: None,
        purchase: fit::purchase(device, clavicle, fracture),
        purchase_sweep: Vec::new(),
        slip: shortening::slip(construct, device, case),
        compression: compression::compression(construct, device, case),
        strap: strap::strap_pressures(&case.activities, device, &prominence.parts, clavicle),
        prominence,
        structures_at_risk: at_risk::structures_at_risk(device, clavicle),
        removal: removal::removal(device, case, intact.bone()),
        screws: screws::screws(construct, clavicle, activities),
        working_length_mm: fit::working_length(device, clavicle, fracture),
        weeks: Vec::new(),
        aftermath: None,
        chances: None,
        flags: Vec::new(),
        courses: case
            .activities
            .iter()
            .zip(activities)
            .map(|(activity, response)| course::course(construct, &activity.name, response))
            .collect(),
        drawing: course::drawing(clavicle, fracture, device),
    };
    assessed.flags = flags::flags(&assessed, device, case);
    assessed
}

/// How the parts touch in each activity; empty in the linear model.
pub(super) fn contact_states(construct: &Construct, activities: &[Response]) -> Vec<ContactState> {
    activities
        .iter()
        .filter_map(|response| response.contact(construct))
        .map(|contact| ContactState {
            faces_pressed_percent: 100.0 * contact.faces_pressed,
            face_force_n: contact.face_force,
            nail_slip_mm: contact.nail_slid,
            nail_wall_force_n: contact.nail_pressure,
        })
        .collect()
}

/// The places that can fail: of the device, where a bar touches the wall of the canal, others.
pub(super) fn critical_sections(
    construct: &Construct,
    activities: &[Response],
    method: &Method,
) -> Vec<CriticalSection> {
    let (of_device, others): (Vec<_>, Vec<_>) =
        (construct.places.iter()).partition(|place| place.part == Part::Device);
    let contacts = construct.canal_contacts(activities);
    let places = of_device.into_iter().chain(&contacts).chain(others);
    places
        .map(|place| critical_section(place, construct, activities, method))
        .collect()
}

/// Factor on each activity's loads at which the construct, its couplings taken as linear,
/// buckles; none if it does not, or if several setups make up the activity.
pub(super) fn buckling_factors(
    case: &Case,
    device: &Device,
    loading: &Loadings,
    construct: &Construct,
) -> Vec<Option<f64>> {
    let rebuilt = (construct.mechanics != Mechanics::Linear).then(|| {
        let broken = Some((&case.fracture, device));
        Construct::new(&case.clavicle, broken, &loading.setups, Mechanics::Linear)
    });
    let linear = rebuilt.as_ref().unwrap_or(construct);
    loading
        .of_activities()
        .into_iter()
        .map(|setups| match setups {
            [setup] => linear.buckling_factor(setup),
            _ => None,
        })
        .collect()
}

fn critical_section(
    place: &CriticalPlace,
    construct: &Construct,
    activities: &[Response],
    method: &Method,
) -> CriticalSection {
    let strength = stress::strength(place);
    let (kt, kf, nominal) = match &place.notch {
        Notch::Smooth => (1.0, 1.0, "N/A + M/W of the section, von Mises with torsion"),
        Notch::Thread => (
            THREAD_KF,
            THREAD_KF,
            "N/A + M/W of the thread's core, von Mises with torsion; Kf of a thread in its nut, \
             an upper bound, stands for both factors",
        ),
        Notch::Edges(notches) => (
            EdgeNotches::FLAT_BENDING_KT,
            notches.kf(EdgeNotches::FLAT_BENDING_KT, strength),
            "N/(b t) + 6M/(b t²) flat + 6M/(b² t) on edge, b between the notches, von Mises with \
             torsion; factors given are those of flat bending, tension and edge bending take their \
             own",
        ),
        Notch::Hole(hole) => {
            let kt = hole.flat_bending_kt();
            (
                kt,
                hole.kf(kt, strength),
                "N/((w−d)t) + 6M/((w−d)t²) flat + 6Mw/((w³−d³)t) on edge, net section, von Mises \
                 with torsion; factors given are those of flat bending, tension and edge bending \
                 take their own",
            )
        }
    };
    CriticalSection {
        name: place.name.clone(),
        part: place.part,
        position: place.at,
        nominal: nominal.to_owned(),
        kt,
        kf,
        material: place.material.name.clone(),
        proof_stress_mpa: strength.proof_tension,
        activities: activities
            .iter()
            .map(|response| stress::at_place(place, construct, response, method))
            .collect(),
    }
}

impl CriticalSection {
    /// The section in words: `the device over the gap`, `screw 3`.
    pub fn label(&self) -> String {
        match self.part {
            Part::Device => format!("the device, {},", self.name),
            Part::Screw => self.name.clone(),
            Part::Bone => format!("the {},", self.name),
        }
    }
}

/// The activities in words, with what they put on the intact bone.
pub(super) fn activities(case: &Case, intact: &Solved) -> Vec<ActivitySummary> {
    let Solved {
        construct,
        activities,
        ..
    } = intact;
    case.activities
        .iter()
        .zip(activities)
        .map(|(activity, response)| {
            let moment_nm = |member, at| {
                let forces = response.section_forces(&construct.frame, member, at);
                forces.resultant_moment() / 1000.0
            };
            let beside = |piece: &&Piece| piece.stretch[1] >= case.fracture.position;
            let broken = construct.bone.iter().find(beside);
            ActivitySummary {
                name: activity.name.clone(),
                description: activity.describe(&case.patient),
                peak_moment_nm: construct
                    .bone
                    .iter()
                    .flat_map(|piece| construct.end_cuts(piece.member))
                    .map(|(member, at)| moment_nm(member, at))
                    .fold(0.0, f64::max),
                fracture_moment_nm: broken.map_or(0.0, |piece| moment_nm(piece.member, 0.0)),
                shoulder: shoulder::loads(
                    activity,
                    &case.patient,
                    &case.clavicle,
                    (construct, response),
                ),
            }
        })
        .collect()
}
