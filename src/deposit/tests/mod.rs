//! The room as a whole, on parts drawn by the test pen in many manners.
#![allow(clippy::unwrap_used)]

mod bottoms;
mod brims;
mod heights;
mod numbers;
mod random;
mod roles;
mod strands;
mod towers;

use super::pen::Pen;
use super::{Layer, LayerKind, Totals};

/// Whatever the manner, these hold.
fn check(pen: &Pen) -> (Vec<Layer>, Totals) {
    let (layers, totals) = pen.layers();
    let laid: f64 = layers.iter().map(Layer::volume_mm3).sum();
    assert!((laid - pen.laid_mm3).abs() <= 1e-9 * pen.laid_mm3.max(1.0), "laid {laid}, fed {}", pen.laid_mm3);
    assert!((totals.bead_mm3() - pen.laid_mm3).abs() <= 1e-9 * pen.laid_mm3.max(1.0));
    let mut line = 0;
    for layer in &layers {
        let mut next = 0;
        for strand in &layer.strands {
            assert_eq!(strand.beads.start, next, "strands cover every bead once, in order");
            assert!(strand.beads.end > next);
            next = strand.beads.end;
        }
        assert_eq!(next, layer.beads.len());
        for bead in &layer.beads {
            assert!(bead.line >= line, "print order is kept");
            line = bead.line;
        }
    }
    let times: f64 = layers.iter().map(|l| l.time_s).sum();
    assert!(
        (times + totals.before_first_s + totals.after_last_s - totals.time_s).abs() < 1e-6,
        "every second is somewhere"
    );
    (layers, totals)
}

/// Prints `count` layers 0.2 mm high: `lay` is given the pen and the number of each, from 1.
fn print(count: usize, lay: impl Fn(&mut Pen, usize)) -> Pen {
    let mut pen = Pen::new();
    for k in 1..=count {
        pen.z = 0.2 * k as f64;
        lay(&mut pen, k);
    }
    pen
}

fn part(layers: &[Layer]) -> Vec<&Layer> {
    layers.iter().filter(|l| l.kind == LayerKind::Part).collect()
}

fn assert_near(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want} within {tolerance}");
}
