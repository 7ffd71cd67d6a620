//! Loops that are fill: a sparse core whose lines follow the walls.
//!
//! ```text
//!   wall wall wall     line      line      line
//!     |-s-|-s-|----g----|----g----|----g----|        g is steady and wider than s
//! ```
//!
//! The walls of a hole would come as many at a time as the walls outside; lines of a core come one by one, at a
//! steady distance from what is round them.

use super::loops::weighted_median;
use super::nest::{Between, Nest};
use super::outline::Spacing;
use crate::geom::{Point, Segment, nest as nest_rings, offset};

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
        if against_a_wall(nest, i, spacing) {
            continue;
        }
        let goes_on = nest.children[i].iter().any(|&c| same(i, c));
        let lone =
            band_length(nest, &lines, parent) >= 2 && nest.between[i] != Between::Fill && no_second(nest, i, spacing);
        lines[i] =
            if lines[parent] { same(i, parent) || goes_on || nest.children[i].is_empty() } else { goes_on || lone };
    }
    add_lines_round_holes(nest, fill_mm, spacing, &gaps, &mut lines);
    lines
}

/// Round a hole the lines run the other way about: from the hole outwards, until they meet those that come in from
/// the walls at any distance. Every loop beside lines with no wall against it is a line too, but the wall of a hole.
fn add_lines_round_holes(nest: &Nest, fill_mm: &[f64], spacing: Spacing, gaps: &[Option<f64>], lines: &mut [bool]) {
    let pairs: Vec<(f64, f64)> = (0..lines.len())
        .filter(|&i| lines[i] && nest.parent[i].is_some_and(|p| lines[p]))
        .filter_map(|i| Some((gaps[i]?, nest.loops[i].length_mm)))
        .collect();
    if pairs.is_empty() {
        return;
    }
    let apart_mm = weighted_median(pairs);
    // The first line lies nearer to the walls than the next to it, or further off.
    for i in (0..lines.len()).rev() {
        let goes_on = nest.children[i].iter().any(|&c| lines[c]);
        lines[i] |= goes_on && nest.parent[i].is_some() && fill_mm[i] <= 0.0 && !against_a_wall(nest, i, spacing);
    }
    for i in 0..lines.len() {
        let beside_lines = nest.parent[i].is_some_and(|p| lines[p]);
        if lines[i] || fill_mm[i] > 0.0 || !beside_lines || against_a_wall(nest, i, spacing) {
            continue;
        }
        lines[i] = true;
    }
    // A hole's only wall is the last of its loops.
    for (i, line) in lines.iter_mut().enumerate() {
        *line &= !nest.children[i].is_empty() || !is_wall_of_hole(nest, i, apart_mm, gaps[i], spacing);
    }
}

/// Whether a loop within loop `i`, or the loop round it, lies as near as a wall along most of it.
fn against_a_wall(nest: &Nest, i: usize, spacing: Spacing) -> bool {
    let reach = WIDER_THAN_WALLS * spacing.pitch_mm(nest.loops[i].area_mm2);
    let others = || nest.children[i].iter().chain(nest.parent[i].iter());
    let spots: Vec<Point> = spots(&nest.loops[i].ring).collect();
    let near = |p: &&Point| others().any(|&o| distance_to(&nest.loops[o].ring, **p) < reach);
    2 * spots.iter().filter(near).count() > spots.len()
}

/// A last loop with lines round it is the wall of a hole when a further line had room in it, or, in a part of single
/// walls, when it lies nearer to its line than lines to each other.
fn is_wall_of_hole(nest: &Nest, i: usize, apart_mm: f64, gap: Option<f64>, spacing: Spacing) -> bool {
    let l = &nest.loops[i];
    let room = !offset(&nest_rings(std::slice::from_ref(&l.ring)), -1.1 * apart_mm).is_empty();
    let root = std::iter::successors(Some(i), |&p| nest.parent[p]).last().unwrap_or(i);
    room || (gap.is_some_and(|gap| gap < 0.85 * apart_mm) && !against_a_wall(nest, root, spacing))
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
    let beside: Vec<usize> = nest.children[parent].iter().copied().filter(|&c| c != i).chain([parent]).collect();
    let (low, gap, high) = distances(nest, i, &beside)?;
    let steady = high < STEADY * low;
    (steady && gap > WIDER_THAN_WALLS * pitch && gap < WIDEST * pitch).then_some(gap)
}

/// How far loop `i` lies from the nearest of the loops `others`: 10th percentile, median and 90th.
fn distances(nest: &Nest, i: usize, others: &[usize]) -> Option<(f64, f64, f64)> {
    let nearest = |p: Point| others.iter().map(|&o| distance_to(&nest.loops[o].ring, p)).fold(f64::INFINITY, f64::min);
    let mut distances: Vec<f64> = spots(&nest.loops[i].ring).map(nearest).collect();
    distances.sort_by(f64::total_cmp);
    let at = |tenths: usize| distances.get(distances.len() * tenths / 10).copied();
    Some((at(1)?, at(5)?, at(9)?))
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
