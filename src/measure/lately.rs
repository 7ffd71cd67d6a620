//! What was made of layers that may come again, kept for those met lately.
//!
//! ```text
//!   layers   a b c b c d      made of a, b, c and d; the second b and c are taken over
//! ```

use crate::deposit::Layer;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// So many kinds of layers are kept, while their beads are not longer than this together, mm (a plan takes about 80 bytes
/// for every millimetre).
const MOST_KEPT: usize = 64;
const MOST_LENGTH_MM: f64 = 600_000.0;

/// Something made of each kind of layer that was met lately.
#[derive(Debug)]
pub struct Lately<T> {
    /// Layers that nobody numbered.
    unnumbered: usize,
    /// Numbers of the layers met lately, the last one first, and how long their beads are, mm.
    recent: VecDeque<(usize, f64)>,
    made: BTreeMap<usize, T>,
}

impl<T> Default for Lately<T> {
    fn default() -> Self {
        Self { unnumbered: 0, recent: VecDeque::new(), made: BTreeMap::new() }
    }
}

impl<T: Send> Lately<T> {
    /// Makes of the next layers in print order, side by side, what was not made of layers like them. Gives a number for
    /// every layer, the same for those that are alike.
    pub fn make(&mut self, layers: &[Layer], make: impl Fn(&Layer) -> Option<T> + Sync) -> Vec<usize> {
        let numbers: Vec<usize> = layers.iter().map(|layer| self.number(layer)).collect();
        let firsts: BTreeMap<usize, &Layer> = numbers.iter().copied().zip(layers).rev().collect();
        let fresh: Vec<(usize, &Layer)> = firsts.into_iter().filter(|(n, _)| !self.made.contains_key(n)).collect();
        let made: Vec<(usize, T)> =
            fresh.into_par_iter().filter_map(|(number, layer)| Some((number, make(layer)?))).collect();
        self.made.extend(made);
        numbers
    }

    fn number(&mut self, layer: &Layer) -> usize {
        layer.number.unwrap_or_else(|| {
            self.unnumbered += 1;
            usize::MAX - self.unnumbered
        })
    }

    /// What was made of the layers with this number; `None` where nothing is to be made of them.
    #[must_use]
    pub fn get(&self, number: usize) -> Option<&T> {
        self.made.get(&number)
    }

    /// All that is kept, by number.
    pub(super) fn all_mut(&mut self) -> &mut BTreeMap<usize, T> {
        &mut self.made
    }

    /// Forgets what was not met for longest, now that these layers were.
    pub fn forget_others(&mut self, layers: &[Layer], numbers: &[usize]) {
        for (layer, &number) in layers.iter().zip(numbers) {
            match self.recent.iter().position(|(met, _)| *met == number).and_then(|at| self.recent.remove(at)) {
                Some(again) => self.recent.push_front(again),
                None => self.recent.push_front((number, layer.beads.iter().map(|bead| bead.length_mm).sum())),
            }
        }
        let (mut kept, mut length_mm) = (0, 0.0);
        self.recent.retain(|(_, long_mm)| {
            kept += 1;
            length_mm += long_mm;
            kept <= MOST_KEPT && length_mm <= MOST_LENGTH_MM
        });
        let recent: BTreeSet<usize> = self.recent.iter().map(|(number, _)| *number).collect();
        self.made.retain(|number, _| recent.contains(number));
    }
}
