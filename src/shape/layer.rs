//! One layer of beads measured: outline, walls, core and roles.

use super::concentric::concentric_lines;
use super::fill::{FillPiece, core_of, solid_strands};
use super::flow::{role_flow, thin_ribs, wall_gaps};
use super::layer_shape::LayerShape;
use super::loops::{Loop, loops_of};
use super::nest::{Between, Nest, Standing};
use super::open_walls::{Piece, find_open_walls};
use super::outline::{Spacing, outline_of};
use super::strip::ribbon;
use super::walls::{WallPiece, WallProbe, ring_segments, summed_up};
use super::zigzag::{middle_of, weaves};
use crate::deposit::{Layer, Strand};
use crate::geom::{Point, Polygon, Segment, difference, nest as nest_rings, offset, ring_contains, union};
use crate::profile::Role;

/// Measures one layer by itself; layers do not depend on each other's results.
///
/// `usual_pitch_mm` is the distance at which walls lie in this print ([`UsualPitch`](super::UsualPitch)), if known.
///
/// Strands that the deposit room knows as adhesion or purge (it sees what lies above them) are no part of the part.
#[must_use]
pub fn measure_layer(layer: &Layer, usual_pitch_mm: Option<f64>) -> LayerShape {
    let beside = beside_the_part(layer);
    let mut roles: Vec<Role> =
        layer.strands.iter().zip(&beside).map(|(s, beside)| if *beside { s.role } else { Role::Unknown }).collect();
    let loops = loops_of(layer, &beside);
    let mut tools: Vec<u16> = loops.iter().map(|l| l.tool).collect();
    tools.sort_unstable();
    tools.dedup();
    let mut bodies: Vec<Body> = tools.iter().map(|&t| Body::new(layer, t, &loops)).collect();
    place_fill(layer, &mut bodies, &roles);
    let mut shape = LayerShape {
        index: layer.index.unwrap_or(0),
        z_mm: layer.z_mm,
        height_mm: layer.height_mm,
        ..LayerShape::default()
    };
    let mut rings = Vec::new();
    let (mut core_polygons, mut pieces, mut wall_lines) = (Vec::new(), Vec::new(), Vec::new());
    let mut spacing = Spacing::plain(layer.height_mm);
    for body in &mut bodies {
        body.settle(layer, usual_pitch_mm);
        body.find_open_walls(layer);
        let outline = body.outline(layer, &mut roles);
        let walls = body.wall_pieces(layer, &roles);
        rings.extend(WallProbe::new(&walls, &outline).samples(&outline));
        body.wall_roles(&mut roles);
        core_polygons.extend(body.core_polygons(layer));
        pieces.extend(body.fill_pieces(layer));
        wall_lines.extend(walls.iter().map(|w| w.segment));
        spacing = body.spacing;
        shape.gaps.extend(wall_gaps(layer, &body.nest));
        shape.outline_by_tool.push((body.tool, outline));
    }
    shape.outline = together(&shape.outline_by_tool);
    let mut dense = vec![false; layer.strands.len()];
    for strand in bodies.iter().flat_map(|b| b.dense_strands(layer)) {
        dense[strand] = true;
    }
    let solid = solid_strands(&pieces, &wall_lines, &dense, spacing);
    for piece in &pieces {
        roles[piece.strand] = if solid[piece.strand] { Role::SolidInfill } else { Role::SparseInfill };
    }
    shape.core = core_of(core_polygons, &pieces, &solid, spacing);
    shape.ribs = thin_ribs(&rings);
    shape.walls = summed_up(rings);
    leftover_roles(layer, &mut roles);
    shape.flow = role_flow(layer, &roles);
    shape.flow_ratio = spacing.measured.map(|distance| 1.0 / distance);
    shape.roles = roles;
    shape
}

/// Strands of skirt, brim and purge. Above the first layer none of them lies within the part's loops.
fn beside_the_part(layer: &Layer) -> Vec<bool> {
    let mut beside: Vec<bool> = layer.strands.iter().map(|s| matches!(s.role, Role::Adhesion | Role::Purge)).collect();
    if layer.index == Some(0) || !beside.contains(&true) {
        return beside;
    }
    let points = |s: &Strand| layer.strand_beads(s).iter().map(|b| b.from).collect::<Vec<Point>>();
    let own = layer.strands.iter().zip(&beside).filter(|(s, beside)| s.closed && !s.ghost && !**beside);
    let rings: Vec<Vec<Point>> = own.map(|(s, _)| points(s)).collect();
    for (strand, is_beside) in layer.strands.iter().zip(&mut beside) {
        let spot = layer.strand_beads(strand).first().map(|b| b.from.lerp(b.to, 0.5));
        *is_beside &= !spot.is_some_and(|spot| rings.iter().any(|ring| ring_contains(ring, spot)));
    }
    beside
}

fn together(by_tool: &[(u16, Vec<Polygon>)]) -> Vec<Polygon> {
    match by_tool {
        [] => Vec::new(),
        [(_, only)] => only.clone(),
        many => {
            let all: Vec<Polygon> = many.iter().flat_map(|t| t.1.iter().cloned()).collect();
            // Bodies that are drawn against each other must not leave a crack by rounding.
            offset(&offset(&union(&all, &[]), 0.01), -0.01)
        }
    }
}

/// What is left is no wall and no fill of the part.
fn leftover_roles(layer: &Layer, roles: &mut [Role]) {
    for (i, strand) in layer.strands.iter().enumerate() {
        if roles[i] == Role::Unknown {
            let before = i.checked_sub(1).map(|i| roles[i]);
            roles[i] = if strand.ghost {
                before.filter(|role| matches!(role, Role::SparseInfill | Role::SolidInfill)).unwrap_or(Role::InnerWall)
            } else if layer.index == Some(0) {
                Role::Purge
            } else {
                Role::Support
            };
        }
    }
}

/// Fill that covers this share of its core leaves no gaps but at its ends.
const DENSE: f64 = 0.8;

/// What one tool lays in a layer.
struct Body {
    tool: u16,
    nest: Nest,
    spacing: Spacing,
    /// Strands within its loops that are fill: strand and the loop it lies in.
    fill: Vec<(usize, usize)>,
    /// Loops among the fill: lines of a core that follow the walls.
    core_loops: Vec<usize>,
    /// Those of them that are walls: strand, and whether it fills the middle of a rib.
    open_walls: Vec<usize>,
    /// Open strands outside of its loops.
    outside: Vec<usize>,
}

impl Body {
    fn new(layer: &Layer, tool: u16, loops: &[Loop]) -> Self {
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
        }
    }

    fn settle(&mut self, layer: &Layer, usual_pitch_mm: Option<f64>) {
        let fill_mm = self.fill_mm(layer);
        self.spacing = Spacing::of(&self.nest, &fill_mm, usual_pitch_mm, layer.height_mm);
        self.nest.settle(&fill_mm, self.spacing);
        let lines = concentric_lines(&self.nest, &fill_mm, self.spacing);
        if lines.contains(&true) {
            self.take_out(layer, &lines);
            let fill_mm = self.fill_mm(layer);
            self.nest.settle(&fill_mm, self.spacing);
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

    /// Length of fill just within each loop, mm.
    fn fill_mm(&self, layer: &Layer) -> Vec<f64> {
        let mut fill_mm = vec![0.0; self.nest.loops.len()];
        for &(strand, place) in &self.fill {
            fill_mm[place] += layer.strand_beads(&layer.strands[strand]).iter().map(|b| b.length_mm).sum::<f64>();
        }
        fill_mm
    }

    /// Outline of the loops and of the single-bead ribs that stand out from them.
    fn outline(&self, layer: &Layer, roles: &mut [Role]) -> Vec<Polygon> {
        let outline = outline_of(&self.nest, self.spacing);
        let mut ribs = Vec::new();
        for &index in &self.outside {
            let beads = layer.strand_beads(&layer.strands[index]);
            let points: Vec<Point> =
                beads.first().map(|b| b.from).into_iter().chain(beads.iter().map(|b| b.to)).collect();
            let halves: Vec<f64> = beads.iter().map(|b| 0.5 * self.spacing.width_mm(b.area_mm2)).collect();
            let width = 2.0 * halves.iter().copied().fold(0.0, f64::max);
            let touches =
                [points.first(), points.last()].into_iter().flatten().any(|p| near_outline(&outline, *p, width));
            if touches {
                ribs.extend(ribbon(&points, &halves));
                roles[index] = Role::GapFill;
            }
        }
        if ribs.is_empty() { outline } else { union(&outline, &ribs) }
    }

    fn wall_pieces(&self, layer: &Layer, roles: &[Role]) -> Vec<WallPiece> {
        let piece = |segment: Segment, area_mm2: f64| WallPiece {
            segment,
            width_mm: self.spacing.width_mm(area_mm2),
            reach_mm: self.spacing.widest_fused_mm(area_mm2),
        };
        let mut pieces = Vec::new();
        for l in &self.nest.loops {
            for &s in &l.strands {
                let beads = layer.strand_beads(&layer.strands[s]);
                pieces.extend(beads.iter().map(|b| piece(Segment::new(b.from, b.to), l.area_mm2)));
            }
            if l.gaps.is_empty() {
                pieces.extend(ring_segments(&l.ring).last().map(|closing| piece(closing, l.area_mm2)));
            }
        }
        let single = self.outside.iter().copied().filter(|&s| roles[s] == Role::GapFill);
        for s in single.chain(self.open_walls.iter().copied()) {
            pieces.extend(self.as_wall(layer, s).into_iter().map(|(segment, area_mm2)| piece(segment, area_mm2)));
        }
        pieces
    }

    /// The beads of a strand with their sections; a narrow zigzag as one broad bead along its middle.
    fn as_wall(&self, layer: &Layer, strand: usize) -> Vec<(Segment, f64)> {
        let beads = layer.strand_beads(&layer.strands[strand]);
        let path: Vec<Segment> = beads.iter().map(|b| Segment::new(b.from, b.to)).collect();
        let area_mm2 = beads.iter().map(|b| b.area_mm2).fold(0.0, f64::max);
        if layer.strands[strand].closed || !weaves(&path, self.spacing.pitch_mm(area_mm2)) {
            return path.into_iter().zip(beads.iter().map(|b| b.area_mm2)).collect();
        }
        let along = middle_of(&path);
        let volume_mm3: f64 = beads.iter().map(|b| b.area_mm2 * b.length_mm).sum();
        let area_mm2 = volume_mm3 / along.iter().map(Segment::length_mm).sum::<f64>().max(1e-9);
        along.into_iter().map(|segment| (segment, area_mm2)).collect()
    }

    /// Takes the open strands that follow walls out of the fill.
    fn find_open_walls(&mut self, layer: &Layer) {
        let mut pieces = Vec::new();
        let mut accepted = vec![false; layer.strands.len()];
        let mut push = |strand: usize| {
            let laps = if layer.strands.get(strand + 1).is_some_and(|next| next.ghost) { 2.0 } else { 1.0 };
            for (segment, area_mm2) in self.as_wall(layer, strand) {
                let reach_mm = self.spacing.widest_fused_mm(area_mm2);
                let same_mm = 0.3 * self.spacing.width_mm(area_mm2);
                let fills_mm = laps * self.spacing.pitch_mm(area_mm2);
                pieces.push(Piece { segment, strand, reach_mm, same_mm, fills_mm });
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

    fn wall_roles(&self, roles: &mut [Role]) {
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

    /// Within the innermost walls: half a pitch inside their centrelines.
    fn core_polygons(&self, layer: &Layer) -> Vec<Polygon> {
        let mut cores = Vec::new();
        for (i, l) in self.nest.loops.iter().enumerate() {
            if !matches!(self.nest.between[i], Between::Fill | Between::Hollow) {
                continue;
            }
            let half = |l: &Loop| 0.5 * self.spacing.pitch_mm(l.area_mm2);
            let inside = offset(&nest_rings(std::slice::from_ref(&l.ring)), -half(l));
            let mut islands = Vec::new();
            for &c in &self.nest.children[i] {
                let child = &self.nest.loops[c];
                islands.extend(offset(&nest_rings(std::slice::from_ref(&child.ring)), half(child)));
            }
            cores.extend(if islands.is_empty() { inside } else { difference(&inside, &islands) });
        }
        if self.open_walls.is_empty() { cores } else { self.without_open_walls(layer, &cores) }
    }

    /// Cores less the open walls in them and less the slivers that these leave.
    fn without_open_walls(&self, layer: &Layer, cores: &[Polygon]) -> Vec<Polygon> {
        let (mut covered, mut widest) = (Vec::new(), 0.0_f64);
        for &s in &self.open_walls {
            let beads = layer.strand_beads(&layer.strands[s]);
            let points: Vec<Point> =
                beads.first().map(|b| b.from).into_iter().chain(beads.iter().map(|b| b.to)).collect();
            let halves: Vec<f64> = beads.iter().map(|b| 0.5 * self.spacing.pitch_mm(b.area_mm2)).collect();
            widest = halves.iter().copied().fold(widest, f64::max);
            covered.extend(ribbon(&points, &halves));
        }
        let open = difference(cores, &covered);
        offset(&offset(&open, -widest), widest)
    }

    /// Strands of fill that covers nearly all of the core it lies in.
    fn dense_strands(&self, layer: &Layer) -> Vec<usize> {
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

    fn fill_pieces(&self, layer: &Layer) -> Vec<FillPiece> {
        let mut pieces = Vec::new();
        for &(strand, _) in &self.fill {
            // A line that is laid out and back again is one line.
            let back = layer.strands.get(strand + 1).filter(|next| next.ghost);
            let beads = |s| layer.strand_beads(s).iter();
            for b in beads(&layer.strands[strand]).chain(back.into_iter().flat_map(beads)) {
                let segment = Segment::new(b.from, b.to);
                pieces.push(FillPiece { segment, strand, area_mm2: b.area_mm2, length_mm: b.length_mm });
            }
        }
        pieces
    }
}

fn near_outline(outline: &[Polygon], point: Point, reach_mm: f64) -> bool {
    outline.iter().any(|p| p.contains(point))
        || outline
            .iter()
            .flat_map(Polygon::rings)
            .flat_map(ring_segments)
            .any(|s| s.nearest(point).0.distance(point) <= reach_mm)
}

/// Gives every open strand to the loop that it lies in, of its own tool if that has one there.
fn place_fill(layer: &Layer, bodies: &mut [Body], roles: &[Role]) {
    let mut in_loop = vec![false; layer.strands.len()];
    for &s in bodies.iter().flat_map(|b| &b.nest.loops).flat_map(|l| &l.strands) {
        in_loop[s] = true;
    }
    for (index, strand) in layer.strands.iter().enumerate() {
        if strand.ghost || roles[index] != Role::Unknown || in_loop[index] {
            continue;
        }
        let spots = spots_of(layer, strand);
        let found = (0..bodies.len())
            .filter_map(|b| majority(&bodies[b].nest, &spots).map(|place| (bodies[b].tool != strand.tool, b, place)))
            .min();
        if let Some((_, b, place)) = found {
            bodies[b].fill.push((index, place));
        } else {
            let own = bodies.iter().position(|b| b.tool == strand.tool).unwrap_or(0);
            if let Some(body) = bodies.get_mut(own) {
                body.outside.push(index);
            }
        }
    }
}

/// A few points spread over the strand.
fn spots_of(layer: &Layer, strand: &Strand) -> Vec<Point> {
    let beads = layer.strand_beads(strand);
    let step = (beads.len() / 5).max(1);
    beads.iter().skip(step / 2).step_by(step).map(|b| b.from.lerp(b.to, 0.5)).collect()
}

/// The loop that holds most of `spots`; `None` when most lie outside of all loops.
fn majority(nest: &Nest, spots: &[Point]) -> Option<usize> {
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
