//! How far a figure reaches in any direction.
//!
//! ```text
//!        ______
//!       /      \ - - - - |     furthest along x: to its hull, less what it was shrunk by
//!      | figure |- - - - |
//!       \______/
//! ```

use super::{Point, box_of, convex_hull};

/// The hull of a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    hull: Vec<Point>,
    /// The figure lies within the hull by this much, mm.
    within_mm: f64,
}

impl Reach {
    /// Of the points and all between them, less a length on every side; `None` for no points.
    #[must_use]
    pub fn of(points: &[Point], within_mm: f64) -> Option<Self> {
        let mut hull = convex_hull(points);
        hull.shrink_to_fit();
        (!hull.is_empty()).then_some(Self { hull, within_mm })
    }

    /// Lower left and upper right corner of the box round it, mm.
    #[must_use]
    pub fn box_mm(&self) -> [Point; 2] {
        let (low, high) = box_of(&self.hull).unwrap_or_default();
        let within = Point::new(self.within_mm, self.within_mm);
        [low + within, high - within]
    }

    /// The greatest of `along` · (p - `from`) over the figure's points p.
    #[must_use]
    pub fn furthest(&self, along: Point, from: Point) -> f64 {
        let to_hull = self.hull.iter().map(|&p| (p - from).dot(along)).fold(f64::NEG_INFINITY, f64::max);
        to_hull - self.within_mm * along.length()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_rectangle_reaches_to_its_sides_and_corners() {
        let corners = [(3.0, -2.0), (9.0, -2.0), (9.0, 5.0), (3.0, 5.0)].map(|(x, y)| Point::new(x, y));
        let (reach, middle) = (Reach::of(&corners, 0.0).unwrap(), Point::new(6.0, 1.5));
        assert_eq!(reach.box_mm(), [corners[0], corners[2]]);
        let far = |reach: &Reach, x: f64, y: f64| reach.furthest(Point::new(x, y), middle);
        assert!((far(&reach, 2.0, 0.0) - 6.0).abs() < 1e-12 && (far(&reach, 0.0, -1.0) - 3.5).abs() < 1e-12);
        assert!((far(&reach, -0.6, 0.8) - (1.8 + 2.8)).abs() < 1e-12);
        let shrunk = Reach::of(&corners, 0.5).unwrap();
        assert_eq!(shrunk.box_mm(), [Point::new(3.5, -1.5), Point::new(8.5, 4.5)]);
        assert!((far(&shrunk, 2.0, 0.0) - 5.0).abs() < 1e-12);
        assert_eq!(Reach::of(&[], 0.0), None);
    }
}
