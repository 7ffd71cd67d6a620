//! Which G, M or T code a word is.

use super::Word;

/// A code such as G1, G92.1 or M104.
///
/// ```
/// use beadwise::gcode::{Block, Command, lines};
/// let mut block = Block::default();
/// block.read(&lines(b"g38.2 z-5").next().unwrap());
/// assert_eq!(block.command(), Some(Command { letter: b'G', number: 38, tenth: 2 }));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Command {
    /// `G`, `M` or `T`.
    pub letter: u8,
    /// Whole part of the code.
    pub number: u32,
    /// Digit after the point.
    pub tenth: u8,
}

impl Command {
    /// A code without tenths.
    #[must_use]
    pub const fn new(letter: u8, number: u32) -> Self {
        Self { letter, number, tenth: 0 }
    }

    /// The code that `word` is; `None` for another letter, or a value that is not near a whole number of
    /// tenths.
    ///
    /// Values that must be integers are taken within 0.0001 (NISTIR 6556 section 3.3.2.1), here for tenths.
    #[inline]
    #[must_use]
    pub fn of(word: &Word) -> Option<Self> {
        if !matches!(word.letter, b'G' | b'M' | b'T') {
            return None;
        }
        let tenths = near_integer(word.value? * 10.0, 0.001)?;
        let tenths = u32::try_from(tenths).ok()?;
        Some(Self { letter: word.letter, number: tenths / 10, tenth: (tenths % 10) as u8 })
    }
}

impl std::fmt::Display for Command {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.letter as char, self.number)?;
        if self.tenth > 0 { write!(f, ".{}", self.tenth) } else { Ok(()) }
    }
}

/// The integer that `value` is within `tolerance` of.
#[inline]
fn near_integer(value: f64, tolerance: f64) -> Option<i64> {
    let whole = value.round();
    // A little is added for the binary rounding of 0.0001 itself.
    ((value - whole).abs() <= tolerance * (1.0 + 1e-9) && whole.abs() < 1e15).then_some(whole as i64)
}

/// The integer that `value` stands for, by the rule of NISTIR 6556 section 3.3.2.1: within 0.0001.
#[must_use]
pub fn integer(value: f64) -> Option<i64> {
    near_integer(value, 0.0001)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(letter: u8, value: f64) -> Option<Command> {
        Command::of(&Word { letter, value: Some(value), start: 0, end: 0 })
    }

    #[test]
    fn near_integers_are_integers() {
        // NISTIR 6556 section 3.3.2.1: within 0.0001.
        assert_eq!(code(b'G', 1.000_05), Some(Command::new(b'G', 1)));
        assert_eq!(code(b'G', 1.0002), None);
        assert_eq!(integer(2.9999), Some(3));
        assert_eq!(integer(2.9998), None);
        assert_eq!(integer(f64::NAN), None);
    }

    #[test]
    fn tenths_are_part_of_the_code() {
        assert_eq!(code(b'G', 92.1), Some(Command { letter: b'G', number: 92, tenth: 1 }));
        assert_eq!(code(b'G', 38.2).map(|c| c.to_string()).as_deref(), Some("G38.2"));
        assert_eq!(code(b'M', 104.0).map(|c| c.to_string()).as_deref(), Some("M104"));
        assert_eq!(code(b'M', -1.0), None);
        assert_eq!(code(b'X', 1.0), None);
    }
}
