//! Narrow places: ribs where walls meet, walls whose beads change in width.

use super::{Hard, Spot};
use crate::case::{self, Case};
use crate::draw::Draw;
use beadwise::geom::{Point, Segment, difference};
use beadwise::rebead::drawing::{circle, polygon};
use beadwise::rebead::{Body, CoreFill, Laid, Settings, slice};

fn at(x: f64, y: f64) -> Point {
    Point::new(80.0 + x, 95.0 + y)
}

/// Strands that a straight line meets.
fn strands_across(laid: &Laid, layer: usize, from: Point, to: Point) -> u32 {
    let along = (to - from).unit().unwrap_or(Point::new(1.0, 0.0));
    let reach = from.distance(to);
    let strands = laid.layers[layer].strands.iter().filter(|s| s.role.is_part());
    strands
        .flat_map(|s| s.points.windows(2))
        .filter(|p| Segment::new(p[0], p[1]).met_by_ray(from, along).is_some_and(|d| d < reach))
        .count() as u32
}

/// A comb with ribs from one bead to all walls of both faces; walls meet in them in every way.
pub fn ribs(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x4_1b5);
    let drawn = case::settings(&mut draw);
    let settings = Settings { walls: draw.whole(1, 5), core: CoreFill { density: 0.25, ..drawn.core }, ..drawn };
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let (width, pitch) = (settings.bead_width_mm, settings.pitch_mm(height));
    let round = width - pitch;
    let long = draw.between(7.0, 11.0);
    let mut ribs = Vec::new();
    let mut corners = vec![(0.0, 0.0), (44.0, 0.0), (44.0, 10.0)];
    for number in (0..5).rev() {
        let middle = 4.0 + 9.0 * f64::from(number);
        // Strips of whole pitches, or a little more, so that a wider bead goes between.
        let whole = draw.whole(1, 2 * settings.walls);
        let more = draw.one_of(&[0.0, 0.0, 0.25, 0.6]);
        let strips = f64::from(whole) + if whole < 2 * settings.walls { more } else { 0.0 };
        let wide = strips * pitch + round + 0.002;
        ribs.push((middle, wide));
        let (a, b) = (middle - 0.5 * wide, middle + 0.5 * wide);
        corners.extend([(b, 10.0), (b, 10.0 + long), (a, 10.0 + long), (a, 10.0)]);
    }
    corners.push((0.0, 10.0));
    let outline = polygon(&corners.iter().map(|&(x, y)| (80.0 + x, 95.0 + y)).collect::<Vec<_>>());
    let slices = slice(&[Body::new(0).add(0.0, 12.0 * height, outline)], height, height);
    let case = Case::laid("comb", settings, case::dialect(&mut draw), &slices, &[]);
    let mut spots = Vec::new();
    for &(middle, wide) in &ribs {
        let y = 10.0 + 0.5 * long;
        let walls = strands_across(&case.laid, 5, at(middle - 0.5 * wide, y), at(middle + 0.5 * wide, y));
        spots.push(Spot { layer: 5, at: at(middle - 0.5 * wide, y), walls, thickness_mm: wide });
    }
    Hard { even_walls: false, spots, ..Hard::new(case) }
}

/// A tube whose bore lies off its middle: the bead between its walls changes in width all the way round.
pub fn eccentric(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0xecc);
    let drawn = case::settings(&mut draw);
    let settings = Settings { walls: draw.whole(2, 3), ..drawn };
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let (width, pitch) = (settings.bead_width_mm, settings.pitch_mm(height));
    let bore = draw.between(12.0, 24.0);
    // From walls that just touch to a bead nearly twice as wide between them.
    let faces = 2.0 * f64::from(settings.walls - 1);
    let least = (faces + 0.45) * pitch + (width - pitch);
    let most = (faces + draw.between(1.0, 1.8)) * pitch + (width - pitch);
    let (mean, off) = (0.5 * (least + most), 0.5 * (most - least));
    let outer = circle(at(20.0, 20.0), bore + 2.0 * mean);
    let ring = difference(&[outer], &[circle(at(20.0 + off, 20.0), bore)]);
    let body = ring.into_iter().fold(Body::new(0), |body, polygon| body.add(0.0, 10.0 * height, polygon));
    let slices = slice(&[body], height, height);
    let case = Case::laid("eccentric tube", settings, case::dialect(&mut draw), &slices, &[]);
    Hard { even_walls: false, ..Hard::new(case) }
}
