//! The edges of a layer's loops, sorted by where they lie.

use super::loops::Loop;
use super::walls::ring_segments;
use crate::geom::{Point, Segment, SegmentGrid};

/// Width of the cells that edges are sorted into, mm.
const CELL_MM: f64 = 1.0;

/// How far around a point loops are looked for at first, mm: the next wall.
const FIRST_LOOK_MM: f64 = 0.6;

/// The edges of loops, for whoever asks which lie near a point.
pub(super) struct LoopEdges {
    edges: Vec<Segment>,
    /// The loop that each belongs to.
    of: Vec<usize>,
    grid: SegmentGrid,
}

impl LoopEdges {
    pub fn of(loops: &[Loop]) -> Self {
        let all = loops.iter().enumerate().flat_map(|(i, l)| ring_segments(&l.ring).map(move |edge| (edge, i)));
        let (edges, of): (Vec<Segment>, Vec<usize>) = all.unzip();
        Self { grid: SegmentGrid::new(&edges, CELL_MM), edges, of }
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
        let mut reach_mm = FIRST_LOOK_MM;
        loop {
            let mut nearest = f64::INFINITY;
            self.near(point, reach_mm, |l| loops.contains(&l), |_, distance_mm| nearest = distance_mm.min(nearest));
            if nearest <= reach_mm || !(reach_mm < self.grid.furthest_mm(point)) {
                return nearest;
            }
            reach_mm *= 4.0;
        }
    }
}
