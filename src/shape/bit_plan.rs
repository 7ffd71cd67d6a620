//! A plan of small square cells, one bit each: 64 of them are drawn, grown (`bit_growth`) and joined at a time.
//!
//! A cell belongs to a shape when its middle does, so areas are right on the mean, whatever the cell's size; but for
//! edges that run along the cells or at an even slope to them, which may lie half a cell off all along.

use super::bit_runs::Runs;
use super::line_lists::LineLists;
use super::part_beads::Strip;
use crate::geom::{Point, Polygon, Segment, edges_of, whole_above, whole_below};
use std::ops::{Range, RangeInclusive};

/// Cells in all at most; for more they are made larger (64 million are 8 MB).
const MOST_CELLS: f64 = 64e6;

/// A plan of cells; cell (i, j) has its middle at `origin` + (i, j) cells.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct BitPlan {
    origin: Point,
    pub cell_mm: f64,
    /// Cells in a millimetre.
    per_mm: f64,
    /// Cells in a row.
    wide: usize,
    pub rows: usize,
    /// 64-bit words in a row.
    pub words: usize,
    pub bits: Vec<u64>,
}

/// Some rows of a plan and some words of each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Window {
    pub rows: Range<usize>,
    pub words: Range<usize>,
}

impl Window {
    /// The window with so many rows more above and below, and words on both sides, as far as the plan has them.
    pub fn wider(self, rows: usize, words: usize, of: &BitPlan) -> Self {
        let wider = |range: Range<usize>, by: usize, most: usize| {
            range.start.saturating_sub(by)..range.end.saturating_add(by).min(most)
        };
        Self { rows: wider(self.rows, rows, of.rows), words: wider(self.words, words, of.words) }
    }
}

impl BitPlan {
    /// An empty plan over the box from `low` to `high` and `margin` cells more on every side; `None` for a box that is
    /// not finite.
    pub fn over(low: Point, high: Point, cell_mm: f64, margin: usize) -> Option<Self> {
        let size = high - low;
        if !(size.x.is_finite() && size.y.is_finite() && cell_mm > 0.0 && size.x >= 0.0 && size.y >= 0.0) {
            return None;
        }
        let around = 2.0 * margin as f64 + 2.0;
        let cells = |cell: f64| (size.x / cell + around) * (size.y / cell + around);
        let mut cell_mm = cell_mm;
        while cells(cell_mm) > MOST_CELLS {
            cell_mm *= 1.5;
        }
        let count = |length: f64| (length / cell_mm).ceil() as usize + 2 * margin + 1;
        let (wide, rows) = (count(size.x), count(size.y));
        // Off by no round share of a cell, since edges of parts like round numbers.
        let origin = low - Point::new(margin as f64 + 0.1237, margin as f64 + 0.2371) * cell_mm;
        Some(Self::new(origin, cell_mm, wide, rows))
    }

    /// An empty plan of so many cells.
    pub fn new(origin: Point, cell_mm: f64, wide: usize, rows: usize) -> Self {
        let words = wide.div_ceil(64);
        Self { origin, cell_mm, per_mm: 1.0 / cell_mm, wide, rows, words, bits: vec![0; words * rows] }
    }

    /// A plan of the same cells with none set.
    pub fn like(&self) -> Self {
        Self { bits: vec![0; self.bits.len()], ..*self }
    }

    /// The words of each row, 64 cells in each.
    pub fn each_row(&self) -> impl Iterator<Item = &[u64]> {
        (0..self.rows).map(|row| self.row(row))
    }

    pub fn row(&self, row: usize) -> &[u64] {
        &self.bits[row * self.words..(row + 1) * self.words]
    }

    /// The rows, or the columns, of `count` whose middles lie between two places that far from the first one's, mm.
    fn between(&self, low_mm: f64, high_mm: f64, count: usize) -> Range<usize> {
        let [first, last] = [whole_above(low_mm * self.per_mm), whole_below(high_mm * self.per_mm)];
        first.max(0) as usize..(last.saturating_add(1).max(0) as usize).min(count)
    }

    fn rows_between(&self, low_y: f64, high_y: f64) -> Range<usize> {
        self.between(low_y - self.origin.y, high_y - self.origin.y, self.rows)
    }

    fn row_y(&self, row: usize) -> f64 {
        self.origin.y + row as f64 * self.cell_mm
    }

    /// Sets the cells of one row whose middles lie between two x.
    fn set(&mut self, row: usize, from_x: f64, to_x: f64) {
        self.set_cells(row, self.between(from_x - self.origin.x, to_x - self.origin.x, self.wide));
    }

    fn set_cells(&mut self, row: usize, cells: Range<usize>) {
        let (first, end) = (cells.start, cells.end);
        if first >= end {
            return;
        }
        let bits = &mut self.bits[row * self.words..(row + 1) * self.words];
        let (low, high) = (first / 64, (end - 1) / 64);
        let (head, tail) = (u64::MAX << (first % 64), u64::MAX >> (63 - (end - 1) % 64));
        if low == high {
            bits[low] |= head & tail;
        } else {
            bits[low] |= head;
            bits[low + 1..high].fill(u64::MAX);
            bits[high] |= tail;
        }
    }

    /// Whether the boxes of a segment and of the plan meet.
    pub fn meets(&self, segment: Segment) -> bool {
        let size = Point::new(self.wide as f64, self.rows as f64) * self.cell_mm;
        let (a, b) = (segment.from - self.origin, segment.to - self.origin);
        a.x.max(b.x) >= 0.0 && a.y.max(b.y) >= 0.0 && a.x.min(b.x) <= size.x && a.y.min(b.y) <= size.y
    }

    /// Sets the cells that a strip covers.
    pub fn draw_strip(&mut self, strip: &Strip) {
        let Some(scan) = strip.scan() else { return };
        for row in self.rows_between(scan.low_y, scan.high_y) {
            if let Some((from, to)) = scan.piece_at(self.row_y(row)) {
                self.set(row, from, to);
            }
        }
    }

    /// Sets the cells inside the polygons.
    pub fn draw_polygons(&mut self, polygons: &[Polygon]) {
        // From the row at or above the lower end on, and below that of the upper one, so that a row through a corner meets
        // one of the two edges there or neither or both.
        let row_from = |y: f64| whole_above((y - self.origin.y) * self.per_mm).clamp(0, self.rows as i64);
        let edges = polygons.iter().flat_map(Polygon::rings).flat_map(edges_of);
        let crossed: Vec<(Segment, RangeInclusive<i64>)> = edges
            .map(|edge| (edge, row_from(edge.from.y.min(edge.to.y))..=row_from(edge.from.y.max(edge.to.y)) - 1))
            .collect();
        let mut met = LineLists::for_crossings(crossed.iter().map(|edge| &edge.1));
        for (edge, rows) in crossed {
            let along = edge.to - edge.from;
            let slope = along.x / along.y;
            for row in rows {
                met.add(row, edge.from.x + slope * (self.row_y(row as usize) - edge.from.y));
            }
        }
        let first_row = met.first_line() as usize;
        for (row, line) in (first_row..).zip(met.lines()) {
            line.sort_unstable_by(f64::total_cmp);
            line.chunks_exact(2).for_each(|pair| self.set(row, pair[0], pair[1]));
        }
    }

    /// The cell at a place.
    pub fn cell_at(&self, p: Point) -> Option<(usize, usize)> {
        let place = (p - self.origin) * (1.0 / self.cell_mm);
        let (column, row) = (place.x.round(), place.y.round());
        let within = column >= 0.0 && row >= 0.0 && column < self.wide as f64 && row < self.rows as f64;
        within.then_some((column as usize, row as usize))
    }

    /// Bits of the last word of each row that are no cells become those of `word`; they are unset but while a plan
    /// shrinks.
    pub fn set_beyond(&mut self, word: u64) {
        let (words, mask) = (self.words.max(1), u64::MAX >> ((64 - self.wide % 64) % 64));
        self.bits.iter_mut().skip(words - 1).step_by(words).for_each(|last| *last = *last & mask | word & !mask);
    }

    /// The least window that holds every set cell.
    pub fn set_window(&self) -> Option<Window> {
        let is_set = |row: &usize| self.row(*row).iter().any(|word| *word != 0);
        let (first, last) = ((0..self.rows).find(is_set)?, (0..self.rows).rfind(is_set)?);
        let mut any = vec![0; self.words];
        for row in first..=last {
            any.iter_mut().zip(self.row(row)).for_each(|(any, word)| *any |= word);
        }
        let (left, right) = (any.iter().position(|word| *word != 0)?, any.iter().rposition(|word| *word != 0)?);
        Some(Window { rows: first..last + 1, words: left..right + 1 })
    }

    /// The cells of a window as a plan of their own.
    pub fn cut_out(&self, window: &Window) -> Self {
        let wide = (64 * window.words.end).min(self.wide).saturating_sub(64 * window.words.start);
        let moved = Point::new(64.0 * window.words.start as f64, window.rows.start as f64) * self.cell_mm;
        let mut cut = Self::new(self.origin + moved, self.cell_mm, wide, window.rows.len());
        for (row, into) in window.rows.clone().zip(cut.bits.chunks_exact_mut(window.words.len().max(1))) {
            into.copy_from_slice(&self.row(row)[window.words.clone()]);
        }
        cut
    }

    /// Clears the cells that are set in `other`.
    pub fn take_away(&mut self, other: &Self) {
        self.bits.iter_mut().zip(&other.bits).for_each(|(bits, other)| *bits &= !other);
    }

    /// Clears the cells that are not set in `other`.
    pub fn keep(&mut self, other: &Self) {
        self.bits.iter_mut().zip(&other.bits).for_each(|(bits, other)| *bits &= other);
    }

    /// Sets the cells that are set in `other`.
    pub fn join(&mut self, other: &Self) {
        self.bits.iter_mut().zip(&other.bits).for_each(|(bits, other)| *bits |= other);
    }

    /// The cells of this plan that are not set in `other`.
    pub fn without(&self, other: &Self) -> Self {
        let mut rest = self.clone();
        rest.take_away(other);
        rest
    }

    /// Whether a cell is set; cells count row by row, each row from a multiple of 64 on.
    pub fn is_set(&self, cell: usize) -> bool {
        self.bits.get(cell / 64).is_some_and(|word| word >> (cell % 64) & 1 == 1)
    }

    /// Calls `visit` with every cell that is set, row by row; cells count as in [`BitPlan::is_set`].
    pub fn each_set(&self, mut visit: impl FnMut(usize)) {
        for (i, &word) in self.bits.iter().enumerate() {
            let mut left = word;
            while left != 0 {
                visit(64 * i + left.trailing_zeros() as usize);
                left &= left - 1;
            }
        }
    }

    /// The same cells in a larger plan that begins `left` words and `down` rows before this one.
    pub fn copied_into(&self, mut larger: Self, left: usize, down: usize) -> Self {
        for row in 0..self.rows {
            let at = (row + down) * larger.words + left;
            larger.bits[at..at + self.words].copy_from_slice(self.row(row));
        }
        larger
    }

    /// This plan with cells set of whose eight neighbours six or more are set.
    pub fn without_lone_gaps(&self) -> Self {
        let mut closed = self.clone();
        let none = vec![0; self.words];
        for row in 0..self.rows {
            let above = if row > 0 { self.row(row - 1) } else { &none };
            let below = if row + 1 < self.rows { self.row(row + 1) } else { &none };
            let here = self.row(row);
            for i in 0..self.words {
                let sides = |of: &[u64]| {
                    let before = if i > 0 { of[i - 1] >> 63 } else { 0 };
                    let after = of.get(i + 1).map_or(0, |next| next << 63);
                    [of[i] << 1 | before, of[i] >> 1 | after]
                };
                let ([a, b], [c, d], [e, f]) = (sides(above), sides(here), sides(below));
                closed.bits[row * self.words + i] |= six_or_more([a, above[i], b, c, d, e, below[i], f]);
            }
        }
        closed.set_beyond(0);
        closed
    }

    /// The pieces (cells joined side by side) with one of the `seeds` in them.
    pub fn pieces_with(&self, seeds: &[(usize, usize)]) -> Self {
        let runs = Runs::of(self);
        let mut pieces = runs.joined();
        let mut seeded = vec![false; runs.all.len()];
        for run in seeds.iter().filter_map(|(column, row)| runs.at(*column, *row)) {
            seeded[pieces.root(run)] = true;
        }
        let mut found = self.like();
        for row in 0..self.rows {
            for run in runs.of_row(row).filter(|run| seeded[pieces.root(*run)]) {
                found.set_cells(row, runs.all[run].0..runs.all[run].1);
            }
        }
        found
    }

    /// Area of the set cells, mm².
    pub fn area_mm2(&self) -> f64 {
        let cells: u64 = self.bits.iter().map(|bits| u64::from(bits.count_ones())).sum();
        cells as f64 * self.cell_mm * self.cell_mm
    }
}

/// Of eight times 64 bits, the places at which six or more are set: sums in columns, 64 at once.
fn six_or_more(bits: [u64; 8]) -> u64 {
    let add = |a: u64, b: u64, c: u64| (a ^ b ^ c, (a & b) | (c & (a ^ b)));
    let [a, b, c, d, e, f, g, h] = bits;
    let ((one_a, two_a), (one_b, two_b), (one_c, two_c)) = (add(a, b, c), add(d, e, 0), add(f, g, h));
    let (_, two_d) = add(one_a, one_b, one_c);
    let (two, four_a) = add(two_a, two_b, two_c);
    let (two, four_b) = add(two, two_d, 0);
    let (four, eight) = add(four_a, four_b, 0);
    eight | (four & two)
}

#[cfg(test)]
pub(super) mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    pub fn plan(size: f64, cell_mm: f64) -> BitPlan {
        BitPlan::over(Point::new(0.0, 0.0), Point::new(size, size), cell_mm, 8).unwrap()
    }

    pub fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Polygon {
        let outer = vec![Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)];
        Polygon { outer, holes: Vec::new() }
    }

    #[test]
    fn polygons_and_strips_cover_their_area() {
        let mut drawn = plan(40.0, 0.05);
        let frame = Polygon { holes: vec![rectangle(5.0, 5.0, 9.0, 15.0).outer], ..rectangle(1.0, 2.0, 31.0, 38.0) };
        drawn.draw_polygons(&[frame]);
        // An edge along the cells may lie half a cell off.
        assert!((drawn.area_mm2() / (30.0 * 36.0 - 40.0) - 1.0).abs() < 0.005, "{}", drawn.area_mm2());
        let mut drawn = plan(40.0, 0.05);
        drawn.draw_strip(&Strip { from: Point::new(3.0, 4.0), to: Point::new(33.0, 17.7), width_mm: 2.0 });
        assert!((drawn.area_mm2() / (30.0_f64.hypot(13.7) * 2.0) - 1.0).abs() < 0.005, "{}", drawn.area_mm2());
    }

    #[test]
    fn only_pieces_with_a_seed_count() {
        let mut drawn = plan(80.0, 0.1);
        // A horseshoe that hangs together round its end, and a plate beside it.
        let horseshoe =
            [rectangle(1.0, 1.0, 60.0, 5.0), rectangle(1.0, 9.0, 60.0, 13.0), rectangle(56.0, 1.0, 60.0, 13.0)];
        for part in horseshoe.iter().chain(&[rectangle(62.0, 1.0, 70.0, 9.0)]) {
            drawn.draw_polygons(std::slice::from_ref(part));
        }
        let with = |p: Point| drawn.pieces_with(&[drawn.cell_at(p).unwrap()]).area_mm2();
        assert!((with(Point::new(2.0, 10.0)) / (2.0 * 59.0 * 4.0 + 16.0) - 1.0).abs() < 0.01);
        assert!((with(Point::new(65.0, 5.0)) / 64.0 - 1.0).abs() < 0.03);
        assert_eq!(with(Point::new(30.0, 7.0)), 0.0);
    }

    #[test]
    fn a_window_holds_what_is_set_and_can_be_cut_out() {
        let mut drawn = BitPlan::new(Point::new(0.0, 0.0), 1.0, 300, 40);
        assert_eq!(drawn.set_window(), None);
        drawn.draw_polygons(&[rectangle(69.5, 9.5, 140.5, 20.5)]);
        let window = drawn.set_window().unwrap();
        assert_eq!(window, Window { rows: 10..21, words: 1..3 });
        let wider = window.wider(15, 3, &drawn);
        assert_eq!(wider, Window { rows: 0..36, words: 0..5 });
        let cut = drawn.cut_out(&Window { words: 1..3, ..wider });
        assert_eq!((cut.area_mm2(), cut.cell_at(Point::new(70.0, 10.0))), (drawn.area_mm2(), Some((6, 10))));
    }

    #[test]
    fn bits_are_counted_place_by_place() {
        for pattern in 0..=255_u32 {
            let bits: [u64; 8] = std::array::from_fn(|i| if pattern >> i & 1 == 1 { u64::MAX } else { 0 });
            let want = if pattern.count_ones() >= 6 { u64::MAX } else { 0 };
            assert_eq!(six_or_more(bits), want, "{pattern:b}");
        }
    }

    #[test]
    fn a_lone_gap_closes_and_a_wide_one_does_not() {
        let mut drawn = BitPlan::new(Point::new(0.0, 0.0), 1.0, 70, 9);
        drawn.draw_polygons(&[rectangle(-0.5, -0.5, 69.5, 8.5)]);
        let cell = |column: usize, row: usize| row * 128 + column;
        for gap in [cell(63, 2), cell(5, 5), cell(6, 5), cell(5, 6), cell(6, 6)] {
            drawn.bits[gap / 64] &= !(1 << (gap % 64));
        }
        let closed = drawn.without_lone_gaps();
        assert!(closed.is_set(cell(63, 2)) && !closed.is_set(cell(5, 5)) && !closed.is_set(cell(6, 6)));
        let mut count = 0;
        closed.each_set(|_| count += 1);
        assert_eq!(count, 70 * 9 - 4);
    }

    #[test]
    fn a_plan_without_cells_does_nothing() {
        let mut none = BitPlan::new(Point::new(0.0, 0.0), 1.0, 0, 0);
        none.grow(1, 1);
        none.shrink(1, 1);
        none.draw_polygons(&[rectangle(0.0, 0.0, 9.0, 9.0)]);
        assert_eq!(none.without_lone_gaps(), none);
        assert_eq!((none.pieces_with(&[]).area_mm2(), none.set_window()), (0.0, None));
    }

    #[test]
    fn no_box_is_no_plan() {
        assert!(BitPlan::over(Point::new(0.0, f64::NAN), Point::new(1.0, 1.0), 0.1, 1).is_none());
        assert!(BitPlan::over(Point::new(0.0, 0.0), Point::new(1e6, 1e6), 0.1, 1).unwrap().bits.len() < 2_000_000);
    }
}
