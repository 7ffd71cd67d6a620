//! Many files: a line for each, and their sum.

use super::audit_text::{WIDTH, paint_verdict};
use super::{AuditedFile, Figures, Paint};
use crate::audit::Verdict;
use std::fmt::Write;

/// One audit in one line: verdict, mass, time, name.
#[must_use]
pub fn audit_line(file: &AuditedFile, figures: Figures, paint: Paint) -> String {
    let totals = &file.measures.totals;
    let mass = totals.mass_g.map_or_else(|| figures.volume(totals.volume_mm3), |g| figures.mass(g));
    let columns = format!("{mass:>10}  {:>13}", figures.time(totals.time.total_s()));
    let verdict = paint_verdict(file.audit.verdict, paint, 11);
    format!("{verdict}  {columns}  {}\n", name_that_fits(&file.name, WIDTH - 11 - 2 - columns.chars().count() - 2))
}

/// The name, without its first letters where it is too long: its end tells most.
fn name_that_fits(name: &str, width: usize) -> String {
    let length = name.chars().count();
    if length <= width {
        return name.to_owned();
    }
    let end: String = name.chars().skip(length - width.saturating_sub(3)).collect();
    format!("...{end}")
}

/// The sum over many files.
#[derive(Debug, Clone, Default)]
pub struct Summary {
    /// Files that could not be read or measured.
    pub not_read: usize,
    pass: usize,
    fail: usize,
    undetermined: usize,
    unchecked: usize,
    /// Sum of masses; `None` where one is not known.
    mass_g: Option<f64>,
    volume_mm3: f64,
    time_s: f64,
}

impl Summary {
    /// Adds one file.
    pub fn add(&mut self, file: &AuditedFile) {
        let totals = &file.measures.totals;
        self.mass_g =
            if self.files() == 0 { totals.mass_g } else { self.mass_g.zip(totals.mass_g).map(|(a, b)| a + b) };
        self.volume_mm3 += totals.volume_mm3;
        self.time_s += totals.time.total_s();
        match file.audit.verdict {
            Verdict::Pass => self.pass += 1,
            Verdict::Fail => self.fail += 1,
            Verdict::Undetermined => self.undetermined += 1,
            Verdict::Unchecked => self.unchecked += 1,
        }
    }

    /// Files that were audited.
    const fn files(&self) -> usize {
        self.pass + self.fail + self.undetermined + self.unchecked
    }

    /// In one or two lines.
    #[must_use]
    pub fn text(&self, figures: Figures, paint: Paint) -> String {
        let counts = [
            (self.pass, "pass"),
            (self.fail, "fail"),
            (self.undetermined, "cannot be judged"),
            (self.unchecked, "not checked"),
            (self.not_read, "not read"),
        ];
        let told: Vec<String> = counts.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
        let mut text = String::new();
        // Writing to a String cannot fail.
        let _ =
            writeln!(text, "{}", paint.strong(&format!("{} files: {}", self.files() + self.not_read, told.join(", "))));
        let mass = self.mass_g.map_or_else(|| figures.volume(self.volume_mm3), |g| figures.mass(g));
        let _ = writeln!(text, "together {mass}, {}", figures.time(self.time_s));
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_keep_their_end() {
        assert_eq!(name_that_fits("short.gcode", 20), "short.gcode");
        assert_eq!(name_that_fits("a/very/long/folder/part.gcode", 14), ".../part.gcode");
    }
}
