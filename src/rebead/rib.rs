//! Single beads down the middle of places too narrow for two.
//!
//! From points along the edge a ray goes straight inwards to the far edge; half-way lies the centreline, and
//! the length of the ray is the width of the strip there.

use crate::geom::{Point, Polygon, Ring, Segment, edges_of};

/// Distance between rays, mm.
const STEP_MM: f64 = 0.3;

/// Strips narrower than this share of a pitch are left alone.
const LEAST_SHARE: f64 = 0.3;

/// A centreline with the width of its strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Rib {
    /// Corners of the centreline; a closed one repeats its first corner at the end.
    pub points: Vec<Point>,
    /// Width of the strip along each piece, mm: a bead of section width x height fills it.
    pub strip_mm: Vec<f64>,
    /// It closes on itself.
    pub closed: bool,
}

#[cfg(test)]
impl Rib {
    /// Length of the centreline, mm.
    pub fn length_mm(&self) -> f64 {
        self.points.windows(2).map(|p| p[0].distance(p[1])).sum()
    }
}

/// A point half-way between two edges.
#[derive(Debug, Clone, Copy)]
struct Middle {
    at: Point,
    width: f64,
}

/// Centrelines of strips narrower than two pitches.
#[must_use]
pub fn ribs(narrow: &[Polygon], pitch_mm: f64) -> Vec<Rib> {
    narrow.iter().flat_map(|polygon| ribs_of(polygon, pitch_mm)).collect()
}

fn ribs_of(polygon: &Polygon, pitch_mm: f64) -> Vec<Rib> {
    let edges: Vec<Segment> = polygon.rings().flat_map(edges_of).collect();
    let mut runs: Vec<(Vec<Middle>, bool)> = polygon.rings().flat_map(|ring| middles(ring, &edges, pitch_mm)).collect();
    runs.sort_by(|a, b| run_length(&b.0).total_cmp(&run_length(&a.0)));
    let mut taken: Vec<Rib> = Vec::new();
    for (run, closed) in runs {
        let fresh: Vec<Middle> = run.into_iter().filter(|m| !near(&taken, m)).collect();
        if fresh.len() < 2 || run_length(&fresh) < pitch_mm {
            continue;
        }
        taken.push(rib_from(&fresh, closed, &edges));
    }
    taken
}

fn run_length(run: &[Middle]) -> f64 {
    run.windows(2).map(|m| m[0].at.distance(m[1].at)).sum()
}

/// Whether a centreline already runs here.
fn near(taken: &[Rib], middle: &Middle) -> bool {
    taken.iter().any(|rib| rib.points.windows(2).any(|p| distance_to_piece(middle.at, p[0], p[1]) < 0.5 * middle.width))
}

fn distance_to_piece(at: Point, from: Point, to: Point) -> f64 {
    at.distance(Segment::new(from, to).nearest(at).0)
}

/// Runs of middles along one ring, each with whether it goes all the way round.
fn middles(ring: &Ring, edges: &[Segment], pitch_mm: f64) -> Vec<(Vec<Middle>, bool)> {
    let mut samples: Vec<Option<Middle>> = Vec::new();
    for edge in edges_of(ring) {
        let steps = (edge.length_mm() / STEP_MM).ceil().max(1.0) as usize;
        let Some(inward) = edge.direction().map(Point::left) else { continue };
        for i in 0..steps {
            let at = edge.from.lerp(edge.to, (i as f64 + 0.5) / steps as f64);
            samples.push(middle(at, inward, edges, pitch_mm));
        }
    }
    if samples.iter().all(Option::is_some) && samples.len() > 2 {
        return vec![(samples.into_iter().flatten().collect(), true)];
    }
    // Begin after a miss, so that no run is cut in two at the ring's first corner.
    let start = samples.iter().position(Option::is_none).unwrap_or(0);
    samples.rotate_left(start);
    let mut runs = vec![Vec::new()];
    for sample in samples {
        match (sample, runs.last_mut()) {
            (Some(m), Some(run)) if run.last().is_none_or(|l: &Middle| l.at.distance(m.at) < 4.0 * STEP_MM) => {
                run.push(m)
            }
            (Some(m), _) => runs.push(vec![m]),
            (None, _) => runs.push(Vec::new()),
        }
    }
    runs.into_iter().map(|run| (run, false)).collect()
}

/// The point half-way to the far edge, if that runs the other way and is near.
fn middle(at: Point, inward: Point, edges: &[Segment], pitch_mm: f64) -> Option<Middle> {
    let (width, edge) = nearest_hit(at, inward, edges)?;
    let opposite = edge.direction()?.dot(inward.left()) > 0.8;
    (opposite && width > LEAST_SHARE * pitch_mm && width < 2.05 * pitch_mm)
        .then(|| Middle { at: at + inward * (0.5 * width), width })
}

/// Distance to the first edge that a ray meets, and that edge.
fn nearest_hit(at: Point, towards: Point, edges: &[Segment]) -> Option<(f64, Segment)> {
    let hits = edges.iter().filter_map(|edge| Some((edge.met_by_ray(at, towards).filter(|t| *t > 1e-6)?, *edge)));
    hits.min_by(|a, b| a.0.total_cmp(&b.0))
}

/// A centreline through the middles, drawn out to the ends of the strip, without needless corners.
fn rib_from(run: &[Middle], closed: bool, edges: &[Segment]) -> Rib {
    let mut line = run.to_vec();
    if closed {
        line.push(run[0]);
    } else {
        if let Some(first) = drawn_out(run[1], run[0], edges) {
            line.insert(0, first);
        }
        if let Some(last) = drawn_out(run[run.len() - 2], run[run.len() - 1], edges) {
            line.push(last);
        }
    }
    let kept = simplified(&line);
    let strip_mm = kept.windows(2).map(|m| 0.5 * (m[0].width + m[1].width)).collect();
    Rib { points: kept.iter().map(|m| m.at).collect(), strip_mm, closed }
}

/// Where the line from `before` through `end` meets the edge, when that is near.
fn drawn_out(before: Middle, end: Middle, edges: &[Segment]) -> Option<Middle> {
    let onwards = (end.at - before.at).unit()?;
    let (distance, _) = nearest_hit(end.at, onwards, edges)?;
    (distance < end.width + 2.0 * STEP_MM).then(|| Middle { at: end.at + onwards * distance, width: end.width })
}

/// Leaves out middles that lie on the line between their neighbours and have the same width.
fn simplified(line: &[Middle]) -> Vec<Middle> {
    let mut kept: Vec<Middle> = Vec::new();
    for (i, &next) in line.iter().enumerate() {
        if let (Some(&[a, b]), true) = (kept.last_chunk::<2>(), i > 1) {
            let whole = a.at.distance(next.at);
            let t = if whole > 0.0 { a.at.distance(b.at) / whole } else { 0.0 };
            let straight = distance_to_piece(b.at, a.at, next.at) < 0.003;
            let even = (a.width + (next.width - a.width) * t - b.width).abs() < 0.005;
            if straight && even {
                kept.pop();
            }
        }
        kept.push(next);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::difference;
    use crate::rebead::drawing::{circle, polygon};
    use approx::assert_relative_eq;

    #[test]
    fn a_tapered_rib_has_a_tapered_bead() {
        let wedge = polygon(&[(0.0, 0.0), (12.0, 0.1), (12.0, 0.5), (0.0, 0.6)]);
        let found = ribs(&[wedge], 0.4);
        assert_eq!(found.len(), 1);
        assert_relative_eq!(found[0].length_mm(), 12.0, epsilon = 0.02);
        let filled: f64 =
            found[0].points.windows(2).zip(&found[0].strip_mm).map(|(p, u)| p[0].distance(p[1]) * u).sum();
        assert_relative_eq!(filled, 0.5 * (0.6 + 0.4) * 12.0, max_relative = 0.02);
    }

    #[test]
    fn a_thin_ring_has_one_closed_bead() {
        let ring = difference(&[circle(Point::new(2.0, 1.0), 20.6)], &[circle(Point::new(2.0, 1.0), 19.4)]);
        let found = ribs(&ring, 0.4);
        assert_eq!(found.len(), 1);
        assert!(found[0].closed);
        assert_relative_eq!(found[0].length_mm(), std::f64::consts::PI * 20.0, max_relative = 0.01);
        assert!(found[0].strip_mm.iter().all(|u| (u - 0.6).abs() < 0.02), "{:?}", found[0].strip_mm);
    }

    #[test]
    fn a_square_speck_has_none() {
        assert!(ribs(&[polygon(&[(0.0, 0.0), (0.3, 0.0), (0.3, 0.3), (0.0, 0.3)])], 0.4).is_empty());
    }
}
