//! Where the grammar gave up on a line, and what it expected there.

use crate::diag::{Diagnostic, Severity};

/// What the grammar wanted where it gave up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Expected {
    /// A letter that starts a word, a comment, a checksum or the end of the line.
    Word,
    /// A digit after a sign or a point.
    Digit,
    /// Digits only, where a second point or a sign stands.
    OnePoint,
    /// A number of sane length and size.
    SaneNumber,
    /// Digits of a line number.
    LineNumber,
    /// A checksum from 0 to 255.
    Checksum,
    /// A comment or the end of the line after a checksum or `%`.
    EndOfLine,
    /// The closing quote of a text.
    Quote,
    /// A line of sane length.
    SaneLine,
}

impl Expected {
    fn words(self) -> (&'static str, &'static str) {
        const CORRECT: &str = "correct the line or take it out; it was left out here";
        match self {
            Self::Word => ("a letter that starts a word, or a comment", CORRECT),
            Self::Digit => ("a digit of the number", CORRECT),
            Self::OnePoint => ("a number with one sign in front and at most one point", CORRECT),
            Self::SaneNumber => (
                "a number of at most 60 characters and below a million million",
                "look whether the file is damaged here",
            ),
            Self::LineNumber => ("a line number without sign or point", "number the line with digits only"),
            Self::Checksum => ("a checksum from 0 to 255", "write the checksum anew or take it out"),
            Self::EndOfLine => ("a comment or the end of the line", "move what follows to a line of its own"),
            Self::Quote => ("a closing quote", "close the text with a double quote"),
            Self::SaneLine => ("a line of at most a million bytes", "look whether this is a G-code file at all"),
        }
    }
}

/// The place where the grammar gave up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fault<'a> {
    /// What was left of the line there.
    pub(super) at: &'a [u8],
    /// What should have stood there.
    pub(super) expected: Expected,
}

/// What every rule of the grammar returns: the rest of the line and what it read.
pub(super) type Parsed<'a, T> = nom::IResult<&'a [u8], T, Fault<'a>>;

/// Gives up at `at`.
pub(super) fn fault<T>(at: &[u8], expected: Expected) -> Parsed<'_, T> {
    Err(nom::Err::Error(Fault { at, expected }))
}

impl<'a> nom::error::ParseError<&'a [u8]> for Fault<'a> {
    fn from_error_kind(at: &'a [u8], _: nom::error::ErrorKind) -> Self {
        Self { at, expected: Expected::Word }
    }

    fn append(_: &'a [u8], _: nom::error::ErrorKind, other: Self) -> Self {
        other
    }
}

impl Fault<'_> {
    /// Says so about line `number`, whose bytes are `body`.
    pub(super) fn diagnostic(self, number: u64, body: &[u8]) -> Diagnostic {
        let start = body.len().saturating_sub(self.at.len());
        let found = match self.at.first() {
            None => "the end of the line".to_owned(),
            Some(&b) if b.is_ascii_graphic() => format!("`{}`", b as char),
            Some(b' ') => "a space".to_owned(),
            Some(&b) => format!("byte {b} (0x{b:02x})"),
        };
        let (expected, remedy) = self.expected.words();
        let start = u32::try_from(start).unwrap_or(u32::MAX);
        let end = start.saturating_add(u32::from(!self.at.is_empty()));
        Diagnostic::at_line(Severity::Warning, "bad-line", number, format!("expected {expected}, found {found}"))
            .columns(start..end)
            .remedy(remedy)
    }
}
