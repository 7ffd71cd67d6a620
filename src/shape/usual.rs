//! What is usual in a print: the distance at which its walls are meant to lie.

use super::loops::weighted_median;
use crate::deposit::{Layer, LayerKind};
use std::collections::BTreeMap;

/// Distances that differ by less are one, mm. So a print of any number of layers has some thousands of them at most.
const SAME_MM: f64 = 1e-5;

/// Gathers the walls' section / height over the layers of a print.
///
/// One layer alone can not tell walls with too little flow from a core whose lines follow the walls.
///
/// ```
/// use beadwise::shape::UsualPitch;
/// let mut usual = UsualPitch::default();
/// // for layer in &layers { usual.push(layer); }
/// assert_eq!(usual.pitch_mm(), None);
/// ```
#[derive(Debug, Clone, Default, PartialEq)]
pub struct UsualPitch {
    /// Section / height of the layers' loops in steps of [`SAME_MM`]: the first such value, and their length.
    seen: BTreeMap<i64, (f64, f64)>,
}

impl UsualPitch {
    /// Takes the loops of one more layer.
    pub fn push(&mut self, layer: &Layer) {
        // First layers are often laid with another width.
        if layer.kind != LayerKind::Part || layer.index == Some(0) || layer.height_mm <= 0.0 {
            return;
        }
        let closed = layer.strands.iter().filter(|s| s.closed && !s.ghost);
        let beads = closed.flat_map(|s| layer.strand_beads(s));
        let sections: Vec<(f64, f64)> = beads.map(|b| (b.area_mm2, b.length_mm)).collect();
        let length: f64 = sections.iter().map(|s| s.1).sum();
        if length > 0.0 {
            let distance_mm = weighted_median(sections) / layer.height_mm;
            self.seen.entry((distance_mm / SAME_MM) as i64).or_insert((distance_mm, 0.0)).1 += length.min(1e6);
        }
    }

    /// The distance that half of all walls have been laid for, mm; `None` before any loop was seen.
    #[must_use]
    pub fn pitch_mm(&self) -> Option<f64> {
        (!self.seen.is_empty()).then(|| weighted_median(self.seen.values().copied().collect())).filter(|p| *p > 0.0)
    }
}
