//! Finds beads near a point without asking every bead.

use super::Bead;
use crate::geom::{Point, Segment, SegmentGrid};

/// Cells are no narrower, mm: two usual beads.
const LEAST_CELL_MM: f64 = 0.8;

/// Beads of one layer sorted into square cells.
#[derive(Debug, Clone)]
pub struct BeadGrid<'a> {
    beads: &'a [Bead],
    /// Those in the grid, by their place in `beads`.
    taken: Vec<u32>,
    grid: SegmentGrid,
}

impl<'a> BeadGrid<'a> {
    /// Sorts the beads that `take` accepts (by their place in `beads`).
    #[must_use]
    pub fn new(beads: &'a [Bead], take: impl Fn(usize) -> bool) -> Self {
        let taken: Vec<u32> = (0..beads.len()).filter(|i| take(*i)).map(|i| i as u32).collect();
        let segments: Vec<Segment> =
            taken.iter().map(|i| &beads[*i as usize]).map(|b| Segment::new(b.from, b.to)).collect();
        Self { beads, taken, grid: SegmentGrid::by_number(&segments, LEAST_CELL_MM) }
    }

    /// Every bead whose centreline comes within `reach_mm` of `p`, with its distance, until `visit` says no more.
    ///
    /// A bead may be visited more than once.
    pub fn near(&self, p: Point, reach_mm: f64, mut visit: impl FnMut(usize, f64) -> bool) {
        let reach = Point::new(reach_mm, reach_mm);
        self.grid.any_in_box(p - reach, p + reach, |at| {
            let item = self.taken[at] as usize;
            let distance = self.beads[item].distance_mm(p);
            distance <= reach_mm && !visit(item, distance)
        });
    }

    /// Whether any bead's centreline comes within `reach_mm` of `p`.
    #[must_use]
    pub fn any_near(&self, p: Point, reach_mm: f64) -> bool {
        let mut found = false;
        self.near(p, reach_mm, |_, _| {
            found = true;
            false
        });
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bead(a: (f64, f64), b: (f64, f64)) -> Bead {
        let (from, to) = (Point::new(a.0, a.1), Point::new(b.0, b.1));
        Bead { from, to, z_mm: 0.2, length_mm: from.distance(to), area_mm2: 0.1, width_mm: 0.4, time_s: 0.0, line: 1 }
    }

    #[test]
    fn an_empty_grid_finds_nothing() {
        assert!(!BeadGrid::new(&[], |_| true).any_near(Point::new(1.0, 2.0), 100.0));
    }

    proptest! {
        #[test]
        fn finds_what_asking_every_bead_finds(
            ends in prop::collection::vec(((-40.0_f64..90.0, 3.0_f64..50.0), (-40.0_f64..90.0, 3.0_f64..50.0)), 1..80),
            p in (-50.0_f64..100.0, 0.0_f64..60.0),
            reach in 0.1_f64..12.0,
        ) {
            let beads: Vec<Bead> = ends.iter().map(|(a, b)| bead(*a, *b)).collect();
            let p = Point::new(p.0, p.1);
            let odd = |i: usize| i % 2 == 1;
            let mut found: Vec<usize> = Vec::new();
            BeadGrid::new(&beads, odd).near(p, reach, |i, _| { found.push(i); true });
            found.sort_unstable();
            found.dedup();
            let all: Vec<usize> = (0..beads.len()).filter(|i| odd(*i) && beads[*i].distance_mm(p) <= reach).collect();
            prop_assert_eq!(found, all);
        }
    }
}
