//! Faults of walls: gaps, places with fewer beads, layers with one.

use super::{Pair, Planted, Sound, band};
use crate::draw::Draw;
use crate::edit::{Disc, take_away};
use beadwise::geom::Point;
use beadwise::profile::Role;
use beadwise::rebead::{Flaw, LaidStrand, lay};

fn is_wall(strand: &LaidStrand) -> bool {
    matches!(strand.role, Role::OuterWall | Role::InnerWall)
}

/// How near a strand comes to a place, mm.
fn distance_mm(strand: &LaidStrand, to: Point) -> f64 {
    let piece = |ends: &[Point]| beadwise::geom::Segment::new(ends[0], ends[1]).nearest(to).0.distance(to);
    strand.points.windows(2).map(piece).fold(f64::INFINITY, f64::min)
}

/// All walls, or one of them, are interrupted at a place.
pub fn gap(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x09ab);
    let part = Sound::of(&mut draw, 1);
    let sound = part.lay();
    let layers = band(&mut draw);
    let (edge, inward) = part.place_on_edge(&mut draw, layers.0);
    let size_mm = draw.between(2.4, 5.0);
    let lone = draw.yes(0.5).then(|| draw.whole(0, part.settings.walls - 1));
    let depth_mm =
        0.5 * part.settings.bead_width_mm + f64::from(lone.unwrap_or(0)) * part.settings.pitch_mm(part.height_mm);
    let centre = edge + inward * depth_mm;
    let disc = Disc { centre, radius_mm: 0.5 * size_mm };
    let mut flawed = sound.clone();
    for layer in &mut flawed.layers[layers.0..=layers.1] {
        let near = |s: &LaidStrand| is_wall(s) && distance_mm(s, centre) < 0.1;
        let all = lone.is_none();
        take_away(layer, disc, |_, s| is_wall(s) && (all || near(s)));
    }
    let mut pair = part.pair(&sound, &flawed, vec![Planted { codes: &["wall-gap"], layers, at: Some(centre) }]);
    pair.name += &format!(", gap of {size_mm:.1} mm in wall {lone:?}");
    pair
}

/// A gap in layers that are starved as well.
pub fn gap_and_starved(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x9ab5);
    let part = Sound::of(&mut draw, 2);
    let sound = part.lay();
    let layers = band(&mut draw);
    let (edge, inward) = part.place_on_edge(&mut draw, layers.0);
    let centre = edge + inward * (0.5 * part.settings.bead_width_mm);
    let disc = Disc { centre, radius_mm: draw.between(1.2, 2.0) };
    let share = draw.between(0.55, 0.78);
    let mut flawed = sound.clone();
    for layer in &mut flawed.layers[layers.0..=layers.1] {
        take_away(layer, disc, |_, s| is_wall(s));
        layer.strands.iter_mut().flat_map(|s| &mut s.areas_mm2).for_each(|a| *a *= share);
    }
    let planted = vec![
        Planted { codes: &["wall-gap"], layers, at: Some(centre) },
        Planted { codes: &["starved-flow"], layers, at: None },
    ];
    part.pair(&sound, &flawed, planted)
}

/// A band of layers with fewer walls, in half of the cases with just one.
pub fn few(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0xfe_11);
    let part = Sound::of(&mut draw, 2);
    let layers = band(&mut draw);
    let walls = if draw.yes(0.5) { 1 } else { draw.whole(1, part.settings.walls - 1) };
    let mut settings = part.settings.clone();
    settings.flaws.push(Flaw::FewWalls { layers: layers.0..=layers.1, walls });
    let flawed = lay(&part.slices, &settings);
    part.pair(&part.lay(), &flawed, vec![Planted { codes: &["few-walls"], layers, at: None }])
}

/// The inner walls are left out over a stretch of the edge: fewer beads than elsewhere hold there.
pub fn thin_place(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x7417);
    let part = Sound::of(&mut draw, 2);
    let sound = part.lay();
    let layers = band(&mut draw);
    let (edge, inward, room_mm) = part.place_with_room(&mut draw, layers.0, 4.0);
    let left = draw.whole(1, part.settings.walls - 1);
    let pitch = part.settings.pitch_mm(part.height_mm);
    let kept_mm = 0.5 * part.settings.bead_width_mm + (f64::from(left) - 0.5) * pitch;
    let disc = Disc { centre: edge, radius_mm: room_mm.min(draw.between(4.0, 7.0)) };
    let reach = f64::from(part.settings.walls) * pitch + 1.0;
    let mut flawed = sound.clone();
    for layer in &mut flawed.layers[layers.0..=layers.1] {
        take_away(layer, disc, |_, s| {
            let off = (0..8).map(|k| distance_mm(s, edge + inward * (f64::from(k) * reach / 7.0)));
            is_wall(s) && distance_mm(s, edge) > kept_mm && off.fold(f64::INFINITY, f64::min) < pitch
        });
    }
    let middle = edge + inward * (0.5 * kept_mm);
    part.pair(&sound, &flawed, vec![Planted { codes: &["thin-place", "wall-gap"], layers, at: Some(middle) }])
}
