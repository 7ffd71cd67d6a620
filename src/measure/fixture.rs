//! Prints with a known truth, for the tests of this room.

#![allow(clippy::unwrap_used)]

use super::collect::raised;
use super::{PrintMeasures, Setup, measure_print};
use crate::deposit::Layer;
use crate::geom::{Point, Polygon};
use crate::profile::{Annotations, Limits, Machine, Material, Role};
use crate::shape::fixture::{Laid, plate, ring};
use std::f64::consts::FRAC_PI_4;
use std::fmt::Write as _;

/// Section of the filament that [`setup`] feeds, mm².
pub const FILAMENT_MM2: f64 = FRAC_PI_4 * 1.75 * 1.75;

/// A machine that is at full speed at once, so that times are lengths over speeds, and PETG in every tool.
pub fn setup() -> Setup {
    let limits = Limits {
        speed_mm_s: [1e4; 4],
        accel_mm_s2: [1e9; 4],
        accel_print_mm_s2: 1e9,
        accel_travel_mm_s2: 1e9,
        accel_retract_mm_s2: 1e9,
        corner_step_mm_s: Some([1e4; 4]),
        ..Limits::default()
    };
    Setup {
        material: Some(Material::load("petg").unwrap()),
        annotations: Annotations::none(),
        ..Setup::of(Machine { limits, ..Machine::load("open-small").unwrap() })
    }
}

pub fn measured(text: &str, setup: &Setup) -> PrintMeasures {
    measure_print(text.as_bytes(), setup, &mut |_| {}).unwrap()
}

/// Layers one on the other, 0.2 mm high, of beads 0.45 mm wide.
pub fn stack(count: usize, draw: impl Fn(usize, &mut Laid)) -> Vec<Layer> {
    let layer = |index: usize| {
        let mut laid = Laid::new(0.45, 0.2);
        draw(index, &mut laid);
        let layer = raised(&laid.layer, 0.2 * (index + 1) as f64 - laid.layer.z_mm);
        Layer { index: Some(index), ..layer }
    };
    (0..count).map(layer).collect()
}

/// The same layers as the file that lays them: at 100 mm/s to where a strand starts, at 40 mm/s along it.
pub fn text_of(layers: &[Layer]) -> String {
    let mut text = "G90\nM83\n".to_owned();
    let mut tool = 0;
    for layer in layers {
        writeln!(text, "G0 Z{:.3} F600", layer.z_mm).unwrap();
        for strand in &layer.strands {
            if strand.tool != tool {
                tool = strand.tool;
                writeln!(text, "T{tool}").unwrap();
            }
            let beads = layer.strand_beads(strand);
            writeln!(text, "G0 X{:.4} Y{:.4} F6000", beads[0].from.x, beads[0].from.y).unwrap();
            for bead in beads {
                let filament_mm = bead.volume_mm3() / FILAMENT_MM2;
                writeln!(text, "G1 X{:.4} Y{:.4} E{filament_mm:.7} F2400", bead.to.x, bead.to.y).unwrap();
            }
        }
    }
    text
}

/// A brick of 20 x 12 mm seen from above.
pub fn brick() -> Polygon {
    plate(ring(&[(50.0, 50.0), (70.0, 50.0), (70.0, 62.0), (50.0, 62.0)]), &[])
}

/// The plan of a layer's plastic as strips of its full height, mm².
pub fn thick_mm2(layer: &Layer) -> f64 {
    layer.volume_mm3() / layer.height_mm
}

/// The same layer with comments that call its second strand an outer wall and all further ones solid infill.
pub fn labelled(mut layer: Layer) -> Layer {
    for (number, strand) in layer.strands.iter_mut().enumerate() {
        strand.label = [None, Some(Role::OuterWall)].get(number).copied().unwrap_or(Some(Role::SolidInfill));
    }
    layer
}

/// Draws two walls, and lines in the core within them.
pub fn draw(laid: &mut Laid, drawing: &Polygon, density: f64) {
    laid.walls(drawing, 2).fill(drawing, 2, density);
}

/// The same layer further along x.
pub fn moved(mut layer: Layer, x_mm: f64) -> Layer {
    let by = Point::new(x_mm, 0.0);
    layer.beads.iter_mut().for_each(|bead| (bead.from, bead.to) = (bead.from + by, bead.to + by));
    layer
}

/// The layers, numbered on from those before them.
pub fn after(before: usize, layers: Vec<Layer>) -> impl Iterator<Item = Layer> {
    layers.into_iter().map(move |layer| Layer { index: layer.index.map(|index| index + before), ..layer })
}
