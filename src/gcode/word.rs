//! Words: a letter and its number.

use super::fault::{Expected, Fault, Parsed, fault};
use super::number::{blanks, number, plain};
use nom::Parser;
use nom::bytes::complete::{tag, take_till};
use nom::sequence::delimited;

/// A letter and its number, such as `X12.5`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Word {
    /// Upper-case letter.
    pub letter: u8,
    /// The number, or `None` when the letter stands alone (`G28 X`) or before a quoted text.
    pub value: Option<f64>,
    /// First byte in the line.
    pub start: u32,
    /// One past the last byte in the line.
    pub end: u32,
}

/// A letter in upper case and its number, if one follows.
#[inline]
pub(super) fn word(input: &[u8]) -> Parsed<'_, (u8, Option<f64>)> {
    match input.split_first() {
        Some((letter, rest)) if letter.is_ascii_alphabetic() => {
            let letter = letter.to_ascii_uppercase();
            match plain(rest) {
                Some((rest, value)) => Ok((rest, (letter, Some(value)))),
                None => odd_word(letter, rest),
            }
        }
        _ => fault(input, Expected::Word),
    }
}

/// The word of a letter that stands alone, before a quoted text, or before a number written in an unusual way.
#[cold]
fn odd_word(letter: u8, rest: &[u8]) -> Parsed<'_, (u8, Option<f64>)> {
    let (rest, value) = number(rest)?;
    if value.is_some() || !next_is_quote(rest) {
        return Ok((rest, (letter, value)));
    }
    let (rest, _) = quoted(rest)?;
    Ok((rest, (letter, None)))
}

#[inline]
fn next_is_quote(input: &[u8]) -> bool {
    input.iter().find(|b| !super::number::is_blank(**b)) == Some(&b'"')
}

/// A text in double quotes, as some dialects give to a letter: `P"tray"`.
fn quoted(input: &[u8]) -> Parsed<'_, &[u8]> {
    let (input, _) = blanks(input)?;
    delimited(tag(&b"\""[..]), take_till(|b| b == b'"'), tag(&b"\""[..]))
        .parse(input)
        .map_err(|error: nom::Err<Fault<'_>>| error.map(|f| Fault { at: f.at, expected: Expected::Quote }))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn letters_are_read_in_any_case() {
        // NISTIR 6556 section 3.3: case means nothing outside comments.
        assert_eq!(word(b"x1").unwrap(), word(b"X1").unwrap());
    }

    #[test]
    fn a_letter_may_stand_alone_or_before_a_text() {
        assert_eq!(word(b"X").unwrap(), (&b""[..], (b'X', None)));
        assert_eq!(word(b"P \"a Y1\" Z2").unwrap(), (&b" Z2"[..], (b'P', None)));
        assert!(word(b"P\"never closed").is_err());
        assert!(word(b"7").is_err());
    }
}
