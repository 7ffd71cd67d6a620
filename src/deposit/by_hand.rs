//! Beads, strands, runs and layers drawn by hand, for tests.

use super::run::{Run, RunBuilder};
use super::strand::RawStrand;
use super::{Bead, Layer, LayerKind, Strand};
use crate::geom::Point;
use crate::profile::Role;

/// Corners of a path, mm.
pub type Corners = Vec<(f64, f64)>;

/// Beads from corner to corner, 0.4 mm wide and 0.2 mm high.
pub fn beads(corners: &[(f64, f64)]) -> Vec<Bead> {
    let bead = |ends: &[(f64, f64)]| {
        let (from, to) = (Point::new(ends[0].0, ends[0].1), Point::new(ends[1].0, ends[1].1));
        Bead { from, to, z_mm: 0.2, length_mm: from.distance(to), area_mm2: 0.08, width_mm: 0.4, time_s: 1.0, line: 1 }
    };
    corners.windows(2).map(bead).collect()
}

/// A layer of the part, in a stack of layers of one height.
pub fn layer(index: usize, height_mm: f64, beads: Vec<Bead>) -> Layer {
    Layer {
        index: Some(index),
        kind: LayerKind::Part,
        z_mm: height_mm * (index + 1) as f64,
        height_mm,
        rising: false,
        beads,
        strands: Vec::new(),
        time_s: 0.0,
        lines: (1, 1),
        blob_mm3: 0.0,
        nozzle_c: None,
        number: None,
    }
}

/// A rectangle from its lower left corner round to `gap` mm before it.
pub fn ring(x0: f64, y0: f64, x1: f64, y1: f64, gap: f64) -> Corners {
    vec![(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0 + gap)]
}

/// A layer's beads and strands: paths and whether they close.
pub fn strands(paths: &[(Corners, bool)]) -> (Vec<Bead>, Vec<Strand>) {
    let (mut all, mut made) = (Vec::new(), Vec::new());
    for (corners, closed) in paths {
        let first = all.len();
        all.extend(beads(corners));
        let beads = first..all.len();
        made.push(Strand { beads, tool: 0, closed: *closed, label: None, role: Role::Unknown, ghost: false });
    }
    (all, made)
}

/// A run at one height; every path is a strand of its own, its beads of the section given.
pub(super) fn run(z_mm: f64, area_mm2: f64, paths: &[Corners]) -> Run {
    let mut builder = RunBuilder::default();
    for corners in paths {
        let done = builder.push(strand(z_mm, area_mm2, corners));
        assert!(done.is_none(), "one height is one run");
    }
    builder.finish().unwrap_or_default()
}

/// A level strand.
pub(super) fn strand(z_mm: f64, area_mm2: f64, corners: &[(f64, f64)]) -> RawStrand {
    let mut strand = RawStrand::default();
    for bead in beads(corners) {
        strand.add(Bead { z_mm, area_mm2, ..bead }, z_mm, None, None);
    }
    strand
}
