//! Columns over the plan of a part: a grid that grows with what it has to cover.

use super::part_beads::Strip;
use crate::geom::{Point, Polygon, bounds};

/// Columns over the first layer's bounding box, about: enough for 1 % of a surface to be seen.
const COLUMNS: f64 = 20_000.0;

/// Least and most distance of columns, mm: a bead, and what a skin of a big part may hide.
const CELL_MM: (f64, f64) = (0.4, 1.5);

/// Columns at most, whatever the part: 1.5 mm apart, this is 3 m square.
const MOST_COLUMNS: usize = 4_000_000;

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

impl<T: Copy + Default> PlanGrid<T> {
    /// Where a column stands.
    pub fn place(&self, at: usize) -> Point {
        let (i, j) = (at % self.wide.max(1), at / self.wide.max(1));
        self.origin + Point::new(i as f64, j as f64) * self.cell_mm
    }

    /// Makes the columns reach over the outline; false where there is none, or it is absurdly large.
    pub fn cover(&mut self, outline: &[Polygon]) -> bool {
        let corners: Vec<Point> = outline.iter().flat_map(|p| p.outer.iter().copied()).collect();
        let Some((low, high)) = bounds(&corners) else { return self.cell_mm > 0.0 };
        let size = high - low;
        if !(size.x.is_finite() && size.y.is_finite()) {
            return false;
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
            return true;
        }
        let (wide, deep) = (self.wide + left + right, self.deep + down + up);
        if wide.saturating_mul(deep) > MOST_COLUMNS {
            return false;
        }
        let mut columns = vec![T::default(); wide * deep];
        for j in 0..self.deep {
            let (from, to) = (j * self.wide, (j + down) * wide + left);
            columns[to..to + self.wide].copy_from_slice(&self.columns[from..from + self.wide]);
        }
        self.origin = self.origin - Point::new(left as f64, down as f64) * self.cell_mm;
        (self.wide, self.deep, self.columns) = (wide, deep, columns);
        true
    }

    fn place_of(&self, i: usize, j: usize) -> Point {
        self.origin + Point::new(i as f64, j as f64) * self.cell_mm
    }

    fn row_y(&self, j: usize) -> f64 {
        self.origin.y + j as f64 * self.cell_mm
    }

    /// Marks the cells of one row between two x.
    fn mark(&self, marks: &mut [bool], j: usize, from_x: f64, to_x: f64) {
        let cell = |x: f64| (x - self.origin.x) / self.cell_mm;
        let first = cell(from_x).ceil().max(0.0) as usize;
        let end = (cell(to_x).floor() + 1.0).clamp(0.0, self.wide as f64) as usize;
        if first < end {
            marks[j * self.wide + first..j * self.wide + end].fill(true);
        }
    }

    fn rows(&self, low_y: f64, high_y: f64) -> std::ops::Range<usize> {
        let row = |y: f64| (y - self.origin.y) / self.cell_mm;
        let first = row(low_y).ceil().max(0.0) as usize;
        first..(row(high_y).floor() + 1.0).clamp(0.0, self.deep as f64) as usize
    }

    /// Which columns stand inside the polygons.
    pub fn inside(&self, outline: &[Polygon]) -> Vec<bool> {
        let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); self.deep];
        for ring in outline.iter().flat_map(Polygon::rings) {
            for (i, &a) in ring.iter().enumerate() {
                let b = ring[(i + 1) % ring.len()];
                for j in self.rows(a.y.min(b.y), a.y.max(b.y)) {
                    let y = self.row_y(j);
                    if (a.y > y) != (b.y > y) {
                        crossings[j].push(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
                    }
                }
            }
        }
        let mut marks = vec![false; self.columns.len()];
        for (j, row) in crossings.iter_mut().enumerate() {
            row.sort_unstable_by(f64::total_cmp);
            for pair in row.chunks_exact(2) {
                self.mark(&mut marks, j, pair[0], pair[1]);
            }
        }
        marks
    }

    /// Marks the columns that a strip covers.
    pub fn mark_strip(&self, marks: &mut [bool], strip: &Strip) {
        let Some(scan) = strip.scan() else { return };
        for j in self.rows(scan.low_y, scan.high_y) {
            if let Some((from, to)) = scan.piece_at(self.row_y(j)) {
                self.mark(marks, j, from, to);
            }
        }
    }

    /// Whether a column next to this one (eight of them) is marked.
    pub fn beside_marked(&self, at: usize, marks: &[bool]) -> bool {
        let (i, j) = (at % self.wide, at / self.wide);
        let rows = j.saturating_sub(1)..(j + 2).min(self.deep);
        rows.into_iter().any(|row| {
            let from = row * self.wide + i.saturating_sub(1);
            let to = row * self.wide + (i + 2).min(self.wide);
            marks.get(from..to).is_some_and(|near| near.contains(&true))
        })
    }

    /// A column between fill and wall may miss both: it counts as full where most of its neighbours are.
    pub fn without_lone_gaps(&self, marks: Vec<bool>, inside: &[bool]) -> Vec<bool> {
        let mut closed = marks.clone();
        for j in 1..self.deep.saturating_sub(1) {
            for i in 1..self.wide.saturating_sub(1) {
                let at = j * self.wide + i;
                if marks[at] || !inside[at] {
                    continue;
                }
                let rows = [at - self.wide, at, at + self.wide];
                let full = rows.iter().flat_map(|&r| &marks[r - 1..=r + 1]).filter(|&&m| m).count();
                closed[at] = full >= 6;
            }
        }
        closed
    }
}
