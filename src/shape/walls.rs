//! Walls counted from the outside in, at points along every edge.
//!
//! ```text
//!   outline   wall 0    wall 1    wall 2        core
//!      |-- w/2 --|--- s ---|--- s ---|-- w/2 --|
//!      P - - - - o - - - - o - - - - o - - - - | - - ->   ray along the inward normal
//! ```
//!
//! Only strands that are walls by their shape are in the way of a ray: fill that happens to run parallel to an
//! edge lies at the same distances as walls do, so distance can not tell them apart.

use super::edge_track::Track;
use super::layer_shape::{WallSample, Walls};
use crate::geom::{Point, Polygon, Ring, Segment, SegmentGrid, edges_of};

/// A straight piece of a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WallPiece {
    pub segment: Segment,
    /// Width it is meant to have, mm.
    pub width_mm: f64,
    /// Centrelines of fused neighbours lie no further apart, mm.
    pub reach_mm: f64,
}

/// Cosine of 20 degrees: a wall runs along the edge within that angle (10, 20 and 30 degrees count the same
/// on real files; at 45 degrees fill is counted).
const ALONG_EDGE: f64 = 0.94;

/// Centrelines nearer than this share of a width are one bead laid twice.
const SAME_BEAD: f64 = 0.3;

/// The far face is reached when it lies within this share of a width beyond the last wall's centreline.
const FAR_FACE: f64 = 0.75;

/// Squares of distances that differ by less than this share are those of one place.
const SAME_PLACE: f64 = 1e-9;

/// No wall is counted deeper than this number of widths at a first look.
const FIRST_LOOK: f64 = 5.0;

/// Walls and edges of a layer, ready for rays.
pub(super) struct WallProbe<'a> {
    pieces: &'a [WallPiece],
    grid: SegmentGrid,
    edges: Vec<Segment>,
    edge_grid: SegmentGrid,
    width_mm: f64,
}

/// What one ray counted.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Counted {
    count: u32,
    thickness_mm: f64,
    through: bool,
}

/// Walls of one face lie nearer than this share of the reach; only where two faces meet may they lie further apart.
const WIDE_GAP: f64 = super::concentric::WIDER_THAN_WALLS / 1.5;

/// Two faces that meet leave no more wide gaps than these: on both sides of a bead in the middle.
const MOST_WIDE: u32 = 2;

/// Wide gaps along a ray, and what was counted before the first.
#[derive(Debug, Clone, Copy, Default)]
struct Wide {
    count: u32,
    before: Option<(u32, f64, WallPiece)>,
}

impl Wide {
    fn note(&mut self, is_wide: bool, before: Option<(u32, f64, WallPiece)>) {
        if is_wide && before.is_some() {
            self.before = self.before.or(before);
            self.count += 1;
        }
    }
}

impl<'a> WallProbe<'a> {
    pub fn new(pieces: &'a [WallPiece], outline: &[Polygon]) -> Self {
        let width_mm =
            super::loops::weighted_median(pieces.iter().map(|p| (p.width_mm, p.segment.length_mm())).collect());
        let segments: Vec<Segment> = pieces.iter().map(|p| p.segment).collect();
        let edges: Vec<Segment> = outline.iter().flat_map(Polygon::rings).flat_map(edges_of).collect();
        Self {
            pieces,
            grid: SegmentGrid::new(&segments, (4.0 * width_mm).clamp(0.5, 8.0)),
            edge_grid: SegmentGrid::new(&edges, (4.0 * width_mm).clamp(0.5, 8.0)),
            edges,
            width_mm,
        }
    }

    /// Distances along the ray to walls: distance, index of the piece.
    fn hits(&self, at: Point, inward: Point, reach_mm: f64) -> Vec<(f64, usize)> {
        let mut hits = Vec::new();
        let (low, high) = ray_box(at, inward, reach_mm);
        self.grid.in_box(low, high, |i| {
            if let Some(distance) = self.pieces[i].segment.met_by_ray(at, inward).filter(|d| *d <= reach_mm) {
                hits.push((distance, i));
            }
        });
        hits.sort_by(|a, b| a.0.total_cmp(&b.0));
        hits.dedup();
        hits
    }

    fn far_face(&self, at: Point, inward: Point, reach_mm: f64) -> Option<f64> {
        self.far_edge(at, inward, reach_mm).map(|(distance, _)| distance)
    }

    /// The nearest edge that the ray meets: how far on, and which.
    fn far_edge(&self, at: Point, inward: Point, reach_mm: f64) -> Option<(f64, usize)> {
        let (low, high) = ray_box(at, inward, reach_mm);
        let mut nearest: Option<(f64, usize)> = None;
        self.edge_grid.in_box(low, high, |i| {
            if let Some(d) = self.edges[i].met_by_ray(at, inward)
                && d > 0.02
                && nearest.is_none_or(|n| d < n.0)
            {
                nearest = Some((d, i));
            }
        });
        nearest
    }

    /// The ray crosses a rib: the far face runs along the near one, so that it needs no walking round a corner.
    fn crosses_rib(&self, at: Point, inward: Point, thickness_mm: f64) -> bool {
        let edge = self.far_edge(at, inward, thickness_mm + 0.1);
        edge.and_then(|(_, i)| self.edges[i].direction()).is_some_and(|d| d.cross(inward).abs() > ALONG_EDGE)
    }

    fn count(&self, at: Point, inward: Point) -> Counted {
        if self.pieces.is_empty() {
            return Counted { count: 0, thickness_mm: 0.0, through: false };
        }
        let mut reach = FIRST_LOOK * self.width_mm;
        loop {
            let (counted, last) = self.count_within(at, inward, reach);
            if last + 2.0 * self.width_mm < reach || reach > 400.0 * self.width_mm {
                return counted;
            }
            reach *= 3.0;
        }
    }

    fn count_within(&self, at: Point, inward: Point, reach_mm: f64) -> (Counted, f64) {
        let mut last: Option<(f64, WallPiece)> = None;
        let mut count = 0;
        let mut wide = Wide::default();
        for (distance, index) in self.hits(at, inward, reach_mm) {
            let piece = self.pieces[index];
            let gap = match last {
                Some((before, _)) => distance - before,
                None => distance + 0.5 * piece.width_mm,
            };
            if last.is_some() && gap < SAME_BEAD * piece.width_mm {
                continue;
            }
            let limit = last.map_or(piece.reach_mm, |(_, l)| 0.5 * (l.reach_mm + piece.reach_mm));
            let along = piece.segment.direction().is_some_and(|d| inward.cross(d).abs() > ALONG_EDGE);
            if gap > limit || !along {
                break;
            }
            wide.note(gap > WIDE_GAP * limit, last.map(|(before, l)| (count, before, l)));
            last = Some((distance, piece));
            count += 1;
        }
        let Some((depth, piece)) = last else {
            return (Counted { count: 0, thickness_mm: 0.0, through: false }, 0.0);
        };
        let face = self.far_face(at, inward, depth + 2.0 * piece.width_mm);
        let through = face.filter(|f| *f - depth < FAR_FACE * piece.width_mm && wide.count <= MOST_WIDE);
        if let (None, Some((count, before, piece))) = (through, wide.before) {
            let thickness_mm = before + 0.5 * piece.width_mm;
            return (Counted { count, thickness_mm, through: false }, depth);
        }
        let thickness_mm = through.unwrap_or(depth + 0.5 * piece.width_mm);
        (Counted { count, thickness_mm, through: through.is_some() }, depth)
    }

    /// Steps from the edge to the nearest wall and on to the next, so that a corner is followed along its middle.
    fn walk(&self, at: Point, inward: Point) -> Option<Counted> {
        let (mut count, mut thickness, mut here) = (0, 0.0, at);
        let mut last_piece: Option<WallPiece> = None;
        while let Some((next, piece, step)) = self.next_wall(here, inward, last_piece, thickness) {
            count += 1;
            thickness += step;
            here = next;
            last_piece = Some(piece);
            if count > 400 {
                break;
            }
        }
        let piece = last_piece?;
        let face = self.far_face(here, inward, 2.0 * piece.width_mm);
        let through = face.filter(|f| *f < FAR_FACE * piece.width_mm);
        thickness += through.unwrap_or(0.5 * piece.width_mm);
        Some(Counted { count, thickness_mm: thickness, through: through.is_some() })
    }

    /// Whether no edge lies nearer to `p` than `depth_mm`.
    fn lies_deeper(&self, p: Point, depth_mm: f64) -> bool {
        let mut deeper = true;
        self.edge_grid.near(p, depth_mm, |i| deeper &= self.edges[i].nearest(p).0.distance(p) > depth_mm);
        deeper
    }

    /// The nearest wall further inwards than `depth_mm`: where, which, and how far off it lies square to itself.
    fn next_wall(
        &self,
        here: Point,
        inward: Point,
        last: Option<WallPiece>,
        depth_mm: f64,
    ) -> Option<(Point, WallPiece, f64)> {
        // Most lie near; at a sharp corner the next one may lie far off.
        [2.0, 4.0].iter().find_map(|widths| self.next_wall_within(widths * self.width_mm, here, inward, last, depth_mm))
    }

    /// The same no further off than `look` mm. What runs another way and lies no deeper is the same wall beyond its
    /// corner.
    fn next_wall_within(
        &self,
        look: f64,
        here: Point,
        inward: Point,
        last: Option<WallPiece>,
        depth_mm: f64,
    ) -> Option<(Point, WallPiece, f64)> {
        // What is looked at is turned down by the cheapest reasons first: most of it lies behind, or further off.
        let mut nearest_square = look * look;
        let mut best: Option<(Point, usize, f64)> = None;
        self.grid.near(here, look, |i| {
            let piece = self.pieces[i];
            let (at, _) = piece.segment.nearest(here);
            let step = at - here;
            let (onward, distance_square) = (step.dot(inward), step.dot(step));
            if distance_square > nearest_square * (1.0 + SAME_PLACE) || onward <= 0.35 * distance_square.sqrt() {
                return;
            }
            let Some(along) = piece.segment.direction() else { return };
            let square = step.cross(along).abs();
            let (low, limit) = match last {
                Some(l) => (SAME_BEAD * piece.width_mm, 0.5 * (l.reach_mm + piece.reach_mm)),
                None => (0.0, piece.reach_mm - 0.5 * piece.width_mm),
            };
            // Beyond the middle of a rib walls lie nearer to its other face.
            let faces = last.and_then(|l| l.segment.direction()).is_some_and(|d| d.dot(along).abs() > ALONG_EDGE);
            // Of two that meet in a corner the one that is further off square to itself: else it would hang on the order
            // in which they are found, or on rounding.
            let is_nearer = distance_square < nearest_square * (1.0 - SAME_PLACE);
            let nearer = best.is_none_or(|b| is_nearer || square > b.2);
            let fits = nearer && square >= low && square <= limit;
            if fits && (faces || self.lies_deeper(at, depth_mm + 0.5 * square)) {
                nearest_square = distance_square;
                best = Some((at, i, square));
            }
        });
        best.map(|(at, i, square)| (at, self.pieces[i], square))
    }

    /// Samples along every edge of `outline`.
    pub fn samples(&self, outline: &[Polygon]) -> Vec<Vec<WallSample>> {
        outline.iter().flat_map(Polygon::rings).map(|ring| self.along_ring(ring)).collect()
    }

    fn along_ring(&self, ring: &Ring) -> Vec<WallSample> {
        let track = Track::new(ring);
        let spots = track.spots();
        let rays: Vec<(Point, Point)> = spots.iter().map(|&s| track.place(s, 0.25 * self.width_mm)).collect();
        let mut samples: Vec<WallSample> = rays
            .iter()
            .map(|&(at, inward)| {
                let counted = self.count(at, inward);
                WallSample {
                    at,
                    count: counted.count,
                    thickness_mm: counted.thickness_mm,
                    through: counted.through,
                    corner: false,
                }
            })
            .collect();
        let typical = median_of(samples.iter().map(|s| s.thickness_mm).collect()).unwrap_or(0.0);
        let zone = typical + self.width_mm;
        for ((sample, &s), &(at, inward)) in samples.iter_mut().zip(&spots).zip(&rays) {
            if track.bends_near(s, zone, 0.5 * self.width_mm, |turn| turn.abs() > CORNER_TURN)
                || track.bends_near(s, zone, typical, |turn| turn > TIGHT_TURN)
            {
                sample.corner = true;
                if sample.through && self.crosses_rib(at, inward, sample.thickness_mm) {
                    continue;
                }
                if let Some(c) = self.walk(at, inward).filter(|c| c.count > sample.count) {
                    (sample.count, sample.thickness_mm, sample.through) = (c.count, c.thickness_mm, c.through);
                }
            }
        }
        samples
    }
}

fn ray_box(at: Point, inward: Point, reach_mm: f64) -> (Point, Point) {
    let end = at + inward * reach_mm;
    (Point::new(at.x.min(end.x), at.y.min(end.y)), Point::new(at.x.max(end.x), at.y.max(end.y)))
}

/// An edge that turns more than this is a corner, radians (30 degrees).
const CORNER_TURN: f64 = 0.52;

/// An outward edge that turns more than this over as long as the walls are thick is rounded more tightly than they are
/// thick: the inner ones come to a sharp corner and cross the rays (geometry: turn = length / radius).
const TIGHT_TURN: f64 = 1.0;

fn median_of(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// Least, 5th percentile and median over the samples of every ring.
pub(super) fn summed_up(rings: &[Vec<WallSample>]) -> Walls {
    let mut walls = Walls::default();
    for ring in rings {
        for i in 0..ring.len() {
            let three = [ring[i], ring[(i + 1) % ring.len()], ring[(i + 2) % ring.len()]];
            let most = three.iter().map(|s| s.count).max().unwrap_or(0);
            let thickest = three.iter().map(|s| s.thickness_mm).fold(0.0, f64::max);
            if walls.min.is_none_or(|m| most < m.0) {
                walls.min = Some((most, three[1].at));
            }
            if walls.thickness_min.is_none_or(|m| thickest < m.0) {
                walls.thickness_min = Some((thickest, three[1].at));
            }
        }
    }
    walls.samples = rings.iter().flatten().copied().collect();
    let mut counts: Vec<u32> = walls.samples.iter().map(|s| s.count).collect();
    counts.sort_unstable();
    walls.median = counts.get(counts.len() / 2).copied();
    walls.thickness_median_mm = median_of(walls.samples.iter().map(|s| s.thickness_mm).collect());
    let straight = |walls: &Walls| walls.samples.iter().filter(|s| !s.corner).copied().collect::<Vec<_>>();
    let straight = straight(&walls);
    let mut counts: Vec<u32> = straight.iter().map(|s| s.count).collect();
    counts.sort_unstable();
    walls.p05 = counts.get(counts.len() / 20).copied();
    let mut thick: Vec<f64> = straight.iter().map(|s| s.thickness_mm).collect();
    thick.sort_by(f64::total_cmp);
    walls.thickness_p05_mm = thick.get(thick.len() / 20).copied();
    walls
}

#[cfg(test)]
#[path = "walls_tests.rs"]
mod tests;
