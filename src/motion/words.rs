//! The words of one block, sorted by letter and by what they command.

use crate::gcode::Block;

/// Most G words (and M words) obeyed on one line; NISTIR 6556, 3.3.5 allows four M words.
const MOST_CODES: usize = 8;
/// A number beyond this is no length, speed or temperature of a printer, but damage.
const LARGEST: f64 = 1e7;
/// Values that must be whole may be off by this much (NISTIR 6556, 3.3.2.1).
const WHOLE: f64 = 1e-4;

/// Why a block cannot be obeyed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WordsError {
    /// A G or M number is missing, negative or not whole.
    Code,
    /// A number is out of all range.
    TooLarge,
    /// A letter stands twice.
    Repeated,
    /// Too many codes on one line.
    TooMany,
}

/// The words of one block. Codes are in tenths: G92.1 is 921.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words {
    values: [f64; 26],
    present: u32,
    bare: u32,
    codes: [[u32; MOST_CODES]; 2],
    counts: [usize; 2],
}

/// The bit of a letter.
const fn bit(letter: u8) -> u32 {
    1 << (letter - b'A')
}

/// The bits of X, Y, Z and E.
pub(super) const AXES: u32 = bit(b'X') | bit(b'Y') | bit(b'Z') | bit(b'E');

impl Words {
    pub(super) fn new() -> Self {
        Self { values: [0.0; 26], present: 0, bare: 0, codes: [[0; MOST_CODES]; 2], counts: [0; 2] }
    }

    /// Reads the words of `block` over what was held before.
    pub(super) fn read(&mut self, block: &Block) -> Result<(), WordsError> {
        self.present = 0;
        self.bare = 0;
        self.counts = [0; 2];
        let mut result = Ok(());
        for word in &block.words {
            match word.letter {
                b'G' => self.push(0, word.value)?,
                b'M' => self.push(1, word.value)?,
                letter if letter.is_ascii_uppercase() => {
                    if (self.present | self.bare) & bit(letter) != 0 {
                        result = Err(WordsError::Repeated);
                    }
                    match word.value {
                        Some(value) if value.abs() <= LARGEST => {
                            self.values[usize::from(letter - b'A')] = value;
                            self.present |= bit(letter);
                        }
                        Some(_) => result = Err(WordsError::TooLarge),
                        None => self.bare |= bit(letter),
                    }
                }
                _ => {}
            }
        }
        result
    }

    fn push(&mut self, which: usize, value: Option<f64>) -> Result<(), WordsError> {
        let tenths = value.unwrap_or(-1.0) * 10.0;
        let whole = tenths.round();
        if !((0.0..=LARGEST).contains(&whole) && (tenths - whole).abs() <= WHOLE * 10.0) {
            return Err(WordsError::Code);
        }
        let count = self.counts[which];
        let Some(slot) = self.codes[which].get_mut(count) else { return Err(WordsError::TooMany) };
        *slot = whole as u32;
        self.counts[which] = count + 1;
        Ok(())
    }

    /// The number after `letter`.
    pub(super) fn value(&self, letter: u8) -> Option<f64> {
        (self.present & bit(letter) != 0).then(|| self.values[usize::from(letter - b'A')])
    }

    /// Whether `letter` stands on the line, with or without a number.
    pub(super) fn has(&self, letter: u8) -> bool {
        (self.present | self.bare) & bit(letter) != 0
    }

    /// Whether any of the letters in `mask` has a number.
    pub(super) fn has_any(&self, mask: u32) -> bool {
        self.present & mask != 0
    }

    /// Whether no letter but G and M stands on the line.
    pub(super) fn is_alone(&self) -> bool {
        self.present | self.bare == 0
    }

    /// Numbers after X, Y, Z and E.
    pub(super) fn axes(&self) -> [Option<f64>; 4] {
        [self.value(b'X'), self.value(b'Y'), self.value(b'Z'), self.value(b'E')]
    }

    /// The G codes in tenths, in order.
    pub(super) fn g_codes(&self) -> &[u32] {
        self.codes[0].get(..self.counts[0]).unwrap_or_default()
    }

    /// The M codes in tenths, in order.
    pub(super) fn m_codes(&self) -> &[u32] {
        self.codes[1].get(..self.counts[1]).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gcode::lines;

    fn read(text: &str) -> (Words, Result<(), WordsError>) {
        let mut block = Block::default();
        let mut words = Words::new();
        let mut result = Ok(());
        for line in lines(text.as_bytes()) {
            block.read(&line);
            result = words.read(&block);
        }
        (words, result)
    }

    #[test]
    fn sorts_by_letter_and_code() {
        let (words, result) = read("G92.1 M104 S210 T1 X-3.5 Y");
        assert_eq!(result, Ok(()));
        assert_eq!(words.g_codes(), [921]);
        assert_eq!(words.m_codes(), [1040]);
        assert_eq!(words.value(b'X'), Some(-3.5));
        assert_eq!(words.value(b'Y'), None);
        assert!(words.has(b'Y') && !words.has(b'Z'));
        assert!(!words.is_alone());
    }

    #[test]
    fn near_integers_are_codes_others_are_not() {
        // NISTIR 6556, 3.3.2.1: a whole number may be off by 0.0001.
        assert_eq!(read("G1.00005 X1").0.g_codes(), [10]);
        assert_eq!(read("G1.0002 X1").1, Err(WordsError::Code));
        assert_eq!(read("G-1 X1").1, Err(WordsError::Code));
    }

    #[test]
    fn damage_is_refused() {
        assert_eq!(read("G1 X1 X2").1, Err(WordsError::Repeated));
        assert_eq!(read("G1 X99999999999").1, Err(WordsError::TooLarge));
        assert_eq!(read("G1G4G17G21G90G94G40G49G54").1, Err(WordsError::TooMany));
    }

    #[test]
    fn nothing_is_left_of_the_line_before() {
        let (words, _) = read("G1 X1 E2\nM107");
        assert_eq!(words.g_codes(), [] as [u32; 0]);
        assert!(!words.has_any(AXES) && words.is_alone());
    }
}
