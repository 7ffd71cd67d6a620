//! What the whole file comes to, beyond its layers.

use super::Tower;
use crate::motion::{Event, EventKind, Move, MoveKind};
use std::collections::BTreeMap;

/// Sums over the whole file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Everything, s: moving and waiting.
    pub time_s: f64,
    /// Of that, waiting for heat, homing, tool changes and persons, as the machine profile has them, s.
    pub waiting_s: f64,
    /// Before the first layer of anything begins: homing, heating, priming in the air, s.
    pub before_first_s: f64,
    /// After the last bead, s.
    pub after_last_s: f64,
    /// Way of moves without filament, mm.
    pub travel_mm: f64,
    /// Time of moves without filament, s.
    pub travel_s: f64,
    /// Time of pulling filament back and priming it, s.
    pub retract_s: f64,
    /// How often filament is pulled back.
    pub retractions: u64,
    /// Moves that lay a bead.
    pub deposit_moves: u64,
    /// Moves without filament.
    pub travel_moves: u64,
    /// Plastic that came out before the first bead with no path to lie on, mm³.
    pub blob_before_mm3: f64,
    /// Plastic that came out after the last bead with no path to lie on, mm³.
    pub blob_after_mm3: f64,
    /// Box of all beads' centrelines: least and greatest x, y, z, mm; `None` when nothing is laid.
    pub box_mm: Option<[[f64; 3]; 2]>,
    /// Per tool that moves filament, in order of the tool's number.
    pub tools: Vec<ToolTotals>,
    /// Time of moves of tools that have moved no filament yet, by tool, s.
    unfed_s: BTreeMap<u16, f64>,
    /// Places where the printer waits for a person.
    pub stops: Vec<SeenStop>,
    /// Comments that say a layer begins.
    pub layer_marks: u64,
    /// Where tools are cleaned after every change, or may be.
    pub tower: Option<Tower>,
}

/// Sums of one tool.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ToolTotals {
    /// The tool.
    pub tool: u16,
    /// Filament fed for good, mm: the furthest it ever was, retractions and the feeds that undo them
    /// cancelling. A retraction still open at the end is not taken off.
    pub fed_mm: f64,
    /// Plastic laid as beads, mm³.
    pub bead_mm3: f64,
    /// Plastic that came out with no path to lie on, mm³.
    pub blob_mm3: f64,
    /// Time of its moves, travel included, s.
    pub time_s: f64,
    /// Filament fed less filament pulled back, so far, mm.
    net_mm: f64,
}

/// A place where the printer waits for a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SeenStop {
    /// Line of the file, counted from 1.
    pub line: u64,
    /// The last layer of the part that was complete by then; `None` before the first was.
    pub after_layer: Option<usize>,
}

impl Totals {
    /// Adds one move.
    pub(super) fn add_move(&mut self, step: &Move) {
        self.time_s += step.time_s;
        match step.kind {
            MoveKind::Travel => {
                self.travel_mm += step.length_mm;
                self.travel_s += step.time_s;
                self.travel_moves += u64::from(step.length_mm > 0.0);
            }
            MoveKind::Deposit => self.add_deposit(step),
            MoveKind::Retract => {
                self.retractions += 1;
                self.retract_s += step.time_s;
            }
            MoveKind::Prime => self.retract_s += step.time_s,
        }
        self.add_fed(step);
    }

    fn add_deposit(&mut self, step: &Move) {
        self.deposit_moves += 1;
        let [low, high] = self.box_mm.get_or_insert([step.from, step.from]);
        for end in [step.from, step.to] {
            for axis in 0..3 {
                low[axis] = low[axis].min(end[axis]);
                high[axis] = high[axis].max(end[axis]);
            }
        }
    }

    fn add_fed(&mut self, step: &Move) {
        if step.fed_mm == 0.0 && step.bead_mm3 == 0.0 && step.blob_mm3 == 0.0 {
            match self.tools.binary_search_by_key(&step.tool, |t| t.tool) {
                Ok(at) => self.tools[at].time_s += step.time_s,
                Err(_) => *self.unfed_s.entry(step.tool).or_default() += step.time_s,
            }
            return;
        }
        let at = match self.tools.binary_search_by_key(&step.tool, |t| t.tool) {
            Ok(at) => at,
            Err(at) => {
                let time_s = self.unfed_s.remove(&step.tool).unwrap_or_default();
                self.tools.insert(at, ToolTotals { tool: step.tool, time_s, ..ToolTotals::default() });
                at
            }
        };
        let tool = &mut self.tools[at];
        tool.net_mm += step.fed_mm;
        tool.fed_mm = tool.fed_mm.max(tool.net_mm);
        tool.bead_mm3 += step.bead_mm3;
        tool.blob_mm3 += step.blob_mm3;
        tool.time_s += step.time_s;
    }

    /// Adds one event.
    pub(super) fn add_event(&mut self, event: &Event) {
        self.time_s += event.time_s;
        match event.kind {
            EventKind::Dwell => {}
            EventKind::LayerMark { .. } => self.layer_marks += 1,
            _ => self.waiting_s += event.time_s,
        }
    }

    /// Plastic laid as beads by all tools, mm³.
    #[must_use]
    pub fn bead_mm3(&self) -> f64 {
        self.tools.iter().map(|t| t.bead_mm3).sum()
    }

    /// Filament fed for good by all tools, mm.
    #[must_use]
    pub fn fed_mm(&self) -> f64 {
        self.tools.iter().map(|t| t.fed_mm).sum()
    }
}
