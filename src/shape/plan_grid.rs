//! Columns over the plan of a part: a grid that grows with what it has to cover.
//!
//! Columns are kept in tiles of 64 in a row, as many as are in one word of a plan of bits, and only where one of them was
//! ever touched: a part that drifts over metres leaves most of its box empty.

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
/// plans copied a few times only.
const LEAST_GROWTH: f64 = 0.2;

/// Columns over the plan; cell (i, j) has its middle at `origin` + (i, j) cells.
#[derive(Debug, Clone, Default)]
pub(super) struct PlanGrid<T> {
    origin: Point,
    /// Distance of columns, mm.
    pub cell_mm: f64,
    wide: usize,
    deep: usize,
    /// What each column remembers, row by row; none where all of a tile are as they began.
    tiles: Vec<Option<Box<[T; WORD]>>>,
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

    /// What a column remembers.
    pub fn column(&self, at: usize) -> T {
        self.tiles[at / WORD].as_ref().map_or_else(T::default, |tile| tile[at % WORD])
    }

    /// The same to be changed.
    pub fn column_mut(&mut self, at: usize) -> &mut T {
        &mut self.tiles[at / WORD].get_or_insert_with(|| Box::new([T::default(); WORD]))[at % WORD]
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
        let mut tiles: Vec<Option<Box<[T; WORD]>>> = std::iter::repeat_with(|| None).take(count / WORD).collect();
        let (words, of_wider) = (self.wide / WORD, wide / WORD);
        for (j, row) in self.tiles.chunks_exact_mut(words.max(1)).enumerate() {
            let to = (j + rows[0]) * of_wider + aside[0] / WORD;
            tiles[to..to + words].swap_with_slice(row);
        }
        self.origin = self.origin - Point::new(aside[0] as f64, rows[0] as f64) * self.cell_mm;
        (self.wide, self.deep, self.tiles) = (wide, deep, tiles);
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
    fn what_columns_remember_moves_with_the_grid() {
        let mut grid = PlanGrid::<u8>::default();
        grid.cover(&square(90.0)).unwrap();
        let at = 5 * grid.wide + 70;
        *grid.column_mut(at) = 9;
        let place = grid.place(at);
        let moved = [(-120.0, -30.0), (60.0, -30.0), (60.0, 20.0)].map(|(x, y)| Point::new(x, y)).to_vec();
        assert!(grid.cover(&[Polygon { outer: moved, holes: vec![] }]).unwrap().is_some());
        let nines: Vec<usize> = (0..grid.wide * grid.deep).filter(|&at| grid.column(at) == 9).collect();
        assert_eq!(nines.len(), 1);
        assert!(grid.place(nines[0]).distance(place) < 1e-9);
        assert_eq!(grid.tiles.iter().flatten().count(), 1, "the rest takes no memory");
    }

    #[test]
    fn near_its_limit_a_grid_grows_by_no_more_than_it_must() {
        let mut grid = PlanGrid::<u8>::default();
        // 1281 and 1335 columns each way at 1.5 mm: a fifth more than the first would be too many.
        assert!(grid.cover(&square(1920.0)).unwrap().is_some());
        assert!(grid.cover(&square(2000.0)).unwrap().is_some());
        assert!(grid.tiles.len() * WORD <= MOST_COLUMNS);
        assert_eq!(grid.cover(&square(3000.0)), Err(()), "too many at last");
    }
}
