//! How thick a layer is.
//!
//! Usually the step up from the run before. Where that step is odd (down, none, or unlike the rest), the flow
//! decides: beads of one print are laid at about one section per height, so a bead's section tells the height.

use super::run::Run;
use crate::geom::weighted_median;

/// Runs whose figures are remembered.
const REMEMBERED: usize = 64;
/// A step this many times the usual one or less is odd.
const ODD_LOW: f64 = 0.3;
/// A step this many times the usual one or more is odd.
const ODD_HIGH: f64 = 1.7;
/// How far section over height may be off the usual and still agree (spread within 18 % on real files).
const AGREES: f64 = 0.18;

/// What is usual in this print.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Usual {
    /// Step from run to run, mm.
    pub step_mm: f64,
    /// Section over height, mm.
    pub area_per_height_mm: f64,
}

/// Remembers runs and says what is usual.
#[derive(Debug, Default)]
pub(super) struct Heights {
    /// Step and section over step of the latest runs.
    seen: std::collections::VecDeque<(f64, f64)>,
    last_z_mm: Option<f64>,
}

impl Heights {
    /// Takes note of a run as it is complete.
    pub fn note(&mut self, run: &Run) {
        // The first run says little: it is often squeezed, or a raft.
        if let Some(last) = self.last_z_mm {
            let step = run.z_mm - last;
            if step > 1e-3 {
                self.seen.push_back((step, run.area_mm2 / step));
            }
        }
        if self.seen.len() > REMEMBERED {
            self.seen.pop_front();
        }
        self.last_z_mm = Some(run.z_mm);
    }

    /// What is usual, as far as the runs seen so far tell.
    pub fn usual(&self) -> Option<Usual> {
        let median = |values: &mut dyn Iterator<Item = f64>| {
            let mut pairs: Vec<(f64, f64)> = values.map(|v| (v, 1.0)).collect();
            weighted_median(&mut pairs)
        };
        let step_mm = median(&mut self.seen.iter().map(|s| s.0))?;
        let area_per_height_mm = median(&mut self.seen.iter().map(|s| s.1))?;
        Some(Usual { step_mm, area_per_height_mm })
    }
}

/// Thickness of a layer at `z_mm` whose beads have the section `area_mm2`, over a run at `below_mm`, mm.
pub(super) fn height_mm(z_mm: f64, below_mm: Option<f64>, area_mm2: f64, usual: Option<Usual>) -> f64 {
    let step = z_mm - below_mm.unwrap_or(0.0);
    let fallback = if step > 0.0 { step } else { z_mm.abs().max(1e-3) };
    let Some(usual) = usual.filter(|u| u.area_per_height_mm > 0.0 && u.step_mm > 0.0) else { return fallback };
    let by_flow = area_mm2 / usual.area_per_height_mm;
    let Some(_) = below_mm else {
        // On the bed: the gap to it, unless the file counts height from somewhere else.
        return if z_mm > 0.0 && z_mm < 4.0 * usual.step_mm.max(0.15) { z_mm } else { by_flow.max(1e-3) };
    };
    let odd = !(step > ODD_LOW * usual.step_mm && step <= ODD_HIGH * usual.step_mm);
    let agrees = step > 0.0 && (area_mm2 / step / usual.area_per_height_mm - 1.0).abs() <= AGREES;
    if !odd || agrees || by_flow <= 0.0 || by_flow.is_nan() {
        return fallback;
    }
    // Far below the run before, and as near the bed as a first layer: the next object begins.
    if step < -2.0 * usual.step_mm && z_mm > 0.0 && z_mm <= ODD_HIGH * usual.step_mm { z_mm } else { by_flow }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const USUAL: Option<Usual> = Some(Usual { step_mm: 0.2, area_per_height_mm: 0.4 });

    #[test]
    fn a_plain_step_is_the_height_whatever_the_flow() {
        assert_relative_eq!(height_mm(1.2, Some(1.0), 0.048, USUAL), 0.2, max_relative = 1e-12);
    }

    #[test]
    fn an_odd_step_asks_the_flow() {
        // Over the air gap of a raft, and again at the same height: section 0.1 means 0.25 mm.
        assert_relative_eq!(height_mm(1.31, Some(0.71), 0.1, USUAL), 0.25, max_relative = 1e-12);
        assert_relative_eq!(height_mm(1.2, Some(1.2), 0.1, USUAL), 0.25, max_relative = 1e-12);
        // A thick layer with the flow to match keeps its step.
        assert_relative_eq!(height_mm(1.5, Some(1.0), 0.2, USUAL), 0.5, max_relative = 1e-12);
    }

    #[test]
    fn the_next_object_begins_on_the_bed() {
        assert_relative_eq!(height_mm(0.3, Some(12.0), 0.2, USUAL), 0.3, max_relative = 1e-12);
    }
}
