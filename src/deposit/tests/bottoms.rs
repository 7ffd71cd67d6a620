//! What lies at the bottom: purge lines, skirts, brims, rafts.

use super::super::LayerKind;
use super::super::pen::Pen;
use super::{assert_near, check, part};
use crate::profile::Role;

pub(super) fn volume_of(layer: &super::Layer, role: Role) -> f64 {
    let strands = layer.strands.iter().filter(|s| s.role == role);
    strands.flat_map(|s| layer.strand_beads(s)).map(super::super::Bead::volume_mm3).sum()
}

fn stack(pen: &mut Pen, from_z: f64, count: usize) {
    for k in 1..=count {
        pen.z = from_z + 0.2 * k as f64;
        pen.block(50.0, 60.0, 0.41);
    }
}

#[test]
fn a_purge_line_above_the_first_layer_is_no_layer() {
    let mut pen = Pen::new();
    pen.z = 0.28;
    pen.width = 0.9;
    pen.travel(3.0, 5.0);
    pen.line(3.0, 90.0);
    pen.width = 0.45;
    stack(&mut pen, 0.0, 10);
    let (layers, _) = check(&pen);
    assert_eq!(layers[0].kind, LayerKind::Purge);
    assert_eq!(part(&layers).len(), 10);
    assert_near(part(&layers)[0].height_mm, 0.2, 1e-9);
}

#[test]
fn a_purge_line_at_the_first_layer_s_height_is_cut_off() {
    let mut pen = Pen::new();
    pen.travel(3.0, 5.0);
    pen.line(3.0, 90.0);
    pen.travel(3.6, 90.0);
    pen.line(3.6, 5.0);
    let purge = pen.laid_mm3;
    stack(&mut pen, 0.0, 10);
    let (layers, _) = check(&pen);
    assert_eq!(layers[0].kind, LayerKind::Purge);
    assert_near(layers[0].volume_mm3(), purge, 1e-9);
    assert_eq!(part(&layers).len(), 10);
}

#[test]
fn a_skirt_is_adhesion() {
    for high in [1, 3] {
        let mut pen = Pen::new();
        for k in 1..=10 {
            pen.z = 0.2 * k as f64;
            if k <= high {
                pen.rectangle(46.0, 56.0, 74.0, 76.0, 100.0);
                pen.rectangle(45.59, 55.59, 74.41, 76.41, 100.0);
            }
            pen.block(50.0, 60.0, 0.41);
        }
        let (layers, _) = check(&pen);
        assert_eq!(layers.len(), 10);
        let ring = super::super::section_mm2(0.45, 0.2) * (2.0 * (28.0 + 20.0) + 2.0 * (28.82 + 20.82));
        for (k, layer) in layers.iter().enumerate() {
            assert_near(volume_of(layer, Role::Adhesion), if k < high { ring } else { 0.0 }, 1e-6);
        }
    }
}

#[test]
fn a_brim_is_adhesion_and_the_wall_beside_it_is_not() {
    let mut pen = Pen::new();
    let mut brim = 0.0;
    for k in 1..=8 {
        pen.z = 0.2 * k as f64;
        if k == 1 {
            for ring in (1..=5).rev() {
                let out = 0.407 * f64::from(ring);
                pen.rectangle(50.0 - out, 60.0 - out, 70.0 + out, 72.0 + out, 100.0);
            }
            brim = pen.laid_mm3;
        }
        pen.block(50.0, 60.0, 0.41);
    }
    let (layers, _) = check(&pen);
    assert_near(volume_of(&layers[0], Role::Adhesion), brim, 1e-9);
    assert_near(volume_of(&layers[1], Role::Adhesion), 0.0, 1e-9);
    assert_near(layers[0].volume_mm3() - brim, layers[1].volume_mm3(), 1e-6);
}

#[test]
fn a_foot_one_layer_thick_is_no_brim() {
    let mut pen = Pen::new();
    pen.sized_block(45.0, 55.0, 30.0, 22.0, 0.41, 100.0);
    for k in 2..=8 {
        pen.z = 0.2 * k as f64;
        pen.block(50.0, 60.0, 0.41);
    }
    let (layers, _) = check(&pen);
    assert_near(volume_of(&layers[0], Role::Adhesion), 0.0, 1e-9);
}

#[test]
fn a_raft_is_no_part() {
    let mut pen = Pen::new();
    for (z, height, width, pitch) in [(0.36, 0.36, 1.2, 2.0), (0.51, 0.2, 0.6, 0.8), (0.71, 0.2, 0.45, 0.41)] {
        (pen.z, pen.height, pen.width) = (z, height, width);
        pen.zigzag(45.0, 55.0, 75.0, 78.0, pitch, 100.0);
    }
    (pen.height, pen.width) = (0.2, 0.45);
    stack(&mut pen, 0.97, 12);
    let (layers, _) = check(&pen);
    assert_eq!(layers.iter().filter(|l| l.kind == LayerKind::Raft).count(), 3);
    let part = part(&layers);
    assert_eq!(part.len(), 12);
    assert_eq!(part[0].index, Some(0));
    assert_near(part[0].height_mm, 0.2, 0.01);
    assert_near(part[1].height_mm, 0.2, 1e-9);
}

/// Three walls and fill, `grown` mm bigger on every side than 20 by 12 mm.
fn grown_block(pen: &mut Pen, x: f64, grown: f64) {
    for wall in [0.814, 0.407, 0.0] {
        let by = grown - wall;
        pen.rectangle(x - by, 60.0 - by, x + 20.0 + by, 72.0 + by, 100.0);
    }
    let by = grown - 1.221;
    pen.zigzag(x - by, 60.0 - by, x + 20.0 + by, 72.0 + by, 0.407, 100.0);
}

fn brim(pen: &mut Pen, x: f64, grown: f64, loops: i32) -> f64 {
    let before = pen.laid_mm3;
    for ring in (1..=loops).rev() {
        let by = grown + 0.407 * f64::from(ring);
        pen.rectangle(x - by, 60.0 - by, x + 20.0 + by, 72.0 + by, 100.0);
    }
    pen.laid_mm3 - before
}

#[test]
fn a_part_that_tapers_keeps_its_walls() {
    // Grows by 0.25 mm a layer (a chamfer at the bed), stands straight, or shrinks so fast that its outer wall
    // has nothing on it.
    for growth in [0.25, 0.0, -0.35] {
        for rings in [0, 5] {
            let mut pen = Pen::new();
            let mut want = 0.0;
            for k in 1..=8 {
                pen.z = 0.2 * f64::from(k);
                let grown = 3.0 + growth * f64::from(k - 1);
                if k == 1 {
                    pen.rectangle(35.0, 45.0, 85.0, 87.0, 100.0);
                    want = brim(&mut pen, 50.0, grown, rings) + super::super::section_mm2(0.45, 0.2) * 184.0;
                }
                grown_block(&mut pen, 50.0, grown);
            }
            let (layers, _) = check(&pen);
            assert_near(volume_of(&layers[0], Role::Adhesion), want, 1e-9);
            // The part's own walls are what they are without a brim.
            let outer = layers[0].strands.iter().filter(|s| s.role == Role::OuterWall).count();
            assert_eq!(outer, 1, "with {rings} rings");
        }
    }
}

#[test]
fn every_object_may_have_its_own_brim() {
    let mut pen = Pen::new();
    let mut want = Vec::new();
    for x in [30.0, 80.0] {
        for k in 1..=9 {
            pen.z = 0.2 * f64::from(k);
            let rings = if k == 1 { brim(&mut pen, x, 0.0, 4) } else { 0.0 };
            want.push(rings);
            grown_block(&mut pen, x, 0.0);
        }
    }
    let (layers, _) = check(&pen);
    assert_eq!(layers.len(), 18);
    for (layer, want) in layers.iter().zip(want) {
        assert_near(volume_of(layer, Role::Adhesion), want, 1e-9);
    }
}
