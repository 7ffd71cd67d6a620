//! How hot the file asks things to be, from some line on.

use crate::motion::Event;
use crate::motion::EventKind;

/// The hottest that a file asks for, °C; `None` where it never says.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Heat {
    /// Any nozzle.
    pub nozzle_c: Option<f64>,
    /// The bed.
    pub bed_c: Option<f64>,
    /// The chamber.
    pub chamber_c: Option<f64>,
}

/// Every temperature that is set, with its line.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct HeatLog {
    set: Vec<(u64, Heat)>,
}

impl HeatLog {
    pub(super) fn note(&mut self, event: &Event) {
        let heat = match event.kind {
            EventKind::Nozzle { celsius, .. } => Heat { nozzle_c: Some(celsius), ..Heat::default() },
            EventKind::Bed { celsius, .. } => Heat { bed_c: Some(celsius), ..Heat::default() },
            EventKind::Chamber { celsius, .. } => Heat { chamber_c: Some(celsius), ..Heat::default() },
            _ => return,
        };
        self.set.push((event.line, heat));
    }

    /// The hottest in force at or set after `line`.
    pub(super) fn after(&self, line: u64) -> Heat {
        let hottest = |pick: fn(&Heat) -> Option<f64>| {
            let mut in_force = None;
            let mut later = None;
            for (at, heat) in &self.set {
                match pick(heat) {
                    Some(celsius) if *at <= line => in_force = Some(celsius),
                    Some(celsius) => later = Some(later.map_or(celsius, |hot: f64| hot.max(celsius))),
                    None => {}
                }
            }
            [in_force, later].into_iter().flatten().reduce(f64::max)
        };
        Heat { nozzle_c: hottest(|h| h.nozzle_c), bed_c: hottest(|h| h.bed_c), chamber_c: hottest(|h| h.chamber_c) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_hotter_before_does_not_count() {
        let mut log = HeatLog::default();
        for (line, celsius) in [(2, 100.0), (50, 60.0), (90, 70.0), (99, 0.0)] {
            log.note(&Event { line, time_s: 0.0, kind: EventKind::Bed { celsius, wait: false } });
        }
        log.note(&Event { line: 4, time_s: 0.0, kind: EventKind::Chamber { celsius: 45.0, wait: false } });
        log.note(&Event { line: 5, time_s: 0.0, kind: EventKind::Fan { share: 0.5 } });
        log.note(&Event { line: 3, time_s: 0.0, kind: EventKind::Nozzle { tool: 0, celsius: 215.0, wait: true } });
        assert_eq!(log.after(10), Heat { nozzle_c: Some(215.0), bed_c: Some(100.0), chamber_c: Some(45.0) });
        assert_eq!(log.after(60).bed_c, Some(70.0));
        assert_eq!(log.after(95).bed_c, Some(70.0));
        assert_eq!(log.after(1), Heat { nozzle_c: Some(215.0), bed_c: Some(100.0), chamber_c: Some(45.0) });
    }
}
