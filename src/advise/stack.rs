//! Layers that repeat are laid once.
//!
//! A prismatic stretch of a part is the same outline over and over. Its first layers are skin over a floor, its last
//! skin under a roof; between them two layers take turns (crossed cores need two). So only the ends and a few of the
//! middle are laid, planned and measured, and stand for the rest ([`Repeats`]).
//!
//! ```text
//!   skins above the floor | c1 c2 c3 (c4)                | skins under the roof      laid
//!   skins above the floor | c1 c2 c3 c2 c3 c2 c3 ... (c4)| skins under the roof      in the part
//! ```

use crate::geom::{Polygon, difference, ring_length_mm};
use crate::measure::Repeats;
use crate::rebead::{Flaw, Settings, Slice};

/// Outlines whose edges lie this near to each other all along are one, mm.
const SAME_EDGE_MM: f64 = 0.02;

/// Layers besides skins that are always laid in a stretch: one that rests on the skin, two that take turns.
const MIDDLE: usize = 3;

/// Gives layers that differ by less than a hair the very same outline, so that they are seen to repeat.
pub(super) fn settle(slices: &mut [Slice]) {
    for i in 1..slices.len() {
        let (before, after) = slices.split_at_mut(i);
        if let (Some(below), Some(slice)) = (before.last(), after.first_mut())
            && same_bodies(&below.bodies, &slice.bodies)
        {
            slice.bodies.clone_from(&below.bodies);
        }
    }
}

fn same_bodies(a: &[(u16, Vec<Polygon>)], b: &[(u16, Vec<Polygon>)]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.0 == b.0 && same_outline(&a.1, &b.1))
}

fn same_outline(a: &[Polygon], b: &[Polygon]) -> bool {
    let area = |of: &[Polygon]| of.iter().map(Polygon::area_mm2).sum::<f64>();
    let edge: f64 = a.iter().flat_map(Polygon::rings).map(|r| ring_length_mm(r)).sum();
    let allowed = SAME_EDGE_MM * edge;
    let holes = |of: &[Polygon]| of.iter().map(|p| p.holes.len()).sum::<usize>();
    a == b
        || (a.len() == b.len()
            && holes(a) == holes(b)
            && (area(a) - area(b)).abs() <= allowed
            && area(&difference(a, b)) + area(&difference(b, a)) <= allowed)
}

/// The layers that have to be laid for these settings, with faults moved to them, and which stand for which.
pub(super) fn shortened(slices: &[Slice], settings: &Settings) -> (Vec<Slice>, Settings, Repeats) {
    let (bottom, top) = (settings.bottom_skins as usize, settings.top_skins as usize);
    let mut of: Vec<usize> = Vec::with_capacity(slices.len());
    let mut kept: Vec<usize> = Vec::new();
    for stretch in stretches(slices, settings) {
        let (start, count) = (stretch.start, stretch.len());
        // An even number is left out, so that every layer keeps its turn.
        let spare = count.saturating_sub(bottom + MIDDLE + 1 + top) / 2 * 2;
        let head = bottom + MIDDLE;
        for place in 0..count {
            if spare > 0 && (head..head + spare).contains(&place) {
                of.push(kept.len() - 2 + (place - head) % 2);
            } else {
                of.push(kept.len());
                kept.push(start + place);
            }
        }
    }
    let mut z_mm = 0.0;
    let short: Vec<Slice> = kept
        .iter()
        .map(|&i| {
            z_mm += slices[i].height_mm;
            Slice { z_mm, ..slices[i].clone() }
        })
        .collect();
    let laid_z_mm = short.iter().map(|s| s.z_mm).collect();
    let z_mm = slices.iter().map(|s| s.z_mm).collect();
    let repeats = Repeats { of, z_mm, laid_z_mm, alike: Vec::new() };
    (short, Settings { flaws: moved(&settings.flaws, &kept), ..settings.clone() }, repeats)
}

/// Stretches of layers alike in outline, height and faults; together they are the whole stack.
fn stretches(slices: &[Slice], settings: &Settings) -> Vec<std::ops::Range<usize>> {
    let faults = |i: usize| -> Vec<bool> { settings.flaws.iter().map(|f| layers_of(f).contains(&i)).collect() };
    let alike = |a: usize, b: usize| {
        let (below, above) = (&slices[a], &slices[b]);
        let steady = (above.z_mm - below.z_mm - above.height_mm).abs() < 1e-3;
        let height = (above.height_mm - below.height_mm).abs() < 1e-3;
        steady && height && a > 0 && below.bodies == above.bodies && faults(a) == faults(b)
    };
    let mut stretches: Vec<std::ops::Range<usize>> = Vec::new();
    for i in 0..slices.len() {
        match stretches.last_mut() {
            Some(last) if alike(i - 1, i) => last.end = i + 1,
            _ => stretches.push(i..i + 1),
        }
    }
    // The first layer is laid by itself, but is one with what stands on it: its skins count from the bed.
    if let [first, second, ..] = stretches.as_mut_slice()
        && slices[0].bodies == slices[second.start].bodies
    {
        second.start = first.start;
        stretches.remove(0);
    }
    stretches
}

fn layers_of(flaw: &Flaw) -> std::ops::RangeInclusive<usize> {
    match flaw {
        Flaw::FewWalls { layers, .. } | Flaw::Flow { layers, .. } | Flaw::WallGap { layers, .. } => layers.clone(),
        Flaw::OpenTop { .. } => 0..=usize::MAX,
    }
}

/// Faults at the layers that are laid.
fn moved(flaws: &[Flaw], kept: &[usize]) -> Vec<Flaw> {
    let range = |layers: &std::ops::RangeInclusive<usize>| {
        let first = kept.iter().position(|i| layers.contains(i))?;
        let last = kept.iter().rposition(|i| layers.contains(i))?;
        Some(first..=last)
    };
    let moved = |flaw: &Flaw| {
        Some(match flaw {
            Flaw::FewWalls { layers, walls } => Flaw::FewWalls { layers: range(layers)?, walls: *walls },
            Flaw::Flow { layers, share, by_override } => {
                Flaw::Flow { layers: range(layers)?, share: *share, by_override: *by_override }
            }
            Flaw::WallGap { layers, at, size_mm } => {
                Flaw::WallGap { layers: range(layers)?, at: *at, size_mm: *size_mm }
            }
            Flaw::OpenTop { layers } => Flaw::OpenTop { layers: *layers },
        })
    };
    flaws.iter().filter_map(moved).collect()
}

/// Lays no layer twice, but leaves none out: for loads that follow a pocket through the part.
pub(super) fn unshortened(slices: &[Slice], settings: &Settings) -> (Vec<Slice>, Settings, Repeats) {
    let z_mm: Vec<f64> = slices.iter().map(|s| s.z_mm).collect();
    let repeats = Repeats { of: (0..slices.len()).collect(), laid_z_mm: z_mm.clone(), z_mm, alike: Vec::new() };
    (slices.to_vec(), settings.clone(), repeats)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use crate::rebead::drawing::rectangle;
    use crate::rebead::{Body, slice};

    fn step() -> Vec<Slice> {
        let at = Point::new;
        let body = Body::new(0).add(0.0, 6.0, rectangle(at(0.0, 0.0), at(30.0, 12.0))).add(
            6.0,
            12.0,
            rectangle(at(0.0, 0.0), at(10.0, 12.0)),
        );
        slice(&[body], 0.2, 0.2)
    }

    #[test]
    fn every_layer_has_one_that_stands_for_it() {
        let settings = Settings { bottom_skins: 3, top_skins: 2, ..Settings::default() };
        let slices = step();
        let (short, _, repeats) = shortened(&slices, &settings);
        assert_eq!((slices.len(), short.len(), repeats.of.len()), (60, 20, 60));
        for (i, &of) in repeats.of.iter().enumerate() {
            assert_eq!(short[of].bodies, slices[i].bodies, "layer {i}");
            // Crossed layers keep their turn.
            assert_eq!(of % 2, i % 2, "layer {i}");
        }
        assert!((short.last().map_or(0.0, |s| s.z_mm) - 4.0).abs() < 1e-9);
    }

    #[test]
    fn a_faulty_band_is_a_stretch_of_its_own() {
        let settings = Settings { flaws: vec![Flaw::FewWalls { layers: 15..=16, walls: 1 }], ..Settings::default() };
        let slices = step();
        let (short, moved, repeats) = shortened(&slices, &settings);
        let Flaw::FewWalls { layers, walls: 1 } = &moved.flaws[0] else { panic!("{moved:?}") };
        let stand_in: Vec<usize> = (15..=16).map(|i| repeats.of[i]).collect();
        assert_eq!((stand_in, short.len() < slices.len()), (layers.clone().collect(), true));
    }

    #[test]
    fn outlines_a_hair_apart_are_one() {
        let mut slices = step();
        for p in &mut slices[7].bodies[0].1[0].outer {
            p.x += 0.003;
        }
        assert_ne!(slices[7].bodies, slices[6].bodies);
        settle(&mut slices);
        assert_eq!(slices[7].bodies, slices[6].bodies);
        assert_ne!(slices[29].bodies, slices[30].bodies);
    }
}
