//! What became of a construct in very many virtual patients: chances with intervals, how damage and
//! union spread, what decides between patients.

use schemars::JsonSchema;
use serde::Serialize;

use super::ConstructAssessment;
use crate::case::Case;
use crate::healing::RIGID_STRAIN;
use crate::sampling::{Share, order, quantile, ranks, spearman};

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
pub(super) struct Outcome {
    pub breaks: f64,
    pub bends: f64,
    pub needs_limit: bool,
    pub damage: f64,
    pub united: Option<f64>,
    pub without_callus: bool,
    pub linear: bool,
}

/// What the outcomes in all patients come to; none where there is none.
pub(super) fn chances(
    case: &Case,
    drawn: &[Vec<f64>],
    outcomes: &[Option<Outcome>],
) -> Option<Chances> {
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
        let at = |share| quantile(&sorted, share).expect("there is a value");
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
    let ranks = |values: Vec<f64>| ranks(&order(&values), &values, |_| true);
    let damage = ranks(reckoned.iter().map(|(_, outcome)| outcome.damage).collect());
    let inputs = case.scatter.inputs.iter().enumerate();
    let mut drivers: Vec<Driver> = inputs
        .filter_map(|(number, input)| {
            let own = ranks(reckoned.iter().map(|(values, _)| values[number]).collect());
            Some(Driver {
                key: input.quantity.key(),
                words: input.quantity.words(),
                rank_correlation: spearman(&own, &damage)?.value,
            })
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
pub(super) fn summary(constructs: &[ConstructAssessment]) -> Option<String> {
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
