//! Narrow zigzags: strands that weave from side to side to fill a place wider than a bead.
//!
//! ```text
//!    ==================
//!    /\/\/\/\/\/\/\/\/\     as full as a broad bead laid straight along its middle
//!    ==================
//! ```

use crate::geom::{Point, Segment};

/// Legs of a zigzag that fills a narrow band are shorter than this many pitches.
const SHORT_LEGS: f64 = 3.5;

/// Teeth of a zigzag turn more than this at a corner, radians (15 degrees).
const TOOTH: f64 = 0.26;

/// From tooth to tooth it is no further than this many pitches, or room is left between them, as in the cells of a comb.
const CLOSE_TEETH: f64 = 3.5;

/// Whether a path of beads laid for `pitch_mm` is a zigzag of legs about as short as the beads are wide, without room
/// for a cell between its teeth.
pub(super) fn weaves(path: &[Segment], pitch_mm: f64) -> bool {
    teeth_mm(path, pitch_mm).is_some_and(|apart| apart < CLOSE_TEETH * pitch_mm)
}

/// How far it usually is from one tooth of a narrow zigzag to the next on the same side, mm; `None` where the path is
/// none, or its legs are long for beads laid for `pitch_mm`.
pub(super) fn teeth_mm(path: &[Segment], pitch_mm: f64) -> Option<f64> {
    let length: f64 = path.iter().map(Segment::length_mm).sum();
    if path.len() < 4 || length > SHORT_LEGS * pitch_mm * path.len() as f64 {
        return None;
    }
    let corner = |pair: &[Segment]| {
        let (before, after) = (pair[0].to - pair[0].from, pair[1].to - pair[1].from);
        (before.cross(after).atan2(before.dot(after)), pair[0].to)
    };
    let corners: Vec<(f64, Point)> = path.windows(2).map(corner).filter(|(turn, _)| turn.abs() > TOOTH).collect();
    let tips: Vec<Point> = corners.windows(2).filter(|c| c[0].0 * c[1].0 < 0.0).map(|c| c[0].1).collect();
    // Every tooth has a corner or two at its tip.
    if 5 * tips.len() < 2 * path.len() {
        return None;
    }
    let mut teeth: Vec<f64> = tips.windows(3).map(|t| t[0].distance(t[2])).collect();
    teeth.sort_by(f64::total_cmp);
    teeth.get(teeth.len() / 2).copied()
}

/// The way along the middle of a zigzag.
pub(super) fn middle_of(path: &[Segment]) -> Vec<Segment> {
    let ends = [path.first().map(|s| s.from), path.last().map(|s| s.to)];
    let middles = path.iter().map(Segment::middle);
    let points: Vec<_> = ends[0].into_iter().chain(middles).chain(ends[1]).collect();
    points.windows(2).map(|p| Segment::new(p[0], p[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn path(points: &[(f64, f64)]) -> Vec<Segment> {
        points.windows(2).map(|p| Segment::new(Point::new(p[0].0, p[0].1), Point::new(p[1].0, p[1].1))).collect()
    }

    #[test]
    fn a_saw_weaves_and_an_arc_does_not() {
        let saw: Vec<(f64, f64)> = (0..12).map(|i| (0.3 * f64::from(i), if i % 2 == 0 { 0.0 } else { 0.6 })).collect();
        assert!(weaves(&path(&saw), 0.4));
        assert!(!weaves(&path(&saw), 0.1), "its legs are long for so thin a bead");
        let comb: Vec<(f64, f64)> = (0..20).map(|i| (1.0 * f64::from(i), if i % 4 < 2 { 0.0 } else { 0.7 })).collect();
        assert!(!weaves(&path(&comb), 0.4), "room for a cell between its teeth");
        let arc: Vec<(f64, f64)> =
            (0..12).map(|i| (f64::from(i).mul_add(0.3, 0.0).sin(), (0.3 * f64::from(i)).cos())).collect();
        assert!(!weaves(&path(&arc), 0.4));
        let along = middle_of(&path(&saw));
        let height: f64 = along[1..along.len() - 1].iter().map(|s| s.from.y).sum::<f64>() / (along.len() - 2) as f64;
        assert_relative_eq!(height, 0.3, epsilon = 1e-9);
    }
}
