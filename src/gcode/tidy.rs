//! Writing a line in its plainest form: capitals, one space between words, shortest numbers.

use super::checksum::checksum_of;
use super::{Block, BlockKind, lines};
use std::io::Write;

/// The plainest bytes that mean the same as `block`, which was read from a line with the bytes `body`, without
/// an ending. A bad line comes back as it was, and so does one whose plainest form would be read otherwise (an `N`
/// behind a comment is no line number, but it would be one if it came first).
///
/// ```
/// use beadwise::gcode::{Block, lines, tidy};
/// let line = lines(b"n7g1x+0. 50y-.0(edge)*1").next().unwrap();
/// let mut block = Block::default();
/// block.read(&line);
/// assert_eq!(tidy(&block, line.body()), b"N7 G1 X0.5 Y-0 (edge)*58");
/// ```
#[must_use]
pub fn tidy(block: &Block, body: &[u8]) -> Vec<u8> {
    let plain = if block.kind == BlockKind::Bad { body.to_vec() } else { plainest(block, body) };
    let mut again = Block::default();
    if let Some(line) = lines(&plain).next() {
        again.read(&line);
    }
    let says = |block: &Block| (block.number, block.words.iter().map(|w| (w.letter, w.value)).collect::<Vec<_>>());
    if says(&again) == says(block) { plain } else { body.to_vec() }
}

fn plainest(block: &Block, body: &[u8]) -> Vec<u8> {
    let mut parts: Vec<Vec<u8>> = Vec::new();
    if block.percent {
        parts.push(b"%".to_vec());
    }
    parts.extend(block.number.map(|n| format!("N{n}").into_bytes()));
    parts.extend(block.words.iter().map(|w| word(w, body)));
    let part = |range: &std::ops::Range<u32>| body.get(range.start as usize..range.end as usize).unwrap_or_default();
    parts.extend(block.text.iter().map(|text| part(text).to_vec()).filter(|text| !text.is_empty()));
    for comment in &block.comments {
        let before = (comment.start as usize).checked_sub(1).and_then(|i| body.get(i));
        let closed = before == Some(&b'(');
        parts.push(if closed { [b"(", part(comment), b")"].concat() } else { [b";", part(comment)].concat() });
    }
    let mut bytes = parts.join(&b' ');
    if block.block_delete {
        bytes.insert(0, b'/');
    }
    if block.checksum.is_some() {
        bytes.extend_from_slice(format!("*{}", checksum_of(&bytes)).as_bytes());
    }
    bytes
}

fn word(word: &super::Word, body: &[u8]) -> Vec<u8> {
    let mut bytes = vec![word.letter];
    match word.value {
        // Writing to a Vec cannot fail.
        Some(value) => _ = write!(bytes, "{value}"),
        // A quoted text, or nothing.
        None => bytes.extend_from_slice(
            body.get((word.start as usize).saturating_add(1)..word.end as usize).unwrap_or_default(),
        ),
    }
    bytes
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::gcode::lines;
    use proptest::prelude::*;

    fn read(bytes: &[u8]) -> Block {
        let mut block = Block::default();
        block.read(&lines(bytes).next().unwrap());
        block
    }

    /// What a line means, without where it stands in the line.
    fn meaning(block: &Block) -> (Block, Vec<(u8, Option<f64>)>) {
        let words = block.words.iter().map(|w| (w.letter, w.value)).collect();
        let (kind, block_delete, number) = (block.kind, block.block_delete, block.number);
        (Block { kind, block_delete, number, ..Block::default() }, words)
    }

    proptest! {
        #[test]
        fn means_the_same_and_stays_as_it_is(
            bytes in "/?(N[0-9]{1,5} ?)?([GMXYZEFPS] ?[-+]?[0-9]{1,4}(\\.[0-9]{0,9})?[ \t]?){1,7}(\\([a-z ]{0,5}\\))?(;[a-z ]{0,9})?"
        ) {
            let first = read(bytes.as_bytes());
            let once = tidy(&first, bytes.as_bytes());
            let second = read(&once);
            prop_assert_eq!(meaning(&first), meaning(&second));
            prop_assert_eq!(tidy(&second, &once), once);
        }
    }

    #[test]
    fn texts_and_longer_names_are_kept() {
        for line in ["M117 half way", "PARK X=1 ;c", "%", "G28 X", "M98 P\"a b\""] {
            assert_eq!(tidy(&read(line.as_bytes()), line.as_bytes()).as_slice(), line.as_bytes());
        }
    }
}
