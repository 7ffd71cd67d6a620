//! Loops of a layer: strands that close on themselves, as rings of their centrelines.
//!
//! A wall that was interrupted (a stretch without plastic within the loop) is put together again from its
//! strands, and the missing stretch is kept as a gap.

use crate::deposit::{Layer, Strand};
use crate::geom::{Point, Ring, box_of, ring_length_mm, signed_area};
use crate::profile::Role;

/// A closed centreline and what was laid along it.
#[derive(Debug, Clone)]
pub(super) struct Loop {
    /// Strands it is made of, in print order.
    pub strands: Vec<usize>,
    /// Corners of the centreline.
    pub ring: Ring,
    pub tool: u16,
    /// Width that covers half of the length, mm.
    pub width_mm: f64,
    /// Section that covers half of the length, mm².
    pub area_mm2: f64,
    /// The width changes along it.
    pub uneven: bool,
    pub length_mm: f64,
    /// Area inside the centreline, mm².
    pub enclosed_mm2: f64,
    /// It runs counter-clockwise.
    pub leftwards: bool,
    pub low: Point,
    pub high: Point,
    /// Mean speed along it, mm/s, when times are known.
    pub speed_mm_s: Option<f64>,
    /// Stretches along it without plastic: from and to.
    pub gaps: Vec<(Point, Point)>,
}

impl Loop {
    /// Whether the box of `other` lies within the box of this loop.
    pub fn boxes(&self, other: &Self) -> bool {
        self.low.x <= other.low.x
            && self.low.y <= other.low.y
            && self.high.x >= other.high.x
            && self.high.y >= other.high.y
    }
}

/// The value that half of the weight lies below; 0 when there is no weight.
pub(super) fn weighted_median(mut values: Vec<(f64, f64)>) -> f64 {
    values.retain(|(v, w)| v.is_finite() && *w > 0.0);
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * values.iter().map(|v| v.1).sum::<f64>();
    let mut below = 0.0;
    for (value, weight) in &values {
        below += weight;
        if below >= half {
            return *value;
        }
    }
    0.0
}

/// Ends that are nearer than this share of a width meet.
const ENDS_MEET: f64 = 0.3;

/// A wall may miss a stretch as long as this and still be one loop, mm.
const LONGEST_GAP_MM: f64 = 15.0;

/// A wall is in no more pieces than this.
const MOST_PIECES: usize = 8;

/// A missing stretch must be shorter than this share of the loop.
const GAP_SHARE: f64 = 0.3;

/// Every loop of the layer, whole ones and those put together from interrupted walls.
pub(super) fn loops_of(layer: &Layer) -> Vec<Loop> {
    let mut loops = Vec::new();
    let mut used = vec![false; layer.strands.len()];
    for (index, strand) in layer.strands.iter().enumerate() {
        if strand.closed && belongs(strand) {
            used[index] = true;
            loops.extend(whole(layer, vec![index]));
        }
    }
    for index in 0..layer.strands.len() {
        if used[index] || !belongs(&layer.strands[index]) {
            continue;
        }
        if let Some(last) = interrupted(layer, index, &used) {
            let members: Vec<usize> = (index..=last).collect();
            if let Some(found) = whole(layer, members) {
                used[index..=last].fill(true);
                loops.push(found);
            }
        }
    }
    loops
}

/// A strand that can be a wall of the part.
fn belongs(strand: &Strand) -> bool {
    !strand.ghost && !matches!(strand.role, Role::Adhesion | Role::Purge)
}

/// The last of the strands from `first` on that together go once round with short stretches missing.
fn interrupted(layer: &Layer, first: usize, used: &[bool]) -> Option<usize> {
    let (start, mut end) = ends(layer, &layer.strands[first])?;
    let width = width_of(layer, &layer.strands[first]);
    let mut length = strand_length(layer, &layer.strands[first]);
    let mut missing = 0.0;
    let rest = layer.strands.iter().enumerate().zip(used).skip(first).take(MOST_PIECES);
    for ((last, strand), &is_used) in rest {
        if last > first {
            if is_used || !belongs(strand) || strand.tool != layer.strands[first].tool {
                return None;
            }
            let (from, to) = ends(layer, strand)?;
            missing += end.distance(from);
            length += strand_length(layer, strand);
            end = to;
        }
        if missing > LONGEST_GAP_MM || (width_of(layer, strand) / width - 1.0).abs() > 0.15 {
            return None;
        }
        let closing = end.distance(start);
        let closes = last > first && closing <= ENDS_MEET * width;
        if closes && missing < GAP_SHARE * length && goes_round_once(layer, first..=last) {
            return Some(last);
        }
    }
    None
}

/// Whether the corners of the strands turn once round in all, as a simple loop does and a zigzag does not.
fn goes_round_once(layer: &Layer, strands: std::ops::RangeInclusive<usize>) -> bool {
    let ring = ring_of(layer, &strands.collect::<Vec<_>>());
    let mut turned = 0.0;
    for i in 0..ring.len() {
        let (a, b, c) = (ring[i], ring[(i + 1) % ring.len()], ring[(i + 2) % ring.len()]);
        let (before, after) = (b - a, c - b);
        turned += before.cross(after).atan2(before.dot(after));
    }
    let turns = turned / std::f64::consts::TAU;
    ring.len() >= 3 && (turns.abs() - 1.0).abs() < 0.13
}

fn ends(layer: &Layer, strand: &Strand) -> Option<(Point, Point)> {
    let beads = layer.strand_beads(strand);
    Some((beads.first()?.from, beads.last()?.to))
}

fn strand_length(layer: &Layer, strand: &Strand) -> f64 {
    layer.strand_beads(strand).iter().map(|b| b.length_mm).sum()
}

fn width_of(layer: &Layer, strand: &Strand) -> f64 {
    weighted_median(layer.strand_beads(strand).iter().map(|b| (b.width_mm, b.length_mm)).collect())
}

fn ring_of(layer: &Layer, strands: &[usize]) -> Ring {
    let mut ring: Ring = Vec::new();
    for &index in strands {
        let beads = layer.strand_beads(&layer.strands[index]);
        for point in beads.first().map(|b| b.from).into_iter().chain(beads.iter().map(|b| b.to)) {
            if ring.last().is_none_or(|last| last.distance(point) > 1e-4) {
                ring.push(point);
            }
        }
    }
    while ring.len() > 1 && ring[0].distance(ring[ring.len() - 1]) <= 1e-4 {
        ring.pop();
    }
    ring
}

/// The loop that `strands` make together; `None` when they surround nothing.
fn whole(layer: &Layer, strands: Vec<usize>) -> Option<Loop> {
    let ring = ring_of(layer, &strands);
    let beads = || strands.iter().flat_map(|&s| layer.strand_beads(&layer.strands[s]));
    let (low, high) = box_of(&ring)?;
    let enclosed = signed_area(&ring);
    let width_mm = weighted_median(beads().map(|b| (b.width_mm, b.length_mm)).collect());
    if ring.len() < 3 || enclosed.abs() < 0.25 * width_mm * width_mm || width_mm.is_nan() || width_mm <= 0.0 {
        return None;
    }
    let (length, time): (f64, f64) = beads().fold((0.0, 0.0), |sum, b| (sum.0 + b.length_mm, sum.1 + b.time_s));
    let odd: f64 = beads().filter(|b| (b.width_mm / width_mm - 1.0).abs() > 0.03).map(|b| b.length_mm).sum();
    let gaps = strands
        .windows(2)
        .filter_map(|pair| {
            let (_, from) = ends(layer, &layer.strands[pair[0]])?;
            let (to, _) = ends(layer, &layer.strands[pair[1]])?;
            (from.distance(to) > ENDS_MEET * width_mm).then_some((from, to))
        })
        .collect();
    Some(Loop {
        tool: layer.strands[strands[0]].tool,
        area_mm2: weighted_median(beads().map(|b| (b.area_mm2, b.length_mm)).collect()),
        width_mm,
        uneven: odd > 0.05 * length,
        length_mm: ring_length_mm(&ring),
        enclosed_mm2: enclosed.abs(),
        leftwards: enclosed > 0.0,
        low,
        high,
        speed_mm_s: (time > 0.0).then(|| length / time),
        gaps,
        ring,
        strands,
    })
}
