//! Where a loop begins, which way it runs, and where it is broken.

use super::settings::{Seam, Settings, Turn};
use super::walls::WallLoop;
use crate::geom::{Point, signed_area};

/// The corners of a wall in print order, the first repeated at the end (or short of it by the settings' gap).
/// `place` is the layer and the number of the loop in it, for scattered seams.
#[must_use]
pub fn closed_ring(wall: &WallLoop, settings: &Settings, place: (usize, usize)) -> Vec<Point> {
    let mut ring = wall.ring.clone();
    let counter = match settings.turn {
        Turn::CounterClockwise => true,
        Turn::Clockwise => false,
        Turn::HolesOther => !wall.hole,
    };
    if (signed_area(&ring) > 0.0) != counter {
        ring.reverse();
    }
    let start = match settings.seam {
        Seam::Near(point) => nearest_corner(&ring, point),
        Seam::Scattered(seed) => (mixed(seed, place.0 as u64, place.1 as u64) % ring.len().max(1) as u64) as usize,
    };
    if start < ring.len() {
        ring.rotate_left(start);
    }
    ring.extend(ring.first().copied());
    if settings.loop_gap_mm > 0.0 {
        shorten(&mut ring, settings.loop_gap_mm);
    }
    ring
}

fn nearest_corner(ring: &[Point], to: Point) -> usize {
    let nearest = ring.iter().enumerate().min_by(|a, b| a.1.distance(to).total_cmp(&b.1.distance(to)));
    nearest.map_or(0, |(i, _)| i)
}

/// A draw that depends on all three numbers (the splitmix64 step of Steele, Lea and Flood, 2014, from memory).
fn mixed(seed: u64, layer: u64, number: u64) -> u64 {
    let mut x = seed ^ layer.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ number.wrapping_mul(0xd1b5_4a32_d192_ed03);
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

/// Takes a length off the end of a line, which keeps at least one piece.
fn shorten(line: &mut Vec<Point>, mut by_mm: f64) {
    while let &[.., before, last] = line.as_slice() {
        let piece = before.distance(last);
        if piece > by_mm {
            let end = line.len() - 1;
            line[end] = last.lerp(before, by_mm / piece);
            return;
        }
        if line.len() == 2 {
            return;
        }
        by_mm -= piece;
        line.pop();
    }
}

/// A line without what lies in a disc; a closed line that begins outside the disc is joined again over its start.
#[must_use]
pub fn broken_ring(line: Vec<Point>, at: Point, size_mm: f64) -> Vec<Vec<Point>> {
    let closed = line.first() == line.last();
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut piece: Vec<Point> = Vec::new();
    for ends in line.windows(2) {
        let (from, to) = (ends[0], ends[1]);
        let (enters, leaves) = inside_disc(from, to, at, 0.5 * size_mm).unwrap_or((1.0, 1.0));
        if enters > 0.0 {
            if piece.is_empty() {
                piece.push(from);
            }
            piece.push(from.lerp(to, enters));
        }
        if enters < 1.0 {
            pieces.extend((!piece.is_empty()).then(|| std::mem::take(&mut piece)));
            if leaves < 1.0 {
                piece.extend([from.lerp(to, leaves), to]);
            }
        }
    }
    match pieces.first_mut() {
        Some(first) if closed && first.first() == line.first() && piece.last() == line.last() => {
            piece.extend(first.drain(..).skip(1));
            *first = piece;
        }
        _ => pieces.extend((!piece.is_empty()).then_some(piece)),
    }
    pieces
}

/// The shares of a straight piece between which it lies in a disc.
fn inside_disc(from: Point, to: Point, centre: Point, radius_mm: f64) -> Option<(f64, f64)> {
    let (along, off) = (to - from, from - centre);
    // |off + t along| = radius, a quadratic in t.
    let (a, half_b, c) = (along.dot(along), off.dot(along), off.dot(off) - radius_mm * radius_mm);
    let under_root = half_b * half_b - a * c;
    if !(under_root > 0.0 && a > 0.0) {
        return None;
    }
    let root = under_root.sqrt();
    let (enters, leaves) = (((-half_b - root) / a).max(0.0), ((-half_b + root) / a).min(1.0));
    (enters < leaves).then_some((enters, leaves))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rebead::drawing::rectangle;
    use approx::assert_relative_eq;

    fn wall() -> WallLoop {
        WallLoop { depth: 0, hole: true, ring: rectangle(Point::new(0.0, 0.0), Point::new(20.0, 8.0)).outer }
    }

    fn length(line: &[Point]) -> f64 {
        line.windows(2).map(|p| p[0].distance(p[1])).sum()
    }

    #[test]
    fn the_seam_lies_at_the_nearest_corner_and_the_turn_is_as_asked() {
        let near = Seam::Near(Point::new(30.0, 30.0));
        let ccw = closed_ring(&wall(), &Settings { seam: near, ..Settings::default() }, (0, 0));
        assert_eq!((ccw[0], ccw.len()), (Point::new(20.0, 8.0), 5));
        assert_eq!(ccw[1], Point::new(0.0, 8.0));
        let other = Settings { seam: near, turn: Turn::HolesOther, ..Settings::default() };
        assert_eq!(closed_ring(&wall(), &other, (0, 0))[1], Point::new(20.0, 0.0));
    }

    #[test]
    fn scattered_seams_differ_from_layer_to_layer() {
        let settings = Settings { seam: Seam::Scattered(7), ..Settings::default() };
        let starts: std::collections::BTreeSet<_> =
            (0..20).map(|layer| format!("{:?}", closed_ring(&wall(), &settings, (layer, 0))[0])).collect();
        assert_eq!(starts.len(), 4);
    }

    #[test]
    fn a_gap_at_the_end_and_a_gap_in_the_middle() {
        let settings = Settings { loop_gap_mm: 0.15, ..Settings::default() };
        assert_relative_eq!(length(&closed_ring(&wall(), &settings, (0, 0))), 56.0 - 0.15, epsilon = 1e-9);
        let ring = closed_ring(&wall(), &Settings::default(), (0, 0));
        let broken = broken_ring(ring.clone(), Point::new(10.0, 0.0), 2.0);
        assert_eq!(broken.len(), 1);
        assert_relative_eq!(length(&broken[0]), 54.0, epsilon = 1e-9);
        assert_eq!(broken_ring(ring.clone(), Point::new(10.0, 4.0), 2.0), [ring]);
    }
}
