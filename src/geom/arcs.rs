//! Arcs in outlines: runs of corners that lie on a common circle.
//!
//! Outlines are chords, so a circle is a polygon whose corners lie on it: the circle through the
//! corners is the one that was drawn, both for holes and for bosses. A run of corners is an arc when
//! the outline bends the same way at each, never sharply, and one circle passes through them all.

use super::circle_fit::fit_circle;
use super::{Circle, Point};

/// Corners nearer than this to the line between their neighbours are no corners, mm.
const STRAIGHT_MM: f64 = 0.004;

/// How far a corner may lie off the circle, mm.
const OFF_CIRCLE_MM: f64 = 0.03;

/// Sharpest bend within an arc, degrees: ten chords to a full circle. Hexagons and octagons are not round.
const SHARPEST_DEG: f64 = 38.0;

/// Fewest chords of an arc.
const LEAST_CHORDS: usize = 5;

/// Part of an outline that lies on a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// The circle through its corners.
    pub circle: Circle,
    /// The outline bends to the left along it: with material on the left (outer rings counter-clockwise,
    /// holes clockwise) the material is inside the circle.
    pub convex: bool,
    /// How much of the circle it spans, degrees; 360 for all of it.
    pub span_deg: f64,
    /// Largest distance of a corner from the circle, mm.
    pub worst_mm: f64,
}

/// Arcs of a closed ring that span at least `least_deg`.
///
/// Pieces of one circle that are parted by something else (a keyway, a flat) count as one arc.
#[must_use]
pub fn find_arcs(ring: &[Point], least_deg: f64) -> Vec<Arc> {
    let corners = real_corners(ring);
    let mut runs: Vec<Run> = bends(&corners).into_iter().flat_map(|bend| split_into_runs(&corners, &bend)).collect();
    join_runs(&mut runs);
    runs.into_iter().filter_map(|run| run.arc()).filter(|arc| arc.span_deg >= least_deg).collect()
}

/// The ring without corners that hardly bend, and without repeated ones.
fn real_corners(ring: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(ring.len());
    for &p in ring {
        while let [.., a, b] = kept[..] {
            if off_line(b, a, p) >= STRAIGHT_MM {
                break;
            }
            kept.pop();
        }
        if kept.last().is_none_or(|&last| last.distance(p) > STRAIGHT_MM) {
            kept.push(p);
        }
    }
    while kept.len() > 3 {
        let n = kept.len();
        if off_line(kept[n - 1], kept[n - 2], kept[0]) < STRAIGHT_MM {
            kept.pop();
        } else if off_line(kept[0], kept[n - 1], kept[1]) < STRAIGHT_MM {
            kept.remove(0);
        } else {
            break;
        }
    }
    kept
}

/// Distance of `p` from the piece between `a` and `b`.
fn off_line(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let square = along.dot(along);
    let t = if square > 0.0 { ((p - a).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a.lerp(b, t))
}

/// Corners that follow each other, by number, and whether they are the whole ring.
struct Bend {
    corners: Vec<usize>,
    left: bool,
    whole: bool,
}

/// Runs of corners where the ring bends gently and the same way, with the corner before and after each.
fn bends(corners: &[Point]) -> Vec<Bend> {
    let n = corners.len();
    if n < LEAST_CHORDS {
        return Vec::new();
    }
    // Per corner: bends left, bends right, or neither (sharp).
    let kind: Vec<Option<bool>> = (0..n)
        .map(|i| {
            let (a, b) = (corners[i] - corners[(i + n - 1) % n], corners[(i + 1) % n] - corners[i]);
            let degrees = a.cross(b).atan2(a.dot(b)).to_degrees();
            (degrees.abs() <= SHARPEST_DEG).then_some(degrees > 0.0)
        })
        .collect();
    let Some(start) = (0..n).find(|&i| kind[i].is_none() || kind[i] != kind[(i + n - 1) % n]) else {
        let left = kind[0].unwrap_or(true);
        // All round: begin at the longest chord, so that a straight side does not part an arc.
        let longest = (0..n).max_by(|&i, &j| {
            let chord = |i: usize| corners[i].distance(corners[(i + n - 1) % n]);
            chord(i).total_cmp(&chord(j))
        });
        let first = longest.unwrap_or(0);
        return vec![Bend { corners: (first..first + n).map(|i| i % n).collect(), left, whole: true }];
    };
    let mut found: Vec<Bend> = Vec::new();
    let mut i = 0;
    while i < n {
        let here = kind[(start + i) % n];
        let length = (i..n).take_while(|&j| kind[(start + j) % n] == here).count();
        if let Some(left) = here {
            // The arc's ends are the corners where it meets its neighbours: they lie on it too.
            let from = start + i + n - 1;
            let corners = (from..=from + length + 1).map(|k| k % n).collect();
            found.push(Bend { corners, left, whole: false });
        }
        i += length;
    }
    found
}

/// Corners on one circle.
struct Run {
    points: Vec<Point>,
    circle: Circle,
    left: bool,
    chords: usize,
    span_deg: f64,
    worst_mm: f64,
}

impl Run {
    /// A run of corners if a circle passes through them and no chord spans too much of it.
    fn of(points: &[Point], left: bool, whole: bool) -> Option<Self> {
        let fit = fit_circle(points)?;
        let (centre, radius) = (fit.circle.centre, fit.circle.radius_mm);
        if !fit_is_close(fit.worst_mm, radius) {
            return None;
        }
        let closing = whole.then(|| (points[points.len() - 1], points[0]));
        let mut span = 0.0;
        for (a, b) in points.windows(2).map(|w| (w[0], w[1])).chain(closing) {
            let (u, v) = (a - centre, b - centre);
            let step = u.cross(v).atan2(u.dot(v)).to_degrees() * if left { 1.0 } else { -1.0 };
            if !(0.0..=SHARPEST_DEG).contains(&step) {
                return None;
            }
            span += step;
        }
        let chords = points.len() - usize::from(!whole);
        Some(Self { points: points.to_vec(), circle: fit.circle, left, chords, span_deg: span, worst_mm: fit.worst_mm })
    }

    fn arc(&self) -> Option<Arc> {
        (self.chords >= LEAST_CHORDS).then_some(Arc {
            circle: self.circle,
            convex: self.left,
            span_deg: self.span_deg.min(360.0),
            worst_mm: self.worst_mm,
        })
    }
}

fn fit_is_close(worst_mm: f64, radius_mm: f64) -> bool {
    // On small circles a fixed distance would let rounded squares through.
    worst_mm <= OFF_CIRCLE_MM.min(0.02 * radius_mm)
}

/// Parts a bend into the longest runs that each lie on a circle.
fn split_into_runs(corners: &[Point], bend: &Bend) -> Vec<Run> {
    let points: Vec<Point> = bend.corners.iter().map(|&i| corners[i]).collect();
    if bend.whole
        && let Some(all) = Run::of(&points, bend.left, true)
    {
        return vec![all];
    }
    let mut runs = Vec::new();
    let mut start = 0;
    while start + 4 <= points.len() {
        match longest_run(&points[start..], bend.left) {
            Some((length, run)) if run.chords >= LEAST_CHORDS => {
                start += length - 1;
                runs.push(run);
            }
            // A straight side and the first chords of an arc lie on some wide circle, too.
            _ => start += 1,
        }
    }
    runs
}

/// The longest run from the first point, found by doubling and halving; at least four points.
fn longest_run(points: &[Point], left: bool) -> Option<(usize, Run)> {
    let mut best = Run::of(points.get(..4)?, left, false).map(|run| (4, run))?;
    let mut step = 4;
    while step > 0 {
        let length = best.0 + step;
        match points.get(..length).and_then(|p| Run::of(p, left, false)) {
            Some(run) => {
                best = (length, run);
                step *= 2;
            }
            None => step /= 2,
        }
    }
    Some(best)
}

/// Joins runs of one circle.
fn join_runs(runs: &mut Vec<Run>) {
    let mut i = 0;
    while i < runs.len() {
        let mut j = i + 1;
        while j < runs.len() {
            let joined = join(&runs[i], &runs[j]);
            match joined {
                Some(run) => {
                    runs[i] = run;
                    runs.remove(j);
                    j = i + 1;
                }
                None => j += 1,
            }
        }
        i += 1;
    }
}

fn join(a: &Run, b: &Run) -> Option<Run> {
    let near = a.left == b.left
        && a.circle.centre.distance(b.circle.centre) < 0.3
        && (a.circle.radius_mm - b.circle.radius_mm).abs() < 0.3;
    if !near {
        return None;
    }
    let points: Vec<Point> = a.points.iter().chain(&b.points).copied().collect();
    let fit = fit_circle(&points).filter(|f| fit_is_close(f.worst_mm, f.circle.radius_mm))?;
    Some(Run {
        points,
        circle: fit.circle,
        left: a.left,
        chords: a.chords + b.chords,
        span_deg: a.span_deg + b.span_deg,
        worst_mm: fit.worst_mm,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn circle(x: f64, y: f64, radius: f64, from_deg: f64, to_deg: f64, count: usize) -> Vec<Point> {
        (0..count)
            .map(|i| {
                let angle = (from_deg + (to_deg - from_deg) * i as f64 / count as f64).to_radians();
                Point::new(x + radius * angle.cos(), y + radius * angle.sin())
            })
            .collect()
    }

    #[test]
    fn a_slot_has_two_half_rounds() {
        let mut slot = circle(20.0, 5.0, 3.0, -90.0, 90.0, 24);
        slot.push(Point::new(20.0, 8.0));
        slot.extend(circle(7.0, 5.0, 3.0, 90.0, 270.0, 24));
        slot.push(Point::new(7.0, 2.0));
        let arcs = find_arcs(&slot, 100.0);
        assert_eq!(arcs.len(), 2, "{arcs:?}");
        for arc in arcs {
            assert!((arc.circle.radius_mm - 3.0).abs() < 1e-6 && arc.convex);
            assert!((arc.span_deg - 180.0).abs() < 1e-6, "{arc:?}");
        }
    }

    #[test]
    fn a_bore_with_a_keyway_is_one_circle() {
        // The keyway takes 40 degrees of the bore away.
        let mut bore = circle(1.0, 2.0, 8.0, 110.0, 430.0, 80);
        bore.push(Point::new(1.0 + 8.0 * 70.0_f64.to_radians().cos(), 2.0 + 8.0 * 70.0_f64.to_radians().sin()));
        bore.push(Point::new(1.0 + 2.74, 12.0));
        bore.push(Point::new(1.0 - 2.74, 12.0));
        bore.reverse();
        let arcs = find_arcs(&bore, 100.0);
        assert_eq!(arcs.len(), 1, "{arcs:?}");
        assert!(!arcs[0].convex, "a hole runs clockwise and bends right");
        assert!((arcs[0].circle.radius_mm - 8.0).abs() < 1e-6 && (arcs[0].span_deg - 320.0).abs() < 1e-6);
    }

    #[test]
    fn angular_shapes_are_not_round() {
        for sides in [3, 4, 6, 8] {
            assert!(find_arcs(&circle(0.0, 0.0, 5.0, 0.0, 360.0, sides), 60.0).is_empty(), "{sides} sides");
        }
        let rectangle = [(0.0, 0.0), (9.0, 0.0), (9.0, 4.0), (0.0, 4.0)].map(|(x, y)| Point::new(x, y));
        assert!(find_arcs(&rectangle, 60.0).is_empty());
        assert!(find_arcs(&[], 60.0).is_empty());
    }

    #[test]
    fn extra_corners_on_the_chords_do_no_harm() {
        let ring = circle(3.0, -4.0, 12.0, 0.0, 360.0, 64);
        let doubled: Vec<Point> =
            (0..ring.len()).flat_map(|i| [ring[i], ring[i].lerp(ring[(i + 1) % ring.len()], 0.4)]).collect();
        let arcs = find_arcs(&doubled, 100.0);
        assert_eq!(arcs.len(), 1);
        assert!((arcs[0].circle.radius_mm - 12.0).abs() < 0.01, "{arcs:?}");
        assert!((arcs[0].span_deg - 360.0).abs() < 1e-6);
    }

    proptest! {
        /// Holes and bosses of any size, chord count and place give their diameter back within 0.05 mm.
        #[test]
        fn full_circles_come_back(x in -200.0..200.0f64, y in -200.0..200.0f64, r in 1.0..40.0f64, chords in 12..200usize, turn in 0.0..360.0f64, hole in any::<bool>()) {
            let mut ring = circle(x, y, r, turn, turn + 360.0, chords);
            if hole { ring.reverse(); }
            let arcs = find_arcs(&ring, 100.0);
            prop_assert_eq!(arcs.len(), 1);
            prop_assert!((arcs[0].circle.radius_mm - r).abs() < 0.01);
            prop_assert!(arcs[0].circle.centre.distance(Point::new(x, y)) < 0.01);
            prop_assert_eq!(arcs[0].convex, !hole);
            prop_assert!((arcs[0].span_deg - 360.0).abs() < 1e-6);
        }
    }
}
