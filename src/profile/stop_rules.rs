//! How a stop for a person is written into a file.
//!
//! Lift, park, wait and return are the stop's own; the lines at which the machine waits are the profile's:
//!
//! ```toml
//! [stop]
//! before = ["M117 {note}", "M300 S880 P200"]
//! command = "M0"
//! ```

use super::read::{Impossible, ensure};
use crate::gcode::Block;
use crate::gcode::BlockKind;
use crate::gcode::Command;
use crate::gcode::lines;
use serde::Deserialize;

/// How a stop is written into a file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct StopRules {
    /// The line that makes the machine wait for a person; `M0` is the program stop of RS-274. Its code must stand
    /// in the machine's `stop_codes`.
    pub command: String,
    /// Lines sent just before it, such as `M117 {note}` or a beep, `M300 S880 P200`.
    pub before: Vec<String>,
    /// Lines sent just after it.
    pub after: Vec<String>,
    /// Where the nozzle waits, mm (x, y); `None` for the front left corner of the bed.
    pub park_mm: Option<[f64; 2]>,
    /// How far it lifts above the layer, mm.
    pub lift_mm: f64,
    /// Filament pulled back before the lift, mm; 0 for none.
    pub retract_mm: f64,
    /// Speed of that, mm/s.
    pub retract_mm_s: f64,
    /// Filament fed on return beyond what was pulled back, mm.
    pub prime_mm: f64,
    /// Speed of travel at a stop, mm/s.
    pub travel_mm_s: f64,
    /// Speed of the lift, mm/s.
    pub lift_mm_s: f64,
    /// Nozzle temperature while it waits, °C; `None` holds the temperature it has.
    pub standby_c: Option<f64>,
    /// Where these numbers come from.
    pub source: Option<String>,
}

impl Default for StopRules {
    fn default() -> Self {
        Self {
            command: "M0".to_owned(),
            before: Vec::new(),
            after: Vec::new(),
            park_mm: None,
            lift_mm: 10.0,
            retract_mm: 1.0,
            retract_mm_s: 30.0,
            prime_mm: 0.0,
            travel_mm_s: 100.0,
            lift_mm_s: 10.0,
            standby_c: None,
            source: None,
        }
    }
}

impl StopRules {
    /// The first thing that cannot be; `stop_codes` are the machine's.
    pub(super) fn check(&self, stop_codes: &[String]) -> Result<(), Impossible> {
        self.check_lines(stop_codes)?;
        ensure(self.lift_mm >= 0.0 && self.lift_mm < 500.0, "stop.lift_mm", "must be from 0 to 500")?;
        ensure(self.retract_mm >= 0.0 && self.retract_mm < 100.0, "stop.retract_mm", "must be from 0 to 100")?;
        ensure(self.prime_mm >= 0.0 && self.prime_mm < 100.0, "stop.prime_mm", "must be from 0 to 100")?;
        ensure(self.retract_mm_s > 0.0, "stop.retract_mm_s", "must be greater than 0")?;
        ensure(self.travel_mm_s > 0.0, "stop.travel_mm_s", "must be greater than 0")?;
        ensure(self.lift_mm_s > 0.0, "stop.lift_mm_s", "must be greater than 0")?;
        let standby = self.standby_c.is_none_or(|c| (0.0..500.0).contains(&c));
        ensure(standby, "stop.standby_c", "must be from 0 to 500")
    }

    fn check_lines(&self, stop_codes: &[String]) -> Result<(), Impossible> {
        let stops = |line: &str| {
            let first = line.split_whitespace().next().unwrap_or_default();
            stop_codes.iter().any(|code| code.eq_ignore_ascii_case(first))
        };
        check_line(&self.command, "stop.command")?;
        ensure(stops(&self.command), "stop.command", "must begin with one of the machine's stop_codes")?;
        for (key, lines) in [("stop.before", &self.before), ("stop.after", &self.after)] {
            for line in lines {
                check_line(line, key)?;
                ensure(!stops(line), key, "must not stop the machine; only `stop.command` does")?;
            }
        }
        Ok(())
    }
}

/// What a line of a stop may say in braces, and an example of each.
const NAMED_VALUES: &[(&str, &str)] = &[("note", "nut in"), ("layer", "12"), ("z_mm", "2.6")];

/// Codes that move, feed, heat, cool or change a mode: the stop does these itself, and puts them back.
const RESERVED: &[(u8, &[u32])] = &[
    (b'G', &[0, 1, 2, 3, 10, 11, 17, 18, 19, 20, 21, 28, 29, 30, 53, 90, 91, 92]),
    (b'M', &[2, 30, 82, 83, 101, 102, 103, 104, 106, 107, 109, 140, 141, 190, 191, 200, 201, 203, 204, 205]),
    (b'M', &[207, 208, 220, 221]),
];

fn check_line(line: &str, key: &str) -> Result<(), Impossible> {
    ensure(!line.trim().is_empty() && !line.contains(['\n', '\r']), key, "must be lines with a command each")?;
    let mut filled = line.to_owned();
    for (name, example) in NAMED_VALUES {
        filled = filled.replace(&format!("{{{name}}}"), example);
    }
    ensure(!filled.contains(['{', '}']), key, "may name {note}, {layer} and {z_mm} in braces, nothing else")?;
    let mut block = Block::default();
    lines(filled.as_bytes()).for_each(|line| block.read(&line));
    let readable = matches!(block.kind, BlockKind::Words | BlockKind::Extended) && block.number.is_none();
    ensure(readable, key, "must hold G-code lines without numbers")?;
    let reserved = |code: Command| {
        code.letter == b'T'
            || RESERVED.iter().any(|(letter, codes)| *letter == code.letter && codes.contains(&code.number))
    };
    let first_is_axis = block.command().is_none() && block.kind == BlockKind::Words;
    let message = "must not move, feed, heat or change modes; the stop does that itself and puts it back";
    ensure(!first_is_axis && !block.commands().any(reserved), key, message)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(change: impl FnOnce(&mut StopRules)) -> Result<(), String> {
        let mut rules = StopRules::default();
        change(&mut rules);
        rules.check(&["M0".to_owned(), "M600".to_owned(), "PAUSE".to_owned()]).map_err(|e| e.key)
    }

    #[test]
    fn sensible_lines_pass() {
        assert_eq!(check(|_| ()), Ok(()));
        assert_eq!(check(|r| r.before = vec!["M117 {note}".to_owned(), "M300 S880 P200".to_owned()]), Ok(()));
        assert_eq!(check(|r| r.command = "M0 after layer {layer}, z {z_mm}".to_owned()), Ok(()));
        assert_eq!(check(|r| r.command = "PAUSE".to_owned()), Ok(()));
        assert_eq!(check(|r| r.after = vec!["G4 S2".to_owned()]), Ok(()));
    }

    #[test]
    fn lines_that_would_harm_are_refused() {
        for line in
            ["G1 X5", "X5", "G91", "M104 S0", "T1", "M106", "G92 E0", "M82", "", "M117 {colour}", "!", "M0", "N5 M117"]
        {
            assert_eq!(check(|r| r.before = vec![line.to_owned()]), Err("stop.before".to_owned()), "{line}");
        }
        for line in ["M25", "G4 S9", "", "M0\nG1 X5"] {
            assert_eq!(check(|r| r.command = line.to_owned()), Err("stop.command".to_owned()), "{line}");
        }
    }
}
