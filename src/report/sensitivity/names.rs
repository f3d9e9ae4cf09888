//! Names and numbers of quantities that the program knows nothing about.

use crate::sampling::Estimate;
use crate::sensitivity::Level;
use crate::study::unit;

/// A column as readers name it: blanks for underscores, its unit after a comma.
pub(super) fn label(column: &str) -> String {
    let Some(unit) = unit(column) else {
        return column.replace('_', " ");
    };
    let keys = column.split('.').collect::<Vec<_>>();
    let with_unit = keys.iter().rposition(|key| key.ends_with(unit.suffix));
    let keys: Vec<&str> = (keys.iter().enumerate())
        .map(|(at, key)| match Some(at) == with_unit {
            true => key.strip_suffix(unit.suffix).unwrap_or(key),
            false => key,
        })
        .collect();
    format!("{}, {}", keys.join(".").replace('_', " "), unit.shown)
}

/// The end of a name that is too long, marked as cut: of a key path it says most.
pub(super) fn cut(name: &str, room: usize) -> String {
    let letters = name.chars().count();
    if letters <= room {
        return name.to_owned();
    }
    let end: String = name.chars().skip(letters + 1 - room).collect();
    format!("…{end}")
}

/// A number with three significant figures, however small or large.
pub(super) fn figures(value: f64) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let size = value.abs();
    if value != 0.0 && !(1e-3..1e6).contains(&size) {
        return format!("{value:.2e}");
    }
    // As it is after rounding: 9.996 is 10.0.
    let rounded: f64 = format!("{value:.2e}").parse().unwrap_or(value);
    let exponent = if rounded == 0.0 {
        0.0
    } else {
        rounded.abs().log10().floor()
    };
    let decimals = (2 - exponent as i32).max(0) as usize;
    format!("{rounded:.decimals$}")
}

/// Numbers in a text with true minus signs; hyphens in words stay.
pub(super) fn typeset(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let minus = |at: usize| {
        let word_before = at > 0 && letters[at - 1].is_alphanumeric();
        letters[at] == '-' && !word_before && letters.get(at + 1).is_some_and(char::is_ascii_digit)
    };
    let letters = (0..letters.len()).map(|at| if minus(at) { '−' } else { letters[at] });
    letters.collect()
}

/// A share, index or correlation with two decimals.
pub(super) fn share(value: f64) -> String {
    let text = format!("{value:.2}");
    if text == "-0.00" {
        "0.00".to_owned()
    } else {
        text
    }
}

/// With its interval.
pub(super) fn interval(estimate: &Estimate) -> String {
    let [value, from, to] = [estimate.value, estimate.from, estimate.to].map(share);
    format!("{value} ({from} to {to})")
}

/// The values of a level.
pub(super) fn level(level: &Level) -> String {
    match &level.word {
        Some(word) => word.clone(),
        None => figures(level.centre),
    }
}
