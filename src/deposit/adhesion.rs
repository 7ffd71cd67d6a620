//! Skirts and brims: loops at the bottom, outside the part, that nothing is built on.

use super::roles::places;
use super::run::Run;
use super::{Bead, BeadGrid, Layer, Loop, Nest, loops};
use crate::geom::Point;
use crate::profile::Role;
use std::collections::VecDeque;

/// Skirts are at most so many layers high.
const MOST_LAYERS: usize = 6;

/// What will lie over a layer at the bottom.
pub(super) struct Above<'a> {
    /// Beads of the next layer, and of one higher up than any skirt; none where the layer is too high for a skirt.
    next: Option<(&'a Run, &'a Run)>,
}

impl<'a> Above<'a> {
    /// What lies over the layer `index` of the part, which has just left the front of the queue.
    pub fn of(queue: &'a VecDeque<Run>, index: usize) -> Self {
        if index >= MOST_LAYERS {
            return Self { next: None };
        }
        let higher = queue.get(MOST_LAYERS - index - 1).or_else(|| queue.back());
        Self { next: queue.front().zip(higher) }
    }

    /// Gives adhesion its role.
    pub fn mark(&self, layer: &mut Layer) {
        let Some((next, higher)) = self.next else { return };
        let (next, higher) = (Cover::new(next), Cover::new(higher));
        let skirts = skirts(layer, &next, &higher);
        let brims = if layer.index == Some(0) { brims(layer, &next) } else { Vec::new() };
        for strand in skirts.into_iter().chain(brims) {
            layer.strands[strand].role = Role::Adhesion;
        }
    }
}

/// A run that may lie over a strand.
struct Cover<'a> {
    grid: BeadGrid<'a>,
    loops: Nest,
}

impl<'a> Cover<'a> {
    fn new(run: &'a Run) -> Self {
        let loops = run.loops().map(|(number, beads)| Loop::new(number, beads)).collect();
        Self { grid: BeadGrid::new(&run.beads, |_| true), loops: Nest::new(loops) }
    }

    /// Share of places along a strand that lie within the run's loops or within `reach_mm` of its beads.
    fn share(&self, layer: &Layer, strand: usize, reach_mm: f64) -> f64 {
        let beads = layer.strand_beads(&layer.strands[strand]);
        share(beads, |p| self.grid.any_near(p, reach_mm) || self.loops.smallest_around(p, |_| true).is_some())
    }
}

/// Share of places along beads of which `holds` is true.
fn share(beads: &[Bead], holds: impl Fn(Point) -> bool) -> f64 {
    let (mut yes, mut all) = (0.0, 0.0);
    for (p, _) in places(beads, 1.0) {
        yes += f64::from(u8::from(holds(p)));
        all += 1.0;
    }
    if all > 0.0 { yes / all } else { 1.0 }
}

/// Share of places along a strand with a bead of `above` within `reach_mm`.
fn covered(layer: &Layer, strand: usize, above: &BeadGrid<'_>, reach_mm: f64) -> f64 {
    let beads = layer.strand_beads(&layer.strands[strand]);
    share(beads, |p| above.any_near(p, reach_mm))
}

fn width(layer: &Layer) -> f64 {
    super::flow::median_width_mm(&layer.beads).unwrap_or(0.4)
}

/// Strands on which nothing stands, at once or higher up, and which touch nothing on which something stands.
fn skirts(layer: &Layer, next: &Cover<'_>, higher: &Cover<'_>) -> Vec<usize> {
    let width = width(layer);
    let is_bare = |s: usize| next.share(layer, s, width) < 0.05 || covered(layer, s, &higher.grid, 1.5 * width) < 0.05;
    let bare: Vec<bool> = (0..layer.strands.len()).map(is_bare).collect();
    let candidates: Vec<usize> = (0..bare.len()).filter(|s| bare[*s]).collect();
    if candidates.is_empty() || candidates.len() == bare.len() {
        return Vec::new();
    }
    let mut built = vec![false; layer.beads.len()];
    for (strand, _) in bare.iter().enumerate().filter(|(_, b)| !**b) {
        built[layer.strands[strand].beads.clone()].fill(true);
    }
    let mut alone = candidates;
    // Whatever touches the part, directly or through others, is part.
    loop {
        let grid = BeadGrid::new(&layer.beads, |i| built[i]);
        let touching: Vec<usize> =
            alone.iter().copied().filter(|s| covered(layer, *s, &grid, 1.6 * width) > 0.0).collect();
        if touching.is_empty() {
            return alone;
        }
        for strand in &touching {
            built[layer.strands[*strand].beads.clone()].fill(true);
        }
        alone.retain(|s| !touching.contains(s));
    }
}

/// Loops round the part's outer walls, side by side with nothing but loops between, on which nothing stands.
fn brims(layer: &Layer, next: &Cover<'_>) -> Vec<usize> {
    let width = width(layer);
    let share: Vec<f64> = (0..layer.strands.len()).map(|s| next.share(layer, s, 0.6 * width)).collect();
    let bare_open: f64 = volume(layer, |s| !layer.strands[s].closed && share[s] < 0.2);
    let nest = Nest::new(loops(&layer.beads, &layer.strands));
    let built = |l: usize| share[nest.loops[l].strand] >= 0.5;
    let rings: Vec<usize> =
        (0..nest.loops.len()).filter(|l| share[nest.loops[*l].strand] < 0.2 && outside(&nest, *l, &built)).collect();
    let bare_rings: f64 = rings.iter().map(|l| volume(layer, |s| s == nest.loops[*l].strand)).sum();
    if rings.is_empty() || bare_open > 0.1 * bare_rings || !stands_straight(layer, &nest, &built, &next.grid, width) {
        return Vec::new();
    }
    rings.into_iter().map(|l| nest.loops[l].strand).collect()
}

fn volume(layer: &Layer, take: impl Fn(usize) -> bool) -> f64 {
    let taken = layer.strands.iter().enumerate().filter(|(i, _)| take(*i));
    taken.flat_map(|(_, s)| layer.strand_beads(s)).map(Bead::volume_mm3).sum()
}

/// No loop that is built on lies around it.
fn outside(nest: &Nest, lap: usize, built: &impl Fn(usize) -> bool) -> bool {
    let mut at = nest.parents[lap];
    while let Some(parent) = at {
        if built(parent) {
            return false;
        }
        at = nest.parents[parent];
    }
    true
}

/// The outermost loops that are built on stand right under the loops above: the part does not taper here, so
/// a bare loop outside them is no wall of it.
fn stands_straight(
    layer: &Layer,
    nest: &Nest,
    built: &impl Fn(usize) -> bool,
    next: &BeadGrid<'_>,
    width_mm: f64,
) -> bool {
    let mut outermost = (0..nest.loops.len()).filter(|l| built(*l) && outside(nest, *l, built)).peekable();
    outermost.peek().is_some() && outermost.all(|l| covered(layer, nest.loops[l].strand, next, 0.25 * width_mm) > 0.8)
}
