//! Paths for drawings, as short as they can be written.

use crate::geom::Point;
use std::fmt::Write;

/// Units of a drawing in one millimetre.
pub(super) const PER_MM: f64 = 100.0;

/// Writes lines as relative whole hundredths of a millimetre, y upwards on paper.
#[derive(Debug)]
pub(super) struct PathText {
    /// Left and upper end of the drawing, mm.
    origin: Point,
    text: String,
}

impl PathText {
    pub(super) fn new(origin: Point) -> Self {
        Self { origin, text: String::new() }
    }

    /// A point in the drawing's units.
    pub(super) fn place(&self, p: Point) -> (i64, i64) {
        (((p.x - self.origin.x) * PER_MM).round() as i64, ((self.origin.y - p.y) * PER_MM).round() as i64)
    }

    /// Adds a line through all points.
    pub(super) fn line(&mut self, points: &[Point], closed: bool) {
        let Some((first, rest)) = points.split_first() else { return };
        let mut at = self.place(*first);
        // Writing to a String cannot fail.
        let _ = write!(self.text, "M{} {}", at.0, at.1);
        let mut separator = "l";
        for point in rest {
            let to = self.place(*point);
            if to != at {
                let _ = write!(self.text, "{separator}{} {}", to.0 - at.0, to.1 - at.1);
                separator = " ";
                at = to;
            }
        }
        if separator == "l" {
            // Nothing but a point: a line of no length is drawn as a dot.
            self.text.push_str("h0");
        }
        if closed {
            self.text.push('z');
        }
    }

    pub(super) fn finish(self) -> String {
        self.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_relative_and_y_is_up() {
        let mut path = PathText::new(Point::new(10.0, 30.0));
        path.line(&[Point::new(10.0, 29.0), Point::new(12.5, 29.0), Point::new(12.5, 29.75)], true);
        assert_eq!(path.finish(), "M0 100l250 0 0 -75z");
    }

    #[test]
    fn a_lone_point_is_a_dot() {
        let mut path = PathText::new(Point::new(0.0, 0.0));
        path.line(&[Point::new(1.0, -2.0)], false);
        path.line(&[], true);
        path.line(&[Point::new(3.0, 0.0), Point::new(3.001, 0.0)], false);
        assert_eq!(path.finish(), "M100 200h0M300 0h0");
    }
}
