//! Volumetric flow and temperature while depositing.

use std::collections::BTreeMap;

/// Flow and temperatures of the whole print.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FlowMeasures {
    /// Highest flow held for at least a tenth of a second, mm³/s, and its line.
    pub peak: Option<(f64, u64)>,
    /// Flow that half of the deposited volume stays under, mm³/s.
    pub typical_mm3_s: Option<f64>,
    /// Temperatures set while each tool deposits.
    pub heat: BTreeMap<u16, Heat>,
    /// Highest bed temperature set, °C, and its line.
    pub bed_c: Option<(f64, u64)>,
    /// Highest chamber temperature set, °C, and its line.
    pub chamber_c: Option<(f64, u64)>,
    /// Lowest z below the bed at which plastic is laid, mm (negative), and its line.
    pub below_bed: Option<(f64, u64)>,
}

/// Nozzle temperatures in force while a tool deposits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Lowest, °C, and the first line that deposits at it.
    pub lowest: (f64, u64),
    /// Highest, °C, and the first line that deposits at it.
    pub highest: (f64, u64),
}

impl Heat {
    /// Widens the range by a temperature seen at a line.
    pub fn see(&mut self, celsius: f64, line: u64) {
        if celsius < self.lowest.0 {
            self.lowest = (celsius, line);
        }
        if celsius > self.highest.0 {
            self.highest = (celsius, line);
        }
    }
}

/// Collects flow: time is cut at beads, and a peak counts only when it lasts.
///
/// A single bead of a few hundredths of a millimetre says nothing about what the hot end must melt, so flow
/// is averaged over windows of at least [`FlowMeter::WINDOW_S`].
#[derive(Debug, Clone, Default)]
pub struct FlowMeter {
    window_mm3: f64,
    window_s: f64,
    peak: Option<(f64, u64)>,
    /// Volume in bins of 0.25 mm³/s.
    bins: BTreeMap<u32, f64>,
}

impl FlowMeter {
    /// Length of a window, s.
    const WINDOW_S: f64 = 0.1;
    /// Width of a bin, mm³/s.
    const BIN_MM3_S: f64 = 0.25;

    /// Adds a bead.
    pub fn bead(&mut self, volume_mm3: f64, time_s: f64, line: u64) {
        self.window_mm3 += volume_mm3;
        self.window_s += time_s;
        if self.window_s < Self::WINDOW_S {
            return;
        }
        let flow = self.window_mm3 / self.window_s;
        if self.peak.is_none_or(|(peak, _)| flow > peak) {
            self.peak = Some((flow, line));
        }
        *self.bins.entry((flow / Self::BIN_MM3_S) as u32).or_default() += self.window_mm3;
        self.window_mm3 = 0.0;
        self.window_s = 0.0;
    }

    /// Ends a stretch of depositing: what is left of a window is too short to judge.
    pub fn pause(&mut self) {
        self.window_mm3 = 0.0;
        self.window_s = 0.0;
    }

    /// Highest flow and its line.
    #[must_use]
    pub fn peak(&self) -> Option<(f64, u64)> {
        self.peak
    }

    /// Flow that half of the volume stays under, mm³/s, to a quarter of a mm³/s.
    #[must_use]
    pub fn typical_mm3_s(&self) -> Option<f64> {
        let half = 0.5 * self.bins.values().sum::<f64>();
        let mut below = 0.0;
        self.bins.iter().find_map(|(&bin, &volume)| {
            below += volume;
            (below >= half && half > 0.0).then(|| (f64::from(bin) + 0.5) * Self::BIN_MM3_S)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_peak_must_last() {
        let mut meter = FlowMeter::default();
        meter.bead(0.5, 0.001, 7); // 500 mm³/s for a millisecond
        meter.bead(0.5, 0.199, 8);
        meter.bead(1.0, 0.2, 9);
        meter.bead(0.1, 0.01, 10);
        let (peak, line) = meter.peak().expect("windows were filled");
        assert!((peak - 5.0).abs() < 1e-9);
        assert_eq!(line, 8);
        assert_eq!(meter.typical_mm3_s(), Some(5.125));
    }

    #[test]
    fn the_peak_is_the_highest_flow_and_the_first_line_that_reaches_it() {
        let mut meter = FlowMeter::default();
        for (volume_mm3, line) in [(0.4, 3), (1.2, 4), (0.8, 5), (1.2, 6)] {
            meter.bead(volume_mm3, 0.2, line);
        }
        let (peak, line) = meter.peak().expect("windows were filled");
        assert!((peak - 6.0).abs() < 1e-9);
        assert_eq!(line, 4);
    }

    #[test]
    fn what_was_laid_before_a_pause_is_not_flow_after_it() {
        // 0.09 s at 20 mm³/s, too short to judge, then 0.09 s and 0.02 s at 2 mm³/s.
        let laid = |pause: bool| {
            let mut meter = FlowMeter::default();
            meter.bead(1.8, 0.09, 1);
            if pause {
                meter.pause();
            }
            meter.bead(0.18, 0.09, 2);
            meter.bead(0.04, 0.02, 3);
            meter.peak()
        };
        assert!(laid(false).is_some_and(|(flow, line)| (flow - 11.0).abs() < 1e-9 && line == 2));
        assert!(laid(true).is_some_and(|(flow, line)| (flow - 2.0).abs() < 1e-9 && line == 3));
    }

    #[test]
    fn half_of_the_plastic_is_laid_at_the_typical_flow_or_less() {
        let typical = |slow_mm3: f64| {
            let mut meter = FlowMeter::default();
            meter.bead(slow_mm3, slow_mm3 / 2.1, 1);
            meter.bead(1.0, 1.0 / 8.1, 2);
            meter.typical_mm3_s()
        };
        // In steps of a quarter of a mm³/s, the middle of the step.
        assert_eq!((typical(0.9), typical(1.1)), (Some(8.125), Some(2.125)));
        assert_eq!(FlowMeter::default().typical_mm3_s(), None);
    }
}
