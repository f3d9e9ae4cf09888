//! Sobol's sensitivity indices, estimated from the blocks of [`Saltelli`](super::Saltelli).

use super::hash::hash;

/// A number estimated from a sample, with its 95 % confidence interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Lower end of the interval.
    pub from: f64,
    /// Upper end of the interval.
    pub to: f64,
}

impl Estimate {
    /// A number without an interval, where one would have no meaning.
    pub fn certain(value: f64) -> Self {
        Estimate {
            value,
            from: value,
            to: value,
        }
    }
}

/// How much of an output's variance comes from one input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Indices {
    /// First order: the share that would go if this input alone were known.
    pub first: Estimate,
    /// Total: the share that would stay if all inputs but this were known.
    pub total: Estimate,
}

/// Fewest blocks that indices are estimated from: an assumption; with fewer, resampling says
/// nothing.
pub const FEWEST_BLOCKS: usize = 16;

/// Samples drawn anew for an interval.
const RESAMPLES: u64 = 1000;

/// Most groups that are drawn from; neighbouring blocks share one where there are more, which
/// bounds the time and leaves the intervals what they are.
const MOST_GROUPS: usize = 4096;

/// The indices of each input from whole blocks of outputs, in the order of
/// [`Saltelli`](super::Saltelli); none if blocks are fewer than [`FEWEST_BLOCKS`] or nothing
/// varies by more than rounding: a thousand-millionth of the largest value.
///
/// ```text
/// Si = ⟨f(B) (f(ABi) − f(A))⟩ / V      Ti = ⟨(f(A) − f(ABi))²⟩ / 2V
/// ```
///
/// `f` is measured from its mean over A and B, `V` is its variance over both. Estimates may lie a
/// little outside 0 to 1. Intervals: percentile bootstrap, blocks drawn with replacement by the
/// seed. That takes points as independent; those of Sobol's sequence are more even, so that
/// intervals are rather too wide.
///
/// * `blocks`: `k + 2` values of each block, one block after another
/// * `inputs`: `k`
///
/// Source: Saltelli et al., Comput. Phys. Commun. 181 (2010) 259–270, table 2, (b) for the first
/// order and (f), Jansen's, for the total; bootstrap after Archer, Saltelli and Sobol, J. Stat.
/// Comput. Simul. 58 (1997) 99–120, from memory.
///
/// # Panics
/// When the values are not whole blocks.
pub fn indices(blocks: &[f64], inputs: usize, seed: u64) -> Option<Vec<Indices>> {
    let size = inputs + 2;
    assert!(blocks.len().is_multiple_of(size), "only whole blocks");
    let count = blocks.len() / size;
    if count < FEWEST_BLOCKS {
        return None;
    }
    let mean = blocks
        .chunks(size)
        .map(|block| block[0] + block[size - 1])
        .sum::<f64>()
        / (2 * count) as f64;
    let largest = blocks
        .iter()
        .fold(0.0, |most: f64, value| most.max(value.abs()));
    let group = count.div_ceil(MOST_GROUPS);
    let groups: Vec<Vec<f64>> = blocks
        .chunks(size * group)
        .map(|group| {
            let mut sums = vec![0.0; 3 + 3 * inputs];
            for block in group.chunks(size) {
                add(&mut sums, block, mean);
            }
            sums
        })
        .collect();

    let total = |chosen: &mut dyn Iterator<Item = usize>, deviation: f64| {
        let mut sums = vec![0.0; 3 + 3 * inputs];
        for one in chosen {
            for (sum, term) in sums.iter_mut().zip(&groups[one]) {
                *sum += term;
            }
        }
        estimates(&sums, deviation)
    };
    let values = total(&mut (0..groups.len()), 1e-9 * largest)?;
    let drawn = |resample: u64| {
        let any = |draw| {
            let word = u128::from(hash(&[seed, resample, draw]));
            ((word * groups.len() as u128) >> 64) as usize
        };
        total(&mut (0..groups.len() as u64).map(any), 0.0)
    };
    let resampled: Vec<Vec<f64>> = (0..RESAMPLES).filter_map(drawn).collect();
    let estimate = |at: usize| {
        let mut sorted: Vec<f64> = resampled.iter().map(|values| values[at]).collect();
        sorted.sort_unstable_by(f64::total_cmp);
        let value = values[at];
        let [from, to] = [0.025, 0.975].map(|share| quantile(&sorted, share).unwrap_or(value));
        Estimate { value, from, to }
    };
    let indices = (0..inputs).map(|input| Indices {
        first: estimate(2 * input),
        total: estimate(2 * input + 1),
    });
    Some(indices.collect())
}

/// Adds a block's terms to the sums of which both indices are made: number of blocks, sum and
/// sum of squares over A and B, and three terms for each input. All measured from `mean`, so
/// that no digits are lost.
fn add(sums: &mut [f64], block: &[f64], mean: f64) {
    let (a, b) = (block[0] - mean, block[block.len() - 1] - mean);
    sums[0] += 1.0;
    sums[1] += a + b;
    sums[2] += a * a + b * b;
    for (terms, mixed) in sums[3..].chunks_mut(3).zip(&block[1..]) {
        let change = mixed - mean - a;
        terms[0] += b * change;
        terms[1] += change;
        terms[2] += change * change;
    }
}

/// First and total index of each input; none if the standard deviation is not above `deviation`.
fn estimates(sums: &[f64], deviation: f64) -> Option<Vec<f64>> {
    let count = sums[0];
    let mean = sums[1] / (2.0 * count);
    let variance = sums[2] / (2.0 * count) - mean * mean;
    (variance > deviation * deviation).then(|| {
        let of_input = |terms: &[f64]| {
            let first = (terms[0] - mean * terms[1]) / (count * variance);
            let total = terms[2] / (2.0 * count * variance);
            [first, total]
        };
        sums[3..].chunks(3).flat_map(of_input).collect()
    })
}

/// Quantile of sorted values, straight between neighbours; none of none.
pub fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = share * last as f64;
    let below = place as usize;
    let above = (below + 1).min(last);
    Some(sorted[below] + (place - below as f64) * (sorted[above] - sorted[below]))
}
