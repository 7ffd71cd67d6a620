//! Hand-made layers with a known truth, for the tests of this room and the next.

#![allow(clippy::unwrap_used)]

use crate::deposit::by_hand::layer;
use crate::deposit::{Bead, Layer, Strand};
use crate::geom::{Point, Polygon, Ring, offset};
use crate::profile::Role;
use std::f64::consts::FRAC_PI_4;

pub(crate) fn ring(corners: &[(f64, f64)]) -> Ring {
    corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
}

pub(crate) fn circle(centre: (f64, f64), radius: f64, corners: usize) -> Ring {
    (0..corners)
        .map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / corners as f64;
            Point::new(centre.0 + radius * angle.cos(), centre.1 + radius * angle.sin())
        })
        .collect()
}

/// A plate with its holes, as a drawing.
pub(crate) fn plate(outer: Ring, holes: &[Ring]) -> Polygon {
    let turned = |r: &Ring| r.iter().rev().copied().collect();
    Polygon { outer, holes: holes.iter().map(turned).collect() }
}

/// Lays beads of one width and height.
pub(crate) struct Laid {
    pub layer: Layer,
    pub width_mm: f64,
    /// Flow over the flow that the width asks for.
    pub flow: f64,
}

impl Laid {
    pub fn new(width_mm: f64, height_mm: f64) -> Self {
        Self { layer: layer(7, height_mm, Vec::new()), width_mm, flow: 1.0 }
    }

    /// Distance of neighbouring beads: section / height.
    pub fn pitch_mm(&self) -> f64 {
        self.width_mm - self.layer.height_mm * (1.0 - FRAC_PI_4)
    }

    pub fn strand(&mut self, points: &[Point], closed: bool) -> &mut Self {
        let start = self.layer.beads.len();
        let area_mm2 = self.flow * self.pitch_mm() * self.layer.height_mm;
        let width_mm = area_mm2 / self.layer.height_mm + self.layer.height_mm * (1.0 - FRAC_PI_4);
        let ends = points.iter().skip(1).chain(points.first().filter(|_| closed));
        for (&from, &to) in points.iter().zip(ends) {
            let length_mm = from.distance(to);
            let z_mm = self.layer.z_mm;
            self.layer.beads.push(Bead {
                from,
                to,
                z_mm,
                length_mm,
                area_mm2,
                width_mm,
                time_s: length_mm / 40.0,
                line: 1,
            });
        }
        let beads = start..self.layer.beads.len();
        self.layer.strands.push(Strand { beads, tool: 0, closed, label: None, role: Role::Unknown, ghost: false });
        self
    }

    /// Wall `k` of every ring of the drawing, 0 outermost.
    pub fn wall(&mut self, drawing: &Polygon, k: usize) -> &mut Self {
        let depth = 0.5 * self.width_mm + k as f64 * self.pitch_mm();
        for polygon in offset(std::slice::from_ref(drawing), -depth) {
            for ring in polygon.rings() {
                self.strand(ring, true);
            }
        }
        self
    }

    /// Walls from the innermost to the outermost.
    pub fn walls(&mut self, drawing: &Polygon, count: usize) -> &mut Self {
        for k in (0..count).rev() {
            self.wall(drawing, k);
        }
        self
    }

    /// Fill along x over the core within `walls` walls, each line a strand of its own.
    pub fn fill(&mut self, drawing: &Polygon, walls: usize, density: f64) -> &mut Self {
        let depth = 0.5 * self.width_mm + (walls as f64 - 0.5) * self.pitch_mm();
        let core = offset(std::slice::from_ref(drawing), -depth);
        let (low, high) = crate::geom::box_of(&drawing.outer).unwrap();
        let step = self.pitch_mm() / density;
        let mut y = low.y + depth + 0.5 * self.pitch_mm();
        while y < high.y - depth {
            let line = [Point::new(low.x - 1.0, y), Point::new(high.x + 1.0, y)];
            for piece in crate::geom::clip_line(&line, &core, false) {
                self.strand(&piece, false);
            }
            y += step;
        }
        self
    }
}
