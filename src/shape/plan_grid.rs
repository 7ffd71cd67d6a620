//! Columns over the plan of a part: a grid that grows with what it has to cover.

use super::bit_plan::BitPlan;
use crate::geom::{Point, Polygon, box_of};

/// Columns over the first layer's bounding box, about: enough for 1 % of a surface to be seen.
const COLUMNS: f64 = 20_000.0;

/// Least and most distance of columns, mm: a bead, and what a skin of a big part may hide.
const CELL_MM: (f64, f64) = (0.4, 1.5);

/// Columns at most, whatever the part: 1.5 mm apart, this is 2 m square.
const MOST_COLUMNS: usize = 2_000_000;

/// Columns in one word of a plan of bits: the grid grows aside by whole words.
const WORD: usize = 64;

/// A grid that has to grow does so by at least this share of what it is, so that a part that widens at every layer has its
/// columns copied a few times only.
const LEAST_GROWTH: f64 = 0.2;

/// Columns over the plan; cell (i, j) has its middle at `origin` + (i, j) cells.
#[derive(Debug, Clone, Default)]
pub(super) struct PlanGrid<T> {
    origin: Point,
    /// Distance of columns, mm.
    pub cell_mm: f64,
    wide: usize,
    deep: usize,
    /// What each column remembers, row by row.
    pub columns: Vec<T>,
}

/// By how much a grid has grown at its lower left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Grown {
    words: usize,
    rows: usize,
}

impl<T: Copy + Default> PlanGrid<T> {
    /// Where a column stands.
    pub fn place(&self, at: usize) -> Point {
        self.place_of(at % self.wide.max(1), at / self.wide.max(1))
    }

    /// An empty plan of the grid's columns, one bit each.
    pub fn blank(&self) -> BitPlan {
        BitPlan::new(self.origin, self.cell_mm, self.wide, self.deep)
    }

    /// A plan made before the grid grew, as one of the columns there are now.
    pub fn regrown(&self, plan: &BitPlan, grown: Grown) -> BitPlan {
        plan.copied_into(self.blank(), grown.words, grown.rows)
    }

    /// Makes the columns reach over the outline and says whether and how they had to grow; an error where there is no
    /// outline yet, or it is absurdly large.
    pub fn cover(&mut self, outline: &[Polygon]) -> Result<Option<Grown>, ()> {
        let corners: Vec<Point> = outline.iter().flat_map(|p| p.outer.iter().copied()).collect();
        let Some((low, high)) = box_of(&corners) else { return if self.cell_mm > 0.0 { Ok(None) } else { Err(()) } };
        let size = high - low;
        if !(size.x.is_finite() && size.y.is_finite()) {
            return Err(());
        }
        if self.cell_mm == 0.0 {
            self.cell_mm = (size.x * size.y / COLUMNS).sqrt().clamp(CELL_MM.0, CELL_MM.1);
            // Off the outline by no round share of a cell, since edges of parts like round numbers.
            self.origin = low - Point::new(0.1237, 0.2371) * self.cell_mm;
        }
        let before = |d: f64| (d / self.cell_mm).ceil().max(0.0) as usize;
        let (left, down) = (before(self.origin.x - low.x), before(self.origin.y - low.y));
        let far = self.place_of(self.wide, self.deep);
        let (right, up) = (before(high.x - far.x + self.cell_mm), before(high.y - far.y + self.cell_mm));
        if (left, down, right, up) == (0, 0, 0, 0) {
            return Ok(None);
        }
        let words = |columns: usize| columns.checked_next_multiple_of(WORD).ok_or(());
        let just = ([words(left)?, words(right)?], [down, up]);
        let amply =
            |needed: usize, is: usize| if needed > 0 { needed.max((LEAST_GROWTH * is as f64) as usize) } else { 0 };
        let ample = (
            [words(amply(left, self.wide))?, words(amply(right, self.wide))?],
            [amply(down, self.deep), amply(up, self.deep)],
        );
        self.grow(ample.0, ample.1).or_else(|| self.grow(just.0, just.1)).ok_or(()).map(Some)
    }

    /// Adds so many columns left and right, and rows below and above.
    fn grow(&mut self, aside: [usize; 2], rows: [usize; 2]) -> Option<Grown> {
        let wide = self.wide.checked_add(aside[0])?.checked_add(aside[1])?;
        let deep = self.deep.checked_add(rows[0])?.checked_add(rows[1])?;
        let count = wide.checked_mul(deep).filter(|count| *count <= MOST_COLUMNS)?;
        let mut columns = vec![T::default(); count];
        for j in 0..self.deep {
            let (from, to) = (j * self.wide, (j + rows[0]) * wide + aside[0]);
            columns[to..to + self.wide].copy_from_slice(&self.columns[from..from + self.wide]);
        }
        self.origin = self.origin - Point::new(aside[0] as f64, rows[0] as f64) * self.cell_mm;
        (self.wide, self.deep, self.columns) = (wide, deep, columns);
        Some(Grown { words: aside[0] / WORD, rows: rows[0] })
    }

    fn place_of(&self, i: usize, j: usize) -> Point {
        self.origin + Point::new(i as f64, j as f64) * self.cell_mm
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn square(side_mm: f64) -> [Polygon; 1] {
        let outer = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|(x, y)| Point::new(x, y) * side_mm).to_vec();
        [Polygon { outer, holes: vec![] }]
    }

    #[test]
    fn a_part_that_widens_grows_the_grid_a_few_times_only() {
        let mut grid = PlanGrid::<u8>::default();
        let growths = (100..400).filter(|side| grid.cover(&square(f64::from(*side))).unwrap().is_some()).count();
        // By a fifth each time, aside and upwards not always at once: 2 log 4 / log 1.2 = 15.2, and one for the first of all.
        assert!((7..=17).contains(&growths), "{growths}");
    }

    #[test]
    fn near_its_limit_a_grid_grows_by_no_more_than_it_must() {
        let mut grid = PlanGrid::<u8>::default();
        // 1281 and 1335 columns each way at 1.5 mm: a fifth more than the first would be too many.
        assert!(grid.cover(&square(1920.0)).unwrap().is_some());
        assert!(grid.cover(&square(2000.0)).unwrap().is_some());
        assert!(grid.columns.len() <= MOST_COLUMNS);
        assert_eq!(grid.cover(&square(3000.0)), Err(()), "too many at last");
    }
}
