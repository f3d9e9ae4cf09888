//! Main effects: the mean of an output for each value of an input, whatever the others are.

use std::collections::BTreeMap;

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::sampling::Estimate;
use crate::study::Cells;

/// What an input does to an output.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// Mean of the output in each part of the input's values, rising or by the alphabet.
    pub levels: Vec<Level>,
    /// Share of the output's variance that these means explain; none if the input has one value.
    pub share: Option<f64>,
    /// Pearson's correlation; none for words.
    pub pearson: Option<Estimate>,
    /// Spearman's rank correlation; none for words.
    pub spearman: Option<Estimate>,
}

/// A value of an input, or values side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// The word, where values are words.
    pub word: Option<String>,
    /// Smallest value.
    pub from: f64,
    /// Largest value.
    pub to: f64,
    /// Mean of its values.
    pub centre: f64,
    /// Samples.
    pub count: u64,
    /// Mean of the output.
    pub mean: f64,
    /// Half of the mean's 95 % interval; none with a single sample, and in a grid, where the
    /// other inputs are the same at every level and no chance is in the means' differences.
    pub half: Option<f64>,
}

/// Most values that each get a level of their own.
const MOST_VALUES: usize = 12;
/// The same in a grid, which repeats each.
const MOST_GRID_VALUES: usize = 100;
/// Most parts that other inputs are cut into, and the samples each is to have: assumptions.
const MOST_PARTS: usize = 10;
const SAMPLES_OF_PART: usize = 20;

/// The main effect of an input; correlations are left empty.
///
/// An input of few values has a level for each; one of many is cut into parts of as many samples.
/// The share is the adjusted correlation ratio, an estimate of the first-order index that counts
/// in the chance of means from few samples:
///
/// ```text
/// 1 − (Sw / (n − m)) / (St / (n − 1))     in a grid: 1 − Sw / St
/// ```
///
/// `Sw`, `St`: squares about the means of `m` levels and about the mean of all `n` samples.
///
/// * `order`: of the input's values, rising; not used for words
/// * `output`: not a number where there is none
///
/// Source: correlation ratio textbook, its adjustment after Kelley (1935), from memory.
pub fn effect(input: &Cells, order: &[u32], output: &[f64], grid: bool) -> Effect {
    let groups = match input {
        Cells::Words(words) => by_word(words, output),
        Cells::Numbers(values) => by_number(values, order, output, grid),
    };
    let levels: Vec<Level> = (groups.iter())
        .map(|group| level(group, input, output, grid))
        .collect();
    let share = (levels.len() > 1).then(|| share(&groups, &levels, output, grid));
    Effect {
        levels,
        share: share.flatten(),
        pearson: None,
        spearman: None,
    }
}

fn by_word(words: &[String], output: &[f64]) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (row, word) in words.iter().enumerate() {
        if output[row].is_finite() {
            groups.entry(word).or_default().push(row);
        }
    }
    groups.into_values().collect()
}

/// Rows of each level, rising.
fn by_number(values: &[f64], order: &[u32], output: &[f64], grid: bool) -> Vec<Vec<usize>> {
    let rows = order.iter().map(|&row| row as usize);
    let rows: Vec<usize> = rows
        .filter(|&row| values[row].is_finite() && output[row].is_finite())
        .collect();
    let equal = || rows.chunk_by(|&a, &b| values[a] == values[b]);
    let most = if grid { MOST_GRID_VALUES } else { MOST_VALUES };
    if equal().take(most + 1).count() <= most {
        return equal().map(<[usize]>::to_vec).collect();
    }
    let parts = (rows.len() / SAMPLES_OF_PART).clamp(2, MOST_PARTS);
    let mut groups = vec![Vec::new()];
    let mut taken = 0;
    for same in equal() {
        // Equal values stay together.
        if taken * parts >= groups.len() * rows.len() {
            groups.push(Vec::new());
        }
        groups.last_mut().expect("there is a first").extend(same);
        taken += same.len();
    }
    groups
}

fn level(group: &[usize], input: &Cells, output: &[f64], grid: bool) -> Level {
    let count = group.len() as f64;
    let mean = group.iter().map(|&row| output[row]).sum::<f64>() / count;
    let squares: f64 = group.iter().map(|&row| (output[row] - mean).powi(2)).sum();
    let half = (group.len() > 1 && !grid).then(|| {
        let t = StudentsT::new(0.0, 1.0, count - 1.0).expect("a positive count");
        t.inverse_cdf(0.975) * (squares / (count - 1.0) / count).sqrt()
    });
    let [first, last] = [group[0], group[group.len() - 1]];
    let (word, [from, to, centre]) = match input {
        Cells::Words(words) => (Some(words[first].clone()), [f64::NAN; 3]),
        Cells::Numbers(values) => {
            let (from, to) = (values[first], values[last]);
            let sum: f64 = group.iter().map(|&row| values[row] - from).sum();
            (None, [from, to, from + sum / count])
        }
    };
    Level {
        word,
        from,
        to,
        centre,
        count: group.len() as u64,
        mean,
        half,
    }
}

fn share(groups: &[Vec<usize>], levels: &[Level], output: &[f64], grid: bool) -> Option<f64> {
    let all = || groups.iter().flatten().map(|&row| output[row]);
    let count = all().count();
    let mean = all().sum::<f64>() / count as f64;
    let total: f64 = all().map(|value| (value - mean).powi(2)).sum();
    let within: f64 = (groups.iter().zip(levels))
        .flat_map(|(group, level)| group.iter().map(|&row| (output[row] - level.mean).powi(2)))
        .sum();
    if total == 0.0 {
        return None;
    }
    let share = if grid {
        1.0 - within / total
    } else if count > groups.len() {
        1.0 - within / (count - groups.len()) as f64 * (count - 1) as f64 / total
    } else {
        return None;
    };
    Some(share.max(0.0))
}
