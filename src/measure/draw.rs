//! Drawings of a few layers, by reading the file once more.
//!
//! Which layers are worth a drawing is known only after the audit, and keeping every layer's beads would need
//! as much memory as the file. So the file is read again and only those are kept, with a rough trace of every
//! layer to leaf through.

use super::Setup;
use crate::deposit::{Depositor, Layer, Strand};
use crate::gcode;
use crate::gcode::Block;
use crate::geom::{Point, Polygon, simplified};
use crate::profile::Role;
use crate::shape::{UsualPitch, WallSample, measure_layer};
use std::collections::BTreeSet;

/// What is needed to draw one layer.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerDrawing {
    /// Index of the layer, from 0 at the bed.
    pub index: usize,
    /// Top, mm.
    pub z_mm: f64,
    /// Thickness, mm.
    pub height_mm: f64,
    /// Outline of the part, with holes.
    pub outline: Vec<Polygon>,
    /// Beads of the part, strand by strand.
    pub strands: Vec<DrawnStrand>,
    /// Points along the outline with what was counted there.
    pub wall_samples: Vec<WallSample>,
}

/// One strand as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnStrand {
    /// What it is for, by geometry.
    pub role: Role,
    /// Mean width, mm.
    pub width_mm: f64,
    /// Its centreline.
    pub path: Vec<Point>,
}

/// Outer edges of a layer, much simplified: enough to tell one layer from the next.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerTrace {
    /// Index of the layer.
    pub index: usize,
    /// Middle lines of its outermost loops.
    pub loops: Vec<Vec<Point>>,
}

/// Drawings of a few layers, and traces of all.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawings {
    /// The layers that were wanted, in print order.
    pub layers: Vec<LayerDrawing>,
    /// Every layer of the part, in print order; every second, third ... where there are very many.
    pub traces: Vec<LayerTrace>,
}

/// Traces keep this close to the loops, mm.
const TRACED_WITHIN_MM: f64 = 0.15;
/// Traces kept at most; beyond it every second one is let go.
const MOST_TRACES: usize = 600;

/// Draws the layers whose indexes are wanted, and traces all; those that do not exist are left out.
#[must_use]
pub fn draw_layers(bytes: &[u8], setup: &Setup, wanted: &BTreeSet<usize>) -> Drawings {
    let mut artist = Artist { wanted, kept: Vec::new(), traces: Vec::new(), usual: UsualPitch::default(), every: 1 };
    let mut motion = setup.motion();
    let mut depositor = Depositor::with_first_roles();
    let mut block = Block::default();
    let mut steps = Vec::new();
    for line in gcode::lines(bytes) {
        block.read(&line);
        motion.feed(&line, &block, &mut steps);
        for step in steps.drain(..) {
            depositor.push(&step, &mut |layer| artist.layer(layer));
        }
    }
    motion.finish(&mut steps);
    for step in steps.drain(..) {
        depositor.push(&step, &mut |layer| artist.layer(layer));
    }
    depositor.finish(&mut |layer| artist.layer(layer));
    artist.finish()
}

/// Draws layers as they come.
struct Artist<'a> {
    wanted: &'a BTreeSet<usize>,
    /// Wanted layers; they are drawn at the end, when the usual distance of walls is known.
    kept: Vec<Layer>,
    traces: Vec<LayerTrace>,
    usual: UsualPitch,
    /// Every how many layers are traced.
    every: usize,
}

impl Artist<'_> {
    fn layer(&mut self, layer: Layer) {
        let Some(index) = layer.index else { return };
        self.usual.push(&layer);
        if index % self.every == 0 {
            self.traces.push(LayerTrace { index, loops: outer_loops(&layer) });
        }
        if self.traces.len() > MOST_TRACES {
            self.every *= 2;
            let every = self.every;
            self.traces.retain(|trace| trace.index % every == 0);
        }
        if self.wanted.contains(&index) {
            self.kept.push(layer);
        }
    }

    fn finish(self) -> Drawings {
        let pitch_mm = self.usual.pitch_mm();
        Drawings { layers: self.kept.iter().map(|layer| drawing(layer, pitch_mm)).collect(), traces: self.traces }
    }
}

/// The loops that go for outer walls; every loop of a layer that has none.
fn outer_loops(layer: &Layer) -> Vec<Vec<Point>> {
    let part = || layer.strands.iter().filter(|s| s.closed && !s.ghost && s.role.is_part());
    let outer = || part().filter(|s| s.role == Role::OuterWall);
    let path = |strand: &Strand| {
        let beads = layer.strand_beads(strand);
        let points: Vec<Point> = beads.first().map(|b| b.from).into_iter().chain(beads.iter().map(|b| b.to)).collect();
        simplified(&points, TRACED_WITHIN_MM)
    };
    if outer().next().is_some() { outer().map(path).collect() } else { part().map(path).collect() }
}

fn drawing(layer: &Layer, usual_pitch_mm: Option<f64>) -> LayerDrawing {
    let shape = measure_layer(layer, usual_pitch_mm);
    let strands = layer
        .strands
        .iter()
        .zip(&shape.roles)
        .filter(|(_, role)| role.is_part())
        .filter_map(|(strand, &role)| {
            let beads = layer.strand_beads(strand);
            let length: f64 = beads.iter().map(|b| b.length_mm).sum();
            let area: f64 = beads.iter().map(|b| b.width_mm * b.length_mm).sum();
            let start = beads.first()?.from;
            let path = std::iter::once(start).chain(beads.iter().map(|b| b.to)).collect();
            (length > 0.0).then(|| DrawnStrand { role, width_mm: area / length, path })
        })
        .collect();
    LayerDrawing {
        index: shape.index,
        z_mm: layer.z_mm,
        height_mm: layer.height_mm,
        outline: shape.outline,
        strands,
        wall_samples: shape.walls.samples,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::fixture::{brick, setup};
    use super::*;
    use crate::shape::fixture::{Laid, ring};

    /// Three layers of a 12 by 8 mm rectangle, laid as one loop each.
    fn file() -> String {
        let mut text = "M82\nG92 E0\n".to_owned();
        let mut e = 0.0;
        for layer in 1..=3 {
            text += &format!("G1 Z{:.1} F600\nG0 X10 Y20\n", 0.2 * f64::from(layer));
            for (x, y) in [(22, 20), (22, 28), (10, 28), (10, 20)] {
                e += 0.4;
                text += &format!("G1 X{x} Y{y} E{e:.3} F1200\n");
            }
        }
        text
    }

    #[test]
    fn only_the_wanted_layers_are_drawn() {
        let drawn = draw_layers(file().as_bytes(), &setup(), &BTreeSet::from([1, 9]));
        assert_eq!(drawn.layers.iter().map(|d| d.index).collect::<Vec<_>>(), [1]);
        let layer = &drawn.layers[0];
        assert!((layer.z_mm - 0.4).abs() < 1e-9, "{}", layer.z_mm);
        let path = &layer.strands[0].path;
        assert_eq!((path[0], path[2]), (Point::new(10.0, 20.0), Point::new(22.0, 28.0)));
    }

    #[test]
    fn every_layer_is_traced() {
        let drawn = draw_layers(file().as_bytes(), &setup(), &BTreeSet::new());
        assert!(drawn.layers.is_empty());
        assert_eq!(drawn.traces.iter().map(|t| (t.index, t.loops.len())).collect::<Vec<_>>(), [(0, 1), (1, 1), (2, 1)]);
        assert_eq!(drawn.traces[0].loops[0].len(), 5, "four corners and back to the first");
    }

    /// A stack of so many layers, each of one small loop.
    fn traced(layers: u32) -> Vec<usize> {
        let mut text = "M83\n".to_owned();
        for layer in 1..=layers {
            text += &format!("G1 Z{:.2} F600\nG0 X10 Y20\n", 0.05 * f64::from(layer));
            for (x, y) in [(12, 20), (12, 22), (10, 22), (10, 20)] {
                text += &format!("G1 X{x} Y{y} E0.02 F1200\n");
            }
        }
        let drawn = draw_layers(text.as_bytes(), &setup(), &BTreeSet::new());
        drawn.traces.iter().map(|trace| trace.index).collect()
    }

    #[test]
    fn of_very_many_layers_every_second_or_fourth_is_traced() {
        assert_eq!(traced(600), (0..600).collect::<Vec<_>>());
        assert_eq!(traced(601), (0..601).step_by(2).collect::<Vec<_>>());
        assert_eq!(traced(1300), (0..1300).step_by(4).collect::<Vec<_>>());
    }

    /// A layer with loops of these roles, one within the other; the last is not closed, the one before is a lap.
    fn loops(roles: &[Role]) -> Layer {
        let mut laid = Laid::new(0.45, 0.2);
        for (place, role) in roles.iter().enumerate() {
            let low = 10.0 + place as f64;
            laid.strand(&ring(&[(low, low), (40.0, low), (40.0, 40.0), (low, 40.0)]), place + 1 < roles.len());
            laid.layer.strands[place].role = *role;
            laid.layer.strands[place].ghost = place + 2 == roles.len();
        }
        laid.layer
    }

    #[test]
    fn traces_are_the_loops_of_outer_walls_or_all_loops_of_the_part_where_none_is_known() {
        let starts = |roles: &[Role]| outer_loops(&loops(roles)).iter().map(|path| path[0].x).collect::<Vec<_>>();
        let (outer, inner) = (Role::OuterWall, Role::InnerWall);
        assert_eq!(starts(&[Role::Support, outer, inner, outer, outer, outer]), [11.0, 13.0]);
        assert_eq!(starts(&[Role::Adhesion, inner, Role::Unknown, inner, inner]), [11.0, 12.0]);
    }

    #[test]
    fn a_strand_is_drawn_as_wide_as_its_beads_are_on_the_mean_of_its_way() {
        let mut laid = Laid::new(0.45, 0.2);
        laid.walls(&brick(), 1);
        // Sides of 19.55 and 11.55 mm; one of the long ones is twice as wide.
        let long = laid.layer.beads.iter().position(|bead| bead.length_mm > 15.0).unwrap();
        laid.layer.beads[long].width_mm = 0.9;
        let strand = &drawing(&laid.layer, None).strands[0];
        let wanted = (19.55 * 0.9 + (19.55 + 2.0 * 11.55) * 0.45) / (2.0 * (19.55 + 11.55));
        assert!((strand.width_mm - wanted).abs() < 1e-6, "{} is not {wanted}", strand.width_mm);
    }
}
