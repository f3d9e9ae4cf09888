//! Numbers as readers see them.

/// A number with three significant figures and at most three decimals.
///
/// Anything that rounds to nothing at three decimals is `0`; a number that is not finite is the
/// dash that stands for "nothing to say".
pub(super) fn three_figures(value: f64) -> String {
    if !value.is_finite() {
        return NOTHING.to_string();
    }
    if value.abs() < 0.000_5 {
        return "0".to_string();
    }
    let rounded: f64 = format!("{value:.2e}")
        .parse()
        .expect("a finite number printed as 1.23e4 is a number");
    let exponent = rounded.abs().log10().floor() as i32;
    let decimals = (2 - exponent).clamp(0, 3) as usize;
    format!("{rounded:.decimals$}")
}

/// The same without zeros at its end, for sentences and axes.
pub(super) fn plain(value: f64) -> String {
    let number = three_figures(value);
    if number.contains('.') {
        return number
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_string();
    }
    number
}

/// An absent number.
pub(super) const NOTHING: &str = "–";

/// The same for a number that may be absent.
pub(super) fn three_figures_or_dash(value: Option<f64>) -> String {
    value.map_or_else(|| NOTHING.to_string(), three_figures)
}

#[cfg(test)]
mod tests {
    use super::three_figures;

    #[test]
    fn three_significant_figures_and_at_most_three_decimals() {
        let printed = [
            (0.0, "0"),
            (0.000_4, "0"),
            (0.012_34, "0.012"),
            (0.123_4, "0.123"),
            (-1.234_5, "-1.23"),
            (9.996, "10.0"),
            (99.96, "100"),
            (1234.5, "1230"),
            (100_000.0, "100000"),
            (f64::NAN, "–"),
        ];
        for (value, expected) in printed {
            assert_eq!(three_figures(value), expected, "{value}");
        }
    }
}
