//! A first role for every strand, from the layer alone.
//!
//! Loops are walls, outer where nothing lies beside them on one side; open strands are fill, solid or sparse by
//! how far apart their parallel lines lie. The shape room, which knows outlines and neighbouring layers, refines this.

use super::flow::median_width_mm;
use super::grid::BeadGrid;
use super::laps::goes_round;
use super::likely::settled;
use super::nest::{Loop, Nest};
use super::{Bead, Strand};
use crate::geom::{Point, weighted_median};
use crate::profile::Role;

/// Beads side by side are fused up to this many widths apart (real files: 0.63 to 1.05, thin ribs that do not
/// touch from 1.42).
const FUSED: f64 = 1.35;
/// Lines closer than this many widths are one bead laid twice.
const SAME_LINE: f64 = 0.3;
/// Fill is looked for up to this many widths away: a 5 % core of straight lines.
const WIDEST_PITCH: f64 = 22.0;

/// Gives every strand of a layer its first role, but those that have one: they are no part of it.
///
/// `usual_mm` is the print's usual bead width at this layer's height: in a starved layer beads lie as far apart as in
/// any other, so their own width is no measure for what lies side by side.
pub(super) fn assign(beads: &[Bead], strands: &mut [Strand], usual_mm: Option<f64>) {
    let Some(own_mm) = median_width_mm(beads).filter(|w| *w > 0.0) else { return };
    let width_mm = usual_mm.map_or(own_mm, |usual| usual.clamp(own_mm, 2.0 * own_mm));
    let view = View::new(beads, strands, width_mm);
    let roles: Vec<Role> = (0..strands.len()).map(|i| view.role(i)).collect();
    for i in 0..strands.len() {
        let joined =
            i > 0 && strands[i].ghost && beads[strands[i].beads.start - 1].to == beads[strands[i].beads.start].from;
        if strands[i].role == Role::Unknown {
            strands[i].role = if joined { strands[i - 1].role } else { roles[i] };
        }
    }
}

/// The loops of a layer: closed strands that are not ghosts.
#[must_use]
pub fn loops(beads: &[Bead], strands: &[Strand]) -> Vec<Loop> {
    let closed = strands.iter().enumerate().filter(|(_, s)| s.closed && !s.ghost);
    closed.map(|(i, s)| Loop::new(i, beads.get(s.beads.clone()).unwrap_or_default())).collect()
}

/// Walls with a gap in them: open strands that go once round and end not far from where they began.
fn broken_loops(beads: &[Bead], strands: &[Strand], width_mm: f64) -> Vec<Loop> {
    let open = strands.iter().enumerate().filter(|(_, s)| !s.closed && !s.ghost);
    let rounds = open.filter(|(_, s)| beads.get(s.beads.clone()).is_some_and(|own| goes_round(own, width_mm)));
    let broken = settled(beads, strands, rounds.map(|(i, _)| i).collect(), width_mm);
    broken.into_iter().map(|i| Loop::new(i, &beads[strands[i].beads.clone()])).collect()
}

struct View<'a> {
    beads: &'a [Bead],
    strands: &'a [Strand],
    width_mm: f64,
    nest: Nest,
    /// The loop within each loop, where there is just one.
    only_child: Vec<Option<usize>>,
    /// Which loop of the nest a strand is.
    loop_of: Vec<Option<usize>>,
    all: BeadGrid<'a>,
    open: BeadGrid<'a>,
    /// Which strand each bead belongs to.
    strand_of: Vec<u32>,
}

fn only_children(nest: &Nest) -> Vec<Option<usize>> {
    let mut count = vec![0_u32; nest.loops.len()];
    let mut only = vec![None; nest.loops.len()];
    for (child, parent) in nest.parents.iter().enumerate() {
        if let Some(parent) = *parent {
            count[parent] += 1;
            only[parent] = (count[parent] == 1).then_some(child);
        }
    }
    only
}

/// What lies beside a loop, as shares of the places asked.
struct Sides {
    outside: f64,
    inside: f64,
}

impl<'a> View<'a> {
    fn new(beads: &'a [Bead], strands: &'a [Strand], width_mm: f64) -> Self {
        let mut strand_of = vec![0_u32; beads.len()];
        for (i, strand) in strands.iter().enumerate() {
            strand_of[strand.beads.clone()].fill(i as u32);
        }
        let is_part = |s: usize| strands[s].role == Role::Unknown && !strands[s].ghost;
        let mut rings: Vec<Loop> = loops(beads, strands).into_iter().filter(|l| is_part(l.strand)).collect();
        rings.extend(broken_loops(beads, strands, width_mm));
        let nest = Nest::new(rings);
        let only_child = only_children(&nest);
        let mut loop_of = vec![None; strands.len()];
        for (i, lap) in nest.loops.iter().enumerate() {
            loop_of[lap.strand] = Some(i);
        }
        let all = BeadGrid::new(beads, |i| is_part(strand_of[i] as usize));
        let open = BeadGrid::new(beads, |i| {
            let strand = strand_of[i] as usize;
            is_part(strand) && loop_of[strand].is_none()
        });
        Self { beads, strands, width_mm, nest, only_child, loop_of, all, open, strand_of }
    }

    fn role(&self, strand: usize) -> Role {
        match self.loop_of[strand] {
            Some(lap) => self.wall_role(lap),
            None => self.open_role(strand),
        }
    }

    fn wall_role(&self, lap: usize) -> Role {
        let Sides { outside, inside } = self.sides(lap);
        let free = |share: f64| share < 0.5;
        let Some(_) = self.nest.parents[lap] else { return Role::OuterWall };
        if free(inside) && self.is_empty_inside(lap) {
            return Role::OuterWall;
        }
        if free(outside) && !self.fill_ends_outside(lap) && !self.surrounds_walls_of_hole(lap) {
            return Role::OuterWall;
        }
        Role::InnerWall
    }

    /// Shares of places along a loop with a bead that runs along within fusing distance.
    fn sides(&self, lap: usize) -> Sides {
        let lap = &self.nest.loops[lap];
        let beads = &self.beads[self.strands[lap.strand].beads.clone()];
        let left_is_inside = lap.area_mm2 > 0.0;
        let (mut left, mut right, mut asked) = (0.0, 0.0, 0.0);
        for (p, along) in places(beads, few(beads, 2.0 * self.width_mm)) {
            let (mut on_left, mut on_right) = (false, false);
            self.all.near(p, FUSED * self.width_mm, |other, distance| {
                let bead = &self.beads[other];
                let own = self.strand_of[other] as usize == lap.strand;
                if !own && distance > SAME_LINE * self.width_mm && runs_along(bead, along) {
                    let side = along.cross(nearest(bead, p) - p);
                    on_left |= side > 0.0;
                    on_right |= side < 0.0;
                }
                !(on_left && on_right)
            });
            left += f64::from(u8::from(on_left));
            right += f64::from(u8::from(on_right));
            asked += 1.0;
        }
        let share = |count: f64| if asked > 0.0 { count / asked } else { 0.0 };
        if left_is_inside {
            Sides { outside: share(right), inside: share(left) }
        } else {
            Sides { outside: share(left), inside: share(right) }
        }
    }

    /// Nothing lies within the loop but the loop itself: it runs round a hole.
    fn is_empty_inside(&self, lap: usize) -> bool {
        let lap = &self.nest.loops[lap];
        let own = self.strands[lap.strand].beads.clone();
        let reach = 0.5 * (lap.bounds[1] - lap.bounds[0]).length();
        let middle = lap.bounds[0].lerp(lap.bounds[1], 0.5);
        let mut empty = true;
        self.all.near(middle, reach, |other, _| {
            let bead = &self.beads[other];
            let p = bead.from.lerp(bead.to, 0.5);
            empty = own.contains(&other) || !lap.contains(p) || self.hugs(lap.strand, p);
            empty
        });
        empty
    }

    /// A point so near a strand that it may lie on either side of it.
    fn hugs(&self, strand: usize, p: Point) -> bool {
        let mut near = false;
        self.all.near(p, SAME_LINE * self.width_mm, |other, _| {
            near = self.strand_of[other] as usize == strand;
            !near
        });
        near
    }

    /// Fill ends or turns just outside the loop: it bounds a core that lies outside of it.
    fn fill_ends_outside(&self, lap: usize) -> bool {
        let lap = &self.nest.loops[lap];
        let beads = &self.beads[self.strands[lap.strand].beads.clone()];
        let mut touched = 0;
        for (p, _) in places(beads, few(beads, 2.0 * self.width_mm)) {
            self.open.near(p, 1.6 * self.width_mm, |other, distance| {
                let bead = &self.beads[other];
                let outside = distance > SAME_LINE * self.width_mm && !lap.contains(nearest(bead, p));
                touched += i32::from(outside);
                !outside
            });
        }
        touched > 0
    }

    /// A child lies beside it and the innermost of them is empty: the outermost wall round a hole.
    fn surrounds_walls_of_hole(&self, lap: usize) -> bool {
        let mut at = lap;
        while let Some(child) = self.only_child[at] {
            at = child;
        }
        at != lap
            && self.is_empty_inside(at)
            && self.nest.loops[lap].area_mm2.signum() == self.nest.loops[at].area_mm2.signum()
    }

    fn open_role(&self, strand: usize) -> Role {
        let beads = &self.beads[self.strands[strand].beads.clone()];
        let inside =
            beads.first().is_some_and(|b| self.nest.smallest_around(b.from.lerp(b.to, 0.5), |_| true).is_some());
        if !inside && !self.nest.loops.is_empty() || self.is_wedged(beads) {
            return Role::GapFill;
        }
        match self.pitch(beads) {
            Some(pitch) if pitch <= FUSED => Role::SolidInfill,
            None if !inside => Role::GapFill,
            _ => Role::SparseInfill,
        }
    }

    /// It runs between walls on both sides.
    fn is_wedged(&self, beads: &[Bead]) -> bool {
        let (mut wedged, mut asked) = (0.0, 0.0);
        for (p, along) in places(beads, few(beads, self.width_mm)) {
            let (mut on_left, mut on_right) = (false, false);
            self.all.near(p, FUSED * self.width_mm, |other, distance| {
                let bead = &self.beads[other];
                let wall = self.loop_of[self.strand_of[other] as usize].is_some();
                if wall && distance > SAME_LINE * self.width_mm && runs_along(bead, along) {
                    let side = along.cross(nearest(bead, p) - p);
                    on_left |= side > 0.0;
                    on_right |= side < 0.0;
                }
                !(on_left && on_right)
            });
            wedged += f64::from(u8::from(on_left && on_right));
            asked += 1.0;
        }
        wedged > 0.5 * asked
    }

    /// Median distance to the nearest parallel open line, in widths.
    fn pitch(&self, beads: &[Bead]) -> Option<f64> {
        let mut found: Vec<(f64, f64)> = Vec::new();
        // Connecting pieces at the turns say nothing, unless there is nothing else.
        let longest = beads.iter().map(|b| b.length_mm).fold(0.0, f64::max);
        for bead in beads.iter().filter(|b| b.length_mm >= longest.min(1.5 * self.width_mm)).take(64) {
            let Some(along) = (bead.to - bead.from).unit() else { continue };
            let p = bead.from.lerp(bead.to, 0.5);
            if let Some(d) = self.nearest_parallel(p, along) {
                found.push((d / self.width_mm, bead.length_mm));
            }
        }
        weighted_median(&mut found)
    }

    fn nearest_parallel(&self, p: Point, along: Point) -> Option<f64> {
        let mut reach = 2.0 * self.width_mm;
        while reach < 2.0 * WIDEST_PITCH * self.width_mm {
            let mut best = f64::INFINITY;
            self.open.near(p, reach, |other, distance| {
                let bead = &self.beads[other];
                let beside = along.dot(nearest(bead, p) - p).abs() < 0.5 * distance;
                if distance > SAME_LINE * self.width_mm && distance < best && beside && runs_along(bead, along) {
                    best = distance;
                }
                true
            });
            if best.is_finite() {
                return Some(best);
            }
            reach *= 2.0;
        }
        None
    }
}

/// Points along beads about `step_mm` apart, at least one a strand, with the direction there.
pub(super) fn places(beads: &[Bead], step_mm: f64) -> impl Iterator<Item = (Point, Point)> {
    let mut next_mm = 0.0;
    beads.iter().filter_map(|bead| Some((bead, (bead.to - bead.from).unit()?))).flat_map(move |(bead, along)| {
        let (first_mm, length_mm) = (next_mm, bead.from.distance(bead.to));
        let count = ((length_mm - first_mm) / step_mm).ceil().max(0.0) as usize;
        next_mm = first_mm + count as f64 * step_mm - length_mm;
        (0..count).map(move |k| (bead.from + along * (first_mm + k as f64 * step_mm), along))
    })
}

/// A step along beads that asks at most about 60 places.
pub(super) fn few(beads: &[Bead], least_mm: f64) -> f64 {
    let length: f64 = beads.iter().map(|b| b.length_mm).sum();
    least_mm.max(length / 60.0)
}

/// The bead runs within 20 degrees of `along`.
pub(super) fn runs_along(bead: &Bead, along: Point) -> bool {
    let d = bead.to - bead.from;
    d.cross(along).abs() <= 0.342 * d.length() && d.length() > 0.0
}

fn nearest(bead: &Bead, p: Point) -> Point {
    let along = bead.to - bead.from;
    let length2 = along.dot(along);
    let t = if length2 > 0.0 { ((p - bead.from).dot(along) / length2).clamp(0.0, 1.0) } else { 0.0 };
    bead.from.lerp(bead.to, t)
}

#[cfg(test)]
#[path = "roles_tests.rs"]
mod tests;
