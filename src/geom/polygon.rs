//! Polygons with holes.

use super::Point;

/// A closed ring of corners, without the first repeated at the end.
pub type Ring = Vec<Point>;

/// A polygon with holes: the outer ring runs counter-clockwise, holes clockwise.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Polygon {
    /// Outer ring, counter-clockwise.
    pub outer: Ring,
    /// Holes, clockwise.
    pub holes: Vec<Ring>,
}

/// Area inside a ring, mm²; positive when it runs counter-clockwise (shoelace formula).
///
/// The ring is shifted to its first corner, so that places far from the origin lose no digits.
#[must_use]
pub fn signed_area(ring: &[Point]) -> f64 {
    let Some(&origin) = ring.first() else { return 0.0 };
    let sum: f64 = (0..ring.len())
        .map(|i| {
            let (a, b) = (ring[i] - origin, ring[(i + 1) % ring.len()] - origin);
            a.cross(b)
        })
        .sum();
    0.5 * sum
}

/// Length of a ring all the way round, mm.
#[must_use]
pub fn ring_length_mm(ring: &[Point]) -> f64 {
    (0..ring.len()).map(|i| ring[i].distance(ring[(i + 1) % ring.len()])).sum()
}

/// Whether `point` lies inside `ring` (a ray to the right crosses it an odd number of times).
#[must_use]
pub fn ring_contains(ring: &[Point], point: Point) -> bool {
    let mut inside = false;
    for i in 0..ring.len() {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        if (a.y > point.y) != (b.y > point.y) && point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y) {
            inside = !inside;
        }
    }
    inside
}

/// Lower left and upper right corner of the box round `points`, or `None` when there are none.
#[must_use]
pub fn box_of(points: &[Point]) -> Option<(Point, Point)> {
    let first = *points.first()?;
    Some(points.iter().fold((first, first), |(low, high), p| {
        (Point::new(low.x.min(p.x), low.y.min(p.y)), Point::new(high.x.max(p.x), high.y.max(p.y)))
    }))
}

impl Polygon {
    /// Area of the outer ring less the holes, mm².
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        signed_area(&self.outer).abs() - self.holes.iter().map(|h| signed_area(h).abs()).sum::<f64>()
    }

    /// The outer ring and every hole.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(self.holes.iter())
    }

    /// Whether `point` lies in the outer ring and in no hole.
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        ring_contains(&self.outer, point) && !self.holes.iter().any(|h| ring_contains(h, point))
    }
}
