//! Layers that are bead for bead alike are worked out once, and so is what rests on what.
//!
//! ```text
//!   layers    a b c b c d      a, b, c, d are worked out; the second b and c are taken over
//!   bonds      ab bc cb bc cd  the second bc is taken over
//! ```
//!
//! Only whoever laid a part can say which layers are alike. Of a file nothing is known, and every layer is worked out.

use super::worked::Worked;
use crate::deposit::Layer;
use crate::geom::Moments;
use crate::shape::{Footprint, Usual, UsualWalls};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// What has been worked out of layers that may come again.
#[derive(Debug, Default)]
pub(super) struct Alike {
    /// For each layer the first one that is bead for bead like it; empty where that is not known.
    first: Vec<usize>,
    /// Layers that come more than once.
    repeated: BTreeSet<usize>,
    worked: BTreeMap<usize, Worked>,
    usual_walls: UsualWalls,
    bonds: BTreeMap<(usize, usize), Moments>,
}

/// A layer on the one below it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Resting<'a> {
    pub over: &'a Footprint,
    pub under: &'a Footprint,
    /// The first layers that are like these two, where that is known.
    pub which: Option<(usize, usize)>,
}

impl Alike {
    pub fn new(first: Vec<usize>) -> Self {
        let repeated = first.iter().enumerate().filter(|(i, first)| i != *first).map(|(_, first)| *first).collect();
        Self { first, repeated, ..Self::default() }
    }

    /// The first layer that is like this one.
    pub fn first_of(&self, layer: &Layer) -> Option<usize> {
        layer.index.and_then(|index| self.first.get(index).copied())
    }

    /// Works layers out side by side; `None` for those that are no layers of the part.
    pub fn work_out(&mut self, layers: &[Layer], usual_pitch_mm: Option<f64>) -> Vec<Option<Worked>> {
        let usual = Usual { pitch_mm: usual_pitch_mm, walls: None };
        let again = |layer: &Layer| self.first_of(layer).filter(|first| Some(*first) != layer.index);
        let mut worked: Vec<Option<Worked>> = layers
            .par_iter()
            .map(|layer| if again(layer).is_some() { None } else { Worked::out(layer, usual) })
            .collect();
        self.count_walls_again(layers, &mut worked, usual);
        let come_again = layers.iter().zip(&worked).filter_map(|(layer, worked)| {
            let first = layer.index.filter(|index| self.repeated.contains(index))?;
            Some((first, worked.clone()?))
        });
        let come_again: Vec<(usize, Worked)> = come_again.collect();
        self.worked.extend(come_again);
        for (layer, worked) in layers.iter().zip(&mut worked) {
            if let Some(first) = self.first_of(layer).filter(|first| Some(*first) != layer.index) {
                let taken_over = self.worked.get(&first).map(|first| first.of(layer));
                *worked = taken_over.or_else(|| Worked::out(layer, usual));
            }
        }
        worked
    }

    /// Works out once more what seems to have more walls than is usual in the print.
    fn count_walls_again(&mut self, layers: &[Layer], worked: &mut [Option<Worked>], usual: Usual) {
        for (layer, worked) in layers.iter().zip(&*worked) {
            if let Some(worked) = worked {
                self.usual_walls.push(layer, &worked.shape);
            }
        }
        let Some(walls) = self.usual_walls.count() else { return };
        layers.par_iter().zip(worked).for_each(|(layer, worked)| {
            if let Some(worked) = worked.as_mut().filter(|worked| worked.shape.deepest_walls > walls)
                && let Some(again) = Worked::again(layer, Usual { walls: Some(walls), ..usual })
            {
                *worked = again;
            }
        });
    }

    /// Area over which layers fuse to those below them, side by side.
    pub fn bonds(&mut self, resting: &[Option<Resting<'_>>]) -> Vec<Option<Moments>> {
        let mut asked: BTreeSet<(usize, usize)> = BTreeSet::new();
        let fresh: Vec<bool> = resting
            .iter()
            .map(|pair| match pair {
                Some(Resting { which: Some(which), .. }) => !self.bonds.contains_key(which) && asked.insert(*which),
                pair => pair.is_some(),
            })
            .collect();
        let overlap = |(pair, fresh): (&Option<Resting<'_>>, bool)| {
            pair.as_ref().filter(|_| fresh).map(|pair| pair.over.overlap(pair.under))
        };
        let mut bonds: Vec<Option<Moments>> = resting.par_iter().zip(fresh).map(overlap).collect();
        for (pair, bond) in resting.iter().zip(&mut bonds) {
            let Some(which) = pair.as_ref().and_then(|pair| pair.which) else { continue };
            match bond {
                Some(bond) => drop(self.bonds.insert(which, *bond)),
                None => *bond = self.bonds.get(&which).copied(),
            }
        }
        bonds
    }
}
