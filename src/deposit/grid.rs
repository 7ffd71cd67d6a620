//! Finds beads near a point without asking every bead.

use super::Bead;
use crate::geom::Point;

/// Beads of one layer sorted into square cells.
#[derive(Debug, Clone)]
pub struct BeadGrid<'a> {
    beads: &'a [Bead],
    corner: Point,
    cell_mm: f64,
    columns: usize,
    rows: usize,
    /// Where each cell's list starts in `items`; one more than there are cells.
    starts: Vec<u32>,
    items: Vec<u32>,
}

impl<'a> BeadGrid<'a> {
    /// Sorts the beads that `take` accepts (by their place in `beads`).
    #[must_use]
    pub fn new(beads: &'a [Bead], take: impl Fn(usize) -> bool) -> Self {
        let mut low = Point::new(f64::INFINITY, f64::INFINITY);
        let mut high = Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        let mut count = 0_usize;
        for (i, bead) in beads.iter().enumerate().filter(|(i, _)| take(*i)) {
            debug_assert!(i < u32::MAX as usize);
            count += 1;
            for p in [bead.from, bead.to] {
                low = Point::new(low.x.min(p.x), low.y.min(p.y));
                high = Point::new(high.x.max(p.x), high.y.max(p.y));
            }
        }
        if count == 0 {
            return Self {
                beads,
                corner: Point::default(),
                cell_mm: 1.0,
                columns: 0,
                rows: 0,
                starts: vec![0],
                items: Vec::new(),
            };
        }
        let size = high - low;
        let cell_mm = (size.x * size.y / (2 * count + 200) as f64).sqrt().max(size.x.max(size.y) / 2000.0).max(0.8);
        let columns = (size.x / cell_mm) as usize + 1;
        let rows = (size.y / cell_mm) as usize + 1;
        let mut grid =
            Self { beads, corner: low, cell_mm, columns, rows, starts: vec![0; columns * rows + 1], items: Vec::new() };
        grid.fill(take);
        grid
    }

    fn fill(&mut self, take: impl Fn(usize) -> bool) {
        let mut pairs: Vec<(u32, u32)> = Vec::new();
        for (i, bead) in self.beads.iter().enumerate().filter(|(i, _)| take(*i)) {
            let steps = (bead.from.distance(bead.to) / (0.5 * self.cell_mm)).ceil().max(1.0) as usize;
            let mut last = None;
            for k in 0..=steps {
                let (column, row) = self.cell_of(bead.from.lerp(bead.to, k as f64 / steps as f64));
                let cell = (row * self.columns + column) as u32;
                if last != Some(cell) {
                    pairs.push((cell, i as u32));
                    last = Some(cell);
                }
            }
        }
        for (cell, _) in &pairs {
            self.starts[*cell as usize + 1] += 1;
        }
        for i in 1..self.starts.len() {
            self.starts[i] += self.starts[i - 1];
        }
        let mut next = self.starts.clone();
        self.items = vec![0; pairs.len()];
        for (cell, item) in pairs {
            self.items[next[cell as usize] as usize] = item;
            next[cell as usize] += 1;
        }
    }

    fn cell_of(&self, p: Point) -> (usize, usize) {
        let place = (p - self.corner) * (1.0 / self.cell_mm);
        // Negative numbers become 0 by the cast.
        ((place.x as usize).min(self.columns.saturating_sub(1)), (place.y as usize).min(self.rows.saturating_sub(1)))
    }

    /// Every bead whose centreline comes within `reach_mm` of `p`, with its distance, until `visit` says no more.
    ///
    /// A bead may be visited more than once.
    pub fn near(&self, p: Point, reach_mm: f64, mut visit: impl FnMut(usize, f64) -> bool) {
        if self.columns == 0 {
            return;
        }
        // A bead is listed at points half a cell apart: half a cell more makes sure of it.
        let wide = reach_mm + 0.5 * self.cell_mm;
        let (c0, r0) = self.cell_of(p - Point::new(wide, wide));
        let (c1, r1) = self.cell_of(p + Point::new(wide, wide));
        for row in r0..=r1 {
            let cells = row * self.columns;
            let items = self.starts[cells + c0] as usize..self.starts[cells + c1 + 1] as usize;
            for item in &self.items[items] {
                let bead = &self.beads[*item as usize];
                let distance = bead.distance_mm(p);
                if distance <= reach_mm && !visit(*item as usize, distance) {
                    return;
                }
            }
        }
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
