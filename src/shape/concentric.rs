//! Loops that are fill: a sparse core whose lines follow the walls.
//!
//! ```text
//!   wall wall wall  line      line      line       |-s-|-s-|--f--|----g----|----g----|
//! ```
//!
//! Walls lie a pitch `s` apart, lines of a core a steady `g` further in, and as long as there is room for one more
//! there is one more. So going inwards from an edge the walls end where the distance changes; round a hole the same
//! holds going outwards. A last loop with room in it is the wall of a hole. Two fronts of lines, from the outside
//! and from a hole, meet at any distance.
//!
//! A space that has room for one more line is air: what stands in it is a body of its own.
//!
//! Lines may lie as near to each other as walls do, in skins laid as loops above all. Then only the number of walls
//! that the print has where its fill is no loops can tell where they begin.

use super::loop_edges::LoopEdges;
use super::nest::{Between, Nest};
use super::outline::Spacing;
use crate::geom::{Point, Segment, offset_ring};
use std::collections::BTreeSet;

/// Lines of a core lie further apart than this many pitches; walls do not.
pub(super) const WIDER_THAN_WALLS: f64 = 1.25;

/// And nearer than this many (a core of 6 %).
const WIDEST: f64 = 16.0;

/// Distances that differ by no more than this factor are one distance.
const STEADY: f64 = 1.35;

/// In a core of loops the walls lie at their pitch within this share; its first line may lie hardly further off.
const AT_PITCH: f64 = 0.07;

/// There is room for a further line where it would lie this many distances of lines from what is round it.
const ROOM: f64 = 1.1;

/// Gaps between walls that differ by less than this share are meant to be the same.
const SAME_GAP: f64 = 0.03;

/// Specks too small for loops, in corners between lines of a core, are no longer than this share of the line round them.
const SPECKS: f64 = 0.1;

/// For each loop whether it is a line of a core; `usual_walls` is how many walls the print has elsewhere, if known.
pub(super) fn concentric_lines(
    nest: &Nest,
    fill_mm: &[f64],
    spacing: Spacing,
    usual_walls: Option<usize>,
) -> Vec<bool> {
    let count = nest.loops.len();
    let (mut lines, mut seen) = (vec![false; count], vec![false; count]);
    let edges = LoopEdges::of(&nest.loops);
    let within =
        |root, most_walls| CoreOfLoops { most_walls, ..CoreOfLoops::of(nest, &edges, fill_mm, spacing, root) }.sorted();
    // Parents come before their children.
    let mut open: BTreeSet<usize> = in_air(nest).collect();
    while let Some(i) = open.pop_first() {
        if seen[i] {
            continue;
        }
        let told = usual_walls.and_then(|most| within(i, Some(most)).if_all_lines());
        let core = told.unwrap_or_else(|| within(i, None));
        open.extend(core.islands);
        if core.lines.is_empty() {
            continue;
        }
        for &member in core.walls.iter().chain(&core.lines).chain(&core.round_holes) {
            seen[member] = true;
        }
        for line in core.lines {
            lines[line] = true;
        }
    }
    lines
}

/// Whether the usual number of walls has a say in any of [`concentric_lines`].
pub(super) fn usual_walls_tell(nest: &Nest, fill_mm: &[f64], spacing: Spacing, usual_walls: usize) -> bool {
    let edges = LoopEdges::of(&nest.loops);
    let within = |root| CoreOfLoops::of(nest, &edges, fill_mm, spacing, root);
    in_air(nest).any(|root| {
        let core = CoreOfLoops { most_walls: Some(usual_walls), ..within(root) };
        core.sorted().if_all_lines().is_some()
    })
}

/// Loops with air round them.
fn in_air(nest: &Nest) -> impl Iterator<Item = usize> {
    (0..nest.loops.len()).filter(|i| nest.parent[*i].is_none_or(|p| nest.between[p] == Between::Air))
}

/// What lies within an outermost loop, sorted.
struct CoreOfLoops<'a> {
    nest: &'a Nest,
    edges: &'a LoopEdges,
    fill_mm: &'a [f64],
    spacing: Spacing,
    /// Distance of walls over their pitch.
    wall_ratio: f64,
    /// From the outside in.
    walls: Vec<usize>,
    /// How many walls lie within each other.
    band: usize,
    /// How many the print has elsewhere, where that is to tell.
    most_walls: Option<usize>,
    lines: Vec<usize>,
    round_holes: Vec<usize>,
    /// Loops in its holes with nothing round them there: bodies of their own.
    islands: Vec<usize>,
}

/// How far points of one ring lie from another: 10th percentile, median, 90th, mm.
#[derive(Debug, Clone, Copy)]
struct Apart {
    low: f64,
    middle: f64,
    high: f64,
}

impl Apart {
    fn is_steady(self) -> bool {
        self.high < STEADY * self.low
    }
}

impl<'a> CoreOfLoops<'a> {
    fn of(nest: &'a Nest, edges: &'a LoopEdges, fill_mm: &'a [f64], spacing: Spacing, root: usize) -> Self {
        Self {
            nest,
            edges,
            fill_mm,
            spacing,
            wall_ratio: 1.0,
            walls: vec![root],
            band: 1,
            most_walls: None,
            lines: Vec::new(),
            round_holes: Vec::new(),
            islands: Vec::new(),
        }
    }

    /// Sorts what lies within its first wall.
    fn sorted(mut self) -> Self {
        self.find_walls(self.walls[0]);
        let mut inside = self.inside();
        let apart = self.find_holes_and_lines(inside.clone());
        self.islands = apart.map(|apart| self.islands_among(&inside, apart)).unwrap_or_default();
        if !self.islands.is_empty() {
            (self.lines, self.round_holes) = (Vec::new(), Vec::new());
            let theirs = self.all_within(&self.islands);
            inside.retain(|i| !theirs.contains(i));
            self.find_holes_and_lines(inside);
        }
        self
    }

    /// Itself where nothing but loops lies within the walls: more walls than usual may as well stand round a core of
    /// other lines.
    fn if_all_lines(self) -> Option<Self> {
        let full = Some(self.band) == self.most_walls && !self.lines.is_empty();
        let room = |&i: &usize| if self.nest.children[i].is_empty() { self.nest.loops[i].length_mm } else { 0.0 };
        (full && self.lines.iter().all(|i| self.fill_mm[*i] <= room(i))).then_some(self)
    }

    /// How many pitches apart two loops lie, and how steadily.
    fn apart(&self, from: usize, to: usize) -> Option<Apart> {
        self.apart_from(from, &[to])
    }

    /// How many pitches loop `from` lies from the nearest of `others`.
    fn apart_from(&self, from: usize, others: &[usize]) -> Option<Apart> {
        let loops = &self.nest.loops;
        // Neighbours of different width lie at the mean of their pitches.
        let pitch = 0.5 * self.spacing.pitch_mm(loops[from].area_mm2 + loops[*others.first()?].area_mm2);
        let nearest = |p: Point| self.edges.distance_mm(p, others);
        let mut apart: Vec<f64> = spots(&loops[from].ring).map(|p| nearest(p) / pitch).collect();
        apart.sort_by(f64::total_cmp);
        let at = |tenths: usize| apart.get(apart.len() * tenths / 10).copied();
        Some(Apart { low: at(1)?, middle: at(5)?, high: at(9)? })
    }

    /// How far loop `i` lies from what is round it and beside it.
    fn gap_outside(&self, i: usize) -> Option<Apart> {
        let parent = self.nest.parent[i]?;
        let beside = self.nest.children[parent].iter().copied().filter(|&c| c != i);
        self.apart_from(i, &std::iter::once(parent).chain(beside).collect::<Vec<_>>())
    }

    /// Whether loop `i` lies against the loop round it as the next wall does.
    fn is_next_wall(&self, i: usize) -> bool {
        let apart = self.nest.parent[i].and_then(|p| self.apart(i, p));
        apart.is_some_and(|a| (a.middle / self.wall_ratio - 1.0).abs() < AT_PITCH)
    }

    /// Walls from the outside in, until the distance changes.
    fn find_walls(&mut self, root: usize) {
        let gaps: Vec<f64> = self.first_line_inwards(root).take(2).collect();
        if let [first, second] = gaps[..]
            && (first / second - 1.0).abs() < SAME_GAP
            && first < WIDER_THAN_WALLS
        {
            self.wall_ratio = first;
        }
        let mut level = vec![root];
        while self.most_walls.is_none_or(|most| self.band < most) {
            let next: Vec<usize> =
                level.iter().flat_map(|&l| &self.nest.children[l]).copied().filter(|&c| self.is_next_wall(c)).collect();
            if next.is_empty() {
                return;
            }
            self.band += 1;
            self.walls.extend(&next);
            level = next;
        }
    }

    /// Gaps from `root` inwards along the largest loops, in pitches.
    fn first_line_inwards(&self, root: usize) -> impl Iterator<Item = f64> {
        let larger = |at: usize| self.nest.children[at].first().copied();
        std::iter::successors(larger(root), move |&at| larger(at))
            .map_while(|at| Some(self.apart(at, self.nest.parent[at]?)?.middle))
    }

    /// Loops within the walls.
    fn inside(&self) -> Vec<usize> {
        let mut found = Vec::new();
        let mut open: Vec<usize> = self.walls.iter().flat_map(|&w| &self.nest.children[w]).copied().collect();
        while let Some(i) = open.pop() {
            if !self.walls.contains(&i) {
                found.push(i);
                open.extend(&self.nest.children[i]);
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// What stands in a hole by itself, where lines lie so many pitches apart: between it and what is round it there
    /// is room for one more line.
    fn islands_among(&self, inside: &[usize], apart: f64) -> Vec<usize> {
        let mut islands = Vec::new();
        for &outer in self.walls.iter().chain(inside) {
            let children = &self.nest.children[outer];
            let room_mm = ROOM * apart * self.spacing.pitch_mm(self.nest.loops[outer].area_mm2);
            // Asked first, since the mean distance costs little and is seldom as large.
            let wide = || self.fill_mm[outer] <= 0.0 && self.nest.mean_pitch_mm(outer) > room_mm;
            let far = |&c: &usize| self.apart(c, outer).is_some_and(|a| a.low > 2.0 * ROOM * apart);
            if !children.is_empty() && wide() && children.iter().all(far) {
                islands.extend(children);
            }
        }
        islands
    }

    /// Loops and all that lie in them.
    fn all_within(&self, loops: &[usize]) -> BTreeSet<usize> {
        let (mut all, mut open) = (BTreeSet::new(), loops.to_vec());
        while let Some(i) = open.pop() {
            all.insert(i);
            open.extend(&self.nest.children[i]);
        }
        all
    }

    /// Whether nothing of this body lies in a loop.
    fn is_innermost(&self, i: usize) -> bool {
        self.nest.children[i].iter().all(|c| self.islands.contains(c))
    }

    /// Takes as many walls round each hole as there are outside.
    fn take_bands_of_holes(&mut self, inside: &mut Vec<usize>) {
        if self.band < 2 {
            return;
        }
        let may_be_hole = |i: usize| self.most_walls.is_none() || self.has_room(i, 1.0);
        let holes = inside.iter().copied().filter(|&i| self.is_innermost(i) && may_be_hole(i));
        let band_of = |leaf: usize| -> Vec<usize> {
            let outwards = std::iter::successors(Some(leaf), |&i| self.nest.parent[i].filter(|_| self.is_next_wall(i)));
            outwards.take(self.band).filter(|i| !self.walls.contains(i)).collect()
        };
        let found: Vec<usize> = holes.map(band_of).filter(|band| band.len() > 1).flatten().collect();
        self.round_holes.extend(found);
        inside.retain(|i| !self.round_holes.contains(i));
    }

    /// Sorts what lies within the walls into walls of holes and lines; gives back how many pitches apart lines lie.
    fn find_holes_and_lines(&mut self, mut inside: Vec<usize>) -> Option<f64> {
        self.take_bands_of_holes(&mut inside);
        let gap = self.steady_gap(&inside);
        let apart = gap.or_else(|| self.gap_of_first_lines(&inside))?;
        let (leaves, others): (Vec<usize>, Vec<usize>) = inside.into_iter().partition(|&i| self.is_innermost(i));
        let (holes, last): (Vec<usize>, Vec<usize>) = leaves
            .into_iter()
            .partition(|&leaf| self.has_room(leaf, apart) || gap.is_some_and(|gap| self.is_wall_of_hole(leaf, gap)));
        self.round_holes.extend(holes);
        self.lines = others.into_iter().chain(last).collect();
        Some(apart)
    }

    /// The distance that lines lie apart, in pitches; `None` when the loops inside are no lines.
    fn steady_gap(&self, inside: &[usize]) -> Option<f64> {
        let pair = |&i: &usize| {
            let parent = self.nest.parent[i].filter(|p| inside.contains(p) && self.has_specks_at_most(*p))?;
            let ways = [self.gap_outside(i), self.apart(parent, i)];
            ways.into_iter().flatten().filter(|a| a.is_steady()).map(|a| a.middle).reduce(f64::min)
        };
        let mut gaps: Vec<f64> = inside.iter().filter_map(pair).collect();
        gaps.sort_by(f64::total_cmp);
        let &gap = gaps.get(gaps.len() / 2)?;
        let alike = gaps.iter().filter(|g| (*g / gap - 1.0).abs() < SAME_GAP).count();
        let close = self.band > 1 && gap > self.wall_ratio * (1.0 + AT_PITCH) && alike > 2;
        (gap < WIDEST && (gap > WIDER_THAN_WALLS || close || self.most_walls.is_some())).then_some(gap)
    }

    /// Where there is but one line along each wall it has only the walls to be steady to: the widest gap that may
    /// follow, in pitches.
    fn gap_of_first_lines(&self, inside: &[usize]) -> Option<f64> {
        // Within a last line there may be one more that is no loop: out and back along the middle.
        let is_last = |i: usize| inside.contains(&i) && self.nest.children[i].is_empty();
        let no_more = |i: usize| is_last(i) && self.fill_mm[i] <= self.nest.loops[i].length_mm;
        if !inside.iter().chain(&self.walls).all(|&i| no_more(i) || self.has_specks_at_most(i)) {
            return None;
        }
        let walls: Vec<usize> = self.walls.iter().chain(&self.round_holes).copied().collect();
        let gaps: Option<Vec<f64>> =
            inside.iter().map(|&i| self.apart_from(i, &walls).filter(|a| a.is_steady()).map(|a| a.middle)).collect();
        let gaps = gaps.filter(|g| !g.is_empty())?;
        let (least, most) =
            (gaps.iter().copied().fold(f64::INFINITY, f64::min), gaps.iter().copied().fold(0.0, f64::max));
        // A part of single walls may as well be a thin tube.
        let told = self.band > 1 || inside.iter().all(|&i| self.speed_ratio(i).is_some_and(|r| r > 1.1));
        let steady = most < (1.0 + AT_PITCH) * least && least > self.wall_ratio * (1.0 + AT_PITCH) && most < WIDEST;
        // The first line lies half a pitch and at least a quarter of the distance off.
        (told && steady).then_some(4.0 * (most - 0.5))
    }

    /// Whether the fill just within a loop is none, or what is left in corners where fronts of lines meet.
    fn has_specks_at_most(&self, i: usize) -> bool {
        self.fill_mm[i] <= SPECKS * self.nest.loops[i].length_mm
    }

    /// A further line would have room in a last loop: it is the wall of a hole.
    fn has_room(&self, leaf: usize, apart: f64) -> bool {
        let l = &self.nest.loops[leaf];
        let room_mm = ROOM * apart * self.spacing.pitch_mm(l.area_mm2);
        self.fill_mm[leaf] <= 0.0 && !offset_ring(&l.ring, -room_mm).is_empty()
    }

    /// In a part of single walls a last loop is the wall of a hole also when it lies as far from the loop round it as
    /// the first line from the outermost wall, and lines do not.
    fn is_wall_of_hole(&self, leaf: usize, apart: f64) -> bool {
        if self.band > 1 || self.fill_mm[leaf] > 0.0 {
            return false;
        }
        let Some(own) = self.gap_outside(leaf).map(|a| a.middle) else { return true };
        let first = self.nest.children[self.walls[0]].first().and_then(|&c| self.apart(c, self.walls[0]));
        let alike = |a: f64, b: f64| (a / b - 1.0).abs() < AT_PITCH;
        first.is_some_and(|f| alike(own, f.middle)) && !alike(own, apart)
    }

    /// Mean speed of loop `i` over the outermost wall's.
    fn speed_ratio(&self, i: usize) -> Option<f64> {
        Some(self.nest.loops[i].speed_mm_s? / self.nest.loops[self.walls[0]].speed_mm_s?)
    }
}

/// Points spread evenly over a ring.
fn spots(ring: &[Point]) -> impl Iterator<Item = Point> + '_ {
    const SPOTS: f64 = 32.0;
    let sides = move || (0..ring.len()).map(|i| Segment::new(ring[i], ring[(i + 1) % ring.len()]));
    let step = sides().map(|s| s.length_mm()).sum::<f64>() / SPOTS;
    let mut next = 0.5 * step;
    sides().flat_map(move |side| {
        let length = side.length_mm();
        let mut on_side = Vec::new();
        while next < length && step > 0.0 {
            on_side.push(side.from.lerp(side.to, next / length));
            next += step;
        }
        next -= length;
        on_side
    })
}

#[cfg(test)]
#[path = "concentric_tests.rs"]
mod tests;
