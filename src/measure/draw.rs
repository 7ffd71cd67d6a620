//! Drawings of a few layers, by reading the file once more.
//!
//! Which layers are worth a drawing is known only after the audit, and keeping every layer's beads would need
//! as much memory as the file. So the file is read again, up to the last layer that is wanted, and only those
//! are kept.

use super::Setup;
use crate::deposit::{Depositor, Layer};
use crate::gcode;
use crate::gcode::Block;
use crate::geom::{Point, Polygon};
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

/// Draws the layers whose indexes are wanted; those that do not exist are left out.
#[must_use]
pub fn draw_layers(bytes: &[u8], setup: &Setup, wanted: &BTreeSet<usize>) -> Vec<LayerDrawing> {
    let mut layers: Vec<Layer> = Vec::new();
    if wanted.is_empty() {
        return Vec::new();
    }
    let mut motion = setup.motion();
    let mut depositor = Depositor::new();
    let mut block = Block::default();
    let mut steps = Vec::new();
    for line in gcode::lines(bytes) {
        block.read(&line);
        motion.feed(&line, &block, &mut steps);
        for step in steps.drain(..) {
            depositor.push(&step, &mut |layer| keep(layer, wanted, &mut layers));
        }
        if layers.len() == wanted.len() {
            return drawings(&layers);
        }
    }
    motion.finish(&mut steps);
    for step in steps.drain(..) {
        depositor.push(&step, &mut |layer| keep(layer, wanted, &mut layers));
    }
    depositor.finish(&mut |layer| keep(layer, wanted, &mut layers));
    drawings(&layers)
}

fn keep(layer: Layer, wanted: &BTreeSet<usize>, into: &mut Vec<Layer>) {
    if layer.index.is_some_and(|index| wanted.contains(&index)) {
        into.push(layer);
    }
}

fn drawings(layers: &[Layer]) -> Vec<LayerDrawing> {
    let mut usual = UsualPitch::default();
    layers.iter().for_each(|layer| usual.push(layer));
    let usual_pitch_mm = usual.pitch_mm();
    layers.iter().map(|layer| drawing(layer, usual_pitch_mm)).collect()
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
    use super::*;
    use crate::profile::{Annotations, Machine};
    use std::collections::BTreeMap;

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

    fn setup() -> Setup {
        Setup {
            machine: Machine::load("open-small").unwrap(),
            materials: BTreeMap::new(),
            material: None,
            annotations: Annotations::none(),
            detail: false,
            strict: false,
        }
    }

    #[test]
    fn only_the_wanted_layers_are_drawn() {
        let drawn = draw_layers(file().as_bytes(), &setup(), &BTreeSet::from([1, 9]));
        assert_eq!(drawn.iter().map(|d| d.index).collect::<Vec<_>>(), [1]);
        let layer = &drawn[0];
        assert!((layer.z_mm - 0.4).abs() < 1e-9, "{}", layer.z_mm);
        let path = &layer.strands[0].path;
        assert_eq!((path[0], path[2]), (Point::new(10.0, 20.0), Point::new(22.0, 28.0)));
    }

    #[test]
    fn nothing_wanted_draws_nothing() {
        assert!(draw_layers(file().as_bytes(), &setup(), &BTreeSet::new()).is_empty());
    }
}
