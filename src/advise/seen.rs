//! What is kept of one layer of a file that is to be laid again.

use super::core_look::Lines;
use super::habits::Weighed;
use crate::deposit::{Layer, Strand};
use crate::geom::{Point, Polygon, signed_area};
use crate::profile::Role;
use crate::shape::{LayerShape, WallSample};

/// A skin is at least so full.
const FULL: f64 = 0.9;
/// Layers with more strands of core are not looked at for their order.
const MOST_ENDS: usize = 400;

/// What is kept of one layer.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    pub z_mm: f64,
    pub height_mm: f64,
    pub bodies: Vec<(u16, Vec<Polygon>)>,
    /// Walls at most places that are not thin ribs.
    pub walls: Option<u32>,
    /// Section that half of the length of its walls stays under, mm².
    pub wall_area_mm2: Option<f64>,
    pub solid: bool,
    /// Nothing in it is sparse: its core is as full as skins are.
    pub full: bool,
    pub core: Lines,
    /// Ends of its core's beads.
    pub core_beads: Vec<(Point, Point)>,
    pub solid_lines: Lines,
    /// Where its first outer wall begins.
    pub seam: Option<Point>,
    pub outer_first: Option<bool>,
    /// Its core is laid by going to the nearest end every time.
    pub nearest_first: Option<bool>,
    pub counter: Option<bool>,
}

/// Looks at one layer.
pub(super) fn look(layer: &Layer, shape: LayerShape) -> Seen {
    let walls_at_most = usual_count(&shape.walls.samples);
    let (mut core, mut solid_lines, mut walls) = (Lines::default(), Lines::default(), Weighed::default());
    let mut order: Vec<Role> = Vec::new();
    let (mut ends, mut core_beads) = (Vec::new(), Vec::new());
    let (mut seam, mut counter) = (None, None);
    for (strand, &role) in layer.strands.iter().zip(&shape.roles) {
        let beads = layer.strand_beads(strand);
        match role {
            Role::SparseInfill => {
                core.add(beads, strand.closed);
                core_beads.extend(beads.iter().map(|b| (b.from, b.to)));
                ends.extend(beads.first().zip(beads.last()).map(|(first, last)| (first.from, last.to)));
            }
            Role::SolidInfill if !strand.closed => solid_lines.add(beads, false),
            Role::OuterWall | Role::InnerWall => {
                // Sections in thousandths, so that the steps of the scale are fine enough.
                beads.iter().for_each(|b| walls.add(1000.0 * b.area_mm2, b.length_mm));
                order.push(role);
            }
            _ => {}
        }
        if role == Role::OuterWall && seam.is_none() && strand.closed {
            seam = beads.first().map(|b| b.from);
            counter = Some(runs_counter(layer, strand));
        }
    }
    let two = |i: usize| Some((order.get(i)?, order.get(i + 1)?));
    let outer_first = (0..order.len()).filter_map(two).find_map(|pair| match pair {
        (Role::OuterWall, Role::InnerWall) => Some(true),
        (Role::InnerWall, Role::OuterWall) => Some(false),
        _ => None,
    });
    let bodies = if shape.outline_by_tool.is_empty() {
        vec![(layer.strands.first().map_or(0, |s| s.tool), shape.outline)]
    } else {
        shape.outline_by_tool
    };
    Seen {
        z_mm: layer.z_mm,
        height_mm: layer.height_mm,
        bodies,
        walls: walls_at_most,
        wall_area_mm2: walls.median().map(|a| a / 1000.0),
        solid: shape.core.as_ref().is_none_or(|c| c.solid),
        full: shape.core.as_ref().is_none_or(|c| c.density.is_none_or(|d| d > FULL)),
        core,
        core_beads,
        solid_lines,
        seam,
        outer_first,
        nearest_first: nearest_first(&ends),
        counter,
    }
}

/// Walls at most places: of those that are not thin ribs, unless the layer is hardly more than thin ribs.
fn usual_count(samples: &[WallSample]) -> Option<u32> {
    let plain = || samples.iter().filter(|s| !s.corner && s.count > 0);
    let ribs = 2 * plain().filter(|s| s.through).count() > plain().count();
    let mut counts: Vec<u32> = plain().filter(|s| ribs == s.through).map(|s| s.count).collect();
    counts.sort_unstable();
    counts.get(counts.len() / 2).copied()
}

/// Whether a fill goes on at the nearest end nearly every time; strands by their ends, in print order.
fn nearest_first(ends: &[(Point, Point)]) -> Option<bool> {
    if !(4..=MOST_ENDS).contains(&ends.len()) {
        return None;
    }
    let nearest = |i: usize| {
        let at = ends[i].1;
        let taken = at.distance(ends[i + 1].0);
        let others = ends[i + 1..].iter().flat_map(|(a, b)| [a, b]);
        taken <= others.map(|p| p.distance(at)).fold(f64::INFINITY, f64::min) + 1e-3
    };
    let right = (0..ends.len() - 1).filter(|i| nearest(*i)).count();
    Some(10 * right > 8 * (ends.len() - 1))
}

fn runs_counter(layer: &Layer, strand: &Strand) -> bool {
    let ring: Vec<Point> = layer.strand_beads(strand).iter().map(|b| b.from).collect();
    signed_area(&ring) > 0.0
}
