//! Where a path turns back on itself.

use crate::geom::Point;

/// A path turns about when it turns by more than this, radians (150 degrees).
const ABOUT: f64 = 2.6;

/// How often the path turns about within `within_mm` of its length, to the left and to the right.
pub(super) fn about_turns(points: &[Point], closed: bool, within_mm: f64) -> (u32, u32) {
    let count = points.len();
    let corners = if closed { count } else { count.saturating_sub(2) };
    let (mut left, mut right) = (0, 0);
    let mut recent: Vec<(f64, f64)> = Vec::new();
    let mut station = 0.0;
    for i in 0..corners {
        let (a, b, c) = (points[i], points[(i + 1) % count], points[(i + 2) % count]);
        let (before, after) = (b - a, c - b);
        station += before.length();
        recent.retain(|r| station - r.0 < within_mm);
        recent.push((station, before.cross(after).atan2(before.dot(after))));
        let about: f64 = recent.iter().map(|r| r.1).sum();
        if about.abs() > ABOUT {
            left += u32::from(about > 0.0);
            right += u32::from(about < 0.0);
            recent.clear();
        }
    }
    (left, right)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    #[test]
    fn a_zigzag_turns_about_both_ways_and_an_oblong_one_way() {
        let zigzag =
            path(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.5), (0.0, 0.5), (0.0, 1.0), (9.0, 1.0), (9.0, 1.5), (0.0, 1.5)]);
        assert_eq!(about_turns(&zigzag, false, 1.0), (2, 1));
        let oblong = path(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.6), (0.0, 0.6)]);
        assert_eq!(about_turns(&oblong, true, 1.0), (2, 0));
        let block = path(&[(0.0, 0.0), (9.0, 0.0), (9.0, 4.0), (0.0, 4.0)]);
        assert_eq!(about_turns(&block, true, 1.0), (0, 0));
    }

    #[test]
    fn a_hairpin_turns_by_more_than_150_degrees_to_one_side() {
        let hairpin = |degrees: f64| {
            let (s, c) = degrees.to_radians().sin_cos();
            path(&[(0.0, 0.0), (9.0, 0.0), (9.0 + 7.0 * c, 7.0 * s)])
        };
        for (degrees, turns) in [(148.0, (0, 0)), (152.0, (1, 0)), (-148.0, (0, 0)), (-152.0, (0, 1))] {
            assert_eq!(about_turns(&hairpin(degrees), false, 1.0), turns, "{degrees}");
        }
        assert_eq!(about_turns(&[], false, 1.0), (0, 0));
        assert_eq!(about_turns(&path(&[(0.0, 0.0), (9.0, 0.0)]), false, 1.0), (0, 0));
    }

    #[test]
    fn both_corners_of_a_turn_lie_within_the_length_asked_for() {
        let turn = |wide: f64| path(&[(0.0, 0.0), (9.0, 0.0), (9.0, wide), (0.0, wide)]);
        assert_eq!(about_turns(&turn(0.95), false, 1.0), (1, 0));
        assert_eq!(about_turns(&turn(1.05), false, 1.0), (0, 0));
    }

    #[test]
    fn corners_of_one_turn_do_not_count_for_the_next() {
        // Round by three quarters: one turn about, and a corner.
        let curl = path(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.3), (8.7, 0.3), (8.7, 0.1)]);
        assert_eq!(about_turns(&curl, false, 2.0), (1, 0));
        // Two turns one after the other to the same side.
        let round = path(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.3), (0.0, 0.3), (0.0, 0.1), (8.0, 0.1)]);
        assert_eq!(about_turns(&round, false, 2.0), (2, 0));
    }
}
