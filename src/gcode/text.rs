//! Commands that are not made of letters and numbers: text-carrying M codes and longer names.
//!
//! Which codes carry text is the open dialect's custom (common practice, no source): showing a message
//! (M117, M118), naming a file on the card (M23, M28, M30, M32, M33, M928) and the two program stops, which
//! may say why they stop (M0, M1).

use super::fault::{Expected, Parsed, fault};
use super::number::is_blank;
use nom::Parser;
use nom::bytes::complete::{tag_no_case, take_while};
use nom::character::complete::u16;
use nom::sequence::preceded;

/// How the rest of a line belongs to its M code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Carries {
    /// Words, as everywhere.
    Words,
    /// Always text.
    Text,
    /// Words where they read as words with numbers, else text.
    WordsOrText,
}

/// What the M code with this number carries.
#[inline]
pub(super) fn carries(code: f64) -> Carries {
    // Compared as written: 117.0 is 117, and no dialect gives these codes tenths.
    match code {
        0.0 | 1.0 | 30.0 => Carries::WordsOrText,
        23.0 | 28.0 | 32.0 | 33.0 | 117.0 | 118.0 | 928.0 => Carries::Text,
        _ => Carries::Words,
    }
}

/// A text-carrying M code whose digits end at a blank or at the end of the line.
pub(super) fn code(input: &[u8]) -> Parsed<'_, f64> {
    let (rest, code) = preceded(tag_no_case(&b"M"[..]), u16).parse(input)?;
    let ends = rest.first().is_none_or(|&b| is_blank(b));
    if ends && carries(f64::from(code)) != Carries::Words {
        Ok((rest, f64::from(code)))
    } else {
        fault(input, Expected::Word)
    }
}

const fn is_name_byte(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || byte == b'_'
}

/// A longer name: two letters (or a letter and `_`) at the start of the line.
#[inline]
pub(super) fn starts_long_name(input: &[u8]) -> bool {
    matches!(input, [first, second, ..]
        if (first.is_ascii_alphabetic() || *first == b'_') && (second.is_ascii_alphabetic() || *second == b'_'))
}

/// The name at the start of `input`, with a `_` somewhere: how a name such as `T0_PARK` is told from words.
pub(super) fn has_underscore_in_name(input: &[u8]) -> bool {
    name(input).is_ok_and(|(_, name)| name.first().is_some_and(|b| !b.is_ascii_digit()) && name.contains(&b'_'))
}

/// The name of an extended command.
pub(super) fn name(input: &[u8]) -> Parsed<'_, &[u8]> {
    take_while(is_name_byte)(input)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_letters_make_a_name_and_a_letter_with_a_number_does_not() {
        assert!(starts_long_name(b"PARK X1"));
        assert!(starts_long_name(b"_x"));
        assert!(!starts_long_name(b"G1X1"));
        assert!(!starts_long_name(b"X Y"));
        assert!(!starts_long_name(b"G"));
        assert!(has_underscore_in_name(b"T0_PARK X1"));
        assert!(!has_underscore_in_name(b"G1 A_B"));
    }

    #[test]
    fn stops_may_carry_words_or_text() {
        assert_eq!(carries(0.0), Carries::WordsOrText);
        assert_eq!(carries(117.0), Carries::Text);
        assert_eq!(carries(104.0), Carries::Words);
    }
}
