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
    bed: Surrounding,
    chamber: Surrounding,
    below_bed: Option<(f64, u64)>,
}

/// What is set for the bed or the chamber: highest temperature and its line.
#[derive(Debug, Default)]
struct Surrounding {
    /// While plastic is laid.
    met_c: Option<(f64, u64)>,
    /// Since the last bead: what is switched off at the end says nothing of the print.
    set_c: Option<(f64, u64)>,
}

impl Surrounding {
    fn set(&mut self, celsius: f64, line: u64) {
        see_highest(&mut self.set_c, celsius, line);
    }

    fn bead(&mut self) {
        if let Some((celsius, line)) = self.set_c.take() {
            see_highest(&mut self.met_c, celsius, line);
        }
    }
}

impl Watch {
    /// Looks at one step.
    pub(super) fn step(&mut self, step: &Step) {
        match step {
            Step::Move(motion) => self.motion(motion),
            Step::Event(event) => match event.kind {
                EventKind::Bed { celsius, .. } => self.bed.set(celsius, event.line),
                EventKind::Chamber { celsius, .. } => self.chamber.set(celsius, event.line),
                _ => {}
            },
        }
    }

    fn motion(&mut self, motion: &Move) {
        if motion.kind != MoveKind::Deposit {
            self.meter.pause();
            return;
        }
        self.bed.bead();
        self.chamber.bead();
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
            bed_c: self.bed.met_c,
            chamber_c: self.chamber.met_c,
            below_bed: self.below_bed,
        }
    }
}

fn see_highest(highest: &mut Option<(f64, u64)>, celsius: f64, line: u64) {
    if highest.is_none_or(|(seen, _)| celsius > seen) {
        *highest = Some((celsius, line));
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use crate::measure::{Setup, measure_print};
    use crate::profile::Machine;

    fn bed_c(before: &str, after: &str) -> Option<(f64, u64)> {
        let file = format!("{before}\nM83\nG1 Z0.2 F1200\nG1 X20 E1\n{after}\n");
        let setup = Setup::of(Machine::load("open-small").unwrap());
        measure_print(file.as_bytes(), &setup, &mut |_| ()).unwrap().flow.bed_c
    }

    #[test]
    fn a_bed_switched_off_at_the_end_was_not_set_for_the_print() {
        assert_eq!(bed_c("M140 S60", "M140 S0"), Some((60.0, 1)));
        assert_eq!(bed_c("M140 S60\nM140 S75", "M140 S90"), Some((75.0, 2)));
        assert_eq!(bed_c("G28", "M140 S0"), None);
        assert_eq!(bed_c("M140 S0", "G28"), Some((0.0, 1)), "a cold bed may be meant");
    }
}
