//! Layers that are alike are worked out once, and so is what rests on what.
//!
//! ```text
//!   layers    a b c b c d      a, b, c, d are worked out; the second b and c are taken over
//!   bonds      ab bc cb bc cd  the second bc is taken over
//! ```

use super::lately::Lately;
use super::worked::Worked;
use crate::deposit::Layer;
use crate::geom::Moments;
use crate::shape::{Axis, Footprint, Usual, UsualPitch, UsualWalls};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// So many bonds are kept, of the pairs of layers that were met last.
const MOST_BONDS: usize = 128;

/// Layers in print order, as they were worked out.
#[derive(Debug, Default)]
pub(super) struct WorkedBatch {
    pub layers: Vec<Layer>,
    /// A number for every layer, the same for those that are alike.
    pub numbers: Vec<usize>,
    /// `None` for those that are no layers of the part.
    pub worked: Vec<Option<Worked>>,
}

/// What has been worked out of layers that may come again.
#[derive(Debug, Default)]
pub(super) struct Alike {
    /// Across which axes layers are cut.
    axes: Vec<Axis>,
    lately: Lately<Known>,
    usual_pitch: UsualPitch,
    usual_walls: UsualWalls,
}

/// What is known of layers with one number.
#[derive(Debug)]
struct Known {
    worked: Worked,
    /// The usual number of walls it was measured with, or would not change for.
    walls: Option<usize>,
}

/// A layer on the one below it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Resting<'a> {
    pub over: &'a Footprint,
    pub under: &'a Footprint,
    /// The numbers of both.
    pub which: (usize, usize),
}

impl Alike {
    /// Works out cuts across these axes as well.
    pub fn with_cuts(self, axes: Vec<Axis>) -> Self {
        Self { axes, ..self }
    }

    /// Works the next layers in print order out, side by side.
    pub fn work_out(&mut self, layers: Vec<Layer>) -> WorkedBatch {
        layers.iter().for_each(|layer| self.usual_pitch.push(layer));
        let usual = Usual { pitch_mm: self.usual_pitch.pitch_mm(), walls: None };
        let axes = &self.axes;
        let numbers =
            self.lately.make(&layers, |layer| Some(Known { worked: Worked::out(layer, usual, axes)?, walls: None }));
        for (layer, number) in layers.iter().zip(&numbers) {
            if let Some(known) = self.lately.get(*number) {
                self.usual_walls.push(layer, &known.worked.shape);
            }
        }
        self.count_walls_again(numbers.iter().copied().zip(&layers).rev().collect(), usual);
        let of = |(layer, number): (&Layer, &usize)| self.lately.get(*number).map(|known| known.worked.of(layer));
        let worked = layers.iter().zip(&numbers).map(of).collect();
        self.lately.forget_others(&layers, &numbers);
        WorkedBatch { layers, numbers, worked }
    }

    /// Works out once more what seems to have more walls than is usual in the print, of these layers by number.
    fn count_walls_again(&mut self, layers: BTreeMap<usize, &Layer>, usual: Usual) {
        let Some(walls) = self.usual_walls.count() else { return };
        let usual = Usual { walls: Some(walls), ..usual };
        let axes = &self.axes;
        self.lately.all_mut().par_iter_mut().for_each(|(number, known)| {
            let Some(layer) = layers.get(number) else { return };
            if known.walls.replace(walls) != Some(walls)
                && known.worked.shape.deepest_walls > walls
                && let Some(again) = Worked::again(layer, usual, axes)
            {
                known.worked = again;
            }
        });
    }
}

/// Area over which layers fuse to those below them, found once for pairs that are alike.
#[derive(Debug, Default)]
pub(super) struct Bonds {
    known: BTreeMap<(usize, usize), Moments>,
    /// The pairs met lately, the last one first.
    recent: VecDeque<(usize, usize)>,
}

impl Bonds {
    /// Finds them side by side; `None` where a layer rests on nothing.
    pub fn of(&mut self, resting: &[Option<Resting<'_>>]) -> Vec<Option<Moments>> {
        let mut asked: BTreeSet<(usize, usize)> = BTreeSet::new();
        let fresh: Vec<&Resting<'_>> = resting
            .iter()
            .flatten()
            .filter(|pair| !self.known.contains_key(&pair.which) && asked.insert(pair.which))
            .collect();
        self.known.par_extend(fresh.into_par_iter().map(|pair| (pair.which, pair.over.overlap(pair.under))));
        let bonds = resting.iter().map(|pair| self.known.get(&pair.as_ref()?.which).copied()).collect();
        resting.iter().flatten().for_each(|pair| self.meet(pair.which));
        bonds
    }

    /// Takes note of a pair that was met, and forgets what was not met for longest.
    fn meet(&mut self, pair: (usize, usize)) {
        self.recent.retain(|met| *met != pair);
        self.recent.push_front(pair);
        while self.recent.len() > MOST_BONDS {
            self.recent.pop_back().and_then(|forgotten| self.known.remove(&forgotten));
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::fixture::{brick, draw, stack};
    use super::*;
    use crate::shape::fixture::{plate, ring};

    #[test]
    fn a_pair_of_layers_is_looked_at_once() {
        let square = |side: f64| {
            let corners = ring(&[(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]);
            Footprint::of_polygons(&[plate(corners, &[])])
        };
        let (big, small) = (square(10.0), square(5.0));
        let on = |over, under, which| Some(Resting { over, under, which });
        let mut bonds = Bonds::default();
        let mut areas = |resting: &[Option<Resting<'_>>]| -> Vec<Option<f64>> {
            bonds.of(resting).iter().map(|bond| bond.map(|bond| bond.area_mm2.round())).collect()
        };
        // A pair with the numbers of another is taken to be that pair.
        let first = [None, on(&big, &small, (1, 0)), on(&big, &big, (2, 1)), on(&big, &big, (1, 0))];
        assert_eq!(areas(&first), [None, Some(25.0), Some(100.0), Some(25.0)]);
        assert_eq!(areas(&[on(&small, &small, (2, 1)), on(&small, &big, (3, 2))]), [Some(100.0), Some(25.0)]);
    }

    #[test]
    fn the_pair_that_was_not_met_for_longest_is_forgotten() {
        let plan = Footprint::default();
        let mut bonds = Bonds::default();
        let mut meet = |number: usize| {
            bonds.of(&[Some(Resting { over: &plan, under: &plan, which: (number, 0) })]);
            bonds.known.keys().map(|pair| pair.0).collect::<Vec<_>>()
        };
        (0..MOST_BONDS).for_each(|number| drop(meet(number)));
        assert_eq!(meet(0).len(), MOST_BONDS, "so many are kept");
        assert!(meet(MOST_BONDS).into_iter().eq([0].into_iter().chain(2..=MOST_BONDS)), "0 was met since, 1 was not");
    }

    #[test]
    fn a_layer_filled_with_loops_has_as_many_walls_as_the_rest_of_the_print() {
        // Lines fill the core of all but the last, which is laid as nine loops.
        let mut layers = stack(5, |index, laid| {
            if index < 4 {
                draw(laid, &brick(), 0.3);
            } else {
                laid.walls(&brick(), 9);
            }
        });
        let last_walls = |layers: Vec<Layer>| {
            let worked = Alike::default().work_out(layers).worked.pop().unwrap().unwrap();
            worked.shape.walls.median
        };
        assert_eq!(last_walls(layers.clone()), Some(2));
        // By itself nothing says that not all of them are walls.
        assert_eq!(last_walls(layers.split_off(4)), Some(9));
    }
}
