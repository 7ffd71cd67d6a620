//! The edges of a layer's loops, sorted by where they lie.

use super::loops::Loop;
use crate::geom::{Point, Segment, SegmentGrid, edges_of};

/// Width of the cells that edges are sorted into, mm.
const CELL_MM: f64 = 1.0;

/// How far around a point loops are looked for at first, mm: the next wall.
const NEXT_WALL_MM: f64 = 0.6;

/// The edges of loops, for whoever asks which lie near a point.
pub(super) struct LoopEdges {
    edges: Vec<Segment>,
    /// The loop that each belongs to.
    of: Vec<usize>,
    /// Where each loop's edges begin, and one more for the end.
    starts: Vec<usize>,
    grid: SegmentGrid,
}

impl LoopEdges {
    pub fn of(loops: &[Loop]) -> Self {
        let all = loops.iter().enumerate().flat_map(|(i, l)| edges_of(&l.ring).map(move |edge| (edge, i)));
        let (edges, of): (Vec<Segment>, Vec<usize>) = all.unzip();
        let mut starts = vec![0];
        starts.extend(loops.iter().scan(0, |end, l| {
            *end += l.ring.len();
            Some(*end)
        }));
        Self { grid: SegmentGrid::new(&edges, CELL_MM), edges, of, starts }
    }

    /// Calls `visit` with the loop and the distance of every edge of `wanted` loops that may come within `reach_mm` of
    /// `point`; with some more than once.
    pub fn near(&self, point: Point, reach_mm: f64, wanted: impl Fn(usize) -> bool, mut visit: impl FnMut(usize, f64)) {
        self.grid.near(point, reach_mm, |i| {
            if wanted(self.of[i]) {
                visit(self.of[i], self.edges[i].nearest(point).0.distance(point));
            }
        });
    }

    /// Distance from `point` to the nearest of some loops, mm; infinite where there are none.
    pub fn distance_mm(&self, point: Point, loops: &[usize]) -> f64 {
        let mut nearest = f64::INFINITY;
        self.near(point, NEXT_WALL_MM, |l| loops.contains(&l), |_, distance_mm| nearest = distance_mm.min(nearest));
        if nearest <= NEXT_WALL_MM {
            return nearest;
        }
        // Nothing is near. One loop is walked through sooner than a wide space is searched.
        for edge in loops.iter().flat_map(|&l| &self.edges[self.starts[l]..self.starts[l + 1]]) {
            let off = |at: f64, from: f64, to: f64| (from.min(to) - at).max(at - from.max(to));
            let at_least = off(point.x, edge.from.x, edge.to.x).max(off(point.y, edge.from.y, edge.to.y));
            if !(at_least > nearest) {
                nearest = edge.nearest(point).0.distance(point).min(nearest);
            }
        }
        nearest
    }
}
