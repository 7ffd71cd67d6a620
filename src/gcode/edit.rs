//! Changes at line boundaries: blocks of lines put in or taken out, everything else byte for byte.

use super::numbering::sets_counter;
use super::{Block, Ending, Line, Numbering, lines};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// A list of changes to one file. Line numbers are those of the file before any change, from 1.
///
/// ```
/// use beadwise::gcode::Edits;
/// let mut edits = Edits::default();
/// edits.insert_after(1, "M0\n; put the nut in\n");
/// assert_eq!(edits.apply(b"G1 X1\r\nG1 X2\r\n"), b"G1 X1\r\nM0\r\n; put the nut in\r\nG1 X2\r\n");
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Edits {
    /// Text after the line with this number; 0 is before the first.
    inserted: BTreeMap<u64, String>,
    removed: Vec<RangeInclusive<u64>>,
}

impl Edits {
    /// Puts `text` after line `line` (0: before the first). Its line feeds become the file's own ending, and a
    /// missing last one is added. Texts put at one place stand in the order they were given.
    pub fn insert_after(&mut self, line: u64, text: &str) {
        let there = self.inserted.entry(line).or_default();
        there.push_str(text);
        if !there.is_empty() && !there.ends_with('\n') {
            there.push('\n');
        }
    }

    /// Puts `text` before line `line`.
    pub fn insert_before(&mut self, line: u64, text: &str) {
        self.insert_after(line.saturating_sub(1), text);
    }

    /// Takes out lines, first and last included.
    pub fn remove(&mut self, lines: RangeInclusive<u64>) {
        self.removed.push(lines);
    }

    /// Nothing is to be changed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.inserted.values().all(String::is_empty) && self.removed.iter().all(RangeInclusive::is_empty)
    }

    /// The file with the changes made.
    #[must_use]
    pub fn apply(&self, bytes: &[u8]) -> Vec<u8> {
        self.run(bytes, None)
    }

    /// The same for a file with numbered lines: inserted lines with words are numbered (and summed), and
    /// numbers after a change move on or back, up to the next M110.
    #[must_use]
    pub fn apply_renumbered(&self, bytes: &[u8], numbering: &Numbering) -> Vec<u8> {
        self.run(bytes, Some(*numbering))
    }

    fn run(&self, bytes: &[u8], numbering: Option<Numbering>) -> Vec<u8> {
        let added: usize = self.inserted.values().map(String::len).sum();
        let mut writer = Writer {
            out: Vec::with_capacity(bytes.len().saturating_add(added.saturating_mul(2))),
            ending: Ending::of(bytes),
            counter: numbering.map(|style| Counter { style, by: 0, last: 0, block: Block::default() }),
        };
        writer.insert(self.inserted.get(&0));
        for line in lines(bytes) {
            if self.removed.iter().any(|range| range.contains(&line.number)) {
                writer.leave_out(&line);
            } else {
                writer.copy(&line);
            }
            writer.insert(self.inserted.get(&line.number));
        }
        writer.out
    }
}

struct Writer {
    out: Vec<u8>,
    ending: Ending,
    counter: Option<Counter>,
}

/// Where the numbers stand.
struct Counter {
    style: Numbering,
    /// How far numbers have moved.
    by: i64,
    /// The last number written.
    last: u64,
    block: Block,
}

impl Writer {
    fn copy(&mut self, line: &Line<'_>) {
        match self.counter.as_mut().and_then(|counter| counter.moved(line)) {
            Some(moved) => self.out.extend_from_slice(&moved),
            None => self.out.extend_from_slice(line.bytes),
        }
    }

    fn leave_out(&mut self, line: &Line<'_>) {
        if let Some(counter) = &mut self.counter {
            counter.block.read(line);
            if counter.block.number.is_some() {
                counter.by = counter.by.saturating_sub_unsigned(counter.style.step);
            }
        }
    }

    fn insert(&mut self, text: Option<&String>) {
        let Some(text) = text.filter(|text| !text.is_empty()) else { return };
        if !self.out.is_empty() && !self.out.ends_with(b"\n") && !self.out.ends_with(b"\r") {
            self.out.extend_from_slice(self.ending.bytes());
        }
        let ending = self.ending_here();
        for line in text.lines() {
            match self.counter.as_mut().and_then(|counter| counter.numbered(line)) {
                Some(numbered) => self.out.extend_from_slice(&numbered),
                None => self.out.extend_from_slice(line.as_bytes()),
            }
            self.out.extend_from_slice(ending.bytes());
        }
    }

    /// The ending of the line before, in a file that mixes them: a carriage return alone must not come to stand
    /// before a line feed, or two lines would become one.
    fn ending_here(&self) -> Ending {
        match self.out.as_slice() {
            [.., b'\r', b'\n'] => Ending::CrLf,
            [.., b'\n'] => Ending::Lf,
            [.., b'\r'] => Ending::Cr,
            _ => self.ending,
        }
    }
}

impl Counter {
    /// The line with its number moved, if it has one and anything moved.
    fn moved(&mut self, line: &Line<'_>) -> Option<Vec<u8>> {
        self.block.read(line);
        if sets_counter(&self.block) {
            self.by = 0;
        }
        self.last = self.block.number?.saturating_add_signed(self.by);
        if self.by == 0 { None } else { self.style.moved(line, &self.block, self.by) }
    }

    /// A new line with the next number, if it is one that gets numbers.
    fn numbered(&mut self, text: &str) -> Option<Vec<u8>> {
        self.block.read(lines(text.as_bytes()).next().as_ref()?);
        if !matches!(self.block.kind, super::BlockKind::Words | super::BlockKind::Extended) {
            return None;
        }
        self.last = self.last.saturating_add(self.style.step);
        self.by = self.by.saturating_add_unsigned(self.style.step);
        Some(self.style.numbered(self.last, text.as_bytes()))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn blocks_go_in_with_the_files_own_ending() {
        let mut edits = Edits::default();
        edits.insert_before(2, "M0\n;note");
        edits.insert_after(0, "; first");
        assert_eq!(edits.apply(b"G1\rG2\r"), b"; first\rG1\rM0\r;note\rG2\r");
        // Where a file mixes them, the line before decides: no two lines become one.
        let mut edits = Edits::default();
        edits.insert_after(2, "M0");
        assert_eq!(edits.apply(b"G1\rG2\n\nG3\rG4\rG5\r"), b"G1\rG2\nM0\n\nG3\rG4\rG5\r");
        let mut edits = Edits::default();
        edits.insert_after(1, "M0\n;note");
        assert_eq!(edits.apply(b"G1\r\nG2\r\n"), b"G1\r\nM0\r\n;note\r\nG2\r\n");
        assert_eq!(edits.apply(b"G1\rG2\nG3\n"), b"G1\rM0\r;note\rG2\nG3\n");
        // A last line without an ending gets one before something follows it.
        let mut edits = Edits::default();
        edits.insert_after(1, "M0");
        assert_eq!(edits.apply(b"G1"), b"G1\nM0\n");
    }

    #[test]
    fn texts_at_one_place_stand_in_order_on_lines_of_their_own() {
        let mut edits = Edits::default();
        edits.insert_after(1, "M0");
        edits.insert_after(1, "G4 P5");
        assert_eq!(edits.apply(b"G1\nG2\n"), b"G1\nM0\nG4 P5\nG2\n");
    }

    #[test]
    fn nothing_to_change_is_known() {
        let mut edits = Edits::default();
        assert!(edits.is_empty());
        edits.insert_after(1, "");
        edits.remove(RangeInclusive::new(3, 2));
        assert!(edits.is_empty());
        let mut put_in = edits.clone();
        put_in.insert_after(1, "M0");
        assert!(!put_in.is_empty());
        edits.remove(2..=2);
        assert!(!edits.is_empty());
    }

    #[test]
    fn numbered_lines_move_on_and_their_sums_follow() {
        let style = Numbering { step: 1, number_width: 0, checksums: true, checksum_width: 0 };
        let file = |numbers: &[(u64, &str)]| -> Vec<u8> {
            numbers
                .iter()
                .flat_map(|(n, text)| [style.numbered(*n, text.as_bytes()), b"\n".to_vec()].concat())
                .collect()
        };
        let before = file(&[(7, "G1 X1"), (8, "G1 X2"), (9, "G1 X3")]);
        let mut edits = Edits::default();
        edits.insert_after(1, "; stop\nM0\nG4 P5\n");
        let after = edits.apply_renumbered(&before, &style);
        let mut expected = file(&[(7, "G1 X1")]);
        expected.extend_from_slice(b"; stop\n");
        expected.extend(file(&[(8, "M0"), (9, "G4 P5"), (10, "G1 X2"), (11, "G1 X3")]));
        assert_eq!(String::from_utf8(after.clone()), String::from_utf8(expected));
        let mut undo = Edits::default();
        undo.remove(2..=4);
        assert_eq!(undo.apply_renumbered(&after, &style), before);
    }

    #[test]
    fn a_set_counter_ends_the_move() {
        let style = Numbering { step: 1, number_width: 0, checksums: false, checksum_width: 0 };
        let mut edits = Edits::default();
        edits.insert_after(1, "M0");
        let after = edits.apply_renumbered(b"N1 G1\nN2 G1\nN0 M110\nN1 G1\n", &style);
        assert_eq!(String::from_utf8(after).unwrap(), "N1 G1\nN2 M0\nN3 G1\nN0 M110\nN1 G1\n");
    }

    proptest! {
        #[test]
        fn taking_out_what_was_put_in_gives_the_file_back(
            start in 0u64..2000, count in 1usize..40, place in 0u64..40, step in 1u64..12,
            checksums: bool, width in prop_oneof![Just(0usize), Just(5)], crlf: bool,
        ) {
            let style = Numbering { step, number_width: width, checksums, checksum_width: 0 };
            let ending = if crlf { "\r\n" } else { "\n" };
            let file: Vec<u8> = (0..count as u64)
                .flat_map(|i| [style.numbered(start + i * step, format!("G1 X{i}").as_bytes()), ending.into()].concat())
                .collect();
            let place = place.min(count as u64);
            let mut edits = Edits::default();
            edits.insert_after(place, "; begin\nM0 S1\nG4 P100\n; end");
            let stopped = edits.apply_renumbered(&file, &style);
            let mut undo = Edits::default();
            undo.remove(place + 1..=place + 4);
            prop_assert_eq!(undo.apply_renumbered(&stopped, &style), file.clone());
            let numbers: Vec<u64> = lines(&stopped)
                .filter_map(|line| { let mut b = Block::default(); b.read(&line); assert!(b.problem.is_none()); b.number })
                .collect();
            if place > 0 {
                prop_assert!(numbers.windows(2).all(|w| w[1] == w[0] + step));
            }
        }

        #[test]
        fn no_edits_change_nothing(bytes: Vec<u8>) {
            prop_assert_eq!(Edits::default().apply(&bytes), bytes);
        }
    }
}
