//! Numbers: an optional sign, digits, at most one point, no exponent.
//!
//! The published rule is NISTIR 6556 section 3.3.2.1. `E` is the extruder axis, so an exponent could not be
//! told from a word; and white space means nothing even between digits (section 3.3).

use super::fault::{Expected, Parsed, fault};
use nom::bytes::complete::take_while;

/// Longest number that is read, in bytes without blanks.
const LONGEST: usize = 60;
/// Largest magnitude that is read: beyond any machine, yet its square and cube stay finite.
const LARGEST: f64 = 1e12;
/// Most digits that are read the short way: as many as are exact in an f64.
const PLAIN_DIGITS: usize = 15;
/// Integers up to here are exact in an f64.
const EXACT: u64 = 1 << 53;
/// Powers of ten that are exact in an f64, as far as they are needed beside a 19-digit mantissa.
const POWERS: [f64; 20] =
    [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19];

/// A blank: white space within a line.
#[inline]
pub(super) const fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t')
}

/// Blanks, if any.
#[inline]
pub(super) fn blanks(input: &[u8]) -> Parsed<'_, &[u8]> {
    // Most words follow one space or none; asking the first byte first spares the general search.
    match input.first() {
        Some(&b) if is_blank(b) => take_while(is_blank)(input),
        _ => Ok((input, &[])),
    }
}

/// What the digits of a number say, before they become one.
#[derive(Default)]
struct Digits {
    negative: bool,
    mantissa: u64,
    count: usize,
    after_point: usize,
    point: bool,
    /// Bytes up to the last digit or point; blanks after it belong to nobody.
    end: usize,
}

/// A number as nearly all are written: no blanks in it, at most 15 digits (so that it is exact in an f64). `None` means
/// that it must be looked at more closely, not that there is none.
#[inline]
pub(super) fn plain(input: &[u8]) -> Option<(&[u8], f64)> {
    let (unsigned, negative) = match input.split_first()? {
        (b'-', rest) => (rest, true),
        _ => (input, false),
    };
    let (whole, rest) = run(unsigned, 0);
    let before = unsigned.len().wrapping_sub(rest.len());
    let (mantissa, rest, after) = match rest.split_first() {
        Some((b'.', fraction)) => {
            let (mantissa, rest) = run(fraction, whole);
            (mantissa, rest, fraction.len().wrapping_sub(rest.len()))
        }
        _ => (whole, rest, 0),
    };
    let ends = match rest {
        [] => true,
        // A blank may stand between digits, and before the sign or point of a wrong number.
        [b' ', next, ..] => next.is_ascii_alphabetic() || *next == b';',
        [next, ..] => next.is_ascii_alphabetic(),
    };
    let count = before.wrapping_add(after);
    if !ends || count == 0 || count > PLAIN_DIGITS || before > 12 {
        return None;
    }
    let value = mantissa as f64 / POWERS.get(after)?;
    Some((rest, if negative { -value } else { value }))
}

/// Digits at the start of `input`, put behind those of `mantissa`, and what follows them.
#[inline]
fn run(input: &[u8], mut mantissa: u64) -> (u64, &[u8]) {
    let mut rest = input;
    while let Some((byte, after)) = rest.split_first() {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
        rest = after;
    }
    (mantissa, rest)
}

/// A number however it is written, or `None` (and nothing taken) where none begins.
pub(super) fn number(input: &[u8]) -> Parsed<'_, Option<f64>> {
    let (signed, _) = blanks(input)?;
    let (unsigned, negative) = match signed.split_first() {
        Some((b'-', rest)) => (rest, true),
        Some((b'+', rest)) => (rest, false),
        Some((b'0'..=b'9' | b'.', _)) => (signed, false),
        _ => return Ok((input, None)),
    };
    let digits = scan(unsigned, negative)?;
    let (taken, rest) = unsigned.split_at(digits.end.min(unsigned.len()));
    match value(&digits, taken) {
        Some(value) if value.abs() <= LARGEST => Ok((rest, Some(value))),
        _ => fault(signed, Expected::SaneNumber),
    }
}

#[inline]
fn scan(input: &[u8], negative: bool) -> Result<Digits, nom::Err<super::fault::Fault<'_>>> {
    let mut digits = Digits { negative, ..Digits::default() };
    for (at, &byte) in input.iter().enumerate() {
        match byte {
            b'0'..=b'9' => {
                if digits.count < 19 {
                    digits.mantissa = digits.mantissa.wrapping_mul(10).wrapping_add(u64::from(byte & 0x0f));
                }
                digits.count = digits.count.saturating_add(1);
                digits.after_point = digits.after_point.saturating_add(usize::from(digits.point));
                digits.end = at.saturating_add(1);
            }
            b'.' if !digits.point => {
                digits.point = true;
                digits.end = at.saturating_add(1);
            }
            b'.' | b'+' | b'-' => return Err(wrong(input, at, Expected::OnePoint)),
            _ if is_blank(byte) => {}
            _ => break,
        }
    }
    if digits.count == 0 { Err(wrong(input, digits.end, Expected::Digit)) } else { Ok(digits) }
}

fn wrong(input: &[u8], at: usize, expected: Expected) -> nom::Err<super::fault::Fault<'_>> {
    nom::Err::Error(super::fault::Fault { at: input.get(at..).unwrap_or_default(), expected })
}

/// The value of the digits in `taken`; correctly rounded.
///
/// A mantissa and a power of ten that are both exact give the right result with one division, which IEEE 754
/// rounds correctly (Clinger, "How to read floating point numbers accurately", 1990). The rest is rare.
#[inline]
fn value(digits: &Digits, taken: &[u8]) -> Option<f64> {
    let magnitude = match POWERS.get(digits.after_point) {
        Some(power) if digits.count <= 19 && digits.mantissa <= EXACT => digits.mantissa as f64 / power,
        _ => long_value(taken)?,
    };
    Some(if digits.negative { -magnitude } else { magnitude })
}

#[cold]
fn long_value(taken: &[u8]) -> Option<f64> {
    let mut text = [0u8; LONGEST];
    let mut length = 0;
    for &byte in taken.iter().filter(|&&b| !is_blank(b)) {
        *text.get_mut(length)? = byte;
        length = length.saturating_add(1);
    }
    fast_float2::parse::<f64, _>(text.get(..length)?).ok().filter(|v| v.is_finite())
}

/// The digits of a line number, blanks between them ignored.
pub(super) fn whole(input: &[u8]) -> Parsed<'_, u64> {
    let (first, _) = blanks(input)?;
    let mut value = 0u64;
    let mut count = 0u32;
    let mut end = 0;
    for (at, &byte) in first.iter().enumerate() {
        match byte {
            b'0'..=b'9' => {
                value = value.saturating_mul(10).saturating_add(u64::from(byte & 0x0f));
                count = count.saturating_add(1);
                end = at.saturating_add(1);
            }
            _ if is_blank(byte) => {}
            b'.' | b'+' | b'-' => return fault(first.get(at..).unwrap_or_default(), Expected::LineNumber),
            _ => break,
        }
    }
    if count == 0 || count > 18 {
        return fault(first, Expected::LineNumber);
    }
    Ok((first.get(end..).unwrap_or_default(), value))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Option<f64> {
        number(text.as_bytes()).ok().and_then(|(rest, value)| if rest.is_empty() { value } else { None })
    }

    #[test]
    fn sign_point_and_digits_are_each_optional_but_a_digit_must_stand() {
        // NISTIR 6556 section 3.3.2.1.
        assert_eq!(read(".5"), Some(0.5));
        assert_eq!(read("5."), Some(5.0));
        assert_eq!(read("-.5"), Some(-0.5));
        assert_eq!(read("+5"), Some(5.0));
        for bad in [".", "-", "+.", "1.2.3", "--1", "1-2"] {
            assert!(number(bad.as_bytes()).is_err(), "{bad}");
        }
    }

    #[test]
    fn an_exponent_is_not_part_of_a_number() {
        // NISTIR 6556 section 3.3.2.1: no exponent; E is an axis in the printing dialect.
        let (rest, value) = number(b"5E3").unwrap();
        assert_eq!((rest, value), (&b"E3"[..], Some(5.0)));
    }

    #[test]
    fn blanks_between_digits_mean_nothing() {
        // NISTIR 6556 section 3.3.
        assert_eq!(read(" +0. 12 34"), Some(0.1234));
        let (rest, value) = number(b" 7 \tY").unwrap();
        assert_eq!((rest, value), (&b" \tY"[..], Some(7.0)));
    }

    #[test]
    fn absurd_numbers_are_refused() {
        assert!(number(&[b'9'; 61]).is_err());
        assert!(number(b"1000000000001").is_err());
        assert_eq!(read("1000000000000"), Some(1e12));
        // A number the short way must not let pass what the long way refuses.
        assert_eq!(plain(b"1000000000001"), None);
        let long = format!("0.{}", "3".repeat(58));
        assert_eq!(read(&long), Some(0.333_333_333_333_333_3));
    }

    #[test]
    fn zeros_in_front_count_for_nothing() {
        for (text, value) in
            [("00000000000000000001", 1.0), ("0.0000000000000000001", 1e-19), ("-0000000000000000000002.5", -2.5)]
        {
            assert_eq!(read(text), Some(value), "{text}");
        }
    }

    #[test]
    fn line_numbers_have_digits_and_blanks_only() {
        // NISTIR 6556 sections 3.3 and 3.3.1.
        assert_eq!(whole(b" 1 2\t3 G1").unwrap(), (&b" G1"[..], 123));
        assert_eq!(whole(b"999999999999999999").unwrap().1, 999_999_999_999_999_999);
        for bad in ["9999999999999999999", "99999999999999999999", "", "G1", "1.5", "1-5", "+1"] {
            assert!(whole(bad.as_bytes()).is_err(), "{bad}");
        }
    }

    #[test]
    fn where_no_number_begins_nothing_is_taken() {
        assert_eq!(number(b"  Y1").unwrap(), (&b"  Y1"[..], None));
        assert_eq!(number(b"").unwrap(), (&b""[..], None));
    }

    proptest! {
        #[test]
        fn agrees_with_the_standard_library(text in "[+-]?[0-9]{1,12}(\\.[0-9]{0,20})?") {
            let expected: f64 = text.parse().unwrap();
            prop_assert_eq!(read(&text), Some(expected).filter(|v| v.abs() <= LARGEST));
        }

        /// The short way reads what the long way reads, or leaves it to it.
        #[test]
        fn the_short_way_agrees_with_the_long_way(text in "[+-]?[0-9]{0,18}\\.?[0-9]{0,5}[ \t.+;X0-9-]{0,3}[0-9Yy;. ]{0,2}") {
            if let Some((rest, value)) = plain(text.as_bytes()) {
                let (long_rest, long) = number(text.as_bytes()).unwrap();
                prop_assert_eq!(rest, long_rest);
                prop_assert_eq!(Some(value.to_bits()), long.map(f64::to_bits));
            }
        }

        #[test]
        fn usual_numbers_are_read_the_short_way(text in "-?[0-9]{1,4}(\\.[0-9]{1,5})?", after in "( [A-Za-z;])?") {
            let input = format!("{text}{after}");
            let expected: f64 = text.parse().unwrap();
            prop_assert_eq!(plain(input.as_bytes()), Some((after.as_bytes(), expected)));
        }

        #[test]
        fn never_panics(bytes: Vec<u8>) {
            let _ = plain(&bytes);
            let _ = number(&bytes);
            let _ = whole(&bytes);
        }
    }
}
