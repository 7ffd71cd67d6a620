//! Too little and too much plastic, in a band of layers and at a place.

use super::{Pair, Planted, Sound, band};
use crate::draw::Draw;
use crate::edit::{Disc, change_flow};
use beadwise::geom::{Point, Polygon, offset};
use beadwise::rebead::Flaw;

/// Shares of the plastic that the beads should get.
fn share(draw: &mut Draw) -> (f64, &'static [&'static str]) {
    if draw.yes(0.5) {
        (draw.between(0.5, 0.78), &["starved-flow"])
    } else {
        (draw.between(1.28, 1.55), &["excess-flow"])
    }
}

/// Whole layers, by the lengths fed or by the machine's override.
pub fn in_a_band(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x11_ba4d);
    let part = Sound::of(&mut draw, 1);
    // A lone wall that is fatter than elsewhere may be meant to reach further out.
    let lone = part.settings.walls == 1;
    let (share, codes): (_, &[_]) = if lone { (draw.between(0.5, 0.78), &["starved-flow"]) } else { share(&mut draw) };
    // Sometimes so many layers that the sound ones are the exception.
    let long = !lone && share < 1.0 && draw.yes(0.3);
    let layers = if long { (4, 19) } else { band(&mut draw) };
    let flaw = Flaw::Flow { layers: layers.0..=layers.1, share, by_override: draw.yes(0.5) };
    let mut settings = part.settings.clone();
    settings.flaws.push(flaw);
    let flawed = beadwise::rebead::lay(&part.slices, &settings);
    let pair = part.pair(&part.lay(), &flawed, vec![Planted { codes, layers, at: None }]);
    // What is usual is then read from the starved layers, and with it where they end.
    if long { Pair { outlines_mm2: Vec::new(), ..pair } } else { pair }
}

/// A round place in some layers.
pub fn in_a_region(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x004e_610e);
    let part = Sound::of(&mut draw, 2);
    let sound = part.lay();
    let (share, codes) = share(&mut draw);
    // Below the roof's skin over a step's foot: its patch would be as large as the place.
    let (first, last) = band(&mut draw);
    let layers = (first, last.min(7));
    let centre = place_within(&mut draw, &part, layers.0);
    // Small against the piece it lies in: what most of a layer has is usual there.
    let pieces = part.slices[layers.0].outline();
    let piece = pieces.iter().find(|p| p.contains(centre)).map_or(0.0, Polygon::area_mm2);
    let disc = Disc { centre, radius_mm: draw.between(4.0, 7.0).min(0.28 * piece.sqrt()) };
    let mut flawed = sound.clone();
    let at: Vec<Point> = (layers.0..=layers.1)
        .filter_map(|i| change_flow(&mut flawed.layers[i], disc, share, |s| s.role.is_part()))
        .collect();
    let middle = at.iter().fold(Point::default(), |sum, p| sum + *p) * (1.0 / at.len() as f64);
    part.pair(&sound, &flawed, vec![Planted { codes, layers, at: Some(middle) }])
}

/// A point near the walls of one of the part's pieces, so that the place takes in walls and core.
fn place_within(draw: &mut Draw, part: &Sound, layer: usize) -> Point {
    let outline = part.slices[layer].outline();
    let inner = offset(&outline, -draw.between(1.0, 3.0));
    let rings: Vec<_> = inner.iter().flat_map(Polygon::rings).collect();
    let ring = rings[draw.whole(0, rings.len() as u32 - 1) as usize];
    let from = draw.whole(0, ring.len() as u32 - 1) as usize;
    ring[from].lerp(ring[(from + 1) % ring.len()], draw.between(0.0, 1.0))
}
