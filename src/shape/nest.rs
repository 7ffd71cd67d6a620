//! Which loop lies in which, and what fills the space between them.
//!
//! ```text
//!   air | wall wall wall | fill | wall wall wall | air      a body with a hole
//!   air | wall wall wall | nothing                          a hollow body: no hole, its core is empty
//! ```
//!
//! Going inwards from the air, walls lie close one after the other (a *band*). What comes after a band that
//! began at a core must be air again: a hole. After a band that began at air there is a core, unless the band
//! is a whole thin tube; that is told by how its loops were laid.

use super::loops::Loop;
use super::outline::Spacing;
use crate::geom::{Point, Segment, ring_contains};

/// A space with less of it filled than this share holds a stray line and no core.
const LEAST_FILL: f64 = 0.02;

/// What lies between a loop and the loops directly within it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Between {
    /// The next walls lie against it, or nothing has room within.
    Walls,
    /// Core with fill.
    Fill,
    /// Core without fill.
    Hollow,
    /// A hole of the part.
    Air,
}

/// The next wall of a band runs along the last one over this share of its length at least.
const HUGS: f64 = 0.6;

/// Loops are compared at places this far apart, mm.
const HUG_STEP_MM: f64 = 1.0;

/// Where a loop stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// Outermost loop of a body: outside it is air.
    Outside,
    /// Air on both sides of its bead's middle: outermost and last before a hole.
    Both,
    /// Last loop before a hole: inside it is air.
    Hole,
    /// Neither.
    Inner,
}

/// Loops with their places in each other.
#[derive(Debug, Clone)]
pub(super) struct Nest {
    pub loops: Vec<Loop>,
    pub parent: Vec<Option<usize>>,
    pub children: Vec<Vec<usize>>,
    pub between: Vec<Between>,
    pub standing: Vec<Standing>,
    /// How many bodies and holes lie round it: 0 for the outermost body.
    pub depth: Vec<usize>,
}

impl Nest {
    /// Sorts `loops` by size and finds the smallest that surrounds each.
    pub fn new(mut loops: Vec<Loop>) -> Self {
        loops.sort_by(|a, b| b.enclosed_mm2.total_cmp(&a.enclosed_mm2));
        let count = loops.len();
        let mut parent = vec![None; count];
        let mut children = vec![Vec::new(); count];
        for inner in 0..count {
            let found = (0..inner).rev().find(|&outer| surrounds(&loops[outer], &loops[inner]));
            parent[inner] = found;
            if let Some(outer) = found {
                children[outer].push(inner);
            }
        }
        Self {
            between: vec![Between::Walls; count],
            standing: vec![Standing::Inner; count],
            depth: vec![0; count],
            loops,
            parent,
            children,
        }
    }

    /// Loops with nothing round them.
    pub fn roots(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.loops.len()).filter(|&i| self.parent[i].is_none())
    }

    /// The innermost loop round `point`.
    pub fn innermost(&self, point: Point) -> Option<usize> {
        let holds = |&i: &usize| {
            let l = &self.loops[i];
            (l.low.x..=l.high.x).contains(&point.x)
                && (l.low.y..=l.high.y).contains(&point.y)
                && ring_contains(&l.ring, point)
        };
        let mut found = self.roots().find(holds)?;
        while let Some(deeper) = self.children[found].iter().copied().find(holds) {
            found = deeper;
        }
        Some(found)
    }

    /// Mean distance from one centreline to the next over the space just within loop `i`, mm.
    pub fn mean_pitch_mm(&self, i: usize) -> f64 {
        let (mut area, mut length) = (self.loops[i].enclosed_mm2, self.loops[i].length_mm);
        for &c in &self.children[i] {
            area -= self.loops[c].enclosed_mm2;
            length += self.loops[c].length_mm;
        }
        2.0 * area.max(0.0) / length.max(1e-9)
    }

    /// Area just within loop `i`, half a pitch off its centreline and those within it, mm² (nearly).
    pub fn core_area_mm2(&self, i: usize, pitch_mm: f64) -> f64 {
        let (mut area, mut length) = (self.loops[i].enclosed_mm2, self.loops[i].length_mm);
        for &c in &self.children[i] {
            area -= self.loops[c].enclosed_mm2;
            length += self.loops[c].length_mm;
        }
        (area - 0.5 * pitch_mm * length).max(0.0)
    }

    /// Decides for every loop what lies within it and where it stands. `fill_mm` is the length of fill just
    /// within each loop.
    pub fn settle(&mut self, fill_mm: &[f64], spacing: Spacing) {
        let mut open: Vec<(usize, Vec<usize>, bool, usize)> = self.roots().map(|r| (r, Vec::new(), true, 0)).collect();
        while let Some((i, mut band, from_air, depth)) = open.pop() {
            let first = band.is_empty();
            band.push(i);
            let between = self.judge(i, &band, from_air, fill_mm[i], spacing);
            self.between[i] = between;
            self.depth[i] = depth;
            self.standing[i] = match (first && from_air, between == Between::Air) {
                (true, true) => Standing::Both,
                (true, false) => Standing::Outside,
                (false, true) => Standing::Hole,
                (false, false) => Standing::Inner,
            };
            for &c in &self.children[i].clone() {
                open.push(match between {
                    // The walls of a hole near the edge: what lies between them and the rest of the band is part.
                    Between::Walls if self.is_hole_beside_core(c, fill_mm, spacing) => (c, Vec::new(), false, depth),
                    Between::Walls => (c, band.clone(), from_air, depth),
                    Between::Fill | Between::Hollow => (c, Vec::new(), false, depth),
                    Between::Air => (c, Vec::new(), true, depth + 1),
                });
            }
        }
    }

    /// Whether so much fill lies just within loop `i` that it is more than a stray line.
    pub fn is_filled(&self, i: usize, fill_mm: f64, spacing: Spacing) -> bool {
        let l = &self.loops[i];
        let share = fill_mm * spacing.pitch_mm(l.area_mm2) / self.core_area_mm2(i, 0.0).max(1e-9);
        fill_mm > 2.0 * l.width_mm && share > LEAST_FILL
    }

    /// Whether loop `c`, which lies directly within another wall, goes round a hole that comes near to the edge:
    ///
    /// ```text
    ///    ==================        outer wall, round both
    ///    --------.  (====)         (====) hole: follows the outer wall at the web only
    ///    core    |  (====)         the next wall goes round the core, and leaves the hole out
    /// ```
    ///
    /// Another loop beside it holds the core, and it has none itself.
    fn is_hole_beside_core(&self, c: usize, fill_mm: &[f64], spacing: Spacing) -> bool {
        let Some(parent) = self.parent[c] else { return false };
        if self.fill_within_mm(c, fill_mm) > self.loops[c].width_mm {
            return false;
        }
        let beside = self.children[parent].iter().filter(|s| **s != c);
        let holds_core = |s: &usize| self.fill_within_mm(*s, fill_mm) > 2.0 * self.loops[*s].width_mm;
        beside.filter(|s| holds_core(s)).count() > 0 && !self.hugs(c, parent, spacing)
    }

    /// Length of fill within a loop and all loops in it, mm.
    fn fill_within_mm(&self, i: usize, fill_mm: &[f64]) -> f64 {
        fill_mm[i] + self.children[i].iter().map(|&c| self.fill_within_mm(c, fill_mm)).sum::<f64>()
    }

    /// Whether the inner loop runs along the outer one over most of its length.
    fn hugs(&self, inner: usize, outer: usize, spacing: Spacing) -> bool {
        let reach_mm = spacing.widest_fused_mm(self.loops[inner].area_mm2.max(self.loops[outer].area_mm2));
        let outer = &self.loops[outer].ring;
        let ring = &self.loops[inner].ring;
        let off = |p: Point| {
            let edges = (0..outer.len()).map(|i| Segment::new(outer[i], outer[(i + 1) % outer.len()]));
            edges.map(|s| s.nearest(p).0.distance(p)).fold(f64::INFINITY, f64::min)
        };
        let (mut near, mut whole) = (0.0, 0.0);
        for i in 0..ring.len() {
            let edge = Segment::new(ring[i], ring[(i + 1) % ring.len()]);
            let steps = (edge.length_mm() / HUG_STEP_MM).ceil().clamp(1.0, 100.0) as usize;
            for k in 0..steps {
                let share = edge.length_mm() / steps as f64;
                whole += share;
                near +=
                    if off(edge.from.lerp(edge.to, (k as f64 + 0.5) / steps as f64)) < reach_mm { share } else { 0.0 };
            }
        }
        near > HUGS * whole
    }

    fn judge(&self, i: usize, band: &[usize], from_air: bool, fill_mm: f64, spacing: Spacing) -> Between {
        let l = &self.loops[i];
        let pitch = self.mean_pitch_mm(i);
        let close = spacing.widest_fused_mm(l.area_mm2);
        // A wall or two round a place within a core bound a hole; what lies in it then holds up its roof.
        let may_be_core = from_air || band.len() < 2;
        if may_be_core && self.is_filled(i, fill_mm, spacing) && (pitch > close || fill_mm > 0.5 * l.length_mm) {
            return Between::Fill;
        }
        let leaf = self.children[i].is_empty();
        if !from_air && leaf && 2.0 * pitch - l.width_mm > 0.15 {
            return Between::Air;
        }
        if pitch <= close {
            return Between::Walls;
        }
        if !from_air || self.is_tube(band, spacing) { Between::Air } else { Between::Hollow }
    }

    /// Whether the walls of `band`, from the air to an empty space, are those of a thin tube (so that the space
    /// is a hole) and not of a hollow body.
    ///
    /// A tube has the same walls on both faces, with a single bead of another width between them where they left
    /// room for one. Its loops may run the other way on the inner face, be laid from both faces, stand at an odd
    /// distance in its middle, or have the outer wall's speed on both faces. Without any such sign the body is
    /// taken as hollow.
    fn is_tube(&self, band: &[usize], spacing: Spacing) -> bool {
        let count = band.len();
        if count < 2 {
            return false;
        }
        let half = count / 2;
        let (outer, inner) = (&band[..half], &band[count - half..]);
        let way = |i: &usize| self.loops[*i].leftwards;
        let flips = outer.iter().all(|i| way(i) == way(&outer[0])) && inner.iter().all(|i| way(i) != way(&outer[0]));
        let order: Vec<usize> = outer.iter().chain(inner).map(|&i| self.loops[i].strands[0]).collect();
        let in_order = order.is_sorted() || order.iter().rev().is_sorted();
        let mut votes = if flips { 3 } else { -1 };
        if count > 3 {
            votes += if in_order { -1 } else { 3 };
        }
        votes += self.middle_vote(band, spacing) + self.speed_vote(outer, inner);
        votes > 0
    }

    /// A bead of another width, or walls at another distance, in the middle of the band.
    fn middle_vote(&self, band: &[usize], spacing: Spacing) -> i32 {
        let half = band.len() / 2;
        let section = self.loops[band[0]].area_mm2;
        if band.len() % 2 == 1 {
            let middle = &self.loops[band[half]];
            let odd = middle.uneven || (middle.area_mm2 / section - 1.0).abs() > 0.015;
            return if odd { 3 } else { -3 };
        }
        let off = self.mean_pitch_mm(band[half - 1]) / spacing.pitch_mm(section) - 1.0;
        if off.abs() > 0.03 { 2 } else { -1 }
    }

    /// The last wall is laid as slowly as the first, and the second is not; or the other way.
    fn speed_vote(&self, outer: &[usize], inner: &[usize]) -> i32 {
        let speed = |i: Option<&usize>| i.and_then(|&i| self.loops[i].speed_mm_s);
        let (Some(first), Some(second), Some(last)) = (speed(outer.first()), speed(outer.get(1)), speed(inner.last()))
        else {
            return 0;
        };
        let same = |a: f64, b: f64| (a / b - 1.0).abs() < 0.05;
        match (same(first, second), same(first, last), same(second, last)) {
            (false, true, _) => 2,
            (false, false, true) => -2,
            _ => 0,
        }
    }
}

fn surrounds(outer: &Loop, inner: &Loop) -> bool {
    if !outer.boxes(inner) {
        return false;
    }
    let count = inner.ring.len();
    let inside = [0, count / 3, 2 * count / 3].iter().filter(|&&i| ring_contains(&outer.ring, inner.ring[i])).count();
    inside >= 2
}

#[cfg(test)]
#[path = "nest_tests.rs"]
mod tests;
