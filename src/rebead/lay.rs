//! Lays slices as beads: for each island walls and single beads, then skins and core.

use super::alike::{first_alike, name_alike};
use super::core::{core_lines, solid_lines};
use super::laid::{Laid, LaidLayer, LaidStrand};
use super::part::Slice;
use super::ring::{broken_ring, closed_ring};
use super::settings::{FillOrder, Flaw, Settings, WallOrder};
use super::skins::{Column, Skins};
use super::surround::surround;
use super::walls::{WallSet, lay_walls};
use crate::geom::{Point, Polygon, box_of};
use crate::profile::Role;
use rayon::prelude::*;

/// Lays every slice with the given settings.
#[must_use]
pub fn lay(slices: &[Slice], settings: &Settings) -> Laid {
    let column = Column::new(slices);
    let plan = Plan { slices, settings, anchor: middle(slices), column };
    let alike = first_alike(slices, settings);
    let firsts: Vec<Option<LaidLayer>> =
        (0..slices.len()).into_par_iter().map(|i| (alike[i] == i).then(|| plan.layer(i))).collect();
    let again = |(index, slice): (usize, &Slice)| {
        let first = firsts[alike[index]].clone()?;
        Some(LaidLayer { index, z_mm: slice.z_mm, alike: index, ..first })
    };
    let mut layers: Vec<LaidLayer> = slices.iter().enumerate().filter_map(again).collect();
    if let (Some(layer), Some(slice)) = (layers.first_mut(), slices.first()) {
        let around = surround(slice, settings);
        layer.strands.splice(0..0, around);
    }
    if settings.fill_order == FillOrder::Nearest {
        layers.iter_mut().for_each(|layer| shorten_travel(&mut layer.strands));
    }
    name_alike(&mut layers);
    Laid { layers, settings: settings.clone() }
}

/// Middle of the box round all outlines: the point that aligned cores share.
#[must_use]
pub fn middle(slices: &[Slice]) -> Point {
    let outlines = slices.iter().flat_map(|slice| &slice.bodies).flat_map(|(_, outline)| outline);
    let corners: Vec<Point> = outlines.flat_map(|polygon| &polygon.outer).copied().collect();
    box_of(&corners).map_or_else(Point::default, |(low, high)| low.lerp(high, 0.5))
}

struct Plan<'a> {
    slices: &'a [Slice],
    settings: &'a Settings,
    column: Column,
    anchor: Point,
}

impl Plan<'_> {
    fn layer(&self, index: usize) -> LaidLayer {
        let slice = &self.slices[index];
        let mut layer = LaidLayer {
            index,
            alike: index,
            z_mm: slice.z_mm,
            height_mm: slice.height_mm,
            strands: Vec::new(),
            outline: self.column.outline(index).to_vec(),
            walls: self.settings.walls_in(index),
            core_mm2: 0.0,
            solid_mm2: 0.0,
        };
        for (tool, outline) in &slice.bodies {
            for island in outline {
                self.island(&mut layer, *tool, island);
            }
        }
        self.change_flow(&mut layer);
        layer
    }

    fn island(&self, layer: &mut LaidLayer, tool: u16, island: &Polygon) {
        let climbing = self.settings.spiral && layer.index >= self.settings.bottom_skins as usize;
        let walls = if climbing { 1 } else { layer.walls };
        let set = lay_walls(std::slice::from_ref(island), walls, layer.height_mm, self.settings);
        let start = layer.strands.len();
        self.walls(layer, tool, &set);
        if climbing {
            layer.strands[start..].iter_mut().for_each(|s| s.climbs = true);
        } else {
            self.fill(layer, tool, &set.inside);
        }
    }

    fn strand(&self, layer: &LaidLayer, tool: u16, role: Role, points: Vec<Point>, area_mm2: f64) -> LaidStrand {
        let closed = match (points.first(), points.last()) {
            (Some(first), Some(last)) => points.len() > 2 && first.distance(*last) < 0.3 * self.settings.bead_width_mm,
            _ => false,
        };
        let areas_mm2 = vec![area_mm2; points.len().saturating_sub(1)];
        let speed_mm_s = self.settings.speeds.of(role, layer.index == 0);
        LaidStrand { role, tool, points, areas_mm2, closed, climbs: false, speed_mm_s, flow: 1.0 }
    }

    fn walls(&self, layer: &mut LaidLayer, tool: u16, set: &WallSet) {
        let area = self.settings.bead_area_mm2(layer.height_mm);
        let mut loops: Vec<_> = set.loops.iter().collect();
        if self.settings.wall_order == WallOrder::InnerFirst {
            loops.reverse();
        }
        for (number, wall) in loops.into_iter().enumerate() {
            let role = if wall.depth == 0 { Role::OuterWall } else { Role::InnerWall };
            let ring = closed_ring(wall, self.settings, (layer.index, number));
            for piece in self.gaps(layer.index, ring) {
                layer.strands.push(self.strand(layer, tool, role, piece, area));
            }
        }
        for (depth, rib) in &set.ribs {
            let role = if *depth == 0 { Role::OuterWall } else { Role::GapFill };
            let mut strand = self.strand(layer, tool, role, rib.points.clone(), 0.0);
            strand.areas_mm2 = rib.strip_mm.iter().map(|u| u * layer.height_mm).collect();
            layer.strands.push(strand);
        }
    }

    /// A closed ring, broken where a flaw asks for it and short of its end by the settings' gap.
    fn gaps(&self, layer: usize, ring: Vec<Point>) -> Vec<Vec<Point>> {
        let mut pieces = vec![ring];
        for flaw in &self.settings.flaws {
            if let Flaw::WallGap { layers, at, size_mm } = flaw
                && layers.contains(&layer)
            {
                pieces = pieces.into_iter().flat_map(|piece| broken_ring(piece, *at, *size_mm)).collect();
            }
        }
        pieces
    }

    fn fill(&self, layer: &mut LaidLayer, tool: u16, inside: &[Polygon]) {
        let settings = self.settings;
        let pitch = settings.pitch_mm(layer.height_mm);
        let area = settings.bead_area_mm2(layer.height_mm);
        let total = self.slices.len();
        let open =
            settings.flaws.iter().any(|f| matches!(f, Flaw::OpenTop { layers } if layer.index + layers >= total));
        let skins = Skins {
            bottom: settings.bottom_skins,
            top: if open { 0 } else { settings.top_skins },
            reach_mm: settings.skin_reach_mm,
        };
        let mut sorted = self.column.sort(layer.index, inside, skins, pitch);
        if settings.core.density > 0.995 {
            sorted.skin = crate::geom::union(&sorted.skin, &std::mem::take(&mut sorted.core));
        }
        let angle = settings.skin_angle_deg + if layer.index.is_multiple_of(2) { 0.0 } else { 90.0 };
        for (role, region) in [(Role::Bridge, &sorted.bridge), (Role::SolidInfill, &sorted.skin)] {
            layer.solid_mm2 += area_of(region);
            for line in solid_lines(region, pitch, angle) {
                layer.strands.push(self.strand(layer, tool, role, line, area * settings.solid_flow));
            }
        }
        layer.core_mm2 += area_of(&sorted.core);
        for line in core_lines(&sorted.core, &settings.core, pitch, layer.index, self.anchor) {
            layer.strands.push(self.strand(layer, tool, Role::SparseInfill, line, area));
        }
    }

    fn change_flow(&self, layer: &mut LaidLayer) {
        if layer.index == 0 {
            let areas = layer.strands.iter_mut().flat_map(|strand| &mut strand.areas_mm2);
            areas.for_each(|area| *area *= self.settings.first_layer_flow);
        }
        for flaw in &self.settings.flaws {
            let Flaw::Flow { layers, share, by_override } = flaw else { continue };
            if !layers.contains(&layer.index) {
                continue;
            }
            for strand in &mut layer.strands {
                strand.areas_mm2.iter_mut().for_each(|a| *a *= share);
                if *by_override {
                    strand.flow *= share;
                }
            }
        }
    }
}

fn area_of(polygons: &[Polygon]) -> f64 {
    polygons.iter().map(Polygon::area_mm2).sum()
}

/// Puts neighbouring fill strands of one kind into an order with short travels, turning open ones as needed.
fn shorten_travel(strands: &mut [LaidStrand]) {
    let mut at = Point::default();
    for run in strands.chunk_by_mut(|a, b| (a.tool, a.role) == (b.tool, b.role)) {
        let fill = matches!(run[0].role, Role::SparseInfill | Role::SolidInfill | Role::Bridge | Role::GapFill);
        for next in 0..run.len() {
            if fill {
                nearest_first(&mut run[next..], at);
            }
            at = run[next].points.last().copied().unwrap_or(at);
        }
    }
}

fn nearest_first(strands: &mut [LaidStrand], at: Point) {
    let mut best = (f64::INFINITY, 0, false);
    for (i, strand) in strands.iter().enumerate() {
        let (Some(&first), Some(&last)) = (strand.points.first(), strand.points.last()) else { continue };
        for (end, backwards) in [(first, false), (last, true)] {
            if at.distance(end) < best.0 - 1e-9 {
                best = (at.distance(end), i, backwards);
            }
        }
    }
    let (_, chosen, backwards) = best;
    strands.swap(0, chosen);
    if let (true, Some(strand)) = (backwards, strands.first_mut()) {
        strand.points.reverse();
        strand.areas_mm2.reverse();
    }
}
