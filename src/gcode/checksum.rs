//! Line checksums: `*` and the exclusive or of every byte before it, in decimal.
//!
//! Open community dialect, not part of NISTIR 6556: `N1 G28*18`.

use super::fault::{Expected, Fault, Parsed};
use super::number::is_blank;
use nom::Parser;
use nom::bytes::complete::tag;
use nom::character::complete::u8 as small;
use nom::sequence::preceded;

/// The checksum of the bytes that stand before `*`.
#[must_use]
pub fn checksum_of(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |sum, byte| sum ^ byte)
}

/// `*` and a number from 0 to 255.
pub(super) fn checksum(input: &[u8]) -> Parsed<'_, u8> {
    preceded(tag(&b"*"[..]), small)
        .parse(input)
        .map_err(|error: nom::Err<Fault<'_>>| error.map(|f| Fault { at: f.at, expected: Expected::Checksum }))
}

/// A checksum at the very end of a numbered line whose rest is comment or text: where its `*` stands and what
/// it says. There a `*` may as well be plain text, so only one that is right (or `sure`) counts.
pub(super) fn trailing(body: &[u8], from: usize, sure: bool) -> Option<(usize, u8)> {
    let tail = body.get(from..)?;
    let star = from.saturating_add(memchr::memrchr(b'*', tail)?);
    let (rest, sum) = checksum(body.get(star..)?).ok()?;
    let right = sure || checksum_of(body.get(..star)?) == sum;
    (right && rest.iter().all(|&b| is_blank(b))).then_some((star, sum))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_published_examples_are_right() {
        // Open community dialect: examples of a question page and a forum answer, recomputed.
        for (line, sum) in [("N0 M106", 36), ("N1 G28", 18), ("N2 M107", 39), ("N10 G92 X0 Y0 Z0 A0 B0", 107)] {
            assert_eq!(checksum_of(line.as_bytes()), sum, "{line}");
        }
    }

    #[test]
    fn only_a_byte_is_a_checksum() {
        assert_eq!(checksum(b"*36 ;x").unwrap(), (&b" ;x"[..], 36));
        for bad in [&b"*"[..], b"*256", b"*x", b"*-1"] {
            assert!(checksum(bad).is_err());
        }
    }

    #[test]
    fn a_star_in_a_comment_counts_only_if_right() {
        assert_eq!(trailing(b"N1 G28*18", 0, false), Some((6, 18)));
        assert_eq!(trailing(b"N1 G28*19", 0, false), None);
        assert_eq!(trailing(b"N1 G28*19", 0, true), Some((6, 19)));
        assert_eq!(trailing(b"N1 G28 3*4 mm", 0, true), None);
    }
}
