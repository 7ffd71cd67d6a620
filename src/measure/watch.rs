//! Watches flow and temperatures while the machine runs.

use super::flow::FlowMeter;
use super::{FlowMeasures, Heat};
use crate::motion::{EventKind, Move, MoveKind, Step};
use std::collections::BTreeMap;

/// Flow and temperatures so far.
#[derive(Debug, Default)]
pub(super) struct Watch {
    meter: FlowMeter,
    heat: BTreeMap<u16, Heat>,
    bed_c: Option<(f64, u64)>,
    chamber_c: Option<(f64, u64)>,
    below_bed: Option<(f64, u64)>,
}

impl Watch {
    /// Looks at one step.
    pub(super) fn step(&mut self, step: &Step) {
        match step {
            Step::Move(motion) => self.motion(motion),
            Step::Event(event) => match event.kind {
                EventKind::Bed { celsius, .. } => see_highest(&mut self.bed_c, celsius, event.line),
                EventKind::Chamber { celsius, .. } => see_highest(&mut self.chamber_c, celsius, event.line),
                _ => {}
            },
        }
    }

    fn motion(&mut self, motion: &Move) {
        if motion.kind != MoveKind::Deposit {
            self.meter.pause();
            return;
        }
        self.meter.bead(motion.bead_mm3, motion.time_s, motion.line);
        if let Some(celsius) = motion.nozzle_c {
            let at = (celsius, motion.line);
            self.heat.entry(motion.tool).or_insert(Heat { lowest: at, highest: at }).see(celsius, motion.line);
        }
        let z_mm = motion.from[2].min(motion.to[2]);
        if z_mm < 0.0 && self.below_bed.is_none_or(|(lowest, _)| z_mm < lowest) {
            self.below_bed = Some((z_mm, motion.line));
        }
    }

    pub(super) fn finish(self) -> FlowMeasures {
        FlowMeasures {
            peak: self.meter.peak(),
            typical_mm3_s: self.meter.typical_mm3_s(),
            heat: self.heat,
            bed_c: self.bed_c,
            chamber_c: self.chamber_c,
            below_bed: self.below_bed,
        }
    }
}

fn see_highest(highest: &mut Option<(f64, u64)>, celsius: f64, line: u64) {
    if highest.is_none_or(|(seen, _)| celsius > seen) {
        *highest = Some((celsius, line));
    }
}
