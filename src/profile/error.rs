//! What can be wrong with a profile, with the place.

use crate::diag::{Diagnostic, Severity};
use std::fmt;
use std::path::PathBuf;

/// Why a profile cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ProfileError {
    /// Neither a built-in name nor a file.
    #[error("there is no {what} called `{name}`, built in or as a file{meant}; built in are {known}")]
    NotFound {
        /// Such as `machine`.
        what: &'static str,
        /// What was asked for.
        name: String,
        /// What was probably meant, as a half-sentence, or empty.
        meant: String,
        /// The built-in names.
        known: String,
    },
    /// The file cannot be read.
    #[error("cannot read {}: {why}", .path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// Why not.
        why: std::io::Error,
    },
    /// Something in it is wrong.
    #[error(transparent)]
    Wrong(Box<WrongProfile>),
}

/// Something wrong in a profile, with the place.
#[derive(Debug, Clone, PartialEq)]
pub struct WrongProfile {
    /// Path, or the name of the built-in profile.
    pub origin: String,
    /// Line, counted from 1.
    pub line: usize,
    /// First column of what is wrong, counted from 1.
    pub column: usize,
    /// How many columns it takes.
    pub width: usize,
    /// The line as it stands in the file.
    pub source_line: String,
    /// What is wrong; lower case, no full stop.
    pub message: String,
    /// What to do, if that can be said.
    pub remedy: Option<String>,
}

impl WrongProfile {
    /// Places `message` at bytes `span` of `text`.
    #[must_use]
    pub fn at(origin: &str, text: &str, span: std::ops::Range<usize>, message: String, remedy: Option<String>) -> Self {
        let start = floor_char(text, span.start.min(text.len()));
        let line_start = text.get(..start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
        let line = text.get(..start).map_or(0, |t| t.matches('\n').count()) + 1;
        let source_line = text.get(line_start..).and_then(|t| t.lines().next()).unwrap_or_default().to_owned();
        let before = text.get(line_start..start).unwrap_or_default();
        let end = floor_char(text, span.end.clamp(start, text.len()));
        let inside = text.get(start..end).and_then(|t| t.lines().next()).unwrap_or_default();
        let (column, width) = (before.chars().count() + 1, inside.chars().count().max(1));
        Self { origin: origin.to_owned(), line, column, width, source_line, message, remedy }
    }

    /// The same as a diagnostic.
    #[must_use]
    pub fn diagnostic(&self) -> Diagnostic {
        let message = format!("{}: {}", self.origin, self.message);
        let start = u32::try_from(self.column.saturating_sub(1)).unwrap_or(u32::MAX);
        let end = start.saturating_add(u32::try_from(self.width).unwrap_or(1));
        let found = Diagnostic::at_line(Severity::Error, "bad-profile", self.line as u64, message).columns(start..end);
        match &self.remedy {
            Some(remedy) => found.remedy(remedy.clone()),
            None => found,
        }
    }
}

fn floor_char(text: &str, mut at: usize) -> usize {
    while at > 0 && !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Characters of a line that are shown: what fits beside its number.
const MOST_SHOWN: usize = 74;

impl WrongProfile {
    /// What is shown of a line, which may be absurdly long, and how many characters of it stand before the place.
    fn excerpt(&self) -> (String, usize) {
        let before = self.column.saturating_sub(1);
        let skip = if before < MOST_SHOWN - 20 { 0 } else { before - 20 };
        (self.source_line.chars().skip(skip).take(MOST_SHOWN).collect(), before - skip)
    }
}

impl fmt::Display for WrongProfile {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(to, "{}:{}:{}: {}", self.origin, self.line, self.column, self.message)?;
        let number = self.line.to_string();
        let (excerpt, before) = self.excerpt();
        writeln!(to, "{number} | {excerpt}")?;
        let marks = "^".repeat(self.width.min(MOST_SHOWN - before.min(MOST_SHOWN - 1)));
        write!(to, "{:width$} | {:before$}{marks}", "", "", width = number.len())?;
        match &self.remedy {
            Some(remedy) => write!(to, " {remedy}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for WrongProfile {}

impl From<WrongProfile> for ProfileError {
    fn from(wrong: WrongProfile) -> Self {
        Self::Wrong(Box::new(wrong))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_place_is_shown_however_long_the_line() {
        for (before, width) in [(0, 1), (5, 3), (73, 200), (90, 4), (100_000, 100_000)] {
            let text = format!("{}{}\n", "-".repeat(before), "x".repeat(width));
            let shown = WrongProfile::at("a.toml", &text, before..before + width, "odd".to_owned(), None).to_string();
            let lines: Vec<&str> = shown.lines().collect();
            let (source, marks) = (lines[1], lines[2]);
            assert!(source.len() <= 80 && marks.len() <= 80, "{shown}");
            assert_eq!(source.find('x'), marks.find('^'), "{shown}");
        }
    }
}
