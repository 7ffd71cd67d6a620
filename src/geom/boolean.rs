//! Joining, cutting and overlapping polygons with holes.
//!
//! The work is done by the `i_overlay` library on a grid of whole numbers: about 1e-7 mm for a part of
//! 200 mm, far below anything a printer can do. What comes back is clean: rings do not cross each other, the
//! outer ring runs counter-clockwise, holes clockwise. Rings that keep clear of each other need none of it
//! (`apart`).

use super::apart::arranged;
use super::{Point, Polygon, Ring, signed_area};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::clip::FloatClip;
use i_overlay::float::simplify::SimplifyShape;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::string::clip::ClipRule;

/// Coordinates beyond this are no part of anything that is printed, mm.
const FAR_MM: f64 = 1e6;

/// Smallest area a ring must enclose to be kept, mm².
const SPECK_MM2: f64 = 1e-6;

/// Corners nearer to each other, or to a straight line, than this are the grid's, not the part's, mm.
const GRID_MM: f64 = 2e-6;

pub(super) type Contours = Vec<Vec<[f64; 2]>>;

/// All rings as bare coordinates; rings with a corner that is not finite or far away are left out.
pub(super) fn contours<'a>(rings: impl IntoIterator<Item = &'a Ring>) -> Contours {
    rings
        .into_iter()
        .filter(|ring| ring.len() >= 3 && ring.iter().all(|p| p.x.abs() < FAR_MM && p.y.abs() < FAR_MM))
        .map(|ring| ring.iter().map(|p| [p.x, p.y]).collect())
        .collect()
}

/// Polygons and holes of more than a speck.
pub(super) fn without_specks(mut polygons: Vec<Polygon>) -> Vec<Polygon> {
    let is_more = |ring: &Ring| signed_area(ring).abs() > SPECK_MM2;
    polygons.retain_mut(|polygon| {
        polygon.holes.retain(is_more);
        is_more(&polygon.outer)
    });
    polygons
}

/// Back from bare coordinates: one polygon for every shape, without specks.
pub(super) fn polygons(shapes: Vec<Contours>) -> Vec<Polygon> {
    let made = shapes
        .into_iter()
        .filter_map(|shape| {
            let mut rings = shape.into_iter().map(|c| tidied(c.into_iter().map(|[x, y]| Point::new(x, y))));
            Some(Polygon { outer: rings.next()?, holes: rings.collect() })
        })
        .collect();
    without_specks(made)
}

/// A ring without corners that the grid made: those on top of each other, and those on a straight line.
pub(super) fn tidied(ring: impl ExactSizeIterator<Item = Point>) -> Ring {
    let mut kept = Ring::with_capacity(ring.len());
    for corner in ring {
        if kept.last().is_none_or(|last| last.distance(corner) > GRID_MM) {
            kept.push(corner);
        }
    }
    while kept.len() > 1 && kept[0].distance(kept[kept.len() - 1]) <= GRID_MM {
        kept.pop();
    }
    straightened(&kept)
}

/// A ring without corners that lie on the line between their neighbours.
fn straightened(ring: &[Point]) -> Ring {
    let mut kept = Ring::with_capacity(ring.len());
    for (i, &at) in ring.iter().enumerate() {
        let before = kept.last().or(ring.last()).copied().unwrap_or(at);
        let after = ring[(i + 1) % ring.len()];
        let along = after - before;
        let within = along.dot(at - before) > 0.0 && along.dot(after - at) > 0.0;
        if !(within && along.cross(at - before).abs() < GRID_MM * along.length()) {
            kept.push(at);
        }
    }
    kept
}

/// What rings wind round counter-clockwise more often than clockwise.
pub(super) fn wound_forwards(rings: &[Ring]) -> Vec<Polygon> {
    polygons(contours(rings).simplify_shape(FillRule::Positive))
}

fn all_rings(of: &[Polygon]) -> Contours {
    contours(of.iter().flat_map(Polygon::rings))
}

fn overlay(a: &[Polygon], b: &[Polygon], rule: OverlayRule, is_inside: fn(bool, bool) -> bool) -> Vec<Polygon> {
    let (of_a, of_b) = (a.iter().flat_map(Polygon::rings), b.iter().flat_map(Polygon::rings));
    arranged(of_a, of_b, |a, b| is_inside(a != 0, b != 0))
        .map(without_specks)
        .unwrap_or_else(|| polygons(all_rings(a).overlay(&all_rings(b), rule, FillRule::NonZero)))
}

/// All of `a` and all of `b`, as polygons that do not overlap.
#[must_use]
pub fn union(a: &[Polygon], b: &[Polygon]) -> Vec<Polygon> {
    overlay(a, b, OverlayRule::Union, |a, b| a || b)
}

/// What lies both in `a` and in `b`.
#[must_use]
pub fn intersect(a: &[Polygon], b: &[Polygon]) -> Vec<Polygon> {
    overlay(a, b, OverlayRule::Intersect, |a, b| a && b)
}

/// What lies in `a` but not in `b`.
#[must_use]
pub fn difference(a: &[Polygon], b: &[Polygon]) -> Vec<Polygon> {
    overlay(a, b, OverlayRule::Difference, |a, b| a && !b)
}

/// Polygons with holes from loose rings of any direction: what an odd number of rings surrounds is inside.
#[must_use]
pub fn nest(rings: &[Ring]) -> Vec<Polygon> {
    arranged(rings, std::iter::empty(), |times, _| times % 2 != 0)
        .map(without_specks)
        .unwrap_or_else(|| polygons(contours(rings).simplify_shape(FillRule::EvenOdd)))
}

/// The pieces of a line of straight pieces that lie inside `polygons`, or outside with `outside`.
#[must_use]
pub fn clip_line(line: &[Point], polygons: &[Polygon], outside: bool) -> Vec<Vec<Point>> {
    let far = |p: &Point| p.x.abs() >= FAR_MM || p.y.abs() >= FAR_MM || p.x.is_nan() || p.y.is_nan();
    if line.len() < 2 || line.iter().any(far) {
        return Vec::new();
    }
    let path: Vec<[f64; 2]> = line.iter().map(|p| [p.x, p.y]).collect();
    let rule = ClipRule { invert: outside, boundary_included: false };
    path.clip_by(&all_rings(polygons), FillRule::NonZero, rule)
        .into_iter()
        .map(|piece| piece.into_iter().map(|[x, y]| Point::new(x, y)).collect())
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    fn area(of: &[Polygon]) -> f64 {
        of.iter().map(Polygon::area_mm2).sum()
    }

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Polygon {
        let outer = vec![Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)];
        Polygon { outer, holes: vec![] }
    }

    #[test]
    fn booleans_of_overlapping_rectangles() {
        let (a, b) = ([rectangle(0.0, 0.0, 7.0, 3.0)], [rectangle(5.0, 1.0, 9.0, 11.0)]);
        assert_relative_eq!(area(&intersect(&a, &b)), 4.0, epsilon = 1e-5);
        assert_relative_eq!(area(&union(&a, &b)), 21.0 + 40.0 - 4.0, epsilon = 1e-5);
        assert_relative_eq!(area(&difference(&a, &b)), 17.0, epsilon = 1e-5);
    }

    #[test]
    fn a_hole_cut_out_runs_clockwise() {
        let cut = difference(&[rectangle(0.0, 0.0, 7.0, 3.0)], &[rectangle(1.0, 1.0, 2.0, 2.5)]);
        assert_eq!((cut.len(), cut[0].holes.len()), (1, 1));
        assert_relative_eq!(signed_area(&cut[0].outer), 21.0, epsilon = 1e-5);
        assert_relative_eq!(signed_area(&cut[0].holes[0]), -1.5, epsilon = 1e-5);
    }

    #[test]
    fn loose_rings_find_their_places_whatever_their_direction() {
        let ring = |x0, y0, x1, y1| rectangle(x0, y0, x1, y1).outer;
        let mut island = ring(4.0, 4.0, 5.0, 6.0);
        island.reverse();
        let nested = nest(&[ring(2.0, 2.0, 8.0, 9.0), ring(0.0, 0.0, 10.0, 12.0), island]);
        assert_eq!(nested.len(), 2);
        assert_relative_eq!(area(&nested), 120.0 - 42.0 + 2.0, epsilon = 1e-5);
    }

    #[test]
    fn a_line_is_cut_at_a_hole() {
        let plate = difference(&[rectangle(0.0, 0.0, 10.0, 4.0)], &[rectangle(3.0, 1.0, 4.0, 3.0)]);
        let line = [Point::new(-2.0, 2.0), Point::new(12.0, 2.0)];
        let inside: f64 = clip_line(&line, &plate, false).iter().map(|p| p[0].distance(*p.last().unwrap())).sum();
        let outside: f64 = clip_line(&line, &plate, true).iter().map(|p| p[0].distance(*p.last().unwrap())).sum();
        assert_relative_eq!(inside, 9.0, epsilon = 1e-5);
        assert_relative_eq!(outside, 5.0, epsilon = 1e-5);
    }

    #[test]
    fn what_is_not_finite_is_left_out() {
        let mut bad = rectangle(0.0, 0.0, 1.0, 1.0);
        bad.outer[2].x = f64::NAN;
        assert!(union(&[bad.clone()], &[]).is_empty());
        assert!(clip_line(&bad.outer, &[rectangle(0.0, 0.0, 5.0, 5.0)], false).is_empty());
    }
}
