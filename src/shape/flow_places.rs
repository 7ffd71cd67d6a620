//! Places within a layer where beads get much less or more plastic than the same beads get elsewhere in it.
//!
//! ```text
//!   ----------======----------    wall        =  starved beads: all that cross the place, whatever they are for
//!   ---------========---------    wall
//!      \      \\     \      \     core
//! ```
//!
//! A bead that is narrow because its lane is narrow touches its neighbours all the same and is no fault; nor is one
//! strand that changes alone, or a few that change in different places. So a place counts when several strands are
//! off, and nearly all of the plastic there is.

use super::layer_shape::FlowPlace;
use super::loops::weighted_median;
use crate::deposit::Layer;
use crate::geom::{Point, Segment, SegmentGrid};
use crate::profile::Role;
use std::collections::BTreeMap;

/// Below this share of the usual section a bead is starved, above the other it is swollen (as for whole layers).
const STARVED: f64 = 0.85;
/// See [`STARVED`].
const SWOLLEN: f64 = 1.2;

/// With less than this share nothing is laid to speak of: a gap, or a lap without flow.
const DRY: f64 = 0.25;

/// Flow over what the distance to a neighbour asks for: within these a bead fills its lane (real files: 0.95 to 1.1).
const FILLS_LANE: std::ops::Range<f64> = 0.9..1.14;

/// Neighbours are looked for within this many usual widths.
const LANE: f64 = 1.6;

/// Cosine of 20 degrees.
const PARALLEL: f64 = 0.94;

/// Beads that are off within this distance of each other belong to one place, mm: lines of a sparse core lie as far
/// apart.
const LINK_MM: f64 = 6.0;

/// A place holds at least this much path that is off, mm, in so many strands.
const LEAST_MM: f64 = 8.0;
/// See [`LEAST_MM`].
const LEAST_STRANDS: usize = 3;

/// Of all path at the place at least this share is off.
const LEAST_SHARE: f64 = 0.7;

/// Straight pieces are looked at in steps of this, mm.
const STEP_MM: f64 = 1.0;

/// A short piece of a bead.
#[derive(Debug, Clone, Copy)]
struct Spot {
    at: Point,
    strand: usize,
    length_mm: f64,
    /// Which way the bead runs.
    along: Point,
    area_mm2: f64,
    /// Section over the usual one of its role.
    share: f64,
}

/// Starved and swollen places of a layer, starved ones first.
pub(super) fn flow_places(layer: &Layer, roles: &[Role]) -> Vec<FlowPlace> {
    let usual = usual_sections(layer, roles);
    if odd_mm(layer, roles, &usual) < LEAST_MM {
        return Vec::new();
    }
    let spots = spots(layer, roles, &usual);
    let lanes = Lanes::new(layer, roles);
    let off = |wanted: fn(f64) -> bool| -> Vec<Spot> {
        spots.iter().filter(|s| wanted(s.share) && !lanes.fills(s)).copied().collect()
    };
    let starved = off(|share| share > DRY && share < STARVED);
    let swollen = off(|share| share > SWOLLEN);
    let clusters = |of: &[Spot]| -> Vec<FlowPlace> { linked(of).iter().filter_map(|c| place(c, &spots)).collect() };
    [clusters(&starved), clusters(&swollen)].concat()
}

fn has_usual_section(role: Role) -> bool {
    matches!(role, Role::OuterWall | Role::InnerWall | Role::SparseInfill | Role::SolidInfill)
}

fn usual_sections(layer: &Layer, roles: &[Role]) -> BTreeMap<Role, f64> {
    let mut sections: BTreeMap<Role, Vec<(f64, f64)>> = BTreeMap::new();
    for (strand, role) in layer.strands.iter().zip(roles).filter(|(s, r)| !s.ghost && has_usual_section(**r)) {
        let beads = layer.strand_beads(strand).iter().map(|b| (b.area_mm2, b.length_mm));
        sections.entry(*role).or_default().extend(beads);
    }
    sections.into_iter().map(|(role, of)| (role, weighted_median(of))).filter(|(_, usual)| *usual > 0.0).collect()
}

/// Length of beads that are starved or swollen, mm.
fn odd_mm(layer: &Layer, roles: &[Role], usual: &BTreeMap<Role, f64>) -> f64 {
    let known = layer.strands.iter().zip(roles).filter_map(|(s, role)| Some((s, *usual.get(role)?)));
    known
        .filter(|(strand, _)| !strand.ghost)
        .flat_map(|(strand, usual)| layer.strand_beads(strand).iter().map(move |b| (b, b.area_mm2 / usual)))
        .filter(|(_, share)| !(STARVED..=SWOLLEN).contains(share))
        .map(|(bead, _)| bead.length_mm)
        .sum()
}

fn spots(layer: &Layer, roles: &[Role], usual: &BTreeMap<Role, f64>) -> Vec<Spot> {
    let mut spots = Vec::new();
    for (number, (strand, role)) in layer.strands.iter().zip(roles).enumerate() {
        let Some(usual) = usual.get(role).filter(|_| !strand.ghost) else { continue };
        for bead in layer.strand_beads(strand) {
            let Some(along) = (bead.to - bead.from).unit() else { continue };
            let steps = (bead.length_mm / STEP_MM).ceil().clamp(1.0, 1e4) as usize;
            let (length_mm, share) = (bead.length_mm / steps as f64, bead.area_mm2 / usual);
            spots.extend((0..steps).map(|k| Spot {
                at: bead.from.lerp(bead.to, (k as f64 + 0.5) / steps as f64),
                strand: number,
                length_mm,
                along,
                area_mm2: bead.area_mm2,
                share,
            }));
        }
    }
    spots
}

/// Beads of the layer, to look for neighbours.
struct Lanes {
    lines: Vec<(Segment, usize, f64)>,
    grid: SegmentGrid,
    reach_mm: f64,
    height_mm: f64,
}

impl Lanes {
    fn new(layer: &Layer, roles: &[Role]) -> Self {
        let mut lines = Vec::new();
        for (number, (strand, role)) in layer.strands.iter().zip(roles).enumerate() {
            if !strand.ghost && role.is_part() {
                let beads = layer.strand_beads(strand).iter();
                lines.extend(beads.map(|b| (Segment::new(b.from, b.to), number, b.area_mm2)));
            }
        }
        let height_mm = layer.height_mm.max(1e-6);
        let usual = weighted_median(lines.iter().map(|l| (l.2 / height_mm, l.0.length_mm())).collect());
        let segments: Vec<Segment> = lines.iter().map(|l| l.0).collect();
        Self {
            grid: SegmentGrid::new(&segments, (3.0 * usual).clamp(0.5, 6.0)),
            lines,
            reach_mm: LANE * usual,
            height_mm,
        }
    }

    /// Whether the bead at a spot touches a neighbour just as it should, so that its width is meant.
    fn fills(&self, spot: &Spot) -> bool {
        let mut beside: Option<(f64, f64)> = None;
        self.grid.near(spot.at, self.reach_mm, |i| {
            let (segment, strand, other) = self.lines[i];
            let distance = segment.nearest(spot.at).0.distance(spot.at);
            let runs_along = segment.direction().is_some_and(|d| d.dot(spot.along).abs() > PARALLEL);
            let is_lap = distance < 0.2 * self.reach_mm / LANE;
            if strand != spot.strand && runs_along && !is_lap && beside.is_none_or(|b| distance < b.0) {
                beside = Some((distance, other));
            }
        });
        let flow = |other: f64| 0.5 * (spot.area_mm2 + other) / self.height_mm;
        beside.is_some_and(|(distance, other)| FILLS_LANE.contains(&(flow(other) / distance)))
    }
}

/// Groups of spots that lie within reach of each other.
fn linked(spots: &[Spot]) -> Vec<Vec<Spot>> {
    let cell = |p: Point| ((p.x / LINK_MM).floor() as i64, (p.y / LINK_MM).floor() as i64);
    let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (i, spot) in spots.iter().enumerate() {
        cells.entry(cell(spot.at)).or_default().push(i);
    }
    let mut taken = vec![false; spots.len()];
    let mut groups = Vec::new();
    for first in 0..spots.len() {
        if std::mem::replace(&mut taken[first], true) {
            continue;
        }
        let (mut group, mut open) = (Vec::new(), vec![first]);
        while let Some(i) = open.pop() {
            group.push(spots[i]);
            let (x, y) = cell(spots[i].at);
            let around = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
            for &k in around.filter_map(|c| cells.get(&c)).flatten() {
                if !taken[k] && spots[k].at.distance(spots[i].at) <= LINK_MM {
                    taken[k] = true;
                    open.push(k);
                }
            }
        }
        groups.push(group);
    }
    groups
}

/// The place that a group of spots makes, if they are many, of several strands, and nearly all that lies there.
fn place(group: &[Spot], all: &[Spot]) -> Option<FlowPlace> {
    let length_mm: f64 = group.iter().map(|s| s.length_mm).sum();
    let mut strands: Vec<usize> = group.iter().map(|s| s.strand).collect();
    strands.sort_unstable();
    strands.dedup();
    if length_mm < LEAST_MM || strands.len() < LEAST_STRANDS {
        return None;
    }
    let sum = group.iter().fold(Point::default(), |sum, s| sum + s.at * s.length_mm);
    let at = sum * (1.0 / length_mm);
    // A disc that is covered evenly reaches out to the root of two times its spread.
    let spread = group.iter().map(|s| s.length_mm * (s.at - at).dot(s.at - at)).sum::<f64>() / length_mm;
    let radius_mm = (2.0 * spread).sqrt();
    let within: f64 = all.iter().filter(|s| s.at.distance(at) < 0.9 * radius_mm).map(|s| s.length_mm).sum();
    let off: f64 = group.iter().filter(|s| s.at.distance(at) < 0.9 * radius_mm).map(|s| s.length_mm).sum();
    let share = group.iter().map(|s| s.share * s.length_mm).sum::<f64>() / length_mm;
    (off > LEAST_SHARE * within).then_some(FlowPlace { at, radius_mm, share })
}

#[cfg(test)]
#[path = "flow_places_tests.rs"]
mod tests;
