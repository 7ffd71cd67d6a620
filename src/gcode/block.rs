//! The words, comments and checksum of one line.

use super::checksum::{checksum, checksum_of, trailing};
use super::comment::comment;
use super::fault::{Expected, Parsed, fault};
use super::number::{blanks, whole};
use super::text::{self, Carries};
use super::word::word;
use super::{Command, Line, Word};
use crate::diag::{Diagnostic, Severity};
use nom::Parser;
use nom::bytes::complete::{tag, tag_no_case};
use nom::combinator::opt;
use nom::sequence::preceded;
use std::ops::Range;

/// Longest line whose words are read, in bytes; a longer one may only be a comment.
const LONGEST_LINE: usize = 1 << 20;

/// What sort of line it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BlockKind {
    /// No words: blank, comment only, or a percent line.
    #[default]
    Empty,
    /// Words in [`Block::words`].
    Words,
    /// A longer name stands first (letters, digits, `_`): kept whole, never interpreted.
    Extended,
    /// Could not be read; [`Block::problem`] says why.
    Bad,
}

/// What one line holds. Reused from line to line, so that reading allocates nothing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Block {
    /// What sort of line it is.
    pub kind: BlockKind,
    /// The line starts with `/`: skipped when the machine's block-delete switch is on.
    pub block_delete: bool,
    /// A line with nothing but `%`, which may open and close a program.
    pub percent: bool,
    /// The N word.
    pub number: Option<u64>,
    /// Bytes of the N word's digits.
    pub number_span: Option<Range<u32>>,
    /// The words in order, without N and checksum.
    pub words: Vec<Word>,
    /// Bytes of each comment's text, without its `;` or parentheses.
    pub comments: Vec<Range<u32>>,
    /// The text of a text-carrying command such as M117, or a whole extended command, as bytes of the line.
    pub text: Option<Range<u32>>,
    /// The number after `*`.
    pub checksum: Option<u8>,
    /// The byte where `*` stands.
    pub checksum_at: Option<u32>,
    /// What is wrong with the line, if anything. A checksum that does not fit leaves the words readable.
    pub problem: Option<Diagnostic>,
}

/// Where `rest` begins in `body`.
#[inline]
fn place(body: &[u8], rest: &[u8]) -> u32 {
    // Lines are at most 4 GiB here (see `read_within`), so this never wraps.
    body.len().saturating_sub(rest.len()) as u32
}

/// Where `part`, a piece of `body`, lies in it.
#[inline]
fn span(body: &[u8], part: &[u8]) -> Range<u32> {
    let start = (part.as_ptr() as usize).saturating_sub(body.as_ptr() as usize);
    start as u32..start.saturating_add(part.len()) as u32
}

impl Block {
    /// Reads `line` into this block, over what it held before.
    pub fn read(&mut self, line: &Line<'_>) {
        self.clear();
        let body = line.body();
        match self.read_within(body, line.start == 0) {
            Ok(_) => self.check_sum(line.number, body),
            Err(nom::Err::Error(f) | nom::Err::Failure(f)) => self.spoil(f.diagnostic(line.number, body)),
            Err(nom::Err::Incomplete(_)) => {}
        }
    }

    /// The number of the first word with this letter.
    #[must_use]
    pub fn value(&self, letter: u8) -> Option<f64> {
        self.words.iter().find(|w| w.letter == letter).and_then(|w| w.value)
    }

    /// Whether a word with this letter stands on the line, with or without a number.
    #[must_use]
    pub fn has(&self, letter: u8) -> bool {
        self.words.iter().any(|w| w.letter == letter)
    }

    /// The G, M and T codes of the line, in order.
    pub fn commands(&self) -> impl Iterator<Item = Command> + '_ {
        self.words.iter().filter_map(Command::of)
    }

    /// The first G, M or T code of the line.
    #[must_use]
    pub fn command(&self) -> Option<Command> {
        self.commands().next()
    }

    #[inline]
    fn clear(&mut self) {
        self.kind = BlockKind::Empty;
        self.block_delete = false;
        self.percent = false;
        self.number = None;
        self.number_span = None;
        self.words.clear();
        self.comments.clear();
        self.text = None;
        self.checksum = None;
        self.checksum_at = None;
        self.problem = None;
    }

    fn spoil(&mut self, problem: Diagnostic) {
        self.kind = BlockKind::Bad;
        self.words.clear();
        self.text = None;
        self.problem = Some(problem);
    }

    /// The whole grammar: `[/] [N digits] (words, comments, checksum | name ... | %)`.
    #[inline]
    fn read_within<'a>(&mut self, body: &'a [u8], first_line: bool) -> Parsed<'a, ()> {
        let unmarked = if first_line { body.strip_prefix(b"\xef\xbb\xbf").unwrap_or(body) } else { body };
        let (rest, _) = blanks(unmarked)?;
        if body.len() > LONGEST_LINE && (rest.first() != Some(&b';') || u32::try_from(body.len()).is_err()) {
            return fault(rest, Expected::SaneLine);
        }
        match rest.first() {
            None => return Ok((rest, ())),
            Some(b'%') => return self.percent(body, rest),
            _ => {}
        }
        let (rest, delete) = opt(tag(&b"/"[..])).parse(rest)?;
        self.block_delete = delete.is_some();
        let rest = self.line_number(body, rest)?.0;
        if text::starts_long_name(rest) {
            return self.extended(body, rest);
        }
        match self.parts(body, rest) {
            Err(_) if text::has_underscore_in_name(rest) => self.extended(body, rest),
            result => result,
        }
    }

    /// `%` and, at most, a comment.
    fn percent<'a>(&mut self, body: &'a [u8], rest: &'a [u8]) -> Parsed<'a, ()> {
        let (rest, _) = tag(&b"%"[..]).parse(rest)?;
        self.percent = true;
        self.only_comments(body, rest)
    }

    /// The N word, if one stands first.
    #[inline]
    fn line_number<'a>(&mut self, body: &'a [u8], rest: &'a [u8]) -> Parsed<'a, ()> {
        let (rest, _) = blanks(rest)?;
        if !matches!(rest, [b'N' | b'n', second, ..] if !second.is_ascii_alphabetic() && *second != b'_') {
            return Ok((rest, ()));
        }
        let (digits, _) = preceded(tag_no_case(&b"N"[..]), blanks).parse(rest)?;
        let (rest, number) = whole(digits)?;
        self.number = Some(number);
        self.number_span = Some(place(body, digits)..place(body, rest));
        Ok((blanks(rest)?.0, ()))
    }

    /// Words, comments and a checksum until the line ends.
    #[inline]
    fn parts<'a>(&mut self, body: &'a [u8], mut rest: &'a [u8]) -> Parsed<'a, ()> {
        loop {
            rest = blanks(rest)?.0;
            rest = match rest.first() {
                None => return Ok((rest, ())),
                Some(b';' | b'(') => self.comment(body, rest)?.0,
                Some(b'*') => return self.checksum(body, rest),
                Some(b) if b.is_ascii_alphabetic() => {
                    let (after, (letter, value)) = self.word(rest)?;
                    self.words.push(Word { letter, value, start: place(body, rest), end: place(body, after) });
                    self.kind = BlockKind::Words;
                    if letter == b'M' && self.words.len() == 1 && takes_text(value, after) {
                        return self.text(body, after);
                    }
                    after
                }
                Some(_) => return fault(rest, Expected::Word),
            }
        }
    }

    /// One word. The number of a text-carrying code ends at the first blank, or `M117 50 done` would be M11750.
    #[inline]
    fn word<'a>(&self, rest: &'a [u8]) -> Parsed<'a, (u8, Option<f64>)> {
        if self.words.is_empty()
            && matches!(rest, [b'M' | b'm', ..])
            && let Ok((after, code)) = text::code(rest)
        {
            return Ok((after, (b'M', Some(code))));
        }
        word(rest)
    }

    /// The rest of the line as the text of its command, up to a `;` comment.
    fn text<'a>(&mut self, body: &'a [u8], rest: &'a [u8]) -> Parsed<'a, ()> {
        self.loose(body, rest, |block, text| block.text = Some(text))
    }

    /// A command with a longer name, kept whole up to a `;` comment.
    fn extended<'a>(&mut self, body: &'a [u8], rest: &'a [u8]) -> Parsed<'a, ()> {
        self.words.clear();
        self.comments.clear();
        self.kind = BlockKind::Extended;
        self.loose(body, rest, |block, text| block.text = Some(text))
    }

    /// Free text from `rest` on, then a `;` comment, and on a numbered line a checksum.
    fn loose<'a>(&mut self, body: &'a [u8], rest: &'a [u8], keep: fn(&mut Self, Range<u32>)) -> Parsed<'a, ()> {
        let (rest, _) = blanks(rest)?;
        let start = body.len().saturating_sub(rest.len());
        let mut end = memchr::memchr(b';', rest).map_or(body.len(), |i| start.saturating_add(i));
        if end == body.len()
            && self.number.is_some()
            && let Some((star, sum)) = trailing(body, start, true)
        {
            self.keep_sum(star, sum);
            end = star;
        }
        let (text, tail) = body.split_at(end);
        keep(self, start as u32..text.trim_ascii_end().len().max(start) as u32);
        if tail.first() == Some(&b';') { self.comment(body, tail) } else { Ok((&[], ())) }
    }

    /// One comment. After it, a numbered line may still end in a checksum that counts the comment too.
    fn comment<'a>(&mut self, body: &'a [u8], rest: &'a [u8]) -> Parsed<'a, ()> {
        let (after, text) = comment(rest)?;
        let mut span = span(body, text);
        if self.number.is_some()
            && self.checksum.is_none()
            && after.is_empty()
            && let Some((star, sum)) = trailing(body, span.start as usize, false)
        {
            self.keep_sum(star, sum);
            span.end = star as u32;
        }
        self.comments.push(span);
        Ok((after, ()))
    }

    fn checksum<'a>(&mut self, body: &'a [u8], rest: &'a [u8]) -> Parsed<'a, ()> {
        let (after, sum) = checksum(rest)?;
        self.keep_sum(body.len().saturating_sub(rest.len()), sum);
        self.only_comments(body, after)
    }

    /// Nothing but comments up to the end of the line.
    fn only_comments<'a>(&mut self, body: &'a [u8], mut rest: &'a [u8]) -> Parsed<'a, ()> {
        loop {
            rest = blanks(rest)?.0;
            rest = match rest.first() {
                None => return Ok((rest, ())),
                Some(b';' | b'(') => self.comment(body, rest)?.0,
                Some(_) => return fault(rest, Expected::EndOfLine),
            }
        }
    }

    fn keep_sum(&mut self, star: usize, sum: u8) {
        self.checksum = Some(sum);
        self.checksum_at = Some(star as u32);
    }

    /// A stated checksum that does not fit is worth a warning; the words are read all the same.
    #[inline]
    fn check_sum(&mut self, line: u64, body: &[u8]) {
        let (Some(stated), Some(star)) = (self.checksum, self.checksum_at) else { return };
        let right = checksum_of(body.get(..star as usize).unwrap_or_default());
        if stated != right {
            let message = format!("the checksum says {stated}, the line's bytes give {right}");
            self.problem = Some(
                Diagnostic::at_line(Severity::Warning, "checksum", line, message)
                    .columns(star..body.len() as u32)
                    .remedy("a printer that checks would ask for this line again; write the file anew"),
            );
        }
    }
}

/// Whether what follows the line's first M code is text.
#[inline]
fn takes_text(code: Option<f64>, rest: &[u8]) -> bool {
    match code.map_or(Carries::Words, text::carries) {
        Carries::Words => false,
        Carries::Text => true,
        Carries::WordsOrText => !reads_as_words(rest),
    }
}

/// Whether only words with numbers follow, then at most a comment or checksum.
fn reads_as_words(mut rest: &[u8]) -> bool {
    loop {
        let Ok((next, _)) = blanks(rest) else { return false };
        if matches!(next.first(), None | Some(b';' | b'(' | b'*')) {
            return true;
        }
        match word(next) {
            Ok((after, (_, Some(_)))) => rest = after,
            _ => return false,
        }
    }
}
