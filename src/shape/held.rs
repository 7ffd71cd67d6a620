//! Which fill is held by the walls round it.
//!
//! ```text
//!   ||/\/\/\/\||   a core ends at its walls        || |‾|_|‾| ||   what keeps clear of them stands by itself
//! ```

use super::body::Body;
use super::loop_edges::LoopEdges;
use super::loops::Loop;
use super::nest::Nest;
use super::rows::{LooseLine, ROW_WITHIN, in_rows};
use crate::deposit::{Bead, Layer};
use crate::geom::edges_of;
use std::cell::LazyCell;

/// Fill ends nearer to the middle of its walls than this many widths (real files: 0.3 to 1); support keeps clear.
const UP_TO_WALLS: f64 = 1.4;

/// What of a body's fill is held by the walls round it, for each loop.
pub(super) struct Held {
    /// Whether the fill just within it is its own: rows of lines that keep clear of its walls are no core but stand in
    /// a hole or a hollow by themselves. A patch without gaps is skin, wherever it lies.
    pub by_walls: Vec<bool>,
    /// Length of such fill, mm.
    pub fill_mm: Vec<f64>,
}

impl Held {
    pub fn of(body: &Body, layer: &Layer) -> Self {
        let (by_walls, mut fill_mm) = (held_by_walls(body, layer), vec![0.0; body.nest.loops.len()]);
        for &(strand, place) in body.fill.iter().filter(|(_, place)| by_walls[*place]) {
            fill_mm[place] += layer.strand_beads(&layer.strands[strand]).iter().map(|b| b.length_mm).sum::<f64>();
        }
        Self { by_walls, fill_mm }
    }
}

fn held_by_walls(body: &Body, layer: &Layer) -> Vec<bool> {
    let mut held = vec![false; body.nest.loops.len()];
    let edges = LazyCell::new(|| LoopEdges::of(&body.nest.loops));
    for &(strand, place) in &body.fill {
        let beads = layer.strand_beads(&layer.strands[strand]);
        held[place] = held[place]
            || body.core_loops.contains(&strand)
            // Nearly all fill begins at a wall, and one look costs less than sorting the edges of all loops.
            || begins_at_walls(&body.nest, beads, place)
            || goes_round(beads)
            || comes_up_to_walls(&body.nest, &edges, beads, place);
    }
    let mut clear: Vec<usize> = body.fill.iter().map(|f| f.1).filter(|place| !held[*place]).collect();
    clear.sort_unstable();
    clear.dedup();
    for place in clear {
        let strands = body.fill.iter().filter(|f| f.1 == place);
        let lines: Vec<LooseLine> = strands.map(|f| body.loose_line(layer, f.0)).collect();
        held[place] = !in_rows(&lines, ROW_WITHIN).contains(&true) || lines.iter().any(LooseLine::is_full);
    }
    held
}

/// Whether a strand goes more than once round, as one line does that fills a place from the outside in.
fn goes_round(beads: &[Bead]) -> bool {
    let turn = |pair: &[Bead]| {
        let (before, after) = (pair[0].to - pair[0].from, pair[1].to - pair[1].from);
        before.cross(after).atan2(before.dot(after))
    };
    beads.windows(2).map(turn).sum::<f64>().abs() > 1.5 * std::f64::consts::TAU
}

/// A loop and those directly within it.
fn walls_round(nest: &Nest, place: usize) -> impl Iterator<Item = usize> {
    std::iter::once(place).chain(nest.children[place].iter().copied())
}

fn reach_mm(wall: &Loop, bead: &Bead) -> f64 {
    UP_TO_WALLS * 0.5 * (wall.width_mm + bead.width_mm)
}

fn begins_at_walls(nest: &Nest, beads: &[Bead], place: usize) -> bool {
    let Some(bead) = beads.first() else { return false };
    let p = bead.from;
    let comes_near = |l: &Loop| {
        let reach_mm = reach_mm(l, bead);
        let far = p.x < l.low.x - reach_mm
            || p.y < l.low.y - reach_mm
            || p.x > l.high.x + reach_mm
            || p.y > l.high.y + reach_mm;
        !far && edges_of(&l.ring).any(|s| s.nearest(p).0.distance(p) < reach_mm)
    };
    walls_round(nest, place).any(|wall| comes_near(&nest.loops[wall]))
}

/// Whether any bead of fill in loop `place` ends near the walls round it.
fn comes_up_to_walls(nest: &Nest, edges: &LoopEdges, beads: &[Bead], place: usize) -> bool {
    let widest_mm = walls_round(nest, place).map(|wall| nest.loops[wall].width_mm).fold(0.0, f64::max);
    beads.iter().any(|bead| {
        let mut found = false;
        let round = |wall: usize| wall == place || nest.parent[wall] == Some(place);
        edges.near(bead.to, UP_TO_WALLS * 0.5 * (widest_mm + bead.width_mm), round, |wall, distance_mm| {
            found |= distance_mm < reach_mm(&nest.loops[wall], bead);
        });
        found
    })
}

#[cfg(test)]
#[path = "held_tests.rs"]
mod tests;
