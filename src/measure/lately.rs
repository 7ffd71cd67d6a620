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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deposit::{Bead, by_hand};
    use crate::geom::Point;
    use std::sync::atomic::{AtomicUsize, Ordering};

    fn layer(number: Option<usize>, length_mm: f64) -> Layer {
        let (from, to) = (Point::default(), Point::new(length_mm, 0.0));
        let bead = Bead { from, to, z_mm: 0.2, length_mm, area_mm2: 0.1, width_mm: 0.5, time_s: 0.0, line: 1 };
        Layer { number, ..by_hand::layer(0, 0.2, vec![bead]) }
    }

    /// How many of them something had to be made of.
    fn made_of(lately: &mut Lately<f64>, layers: &[Layer]) -> usize {
        let count = AtomicUsize::new(0);
        let numbers = lately.make(layers, |layer| {
            count.fetch_add(1, Ordering::Relaxed);
            Some(layer.beads[0].length_mm)
        });
        for (layer, number) in layers.iter().zip(&numbers) {
            assert_eq!(lately.get(*number), Some(&layer.beads[0].length_mm));
        }
        lately.forget_others(layers, &numbers);
        count.into_inner()
    }

    #[test]
    fn what_comes_again_is_made_once() {
        let mut lately = Lately::default();
        let numbered = [(1, 5.0), (2, 6.0), (1, 5.0), (3, 7.0)].map(|(number, mm)| layer(Some(number), mm));
        assert_eq!(made_of(&mut lately, &numbered), 3);
        assert_eq!(made_of(&mut lately, &numbered[1..]), 0);
        // Nobody says that these are like any other.
        let alone = [layer(None, 8.0), layer(None, 9.0), layer(Some(2), 6.0)];
        assert_eq!(made_of(&mut lately, &alone), 2);
        assert_eq!(made_of(&mut lately, &alone), 2);
    }

    #[test]
    fn what_was_not_met_for_longest_is_forgotten() {
        let mut lately = Lately::default();
        let of = |numbers: std::ops::Range<usize>| numbers.map(|n| layer(Some(n), n as f64)).collect::<Vec<_>>();
        assert_eq!(made_of(&mut lately, &of(0..MOST_KEPT)), MOST_KEPT);
        assert_eq!(made_of(&mut lately, &of(0..1)), 0);
        assert_eq!(made_of(&mut lately, &of(MOST_KEPT..MOST_KEPT + 1)), 1);
        assert!(lately.get(0).is_some() && lately.get(1).is_none(), "layer 0 was met since");
        // Together they may not be longer than so much.
        assert_eq!(made_of(&mut lately, &[layer(Some(900), 0.6 * MOST_LENGTH_MM)]), 1);
        assert_eq!(made_of(&mut lately, &[layer(Some(901), 0.5 * MOST_LENGTH_MM)]), 1);
        assert!(lately.get(901).is_some() && lately.get(900).is_none());
    }

    #[test]
    fn of_some_layers_nothing_is_made() {
        let mut lately = Lately::<f64>::default();
        let numbers = lately.make(&[layer(Some(4), 5.0)], |_| None);
        assert_eq!((numbers.as_slice(), lately.get(4)), (&[4][..], None));
    }
}
