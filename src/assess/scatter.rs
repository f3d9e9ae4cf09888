//! The weeks in very many virtual patients: how likely the device fails before union.
//!
//! Bone, loads, callus, healing, cycles and notches differ from patient to patient; each patient
//! is carried through the weeks like the one of the case. The strength of the device then needs no
//! drawing: the chance that it breaks is the share of devices weaker than would just last.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use schemars::JsonSchema;
use serde::Serialize;

use super::Assessment;
use super::allowed::Judge;
use super::chances::{Outcome, chances, summary};
use super::history::{History, Walk, Wear, value_at};
use super::sizes::{self, Sizes};
use super::solved::is_unsettled;
use super::weeks::{ADVICE, level_arm, with_mass};
use crate::case::{Case, Quantity, ScatterInput};
use crate::construct::Mechanics;
use crate::device::Device;
use crate::frame::SolveError;
use crate::healing::RIGID_STRAIN;
use crate::sampling::{Method, Plan};

/// How the patients were drawn.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Scatter {
    /// How many.
    pub patients: u64,
    /// The seed that they follow from.
    pub seed: u64,
    /// Mass in the hand of the level arm for which a limit counts as needed, kg.
    pub hand_mass_kg: f64,
    /// What scatters.
    pub inputs: Vec<Scattering>,
    /// What goes together, in words.
    pub correlations: Vec<String>,
}

/// How one input scatters.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Scattering {
    /// Its key in the file.
    pub key: &'static str,
    /// The distribution in words, in the unit of the key.
    pub distribution: String,
    /// Where it comes from.
    pub source: String,
}

/// Adds to every construct of a comparison how it fares in many patients.
///
/// The result does not depend on the number of threads.
///
/// * `patients`: at least one; `seed`: what they follow from
/// * `walked_one`: told by any thread that a construct is done in a patient
///
/// # Panics
/// When no patients or more than 2³² are asked for.
pub fn add_scatter(
    assessment: &mut Assessment,
    case: &Case,
    mechanics: Mechanics,
    (patients, seed): (u64, u64),
    threads: usize,
    walked_one: impl Fn() + Sync,
) {
    let scatter = &case.scatter;
    let plan = Plan::new(Method::LatinHypercube, scatter.inputs.len(), patients, seed)
        .expect("from one patient to 2^32");
    let drawn: Vec<Vec<f64>> = (0..patients)
        .map(|patient| {
            let mut point = plan.point(patient);
            scatter.correlation.apply(&mut point);
            let pairs = scatter.inputs.iter().zip(point);
            pairs
                .map(|(input, share)| input.distribution.quantile(share))
                .collect()
        })
        .collect();
    let planned: Vec<Vec<Device>> = (assessment.constructs.iter().enumerate())
        .map(|(index, assessed)| {
            let picked = assessed.sizes.as_ref().map_or(0, Sizes::picked);
            case.offered(index)[..=picked].to_vec()
        })
        .collect();
    let walks = planned.len() * drawn.len();
    let next = AtomicUsize::new(0);
    let outcomes = Mutex::new(vec![None; walks]);
    std::thread::scope(|scope| {
        for _ in 0..threads.clamp(1, walks.max(1)) {
            scope.spawn(|| {
                loop {
                    let walk = next.fetch_add(1, Ordering::Relaxed);
                    if walk >= walks {
                        return;
                    }
                    let (construct, patient) = (walk / drawn.len(), walk % drawn.len());
                    let outcome = case.of_patient(&drawn[patient]).ok().and_then(|case| {
                        let device = passing(&planned[construct], &case)?;
                        outcome(&case, device, mechanics, &drawn[patient])
                    });
                    let mut all = outcomes.lock().expect("no walk panics while it holds this");
                    all[walk] = outcome;
                    drop(all);
                    walked_one();
                }
            });
        }
    });
    let outcomes = outcomes.into_inner().expect("every walk is over");
    let by_construct = outcomes.chunks(drawn.len().max(1));
    for (construct, outcomes) in assessment.constructs.iter_mut().zip(by_construct) {
        construct.chances = chances(case, &drawn, outcomes);
    }
    let told = |input: &ScatterInput| Scattering {
        key: input.quantity.key(),
        distribution: input.distribution.to_string(),
        source: input.source.clone(),
    };
    let strengths = [&scatter.fatigue_strength, &scatter.proof_stress];
    assessment.scatter = Some(Scatter {
        patients,
        seed,
        hand_mass_kg: scatter.hand_mass,
        inputs: scatter.inputs.iter().chain(strengths).map(told).collect(),
        correlations: scatter.correlated.clone(),
    });
    assessment.summary.extend(summary(&assessment.constructs));
    assessment.fixtures.push(METHOD.to_owned());
}

/// The largest size planned, smallest first, that passes the patient's canal.
fn passing<'d>(planned: &'d [Device], case: &Case) -> Option<&'d Device> {
    let passes = |device: &&Device| {
        let found = sizes::in_canal(device, &case.clavicle);
        found.is_none_or(|[diameter, canal]| diameter <= canal)
    };
    planned.iter().rev().find(passes)
}

/// A construct in a patient; none where the model finds no answer.
///
/// * `case`: that of the patient; `values`: of the inputs that scatter
fn outcome(case: &Case, device: &Device, mechanics: Mechanics, values: &[f64]) -> Option<Outcome> {
    match walked(case, device, mechanics, values) {
        Err(error) if is_unsettled(&error) => walked(case, device, Mechanics::Linear, values).ok(),
        settled => settled.ok(),
    }
}

fn walked(
    case: &Case,
    device: &Device,
    mechanics: Mechanics,
    values: &[f64],
) -> Result<Outcome, SolveError> {
    let scatter = &case.scatter;
    let value = |quantity| scatter.value(quantity, values);
    let arm = level_arm(case);
    let held = value(Quantity::LoadFactor) * with_mass(case, scatter.hand_mass);
    let held = arm.scaled(held);
    let walk = Walk {
        case,
        device,
        mechanics,
        beside: std::slice::from_ref(&arm),
        load: value(Quantity::LoadFactor),
        callus: value(Quantity::CallusModulusFactor),
        until_union: true,
    };
    let wear = Wear {
        cycles: value(Quantity::CyclesFactor),
        notch: value(Quantity::NotchFactor),
        thread: Wear::thread_kf(value(Quantity::ThreadKf)),
    };
    let (mut needs_limit, mut looked_at) = (false, None);
    let history = walk.run(|state, stretch| {
        let again = looked_at == Some(stretch.modulus);
        if !needs_limit && !again && stretch.weeks[0] <= ADVICE.1 {
            looked_at = Some(stretch.modulus);
            let judge = Judge::new(case, device, state, std::slice::from_ref(&held), wear);
            needs_limit = !judge.bears(&held)?;
        }
        Ok(())
    })?;
    let (damage, strength) = at_union(case, &history, &wear);
    let used = history.most_used().map_or(0.0, |most| most.used);
    let first = history.stretches.first().map_or(0.0, |first| first.strain);
    let feedback = case.aftercare.healing.strain_feedback;
    Ok(Outcome {
        breaks: scatter.fatigue_strength.distribution.share_below(strength),
        bends: scatter.proof_stress.distribution.share_below(used),
        needs_limit,
        damage,
        united: history.united,
        without_callus: feedback && first < RIGID_STRAIN,
        linear: mechanics == Mechanics::Linear,
    })
}

/// Largest damage of a device of usual strength at union, and the factor on its strength with
/// which it would just last.
///
/// ```text
/// N ∝ s^k    D(s) = D(1) s^−k    s* = D(1)^(1/k)    k = −1/b of the S-N line
/// ```
///
/// The factor moves the whole line, so that it takes the same share off every life at one place.
fn at_union(case: &Case, history: &History, wear: &Wear) -> (f64, f64) {
    let method = &case.aftercare.fatigue;
    let damages = history.damages(method, wear);
    let last = history.lasts_until();
    let each = history.places.iter().enumerate().map(|(number, place)| {
        let track = damages.iter().map(|(week, all)| (*week, all[number]));
        let damage = value_at(&track.collect::<Vec<_>>(), last);
        let line = method.line(&place.material, super::stress::strength(place));
        (damage, damage.powf(-line.exponent))
    });
    each.fold((0.0, 0.0), |most: (f64, f64), one| {
        (most.0.max(one.0), most.1.max(one.1))
    })
}

const METHOD: &str = "Scatter: virtual patients whose bone, loads, callus, healing, cycles and \
     notches differ (Latin hypercube; list with sources: --defaults), each carried through the weeks \
     with the activities of the plan; the strength of the device is taken over its whole \
     distribution. Fails: breaks by fatigue or first bends for good before union, or before week 24. \
     Intervals (95 %) are those of drawing so many patients; what is assumed wrongly they do not \
     show. Fatigue of screws is not in it, and a patient who does more than the plan, falls or is \
     struck is not among them.";
