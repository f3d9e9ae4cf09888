//! Week by week after the operation: how stiff the callus is, what damage the implant has
//! gathered, and what the patient may do.

use std::f64::consts::FRAC_PI_2;

use schemars::JsonSchema;
use serde::Serialize;

use super::allowed::{Judge, Limit, gap_strain};
use super::compare::{AssessError, Unsettled};
use super::motion::fracture_motion;
use super::sizes::compared;
use super::stress::{strength, worst_cut};
use super::{Assessment, Part, talk};
use crate::case::Case;
use crate::construct::{Callus, Construct, CriticalPlace, Fracture, Mechanics, Response};
use crate::device::Device;
use crate::fatigue::miner_damage;
use crate::frame::SolveError;
use crate::healing::{gap_width, tolerance};
use crate::load::{Activity, Arm, Loading, Setup, Strap};

/// Weeks at which a construct is looked at, close together while much changes.
const WEEKS: [f64; 12] = [
    0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 24.0,
];

/// Outer diameter of the callus over that of the bone with a nail or pin.
///
/// Assumption: 1.3 to 1.5 where the fixation lets the ends move, none where it does not.
const CALLUS_SPREAD: f64 = 1.4;

/// Largest mass in the hand that is looked for, kg. Assumption: near what the fixed bone bears.
pub const MOST_HAND_MASS: f64 = 10.0;

/// Largest strap force that is looked for, N. Assumption: some 80 kg on the back.
pub const MOST_STRAP_FORCE: f64 = 400.0;

/// What is usually advised: at most this mass in the hand, kg, up to this week.
///
/// Source: a full cup for six weeks, common practice, no source; its mass is an assumption.
pub const ADVICE: (f64, f64) = (0.4, 6.0);

/// A construct in one week after the operation.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Week {
    /// Weeks since the operation.
    pub at_weeks: f64,
    /// Young's modulus of the callus, MPa.
    pub callus_modulus_mpa: f64,
    /// Strain in the healing gap, 2 mm wide at the least, over the week's activities by their
    /// cycles, %.
    pub strain_percent: f64,
    /// The activity of the week that brings the device nearest to bending for good.
    pub hardest_activity: String,
    /// Where it does.
    pub worst_section: String,
    /// Nominal stress there, MPa.
    pub stress_mpa: f64,
    /// Proof stress over it; absent when nothing acts.
    pub static_margin: Option<f64>,
    /// Damage of the device up to this week by Miner's rule; it breaks at 1.
    pub damage: f64,
    /// Largest mass in the hand of the level arm, kg; zero when not even the empty arm may be
    /// level. At most [`MOST_HAND_MASS`] is looked for.
    pub allowed_hand_mass_kg: f64,
    /// How far the empty arm may be raised, deg; 180 when it is free.
    pub allowed_elevation_deg: f64,
    /// How far a full cup may be raised on the straight arm, deg; 180 when it is free.
    pub full_cup_elevation_deg: f64,
    /// What limits all three.
    pub governs: Limit,
    /// Largest force of a strap on the clavicle, N; absent when no strap is in the case. At most
    /// [`MOST_STRAP_FORCE`] is looked for.
    pub allowed_strap_force_n: Option<f64>,
    /// What limits it.
    pub strap_governs: Option<Limit>,
}

/// How the weeks come out for one construct.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Aftermath {
    /// Weeks until the fracture has united; absent if it has not by the last week looked at.
    pub united_after_weeks: Option<f64>,
    /// Damage of the device by then, or at the last week.
    pub damage_at_union: f64,
    /// Weeks until the device breaks; absent if it does not before union.
    pub breaks_after_weeks: Option<f64>,
    /// Where it is damaged most.
    pub most_damaged: Option<String>,
    /// Week before union in which an activity of the routine first bends the device for good.
    pub bent_after_weeks: Option<f64>,
    /// That activity.
    pub bent_by: Option<String>,
    /// Plain sentences for the talk with the patient.
    pub talk: Vec<String>,
    /// `contact` or `linear`: how the parts act on each other in this reckoning.
    pub mechanics: &'static str,
}

/// Adds the weeks after the operation to every construct of a comparison.
///
/// # Errors
/// When a construct has a part that nothing holds; the error names the construct.
pub fn add_weeks(
    assessment: &mut Assessment,
    case: &Case,
    mechanics: Mechanics,
) -> Result<(), AssessError> {
    // One thread a construct: they share nothing.
    let found: Vec<Result<_, AssessError>> = std::thread::scope(|scope| {
        let reckonings: Vec<_> = case
            .constructs
            .iter()
            .zip(&assessment.constructs)
            .enumerate()
            .map(|(index, ((name, _), assessed))| {
                let device = compared(case, index, assessed);
                scope.spawn(move || reckoned(name, device, case, mechanics, Unsettled::Linear))
            })
            .collect();
        reckonings
            .into_iter()
            .map(|reckoning| reckoning.join().expect("a reckoning does not panic"))
            .collect()
    });
    for (construct, found) in assessment.constructs.iter_mut().zip(found) {
        let (weeks, aftermath) = found?;
        construct.flags.extend(talk::flags(&aftermath));
        construct.weeks = weeks;
        construct.aftermath = Some(aftermath);
    }
    assessment
        .summary
        .extend(talk::summary(&assessment.constructs));
    assessment.fixtures.push(talk::method(case));
    Ok(())
}

/// The weeks of one construct.
pub(super) fn reckoned(
    name: &str,
    device: &Device,
    case: &Case,
    mechanics: Mechanics,
    unsettled: Unsettled,
) -> Result<(Vec<Week>, Aftermath), AssessError> {
    let failed = |source| AssessError {
        construct: name.to_owned(),
        source,
    };
    let run = |mechanics| Course::new(case, device, mechanics).run().map_err(failed);
    let (weeks, mut aftermath) = match run(mechanics) {
        Err(error) if error.is_unsettled() && unsettled == Unsettled::Linear => {
            run(Mechanics::Linear)?
        }
        settled => settled?,
    };
    aftermath.talk = talk::talk(&weeks, &aftermath);
    Ok((weeks, aftermath))
}

/// What is reckoned through the weeks.
struct Course<'a> {
    case: &'a Case,
    device: &'a Device,
    mechanics: Mechanics,
    /// The setups of each activity of the routine.
    routine: Vec<Vec<Setup>>,
    /// The level arm with an empty hand.
    arm: Setup,
    /// A strap with a force of 1 N, if one is in the case.
    strap: Option<Setup>,
}

/// A construct in one week, and what the routine's activities do to it.
struct State {
    /// That of the callus, MPa.
    modulus: f64,
    fracture: Fracture,
    construct: Construct,
    responses: Vec<Response>,
}

impl<'a> Course<'a> {
    fn new(case: &'a Case, device: &'a Device, mechanics: Mechanics) -> Self {
        let setups = |loading: &Loading| {
            loading.setups(&case.patient, &case.clavicle, case.fracture.position)
        };
        let routine = &case.aftercare.routine;
        let of_the_case = case.activities.iter().chain(routine);
        let strap = of_the_case
            .clone()
            .find_map(|activity| match activity.loading {
                Loading::Shoulder { strap, .. } => strap,
                Loading::Bench(_) => None,
            });
        let alone = |arm, strap| setups(&Loading::Shoulder { arm, strap }).remove(0);
        let level = Arm {
            elevation: FRAC_PI_2,
            hand_mass: 0.0,
        };
        Course {
            case,
            device,
            mechanics,
            routine: routine.iter().map(|a| setups(&a.loading)).collect(),
            arm: alone(Some(level), None),
            strap: strap.map(|strap| {
                alone(
                    None,
                    Some(Strap {
                        force: 1.0,
                        ..strap
                    }),
                )
            }),
        }
    }

    fn run(&self) -> Result<(Vec<Week>, Aftermath), SolveError> {
        let healing = &self.case.aftercare.healing;
        let mut weeks: Vec<Week> = Vec::new();
        let mut healed = vec![(0.0, 0.0)];
        let mut damages = vec![0.0; self.state(healing.modulus(0.0))?.device_places().count()];
        let mut bent = None;
        for (index, &at) in WEEKS.iter().enumerate() {
            let next = WEEKS.get(index + 1).copied().unwrap_or(at + 1.0);
            let (_, so_far) = healed[index];
            let state = self.state(healing.modulus(so_far))?;
            let week = self.week(&state, [at, next], largest(&damages).1)?;
            if week.static_margin.is_some_and(|margin| margin < 1.0) && bent.is_none() {
                bent = Some((at, week.hardest_activity.clone()));
            }
            for (sum, part) in damages.iter_mut().zip(self.damage(&state, [at, next])) {
                *sum += part;
            }
            let at_start = weeks.first().unwrap_or(&week).strain_percent;
            let pace = healing.pace(at_start, week.strain_percent);
            healed.push((next, so_far + healing.gained([at, next], pace)));
            weeks.push(week);
        }
        let damage: Vec<(f64, f64)> = weeks.iter().map(|w| (w.at_weeks, w.damage)).collect();
        let united = healing
            .united_after()
            .and_then(|needed| reached(&healed, needed));
        let last = united.unwrap_or(WEEKS[WEEKS.len() - 1]);
        let before_union = |week: &f64| *week <= last;
        let names: Vec<String> = (self.state(1.0)?.device_places())
            .map(|place| place.name.clone())
            .collect();
        let bent: Option<(f64, String)> = bent.filter(|(week, _)| before_union(week));
        let aftermath = Aftermath {
            united_after_weeks: united,
            damage_at_union: value_at(&damage, last),
            breaks_after_weeks: reached(&damage, 1.0).filter(before_union),
            most_damaged: names.get(largest(&damages).0).cloned(),
            bent_after_weeks: bent.as_ref().map(|(week, _)| *week),
            bent_by: bent.map(|(_, activity)| activity),
            mechanics: match self.mechanics {
                Mechanics::Linear => "linear",
                Mechanics::Contact => "contact",
            },
            talk: Vec::new(),
        };
        Ok((weeks, aftermath))
    }

    /// The construct with callus of a modulus, under each activity of the routine.
    fn state(&self, modulus: f64) -> Result<State, SolveError> {
        let Case {
            clavicle, fracture, ..
        } = self.case;
        let bone = mean(clavicle.outer(fracture.position));
        let of_device = match self.device {
            Device::Plate(_) | Device::Plates(_) => bone,
            _ => CALLUS_SPREAD * bone,
        };
        let given = fracture.callus.map(|callus| callus.outer_diameter);
        let own = self.case.aftercare.healing.outer_diameter;
        let fracture = Fracture {
            callus: Some(Callus {
                // As compliant as tissue that fills the gap of healing.
                youngs_modulus: modulus * fracture.gap / gap_width(fracture.gap),
                outer_diameter: own.or(given).unwrap_or(of_device),
            }),
            ..*fracture
        };
        let mut setups: Vec<Setup> = self.routine.concat();
        setups.push(self.arm.clone());
        setups.extend(self.strap.clone());
        let broken = Some((&fracture, self.device));
        let construct = Construct::new(clavicle, broken, &setups, self.mechanics);
        setups.truncate(self.routine.iter().map(Vec::len).sum());
        let mut answers = construct.solve(&setups)?.into_iter();
        let responses = self.routine.iter().map(|own| {
            let parts = answers.by_ref().take(own.len());
            parts.fold(Response::default(), Response::and)
        });
        Ok(State {
            modulus,
            responses: responses.collect(),
            fracture,
            construct,
        })
    }

    fn week(&self, state: &State, span: [f64; 2], damage: f64) -> Result<Week, SolveError> {
        let judge = Judge {
            case: self.case,
            construct: &state.construct,
            fracture: &state.fracture,
            strain_limit: tolerance(state.modulus),
        };
        let patient = &self.case.patient;
        let empty = patient.shoulder_moment();
        let heaviest = 1.0 + patient.hand_moment(MOST_HAND_MASS) / empty;
        let with_cup = 1.0 + patient.hand_moment(ADVICE.0) / empty;
        let arm = judge.largest_factor(&self.arm, 1.0, heaviest)?;
        let strap = match &self.strap {
            Some(strap) => Some(judge.largest_factor(strap, 50.0, MOST_STRAP_FORCE)?),
            None => None,
        };
        let hardest = self.hardest(state, span);
        Ok(Week {
            at_weeks: span[0],
            callus_modulus_mpa: state.modulus,
            strain_percent: self.strain(state, span),
            hardest_activity: hardest.activity,
            worst_section: hardest.section,
            stress_mpa: hardest.stress,
            static_margin: hardest.margin,
            damage,
            allowed_hand_mass_kg: ((arm.factor - 1.0) * empty / patient.hand_moment(1.0)).max(0.0),
            allowed_elevation_deg: elevation(arm.factor),
            full_cup_elevation_deg: elevation(arm.factor / with_cup),
            governs: arm.limit,
            allowed_strap_force_n: strap.map(|strap| strap.factor),
            strap_governs: strap.map(|strap| strap.limit),
        })
    }

    /// Activities done within a stretch of weeks, with their cycles and what they do.
    fn done<'s>(
        &'s self,
        state: &'s State,
        span: [f64; 2],
    ) -> impl Iterator<Item = (&'s Activity, f64, &'s Response)> {
        let routine = self.case.aftercare.routine.iter().zip(&state.responses);
        routine
            .map(move |(activity, response)| {
                let phases = activity.phases.iter();
                let cycles = phases.map(|phase| phase.cycles_within(span)).sum();
                (activity, cycles, response)
            })
            .filter(|(_, cycles, _)| *cycles > 0.0)
    }

    /// Strain in the gap, %, the mean over the cycles done.
    fn strain(&self, state: &State, span: [f64; 2]) -> f64 {
        let sums = self.done(state, span).map(|(_, cycles, response)| {
            let State {
                construct,
                fracture,
                ..
            } = state;
            let motion = fracture_motion(construct, &self.case.clavicle, fracture, response);
            [cycles * gap_strain(&motion, fracture), cycles]
        });
        let [strained, cycles] = sums.fold([0.0; 2], |a, b| [a[0] + b[0], a[1] + b[1]]);
        if cycles > 0.0 { strained / cycles } else { 0.0 }
    }

    /// Where and in what activity the device comes nearest to bending for good.
    fn hardest(&self, state: &State, span: [f64; 2]) -> Hardest {
        let mut hardest = Hardest::default();
        let mut most_used = 0.0;
        for (activity, _, response) in self.done(state, span) {
            for place in state.device_places() {
                let cut = worst_cut(place, &state.construct, response);
                if cut.used > most_used {
                    most_used = cut.used;
                    hardest = Hardest {
                        activity: activity.name.clone(),
                        section: place.name.clone(),
                        stress: cut.nominal,
                        margin: Some(1.0 / cut.used),
                    };
                }
            }
        }
        hardest
    }

    /// Damage that a stretch of weeks does at each critical place of the device.
    ///
    /// The callus is taken as it is at the beginning, softer than later: an upper bound.
    fn damage(&self, state: &State, span: [f64; 2]) -> Vec<f64> {
        let method = &self.case.aftercare.fatigue;
        state
            .device_places()
            .map(|place| {
                let strength = strength(place);
                miner_damage(self.done(state, span).map(|(_, cycles, response)| {
                    let cut = worst_cut(place, &state.construct, response);
                    let cycle = cut.cycle(strength);
                    (cycles, method.life(&cycle, &place.material, strength))
                }))
            })
            .collect()
    }
}

impl State {
    fn device_places(&self) -> impl Iterator<Item = &CriticalPlace> {
        let places = self.construct.places.iter();
        places.filter(|place| place.part == Part::Device)
    }
}

/// Where the device is used most.
#[derive(Default)]
struct Hardest {
    activity: String,
    section: String,
    stress: f64,
    margin: Option<f64>,
}

/// How far an arm may be raised whose moment at the level is `1 / share` of what is allowed,
/// deg; see [`arm_scale`](crate::load::arm_scale).
fn elevation(share: f64) -> f64 {
    match share < 1.0 {
        true => share.asin().to_degrees(),
        false => 180.0,
    }
}

fn mean([one, other]: [f64; 2]) -> f64 {
    (one + other) / 2.0
}

/// Index and value of the largest; zero of an empty list.
fn largest(values: &[f64]) -> (usize, f64) {
    let all = values.iter().copied().enumerate();
    all.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, 0.0))
}

/// When a value that grows along a track first reaches a level, linear between points.
fn reached(track: &[(f64, f64)], level: f64) -> Option<f64> {
    track.windows(2).find_map(|pair| {
        let [(from, low), (to, high)] = [pair[0], pair[1]];
        let share = (level - low) / (high - low);
        (low < level && level <= high).then_some(from + share * (to - from))
    })
}

/// The value of a track at a place, linear between points.
fn value_at(track: &[(f64, f64)], at: f64) -> f64 {
    let between = track.windows(2).find_map(|pair| {
        let [(from, low), (to, high)] = [pair[0], pair[1]];
        let share = (at - from) / (to - from);
        (from <= at && at <= to).then_some(low + share * (high - low))
    });
    between.unwrap_or(0.0)
}
