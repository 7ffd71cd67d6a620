//! Comments: `( )` as published (NISTIR 6556 section 3.3.4) and `;` to the end of the line, the open dialect's.

use super::fault::Parsed;
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_till};
use nom::combinator::{opt, rest};
use nom::sequence::{preceded, terminated};

/// A comment's text, without `;` or parentheses.
///
/// A parenthesis that never closes runs to the end of the line: printers skip such a line's rest without
/// complaint, so the words before it still count. [`super::strict`] reports it.
pub(super) fn comment(input: &[u8]) -> Parsed<'_, &[u8]> {
    alt((semicolon, parenthesis)).parse(input)
}

/// The text after `;`. Parentheses in it are plain text.
fn semicolon(input: &[u8]) -> Parsed<'_, &[u8]> {
    preceded(tag(&b";"[..]), rest).parse(input)
}

/// The text from `(` to the first `)`: comments do not nest.
fn parenthesis(input: &[u8]) -> Parsed<'_, &[u8]> {
    preceded(tag(&b"("[..]), terminated(take_till(|b| b == b')'), opt(tag(&b")"[..])))).parse(input)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_parenthesis_ends_at_the_first_that_closes() {
        // NISTIR 6556 section 3.3.4.
        assert_eq!(comment(b"(a(b) X1").unwrap(), (&b" X1"[..], &b"a(b"[..]));
        assert_eq!(comment(b"(a;b)X1").unwrap(), (&b"X1"[..], &b"a;b"[..]));
        assert_eq!(comment(b"(never").unwrap(), (&b""[..], &b"never"[..]));
        assert_eq!(comment(b"()").unwrap(), (&b""[..], &b""[..]));
    }

    #[test]
    fn a_semicolon_takes_the_rest() {
        assert_eq!(comment(b"; outer (wall) *7").unwrap(), (&b""[..], &b" outer (wall) *7"[..]));
        assert!(comment(b"X1").is_err());
    }
}
