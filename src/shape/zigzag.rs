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

    /// A saw of so many legs: so far on with every leg, and so high.
    fn saw(legs: u32, on_mm: f64, high_mm: f64) -> Vec<Segment> {
        let at = |i: u32| (on_mm * f64::from(i), if i.is_multiple_of(2) { 0.0 } else { high_mm });
        path(&(0..=legs).map(at).collect::<Vec<_>>())
    }

    #[test]
    fn from_tooth_to_tooth_it_is_two_legs() {
        assert_relative_eq!(teeth_mm(&saw(11, 0.3, 0.6), 0.4).unwrap_or_default(), 0.6, epsilon = 1e-9);
        // Most teeth decide, not one that stands apart.
        let mut points: Vec<(f64, f64)> =
            (0..12).map(|i| (0.3 * f64::from(i), if i % 2 == 0 { 0.0 } else { 0.6 })).collect();
        points[11].0 += 2.0;
        assert_relative_eq!(teeth_mm(&path(&points), 0.4).unwrap_or_default(), 0.6, epsilon = 1e-9);
        // Three legs have too few teeth to tell.
        assert_eq!(teeth_mm(&saw(3, 0.3, 0.6), 0.4), None);
    }

    /// For beads 0.4 mm apart: teeth up to 1.4 mm apart and legs up to 1.4 mm long.
    #[test]
    fn teeth_lie_close_and_legs_are_short() {
        for (on_mm, high_mm, does) in [(0.68, 0.3, true), (0.72, 0.3, false), (0.3, 1.35, true), (0.3, 1.39, false)] {
            assert_eq!(weaves(&saw(14, on_mm, high_mm), 0.4), does, "{on_mm} {high_mm}");
        }
    }

    #[test]
    fn teeth_turn_by_more_than_fifteen_degrees_and_are_most_of_the_way() {
        // At every corner it turns by twice the slope of a leg: by 14 and by 16 degrees.
        let sloped = |degrees: f64| saw(14, 0.6, 0.6 * (0.5 * degrees).to_radians().tan());
        assert!(!weaves(&sloped(14.0), 0.4));
        assert!(weaves(&sloped(16.0), 0.4));
        // Blunt teeth have two corners each; where six pieces make a tooth it is a wave and no zigzag.
        let blunt: Vec<(f64, f64)> = (0..20).map(|i| (0.3 * f64::from(i), if i % 4 < 2 { 0.0 } else { 0.5 })).collect();
        assert!(weaves(&path(&blunt), 0.4));
        let wave = |i: u32| (0.2 * f64::from(i), 0.3 * (std::f64::consts::TAU * f64::from(i) / 6.0).sin());
        assert!(!weaves(&path(&(0..40).map(wave).collect::<Vec<_>>()), 0.4));
    }

    #[test]
    fn the_middle_of_a_zigzag_leads_from_end_to_end() {
        let along = middle_of(&saw(4, 0.5, 0.6));
        let want = path(&[(0.0, 0.0), (0.25, 0.3), (0.75, 0.3), (1.25, 0.3), (1.75, 0.3), (2.0, 0.0)]);
        assert_eq!(along.len(), want.len());
        for (along, want) in along.iter().zip(&want) {
            assert_relative_eq!(along.from.distance(want.from) + along.to.distance(want.to), 0.0, epsilon = 1e-9);
        }
        assert_eq!(middle_of(&[]), []);
    }
}
