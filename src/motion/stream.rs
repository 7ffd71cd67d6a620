//! A whole file as an iterator of steps.

use super::{Motion, Step, Summary};
use crate::gcode::Block;
use crate::gcode::Lines;
use crate::gcode::lines;
use crate::profile::Annotations;
use crate::profile::Machine;

/// The steps of a file in order; see [`steps`].
#[derive(Debug, Clone)]
pub struct Steps<'a> {
    lines: Lines<'a>,
    block: Block,
    motion: Motion,
    ready: std::vec::IntoIter<Step>,
    finished: bool,
}

/// What the machine does when it runs `bytes`, step by step.
#[must_use]
pub fn steps<'a>(bytes: &'a [u8], machine: &Machine, annotations: &Annotations) -> Steps<'a> {
    Steps::new(bytes, Motion::new(machine, annotations))
}

impl<'a> Steps<'a> {
    /// What `motion` does when it runs `bytes`.
    #[must_use]
    pub fn new(bytes: &'a [u8], motion: Motion) -> Self {
        Self { lines: lines(bytes), block: Block::default(), motion, ready: Vec::new().into_iter(), finished: false }
    }

    /// What was met so far; complete once the iterator has ended.
    #[must_use]
    pub fn summary(&self) -> &Summary {
        self.motion.summary()
    }

    /// The machine that runs the file.
    #[must_use]
    pub fn motion(&self) -> &Motion {
        &self.motion
    }

    /// Feeds lines until something is settled.
    fn refill(&mut self) {
        let mut out = Vec::new();
        while out.is_empty() {
            if let Some(line) = self.lines.next() {
                self.block.read(&line);
                self.motion.feed(&line, &self.block, &mut out);
            } else {
                self.motion.finish(&mut out);
                self.finished = true;
                break;
            }
        }
        self.ready = out.into_iter();
    }
}

impl Iterator for Steps<'_> {
    type Item = Step;

    fn next(&mut self) -> Option<Step> {
        loop {
            if let Some(step) = self.ready.next() {
                return Some(step);
            }
            if self.finished {
                return None;
            }
            self.refill();
        }
    }
}
