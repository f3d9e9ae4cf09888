//! What a finished sweep tells: which inputs matter to each output, and how.
//!
//! ```text
//! finished table -> Analysis: main effects, correlations, Sobol's indices, a surface over two inputs
//! ```
//!
//! Everything is estimated from the table alone, so that pictures and tables can be made anew,
//! with another choice, long after the sweep. Knows no file format and no picture.

mod effect;
mod surface;

use std::collections::HashMap;

pub use effect::{Effect, Level, effect};
pub use surface::{Surface, SurfaceKind, contour_surface};

use crate::input::nearest;
use crate::sampling::{FEWEST_BLOCKS, Indices, indices, order, pearson, ranks, spearman};
use crate::study::{Cells, Finished, Manifest};

/// What a table tells.
#[derive(Debug, Clone)]
pub struct Analysis {
    /// What the table belongs to.
    pub about: Manifest,
    /// Rows of the table.
    pub rows: u64,
    /// Samples that constraints left out.
    pub skipped: u64,
    /// Samples without a result: the most frequent reason first.
    pub failures: Vec<Failure>,
    /// Samples behind effects and correlations: all rows that did not fail, or those of A and B
    /// where samples come in blocks.
    pub used: u64,
    /// What was varied.
    pub inputs: Vec<Input>,
    /// What came of it.
    pub outputs: Vec<Output>,
    /// Outputs that are words, of which nothing is reckoned.
    pub words: Vec<String>,
    /// What to keep in mind, as sentences.
    pub cautions: Vec<String>,
}

/// Samples that failed for one reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// As the table gives it.
    pub reason: String,
    /// How many.
    pub count: u64,
    /// Number of the first.
    pub first_sample: u64,
}

/// An input and its values in the samples used.
#[derive(Debug, Clone)]
pub struct Input {
    /// Name of its column.
    pub name: String,
    /// Values.
    pub cells: Cells,
    /// Indices of its values in rising order; empty for words.
    order: Vec<u32>,
}

/// An output.
#[derive(Debug, Clone)]
pub struct Output {
    /// Name of its column.
    pub name: String,
    /// Values in the samples used; not a number where there is none.
    pub values: Vec<f64>,
    /// Their mean, standard deviation and extremes; none if there are no values.
    pub summary: Option<Summary>,
    /// What each input does to it, in the order of inputs; empty if it does not vary.
    pub effects: Vec<Effect>,
    /// Sobol's indices, where samples come in blocks.
    pub indices: Option<BlockIndices>,
    /// The inputs, the one that matters most first: by total index, else by the share of variance
    /// that its main effect explains.
    pub ranking: Vec<usize>,
    /// The output over two inputs, where two have values that can be ordered.
    pub surface: Option<Surface>,
}

/// Values at a glance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// How many there are.
    pub count: u64,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation.
    pub deviation: f64,
    /// The smallest.
    pub least: f64,
    /// The largest.
    pub most: f64,
}

/// Indices and the blocks behind them.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockIndices {
    /// Blocks of the plan.
    pub blocks: u64,
    /// Blocks with a value in every sample.
    pub whole: u64,
    /// Of each input; none with fewer than [`FEWEST_BLOCKS`] whole blocks or if nothing varies.
    pub of_inputs: Option<Vec<Indices>>,
}

/// What is looked at, where not everything.
#[derive(Debug, Clone, Default)]
pub struct Choice {
    /// Names of outputs; all if empty.
    pub outputs: Vec<String>,
    /// Names of the two inputs of the surface: across and up.
    pub contour: Option<[String; 2]>,
}

/// Share of blocks lost above which a caution is given: an assumption.
const MANY_LOST: f64 = 0.05;

/// Looks at a table.
///
/// # Errors
/// A name that is no column, or no rows at all.
pub fn analyse(table: Finished, choice: &Choice) -> Result<Analysis, String> {
    let Finished { manifest, columns } = table;
    let mut columns = columns.into_iter().zip(&manifest.columns);
    let Some((Cells::Numbers(samples), _)) = columns.next() else {
        return Err("has no numbers of samples".to_owned());
    };
    if samples.is_empty() {
        return Err("has no rows: every sample was left out by a constraint".to_owned());
    }
    let Some((Cells::Words(failed), _)) = columns.next_back() else {
        return Err("has no column of failures".to_owned());
    };
    let failures = failures(&samples, &failed);
    let (mut given_inputs, mut given_outputs, mut words) = (Vec::new(), Vec::new(), Vec::new());
    for (index, (cells, column)) in columns.enumerate() {
        match cells {
            cells if index < manifest.inputs => given_inputs.push((column.name.clone(), cells)),
            Cells::Numbers(values) => given_outputs.push((column.name.clone(), values)),
            Cells::Words(_) => words.push(column.name.clone()),
        }
    }
    choose(&mut given_outputs, &mut words, &choice.outputs)?;
    let contour = chosen_inputs(&given_inputs, choice)?;

    let stands_alone = |sample: f64| match manifest.block {
        Some(block) => [0, block - 1].contains(&(sample as u64 % block)),
        None => true,
    };
    let used: Vec<usize> = (0..samples.len())
        .filter(|&row| failed[row].is_empty() && stands_alone(samples[row]))
        .collect();
    let inputs: Vec<Input> = (given_inputs.into_iter())
        .map(|(name, cells)| Input::of(name, &cells, &used))
        .collect();
    let grid = manifest.seed.is_none();
    let seed = manifest.seed.unwrap_or(0);
    let outputs: Vec<Output> = (given_outputs.into_iter())
        .map(|(name, all)| {
            let indices = manifest.block.map(|block| {
                let blocks = manifest.samples / block;
                block_indices(&samples, &all, blocks, block, seed)
            });
            let values = used.iter().map(|&row| all[row]).collect();
            Output::of(name, values, &inputs, indices, grid, contour)
        })
        .collect();
    let mut analysis = Analysis {
        rows: samples.len() as u64,
        // Only the whole table is looked at, so every sample without a row was left out.
        skipped: manifest.samples.saturating_sub(samples.len() as u64),
        failures,
        used: used.len() as u64,
        inputs,
        outputs,
        words,
        cautions: Vec::new(),
        about: manifest,
    };
    analysis.cautions = cautions(&analysis);
    Ok(analysis)
}

impl Analysis {
    /// Samples that failed.
    pub fn failed(&self) -> u64 {
        self.failures.iter().map(|failure| failure.count).sum()
    }
}

impl Input {
    fn of(name: String, cells: &Cells, used: &[usize]) -> Self {
        let cells = match cells {
            Cells::Numbers(all) => Cells::Numbers(used.iter().map(|&row| all[row]).collect()),
            Cells::Words(all) => Cells::Words(used.iter().map(|&row| all[row].clone()).collect()),
        };
        let order = match &cells {
            Cells::Numbers(values) => order(values),
            Cells::Words(_) => Vec::new(),
        };
        Input { name, cells, order }
    }

    /// Its values, if they are numbers.
    pub fn numbers(&self) -> Option<&[f64]> {
        match &self.cells {
            Cells::Numbers(values) => Some(values),
            Cells::Words(_) => None,
        }
    }
}

impl Output {
    fn of(
        name: String,
        values: Vec<f64>,
        inputs: &[Input],
        indices: Option<BlockIndices>,
        grid: bool,
        contour: Option<[usize; 2]>,
    ) -> Self {
        let summary = summary(&values);
        let varies = summary.is_some_and(|all| {
            let largest = all.most.abs().max(all.least.abs());
            all.deviation > 1e-9 * largest
        });
        let mut output = Output {
            name,
            summary,
            effects: Vec::new(),
            indices,
            ranking: Vec::new(),
            surface: None,
            values,
        };
        if !varies {
            return output;
        }
        let of_output = ranks(&order(&output.values), &output.values, |_| true);
        output.effects = (inputs.iter())
            .map(|input| {
                let mut found = effect(&input.cells, &input.order, &output.values, grid);
                if let Cells::Numbers(x) = &input.cells {
                    let there = |row: usize| output.values[row].is_finite();
                    let of_input = ranks(&input.order, x, there);
                    found.pearson = pearson(x, &output.values);
                    found.spearman = spearman(&of_input, &of_output);
                }
                found
            })
            .collect();
        output.ranking = output.ranked();
        output.surface = output.over_two(inputs, contour);
        output
    }

    fn ranked(&self) -> Vec<usize> {
        let indices = self.indices.as_ref().and_then(|all| all.of_inputs.as_ref());
        let weight = |input: usize| match indices {
            Some(indices) => indices[input].total.value,
            None => self.effects[input].share.unwrap_or(-1.0),
        };
        let mut ranking: Vec<usize> = (0..self.effects.len()).collect();
        ranking.sort_by(|&a, &b| weight(b).total_cmp(&weight(a)));
        ranking
    }

    fn over_two(&self, inputs: &[Input], contour: Option<[usize; 2]>) -> Option<Surface> {
        let [x, y] = contour.or_else(|| {
            let ordered = |input: &&usize| {
                inputs[**input].numbers().is_some() && self.effects[**input].levels.len() > 1
            };
            let mut leading = self.ranking.iter().filter(ordered).copied();
            Some([leading.next()?, leading.next()?])
        })?;
        let [across, up] = [x, y].map(|input| inputs[input].numbers());
        let levels = [x, y].map(|input| self.effects[input].levels.as_slice());
        contour_surface([x, y], [across?, up?], levels, &self.values)
    }
}

/// Leaves the outputs that were chosen.
fn choose(
    outputs: &mut Vec<(String, Vec<f64>)>,
    words: &mut Vec<String>,
    chosen: &[String],
) -> Result<(), String> {
    if chosen.is_empty() {
        return Ok(());
    }
    for name in chosen {
        if words.contains(name) {
            return Err(format!(
                "--output {name}: is words, of which nothing is reckoned"
            ));
        }
        let known: Vec<&str> = outputs.iter().map(|(name, _)| name.as_str()).collect();
        if !known.contains(&name.as_str()) {
            return Err(unknown("--output", name, &known));
        }
    }
    outputs.retain(|(name, _)| chosen.contains(name));
    words.clear();
    Ok(())
}

fn chosen_inputs(
    inputs: &[(String, Cells)],
    choice: &Choice,
) -> Result<Option<[usize; 2]>, String> {
    let Some([x, y]) = &choice.contour else {
        return Ok(None);
    };
    let find = |name: &String| {
        let found = inputs.iter().position(|(known, _)| known == name);
        let known: Vec<&str> = inputs.iter().map(|(name, _)| name.as_str()).collect();
        match found {
            None => Err(unknown("--contour", name, &known)),
            Some(at) if matches!(inputs[at].1, Cells::Words(_)) => {
                Err(format!("--contour {name}: is words, which have no order"))
            }
            Some(at) => Ok(at),
        }
    };
    let [x, y] = [find(x)?, find(y)?];
    match x == y {
        true => Err("--contour: needs two different inputs".to_owned()),
        false => Ok(Some([x, y])),
    }
}

fn unknown(flag: &str, name: &str, known: &[&str]) -> String {
    let meant = match nearest(name, known) {
        Some(nearest) => format!(": did you mean {nearest}?"),
        None => String::new(),
    };
    format!(
        "{flag} {name}: is no such column{meant} (there are: {})",
        known.join(", ")
    )
}

fn failures(samples: &[f64], failed: &[String]) -> Vec<Failure> {
    let mut found: Vec<Failure> = Vec::new();
    let mut places: HashMap<&str, usize> = HashMap::new();
    for (sample, reason) in samples
        .iter()
        .zip(failed)
        .filter(|(_, reason)| !reason.is_empty())
    {
        let place = *places.entry(reason).or_insert_with(|| {
            found.push(Failure {
                reason: reason.clone(),
                count: 0,
                first_sample: *sample as u64,
            });
            found.len() - 1
        });
        found[place].count += 1;
    }
    found.sort_by_key(|failure| std::cmp::Reverse(failure.count));
    found
}

fn summary(values: &[f64]) -> Option<Summary> {
    let there = || values.iter().copied().filter(|value| value.is_finite());
    let count = there().count();
    let mean = there().sum::<f64>() / count as f64;
    let squares: f64 = there().map(|value| (value - mean).powi(2)).sum();
    (count > 0).then(|| Summary {
        count: count as u64,
        mean,
        deviation: (squares / (count.max(2) - 1) as f64).sqrt(),
        least: there().fold(f64::INFINITY, f64::min),
        most: there().fold(f64::NEG_INFINITY, f64::max),
    })
}

/// The indices from the blocks that have a value in every sample; the others are dropped.
fn block_indices(
    samples: &[f64],
    values: &[f64],
    blocks: u64,
    block: u64,
    seed: u64,
) -> BlockIndices {
    let mut whole = Vec::with_capacity(values.len());
    let mut at = 0;
    while at < samples.len() {
        let number = samples[at] as u64 / block;
        let rows = samples[at..].iter();
        let rows = rows
            .take_while(|&&sample| sample as u64 / block == number)
            .count();
        let one = &values[at..at + rows];
        if rows as u64 == block && one.iter().all(|value| value.is_finite()) {
            whole.extend_from_slice(one);
        }
        at += rows;
    }
    BlockIndices {
        blocks,
        whole: whole.len() as u64 / block,
        of_inputs: indices(&whole, block as usize - 2, seed),
    }
}

fn cautions(analysis: &Analysis) -> Vec<String> {
    let about = &analysis.about;
    let mut cautions = Vec::new();
    let failed = analysis.failed();
    if failed > 0 {
        cautions.push(format!(
            "{failed} of {} rows failed and are left out: what is said holds for the others only.",
            analysis.rows
        ));
    }
    if analysis.skipped > 0 {
        cautions.push(format!(
            "{} of {} samples were left out as they cannot be ({}): inputs depend on one another \
             there, and an effect may be another input's.",
            analysis.skipped,
            about.samples,
            about.constraints.join("; ")
        ));
    }
    if !about.correlations.is_empty() {
        cautions.push(format!(
            "Inputs go together ({}): an effect or correlation may be another input's.",
            about.correlations.join("; ")
        ));
    }
    for output in &analysis.outputs {
        let name = &output.name;
        let without = analysis.used - output.summary.map_or(0, |all| all.count);
        if without > 0 && output.summary.is_some() {
            cautions.push(format!(
                "{name}: {without} of {} samples have no value and are left out.",
                analysis.used
            ));
        }
        if output.summary.is_none() {
            cautions.push(format!("{name}: has no value in any sample."));
            continue;
        }
        if output.effects.is_empty() {
            cautions.push(format!("{name}: does not vary, so nothing can be said."));
            continue;
        }
        let Some(BlockIndices {
            blocks,
            whole,
            of_inputs,
        }) = &output.indices
        else {
            continue;
        };
        let lost = blocks - whole;
        if of_inputs.is_none() {
            cautions.push(format!(
                "{name}: no indices, as only {whole} of {blocks} blocks are whole; {FEWEST_BLOCKS} \
                 are needed."
            ));
        } else if lost > 0 {
            let mut sentence = format!(
                "{name}: {lost} of {blocks} blocks have a sample without a value and were dropped \
                 whole."
            );
            if lost as f64 > MANY_LOST * *blocks as f64 {
                sentence += " That is so many that the indices hold for the rest of the inputs' \
                             range only: narrow the ranges to where samples have results.";
            }
            cautions.push(sentence);
        }
    }
    cautions
}
