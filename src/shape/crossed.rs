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
    use super::super::fixture::{Laid, ring};
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

    /// A wall along x that goes once round a corner, and lines of other strands; beads are 0.45 mm wide.
    fn is_crossed(lines: &[[(f64, f64); 2]]) -> bool {
        let mut laid = Laid::new(0.45, 0.2);
        laid.strand(&ring(&[(0.0, 0.0), (10.0, 0.0), (10.0, 3.0)]), false);
        for line in lines {
            laid.strand(&ring(line), false);
        }
        Crossings::new(&laid.layer).run_across(&[0], 0.45)
    }

    #[test]
    fn three_lines_that_run_through_a_strand_are_no_accident() {
        let upright = |x: f64| [(x, -4.0), (x, 4.0)];
        assert!(is_crossed(&[2.0, 5.0, 8.0].map(upright)));
        assert!(!is_crossed(&[2.0, 8.0].map(upright)));
        // One that crosses both of its pieces is one line.
        let round_the_corner = |x: f64| [(x, -2.0), (x + 5.0, 3.0)];
        assert!(!is_crossed(&[7.0, 7.5].map(round_the_corner)));
        assert!(is_crossed(&[6.8, 7.2, 7.6].map(round_the_corner)));
    }

    /// A width is 0.45 mm.
    #[test]
    fn a_line_that_ends_within_a_width_of_a_strand_does_not_run_through_it() {
        let upright = |beyond: f64| [2.0, 5.0, 8.0].map(|x| [(x, -4.0), (x, beyond)]);
        assert!(is_crossed(&upright(0.5)));
        assert!(!is_crossed(&upright(0.4)));
        let downright = |beyond: f64| [2.0, 5.0, 8.0].map(|x| [(x, -beyond), (x, 4.0)]);
        assert!(is_crossed(&downright(0.5)));
        assert!(!is_crossed(&downright(0.4)));
    }

    #[test]
    fn a_strand_does_not_run_across_itself() {
        let mut laid = Laid::new(0.45, 0.2);
        let knot = [(0.0, 0.0), (10.0, 0.0), (8.0, 4.0), (8.0, -4.0), (5.0, -4.0), (5.0, 4.0), (2.0, 4.0), (2.0, -4.0)];
        laid.strand(&ring(&knot), false);
        assert!(!Crossings::new(&laid.layer).run_across(&[0], 0.45));
        laid.strand(&ring(&[(0.0, 1.0), (10.0, 1.0)]), false);
        assert!(Crossings::new(&laid.layer).run_across(&[1], 0.45));
        // Nor across what it makes a loop with.
        assert!(!Crossings::new(&laid.layer).run_across(&[0, 1], 0.45));
    }

    /// What begins on the wall or runs along it does not run through it.
    #[test]
    fn a_line_from_the_end_of_a_wall_does_not_run_across_it() {
        let wall = segment((0.0, 0.0), (10.0, 0.0));
        assert!(!lies_across(segment((10.0, -4.0), (10.0, 4.0)), wall, 0.5));
        assert!(!lies_across(segment((-5.0, 0.0), (15.0, 0.0)), wall, 0.5));
        assert!(lies_across(segment((9.9, 4.0), (9.9, -4.0)), wall, 0.5));
    }
}
