//! What the interpreter met on the way.

use crate::diag::{Diagnostic, Severity};
use crate::profile::DwellUnit;
use std::collections::BTreeMap;

/// Diagnostics beyond this number are counted, not kept.
const MOST_DIAGNOSTICS: usize = 200;

/// A command by its letter and its number in tenths, so that G92.1 is `('G', 921)`.
pub type Command = (char, u32);

/// What the interpreter met on the way.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Summary {
    /// Lines read.
    pub lines: u64,
    /// Lines that could not be read or obeyed, and were left out.
    pub bad_lines: u64,
    /// Lines after the end of the program, which never run.
    pub lines_after_end: u64,
    /// Lines that a block-delete switch would leave out; they are obeyed.
    pub block_delete_lines: u64,
    /// G0 to G3 lines (or lines that repeat them) with an axis word.
    pub moves: u64,
    /// Of these, those that go nowhere and feed nothing.
    pub still_moves: u64,
    /// Arcs among the moves.
    pub arcs: u64,
    /// Commands this reader does not know, with how often each was met.
    pub unknown: BTreeMap<Command, u64>,
    /// Lines that start with a longer name, never interpreted.
    pub extended: u64,
    /// T numbers that are calls of the machine, not tools.
    pub machine_calls: u64,
    /// T numbers taken for tools though the machine profile has fewer.
    pub tools_beyond_machine: u64,
    /// Dwells written with P, whose unit dialects disagree about; they were taken in this unit.
    pub dwells_by_p: u64,
    /// The unit that P of G4 was taken in.
    pub dwell_unit: DwellUnit,
    /// E words that would mean something else in the dialect that the machine profile does not choose.
    pub extruder_mode_matters: u64,
    /// Whether G90 and G91 were taken to set the extruder's mode.
    pub g90_sets_extruder: bool,
    /// Moves with the flow switched on (M101) and no E word on any line: their plastic is not known.
    pub unmeasured_flow_moves: u64,
    /// Waits for heat, homing, tool changes and people, s, as the machine profile has them.
    pub waits_s: f64,
    /// Dwells, s.
    pub dwell_s: f64,
    /// The first diagnostics, in order.
    pub diagnostics: Vec<Diagnostic>,
    /// How many more there were.
    pub more_diagnostics: u64,
}

impl Summary {
    /// How many commands were met that this reader does not know.
    #[must_use]
    pub fn unknown_commands(&self) -> u64 {
        self.unknown.values().sum::<u64>() + self.extended
    }

    /// How this file's commands were taken where dialects disagree; only what matters in it, one sentence each.
    #[must_use]
    pub fn dialect(&self) -> Vec<String> {
        let mut facts = Vec::new();
        if self.extruder_mode_matters > 0 {
            let verb = if self.g90_sets_extruder { "set" } else { "leave alone" };
            facts.push(format!(
                "G90 and G91 were taken to {verb} the extruder's mode; {} E words would read otherwise",
                self.extruder_mode_matters
            ));
        }
        if self.dwells_by_p > 0 {
            let unit = match self.dwell_unit {
                DwellUnit::Milliseconds => "milliseconds",
                DwellUnit::Seconds => "seconds",
            };
            facts.push(format!("P of G4 was taken as {unit} ({} in all)", self.dwells_by_p));
        }
        if self.block_delete_lines > 0 {
            facts.push(format!("{} lines marked for block delete were obeyed", self.block_delete_lines));
        }
        if self.machine_calls > 0 {
            facts.push(format!("{} T words were taken as calls of the machine, not as tools", self.machine_calls));
        }
        if self.unmeasured_flow_moves > 0 {
            facts.push(format!(
                "flow is switched on (M101) without an amount (moves: {}); their plastic is not counted",
                self.unmeasured_flow_moves
            ));
        }
        facts
    }

    pub(super) fn diagnose(&mut self, diagnostic: Diagnostic) {
        if self.diagnostics.len() < MOST_DIAGNOSTICS {
            self.diagnostics.push(diagnostic);
        } else {
            self.more_diagnostics += 1;
        }
    }

    pub(super) fn warn(&mut self, line: u64, code: &'static str, message: &str, remedy: &str) {
        if self.diagnostics.len() < MOST_DIAGNOSTICS {
            self.diagnose(Diagnostic::at_line(Severity::Warning, code, line, message).remedy(remedy));
        } else {
            self.more_diagnostics += 1;
        }
    }

    /// As [`Self::warn`], but only the first time for this code.
    pub(super) fn warn_once(&mut self, line: u64, code: &'static str, message: &str, remedy: &str) {
        if !self.diagnostics.iter().any(|diagnostic| diagnostic.code == code) {
            self.warn(line, code, message, remedy);
        }
    }

    /// A line that is left out.
    pub(super) fn leave_out(&mut self, line: u64, message: &str, remedy: &str) {
        self.bad_lines += 1;
        self.warn(line, "bad-line", message, remedy);
    }
}
