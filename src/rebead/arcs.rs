//! Round runs of corners, found again as arcs.

use crate::geom::Point;

/// How far a corner may lie off the arc, mm.
const OFF_MM: f64 = 0.002;

/// Fewer pieces than this stay straight.
const LEAST_PIECES: usize = 4;

/// A single piece of an arc turns by less than this, radians (30 degrees).
const LARGEST_STEP: f64 = 0.53;

/// The arc stands out from the straight pieces it replaces by no more than this, mm.
const MOST_BULGE_MM: f64 = 0.05;

/// No arc goes further round than this, radians (300 degrees).
const LONGEST: f64 = 5.2;

/// An arc through several corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// How many pieces it stands for.
    pub pieces: usize,
    /// Its centre, mm.
    pub centre: Point,
    /// It runs counter-clockwise.
    pub counter: bool,
}

/// The longest arc that begins at the first of these corners.
#[must_use]
pub fn leading_arc(points: &[Point]) -> Option<Arc> {
    let mut best = None;
    let mut pieces = LEAST_PIECES;
    while pieces < points.len() {
        match arc_through(&points[..=pieces]) {
            Some(arc) => best = Some(arc),
            None => break,
        }
        pieces += 1;
    }
    best
}

fn arc_through(points: &[Point]) -> Option<Arc> {
    let (first, last) = (*points.first()?, *points.last()?);
    let centre = centre_of(first, points[points.len() / 2], last)?;
    let radius = centre.distance(first);
    if !(0.3..500.0).contains(&radius) || points.iter().any(|p| (p.distance(centre) - radius).abs() > OFF_MM) {
        return None;
    }
    let turns = points.windows(2).map(|p| {
        let (a, b) = (p[0] - centre, p[1] - centre);
        a.cross(b).atan2(a.dot(b))
    });
    let turns: Vec<f64> = turns.collect();
    let counter = turns[0] > 0.0;
    let bulge_mm = |turn: f64| radius * (1.0 - (0.5 * turn).cos());
    let even = turns.iter().all(|t| (*t > 0.0) == counter && t.abs() < LARGEST_STEP && bulge_mm(*t) < MOST_BULGE_MM);
    (even && turns.iter().sum::<f64>().abs() < LONGEST).then_some(Arc { pieces: points.len() - 1, centre, counter })
}

/// Centre of the circle through three points.
fn centre_of(a: Point, b: Point, c: Point) -> Option<Point> {
    let (u, v) = (b - a, c - a);
    let twice = 2.0 * u.cross(v);
    let centre = Point::new(v.y * u.dot(u) - u.y * v.dot(v), u.x * v.dot(v) - v.x * u.dot(u)) * (1.0 / twice);
    (centre.x.is_finite() && centre.y.is_finite()).then(|| a + centre)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rebead::drawing::regular_ring;
    use approx::assert_relative_eq;

    #[test]
    fn a_round_with_a_straight_after_it() {
        let mut points = regular_ring(Point::new(4.0, -2.0), 12.0, 40, 10.0);
        points.truncate(15);
        points.push(Point::new(40.0, 40.0));
        let arc = leading_arc(&points).map(|a| (a.pieces, a.counter, a.centre));
        assert!(matches!(arc, Some((14, true, c)) if c.distance(Point::new(4.0, -2.0)) < 1e-9), "{arc:?}");
        points.truncate(15);
        points.reverse();
        assert_eq!(leading_arc(&points).map(|a| a.counter), Some(false));
    }

    #[test]
    fn straight_and_square_runs_are_no_arcs() {
        let straight: Vec<Point> = (0..9).map(|i| Point::new(f64::from(i), 2.0 * f64::from(i))).collect();
        assert_eq!(leading_arc(&straight), None);
        assert_eq!(leading_arc(&regular_ring(Point::default(), 9.0, 6, 0.0)), None);
        // Fourteen long sides lie on a circle too, but 0.5 mm within it half-way.
        assert_eq!(leading_arc(&regular_ring(Point::default(), 40.0, 14, 0.0)), None);
        assert_relative_eq!(
            centre_of(Point::new(1.0, 0.0), Point::new(0.0, 1.0), Point::new(-1.0, 0.0)).map_or(9.0, |c| c.y),
            0.0,
            epsilon = 1e-12
        );
    }
}
