//! The weeks in very many virtual patients: how likely the device fails before union.
//!
//! Bone, loads, callus, healing, cycles and notches differ from patient to patient; each patient
//! is carried through the weeks like the one of the case. The strength of the device then needs no
//! drawing: the chance that it breaks is the share of devices weaker than would just last.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use schemars::JsonSchema;
use serde::Serialize;

use super::allowed::Judge;
use super::compare::is_unsettled;
use super::history::{History, Walk, Wear, value_at};
use super::sizes::{self, Sizes};
use super::weeks::{ADVICE, level_arm, with_mass};
use super::{Assessment, ConstructAssessment};
use crate::case::{Case, Quantity, ScatterInput};
use crate::construct::Mechanics;
use crate::device::Device;
use crate::frame::SolveError;
use crate::healing::RIGID_STRAIN;
use crate::sampling::{Method, Plan, Share};

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

/// One construct over all patients.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Chances {
    /// Patients in whom it was reckoned.
    pub patients: u64,
    /// Patients left out: their canal is too narrow for the device, or the model finds no answer.
    pub left_out: u64,
    /// Patients reckoned with linear couplings, their contact not settling.
    pub linear: u64,
    /// Chance that the device breaks by fatigue or bends for good before union.
    pub fails: Share,
    /// Chance that it breaks by fatigue.
    pub breaks: Share,
    /// Chance that it bends for good.
    pub bends: Share,
    /// Chance that the level arm may not hold the mass looked for at some time in the first six
    /// weeks.
    pub needs_limit: Share,
    /// Chance that the fracture has not united after 24 weeks.
    pub not_united: Share,
    /// Share of the patients whose gap strains so little that it heals without callus, %.
    pub heals_without_callus_percent: f64,
    /// Damage by Miner's rule at union with the usual strength of the device.
    pub damage_at_union: Spread,
    /// Weeks until union, of those that unite; absent where none does.
    pub united_after_weeks: Option<Spread>,
    /// What differs between patients, by how the damage goes with it, the strongest first.
    pub drivers: Vec<Driver>,
    /// The same in plain sentences.
    pub sentences: Vec<String>,
}

/// How far values spread.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Spread {
    /// One in twenty is less.
    pub from: f64,
    /// Half are less.
    pub median: f64,
    /// One in twenty is more.
    pub to: f64,
}

/// How the damage goes with an input.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Driver {
    /// The input's key.
    pub key: &'static str,
    /// What it is in words.
    pub words: &'static str,
    /// Spearman's rank correlation with the damage at union.
    pub rank_correlation: f64,
}

/// What became of one construct in one patient.
#[derive(Debug, Clone, Copy)]
struct Outcome {
    breaks: f64,
    bends: f64,
    needs_limit: bool,
    damage: f64,
    united: Option<f64>,
    without_callus: bool,
    linear: bool,
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

/// What the outcomes in all patients come to; none where there is none.
fn chances(case: &Case, drawn: &[Vec<f64>], outcomes: &[Option<Outcome>]) -> Option<Chances> {
    let reckoned: Vec<(&Vec<f64>, Outcome)> = (drawn.iter().zip(outcomes))
        .filter_map(|(values, outcome)| Some((values, (*outcome)?)))
        .collect();
    if reckoned.is_empty() {
        return None;
    }
    let share = |of: &dyn Fn(&Outcome) -> f64| {
        averaged(reckoned.iter().map(|(_, outcome)| of(outcome)).collect())
    };
    let count =
        |is: &dyn Fn(&Outcome) -> bool| reckoned.iter().filter(|(_, outcome)| is(outcome)).count();
    let damages: Vec<f64> = reckoned.iter().map(|(_, o)| o.damage).collect();
    let united: Vec<f64> = reckoned.iter().filter_map(|(_, o)| o.united).collect();
    let without = count(&|o| o.without_callus);
    let mut chances = Chances {
        patients: reckoned.len() as u64,
        left_out: (outcomes.len() - reckoned.len()) as u64,
        linear: count(&|o| o.linear) as u64,
        fails: share(&|o| 1.0 - (1.0 - o.breaks) * (1.0 - o.bends)),
        breaks: share(&|o| o.breaks),
        bends: share(&|o| o.bends),
        needs_limit: share(&|o| f64::from(u8::from(o.needs_limit))),
        not_united: share(&|o| f64::from(u8::from(o.united.is_none()))),
        heals_without_callus_percent: 100.0 * without as f64 / reckoned.len() as f64,
        damage_at_union: Spread::of(&damages),
        united_after_weeks: (!united.is_empty()).then(|| Spread::of(&united)),
        drivers: drivers(case, &reckoned),
        sentences: Vec::new(),
    };
    chances.sentences = sentences(&chances, case.scatter.hand_mass);
    Some(chances)
}

/// Fewest patients that must carry a probability for its interval to follow from their scatter.
///
/// Assumption: of fewer the scatter itself is not known.
const LEAST_CARRIERS: f64 = 10.0;

/// The mean of the patients' probabilities, with its interval.
///
/// Where few patients carry it, more of their kind may have been missed: then as wide as for as
/// many patients who either fail or not.
///
/// ```text
/// carriers  (Σ p)² / Σ p²     the same for 1 − p
/// ```
fn averaged(probabilities: Vec<f64>) -> Share {
    let carriers = |of: &dyn Fn(f64) -> f64| {
        let each = || probabilities.iter().map(|p| of(*p));
        let squares: f64 = each().map(|p| p * p).sum();
        match squares > 0.0 {
            true => each().sum::<f64>().powi(2) / squares,
            false => 0.0,
        }
    };
    let few = carriers(&|p| p).min(carriers(&|p| 1.0 - p)) < LEAST_CARRIERS;
    let mean = probabilities.iter().sum::<f64>() / probabilities.len() as f64;
    match few {
        true => Share::wilson(mean, probabilities.len() as f64),
        false => Share::averaged(&probabilities),
    }
}

impl Spread {
    /// Of at least one value.
    fn of(values: &[f64]) -> Self {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let place = share * (sorted.len() - 1) as f64;
            let (below, above) = (place.floor() as usize, place.ceil() as usize);
            sorted[below] + (place - place.floor()) * (sorted[above] - sorted[below])
        };
        Spread {
            from: at(0.05),
            median: at(0.5),
            to: at(0.95),
        }
    }
}

/// The inputs that the damage goes with, the strongest first; what would come of chance alone is
/// left out.
fn drivers(case: &Case, reckoned: &[(&Vec<f64>, Outcome)]) -> Vec<Driver> {
    let damage = ranks(reckoned.iter().map(|(_, outcome)| outcome.damage));
    let inputs = case.scatter.inputs.iter().enumerate();
    let mut drivers: Vec<Driver> = inputs
        .map(|(number, input)| Driver {
            key: input.quantity.key(),
            words: input.quantity.words(),
            rank_correlation: correlation(
                &ranks(reckoned.iter().map(|(values, _)| values[number])),
                &damage,
            ),
        })
        .collect();
    // Twice the standard deviation of the correlation of unrelated ranks.
    let noise = 2.0 / (reckoned.len() as f64).sqrt();
    drivers.retain(|driver| driver.rank_correlation.abs() > noise);
    drivers.sort_by(|a, b| {
        let [a, b] = [a, b].map(|driver| driver.rank_correlation.abs());
        b.total_cmp(&a)
    });
    drivers
}

/// The rank of each value, from 0; of equal ones the mean.
fn ranks(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let values: Vec<f64> = values.collect();
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    let rank = |value: &f64| {
        let below = sorted.partition_point(|other| other < value);
        let not_above = sorted.partition_point(|other| other <= value);
        0.5 * (below + not_above - 1) as f64
    };
    values.iter().map(rank).collect()
}

/// Pearson's correlation; zero where one does not vary.
fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let [mean_a, mean_b] = [mean(a), mean(b)];
    let sums = a.iter().zip(b).fold([0.0; 3], |[ab, aa, bb], (a, b)| {
        let [a, b] = [a - mean_a, b - mean_b];
        [ab + a * b, aa + a * a, bb + b * b]
    });
    match sums[1] > 0.0 && sums[2] > 0.0 {
        true => sums[0] / (sums[1] * sums[2]).sqrt(),
        false => 0.0,
    }
}

const METHOD: &str = "Scatter: virtual patients whose bone, loads, callus, healing, cycles and \
     notches differ (Latin hypercube; list with sources: --defaults), each carried through the weeks \
     with the activities of the plan; the strength of the device is taken over its whole \
     distribution. Fails: breaks by fatigue or first bends for good before union, or before week 24. \
     Intervals (95 %) are those of drawing so many patients; what is assumed wrongly they do not \
     show. Fatigue of screws is not in it, and a patient who does more than the plan, falls or is \
     struck is not among them.";

fn sentences(chances: &Chances, mass: f64) -> Vec<String> {
    let percent = |share: &Share| {
        let [p, from, to] = [share.probability, share.from, share.to].map(percent);
        format!("{p} % (95 % interval {from} to {to})")
    };
    let mut sentences = vec![
        format!(
            "Over {} virtual patients it fails before union in {}: it breaks by fatigue in {} % and \
             bends for good in {} %.",
            chances.patients,
            percent(&chances.fails),
            self::percent(chances.breaks.probability),
            self::percent(chances.bends.probability),
        ),
        format!(
            "A limit below {mass} kg in the hand of the level arm is needed at some time in the first \
             six weeks in {}.",
            percent(&chances.needs_limit)
        ),
    ];
    if let Some(weeks) = chances.united_after_weeks {
        let Spread { from, median, to } = weeks;
        sentences.push(format!(
            "It unites after {median:.0} weeks, one patient in twenty before {from:.0} and one after \
             {to:.0}; {} % have not united after 24.",
            self::percent(chances.not_united.probability)
        ));
    }
    if (5.0..=95.0).contains(&chances.heals_without_callus_percent) {
        sentences.push(format!(
            "In {:.0} % of them the gap strains less than {RIGID_STRAIN} % and heals without callus, \
             slower; the model switches hard there, so that the weeks until union fall into two \
             groups.",
            chances.heals_without_callus_percent
        ));
    }
    let drivers = chances.drivers.iter().take(3);
    let drivers: Vec<&str> = drivers.map(|driver| driver.words).collect();
    if !drivers.is_empty() {
        sentences.push(format!(
            "What decides between patients, the most first: {}.",
            drivers.join("; ")
        ));
    }
    if chances.left_out > 0 {
        sentences.push(format!(
            "{} patients are left out: their canal is too narrow for it, or the model found no answer.",
            chances.left_out
        ));
    }
    if chances.linear > 0 {
        sentences.push(format!(
            "In {} patients contact did not settle, so theirs is the linear answer.",
            chances.linear
        ));
    }
    sentences
}

/// A probability in per cent: a digit past the point below ten.
pub fn percent(probability: f64) -> String {
    let percent = 100.0 * probability;
    match percent {
        _ if percent >= 9.95 || percent == 0.0 => format!("{percent:.0}"),
        _ if percent >= 0.05 => format!("{percent:.1}"),
        _ => "<0.1".to_owned(),
    }
}

/// Which fail in how many.
fn summary(constructs: &[ConstructAssessment]) -> Option<String> {
    let each = constructs.iter().filter_map(|construct| {
        let Share {
            probability,
            from,
            to,
        } = construct.chances.as_ref()?.fails;
        let [p, from, to] = [probability, from, to].map(percent);
        Some(format!("{} {p} % ({from} to {to})", construct.name))
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| {
        format!(
            "Breaks or bends before the bone unites, over virtual patients, with 95 % interval: {}.",
            each.join("; ")
        )
    })
}
