//! The comment lines that frame a stop, so that it is found again and taken out whole.
//!
//! ```text
//! ; beadwise stop begin after=12 bytes=345678 crc=1a2b3c4d
//! ; beadwise note: M6 nut into the pocket at x 41 y 30
//! G1 E-1 F1800
//! ...
//! ; beadwise stop end
//! ```
//!
//! The begin line says which layer has been printed, and what the file was before any stop: its size and check
//! number, so that taking stops out can tell whether the very original is back.

use super::EmbedError;
use crate::gcode::Block;
use crate::gcode::BlockKind;
use crate::gcode::Line;
use crate::gcode::lines;
use crate::source::crc32;
use std::ops::RangeInclusive;

const BEGIN: &str = "beadwise stop begin";
const END: &str = "beadwise stop end";
const NOTE: &str = "beadwise note:";

/// What a file was before any stop went in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Origin {
    /// Its size.
    pub bytes: u64,
    /// Its check number.
    pub crc: u32,
}

impl Origin {
    /// Of a file without stops.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self { bytes: bytes.len() as u64, crc: crc32(bytes) }
    }
}

/// One framed stop in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// Its lines, both marks included.
    pub lines: RangeInclusive<u64>,
    /// The layer after which it stands.
    pub after_layer: usize,
    /// What the file was without stops.
    pub origin: Option<Origin>,
    /// What the person is told.
    pub notes: Vec<String>,
}

/// How the file writes comments.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CommentStyle {
    /// After `;`.
    #[default]
    Semicolon,
    /// In parentheses.
    Parentheses,
}

impl CommentStyle {
    /// A line with only this comment. What would end the comment early, or is no text, is left out.
    #[must_use]
    pub fn comment(self, text: &str) -> String {
        let plain = text.chars().map(|c| if c.is_control() { ' ' } else { c });
        match self {
            Self::Semicolon => format!("; {}", plain.collect::<String>().trim_end()),
            Self::Parentheses => {
                let inner: String = plain.map(|c| if matches!(c, '(' | ')') { '/' } else { c }).collect();
                format!("({})", inner.trim_end())
            }
        }
    }
}

/// The line that begins a stop.
pub(super) fn begin_text(after_layer: usize, origin: Origin) -> String {
    format!("{BEGIN} after={after_layer} bytes={} crc={:08x}", origin.bytes, origin.crc)
}

/// The line that ends a stop.
pub(super) const fn end_text() -> &'static str {
    END
}

/// A line that tells the person something.
pub(super) fn note_text(note: &str) -> String {
    format!("{NOTE} {note}")
}

/// A note as it will be read back: one line, without bytes that would end it.
pub(super) fn plain_note(note: &str, style: CommentStyle) -> String {
    let comment = style.comment(&note_text(note));
    let text = comment.trim_start_matches("; ").trim_start_matches('(').trim_end_matches(')');
    text.strip_prefix(NOTE).unwrap_or(text).trim().to_owned()
}

/// All framed stops of a file, in order.
///
/// # Errors
/// [`EmbedError::TornFrame`] when a mark has no fellow.
pub fn frames(bytes: &[u8]) -> Result<Vec<Frame>, EmbedError> {
    let mut found = Vec::new();
    // Most files have none, and looking for the words is much faster than reading lines.
    if memchr::memmem::find(bytes, b"beadwise stop").is_none() {
        return Ok(found);
    }
    let mut open: Option<Frame> = None;
    let mut block = Block::default();
    for line in lines(bytes) {
        if memchr::memmem::find(line.bytes, b"beadwise").is_none() {
            continue;
        }
        block.read(&line);
        let Some(text) = only_comment(&line, &block) else { continue };
        let torn = EmbedError::TornFrame { line: line.number };
        if let Some(rest) = text.strip_prefix(BEGIN) {
            let begun = begun(rest, line.number).ok_or_else(|| torn.clone())?;
            if open.replace(begun).is_some() {
                return Err(torn);
            }
        } else if text == END {
            let mut frame = open.take().ok_or(torn)?;
            frame.lines = *frame.lines.start()..=line.number;
            found.push(frame);
        } else if let (Some(frame), Some(note)) = (&mut open, text.strip_prefix(NOTE)) {
            frame.notes.push(note.trim().to_owned());
        }
    }
    match open {
        Some(frame) => Err(EmbedError::TornFrame { line: *frame.lines.start() }),
        None => Ok(found),
    }
}

/// The text of a line that is nothing but a comment.
fn only_comment<'a>(line: &Line<'a>, block: &Block) -> Option<&'a str> {
    let ([comment], BlockKind::Empty) = (block.comments.as_slice(), block.kind) else { return None };
    let text = line.bytes.get(comment.start as usize..comment.end as usize)?;
    std::str::from_utf8(text).ok().map(str::trim)
}

/// What a begin line says.
fn begun(rest: &str, line: u64) -> Option<Frame> {
    let value = |key: &str| rest.split_whitespace().find_map(|word| word.strip_prefix(key)?.strip_prefix('='));
    let bytes = value("bytes").and_then(|text| text.parse().ok());
    let crc = value("crc").and_then(|text| u32::from_str_radix(text, 16).ok());
    Some(Frame {
        lines: line..=line,
        after_layer: value("after")?.parse().ok()?,
        origin: bytes.zip(crc).map(|(bytes, crc)| Origin { bytes, crc }),
        notes: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn framed(style: CommentStyle) -> String {
        let origin = Origin { bytes: 77, crc: 0x0a0b_0c0d };
        let marks = [begin_text(12, origin), note_text("nut (M6) in"), end_text().to_owned()];
        let [begin, note, end] = marks.map(|text| style.comment(&text));
        format!("G1 X1\n{begin}\n{note}\nM0\n{end}\nG1 X2\n")
    }

    #[test]
    fn frames_are_found_in_either_style_of_comment() {
        for (style, note) in [(CommentStyle::Semicolon, "nut (M6) in"), (CommentStyle::Parentheses, "nut /M6/ in")] {
            let found = frames(framed(style).as_bytes()).unwrap();
            assert_eq!(found.len(), 1);
            assert_eq!(found[0].lines, 2..=5);
            assert_eq!(found[0].after_layer, 12);
            assert_eq!(found[0].origin, Some(Origin { bytes: 77, crc: 0x0a0b_0c0d }));
            assert_eq!(found[0].notes, [note]);
            assert_eq!(plain_note("nut (M6) in", style), note);
        }
    }

    #[test]
    fn torn_frames_are_named() {
        let whole = framed(CommentStyle::Semicolon);
        let no_end = whole.replace("; beadwise stop end\n", "");
        let no_begin = whole.lines().filter(|l| !l.contains("begin")).collect::<Vec<_>>().join("\n");
        assert_eq!(frames(no_end.as_bytes()), Err(EmbedError::TornFrame { line: 2 }));
        assert_eq!(frames(no_begin.as_bytes()), Err(EmbedError::TornFrame { line: 4 }));
        let twice = whole.replace("M0", "; beadwise stop begin after=3");
        assert_eq!(frames(twice.as_bytes()), Err(EmbedError::TornFrame { line: 4 }));
    }

    #[test]
    fn words_that_only_mention_stops_are_no_frames() {
        assert_eq!(frames(b"G1 X1 ; beadwise stop end\nM117 beadwise stop begin\n"), Ok(vec![]));
        assert_eq!(frames(b""), Ok(vec![]));
    }
}
