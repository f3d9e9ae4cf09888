//! What a case file says about the weeks after the operation: routine, fatigue, healing.

use super::activity_tables::ActivityTable;
use super::aftercare_tables::{
    ActivitySetWord, FatigueTable, FinishWord, HealingTable, MeanStressWord,
};
use super::defaults::{self, Inputs, Sourced};
use crate::anatomy::Patient;
use crate::fatigue::{MeanStress, Method, RELIABILITIES, SnLine, Surface, reliability_factor};
use crate::healing::{FIRST_TISSUE, Healing, USUAL_COURSE};
use crate::input::entry_path;
use crate::load::{Activity, Phase, usual_set};

/// Weeks that are looked at; an activity without an end lasts so long.
const LAST_WEEK: f64 = 52.0;

/// When and how often the activity at `path` is done; empty if it is only looked at once.
pub(super) fn phases(inputs: &mut Inputs, path: &str, table: &ActivityTable) -> Vec<Phase> {
    let key = format!("{path}.weeks");
    let weeks = match table.weeks.as_deref() {
        None => [0.0, LAST_WEEK],
        Some(&[from, to]) if 0.0 <= from && from < to && to <= LAST_WEEK => [from, to],
        Some(_) => {
            let rule = "must be two weeks from 0 to 52, the earlier first";
            inputs.check.problem(&key, rule);
            return Vec::new();
        }
    };
    let needs = "needs cycles_per_day beside it: an activity without cycles tires nothing";
    let alone = table.weeks.is_some() && table.cycles_per_day.is_none();
    inputs.check.require(&key, !alone, needs);
    let phase = |cycles_per_day| Phase {
        weeks,
        cycles_per_day,
    };
    table.cycles_per_day.map(phase).into_iter().collect()
}

/// What is done in the weeks after the operation: the activities of the file that state their
/// cycles, and the usual set if it is asked for or there are none.
pub(super) fn routine(
    inputs: &mut Inputs,
    set: Option<ActivitySetWord>,
    activities: &[Activity],
    patient: &Patient,
) -> Vec<Activity> {
    let counted = |activity: &&Activity| !activity.phases.is_empty();
    let mut routine: Vec<Activity> = activities.iter().filter(counted).cloned().collect();
    if set.is_none() && routine.is_empty() {
        inputs.note("activity_set", "usual", defaults::ACTIVITY_SET_SOURCE);
    }
    if set.is_some() || routine.is_empty() {
        let usual = usual_set(patient, defaults::STRAP_POSITION.value);
        let own: Vec<String> = routine.iter().map(|a| a.name.clone()).collect();
        routine.extend(usual.into_iter().filter(|a| !own.contains(&a.name)));
    }
    routine
}

/// How fatigue is judged, and for how many repeats an allowed load.
pub(super) fn fatigue(inputs: &mut Inputs, table: &FatigueTable) -> (Method, f64) {
    let mean_stress = match table.mean_stress {
        Some(MeanStressWord::Gerber) => MeanStress::Gerber,
        Some(MeanStressWord::Soderberg) => MeanStress::Soderberg,
        Some(MeanStressWord::SmithWatsonTopper) => MeanStress::SmithWatsonTopper,
        Some(MeanStressWord::Goodman) => MeanStress::Goodman,
        None => {
            let default = defaults::MEAN_STRESS;
            inputs.note("fatigue.mean_stress", default.value, default.source);
            MeanStress::Goodman
        }
    };
    let surface = match table.surface {
        Some(FinishWord::Polished) => Surface::Polished,
        Some(FinishWord::Ground) => Surface::Ground,
        Some(FinishWord::Machined) => Surface::Machined,
        Some(FinishWord::HotRolled) => Surface::HotRolled,
        Some(FinishWord::AsForged) => Surface::AsForged,
        None => {
            let default = defaults::FINISH;
            inputs.note("fatigue.surface", default.value, default.source);
            Surface::Polished
        }
    };
    let reliability_percent = inputs.number(
        "fatigue.reliability_percent",
        table.reliability_percent,
        defaults::RELIABILITY_PERCENT,
    );
    let reliability = reliability_factor(reliability_percent);
    let listed: Vec<String> = RELIABILITIES.iter().map(|row| row.0.to_string()).collect();
    inputs.check.require(
        "fatigue.reliability_percent",
        reliability.is_some(),
        format!("must be one of {}", listed.join(", ")),
    );
    let measured = measured(inputs, table);
    let method = Method {
        mean_stress,
        reliability_percent,
        reliability: reliability.unwrap_or(1.0),
        surface,
        measured,
    };
    let repeats = inputs.number("fatigue.repeats", table.repeats, defaults::REPEATS);
    (method, repeats)
}

fn measured(inputs: &mut Inputs, table: &FatigueTable) -> Vec<(String, SnLine)> {
    let mut lines = Vec::new();
    for (index, line) in table.measured.iter().enumerate() {
        let path = entry_path("fatigue.measured", index);
        let cycles = format!("{path}.cycles");
        let amplitude = format!("{path}.amplitude_mpa");
        let (&[few, many], &[high, low]) = (line.cycles.as_slice(), line.amplitude_mpa.as_slice())
        else {
            let rule = "must be two numbers, as must amplitude_mpa";
            inputs.check.problem(&cycles, rule);
            continue;
        };
        let rises = 1.0 <= few && few < many && many.is_finite();
        let rule = "must rise: two numbers of cycles, the fewer first";
        inputs.check.require(&cycles, rises, rule);
        let falls = 0.0 < low && low < high && high.is_finite();
        let rule = "must fall: more cycles are borne at a smaller amplitude only";
        inputs.check.require(&amplitude, falls, rule);
        let line_through = SnLine::through([(few, high), (many, low)]);
        lines.push((line.material.clone(), line_through));
    }
    lines
}

/// How the fracture heals.
pub(super) fn healing(inputs: &mut Inputs, table: &HealingTable, patient: &Patient) -> Healing {
    let own = own_course(inputs, table);
    let mut slow = |key: &str, given| inputs.choice(key, given, defaults::SLOW_HEALER);
    let is_slow = [
        ("healing.smoker", table.smoker),
        ("healing.elderly", table.elderly),
    ]
    .map(|(key, given)| slow(key, given));
    let child = own.is_none() && patient.preset.starts_with("child");
    let factors = is_slow
        .iter()
        .filter(|slow| **slow)
        .map(|_| defaults::SLOW_HEALER_FACTOR)
        .chain(child.then_some(defaults::CHILD_FACTOR));
    let source = "assumption: 1.5 for a smoker or an elderly patient, 0.5 for a child";
    let time_factor = inputs.number(
        "healing.time_factor",
        table.time_factor,
        Sourced::new(factors.product(), source),
    );
    if own.is_none() {
        let source = "assumption, between moduli of healing tissues (Lacroix & Prendergast 2002, \
                      Claes & Heigele 1999, from memory); blood at first, which bears nothing";
        let course = format!("none before week {FIRST_TISSUE}, then 1 to 15000 over 52 weeks");
        inputs.note("healing.modulus_mpa", course, source);
    }
    Healing {
        strain_feedback: table.strain_feedback.unwrap_or(own.is_none()),
        first_tissue: if own.is_none() { FIRST_TISSUE } else { 0.0 },
        course: own.unwrap_or_else(|| USUAL_COURSE.to_vec()),
        time_factor,
        delay: inputs.number(
            "healing.delay_weeks",
            table.delay_weeks,
            defaults::HEALING_DELAY_WEEKS,
        ),
        outer_diameter: table.callus_outer_diameter_mm,
    }
}

/// The course of the file, if it gives one.
fn own_course(inputs: &mut Inputs, table: &HealingTable) -> Option<Vec<(f64, f64)>> {
    let check = &mut inputs.check;
    let (weeks, moduli) = match (&table.weeks, &table.modulus_mpa) {
        (None, None) => return None,
        (Some(weeks), Some(moduli)) => (weeks, moduli),
        (Some(_), None) => {
            check.problem("healing.weeks", "needs modulus_mpa beside it");
            return None;
        }
        (None, Some(_)) => {
            check.problem("healing.modulus_mpa", "needs weeks beside it");
            return None;
        }
    };
    let same = format!("must have as many entries as weeks: {}", weeks.len());
    check.require("healing.modulus_mpa", weeks.len() == moduli.len(), same);
    let in_range = moduli.iter().all(|e| (0.001..=30_000.0).contains(e));
    let rule = "must lie between 0.001 and 30000";
    check.require("healing.modulus_mpa", in_range, rule);
    let rise = weeks.windows(2).all(|pair| pair[0] < pair[1]);
    let in_order = !weeks.is_empty() && rise && weeks.iter().all(|w| (0.0..=520.0).contains(w));
    let rule = "must rise from week to week, from 0 at the least to 520";
    check.require("healing.weeks", in_order, rule);
    Some(weeks.iter().copied().zip(moduli.iter().copied()).collect())
}
