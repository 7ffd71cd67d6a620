//! Reading a file in two steps that can go side by side: what the machine does, and what it lays.
//!
//! ```text
//! read_steps   bytes -> lines -> moves ─┐ steps ┌> beads -> layers ─┐ batch    Laying
//!                                       └───────┘                   └──────>
//! ```

use super::batch::Batch;
use super::setup::{MeasureError, Setup};
use super::watch::Watch;
use crate::deposit::{self, Depositor, Layer};
use crate::diag::Severity;
use crate::gcode::{self, Block};
use crate::motion::{Motion, Step};

/// Told how many bytes have been read, now and then.
pub type Progress<'a> = &'a mut dyn FnMut(u64);

/// Bytes between two reports of progress.
const PROGRESS_STEP: u64 = 1 << 20;

/// Steps handed on together: enough that handing on costs nothing, few enough to stay near the core.
const STEPS_AT_ONCE: usize = 512;

/// Reads to the end and hands on what the machine does, many steps at once; `hand_on` empties what it is given. Gives
/// back the machine as the file leaves it.
pub(super) fn read_steps(
    bytes: &[u8],
    setup: &Setup,
    progress: Progress<'_>,
    hand_on: &mut impl FnMut(&mut Vec<Step>),
) -> Result<Motion, MeasureError> {
    let mut motion = setup.motion();
    let mut block = Block::default();
    let mut steps = Vec::new();
    let mut next_report = PROGRESS_STEP;
    for line in gcode::lines(bytes) {
        block.read(&line);
        if setup.strict {
            refuse_bad_line(&block)?;
        }
        motion.feed(&line, &block, &mut steps);
        if steps.len() >= STEPS_AT_ONCE {
            hand_on(&mut steps);
        }
        if line.start >= next_report {
            progress(line.start);
            next_report = line.start + PROGRESS_STEP;
        }
    }
    motion.finish(&mut steps);
    hand_on(&mut steps);
    progress(bytes.len() as u64);
    Ok(motion)
}

fn refuse_bad_line(block: &Block) -> Result<(), MeasureError> {
    match &block.problem {
        Some(problem) if problem.severity >= Severity::Warning => {
            Err(MeasureError::BadLine { line: problem.line.unwrap_or_default(), message: problem.message.clone() })
        }
        _ => Ok(()),
    }
}

/// Steps to batches of layers.
#[derive(Debug, Default)]
pub(super) struct Laying {
    depositor: Depositor,
    watch: Watch,
    batch: Batch,
}

/// What is known of a print beside its layers once all is laid.
pub(super) struct Laid {
    pub sums: deposit::Totals,
    pub watch: Watch,
}

impl Laying {
    /// Takes the next steps out of `steps`; hands on every batch that is full now.
    pub fn take(&mut self, steps: &mut Vec<Step>, hand_on: &mut impl FnMut(Vec<Layer>)) {
        let Self { depositor, watch, batch } = self;
        for step in steps.drain(..) {
            watch.step(&step);
            depositor.push(&step, &mut |layer| batch.push(layer).into_iter().for_each(&mut *hand_on));
        }
    }

    /// The file is over: hands on what is left.
    pub fn finish(self, hand_on: &mut impl FnMut(Vec<Layer>)) -> Laid {
        let Self { depositor, watch, mut batch } = self;
        let sums = depositor.finish(&mut |layer| batch.push(layer).into_iter().for_each(&mut *hand_on));
        hand_on(batch.take());
        Laid { sums, watch }
    }
}
