//! The stops of a file in their surroundings, for a look before anything is written.

use super::EmbedError;
use super::frame::frames;
use crate::gcode::lines;
use std::fmt::Write;

/// Lines of the file shown before and after a stop.
const AROUND: u64 = 3;

/// The lines of every stop in `bytes`, marked with `+`, each with a few lines of the file around it.
///
/// # Errors
/// [`EmbedError::TornFrame`] when a stop block has lost one of its marks.
pub fn preview(bytes: &[u8]) -> Result<String, EmbedError> {
    let stops = frames(bytes)?;
    let shown = |line: u64| {
        let near = stops.iter().find(|s| {
            line.saturating_add(AROUND) >= *s.lines.start() && line <= s.lines.end().saturating_add(AROUND)
        })?;
        Some(near.lines.contains(&line))
    };
    let mut text = String::new();
    let mut last_shown = 0u64;
    for line in lines(bytes) {
        let Some(own) = shown(line.number) else { continue };
        if last_shown > 0 && line.number > last_shown.saturating_add(1) {
            text.push_str("     ...\n");
        }
        last_shown = line.number;
        let mark = if own { '+' } else { ' ' };
        // Writing to a String cannot fail.
        _ = writeln!(text, "{:>7} {mark} {}", line.number, String::from_utf8_lossy(line.body()));
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn stops_are_marked_and_have_their_surroundings() {
        let file = "1\r\n2\r\nG1 X3\r\nG1 X4\r\nG1 X5\r\n; beadwise stop begin after=3\r\nM0\r\n; beadwise stop end\r\nG1 X9\r\n";
        let expected = "      3   G1 X3\n      4   G1 X4\n      5   G1 X5\n      6 + ; beadwise stop begin after=3\n      \
                        7 + M0\n      8 + ; beadwise stop end\n      9   G1 X9\n";
        assert_eq!(preview(file.as_bytes()).unwrap(), expected);
        assert_eq!(preview(b"G1 X1\n").unwrap(), "");
    }

    #[test]
    fn what_lies_between_two_stops_is_left_out() {
        let stop = "; beadwise stop begin after=3\nM0\n; beadwise stop end\n";
        let shown = |between: usize| preview(format!("{stop}{}{stop}", "G1\n".repeat(between)).as_bytes()).unwrap();
        // Three lines after the first stop and three before the second; a seventh between them is not shown.
        assert_eq!(shown(6).matches("...").count(), 0);
        assert!(shown(7).contains("      6   G1\n     ...\n      8   G1\n"), "{}", shown(7));
        assert_eq!(shown(7).matches("...").count(), 1);
    }
}
