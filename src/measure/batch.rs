//! Layers gathered into batches that are measured together.
//!
//! ```text
//! bytes -> lines -> moves ─┐ lists ┌> beads -> layers ─┐ batch ┌> shapes, side by side
//!      reading thread      └───────┘   laying thread   └───────┘  then sums, in order    measuring threads
//! ```
//!
//! Where a batch ends depends on the layers alone, never on how fast anybody was, so that results do not either.

use crate::deposit::Layer;

/// Layers in a batch at most: enough to keep every core busy.
const MOST_LAYERS: usize = 32;
/// Beads in a batch (about 100 bytes each) after which it is full, however few its layers: four batches are alive
/// at a time, and layers of a big plate hold a hundred thousand beads each.
const MOST_BEADS: usize = 120_000;

/// Layers and beads that are enough together: the measuring threads have work while the next batch is read.
const ENOUGH_LAYERS: usize = 6;
const ENOUGH_BEADS: usize = 12_000;

/// Layers that are enough for the first batch: what is usual in a print is told from it, and a handful of layers with too
/// little plastic among the first dozen must not pass for usual.
const ENOUGH_FOR_THE_FIRST: usize = 24;

/// Length of beads in a batch, mm, after which it is full: plans of what a layer covers take about 80 bytes for
/// every millimetre of it.
const MOST_LENGTH_MM: f64 = 400_000.0;

/// A batch while it fills.
#[derive(Debug, Default)]
pub(super) struct Batch {
    layers: Vec<Layer>,
    beads: usize,
    length_mm: f64,
    /// Batches that were full before this one.
    before: usize,
}

impl Batch {
    /// Takes the next layer in print order; gives back the batch if it is full now.
    pub fn push(&mut self, layer: Layer) -> Option<Vec<Layer>> {
        self.beads += layer.beads.len();
        self.length_mm += layer.beads.iter().map(|bead| bead.length_mm).sum::<f64>();
        self.layers.push(layer);
        let enough_layers = if self.before == 0 { ENOUGH_FOR_THE_FIRST } else { ENOUGH_LAYERS };
        let enough = self.layers.len() >= enough_layers && self.beads >= ENOUGH_BEADS;
        let full =
            enough || self.layers.len() >= MOST_LAYERS || self.beads >= MOST_BEADS || self.length_mm >= MOST_LENGTH_MM;
        full.then(|| self.take())
    }

    /// What has been gathered so far.
    pub fn take(&mut self) -> Vec<Layer> {
        let next = Self { before: self.before + 1, ..Self::default() };
        std::mem::replace(self, next).layers
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deposit::by_hand;

    /// Layers of so many beads each, `long_mm` long.
    fn layers(count: usize, beads: usize, long_mm: f64) -> Vec<Layer> {
        let bead = by_hand::beads(&[(0.0, 0.0), (long_mm, 0.0)]);
        (0..count).map(|index| by_hand::layer(index, 0.2, vec![bead[0]; beads])).collect()
    }

    /// How many layers each full batch holds, and what is left at the end.
    fn batches(layers: Vec<Layer>) -> (Vec<usize>, usize) {
        let mut batch = Batch::default();
        let full: Vec<Vec<Layer>> = layers.into_iter().filter_map(|layer| batch.push(layer)).collect();
        let left = batch.take();
        let order: Vec<usize> = full.iter().flatten().chain(&left).filter_map(|layer| layer.index).collect();
        assert!(order.iter().copied().eq(0..order.len()), "no layer is lost, and none comes out of turn");
        (full.iter().map(Vec::len).collect(), left.len())
    }

    #[test]
    fn the_first_batch_is_longer_than_the_next_since_what_is_usual_is_told_from_it() {
        assert_eq!(batches(layers(40, 2000, 1.0)), (vec![24, 6, 6], 4));
        // Six layers are not enough while they hold few beads.
        assert_eq!(batches(layers(40, 1000, 1.0)), (vec![24, 12], 4));
    }

    #[test]
    fn a_batch_is_full_with_so_many_layers_beads_or_millimetres_of_path() {
        assert_eq!(batches(layers(70, 1, 1.0)), (vec![32, 32], 6));
        assert_eq!(batches(layers(5, 60_000, 1.0)), (vec![2, 2], 1));
        assert_eq!(batches(layers(5, 1, 150_000.0)), (vec![3], 2));
    }
}
