//! Random numbers computed from a few whole numbers instead of drawn in turn.

/// A well-mixed word of a seed and what it is drawn for.
///
/// Source: the mixing function of SplitMix64 (Steele, Lea and Flood 2014, from memory), applied
/// after each word.
pub(super) fn hash(words: &[u64]) -> u64 {
    const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;
    words.iter().fold(GOLDEN, |state, &word| {
        let mut mixed = (state ^ word).wrapping_add(GOLDEN);
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    })
}

/// The same as a number strictly between 0 and 1, in the middle of one of `2^bits` cells; at
/// most 52 bits, so that neither end is rounded to.
pub(super) fn uniform(words: &[u64], bits: u32) -> f64 {
    let cell = hash(words) >> (64 - bits);
    (cell as f64 + 0.5) / (1_u64 << bits) as f64
}

/// Where a keyed permutation of `0..count` sends an index.
///
/// A Feistel network over the next even power of two, walked on until it lands inside: a
/// bijection without a table.
///
/// * `count`: at most 2³²; `index`: less than it
pub(super) fn permuted(index: u64, count: u64, key: &[u64; 2]) -> u64 {
    let half = (64 - count.saturating_sub(1).leading_zeros())
        .div_ceil(2)
        .max(1);
    let mask = (1_u64 << half) - 1;
    let mut at = index;
    loop {
        let (mut left, mut right) = (at >> half, at & mask);
        for round in 0..6 {
            let mixed = hash(&[key[0], key[1], round, right]) & mask;
            (left, right) = (right, left ^ mixed);
        }
        at = left << half | right;
        if at < count {
            return at;
        }
    }
}
