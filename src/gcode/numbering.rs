//! Files whose lines carry numbers and checksums, and how to write both anew.
//!
//! ```text
//! N41 G1 X5*98            N41 G1 X5*98
//!                  -->    N42 M0*18            two lines put in: everything after moves on by two,
//!                         N43 G1 X5*96         and its checksums follow
//! N42 G1 X9*109           N44 G1 X9*107
//! ```
//!
//! Open community dialect (from memory): numbers count on by a fixed step, M110 sets the counter, and the line
//! with M110 itself is not counted.

use super::checksum::checksum_of;
use super::{Block, Command, Line, lines};

/// How a file numbers its lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Numbering {
    /// From one number to the next.
    pub step: u64,
    /// Numbers are padded with zeros to this many digits.
    pub number_width: usize,
    /// Lines carry checksums.
    pub checksums: bool,
    /// Checksums are padded with zeros to this many digits.
    pub checksum_width: usize,
}

impl Numbering {
    /// How `bytes` numbers its lines; `None` unless most lines with words are numbered.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let mut seen = Seen::default();
        let mut block = Block::default();
        for line in lines(bytes) {
            block.read(&line);
            seen.add(&line, &block);
        }
        (seen.numbered.saturating_mul(2) > seen.commands).then(|| Self {
            step: seen.step(),
            number_width: seen.number_width,
            checksums: seen.checksums.saturating_mul(2) > seen.numbered,
            checksum_width: seen.checksum_width,
        })
    }

    /// A new line `N<number> text` with its checksum, without an ending.
    #[must_use]
    pub fn numbered(&self, number: u64, text: &[u8]) -> Vec<u8> {
        let mut line = format!("N{number:0width$} ", width = self.number_width).into_bytes();
        line.extend_from_slice(text);
        if self.checksums {
            line.extend_from_slice(self.sum_text(checksum_of(&line)).as_bytes());
        }
        line
    }

    /// The bytes of `line`, read as `block`, with its number moved by `by`; `None` where it has no number.
    ///
    /// The checksum changes by what the number changes, so that a wrong one stays as wrong as it was and moving
    /// back gives the same bytes again.
    #[must_use]
    pub fn moved(&self, line: &Line<'_>, block: &Block, by: i64) -> Option<Vec<u8>> {
        let (number, span) = (block.number?, block.number_span.clone()?);
        let bytes = line.bytes;
        let (head, digits_on) = bytes.split_at_checked(span.start as usize)?;
        let tail = digits_on.get(span.len()..)?;
        let number = number.saturating_add_signed(by);
        let mut out = head.to_vec();
        out.extend_from_slice(format!("{number:0width$}", width = self.number_width).as_bytes());
        let (Some(sum), Some(star)) = (block.checksum, block.checksum_at) else {
            out.extend_from_slice(tail);
            return Some(out);
        };
        let star = star as usize;
        let middle = bytes.get(span.end as usize..star)?;
        out.extend_from_slice(middle);
        let sum = sum ^ checksum_of(bytes.get(..star)?) ^ checksum_of(&out);
        out.extend_from_slice(self.sum_text(sum).as_bytes());
        let after = bytes.get(star.saturating_add(1)..)?;
        let digits = after.iter().take_while(|b| b.is_ascii_digit()).count();
        out.extend_from_slice(after.get(digits..)?);
        Some(out)
    }

    fn sum_text(&self, sum: u8) -> String {
        format!("*{sum:0width$}", width = self.checksum_width)
    }
}

/// Whether the line sets the counter: numbers after it do not follow from those before it.
pub(super) fn sets_counter(block: &Block) -> bool {
    block.command() == Some(Command::new(b'M', 110))
}

/// What was seen of a file's numbers.
#[derive(Default)]
struct Seen {
    commands: u64,
    numbered: u64,
    checksums: u64,
    number_width: usize,
    checksum_width: usize,
    last: Option<u64>,
    /// How often the numbers went on by 1, 2, 3...
    steps: std::collections::BTreeMap<u64, u64>,
}

impl Seen {
    fn add(&mut self, line: &Line<'_>, block: &Block) {
        self.commands = self.commands.saturating_add(u64::from(block.number.is_some() || !block.words.is_empty()));
        let (Some(number), Some(span)) = (block.number, &block.number_span) else { return };
        self.numbered = self.numbered.saturating_add(1);
        let digits = line.bytes.get(span.start as usize..span.end as usize).unwrap_or_default();
        self.number_width = self.number_width.max(padded_width(digits));
        if let Some(star) = block.checksum_at {
            self.checksums = self.checksums.saturating_add(1);
            let after = line.bytes.get((star as usize).saturating_add(1)..).unwrap_or_default();
            let count = after.iter().take_while(|b| b.is_ascii_digit()).count();
            self.checksum_width = self.checksum_width.max(padded_width(after.get(..count).unwrap_or_default()));
        }
        if let Some(step) = self.last.and_then(|last| number.checked_sub(last)).filter(|s| *s > 0) {
            let count = self.steps.entry(step).or_default();
            *count = count.saturating_add(1);
        }
        self.last = Some(number);
    }

    fn step(&self) -> u64 {
        self.steps
            .iter()
            .max_by_key(|(step, count)| (**count, u64::MAX.saturating_sub(**step)))
            .map_or(1, |(step, _)| *step)
    }
}

/// The width of digits that are padded with zeros; 0 where they are not.
fn padded_width(digits: &[u8]) -> usize {
    if matches!(digits, [b'0', _, ..]) { digits.len() } else { 0 }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn read(line: &Line<'_>) -> Block {
        let mut block = Block::default();
        block.read(line);
        block
    }

    #[test]
    fn numbering_is_seen_from_the_lines() {
        assert_eq!(Numbering::of(b"G1 X1\nG1 X2\n"), None);
        assert_eq!(Numbering::of(b""), None);
        // Most lines with words must be numbered, not one of many.
        assert_eq!(Numbering::of(b"N1 G1 X1\nG1 X2\nG1 X3\n"), None);
        let plain = Numbering::of(b"N10 G1\nN20 G1\n; note\nN30 G1\n").unwrap();
        assert_eq!(plain, Numbering { step: 10, number_width: 0, checksums: false, checksum_width: 0 });
        let padded = Numbering::of(b"N0001 G28*034\nN0002 G1 X3*070\n").unwrap();
        assert_eq!((padded.step, padded.number_width, padded.checksums, padded.checksum_width), (1, 4, true, 3));
    }

    #[test]
    fn numbers_that_stand_still_are_no_step() {
        // Else every line of a stop would get the number of the line before.
        let style = Numbering::of(b"N1 G1\nN1 G1\nN1 G1\nN3 G1\n").unwrap();
        assert_eq!(style.step, 2);
        assert_eq!(Numbering::of(b"N1 G1\nN1 G1\n").unwrap().step, 1);
    }

    #[test]
    fn moving_there_and_back_gives_the_same_bytes() {
        let file = b"N9 G1 X5*109\r\nN10 G28 ; home*9\nn11x5*300\nN12 G1 X1*1 (wrong sum)\n";
        let style = Numbering::of(file).unwrap();
        for line in lines(file) {
            let Some(moved) = style.moved(&line, &read(&line), 991) else { continue };
            let there = lines(&moved).next().unwrap();
            assert_ne!(there.bytes, line.bytes);
            assert_eq!(style.moved(&there, &read(&there), -991).unwrap(), line.bytes);
        }
    }

    #[test]
    fn a_right_checksum_stays_right() {
        let style = Numbering { step: 1, number_width: 0, checksums: true, checksum_width: 0 };
        let line = style.numbered(1, b"G28");
        // Open community dialect, published example: N1 G28*18.
        assert_eq!(line, b"N1 G28*18");
        let line = lines(&line).next().unwrap();
        let moved = style.moved(&line, &read(&line), 8).unwrap();
        assert_eq!(moved, style.numbered(9, b"G28"));
    }
}
