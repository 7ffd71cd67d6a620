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
}
