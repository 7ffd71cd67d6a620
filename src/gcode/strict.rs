//! What printers accept but the published standard, or good sense, does not.
//!
//! Reading never refuses these lines. A user who wants to know asks [`check`], which holds a line against the
//! printing dialect (what a careful printer would stumble over) or against NISTIR 6556 to the letter.

use super::{Block, BlockKind, Command, Line};
use crate::diag::{Diagnostic, Severity};
use std::ops::Range;

/// Which rules a line is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dialect {
    /// What printing machines agree on.
    Printing,
    /// NISTIR 6556 to the letter.
    Published,
}

/// Letters of Table 3, NISTIR 6556 section 3.3.2.
const PUBLISHED_LETTERS: &[u8] = b"ABCDFGHIJKLMNPQRSTXYZ";

/// The codes of each modal group of G codes, in tenths (Table 4, section 3.4).
const MODAL_GROUPS: &[(&str, &[u32])] = &[
    ("non-modal", &[40, 100, 280, 300, 530, 920, 921, 922, 923]),
    ("motion", &[0, 10, 20, 30, 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890]),
    ("plane", &[170, 180, 190]),
    ("distance", &[900, 910]),
    ("feed mode", &[930, 940]),
    ("units", &[200, 210]),
    ("cutter radius", &[400, 410, 420]),
    ("tool length", &[430, 490]),
    ("return", &[980, 990]),
    ("coordinate system", &[540, 550, 560, 570, 580, 590, 591, 592, 593]),
    ("path", &[610, 611, 640]),
];

/// The codes of each modal group of M codes that may clash on one line (Table 4, section 3.4).
const M_GROUPS: &[(&str, &[u32])] = &[("stopping", &[0, 1, 2, 30, 60]), ("spindle", &[3, 4, 5])];

/// Everything about `line`, read as `block`, that `dialect` does not allow.
#[must_use]
pub fn check(line: &Line<'_>, block: &Block, dialect: Dialect) -> Vec<Diagnostic> {
    let mut check = Check { line, block, found: Vec::new() };
    check.found.extend(block.problem.clone());
    check.comments();
    if block.kind == BlockKind::Words {
        check.codes();
        check.repeats();
        check.modal_groups();
    }
    if dialect == Dialect::Published {
        check.published();
    }
    check.found
}

struct Check<'a> {
    line: &'a Line<'a>,
    block: &'a Block,
    found: Vec<Diagnostic>,
}

impl Check<'_> {
    fn say(&mut self, columns: Range<u32>, message: impl Into<String>, remedy: &str) {
        let said = Diagnostic::at_line(Severity::Warning, "not-strict", self.line.number, message);
        self.found.push(said.columns(columns).remedy(remedy));
    }

    fn comments(&mut self) {
        let body = self.line.body();
        for comment in &self.block.comments {
            let opened = (comment.start as usize).checked_sub(1).and_then(|i| body.get(i)) == Some(&b'(');
            let text = body.get(comment.start as usize..comment.end as usize).unwrap_or_default();
            let columns = comment.start.saturating_sub(1)..comment.end;
            if opened && body.get(comment.end as usize) != Some(&b')') {
                self.say(columns, "a comment is opened and never closed", "close it with `)` on the same line");
            } else if opened && text.contains(&b'(') {
                self.say(columns, "a comment stands within a comment", "take out the inner `(`");
            }
        }
    }

    /// Codes must be whole, or tenths that exist.
    fn codes(&mut self) {
        for word in &self.block.words {
            if matches!(word.letter, b'G' | b'M' | b'T') && word.value.is_some() && Command::of(word).is_none() {
                let message = format!("{} needs a whole number here", word.letter as char);
                self.say(word.start..word.end, message, "write the code without a fraction");
            }
        }
    }

    /// Section 3.3.5: letters other than G and M stand once.
    fn repeats(&mut self) {
        let words = &self.block.words;
        for (index, word) in words.iter().enumerate() {
            let earlier = words.iter().take(index).any(|w| w.letter == word.letter);
            if earlier && !matches!(word.letter, b'G' | b'M') {
                let message = format!("{} stands twice on one line", word.letter as char);
                self.say(word.start..word.end, message, "keep the one that is meant");
            }
        }
    }

    /// Section 3.3.5: never two words of one modal group.
    fn modal_groups(&mut self) {
        for (letter, groups) in [(b'G', MODAL_GROUPS), (b'M', M_GROUPS)] {
            for (name, codes) in groups {
                let of_group = |c: &Command| c.letter == letter && codes.contains(&group_key(*c, letter));
                let mut members = self.block.words.iter().filter(|w| Command::of(w).as_ref().is_some_and(of_group));
                let (Some(first), Some(second)) = (members.next(), members.next()) else { continue };
                let columns = first.start..second.end;
                let message = format!("two codes of the {name} group stand on one line");
                self.say(columns, message, "give each a line of its own");
            }
        }
    }

    /// What only the published standard forbids.
    fn published(&mut self) {
        let body = self.line.body();
        let length = u32::try_from(body.len()).unwrap_or(u32::MAX);
        if length > 256 {
            self.say(256..length, "the line is longer than 256 characters", "shorten it (NISTIR 6556 section 3.3)");
        }
        if let Some(span) = self.block.number_span.clone().filter(|s| s.len() > 5) {
            self.say(span, "a line number has more than five digits", "use at most five (section 3.3.1)");
        }
        if let Some(star) = self.block.checksum_at {
            self.say(star..length, "checksums are not part of the standard", "take it out");
        }
        for comment in &self.block.comments {
            let start = comment.start.saturating_sub(1);
            if body.get(start as usize) == Some(&b';') {
                self.say(start..comment.end, "`;` does not begin a comment", "use parentheses (section 3.3.4)");
            }
        }
        if self.block.kind == BlockKind::Extended {
            self.say(0..length, "a longer name is not a word", "only letters with numbers are (section 3.3.2)");
        }
        self.published_words();
    }

    fn published_words(&mut self) {
        let block = self.block;
        for word in &block.words {
            let columns = word.start..word.end;
            let letter = word.letter as char;
            if !PUBLISHED_LETTERS.contains(&word.letter) {
                self.say(columns, format!("{letter} is not a letter of the standard"), "see table 3 of section 3.3.2");
            } else if word.value.is_none() && !has_text_after(block, word.letter) {
                self.say(columns, format!("{letter} has no number"), "give it one (section 3.3.2)");
            }
        }
        let whole = Range { start: 0, end: u32::try_from(self.line.body().len()).unwrap_or(u32::MAX) };
        if block.words.iter().filter(|w| w.letter == b'M').count() > 4 {
            self.say(whole.clone(), "more than four M words stand on one line", "split the line (section 3.3.5)");
        }
        let has_axis = b"XYZABC".iter().any(|&axis| block.has(axis));
        for code in block.commands() {
            let needs_axis = code.letter == b'G' && matches!((code.number, code.tenth), (0..=3 | 92, 0));
            if needs_axis && !has_axis {
                let message = format!("{code} stands without an axis word");
                self.say(whole.clone(), message, "name at least one axis (sections 3.5.1 to 3.5.3, 3.5.18)");
            }
            if code == Command::new(b'G', 4) && block.value(b'P').is_some_and(|p| p < 0.0) {
                self.say(whole.clone(), "a dwell cannot be negative", "give P a positive number (section 3.5.4)");
            }
        }
    }
}

/// How the group tables write a code: G codes in tenths, M codes whole.
fn group_key(code: Command, letter: u8) -> u32 {
    if letter == b'G' { code.number.saturating_mul(10).saturating_add(u32::from(code.tenth)) } else { code.number }
}

/// M codes with text are not words without a number.
fn has_text_after(block: &Block, letter: u8) -> bool {
    letter == b'M' && block.text.is_some()
}
