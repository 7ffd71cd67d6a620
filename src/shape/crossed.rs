//! Whether lines run straight across a path: none does across a wall.
//!
//! ```text
//!     \   /              lines of a joined core may go once round, and end not far from where they began;
//!   ===\=/===            others of the core cross them
//!       X
//! ```

use crate::deposit::Layer;
use crate::geom::{Point, Segment, SegmentGrid};
use std::cell::OnceCell;

/// A line goes on beyond a wall by this many widths on both sides to lie across it; fill that overlaps it does not.
const BEYOND: f64 = 1.0;

/// So many lines across are no accident.
const LEAST_LINES: usize = 3;

/// Every straight piece of a layer, ready to be asked for.
pub(super) struct Crossings<'a> {
    layer: &'a Layer,
    /// Segments, the strand each belongs to, and where they lie; made when first asked for.
    all: OnceCell<(Vec<Segment>, Vec<usize>, SegmentGrid)>,
}

impl<'a> Crossings<'a> {
    pub fn new(layer: &'a Layer) -> Self {
        Self { layer, all: OnceCell::new() }
    }

    /// Whether lines of other strands run across these strands.
    pub fn run_across(&self, strands: &[usize], width_mm: f64) -> bool {
        let (segments, owners, grid) = self.all.get_or_init(|| self.spread_out(width_mm));
        let mut across: Vec<usize> = Vec::new();
        for bead in strands.iter().flat_map(|&s| self.layer.strand_beads(&self.layer.strands[s])) {
            let (low, high) = (
                Point::new(bead.from.x.min(bead.to.x), bead.from.y.min(bead.to.y)),
                Point::new(bead.from.x.max(bead.to.x), bead.from.y.max(bead.to.y)),
            );
            grid.in_box(low, high, |i| {
                if !strands.contains(&owners[i])
                    && lies_across(segments[i], Segment::new(bead.from, bead.to), BEYOND * width_mm)
                {
                    across.push(i);
                }
            });
        }
        across.sort_unstable();
        across.dedup();
        across.len() >= LEAST_LINES
    }

    fn spread_out(&self, width_mm: f64) -> (Vec<Segment>, Vec<usize>, SegmentGrid) {
        let (mut segments, mut owners) = (Vec::new(), Vec::new());
        for (number, strand) in self.layer.strands.iter().enumerate() {
            let beads = self.layer.strand_beads(strand).iter().filter(|b| b.length_mm > 2.0 * BEYOND * width_mm);
            segments.extend(beads.map(|b| Segment::new(b.from, b.to)));
            owners.resize(segments.len(), number);
        }
        let grid = SegmentGrid::new(&segments, (4.0 * width_mm).clamp(0.5, 8.0));
        (segments, owners, grid)
    }
}

/// Whether `line` meets `wall` with more than `beyond_mm` of itself on either side.
fn lies_across(line: Segment, wall: Segment, beyond_mm: f64) -> bool {
    let Some(along) = line.direction() else { return false };
    let (a, b) = (along.cross(wall.from - line.from), along.cross(wall.to - line.from));
    if a * b >= 0.0 {
        return false;
    }
    let met = wall.from.lerp(wall.to, a / (a - b));
    let station = along.dot(met - line.from);
    station > beyond_mm && station < line.length_mm() - beyond_mm
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(a: (f64, f64), b: (f64, f64)) -> Segment {
        Segment::new(Point::new(a.0, a.1), Point::new(b.0, b.1))
    }

    #[test]
    fn across_is_through_and_well_beyond() {
        let wall = segment((0.0, 0.0), (10.0, 0.0));
        assert!(lies_across(segment((3.0, -4.0), (5.0, 4.0)), wall, 0.5));
        assert!(!lies_across(segment((3.0, -4.0), (3.0, 0.3)), wall, 0.5), "ends in the wall");
        assert!(!lies_across(segment((3.0, 1.0), (5.0, 4.0)), wall, 0.5), "stays beside it");
        assert!(!lies_across(segment((13.0, -4.0), (15.0, 4.0)), wall, 0.5), "passes its end");
    }
}
