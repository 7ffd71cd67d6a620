//! Bands of layers that were laid otherwise than the rest, and the outlines as they were meant.

use super::seen::Seen;
use crate::geom::{Polygon, offset};
use crate::rebead::{Flaw, Settings, Slice};

/// Flow off the usual by more than this is a fault of its band.
const FLOW_OFF: f64 = 0.07;

/// Bands of layers with fewer walls or another flow than most.
pub(super) fn faults(seen: &[Seen], settings: &Settings) -> Vec<Flaw> {
    let walls = |s: &Seen| s.walls.filter(|w| !s.solid && *w < settings.walls && *w > 0);
    let flow = |s: &Seen| {
        let share = s.wall_area_mm2? / settings.bead_area_mm2(s.height_mm);
        // To a hundredth, so that a band keeps together.
        ((share - 1.0).abs() > FLOW_OFF).then(|| (share * 50.0).round() as u32)
    };
    let mut found: Vec<Flaw> = bands(seen, walls).map(|(layers, walls)| Flaw::FewWalls { layers, walls }).collect();
    found.extend(
        bands(seen, flow)
            .map(|(layers, fiftieths)| (layers, f64::from(fiftieths) / 50.0))
            .map(|(layers, share)| Flaw::Flow { layers, share, by_override: false }),
    );
    found
}

/// Runs of neighbouring layers with one value; the first layer, which is often laid otherwise, is left out.
fn bands<T: PartialEq + Copy>(
    seen: &[Seen],
    of: impl Fn(&Seen) -> Option<T>,
) -> impl Iterator<Item = (std::ops::RangeInclusive<usize>, T)> {
    let mut bands: Vec<(std::ops::RangeInclusive<usize>, T)> = Vec::new();
    for (i, seen) in seen.iter().enumerate().skip(1) {
        let Some(value) = of(seen) else { continue };
        match bands.last_mut() {
            Some((layers, last)) if *last == value && *layers.end() + 1 == i => *layers = *layers.start()..=i,
            _ => bands.push((i..=i, value)),
        }
    }
    bands.into_iter()
}

/// Outlines as they were meant: where a band has too little flow, its beads reach less far out than their centrelines
/// were laid for.
pub(super) fn slices(seen: &[Seen], settings: &Settings) -> Vec<Slice> {
    let share = |i: usize| {
        settings.flaws.iter().find_map(|flaw| match flaw {
            Flaw::Flow { layers, share, .. } if layers.contains(&i) => Some(*share),
            _ => None,
        })
    };
    let one = |(i, seen): (usize, &Seen)| {
        let missing_mm = share(i).map(|share| {
            let full = settings.bead_area_mm2(seen.height_mm);
            0.5 * (settings.bead_width_mm - crate::deposit::width_mm(share * full, seen.height_mm))
        });
        let meant = |outline: &Vec<Polygon>| match missing_mm {
            Some(by_mm) => offset(outline, by_mm),
            None => outline.clone(),
        };
        let bodies = seen.bodies.iter().map(|(tool, outline)| (*tool, meant(outline))).collect();
        Slice { z_mm: seen.z_mm, height_mm: seen.height_mm, bodies }
    };
    seen.iter().enumerate().map(one).collect()
}
