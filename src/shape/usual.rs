//! What is usual in a print: the distance at which its walls are meant to lie, and how many there are.

use super::LayerShape;
use super::loops::weighted_median;
use crate::deposit::{Layer, LayerKind};
use crate::profile::Role;
use std::collections::BTreeMap;

/// What is usual in a print, as far as that is known.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Usual {
    /// Distance at which walls lie, mm.
    pub pitch_mm: Option<f64>,
    /// How many walls lie along the edges of a layer.
    pub walls: Option<usize>,
}

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

/// Layers that have to agree on the number of walls before it is believed.
const LEAST_LAYERS: usize = 2;

/// Share of the layers that have to agree.
const AGREE: f64 = 0.6;

/// Gathers how many walls a print has where lines that are no loops fill the inside of them: skins and cores laid as
/// loops look like walls, and a layer that has them can not tell how many there are.
#[derive(Debug, Clone, Default)]
pub struct UsualWalls {
    layers: BTreeMap<u32, usize>,
}

impl UsualWalls {
    /// Takes one more layer and what was found in it.
    pub fn push(&mut self, layer: &Layer, shape: &LayerShape) {
        let (mut open_mm3, mut loops_mm3) = (0.0, 0.0);
        for (strand, role) in layer.strands.iter().zip(&shape.roles) {
            if matches!(role, Role::SparseInfill | Role::SolidInfill) {
                let volume: f64 = layer.strand_beads(strand).iter().map(|b| b.volume_mm3()).sum();
                *(if strand.closed { &mut loops_mm3 } else { &mut open_mm3 }) += volume;
            }
        }
        let told = shape.core.as_ref().is_some_and(|core| core.density.is_some()) && open_mm3 > 4.0 * loops_mm3;
        if let Some(walls) = shape.walls.median.filter(|_| told) {
            *self.layers.entry(walls).or_default() += 1;
        }
    }

    /// How many walls most of those layers have; `None` where they do not agree.
    #[must_use]
    pub fn count(&self) -> Option<usize> {
        let all: usize = self.layers.values().sum();
        let (&walls, &most) = self.layers.iter().max_by_key(|l| l.1)?;
        (most >= LEAST_LAYERS && most as f64 >= AGREE * all as f64 && walls > 0).then_some(walls as usize)
    }
}

#[cfg(test)]
#[path = "usual_tests.rs"]
mod tests;
