//! Which layer, how high, how thick.

use super::super::pen::Pen;
use super::{assert_near, check, part};
use crate::motion::EventKind;

fn stack(pen: &mut Pen, count: usize, thick: f64) {
    for k in 1..=count {
        pen.z = thick * k as f64;
        pen.block(50.0, 60.0, 0.41);
    }
}

#[test]
fn plain_layers_have_their_heights_and_times() {
    let mut pen = Pen::new();
    stack(&mut pen, 30, 0.2);
    let (layers, _) = check(&pen);
    assert_eq!(layers.len(), 30);
    for (k, layer) in layers.iter().enumerate() {
        assert_eq!(layer.index, Some(k));
        assert_near(layer.z_mm, 0.2 * (k + 1) as f64, 1e-9);
        assert_near(layer.height_mm, 0.2, 1e-9);
        assert!(!layer.rising);
    }
    assert_near(layers[3].time_s, layers[4].time_s, 1e-9);
}

#[test]
fn hops_and_wipes_make_no_layer() {
    let mut pen = Pen::new();
    pen.hop = 0.6;
    for k in 1..=8 {
        pen.z = 0.2 * k as f64;
        pen.block(50.0, 60.0, 0.41);
        pen.wipe(52.0, 70.0);
        pen.block(90.0, 60.0, 0.41);
    }
    let (layers, totals) = check(&pen);
    assert_eq!(layers.len(), 8);
    assert!(totals.retractions == 24);
}

#[test]
fn uneven_layers_keep_their_steps() {
    let mut pen = Pen::new();
    let mut z = 0.0;
    for thick in [0.3, 0.2, 0.2, 0.1, 0.05, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.3] {
        z += thick;
        (pen.z, pen.height) = (z, thick);
        pen.block(40.0, 30.0, 0.41);
    }
    let (layers, _) = check(&pen);
    let heights: Vec<f64> = layers.iter().map(|l| (l.height_mm * 1000.0).round() / 1000.0).collect();
    assert_eq!(heights, [0.3, 0.2, 0.2, 0.1, 0.05, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.3]);
}

#[test]
fn wavy_layers_are_one_each() {
    let mut pen = Pen::new();
    for k in 1..=12 {
        pen.z = 0.2 * k as f64;
        if k == 2 {
            pen.wave = |x, y| 0.03 * (0.7 * x + 0.3 * y).sin();
        }
        pen.sized_block(50.0, 60.0, 20.0, 12.0, 0.41, 0.9);
        pen.sized_block(90.0, 62.0, 9.0, 15.0, 0.41, 1.1);
    }
    let (layers, _) = check(&pen);
    assert_eq!(layers.len(), 12);
    for (k, layer) in layers.iter().enumerate() {
        assert_near(layer.z_mm, 0.2 * (k + 1) as f64, 0.01);
        assert_near(layer.height_mm, 0.2, 0.015);
        assert_eq!(layer.rising, k > 0);
    }
}

#[test]
fn a_spiral_is_cut_into_laps() {
    for sides in [4, 90] {
        let mut pen = Pen::new();
        for k in 1..=3 {
            pen.z = 0.2 * k as f64;
            pen.circle(50.0, 60.0, 15.0, 90);
            pen.travel(40.0, 50.0);
            pen.zigzag(40.0, 50.0, 60.0, 70.0, 0.41, 100.0);
        }
        pen.travel(65.0, 60.0);
        let laps = 20;
        for k in 1..=laps * sides {
            let a = std::f64::consts::TAU * k as f64 / sides as f64;
            // Slightly conical.
            let radius = 15.0 - 0.05 * k as f64 / sides as f64;
            pen.line_to([50.0 + radius * a.cos(), 60.0 + radius * a.sin(), 0.6 + 0.2 * k as f64 / sides as f64]);
        }
        let (layers, _) = check(&pen);
        assert_eq!(layers.len(), 3 + laps, "with {sides} sides");
        for (k, layer) in layers.iter().enumerate() {
            assert_near(layer.z_mm, 0.2 * (k + 1) as f64, 0.011);
            assert_eq!(layer.rising, k >= 3);
        }
    }
}

#[test]
fn objects_one_after_another_begin_at_the_bed_again() {
    let mut pen = Pen::new();
    for x in [20.0, 70.0] {
        for k in 1..=10 {
            pen.z = 0.3 + 0.2 * (k - 1) as f64;
            pen.height = if k == 1 { 0.3 } else { 0.2 };
            pen.block(x, 30.0, 0.41);
        }
        pen.hop = 0.0;
    }
    let (layers, _) = check(&pen);
    assert_eq!(layers.len(), 20);
    assert_near(layers[9].z_mm, 2.1, 1e-9);
    assert_near(layers[10].z_mm, 0.3, 1e-9);
    assert_near(layers[10].height_mm, 0.3, 1e-9);
    assert_near(layers[11].height_mm, 0.2, 1e-9);
    assert_eq!(layers[19].index, Some(19));
}

#[test]
fn a_tool_change_stays_in_its_layer() {
    let mut pen = Pen::new();
    for k in 1..=6 {
        pen.z = 0.2 * k as f64;
        pen.block(50.0, 60.0, 0.41);
        pen.tool = 1 - pen.tool;
        let to = pen.tool;
        pen.event(EventKind::Tool { to }, 0.0);
        pen.block(90.0, 60.0, 0.41);
    }
    let (layers, totals) = check(&pen);
    assert_eq!(layers.len(), 6);
    assert_eq!(totals.tools.len(), 2);
    assert!(layers.iter().all(|l| l.strands.iter().any(|s| s.tool == 0) && l.strands.iter().any(|s| s.tool == 1)));
}

#[test]
fn two_layers_on_one_height_are_told_apart() {
    let mut pen = Pen::new();
    let mut z = 0.0;
    for k in 0..12 {
        // Layer 6 is laid at the height of layer 5, by mistake of whoever made the file.
        z += if k == 6 { 0.0 } else { 0.2 };
        pen.z = z;
        for (x, y) in [(20.0, 20.0), (60.0, 25.0), (20.0, 55.0)] {
            pen.block(x, y, 0.41);
        }
    }
    let (layers, _) = check(&pen);
    assert_eq!(layers.len(), 12);
    assert_near(layers[6].z_mm, layers[5].z_mm, 1e-9);
    assert_near(layers[6].height_mm, 0.2, 0.01);
}

#[test]
fn stops_come_after_the_last_complete_layer() {
    let mut pen = Pen::new();
    for k in 1..=5 {
        pen.z = 0.2 * k as f64;
        pen.block(50.0, 60.0, 0.41);
        if k == 3 {
            pen.event(EventKind::Stop, 0.0);
        }
    }
    pen.event(EventKind::Stop, 0.0);
    let (layers, totals) = check(&pen);
    let after: Vec<Option<usize>> = totals.stops.iter().map(|s| s.after_layer).collect();
    assert_eq!(after, [Some(2), Some(4)]);
    assert_eq!(part(&layers).len(), 5);
}

#[test]
fn a_bead_of_eighty_metres_is_held_to_what_a_nozzle_could_lay_and_keeps_its_plastic() {
    let mut pen = Pen::new();
    stack(&mut pen, 3, 0.2);
    pen.width = 80_000.0;
    pen.line(60.0, 61.0);
    let (layers, _) = check(&pen);
    let widest = layers.iter().flat_map(|l| &l.beads).map(|b| b.width_mm).fold(0.0, f64::max);
    assert_near(widest, 25.0, 1e-9);
}
