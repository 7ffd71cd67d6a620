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
    use super::super::fixture::{FILAMENT_MM2, measured, setup};
    use super::*;

    fn watched(file: &str) -> FlowMeasures {
        measured(file, &setup()).flow
    }

    fn bed_c(before: &str, after: &str) -> Option<(f64, u64)> {
        watched(&format!("{before}\nM83\nG1 Z0.2 F1200\nG1 X20 E1\n{after}\n")).bed_c
    }

    #[test]
    fn a_bed_switched_off_at_the_end_was_not_set_for_the_print() {
        assert_eq!(bed_c("M140 S60", "M140 S0"), Some((60.0, 1)));
        assert_eq!(bed_c("M140 S60\nM140 S75", "M140 S90"), Some((75.0, 2)));
        assert_eq!(bed_c("G28", "M140 S0"), None);
        assert_eq!(bed_c("M140 S0", "G28"), Some((0.0, 1)), "a cold bed may be meant");
    }

    #[test]
    fn a_chamber_counts_as_hot_as_it_was_set_while_plastic_was_laid() {
        let file = "M83\nM141 S45\nM141 S60\nG1 Z0.2 F1200\nG1 X20 E1\nM141 S50\nG1 X40 E1\nM141 S80\n";
        assert_eq!(watched(file).chamber_c, Some((60.0, 3)));
    }

    #[test]
    fn the_coldest_and_the_hottest_nozzle_are_those_at_which_plastic_is_laid_tool_by_tool() {
        let file = "M83\nM104 S300\nM104 S230\nG1 Z0.2 F1200\nG1 X20 E1\nM104 S215\nG1 X40 E1\nM104 S240\nG1 X60 E1\n\
                    G1 X80 E1\nT1\nM104 S190\nG1 X99 E1\nM104 S0\n";
        let heat = watched(file).heat;
        assert_eq!(heat.keys().copied().collect::<Vec<_>>(), [0, 1]);
        assert_eq!(heat[&0], Heat { lowest: (215.0, 7), highest: (240.0, 9) });
        assert_eq!(heat[&1], Heat { lowest: (190.0, 13), highest: (190.0, 13) });
    }

    #[test]
    fn plastic_below_the_bed_is_told_where_it_lies_deepest() {
        let file = |heights: [f64; 4]| {
            let [a, b, c, d] = heights;
            format!("M83\nG1 Z{a} F1200\nG1 X20 E1\nG1 X40 Z{b} E1\nG1 X60 Z{c} E1\nG1 X80 Z{d} E1\nG0 Z-3\n")
        };
        let below = |heights| watched(&file(heights)).below_bed;
        assert_eq!(below([0.2, 0.1, 0.0, 0.2]), None, "on the bed is not below it, and travel lays nothing");
        assert_eq!(below([0.2, -0.1, -0.3, 0.2]), Some((-0.3, 5)));
        assert_eq!(below([-0.4, -0.1, -0.3, 0.2]), Some((-0.4, 3)), "where the bead starts counts as well");
    }

    #[test]
    fn travel_between_two_short_beads_ends_what_they_tell_of_the_flow() {
        // Beads of 3 mm at 40 mm/s take 0.075 s each: two on end are long enough to judge, apart they are not.
        let file = |between: &str| format!("M83\nG1 Z0.2 F1200\nG1 X3 E0.5 F2400\n{between}\nG1 X6 E0.5 F2400\n");
        let (peak, line) = watched(&file("")).peak.expect("a tenth of a second was laid");
        assert!((peak - FILAMENT_MM2 / 0.15).abs() < 1e-3, "{peak}");
        assert_eq!(line, 5);
        assert_eq!(watched(&file("G0 X3 Y1")).peak, None);
    }
}
