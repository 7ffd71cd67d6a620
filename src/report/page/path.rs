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
        let _ = write!(self.text, "M{} {}l", at.0, at.1);
        let mut separator = "";
        for point in rest {
            let to = self.place(*point);
            let (dx, dy) = (to.0 - at.0, to.1 - at.1);
            if dx == 0 && dy == 0 && rest.len() > 1 {
                continue;
            }
            let _ = write!(self.text, "{separator}{dx} {dy}");
            separator = " ";
            at = to;
        }
        if closed {
            self.text.push('z');
        }
    }

    pub(super) fn finish(self) -> String {
        self.text
    }
}

/// The points that a line needs to stay within `within_mm` of itself (Douglas and Peucker, 1973).
pub(super) fn simplified(points: &[Point], within_mm: f64) -> Vec<Point> {
    let mut keep = vec![false; points.len()];
    let mut open = vec![(0, points.len().saturating_sub(1))];
    for end in [0, points.len().saturating_sub(1)] {
        if let Some(kept) = keep.get_mut(end) {
            *kept = true;
        }
    }
    while let Some((from, to)) = open.pop() {
        let (Some(&a), Some(&b)) = (points.get(from), points.get(to)) else { continue };
        let farthest = (from + 1..to)
            .filter_map(|i| points.get(i).map(|p| (i, distance_mm(*p, a, b))))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((at, distance)) = farthest
            && distance > within_mm
        {
            if let Some(kept) = keep.get_mut(at) {
                *kept = true;
            }
            open.extend([(from, at), (at, to)]);
        }
    }
    points.iter().zip(keep).filter_map(|(p, kept)| kept.then_some(*p)).collect()
}

/// From a point to the piece between `a` and `b`, mm.
fn distance_mm(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let length2 = along.dot(along);
    let t = if length2 > 0.0 { ((p - a).dot(along) / length2).clamp(0.0, 1.0) } else { 0.0 };
    a.lerp(b, t).distance(p)
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
    fn points_on_a_straight_line_are_not_needed() {
        let bent = [(0.0, 0.0), (1.0, 0.004), (2.0, 0.0), (2.0, 3.0)].map(|(x, y)| Point::new(x, y));
        let kept = simplified(&bent, 0.01);
        assert_eq!(kept, [bent[0], bent[2], bent[3]]);
        assert!(simplified(&[], 0.01).is_empty());
        assert_eq!(simplified(&bent[..1], 0.01), &bent[..1]);
    }
}
