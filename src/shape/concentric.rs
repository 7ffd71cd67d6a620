//! Loops that are fill: a sparse core whose lines follow the walls.
//!
//! ```text
//!   wall wall wall     line      line      line
//!     |-s-|-s-|----g----|----g----|----g----|        g is steady and wider than s
//! ```
//!
//! The walls of a hole would come as many at a time as the walls outside; lines of a core come one by one, at a
//! steady distance from what is round them.

use super::nest::{Between, Nest};
use super::outline::Spacing;
use crate::geom::{Point, Segment};

/// Lines of a core lie further apart than this many pitches; walls do not.
pub(super) const WIDER_THAN_WALLS: f64 = 1.25;

/// And nearer than this many (a core of 6 %).
const WIDEST: f64 = 16.0;

/// Distances that differ by no more than this factor are one distance.
const STEADY: f64 = 1.35;

/// For each loop whether it is a line of a core.
pub(super) fn concentric_lines(nest: &Nest, fill_mm: &[f64], spacing: Spacing) -> Vec<bool> {
    let count = nest.loops.len();
    let gaps: Vec<Option<f64>> = (0..count).map(|i| gap_outside(nest, i, fill_mm, spacing)).collect();
    let same = |a: usize, b: usize| match (gaps[a], gaps[b]) {
        (Some(x), Some(y)) => x.max(y) < STEADY * x.min(y),
        _ => false,
    };
    let mut lines = vec![false; count];
    // Parents come before their children.
    for i in 0..count {
        let (Some(_), Some(parent)) = (gaps[i], nest.parent[i]) else { continue };
        let goes_on = nest.children[i].iter().any(|&c| same(i, c));
        let lone =
            band_length(nest, &lines, parent) >= 2 && nest.between[i] != Between::Fill && no_second(nest, i, spacing);
        lines[i] =
            if lines[parent] { same(i, parent) || goes_on || nest.children[i].is_empty() } else { goes_on || lone };
    }
    lines
}

/// Walls that lie against each other from `i` outwards.
fn band_length(nest: &Nest, lines: &[bool], i: usize) -> usize {
    let walls = |p: &usize| nest.between[*p] == Between::Walls && !lines[*p];
    1 + std::iter::successors(nest.parent[i], |&p| nest.parent[p]).take_while(walls).count()
}

/// No further wall lies against loop `i` on its inside.
fn no_second(nest: &Nest, i: usize, spacing: Spacing) -> bool {
    let limit = WIDER_THAN_WALLS * spacing.pitch_mm(nest.loops[i].area_mm2);
    nest.children[i].is_empty() && nest.mean_pitch_mm(i) > 0.0 || nest.mean_pitch_mm(i) > limit
}

/// The steady distance of loop `i` from the loop round it, if it is steady and wider than between walls.
fn gap_outside(nest: &Nest, i: usize, fill_mm: &[f64], spacing: Spacing) -> Option<f64> {
    let parent = nest.parent[i]?;
    // Neighbours of different width lie at the mean of their pitches.
    let pitch = 0.5 * spacing.pitch_mm(nest.loops[i].area_mm2 + nest.loops[parent].area_mm2);
    if fill_mm[parent] > 0.0 || fill_mm[i] > 0.0 {
        return None;
    }
    let round = &nest.loops[parent].ring;
    let mut distances: Vec<f64> = spots(&nest.loops[i].ring).map(|p| distance_to(round, p)).collect();
    distances.sort_by(f64::total_cmp);
    let (low, high) = (*distances.get(distances.len() / 10)?, *distances.get(distances.len() * 9 / 10)?);
    let gap = *distances.get(distances.len() / 2)?;
    let steady = high < STEADY * low;
    (steady && gap > WIDER_THAN_WALLS * pitch && gap < WIDEST * pitch).then_some(gap)
}

/// About 24 points spread over the middles of a ring's pieces.
fn spots(ring: &[Point]) -> impl Iterator<Item = Point> + '_ {
    let step = (ring.len() / 24).max(1);
    (0..ring.len()).step_by(step).map(|i| ring[i].lerp(ring[(i + 1) % ring.len()], 0.5))
}

fn distance_to(ring: &[Point], point: Point) -> f64 {
    (0..ring.len())
        .map(|i| Segment::new(ring[i], ring[(i + 1) % ring.len()]).nearest(point).0.distance(point))
        .fold(f64::INFINITY, f64::min)
}
