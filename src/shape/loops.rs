//! Loops of a layer: strands that close on themselves, as rings of their centrelines.
//!
//! A wall that was interrupted (a stretch without plastic within the loop) is put together again from its
//! strands (`broken`), and the missing stretch is kept as a gap.

use super::broken::broken_loops;
use crate::deposit::{Layer, Strand};
use crate::geom::{Point, Ring, box_of, ring_length_mm, signed_area};

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
    /// Section from each corner of the ring to the next, mm².
    pub areas_mm2: Vec<f64>,
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
    /// Stretches along it without plastic.
    pub gaps: Vec<Missing>,
}

/// A stretch of a loop without plastic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Missing {
    pub from: Point,
    pub to: Point,
    /// Half-way along the bow that goes on from both ends as the loop does.
    pub middle: Point,
    /// A width on from either end, the way the loop would go on.
    pub further: [Point; 2],
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
    crate::geom::weighted_median(&mut values).unwrap_or(0.0)
}

/// Ends that are nearer than this share of a width meet.
pub(super) const ENDS_MEET: f64 = 0.3;

/// A bead with less than this share of its loop's usual section is no bead: a stretch run dry.
const DRY: f64 = 0.25;

/// Points nearer than this are one, mm.
const SAME_POINT_MM: f64 = 1e-4;

/// Every loop of the layer, whole ones and those put together from interrupted walls, without strands `beside` the
/// part.
pub(super) fn loops_of(layer: &Layer, beside: &[bool]) -> Vec<Loop> {
    // What is taken, or can not be a wall of the part.
    let mut used: Vec<bool> = layer.strands.iter().zip(beside).map(|(s, beside)| s.ghost || *beside).collect();
    let mut loops = Vec::new();
    for (index, strand) in layer.strands.iter().enumerate() {
        if strand.closed && !used[index] {
            used[index] = true;
            loops.extend(Loop::new(layer, vec![index]));
        }
    }
    let broken = broken_loops(layer, &used, &loops);
    loops.extend(broken);
    loops
}

pub(super) fn ends(layer: &Layer, strand: &Strand) -> Option<(Point, Point)> {
    let beads = layer.strand_beads(strand);
    Some((beads.first()?.from, beads.last()?.to))
}

/// The strands one after the other as a ring: corners, and the section from each corner to the next (`None`
/// where the way from one strand to another is without plastic).
pub(super) fn ring_of(layer: &Layer, strands: &[usize]) -> (Ring, Vec<Option<f64>>) {
    let (mut ring, mut areas): (Ring, Vec<Option<f64>>) = (Vec::new(), Vec::new());
    let mut push = |point: Point, area: Option<f64>| {
        if ring.last().is_none_or(|last| last.distance(point) > SAME_POINT_MM) {
            if !ring.is_empty() {
                areas.push(area);
            }
            ring.push(point);
        }
    };
    for &index in strands {
        let beads = layer.strand_beads(&layer.strands[index]);
        if let Some(first) = beads.first() {
            push(first.from, None);
        }
        for bead in beads {
            push(bead.to, Some(bead.area_mm2));
        }
    }
    if ring.len() > 1 && ring[0].distance(ring[ring.len() - 1]) <= SAME_POINT_MM {
        ring.pop();
    } else {
        areas.push(None);
    }
    (ring, areas)
}

impl Loop {
    /// The loop that `strands` make together; `None` when they surround nothing.
    pub fn new(layer: &Layer, strands: Vec<usize>) -> Option<Self> {
        let (mut ring, mut areas) = ring_of(layer, &strands);
        let beads = || strands.iter().flat_map(|&s| layer.strand_beads(&layer.strands[s]));
        let (low, high) = box_of(&ring)?;
        let enclosed = signed_area(&ring);
        let width_mm = weighted_median(beads().map(|b| (b.width_mm, b.length_mm)).collect());
        let area_mm2 = weighted_median(beads().map(|b| (b.area_mm2, b.length_mm)).collect());
        if ring.len() < 3 || enclosed.abs() < 0.25 * width_mm * width_mm || width_mm.is_nan() || width_mm <= 0.0 {
            return None;
        }
        let gaps = dry_stretches(&ring, &areas, DRY * area_mm2, width_mm);
        gaps.iter().for_each(|gap| bend(&mut ring, &mut areas, gap));
        let enclosed = signed_area(&ring);
        let (length, time): (f64, f64) = beads().fold((0.0, 0.0), |sum, b| (sum.0 + b.length_mm, sum.1 + b.time_s));
        let odd: f64 = beads().filter(|b| (b.width_mm / width_mm - 1.0).abs() > 0.03).map(|b| b.length_mm).sum();
        Some(Self {
            tool: layer.strands.get(*strands.first()?)?.tool,
            gaps,
            areas_mm2: areas.into_iter().map(|a| a.filter(|a| *a > DRY * area_mm2).unwrap_or(area_mm2)).collect(),
            area_mm2,
            width_mm,
            uneven: odd > 0.05 * length,
            length_mm: ring_length_mm(&ring),
            enclosed_mm2: enclosed.abs(),
            leftwards: enclosed > 0.0,
            low,
            high,
            speed_mm_s: (time > 0.0).then(|| length / time),
            ring,
            strands,
        })
    }
}

/// Stretches along the ring with less than `least_mm2` of section, if its ends do not meet.
fn dry_stretches(ring: &Ring, areas: &[Option<f64>], least_mm2: f64, width_mm: f64) -> Vec<Missing> {
    let count = ring.len();
    let dry = |i: usize| areas[i % count].is_none_or(|a| a < least_mm2);
    let Some(wet) = (0..count).find(|&i| !dry(i)) else { return Vec::new() };
    let mut stretches = Vec::new();
    let mut start: Option<usize> = None;
    for i in wet..=wet + count {
        match (dry(i), start) {
            (true, None) => start = Some(i),
            (false, Some(from)) => {
                let length: f64 = (from..i).map(|k| ring[k % count].distance(ring[(k + 1) % count])).sum();
                if length > ENDS_MEET * width_mm {
                    stretches.push(missing(ring, from % count, i % count, width_mm));
                }
                start = None;
            }
            _ => {}
        }
    }
    stretches
}

/// The stretch between two corners of the ring. Its middle is that of the cubic that leaves and arrives as the ring
/// does (Hermite's form: half-way between the ends, and an eighth of the chord times the change of direction).
fn missing(ring: &Ring, from: usize, to: usize, width_mm: f64) -> Missing {
    let count = ring.len();
    let leaving = (ring[from] - ring[(from + count - 1) % count]).unit();
    let arriving = (ring[(to + 1) % count] - ring[to]).unit();
    let (leaving, arriving) = leaving.zip(arriving).unwrap_or_default();
    let (from, to) = (ring[from], ring[to]);
    let middle = from.lerp(to, 0.5) + (leaving - arriving) * (0.125 * from.distance(to));
    Missing { from, to, middle, further: [from + leaving * width_mm, to - arriving * width_mm] }
}

/// Leads the ring over the middle of a missing stretch instead of straight across.
fn bend(ring: &mut Ring, areas: &mut Vec<Option<f64>>, gap: &Missing) {
    let count = ring.len();
    let straight = (0..count).find(|&i| ring[i] == gap.from && ring[(i + 1) % count] == gap.to);
    if let Some(i) = straight.filter(|_| gap.middle.distance(gap.from.lerp(gap.to, 0.5)) > SAME_POINT_MM) {
        ring.insert(i + 1, gap.middle);
        areas.insert(i + 1, areas[i]);
    }
}

#[cfg(test)]
#[path = "loops_tests.rs"]
mod tests;
