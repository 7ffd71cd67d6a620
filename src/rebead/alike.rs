//! Layers that come out bead for bead like an earlier one, so that they need not be laid anew.
//!
//! What is laid in a layer follows from its own outline, those of the layers its skins look at, its height, its turn
//! (even or odd), and the faults that touch it.

use super::laid::LaidLayer;
use super::part::Slice;
use super::settings::{Flaw, Seam, Settings};
use std::collections::{BTreeMap, BTreeSet};
use std::hash::{DefaultHasher, Hash, Hasher};

/// Everything that decides what is laid in a layer; outlines by number, none outside of the part.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    own: usize,
    /// What lies right below, for bridges.
    below: Option<usize>,
    /// Other outlines that its skins look at, below and above; nothing where they look out of the part, so that it is
    /// solid all over.
    looks_at: Option<[BTreeSet<usize>; 2]>,
    height_bits: u64,
    odd: bool,
    first: bool,
    climbing: bool,
    flaws: Vec<bool>,
}

/// For each layer the first one that is laid alike: itself where there is none before it.
#[must_use]
pub fn first_alike(slices: &[Slice], settings: &Settings) -> Vec<usize> {
    let from_the_top = settings.flaws.iter().any(|flaw| matches!(flaw, Flaw::OpenTop { .. }));
    if matches!(settings.seam, Seam::Scattered(_)) || from_the_top {
        return (0..slices.len()).collect();
    }
    let numbers = outline_numbers(slices);
    let mut seen: BTreeMap<Key, usize> = BTreeMap::new();
    (0..slices.len()).map(|i| *seen.entry(key(i, slices, &numbers, settings)).or_insert(i)).collect()
}

fn key(i: usize, slices: &[Slice], numbers: &[usize], settings: &Settings) -> Key {
    let (bottom, top) = (settings.bottom_skins as usize, settings.top_skins as usize);
    let own = numbers[i];
    let within = i >= bottom && i + top < slices.len();
    let others = |layers: std::ops::Range<usize>| numbers[layers].iter().copied().filter(|n| *n != own).collect();
    let looks_at = within.then(|| [others(i - bottom..i), others(i + 1..i + 1 + top)]);
    let touched = |flaw: &Flaw| match flaw {
        Flaw::FewWalls { layers, .. } | Flaw::Flow { layers, .. } | Flaw::WallGap { layers, .. } => layers.contains(&i),
        Flaw::OpenTop { .. } => true,
    };
    Key {
        own,
        below: i.checked_sub(1).map(|below| numbers[below]),
        looks_at,
        height_bits: slices[i].height_mm.to_bits(),
        odd: i % 2 == 1,
        first: i == 0,
        climbing: settings.spiral && i >= settings.bottom_skins as usize,
        flaws: settings.flaws.iter().map(touched).collect(),
    }
}

/// Tells every layer the first one that is bead for bead like it: more of them than [`first_alike`] can foresee, since
/// skins of a prism are alike whatever lies under them. The first layer stands for itself alone.
pub fn name_alike(layers: &mut [LaidLayer]) {
    let mut known: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
    for i in 1..layers.len() {
        let layer = &layers[i];
        let same = |&first: &usize| layers[first].strands == layer.strands && same_height(&layers[first], layer);
        let with_this_print = known.entry(print_of(layer)).or_default();
        let first = with_this_print.iter().copied().find(|first| same(first));
        with_this_print.extend(first.is_none().then_some(i));
        layers[i].alike = first.unwrap_or(i);
    }
}

fn same_height(a: &LaidLayer, b: &LaidLayer) -> bool {
    (a.height_mm - b.height_mm).abs() < 1e-9
}

/// A number that is the same for layers of the same strands.
fn print_of(layer: &LaidLayer) -> u64 {
    let mut hasher = DefaultHasher::new();
    for strand in &layer.strands {
        strand.points.len().hash(&mut hasher);
        for p in &strand.points {
            (p.x.to_bits(), p.y.to_bits()).hash(&mut hasher);
        }
    }
    hasher.finish()
}

/// Numbers under which equal outlines are known.
fn outline_numbers(slices: &[Slice]) -> Vec<usize> {
    let mut known: Vec<usize> = Vec::new();
    slices
        .iter()
        .enumerate()
        .map(|(i, slice)| match known.iter().rposition(|&k| slices[k].bodies == slice.bodies) {
            Some(number) => number,
            None => {
                known.push(i);
                known.len() - 1
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use crate::rebead::drawing::rectangle;
    use crate::rebead::{Body, lay, slice};

    #[test]
    fn two_layers_take_turns_between_the_skins() {
        let at = Point::new;
        let block = Body::new(0).add(0.0, 3.0, rectangle(at(0.0, 0.0), at(20.0, 12.0)));
        let slices = slice(&[block], 0.2, 0.2);
        let settings = Settings { bottom_skins: 2, top_skins: 3, ..Settings::default() };
        let alike = first_alike(&slices, &settings);
        assert_eq!(alike, [0, 1, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 12, 1, 12]);
        // Bead for bead, as if each had been laid by itself.
        let laid = lay(&slices, &settings);
        assert_eq!(laid.layers[9].strands, laid.layers[3].strands);
        assert_ne!(laid.layers[8].strands, laid.layers[3].strands);
        let faulty = Settings { flaws: vec![Flaw::FewWalls { layers: 6..=6, walls: 1 }], ..settings.clone() };
        assert_eq!(first_alike(&slices, &faulty)[5..9], [3, 6, 3, 2]);
        let scattered = Settings { seam: Seam::Scattered(3), ..settings };
        assert_eq!(first_alike(&slices, &scattered)[7], 7);
    }
}
