//! Numbers as G-code writes them.

use crate::units::System;

/// Millimetres in an inch (exact, international yard and pound agreement 1959).
const MM_PER_INCH: f64 = 25.4;
/// Errors below this are none, in whatever unit the word has.
const NO_ERROR: f64 = 1e-9;

/// The shortest decimal that is `value` again when read, to within a millionth of a micrometre.
pub(super) fn exact(value: f64) -> String {
    (0..10)
        .map(|decimals| format!("{value:.decimals$}"))
        .find(|text| text.parse::<f64>().is_ok_and(|read| (read - value).abs() <= NO_ERROR))
        .map_or_else(|| trimmed(&format!("{value:.9}")), |text| trimmed(&text))
}

/// `value` with at most this many decimals.
pub(super) fn rounded(value: f64, decimals: usize) -> String {
    trimmed(&format!("{value:.decimals$}"))
}

/// A small length for people, to a hundredth of a millimetre or a thousandth of an inch.
pub(super) fn small_length(mm: f64, units: System) -> String {
    match units {
        System::Metric => format!("{mm:.2} mm"),
        System::Inch => format!("{:.3} in", mm / MM_PER_INCH),
    }
}

/// Without zeros after the last digit that counts, and without a minus before nothing.
fn trimmed(text: &str) -> String {
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_short_and_right() {
        assert_eq!(exact(10.123), "10.123");
        assert_eq!(exact(0.1 + 0.2), "0.3");
        assert_eq!(exact(-0.0), "0");
        assert_eq!(exact(1500.0), "1500");
        assert_eq!(exact(25.4 / 3.0), "8.466666667");
        assert_eq!(rounded(12.345_678, 3), "12.346");
        assert_eq!(rounded(-0.000_01, 3), "0");
        assert_eq!(rounded(40.0, 0), "40");
        assert_eq!(small_length(0.8, System::Metric), "0.80 mm");
        assert_eq!(small_length(0.8, System::Inch), "0.031 in");
    }
}
