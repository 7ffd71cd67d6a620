//! Faults of the shape: thin ribs, thin webs, open skins, weak planes.

use super::{Pair, Planted, Sound};
use crate::draw::Draw;
use crate::edit::{Disc, shift, take_away};
use beadwise::geom::Point;
use beadwise::profile::Role;
use beadwise::rebead::drawing::{circle, polygon, rectangle};
use beadwise::rebead::{Body, Flaw, lay, slice};

const CORNER: Point = Point::new(90.0, 95.0);

fn at(x: f64, y: f64) -> Point {
    CORNER + Point::new(x, y)
}

/// A block with a rib on it: sound where the rib is as wide as all walls of both its faces, a fault where it is
/// narrower than two beads.
pub fn thin_rib(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x41b);
    let across = draw.yes(0.5);
    let part = Sound::with(&mut draw, 1, |_, _, _, top| {
        ("block with a rib", vec![Body::new(0).add(0.0, top, rectangle(at(0.0, 0.0), at(30.0, 14.0)))], vec![])
    });
    let (width, pitch) = (part.settings.bead_width_mm, part.settings.pitch_mm(part.height_mm));
    let wide = 2.0 * f64::from(part.settings.walls) * pitch + (width - pitch) + 4.0;
    let thin = draw.between(0.95 * width, width + 0.8 * pitch);
    let (middle, long) = (draw.between(10.0, 20.0), draw.between(6.0, 12.0));
    let body = |rib: f64| {
        let (a, b) = (middle - 0.5 * rib, middle + 0.5 * rib);
        let corners = [
            (0.0, 0.0),
            (30.0, 0.0),
            (30.0, 14.0),
            (b, 14.0),
            (b, 14.0 + long),
            (a, 14.0 + long),
            (a, 14.0),
            (0.0, 14.0),
        ];
        let turned =
            |&(x, y): &(f64, f64)| if across { (CORNER.x - y, CORNER.y + x) } else { (CORNER.x + x, CORNER.y + y) };
        let outline = polygon(&corners.iter().map(turned).collect::<Vec<_>>());
        Body::new(0).add(0.0, 24.0 * part.height_mm, outline)
    };
    let laid = |rib: f64| lay(&slice(&[body(rib)], part.height_mm, part.height_mm), &part.settings);
    let place = Point::new(middle, 14.0 + 0.5 * long);
    let place = if across { CORNER + place.left() } else { CORNER + place };
    let planted = Planted { codes: &["thin-rib"], layers: (0, 23), at: Some(place) };
    Pair { outlines_mm2: Vec::new(), ..part.pair(&laid(wide), &laid(thin), vec![planted]) }
}

/// A hole so near to an edge that the web between holds fewer beads than the walls have elsewhere.
pub fn thin_web(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x3eb);
    let bore = draw.between(6.0, 12.0);
    let part = Sound::with(&mut draw, 3, |_, settings, height, top| {
        let size = 2.0 * bore + 4.0 * f64::from(settings.walls) * settings.pitch_mm(height) + 16.0;
        ("plate", vec![Body::new(0).add(0.0, top, rectangle(at(0.0, 0.0), at(size, size)))], vec![])
    });
    let (walls, pitch) = (f64::from(part.settings.walls), part.settings.pitch_mm(part.height_mm));
    let round = part.settings.bead_width_mm - pitch;
    let size = 2.0 * bore + 4.0 * walls * pitch + 16.0;
    // From one to all but one bead of one face, and both faces with a core between.
    let thin = f64::from(draw.whole(2, part.settings.walls - 1)) * pitch + round;
    let wide = 2.0 * walls * pitch + round + 4.0;
    let body = |web: f64| {
        let centre = at(0.5 * size, web + 0.5 * bore);
        let plate = rectangle(at(0.0, 0.0), at(size, size));
        Body::new(0).add(0.0, 24.0 * part.height_mm, plate).cut(0.0, 24.0 * part.height_mm, circle(centre, bore))
    };
    let laid = |web: f64| lay(&slice(&[body(web)], part.height_mm, part.height_mm), &part.settings);
    let planted = Planted { codes: &["thin-place"], layers: (0, 23), at: Some(at(0.5 * size, 0.5 * thin)) };
    Pair { outlines_mm2: Vec::new(), ..part.pair(&laid(wide), &laid(thin), vec![planted]) }
}

/// Skins with layers missing: all of a roof, or a patch of it, or of the floor.
pub fn thin_skin(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x5c1);
    let part = Sound::with(&mut draw, 1, |draw, _, _, top| {
        let size = (draw.between(22.0, 34.0), draw.between(20.0, 26.0));
        ("block", vec![Body::new(0).add(0.0, top, rectangle(at(0.0, 0.0), at(size.0, size.1)))], vec![])
    });
    let sound = part.lay();
    let count = sound.layers.len();
    let missing = draw.whole(1, 3) as usize;
    if draw.yes(0.4) {
        let mut settings = part.settings.clone();
        settings.flaws.push(Flaw::OpenTop { layers: missing + 1 });
        let flawed = lay(&part.slices, &settings);
        let planted = Planted { codes: &["thin-skin"], layers: (count - 4, count - 1), at: None };
        return part.pair(&sound, &flawed, vec![planted]);
    }
    // A patch without the lines of the lowest of the roof's layers (or the topmost of the floor's).
    let roof = draw.yes(0.6);
    let layers = if roof { count - 4..count - 4 + missing } else { 3 - missing.min(2)..3 };
    let disc = Disc { centre: at(draw.between(9.0, 13.0), draw.between(8.0, 12.0)), radius_mm: draw.between(2.5, 5.0) };
    let mut flawed = sound.clone();
    for layer in &mut flawed.layers[layers] {
        take_away(layer, disc, |_, s| matches!(s.role, Role::SolidInfill | Role::Bridge));
    }
    let skin = if roof { (count - 4, count - 1) } else { (0, 2) };
    part.pair(&sound, &flawed, vec![Planted { codes: &["thin-skin"], layers: skin, at: Some(disc.centre) }])
}

/// A plane that holds less than those around it: a layer left out, layers moved sideways, or a groove all round.
pub fn weak_plane(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x3ea4);
    let part = Sound::of(&mut draw, 2);
    let sound = part.lay();
    let mut flawed = sound.clone();
    let plane = draw.whole(14, 16) as usize;
    match draw.whole(0, 1) {
        0 => {
            flawed.layers.remove(plane);
            for (index, layer) in flawed.layers.iter_mut().enumerate() {
                layer.index = index;
            }
        }
        _ => {
            let angle = draw.between(0.0, std::f64::consts::TAU);
            let by = Point::new(angle.cos(), angle.sin()) * draw.between(1.5, 4.0);
            for layer in &mut flawed.layers[plane..] {
                shift(layer, by);
            }
        }
    }
    let planted = Planted { codes: &["weak-plane"], layers: (plane - 1, plane), at: None };
    Pair { outlines_mm2: Vec::new(), ..part.pair(&sound, &flawed, vec![planted]) }
}
