//! Proof that a stopped file prints what the original prints.
//!
//! Two things are shown. Taken out, the stops leave the original's very bytes. And when both files run side by
//! side, line by line, every step of the original is a step of the stopped file (place, feed, filament, tool,
//! heat, role), both lay the same beads in the same layers, after every stop the machine remembers what it
//! remembers in the original, and within a stop it lays nothing, crosses nothing and waits for a person once.

use super::frame::{Frame, frames};
use super::same::{self, Difference};
use super::undo;
use crate::deposit::Depositor;
use crate::deposit::Layer;
use crate::gcode::Block;
use crate::gcode::Line;
use crate::gcode::Lines;
use crate::gcode::lines;
use crate::motion::EventKind;
use crate::motion::Motion;
use crate::motion::MoveKind;
use crate::motion::State;
use crate::motion::Step;
use std::collections::VecDeque;
use thiserror::Error;

/// Within a stop the nozzle goes sideways at least this far above where it was, mm.
const CLEAR_MM: f64 = 0.5;
/// Lengths below this are rounding, mm.
const ROUNDING_MM: f64 = 1e-6;

/// Why a stopped file is not proven.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Refusal {
    /// With the stops taken out, the bytes are not the original's.
    #[error("without its stops the file is not the original, from line {line} on")]
    Bytes {
        /// The first line that differs.
        line: u64,
    },
    /// The marks of the stops cannot be read.
    #[error("its stop blocks cannot be read back")]
    Frames,
    /// A step of the original is missing or changed.
    #[error("line {line} would not do what it did: {difference}")]
    Step {
        /// Line of the stopped file.
        line: u64,
        /// What differs.
        difference: Difference,
    },
    /// One of the files does more than the other.
    #[error("the files do not do the same number of things")]
    Count,
    /// After a stop the machine remembers something else.
    #[error("after the stop that ends in line {line}, {difference}")]
    State {
        /// Last line of the stop.
        line: u64,
        /// What differs.
        difference: Difference,
    },
    /// The beads of a layer differ.
    #[error("the beads of layer {layer} differ: {difference}")]
    Beads {
        /// Counted in print order.
        layer: usize,
        /// What differs.
        difference: Difference,
    },
    /// Something within a stop is not as it should be.
    #[error("line {line} of the stop {what}")]
    Stop {
        /// Line of the stopped file.
        line: u64,
        /// What is wrong with it.
        what: &'static str,
    },
    /// A stop does not wait for a person, or more than once.
    #[error("the stop that ends in line {line} waits for a person {times} times instead of once")]
    Waits {
        /// Last line of the stop.
        line: u64,
        /// How often it waits.
        times: usize,
    },
}

/// What was compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Proof {
    /// Stops in the file.
    pub stops: usize,
    /// Steps that are the same in both.
    pub steps: u64,
    /// Beads that are the same in both.
    pub beads: u64,
    /// Layers that are the same in both.
    pub layers: usize,
}

/// Proves that `stopped` prints what `original` prints; `machine` has read nothing yet.
///
/// # Errors
/// [`Refusal`] with the first thing that differs.
pub fn prove(original: &[u8], stopped: &[u8], machine: &Motion) -> Result<Proof, Refusal> {
    let without = undo::without_stops(stopped).map_err(|_| Refusal::Frames)?;
    if without != original {
        return Err(Refusal::Bytes { line: first_difference(original, &without) });
    }
    let stops = frames(stopped).map_err(|_| Refusal::Frames)?;
    let mut pair =
        Pair { original: Run::new(original, machine), stopped: Run::new(stopped, machine), proof: Proof::default() };
    pair.proof.stops = stops.len();
    for stop in &stops {
        pair.run_to(*stop.lines.start())?;
        pair.run_stop(stop)?;
    }
    pair.run_to(u64::MAX)?;
    pair.finish()
}

/// The first line of `stopped` that is not `original`'s.
fn first_difference(original: &[u8], stopped: &[u8]) -> u64 {
    let same = lines(original).zip(lines(stopped)).take_while(|(a, b)| a.bytes == b.bytes).count();
    (same as u64).saturating_add(1)
}

/// One file on its way through the machine.
struct Run<'a> {
    lines: Lines<'a>,
    next: Option<Line<'a>>,
    block: Block,
    motion: Motion,
    depositor: Depositor,
    /// Steps that were settled and are not yet compared.
    steps: VecDeque<Step>,
    layers: VecDeque<Layer>,
    settled: Vec<Step>,
}

impl<'a> Run<'a> {
    fn new(bytes: &'a [u8], machine: &Motion) -> Self {
        let mut lines = lines(bytes);
        Self {
            next: lines.next(),
            lines,
            block: Block::default(),
            motion: machine.clone(),
            depositor: Depositor::new(),
            steps: VecDeque::new(),
            layers: VecDeque::new(),
            settled: Vec::new(),
        }
    }

    /// Runs the next line; whether there was one.
    fn line(&mut self) -> bool {
        let Some(line) = self.next else { return false };
        self.block.read(&line);
        self.motion.feed(&line, &self.block, &mut self.settled);
        self.next = self.lines.next();
        self.settle();
        true
    }

    /// Runs nothing more.
    fn end(&mut self) {
        self.motion.finish(&mut self.settled);
        self.settle();
        let layers = &mut self.layers;
        std::mem::take(&mut self.depositor).finish(&mut |layer| layers.push_back(layer));
    }

    fn settle(&mut self) {
        let layers = &mut self.layers;
        for step in self.settled.drain(..) {
            self.depositor.push(&step, &mut |layer| layers.push_back(layer));
            self.steps.push_back(step);
        }
    }
}

/// Both files, side by side.
struct Pair<'a> {
    original: Run<'a>,
    stopped: Run<'a>,
    proof: Proof,
}

impl Pair<'_> {
    /// Runs both until the stopped file is before `line`.
    fn run_to(&mut self, line: u64) -> Result<(), Refusal> {
        while self.stopped.next.is_some_and(|next| next.number < line) {
            self.stopped.line();
            self.original.line();
            self.compare()?;
        }
        Ok(())
    }

    /// Runs the lines of a stop, which only the stopped file has.
    fn run_stop(&mut self, stop: &Frame) -> Result<(), Refusal> {
        let before = self.stopped.motion.state().clone();
        // What the planner still holds is of lines before the stop; a copy that stands still hands it out.
        self.stand_still();
        self.compare()?;
        if !(self.original.steps.is_empty() && self.stopped.steps.is_empty()) {
            return Err(Refusal::Count);
        }
        while self.stopped.next.is_some_and(|next| stop.lines.contains(&next.number)) {
            self.stopped.line();
        }
        self.stopped.motion.finish(&mut self.stopped.settled);
        self.stopped.settle();
        let own: Vec<Step> = self.stopped.steps.drain(..).collect();
        check_stop(&own, &before, *stop.lines.end())?;
        let (was, is) = (self.original.motion.state(), self.stopped.motion.state());
        match same::states(was, is) {
            Some(difference) => Err(Refusal::State { line: *stop.lines.end(), difference }),
            None => Ok(()),
        }
    }

    /// Lets both planners hand out what they hold. Times change by it, but times are not compared.
    fn stand_still(&mut self) {
        for run in [&mut self.original, &mut self.stopped] {
            run.motion.finish(&mut run.settled);
            run.settle();
        }
    }

    /// Compares what both have settled.
    fn compare(&mut self) -> Result<(), Refusal> {
        while let (Some(was), Some(is)) = (self.original.steps.front(), self.stopped.steps.front()) {
            if let Some(difference) = same::steps(was, is) {
                return Err(Refusal::Step { line: line_of(is), difference });
            }
            self.original.steps.pop_front();
            self.stopped.steps.pop_front();
            self.proof.steps = self.proof.steps.saturating_add(1);
        }
        while let (Some(was), Some(is)) = (self.original.layers.front(), self.stopped.layers.front()) {
            if let Some(difference) = same::layers(was, is) {
                return Err(Refusal::Beads { layer: self.proof.layers, difference });
            }
            self.proof.beads = self.proof.beads.saturating_add(was.beads.len() as u64);
            self.proof.layers = self.proof.layers.saturating_add(1);
            self.original.layers.pop_front();
            self.stopped.layers.pop_front();
        }
        Ok(())
    }

    fn finish(mut self) -> Result<Proof, Refusal> {
        while self.original.line() {}
        self.original.end();
        self.stopped.end();
        self.compare()?;
        let left = [&self.original, &self.stopped].map(|run| run.steps.len().saturating_add(run.layers.len()));
        if left == [0, 0] { Ok(self.proof) } else { Err(Refusal::Count) }
    }
}

const fn line_of(step: &Step) -> u64 {
    match step {
        Step::Move(step) => step.line,
        Step::Event(event) => event.line,
    }
}

/// What must hold of the steps of one stop; `before` is what the machine remembered when it began.
fn check_stop(steps: &[Step], before: &State, end: u64) -> Result<(), Refusal> {
    let start = before.nozzle_mm();
    let wrong = |line, what| Err(Refusal::Stop { line, what });
    let mut waits = 0usize;
    for step in steps {
        match step {
            Step::Move(step) => {
                let sideways = (step.to[0] - step.from[0]).hypot(step.to[1] - step.from[1]);
                let lowest = step.from[2].min(step.to[2]);
                if step.kind == MoveKind::Deposit {
                    return wrong(step.line, "lays plastic");
                }
                let (above, clear) = (lowest >= start[2] - ROUNDING_MM, lowest >= start[2] + CLEAR_MM);
                if !above {
                    return wrong(step.line, "goes below the layer");
                }
                if sideways > ROUNDING_MM && !clear {
                    return wrong(step.line, "goes sideways without lifting clear of the layer");
                }
            }
            Step::Event(event) => match event.kind {
                EventKind::Stop => waits = waits.saturating_add(1),
                EventKind::Bed { .. } | EventKind::Chamber { .. } => {
                    return wrong(event.line, "changes the bed's heat");
                }
                EventKind::Home => return wrong(event.line, "sends the nozzle to its end switches"),
                EventKind::End => return wrong(event.line, "ends the program"),
                _ => {}
            },
        }
    }
    if waits == 1 { Ok(()) } else { Err(Refusal::Waits { line: end, times: waits }) }
}
