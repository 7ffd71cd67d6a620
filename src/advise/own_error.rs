//! How far laying a file again with the settings it was measured to have comes from the file itself.
//!
//! Whatever the advice promises can be no finer than this: differences below it are not given as advice.

use super::bench::Offer;
use crate::measure::{LayerMeasure, PrintMeasures};
use crate::strength::CaseResult;

/// The advice's own error, each as laid again less the file.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnError {
    /// Of the mass (or of the plastic, where a material is not known), as a share.
    pub mass: f64,
    /// Of the time, as a share.
    pub time: f64,
    /// Walls of the file and of the part laid again.
    pub walls: Option<(u32, u32)>,
    /// Share of the core that is filled, of the file and of the part laid again.
    pub core: Option<(f64, f64)>,
    /// Of the second moments of half of the layers, as a share: not further off than this.
    pub moments: Option<f64>,
    /// Of the reserve of each load case, as a share; `None` where it cannot be judged.
    pub reserves: Vec<Option<f64>>,
}

impl OwnError {
    pub(super) fn new(
        file: &PrintMeasures,
        file_cases: &[CaseResult],
        laid: &Offer,
        laid_measures: &PrintMeasures,
    ) -> Self {
        let share = |laid: f64, file: f64| laid / file - 1.0;
        let mass = match (laid.mass_g, file.totals.mass_g) {
            (Some(laid), Some(file)) => share(laid, file),
            _ => share(laid.volume_mm3, file.totals.volume_mm3),
        };
        let walls = |m: &PrintMeasures| m.part.walls.map(|w| w.median.round() as u32);
        let reserves = file_cases.iter().zip(&laid.cases).map(|(file, laid)| {
            let of = |case: &CaseResult| case.reserve().filter(|_| case.undetermined.is_none());
            Some(share(of(laid)?, of(file)?))
        });
        Self {
            mass,
            time: share(laid.time_s, file.totals.time.total_s()),
            walls: walls(file).zip(walls(laid_measures)),
            core: file.part.core_density.zip(laid_measures.part.core_density),
            moments: moments_off(&file.layers, &laid_measures.layers),
            reserves: reserves.collect(),
        }
    }

    /// Whether the part laid again is so far from the file that no advice can come of it.
    #[must_use]
    pub fn is_too_far(&self) -> bool {
        // Written so that what is not a number is too far.
        let near = self.mass.abs() <= FAR_MASS
            && self.time.abs() <= FAR_TIME
            && self.moments.is_none_or(|off| off <= FAR_MOMENTS)
            && self.reserves.iter().flatten().all(|off| off.abs() <= FAR_RESERVE);
        !near
    }

    /// The greatest error of any reserve, as a share without sign; `None` where no reserve is known.
    #[must_use]
    pub fn reserve(&self) -> Option<f64> {
        self.reserves.iter().flatten().map(|r| r.abs()).max_by(f64::total_cmp)
    }
}

/// Further off than this in mass or time (shares), moments or any reserve, the file was laid in a way that is not
/// understood: nothing that is laid for it would say anything about it.
const FAR_MASS: f64 = 0.10;
const FAR_TIME: f64 = 0.20;
const FAR_MOMENTS: f64 = 0.15;
const FAR_RESERVE: f64 = 0.30;

/// How far second moments are off, in half of the layers: the median of the greater of both, without sign.
fn moments_off(file: &[LayerMeasure], laid: &[LayerMeasure]) -> Option<f64> {
    let mut off: Vec<f64> = file
        .iter()
        .zip(laid)
        .filter_map(|(file, laid)| {
            let (file, laid) = (file.section?, laid.section?);
            let x = laid.ixx_mm4 / file.ixx_mm4 - 1.0;
            let y = laid.iyy_mm4 / file.iyy_mm4 - 1.0;
            Some(x.abs().max(y.abs()))
        })
        .filter(|v| v.is_finite())
        .collect();
    off.sort_by(f64::total_cmp);
    off.get(off.len() / 2).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_far_in_any_figure_is_too_far() {
        let near = OwnError {
            mass: 0.01,
            time: -0.02,
            walls: Some((3, 3)),
            core: None,
            moments: Some(0.01),
            reserves: vec![Some(-0.12), None],
        };
        assert!(!near.is_too_far());
        for far in [
            OwnError { mass: -0.3, ..near.clone() },
            OwnError { time: 0.6, ..near.clone() },
            OwnError { mass: f64::NAN, ..near.clone() },
            OwnError { moments: Some(0.5), ..near.clone() },
            OwnError { reserves: vec![Some(0.1), Some(-0.4)], ..near.clone() },
        ] {
            assert!(far.is_too_far(), "{far:?}");
        }
    }
}
