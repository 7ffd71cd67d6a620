//! Writes single lines of G-code: numbers, words, comments, line numbers and checksums, as the dialect wants.

use super::dialect::Dialect;
use std::fmt::Write;

/// Millimetres in an inch (exact by definition).
const INCH_MM: f64 = 25.4;

/// A number as written: a whole count of the last decimal place.
pub type Count = i64;

/// Text under way, and what the machine knows by now.
#[derive(Debug)]
pub struct Pen<'a> {
    dialect: &'a Dialect,
    text: String,
    line: u64,
    /// Written position, counts (x, y, z).
    at: [Option<Count>; 3],
    /// Extruder position, mm³ or mm of the file's own extruder unit, exact.
    e: f64,
    /// The same as written.
    e_written: Count,
    feed: Option<Count>,
}

/// Decimals of coordinates and of the extruder.
const PLACES: (usize, usize) = (3, 5);
const PLACES_INCH: (usize, usize) = (5, 7);

impl<'a> Pen<'a> {
    /// Begins a text.
    pub fn new(dialect: &'a Dialect) -> Self {
        Self { dialect, text: String::new(), line: 0, at: [None; 3], e: 0.0, e_written: 0, feed: None }
    }

    /// The whole text.
    pub fn into_text(self) -> String {
        self.text
    }

    fn places(&self) -> (usize, usize) {
        if self.dialect.inches { PLACES_INCH } else { PLACES }
    }

    fn unit_mm(&self) -> f64 {
        if self.dialect.inches { INCH_MM } else { 1.0 }
    }

    fn count(&self, mm: f64) -> Count {
        (mm / self.unit_mm() * 10_f64.powi(self.places().0 as i32)).round() as Count
    }

    /// One line: words, number, checksum, ending.
    pub fn line(&mut self, words: &str, comment: Option<&str>) {
        self.line += 1;
        let separator = if self.dialect.compact { "" } else { " " };
        let body = if self.dialect.compact { words.replace(' ', "") } else { words.to_owned() };
        let body = if self.dialect.lower_case { body.to_lowercase() } else { body };
        let comment = comment.map(|c| if self.dialect.parentheses { format!("({c})") } else { format!("; {c}") });
        let start = self.text.len();
        if self.dialect.numbered && !body.is_empty() {
            let letter = if self.dialect.lower_case { 'n' } else { 'N' };
            let _ = write!(self.text, "{letter}{}{separator}{body}", self.line);
            let sum = self.text.as_bytes()[start..].iter().fold(0, |sum, byte| sum ^ byte);
            let _ = write!(self.text, "*{sum}");
        } else {
            self.text.push_str(&body);
        }
        if let Some(comment) = comment {
            if !body.is_empty() {
                self.text.push(' ');
            }
            self.text.push_str(&comment);
        }
        self.text.push_str(if self.dialect.crlf { "\r\n" } else { "\n" });
    }

    /// A line that is only a comment.
    pub fn comment(&mut self, comment: &str) {
        self.line("", Some(comment));
    }

    /// A command without comment.
    pub fn command(&mut self, words: &str) {
        self.line(words, None);
    }

    /// The machine has found its ends: it stands at zero.
    pub fn at_home(&mut self) {
        self.at = [Some(0); 3];
    }

    /// Sets the extruder's position to zero.
    pub fn reset_e(&mut self) {
        self.command("G92 E0");
        (self.e, self.e_written) = (0.0, 0);
    }

    fn number(&self, count: Count, places: usize) -> String {
        let (whole, part) =
            (count.unsigned_abs() / 10_u64.pow(places as u32), count.unsigned_abs() % 10_u64.pow(places as u32));
        let sign = if count < 0 { "-" } else { "" };
        let text = format!("{sign}{whole}.{part:0places$}");
        if self.dialect.trimmed { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    }

    /// Words for a new place; nothing for axes that stay. `None` leaves an axis alone.
    fn place_words(&mut self, to: [Option<f64>; 3]) -> String {
        let mut words = String::new();
        for (axis, letter) in ['X', 'Y', 'Z'].into_iter().enumerate() {
            let Some(count) = to[axis].map(|mm| self.count(mm)) else { continue };
            let before = self.at[axis];
            if before == Some(count) && !(self.dialect.all_words && axis < 2) {
                continue;
            }
            let value = if self.dialect.relative_xyz { count - before.unwrap_or(0) } else { count };
            self.at[axis] = Some(count);
            let _ = write!(words, " {letter}{}", self.number(value, self.places().0));
        }
        words
    }

    /// The word that feeds filament, by an amount in the file's own extruder unit (mm, or mm³).
    fn feed_word(&mut self, by: f64) -> String {
        let places = self.places().1;
        let unit = if self.dialect.volumetric { self.unit_mm().powi(3) } else { self.unit_mm() };
        self.e += by / unit;
        let count = (self.e * 10_f64.powi(places as i32)).round() as Count;
        let value = if self.dialect.relative_e { count - self.e_written } else { count };
        self.e_written = count;
        format!(" E{}", self.number(value, places))
    }

    /// The word for a speed, if it changes, mm/s.
    fn speed_word(&mut self, mm_s: f64) -> String {
        let slower = 100.0 / self.dialect.speed_percent.unwrap_or(100.0);
        let count = (mm_s * 60.0 * slower / self.unit_mm() * 100.0).round() as Count;
        if self.feed == Some(count) {
            return String::new();
        }
        self.feed = Some(count);
        let text = self.number(count, 2);
        format!(" F{}", text.strip_suffix(".00").unwrap_or(&text))
    }

    /// A straight move; `feeds` is filament in the extruder unit. Nothing is written for a move to where it stands.
    pub fn go(&mut self, to: [Option<f64>; 3], feeds: Option<f64>, mm_s: f64, comment: Option<&str>) {
        let place = self.place_words(to);
        let feed = feeds.map(|by| self.feed_word(by)).unwrap_or_default();
        if place.is_empty() && feed.is_empty() {
            return;
        }
        let speed = self.speed_word(mm_s);
        let code = if feeds.is_some() || self.dialect.travel_g1 { "G1" } else { "G0" };
        self.line(&format!("{code}{place}{feed}{speed}"), comment);
    }

    /// An arc in the plane about `centre` (absolute, mm), counter-clockwise or not.
    pub fn arc(&mut self, to: [f64; 2], centre: [f64; 2], counter: bool, feeds: f64, mm_s: f64, comment: Option<&str>) {
        let from = [self.at[0].unwrap_or(0), self.at[1].unwrap_or(0)];
        let [i, j] = [0, 1].map(|axis| self.number(self.count(centre[axis]) - from[axis], self.places().0));
        let mut place = self.place_words([Some(to[0]), Some(to[1]), None]);
        if place.is_empty() {
            place = " X0 Y0".to_owned();
        }
        let feed = self.feed_word(feeds);
        let speed = self.speed_word(mm_s);
        let code = if counter { "G3" } else { "G2" };
        self.line(&format!("{code}{place} I{i} J{j}{feed}{speed}"), comment);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn absolute_and_relative_say_the_same() {
        let absolute = Dialect::default();
        let mut pen = Pen::new(&absolute);
        pen.go([Some(1.5), Some(-0.25), None], None, 100.0, None);
        pen.go([Some(3.0), Some(-0.25), None], Some(0.123_456), 20.0, Some("wall"));
        assert_eq!(pen.into_text(), "G0 X1.500 Y-0.250 F6000\nG1 X3.000 E0.12346 F1200 ; wall\n");
        let relative =
            Dialect { relative_xyz: true, relative_e: true, crlf: true, trimmed: true, ..Dialect::default() };
        let mut pen = Pen::new(&relative);
        pen.at_home();
        pen.go([Some(1.5), Some(-0.25), None], None, 100.0, None);
        pen.go([Some(3.0), Some(-0.25), None], Some(0.123_456), 20.0, None);
        assert_eq!(pen.into_text(), "G0 X1.5 Y-0.25 F6000\r\nG1 X1.5 E0.12346 F1200\r\n");
    }

    #[test]
    fn rounding_does_not_add_up() {
        let relative = Dialect { relative_e: true, ..Dialect::default() };
        let mut pen = Pen::new(&relative);
        for i in 0..3 {
            pen.go([Some(f64::from(i) + 1.0), None, None], Some(0.000_004), 20.0, None);
        }
        let text = pen.into_text();
        let fed: Vec<&str> = text.lines().filter_map(|l| l.split(" E").nth(1)).collect();
        assert_eq!(fed, ["0.00000 F1200", "0.00001", "0.00000"]);
    }

    #[test]
    fn numbers_and_checksums() {
        let dialect = Dialect { numbered: true, lower_case: true, compact: true, inches: true, ..Dialect::default() };
        let mut pen = Pen::new(&dialect);
        pen.go([Some(25.4), None, None], None, 2.54, None);
        // The XOR of the bytes of "n1g0x1.00000f6", worked out apart.
        assert_eq!(pen.into_text(), "n1g0x1.00000f6*15\n");
    }
}
