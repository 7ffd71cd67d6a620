//! What is printed on a first layer only to hold or to prime: skirt and brim.
//!
//! A skirt stands clear round everything and is not there in the layers above. A brim lies against the part;
//! the layer above tells where the part's own outer wall is.

use super::loops::Loop;
use super::nest::Nest;
use crate::geom::{Point, Segment, SegmentGrid};

/// A loop retraces another when its corners lie within this share of a width of it.
const RETRACES: f64 = 0.45;

/// Loops of `nest` (by place in it) that are skirt or brim, when `above` are the loops of a layer above.
pub(super) fn adhesion_loops(nest: &Nest, above: &[Loop]) -> Vec<bool> {
    let count = nest.loops.len();
    let mut extra = vec![false; count];
    if above.is_empty() {
        return extra;
    }
    let lines: Vec<Segment> = above.iter().flat_map(|l| super::walls::ring_segments(&l.ring)).collect();
    let grid = SegmentGrid::new(&lines, 2.0);
    let kept: Vec<bool> = nest.loops.iter().map(|l| is_retraced(l, &lines, &grid)).collect();
    for i in 0..count {
        // Only loops with no wall of the layer above on them, outside of one that has.
        if kept[i] || chain(nest, i).any(|outer| kept[outer]) {
            continue;
        }
        let first_kept = inside(nest, i).filter(|&k| kept[k]).map(|k| nest.loops[k].strands[0]).min();
        let Some(first_kept) = first_kept else { continue };
        extra[i] = nest.loops[i].strands[0] < first_kept;
    }
    extra
}

/// Loops round `i`, innermost first.
fn chain(nest: &Nest, i: usize) -> impl Iterator<Item = usize> + '_ {
    std::iter::successors(nest.parent[i], |&p| nest.parent[p])
}

/// Loops within `i`.
fn inside(nest: &Nest, i: usize) -> impl Iterator<Item = usize> + '_ {
    let mut open = nest.children[i].clone();
    std::iter::from_fn(move || {
        let next = open.pop()?;
        open.extend(&nest.children[next]);
        Some(next)
    })
}

fn is_retraced(l: &Loop, lines: &[Segment], grid: &SegmentGrid) -> bool {
    let reach = RETRACES * l.width_mm;
    let spots: Vec<Point> =
        super::walls::ring_segments(&l.ring).filter(|s| s.length_mm() > 0.0).map(|s| s.middle()).collect();
    let mut met = 0;
    for &spot in &spots {
        let mut near = false;
        grid.near(spot, reach, |i| near |= lines[i].nearest(spot).0.distance(spot) <= reach);
        met += usize::from(near);
    }
    2 * met > spots.len()
}
