//! What one tool lays in a layer, sorted into walls, fill and what lies outside of both.

use super::concentric::{concentric_lines, usual_walls_tell};
use super::core_room::CoreRoom;
use super::fill::{FillPiece, solid_strands};
use super::held::Held;
use super::loops::{Loop, weighted_median};
use super::nest::{Between, Nest, Standing};
use super::open_walls::{Piece, find_open_walls};
use super::outline::{Spacing, outline_of};
use super::part_beads::Strip;
use super::rows::{LooseLine, ROW_ALONE, ROW_BESIDE, in_rows};
use super::strip::ribbon;
use super::usual::Usual;
use super::walls::WallPiece;
use super::zigzag::{middle_of, weaves};
use crate::deposit::{Bead, Layer, Strand};
use crate::geom::{Point, Polygon, Segment, closed, difference, edges_of, offset_ring, union};
use crate::profile::Role;

/// Fill that covers this share of its core leaves no gaps but at its ends.
const DENSE: f64 = 0.8;

/// What one tool lays in a layer.
#[derive(Clone)]
pub(super) struct Body {
    pub tool: u16,
    pub nest: Nest,
    pub spacing: Spacing,
    /// Strands within its loops that are fill: strand and the loop it lies in.
    pub fill: Vec<(usize, usize)>,
    /// Loops among the fill: lines of a core that follow the walls.
    pub core_loops: Vec<usize>,
    /// Those of them that are walls: strand, and whether it fills the middle of a rib.
    open_walls: Vec<usize>,
    /// Open strands outside of its loops.
    pub outside: Vec<usize>,
    /// Strands within a hole or hollow that keep clear of its walls.
    apart: Vec<usize>,
}

impl Body {
    pub fn new(layer: &Layer, tool: u16, loops: &[Loop]) -> Self {
        let own = loops.iter().filter(|l| l.tool == tool).cloned().collect();
        let spacing = Spacing::plain(layer.height_mm);
        Self {
            tool,
            nest: Nest::new(own),
            spacing,
            fill: Vec::new(),
            core_loops: Vec::new(),
            open_walls: Vec::new(),
            outside: Vec::new(),
            apart: Vec::new(),
        }
    }

    pub fn settle(&mut self, layer: &Layer, usual: Usual) {
        let mut held = self.settle_nest(layer, usual.pitch_mm);
        let lines = concentric_lines(&self.nest, &held.fill_mm, self.spacing, usual.walls);
        if lines.contains(&true) {
            self.take_out(layer, &lines);
            held = Held::of(self, layer);
            self.nest.settle(&held.fill_mm, self.spacing);
        }
        self.clear_of_fill(&held);
    }

    /// Whether the usual number of walls may change what [`Body::settle`] comes to.
    pub fn usual_walls_matter(&mut self, layer: &Layer, usual: Usual) -> bool {
        let held = self.settle_nest(layer, usual.pitch_mm);
        usual.walls.is_some_and(|walls| usual_walls_tell(&self.nest, &held.fill_mm, self.spacing, walls))
    }

    fn settle_nest(&mut self, layer: &Layer, usual_pitch_mm: Option<f64>) -> Held {
        let held = Held::of(self, layer);
        self.spacing = Spacing::of(&self.nest, &held.fill_mm, usual_pitch_mm, layer.height_mm);
        self.nest.settle(&held.fill_mm, self.spacing);
        held
    }

    /// Takes what lies in holes, and what keeps clear of the walls of a hollow, out of the fill.
    fn clear_of_fill(&mut self, held: &Held) {
        for (strand, place) in std::mem::take(&mut self.fill) {
            let is_held = held.by_walls[place];
            let stray = is_held && !self.nest.is_filled(place, held.fill_mm[place], self.spacing);
            match self.nest.between[place] {
                Between::Air if stray => self.outside.push(strand),
                Between::Air => self.apart.push(strand),
                Between::Hollow if !is_held => self.apart.push(strand),
                _ => self.fill.push((strand, place)),
            }
        }
    }

    /// Takes the loops that are lines of a core out of the nest and counts them as fill.
    fn take_out(&mut self, layer: &Layer, lines: &[bool]) {
        let (loops, mut fill): (Vec<Loop>, Vec<usize>) = (std::mem::take(&mut self.nest.loops), Vec::new());
        let mut kept = Vec::new();
        for (l, is_line) in loops.into_iter().zip(lines) {
            if *is_line { fill.extend(l.strands) } else { kept.push(l) }
        }
        self.core_loops = fill.clone();
        self.nest = Nest::new(kept);
        fill.extend(self.fill.drain(..).map(|f| f.0));
        for strand in fill {
            if let Some(place) = majority(&self.nest, &spots_of(layer, &layer.strands[strand])) {
                self.fill.push((strand, place));
            }
        }
    }

    /// Outline of the loops and of the single-bead ribs that stand out from them.
    pub fn outline(&self, layer: &Layer, roles: &mut [Role]) -> Vec<Polygon> {
        if self.nest.loops.is_empty() {
            return self.outline_of_lines(layer, roles);
        }
        let outline = outline_of(&self.nest, self.spacing);
        let lines: Vec<LooseLine> = self.outside.iter().map(|&s| self.loose_line(layer, s)).collect();
        let mut ribs = Vec::new();
        for ((line, in_row), &strand) in lines.iter().zip(in_rows(&lines, ROW_BESIDE)).zip(&self.outside) {
            let ends = [line.points.first(), line.points.last()];
            let touches = || ends.into_iter().flatten().any(|p| near_outline(&outline, *p, line.width_mm));
            if in_row {
                roles[strand] = Role::Support;
            } else if touches() {
                let beads = layer.strand_beads(&layer.strands[strand]);
                let halves: Vec<f64> = beads.iter().map(|b| 0.5 * self.spacing.width_mm(b.area_mm2)).collect();
                ribs.extend(ribbon(&line.points, &halves));
                roles[strand] = Role::GapFill;
            }
        }
        for &strand in &self.apart {
            roles[strand] = Role::Support;
        }
        if ribs.is_empty() { outline } else { union(&outline, &ribs) }
    }

    /// Outline of a layer without any walls: of what is laid full, and of single lines. Rows with room between their
    /// lines hold something up.
    fn outline_of_lines(&self, layer: &Layer, roles: &mut [Role]) -> Vec<Polygon> {
        let lines: Vec<LooseLine> = self.outside.iter().map(|&s| self.loose_line(layer, s)).collect();
        let in_row = in_rows(&lines, ROW_ALONE);
        let own = || lines.iter().zip(&self.outside).zip(&in_row).filter(|(_, in_row)| !**in_row).map(|(line, _)| line);
        let pieces: Vec<FillPiece> = own().flat_map(|(_, &strand)| fill_pieces_of(layer, strand)).collect();
        let solid = solid_strands(&pieces, &[], &vec![false; layer.strands.len()], self.spacing);
        for (_, &strand) in own() {
            roles[strand] = if solid[strand] { Role::SolidInfill } else { Role::GapFill };
        }
        let strips = own().filter_map(|(line, _)| {
            ribbon(&line.points, &vec![0.5 * line.width_mm; line.points.len().saturating_sub(1)])
        });
        let seam_mm = 0.25 * lines.iter().map(|line| line.width_mm).fold(0.0, f64::max);
        closed(&strips.collect::<Vec<_>>(), seam_mm)
    }

    pub fn loose_line(&self, layer: &Layer, strand: usize) -> LooseLine {
        let beads = layer.strand_beads(&layer.strands[strand]);
        let width = |b: &Bead| self.spacing.width_mm(b.area_mm2);
        LooseLine {
            points: beads.first().map(|b| b.from).into_iter().chain(beads.iter().map(|b| b.to)).collect(),
            width_mm: beads.iter().map(width).fold(0.0, f64::max),
        }
    }

    pub fn wall_pieces(&self, layer: &Layer, roles: &[Role]) -> Vec<WallPiece> {
        // A loop that is starved along much of its way stands where it would stand with enough plastic.
        let usual_mm2 = weighted_median(self.nest.loops.iter().map(|l| (l.area_mm2, l.length_mm)).collect());
        let piece = |segment: Segment, area_mm2: f64| WallPiece {
            segment,
            width_mm: self.spacing.width_mm(area_mm2),
            reach_mm: self.spacing.widest_fused_mm(area_mm2.max(usual_mm2)),
        };
        let mut pieces = Vec::new();
        for l in &self.nest.loops {
            for &s in &l.strands {
                let beads = layer.strand_beads(&layer.strands[s]);
                pieces.extend(beads.iter().map(|b| piece(Segment::new(b.from, b.to), l.area_mm2)));
            }
            if l.gaps.is_empty() {
                pieces.extend(edges_of(&l.ring).last().map(|closing| piece(closing, l.area_mm2)));
            }
        }
        let single = self.outside.iter().copied().filter(|&s| roles[s] == Role::GapFill);
        for s in single.chain(self.open_walls.iter().copied()) {
            pieces.extend(self.as_wall(layer, s).0.into_iter().map(|(segment, area_mm2)| piece(segment, area_mm2)));
        }
        pieces
    }

    /// The beads of a strand with their sections; a narrow zigzag as one broad bead along its middle, with the pitch
    /// of the bead that it is woven of, mm.
    fn as_wall(&self, layer: &Layer, strand: usize) -> (Vec<(Segment, f64)>, Option<f64>) {
        let beads = layer.strand_beads(&layer.strands[strand]);
        let path: Vec<Segment> = beads.iter().map(|b| Segment::new(b.from, b.to)).collect();
        let area_mm2 = beads.iter().map(|b| b.area_mm2).fold(0.0, f64::max);
        let pitch_mm = self.spacing.pitch_mm(area_mm2);
        if layer.strands[strand].closed || !weaves(&path, pitch_mm) {
            return (path.into_iter().zip(beads.iter().map(|b| b.area_mm2)).collect(), None);
        }
        let along = middle_of(&path);
        let volume_mm3: f64 = beads.iter().map(|b| b.area_mm2 * b.length_mm).sum();
        let area_mm2 = volume_mm3 / along.iter().map(Segment::length_mm).sum::<f64>().max(1e-9);
        (along.into_iter().map(|segment| (segment, area_mm2)).collect(), Some(pitch_mm))
    }

    /// Takes the open strands that follow walls out of the fill.
    pub fn find_open_walls(&mut self, layer: &Layer) {
        let mut pieces = Vec::new();
        let mut accepted = vec![false; layer.strands.len()];
        let mut push = |strand: usize| {
            let laps = if layer.strands.get(strand + 1).is_some_and(|next| next.ghost) { 2.0 } else { 1.0 };
            let (along, woven_of_mm) = self.as_wall(layer, strand);
            for (segment, area_mm2) in along {
                let reach_mm = self.spacing.widest_fused_mm(area_mm2);
                let same_mm = 0.3 * self.spacing.width_mm(area_mm2);
                let fills_mm = laps * self.spacing.pitch_mm(area_mm2);
                pieces.push(Piece { segment, strand, reach_mm, same_mm, fills_mm, woven_of_mm });
            }
        };
        for &s in self.nest.loops.iter().flat_map(|l| &l.strands) {
            accepted[s] = true;
            push(s);
        }
        for (s, _) in self.fill.iter().filter(|(s, _)| !self.core_loops.contains(s)) {
            push(*s);
        }
        find_open_walls(&pieces, &mut accepted);
        let between = |place: usize| self.nest.between[place] == Between::Walls;
        let is_line = |s: &usize| self.core_loops.contains(s);
        let (walls, fill) = self.fill.iter().partition(|(s, place)| accepted[*s] || between(*place) && !is_line(s));
        self.fill = fill;
        let walls: Vec<(usize, usize)> = walls;
        self.open_walls = walls.into_iter().map(|w| w.0).collect();
    }

    /// The most walls that lie one within the other, counted from an edge.
    pub fn deepest_walls(&self) -> usize {
        let mut deep = vec![1; self.nest.loops.len()];
        // Parents come before their children.
        for i in 0..deep.len() {
            if let Some(parent) = self.nest.parent[i].filter(|p| self.nest.between[*p] == Between::Walls) {
                deep[i] = deep[parent] + 1;
            }
        }
        deep.into_iter().max().unwrap_or(0)
    }

    pub fn wall_roles(&self, roles: &mut [Role]) {
        for (l, standing) in self.nest.loops.iter().zip(&self.nest.standing) {
            let role = if *standing == Standing::Inner { Role::InnerWall } else { Role::OuterWall };
            for &s in &l.strands {
                roles[s] = role;
            }
        }
        for &s in &self.open_walls {
            roles[s] = Role::GapFill;
        }
    }

    /// Within the innermost walls: half a pitch inside their centrelines, less the open walls in there.
    pub fn core_rooms(&self, layer: &Layer) -> Vec<CoreRoom> {
        let mut cores = Vec::new();
        for (i, l) in self.nest.loops.iter().enumerate() {
            if !matches!(self.nest.between[i], Between::Fill | Between::Hollow) {
                continue;
            }
            let half = |l: &Loop| 0.5 * self.spacing.pitch_mm(l.area_mm2);
            let inside = offset_ring(&l.ring, -half(l));
            let mut islands = Vec::new();
            for &c in &self.nest.children[i] {
                let child = &self.nest.loops[c];
                islands.extend(offset_ring(&child.ring, half(child)));
            }
            cores.extend(if islands.is_empty() { inside } else { difference(&inside, &islands) });
        }
        let strip = |b: &Bead| Strip { from: b.from, to: b.to, width_mm: self.spacing.pitch_mm(b.area_mm2) };
        let strips = |&s: &usize| layer.strand_beads(&layer.strands[s]).iter().map(strip).collect();
        let open_walls: Vec<Vec<Strip>> = self.open_walls.iter().map(strips).collect();
        cores.into_iter().map(|core| CoreRoom::new(core, &open_walls)).collect()
    }

    /// Strands of fill that covers nearly all of the core it lies in.
    pub fn dense_strands(&self, layer: &Layer) -> Vec<usize> {
        let mut covered_mm2 = vec![0.0; self.nest.loops.len()];
        for &(strand, place) in &self.fill {
            let beads = layer.strand_beads(&layer.strands[strand]);
            covered_mm2[place] += beads.iter().map(|b| b.length_mm * self.spacing.pitch_mm(b.area_mm2)).sum::<f64>();
        }
        let dense = |place: usize| {
            let pitch = self.spacing.pitch_mm(self.nest.loops[place].area_mm2);
            covered_mm2[place] > DENSE * self.nest.core_area_mm2(place, pitch)
        };
        self.fill.iter().filter(|(_, place)| dense(*place)).map(|f| f.0).collect()
    }

    pub fn fill_pieces(&self, layer: &Layer) -> Vec<FillPiece> {
        self.fill.iter().flat_map(|&(strand, _)| fill_pieces_of(layer, strand)).collect()
    }
}

/// Straight pieces of a strand.
fn fill_pieces_of(layer: &Layer, strand: usize) -> impl Iterator<Item = FillPiece> {
    // A line that is laid out and back again is one line.
    let back = layer.strands.get(strand + 1).filter(|next| next.ghost);
    let beads = |s| layer.strand_beads(s).iter();
    let all = beads(&layer.strands[strand]).chain(back.into_iter().flat_map(beads));
    all.map(move |b| FillPiece {
        segment: Segment::new(b.from, b.to),
        strand,
        area_mm2: b.area_mm2,
        length_mm: b.length_mm,
    })
}

fn near_outline(outline: &[Polygon], point: Point, reach_mm: f64) -> bool {
    outline.iter().any(|p| p.contains(point))
        || outline
            .iter()
            .flat_map(Polygon::rings)
            .flat_map(edges_of)
            .any(|s| s.nearest(point).0.distance(point) <= reach_mm)
}

/// A few points spread over the strand.
pub(super) fn spots_of(layer: &Layer, strand: &Strand) -> Vec<Point> {
    let beads = layer.strand_beads(strand);
    let step = (beads.len() / 5).max(1);
    beads.iter().skip(step / 2).step_by(step).map(|b| b.from.lerp(b.to, 0.5)).collect()
}

/// The loop that holds most of `spots`; `None` when most lie outside of all loops.
pub(super) fn majority(nest: &Nest, spots: &[Point]) -> Option<usize> {
    let mut places: Vec<Option<usize>> = spots.iter().map(|&p| nest.innermost(p)).collect();
    places.sort_unstable();
    let mut best = (0, None);
    for group in places.chunk_by(|a, b| a == b) {
        if group.len() > best.0 {
            best = (group.len(), group[0]);
        }
    }
    best.1
}

#[cfg(test)]
#[path = "body_tests.rs"]
mod tests;
