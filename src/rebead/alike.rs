//! Layers that come out bead for bead like an earlier one, so that they need not be laid anew.
//!
//! What is laid in a layer follows from its own outline, those of the layers its skins look at, its height, its turn
//! (even or odd), and the faults that touch it.

use super::part::Slice;
use super::settings::{Flaw, Seam, Settings};
use std::collections::BTreeMap;

/// Everything that decides what is laid in a layer; outlines by number, none outside of the part.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    outlines: Vec<Option<usize>>,
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
    // Bridges look at the layer below even where there are no skins.
    let (below, above) = (settings.bottom_skins.max(1) as usize, settings.top_skins as usize);
    let number = |at: Option<usize>| at.and_then(|at| numbers.get(at).copied());
    let under = (1..=below).rev().map(|by| number(i.checked_sub(by)));
    let outlines = under.chain((0..=above).map(|by| number(Some(i + by)))).collect();
    let touched = |flaw: &Flaw| match flaw {
        Flaw::FewWalls { layers, .. } | Flaw::Flow { layers, .. } | Flaw::WallGap { layers, .. } => layers.contains(&i),
        Flaw::OpenTop { .. } => true,
    };
    Key {
        outlines,
        height_bits: slices[i].height_mm.to_bits(),
        odd: i % 2 == 1,
        first: i == 0,
        climbing: settings.spiral && i >= settings.bottom_skins as usize,
        flaws: settings.flaws.iter().map(touched).collect(),
    }
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
        assert_eq!(alike, [0, 1, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3, 12, 13, 14]);
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
