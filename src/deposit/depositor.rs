//! Steps in, layers out: the stream through this room.
//!
//! ```text
//! steps ──> strands ──> runs ──> (a few runs held back) ──> kind, height ──> laps, widths, roles ──> layers
//! ```

use super::finish::Finisher;
use super::run::{Run, RunBuilder};
use super::strand::RawStrand;
use super::totals::{SeenStop, Totals};
use super::{Bead, Layer, LayerKind};
use crate::geom::Point;
use crate::motion::{Event, EventKind, Move, MoveKind, Step, steps};
use crate::profile::{Annotations, Machine};
use std::collections::VecDeque;

/// Runs to see before the first one is judged: enough to know the usual layer height and to see over a raft.
const LOOK_AHEAD_FIRST: usize = 24;
/// Runs to see beyond a later one.
const LOOK_AHEAD_LATER: usize = 6;
/// Beads held back at most (about 90 bytes each) before runs are judged early.
const MOST_BEADS_HELD: usize = 1_500_000;
/// Movement shorter than this is none, mm.
const STILL_MM: f64 = 1e-6;

/// Builds layers from steps; only a bounded number of runs is held back.
///
/// ```
/// use beadwise::deposit::Depositor;
/// let mut layers = Vec::new();
/// let mut depositor = Depositor::new();
/// // for step in steps { depositor.push(&step, &mut |layer| layers.push(layer)); }
/// let totals = depositor.finish(&mut |layer| layers.push(layer));
/// assert!(layers.is_empty() && totals.deposit_moves == 0);
/// ```
#[derive(Debug, Default)]
pub struct Depositor {
    strand: RawStrand,
    runs: RunBuilder,
    queue: VecDeque<Run>,
    held_beads: usize,
    started: bool,
    finisher: Finisher,
    /// Time since the last bead, s.
    pending_s: f64,
    /// Plastic without a path since the last strand began, mm³.
    pending_blob_mm3: f64,
    totals: Totals,
    /// Stops not yet known to be after which layer.
    open_stops: Vec<u64>,
    last_index: Option<usize>,
}

/// All layers of a file at once, and the sums: for tests and tools. An audit takes them one by one from a
/// [`Depositor`] instead.
#[must_use]
pub fn layers(bytes: &[u8], machine: &Machine, annotations: &Annotations) -> (Vec<Layer>, Totals) {
    let mut layers = Vec::new();
    let mut depositor = Depositor::with_first_roles();
    for step in steps(bytes, machine, annotations) {
        depositor.push(&step, &mut |layer| layers.push(layer));
    }
    let totals = depositor.finish(&mut |layer| layers.push(layer));
    (layers, totals)
}

impl Depositor {
    /// A room with nothing in it yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// One that also tells walls from fill. The shape room does that better, so whoever measures shapes
    /// need not wait for it.
    #[must_use]
    pub fn with_first_roles() -> Self {
        Self { finisher: Finisher::with_first_roles(), ..Self::default() }
    }

    /// Takes the next step; hands over each layer that is now certain.
    pub fn push(&mut self, step: &Step, sink: &mut impl FnMut(Layer)) {
        match step {
            Step::Move(step) => self.push_move(step, sink),
            Step::Event(event) => self.push_event(event, sink),
        }
    }

    /// The file is over: hands over the layers held back, and the sums of everything.
    pub fn finish(mut self, sink: &mut impl FnMut(Layer)) -> Totals {
        self.end_strand(sink);
        if let Some(run) = self.runs.finish() {
            self.enqueue(run, sink);
        }
        while !self.queue.is_empty() {
            self.finish_front(sink);
        }
        self.totals.after_last_s = self.pending_s;
        self.totals.blob_after_mm3 = self.pending_blob_mm3;
        self.totals.tower = self.finisher.tower;
        for line in self.open_stops {
            self.totals.stops.push(SeenStop { line, after_layer: self.last_index });
        }
        self.totals
    }

    fn push_move(&mut self, step: &Move, sink: &mut impl FnMut(Layer)) {
        self.totals.add_move(step);
        self.pending_s += step.time_s;
        self.pending_blob_mm3 += step.blob_mm3;
        let length_xy = Point::new(step.from[0], step.from[1]).distance(Point::new(step.to[0], step.to[1]));
        let moves = length_xy > STILL_MM || (step.to[2] - step.from[2]).abs() > STILL_MM;
        if step.kind == MoveKind::Deposit {
            if step.length_mm > 0.0 && (length_xy > 0.0 || !moves) {
                self.lay(step, sink);
            } else {
                self.pending_blob_mm3 += step.bead_mm3;
                if moves {
                    self.end_strand(sink);
                }
            }
        } else if moves || step.fed_mm < 0.0 {
            self.end_strand(sink);
        }
    }

    fn lay(&mut self, step: &Move, sink: &mut impl FnMut(Layer)) {
        if !self.started {
            self.started = true;
            self.totals.blob_before_mm3 = std::mem::take(&mut self.pending_blob_mm3);
        }
        let from = Point::new(step.from[0], step.from[1]);
        if self.strand.beads.last().is_some_and(|b| b.to.distance(from) > 1e-3) || self.strand.tool != step.tool {
            self.end_strand(sink);
        }
        self.strand.tool = step.tool;
        self.strand.time_s += std::mem::take(&mut self.pending_s);
        self.strand.blob_mm3 += std::mem::take(&mut self.pending_blob_mm3);
        let bead = Bead {
            from,
            to: Point::new(step.to[0], step.to[1]),
            z_mm: step.to[2],
            length_mm: step.length_mm,
            area_mm2: step.bead_mm3 / step.length_mm,
            width_mm: 0.0,
            time_s: step.time_s,
            line: step.line,
        };
        self.strand.add(bead, step.from[2], step.label, step.nozzle_c);
        if self.strand.sloped() {
            for lap in self.strand.take_laps(self.runs.likely_step_mm()) {
                self.end_run_with(lap, sink);
            }
        }
    }

    fn push_event(&mut self, event: &Event, sink: &mut impl FnMut(Layer)) {
        self.totals.add_event(event);
        self.pending_s += event.time_s;
        match event.kind {
            EventKind::Home
            | EventKind::Nozzle { wait: true, .. }
            | EventKind::Bed { wait: true, .. }
            | EventKind::Chamber { wait: true, .. }
                if !self.started =>
            {
                self.totals.before_first_s += std::mem::take(&mut self.pending_s);
            }
            EventKind::Tool { .. } => self.end_strand(sink),
            EventKind::Stop => {
                self.end_strand(sink);
                self.open_stops.push(event.line);
            }
            _ => {}
        }
    }

    fn end_strand(&mut self, sink: &mut impl FnMut(Layer)) {
        if !self.strand.beads.is_empty() {
            let strand = std::mem::take(&mut self.strand);
            self.end_run_with(strand, sink);
        }
        self.strand.rising = false;
    }

    fn end_run_with(&mut self, strand: RawStrand, sink: &mut impl FnMut(Layer)) {
        if let Some(run) = self.runs.push(strand) {
            self.enqueue(run, sink);
        }
    }

    fn enqueue(&mut self, run: Run, sink: &mut impl FnMut(Layer)) {
        for run in self.finisher.admit(run) {
            self.held_beads += run.beads.len();
            self.queue.push_back(run);
        }
        let ahead = if self.finisher.begun() { LOOK_AHEAD_LATER } else { LOOK_AHEAD_FIRST };
        while self.queue.len() > ahead || (self.queue.len() > 2 && self.held_beads > MOST_BEADS_HELD) {
            self.finish_front(sink);
        }
    }

    fn finish_front(&mut self, sink: &mut impl FnMut(Layer)) {
        let before = self.queue.iter().map(|r| r.beads.len()).sum::<usize>();
        let layers = self.finisher.finish_front(&mut self.queue);
        let after = self.queue.iter().map(|r| r.beads.len()).sum::<usize>();
        self.held_beads = self.held_beads.saturating_sub(before - after);
        for layer in layers {
            self.close_stops(&layer);
            if layer.kind == LayerKind::Part {
                self.last_index = layer.index;
            }
            sink(layer);
        }
    }

    /// Stops before the last bead of `layer` come after the layer before it.
    fn close_stops(&mut self, layer: &Layer) {
        let after_layer = self.last_index;
        let last_line = layer.lines.1;
        let stops = &mut self.totals.stops;
        self.open_stops.retain(|line| {
            let open = *line > last_line;
            if !open {
                stops.push(SeenStop { line: *line, after_layer });
            }
            open
        });
    }
}
