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
