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

#[cfg(test)]
mod tests {
    use super::super::fixture::setup;
    use super::*;

    #[test]
    fn progress_is_told_about_once_in_a_mebibyte_and_at_the_end() {
        let text = "; nothing to do\n".repeat(1 << 18);
        let mut told = Vec::new();
        let read = read_steps(text.as_bytes(), &setup(), &mut |bytes| told.push(bytes), &mut |steps| steps.clear());
        assert!(read.is_ok());
        let mebibyte = 1 << 20;
        let wanted = [mebibyte, 2 * mebibyte, 3 * mebibyte, 4 * mebibyte];
        assert_eq!(told, wanted);
    }

    #[test]
    fn a_line_that_cannot_be_read_ends_the_reading_only_where_that_was_asked_for() {
        let read = |strict: bool| {
            let setup = Setup { strict, ..setup() };
            read_steps(b"G1 X5\nG1 X!\nG1 X6\n", &setup, &mut |_| {}, &mut |steps| steps.clear())
        };
        assert!(read(false).is_ok());
        assert!(matches!(read(true), Err(MeasureError::BadLine { line: 2, message }) if !message.is_empty()));
        let sound = read_steps(b"G1 X5\n", &Setup { strict: true, ..setup() }, &mut |_| {}, &mut |steps| steps.clear());
        assert!(sound.is_ok());
    }

    #[test]
    fn steps_are_handed_on_in_lists_and_the_last_of_them_at_the_end() {
        let text = (0..1100).map(|n| format!("G1 X{}\n", 1 + n % 2)).collect::<String>();
        let mut lists = Vec::new();
        let read = read_steps(text.as_bytes(), &setup(), &mut |_| {}, &mut |steps| {
            lists.push(steps.len());
            steps.clear();
        });
        assert!(read.is_ok());
        assert_eq!(lists.iter().sum::<usize>(), 1100, "{lists:?}");
        assert!(lists.len() > 1, "a long file is never held as a whole: {lists:?}");
    }
}
