//! The area that a path with a width covers.

use crate::geom::{Point, Polygon, signed_area};

/// The path as straight strips with flat ends and mitred corners, one small polygon each; they overlap.
///
/// `half_widths_mm` has one value for each piece of the path.
pub(super) fn strips(points: &[Point], half_widths_mm: &[f64], closed: bool) -> Vec<Polygon> {
    let count = if closed { points.len() } else { points.len().saturating_sub(1) };
    let mut parts = Vec::with_capacity(2 * count);
    for i in 0..count {
        let (a, b) = (points[i], points[(i + 1) % points.len()]);
        let Some(along) = (b - a).unit() else { continue };
        let half = half_widths_mm.get(i).copied().unwrap_or(0.0);
        let side = along.left() * half;
        push(&mut parts, vec![a - side, b - side, b + side, a + side]);
        let next = (i + 1) % count.max(1);
        if next == 0 && !closed {
            continue;
        }
        let c = points[(i + 2) % points.len()];
        if let Some(onward) = (c - b).unit() {
            push_corner(&mut parts, b, (along, half), (onward, half_widths_mm.get(next).copied().unwrap_or(half)));
        }
    }
    parts
}

/// The wedge on the outside of a corner, with a mitre where the corner is not too sharp.
fn push_corner(parts: &mut Vec<Polygon>, corner: Point, before: (Point, f64), after: (Point, f64)) {
    let turn = before.0.cross(after.0);
    if turn.abs() < 1e-6 {
        return;
    }
    let outside = if turn > 0.0 { -1.0 } else { 1.0 };
    let p = corner + before.0.left() * (outside * before.1);
    let q = corner + after.0.left() * (outside * after.1);
    // Where the two outer edges meet.
    let along = (q - p).cross(after.0) / turn;
    let tip = p + before.0 * along;
    let wedge = if before.0.dot(after.0) > -0.5 && tip.distance(corner) < 4.0 * before.1.max(after.1) {
        vec![corner, p, tip, q]
    } else {
        vec![corner, p, q]
    };
    push(parts, wedge);
}

fn push(parts: &mut Vec<Polygon>, mut outer: Vec<Point>) {
    if signed_area(&outer) < 0.0 {
        outer.reverse();
    }
    parts.push(Polygon { outer, holes: Vec::new() });
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geom::union;
    use approx::assert_relative_eq;

    #[test]
    fn an_angle_with_two_widths_covers_what_a_drawing_says() {
        let points = [Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(10.0, 4.0)];
        let covered = union(&strips(&points, &[0.5, 0.25], false), &[]);
        let area: f64 = covered.iter().map(Polygon::area_mm2).sum();
        // 10 x 1 along x, 4 x 0.5 along y, less their overlap, and the corner square 0.25 x 0.5.
        assert_relative_eq!(area, 10.0 + 2.0 - 0.25 * 0.5 + 0.25 * 0.5, epsilon = 1e-4);
        assert_eq!(covered.len(), 1);
    }

    #[test]
    fn a_closed_path_leaves_its_inside_open() {
        let points = [Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(10.0, 6.0), Point::new(0.0, 6.0)];
        let covered = union(&strips(&points, &[0.5; 4], true), &[]);
        assert_relative_eq!(covered[0].area_mm2(), 11.0 * 7.0 - 9.0 * 5.0, epsilon = 1e-4);
    }
}
