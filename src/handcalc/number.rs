//! Numbers as a person writes them: four significant figures.

/// A number rounded to the four significant figures that [`four_figures`] prints.
pub(super) fn rounded(value: f64) -> f64 {
    format!("{value:.3e}")
        .parse()
        .expect("a printed number can be read")
}

/// A number with four significant figures: plain from 0.001 to 999 900, with a power of ten beyond.
pub fn four_figures(value: f64) -> String {
    let value = rounded(value);
    if value == 0.0 {
        return "0".to_owned();
    }
    let exponent = value.abs().log10().floor() as i32;
    if (-3..6).contains(&exponent) {
        return format!("{value:.*}", (3 - exponent).max(0) as usize);
    }
    let printed = format!("{value:.3e}");
    let (digits, power) = printed.split_once('e').expect("printed with an exponent");
    format!("{digits}×10{}", superscript(power))
}

/// The same without zeros at its end, for what is given rather than worked out.
pub(super) fn plain(value: f64) -> String {
    let number = four_figures(value);
    let (digits, power) = match number.find('×') {
        Some(place) => number.split_at(place),
        None => (number.as_str(), ""),
    };
    match digits.contains('.') {
        true => {
            let digits = digits.trim_end_matches('0').trim_end_matches('.');
            format!("{digits}{power}")
        }
        false => number,
    }
}

/// A whole number as an exponent: `-7` becomes `⁻⁷`.
pub(super) fn superscript(number: &str) -> String {
    let raised = |c: char| match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '0' | '4'..='9' => char::from_u32('⁰' as u32 + c as u32 - '0' as u32)
            .expect("superscript digits follow one another"),
        other => other,
    };
    number.chars().map(raised).collect()
}

#[cfg(test)]
mod tests {
    use super::{four_figures, plain};

    #[test]
    fn four_figures_and_a_power_of_ten_where_zeros_would_be_many() {
        let printed = [
            (0.0, "0"),
            (3.0, "3.000"),
            (99.996, "100.0"),
            (-0.001_234_5, "-0.001234"),
            (0.000_12, "1.200×10⁻⁴"),
            (123_456.0, "123500"),
            (27_341_234.0, "2.734×10⁷"),
        ];
        for (value, expected) in printed {
            assert_eq!(four_figures(value), expected, "{value}");
        }
        assert_eq!(plain(3.3), "3.3");
        assert_eq!(plain(200.0), "200");
        assert_eq!(plain(1e7), "1×10⁷");
    }
}
