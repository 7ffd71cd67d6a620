//! The words, comments and checksum of one line.

use super::Line;
use crate::diag::{Diagnostic, Severity};
use std::ops::Range;

/// A letter and its number, such as `X12.5`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Word {
    /// Upper-case letter.
    pub letter: u8,
    /// The number, or `None` when the letter stands alone (`G28 X`).
    pub value: Option<f64>,
    /// First byte in the line.
    pub start: u32,
    /// One past the last byte in the line.
    pub end: u32,
}

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
#[derive(Debug, Clone, Default)]
pub struct Block {
    /// What sort of line it is.
    pub kind: BlockKind,
    /// The line starts with `/`: skipped when the machine's block-delete switch is on.
    pub block_delete: bool,
    /// The N word.
    pub number: Option<u64>,
    /// The words in order, without N and checksum.
    pub words: Vec<Word>,
    /// Bytes of each comment's text, without its `;` or parentheses.
    pub comments: Vec<Range<u32>>,
    /// The text of a text-carrying command such as M117, as bytes of the line.
    pub text: Option<Range<u32>>,
    /// The number after `*`.
    pub checksum: Option<u8>,
    /// What is wrong with the line, if anything.
    pub problem: Option<Diagnostic>,
}

impl Block {
    /// Reads `line` into this block, over what it held before.
    pub fn read(&mut self, line: &Line<'_>) {
        let body = line.body();
        self.kind = BlockKind::Empty;
        self.block_delete = false;
        self.number = None;
        self.words.clear();
        self.comments.clear();
        self.text = None;
        self.checksum = None;
        self.problem = None;
        let mut at = 0;
        while at < body.len() {
            match body[at] {
                b' ' | b'\t' | b'%' => at += 1,
                b';' => {
                    self.comments.push(at as u32 + 1..body.len() as u32);
                    break;
                }
                b'(' => {
                    let end = body[at..].iter().position(|&b| b == b')').map_or(body.len(), |i| at + i);
                    self.comments.push(at as u32 + 1..end as u32);
                    at = end + 1;
                }
                b'*' => {
                    let end =
                        body[at + 1..].iter().position(|b| !b.is_ascii_digit()).map_or(body.len(), |i| at + 1 + i);
                    self.checksum = std::str::from_utf8(&body[at + 1..end]).ok().and_then(|t| t.parse().ok());
                    at = end;
                }
                letter if letter.is_ascii_alphabetic() => {
                    let end = body[at + 1..]
                        .iter()
                        .position(|b| !(b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.')))
                        .map_or(body.len(), |i| at + 1 + i);
                    let value = fast_float2::parse::<f64, _>(&body[at + 1..end]).ok();
                    let letter = letter.to_ascii_uppercase();
                    if letter == b'N' && self.words.is_empty() && self.number.is_none() {
                        self.number = value.map(|v| v as u64);
                    } else {
                        self.words.push(Word { letter, value, start: at as u32, end: end as u32 });
                    }
                    at = end;
                }
                _ => {
                    self.kind = BlockKind::Bad;
                    self.problem = Some(
                        Diagnostic::at_line(Severity::Warning, "bad-line", line.number, "this is not a G-code word")
                            .columns(at as u32..at as u32 + 1),
                    );
                    return;
                }
            }
        }
        if !self.words.is_empty() {
            self.kind = BlockKind::Words;
        }
    }

    /// The number of the first word with this letter.
    #[must_use]
    pub fn value(&self, letter: u8) -> Option<f64> {
        self.words.iter().find(|w| w.letter == letter).and_then(|w| w.value)
    }
}
