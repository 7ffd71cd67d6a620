//! The area that a path with a width covers.

use crate::geom::{Point, Polygon, signed_area};

/// Where the offset edges meet no further from a corner than this many half widths, they are drawn to that point.
const LONGEST_MITRE: f64 = 3.0;

/// The path as one ribbon with flat ends and mitred corners. Where it turns sharply or comes back beside itself the
/// ribbon overlaps itself; joining polygons (`geom::union` and its like) makes that one area.
///
/// `half_widths_mm` has one value for each piece of the path. `None` for a path without length.
pub(super) fn ribbon(points: &[Point], half_widths_mm: &[f64]) -> Option<Polygon> {
    let pieces: Vec<(Point, Point, Point, f64)> = points
        .windows(2)
        .zip(half_widths_mm)
        .filter_map(|(ends, &half)| Some((ends[0], ends[1], (ends[1] - ends[0]).unit()?, half)))
        .collect();
    let (first, last) = (pieces.first()?, pieces.last()?);
    let (mut right, mut left) = (Vec::new(), Vec::new());
    right.push(first.0 - first.2.left() * first.3);
    left.push(first.0 + first.2.left() * first.3);
    for pair in pieces.windows(2) {
        let (before, after) = (pair[0], pair[1]);
        push_side(&mut right, before.1, (before.2, -before.3), (after.2, -after.3));
        push_side(&mut left, before.1, (before.2, before.3), (after.2, after.3));
    }
    right.push(last.1 - last.2.left() * last.3);
    left.push(last.1 + last.2.left() * last.3);
    right.extend(left.into_iter().rev());
    if signed_area(&right) < 0.0 {
        right.reverse();
    }
    Some(Polygon { outer: right, holes: Vec::new() })
}

/// One side of a corner: direction and distance to the left before and after it.
fn push_side(side: &mut Vec<Point>, corner: Point, before: (Point, f64), after: (Point, f64)) {
    let p = corner + before.0.left() * before.1;
    let q = corner + after.0.left() * after.1;
    let turn = before.0.cross(after.0);
    let tip = p + before.0 * ((q - p).cross(after.0) / turn);
    let reach = LONGEST_MITRE * before.1.abs().max(after.1.abs());
    if turn.abs() > 0.02 && before.0.dot(after.0) > -0.7 && tip.distance(corner) < reach {
        side.push(tip);
    } else if turn.abs() <= 0.02 && (before.1 - after.1).abs() < 1e-6 {
        side.push(p);
    } else {
        side.extend([p, corner, q]);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geom::union;
    use approx::assert_relative_eq;

    fn covered(points: &[Point], halves: &[f64]) -> f64 {
        union(&[ribbon(points, halves).unwrap()], &[]).iter().map(Polygon::area_mm2).sum()
    }

    #[test]
    fn an_angle_with_two_widths_covers_what_a_drawing_says() {
        let points = [Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(10.0, 4.0)];
        // 10 x 1 along x, 4 x 0.5 along y, less their overlap, and the corner square 0.25 x 0.5.
        assert_relative_eq!(covered(&points, &[0.5, 0.25]), 10.0 + 2.0 - 0.125 + 0.125, epsilon = 1e-4);
    }

    #[test]
    fn a_path_that_comes_back_beside_itself_covers_both_lanes() {
        let points = [Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(10.0, 1.5), Point::new(0.0, 1.5)];
        // Two lanes 10.5 x 1 and the piece 1 x 0.5 between them at the end.
        assert_relative_eq!(covered(&points, &[0.5; 3]), 21.0 + 0.5, epsilon = 1e-4);
    }

    #[test]
    fn no_path_covers_nothing() {
        assert!(ribbon(&[Point::new(1.0, 2.0)], &[]).is_none());
        assert!(ribbon(&[Point::new(1.0, 2.0), Point::new(1.0, 2.0)], &[0.4]).is_none());
    }

    /// How far the ribbon of a path 1 mm wide that turns by so many degrees reaches from its corner, in its middle.
    fn tip_mm(degrees: f64) -> f64 {
        let (s, c) = degrees.to_radians().sin_cos();
        let corner = Point::new(10.0, 0.0);
        let polygon = ribbon(&[Point::new(0.0, 0.0), corner, corner + Point::new(c, s) * 10.0], &[0.5; 2]).unwrap();
        let near = polygon.outer.iter().map(|p| p.distance(corner)).filter(|d| *d < 5.0);
        near.fold(0.0, f64::max)
    }

    /// Half a width over the cosine of half the turn, as long as that is no spike.
    #[test]
    fn a_corner_is_drawn_to_its_tip_unless_it_is_sharp() {
        for degrees in [10.0_f64, 90.0, -90.0, 130.0] {
            assert_relative_eq!(tip_mm(degrees), 0.5 / (0.5 * degrees).to_radians().cos(), epsilon = 1e-9);
        }
        for degrees in [140.0, -140.0, 175.0] {
            assert_relative_eq!(tip_mm(degrees), 0.5, epsilon = 1e-9);
        }
    }

    #[test]
    fn a_straight_path_covers_each_of_its_widths() {
        let points = [Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(14.0, 0.0), Point::new(20.0, 0.0)];
        assert_relative_eq!(covered(&points, &[0.5, 0.25, 0.25]), 10.0 + 5.0, epsilon = 1e-6);
        // A bend of less than a degree changes no width, and there is a corner for either side of each end and bend.
        let bent = ribbon(&[points[0], points[1], Point::new(20.0, 0.1)], &[0.5; 2]).unwrap();
        assert_eq!(bent.outer.len(), 6);
        assert_relative_eq!(bent.area_mm2(), 20.0, epsilon = 0.01);
    }

    #[test]
    fn a_ribbon_is_the_same_laid_backwards() {
        let points = [Point::new(3.0, 1.0), Point::new(12.0, 1.0), Point::new(12.0, 6.0), Point::new(15.0, 9.0)];
        let backwards: Vec<Point> = points.iter().rev().copied().collect();
        assert_relative_eq!(covered(&points, &[0.2, 0.4, 0.3]), covered(&backwards, &[0.3, 0.4, 0.2]), epsilon = 1e-6);
        assert!(signed_area(&ribbon(&backwards, &[0.3, 0.4, 0.2]).unwrap().outer) > 0.0);
    }
}
