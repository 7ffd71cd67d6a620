//! A straight piece of path, and a grid that finds the pieces near a place.

use super::{Point, Ring};

/// A straight piece of path between two points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Where it starts, mm.
    pub from: Point,
    /// Where it ends, mm.
    pub to: Point,
}

impl Segment {
    /// From `from` to `to`.
    #[must_use]
    pub const fn new(from: Point, to: Point) -> Self {
        Self { from, to }
    }

    /// Its length, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// Its direction, or `None` when it has no length.
    #[must_use]
    pub fn direction(&self) -> Option<Point> {
        (self.to - self.from).unit()
    }

    /// Half-way along it.
    #[must_use]
    pub fn middle(&self) -> Point {
        self.from.lerp(self.to, 0.5)
    }

    /// The point on it that is nearest to `point`, and the share of the way along where it lies.
    #[must_use]
    pub fn nearest(&self, point: Point) -> (Point, f64) {
        let along = self.to - self.from;
        let square = along.dot(along);
        let share = if square > 0.0 { ((point - self.from).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
        (self.from.lerp(self.to, share), share)
    }

    /// How far along the ray from `start` in `direction` (length 1) this piece is met, mm; `None` when it is not.
    #[must_use]
    pub fn met_by_ray(&self, start: Point, direction: Point) -> Option<f64> {
        let along = self.to - self.from;
        let turn = direction.cross(along);
        if turn.abs() < 1e-12 {
            return None;
        }
        let to_start = self.from - start;
        // Share times turn: most pieces are missed, and are left without a division.
        let across = to_start.cross(direction);
        // A hair beyond both ends, so that no ray slips between two pieces that share a corner.
        if across * (across - turn) > 1e-9 * turn * turn {
            return None;
        }
        let distance = to_start.cross(along) / turn;
        (distance >= 0.0).then_some(distance)
    }
}

/// The edges of a ring, the one from its last corner to its first at the end.
pub fn edges_of(ring: &Ring) -> impl Iterator<Item = Segment> + '_ {
    (0..ring.len()).map(|i| Segment::new(ring[i], ring[(i + 1) % ring.len()]))
}

/// A grid of square cells over the plane that lists, for each cell, the segments that pass through it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SegmentGrid {
    low: Point,
    cell_mm: f64,
    /// Cells in a millimetre.
    per_mm: f64,
    columns: usize,
    rows: usize,
    starts: Vec<u32>,
    entries: Vec<u32>,
}

/// No grid has more cells than this, nor than so many for each segment; cells grow instead.
const MOST_CELLS: (f64, f64) = (4.0e6, 200.0);

impl SegmentGrid {
    /// A grid over `segments` with cells about `cell_mm` wide. Segments are known by their place in the slice.
    #[must_use]
    pub fn new(segments: &[Segment], cell_mm: f64) -> Self {
        let Some((low, high)) = bounds(segments) else { return Self::default() };
        let size = high - low;
        let mut cell_mm = cell_mm.max(1e-3);
        let cells = (size.x / cell_mm + 1.0) * (size.y / cell_mm + 1.0);
        let most = MOST_CELLS.0.min(MOST_CELLS.1 * segments.len() as f64);
        if cells > most {
            cell_mm *= (cells / most).sqrt() * 1.01;
        }
        let (columns, rows) = ((size.x / cell_mm) as usize + 1, (size.y / cell_mm) as usize + 1);
        let per_mm = 1.0 / cell_mm;
        let mut grid =
            Self { low, cell_mm, per_mm, columns, rows, starts: vec![0; columns * rows + 1], entries: Vec::new() };
        grid.fill(segments);
        grid
    }

    /// A grid with about two cells for each segment, but none narrower than `least_mm`.
    #[must_use]
    pub fn by_number(segments: &[Segment], least_mm: f64) -> Self {
        let Some((low, high)) = bounds(segments) else { return Self::default() };
        let size = high - low;
        Self::new(segments, (0.5 * size.x * size.y / segments.len() as f64).sqrt().max(least_mm))
    }

    fn fill(&mut self, segments: &[Segment]) {
        let mut passed: Vec<(u32, u32)> = Vec::with_capacity(2 * segments.len());
        for (index, segment) in segments.iter().enumerate() {
            self.cells_along(segment, |cell| passed.push((cell as u32, index as u32)));
        }
        // Each cell's start first counts its entries, then moves on to its end as they are put in.
        for (cell, _) in &passed {
            self.starts[*cell as usize] += 1;
        }
        let mut total = 0;
        for start in &mut self.starts {
            total += std::mem::replace(start, total);
        }
        self.entries = vec![0; passed.len()];
        for (cell, index) in passed {
            let next = &mut self.starts[cell as usize];
            self.entries[*next as usize] = index;
            *next += 1;
        }
        self.starts.rotate_right(1);
        if let Some(first) = self.starts.first_mut() {
            *first = 0;
        }
    }

    /// Calls `visit` with every cell whose column span the segment crosses (a cell too many does no harm).
    fn cells_along(&self, segment: &Segment, mut visit: impl FnMut(usize)) {
        if !(finite(segment.from) && finite(segment.to)) {
            return;
        }
        let (a, b) =
            if segment.from.x <= segment.to.x { (segment.from, segment.to) } else { (segment.to, segment.from) };
        let (first, last) = (self.column(a.x), self.column(b.x));
        if first == last {
            let (low, high) = (self.row(a.y.min(b.y)), self.row(a.y.max(b.y)));
            return (low..=high).for_each(|row| visit(row * self.columns + first));
        }
        let slope = (b.y - a.y) / (b.x - a.x);
        let (low_y, high_y) = (a.y.min(b.y), a.y.max(b.y));
        let y_at = |x: f64| (a.y + slope * (x - a.x)).clamp(low_y, high_y);
        for column in first..=last {
            let left = (self.low.x + column as f64 * self.cell_mm).max(a.x);
            let right = (self.low.x + (column + 1) as f64 * self.cell_mm).min(b.x);
            let (y0, y1) = (y_at(left), y_at(right));
            for row in self.row(y0.min(y1))..=self.row(y0.max(y1)) {
                visit(row * self.columns + column);
            }
        }
    }

    /// The segments listed in each cell.
    pub(super) fn cells(&self) -> impl Iterator<Item = &[u32]> {
        self.starts.windows(2).map(|ends| &self.entries[ends[0] as usize..ends[1] as usize])
    }

    // Through `u32`, which takes half as long as through `usize`; no grid has as many cells.
    fn column(&self, x: f64) -> usize {
        (((x - self.low.x) * self.per_mm) as u32 as usize).min(self.columns.saturating_sub(1))
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.low.y) * self.per_mm) as u32 as usize).min(self.rows.saturating_sub(1))
    }

    /// Calls `visit` with every segment that may come within `reach_mm` of `point`; some more than once.
    pub fn near(&self, point: Point, reach_mm: f64, visit: impl FnMut(usize)) {
        let reach = Point::new(reach_mm, reach_mm);
        self.in_box(point - reach, point + reach, visit);
    }

    /// Calls `visit` with every segment that may pass through the box; some more than once.
    pub fn in_box(&self, low: Point, high: Point, mut visit: impl FnMut(usize)) {
        self.any_in_box(low, high, |segment| {
            visit(segment);
            false
        });
    }

    /// Whether `holds` says yes of any segment that may pass through the box; it is asked no further then.
    pub fn any_in_box(&self, low: Point, high: Point, mut holds: impl FnMut(usize) -> bool) -> bool {
        if self.columns == 0 || !finite(low) || !finite(high) {
            return false;
        }
        let (first, last) = (self.column(low.x), self.column(high.x));
        (self.row(low.y)..=self.row(high.y)).any(|row| {
            // The cells of a row lie one behind the other.
            let cells = row * self.columns;
            let listed = self.starts[cells + first] as usize..self.starts[cells + last + 1] as usize;
            self.entries[listed].iter().any(|&entry| holds(entry as usize))
        })
    }
}

fn finite(point: Point) -> bool {
    point.x.is_finite() && point.y.is_finite()
}

fn bounds(segments: &[Segment]) -> Option<(Point, Point)> {
    let mut points = segments.iter().flat_map(|s| [s.from, s.to]).filter(|p| finite(*p));
    let first = points.next()?;
    Some(points.fold((first, first), |(low, high), p| {
        (Point::new(low.x.min(p.x), low.y.min(p.y)), Point::new(high.x.max(p.x), high.y.max(p.y)))
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn nearest_point_and_ray_on_a_slanted_segment() {
        let segment = Segment::new(Point::new(1.0, 2.0), Point::new(5.0, 5.0));
        let (at, share) = segment.nearest(Point::new(1.0, 7.0));
        assert_relative_eq!(share, 15.0 / 25.0, epsilon = 1e-12);
        assert_relative_eq!(at.x, 3.4, epsilon = 1e-12);
        assert_relative_eq!(at.y, 3.8, epsilon = 1e-12);
        let met = segment.met_by_ray(Point::new(3.0, 0.0), Point::new(0.0, 1.0)).expect("it is met");
        assert_relative_eq!(met, 3.5, epsilon = 1e-12);
        assert!(segment.met_by_ray(Point::new(6.0, 0.0), Point::new(0.0, 1.0)).is_none());
        assert!(segment.met_by_ray(Point::new(3.0, 9.0), Point::new(0.0, 1.0)).is_none());
    }

    /// A hair of a billionth of its length beyond both ends it is met, a thousand times as far it is not.
    #[test]
    fn a_ray_meets_a_segment_up_to_a_hair_beyond_its_ends() {
        let segment = Segment::new(Point::new(-20.0, 6.0), Point::new(60.0, 6.0));
        let up = |x: f64| segment.met_by_ray(Point::new(x, 1.0), Point::new(0.0, 1.0));
        for (end, beyond) in [(-20.0, -1.0), (60.0, 1.0)] {
            assert_eq!(up(end), Some(5.0));
            assert_eq!(up(end + beyond * 4e-8), Some(5.0));
            assert_eq!(up(end + beyond * 8e-5), None);
            assert_eq!(up(end - beyond * 30.0), Some(5.0));
        }
    }

    /// 12 x 9 mm with 40 pieces in it: 80 cells would be 1.16 mm wide, so there are 11 x 8.
    #[test]
    fn cells_follow_the_number_of_segments() {
        let rows = (0..40).map(|i| f64::from(i) * 9.0 / 39.0);
        let segments: Vec<Segment> =
            rows.map(|y| Segment::new(Point::new(3.0, 2.0 + y), Point::new(15.0, 2.0 + y))).collect();
        assert_eq!(SegmentGrid::by_number(&segments, 0.1).cells().count(), 11 * 8);
        assert_eq!(SegmentGrid::by_number(&segments, 2.0).cells().count(), 7 * 5);
        assert_eq!(SegmentGrid::by_number(&[], 2.0).cells().count(), 0);
    }

    #[test]
    fn nothing_and_nonsense_make_an_empty_grid() {
        let mut seen = 0;
        SegmentGrid::new(&[], 1.0).near(Point::default(), 5.0, |_| seen += 1);
        let bad = Segment::new(Point::new(f64::NAN, 0.0), Point::new(1.0, f64::INFINITY));
        SegmentGrid::new(&[bad], 1.0).near(Point::default(), 5.0, |_| seen += 1);
        let whole = SegmentGrid::new(&[Segment::new(Point::default(), Point::new(1.0, 1.0))], 1.0);
        whole.in_box(Point::new(f64::NAN, 0.0), Point::new(1.0, 1.0), |_| seen += 1);
        whole.in_box(Point::default(), Point::new(1.0, f64::NAN), |_| seen += 1);
        assert_eq!(seen, 0);
    }

    proptest! {
        #[test]
        fn the_grid_finds_every_segment_within_reach(
            ends in prop::collection::vec((-40.0f64..60.0, -9.0f64..30.0, -40.0f64..60.0, -9.0f64..30.0), 1..40),
            x in -50.0f64..70.0, y in -20.0f64..40.0, reach in 0.1f64..9.0, cell in 0.2f64..8.0,
        ) {
            let segments: Vec<Segment> =
                ends.iter().map(|e| Segment::new(Point::new(e.0, e.1), Point::new(e.2, e.3))).collect();
            let grid = SegmentGrid::new(&segments, cell);
            let at = Point::new(x, y);
            let mut found = vec![false; segments.len()];
            grid.near(at, reach, |i| found[i] = true);
            for (index, segment) in segments.iter().enumerate() {
                if segment.nearest(at).0.distance(at) <= reach {
                    prop_assert!(found[index], "segment {index} was missed");
                }
            }
        }
    }
}
