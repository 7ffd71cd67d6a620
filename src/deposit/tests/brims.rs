//! Skirts and brims close to the part, and what is none.

use super::super::pen::Pen;
use super::super::section_mm2;
use super::bottoms::volume_of;
use super::{assert_near, check, print};
use crate::profile::Role;

/// Plastic in so many millimetres of the pen's usual bead, mm³.
fn plastic(mm: f64) -> f64 {
    section_mm2(0.45, 0.2) * mm
}

/// Plastic of adhesion in each layer, mm³.
fn adhesion(pen: &Pen) -> Vec<f64> {
    check(pen).0.iter().map(|layer| volume_of(layer, Role::Adhesion)).collect()
}

fn assert_first(pen: &Pen, mm: f64) {
    let got = adhesion(pen);
    assert_near(got[0], plastic(mm), 1e-6);
    assert_near(got[1..].iter().sum(), 0.0, 1e-9);
}

/// A ring `out` mm outside of a block of 20 by 12 mm.
fn ring(pen: &mut Pen, out: f64) {
    pen.rectangle(50.0 - out, 60.0 - out, 70.0 + out, 72.0 + out, 100.0);
}

/// Rings of a brim side by side, from the outermost; their length, mm.
fn brim(pen: &mut Pen, rings: i32) -> f64 {
    (1..=rings).rev().map(|k| 0.407 * f64::from(k)).inspect(|out| ring(pen, *out)).map(|out| 64.0 + 8.0 * out).sum()
}

#[test]
fn a_skirt_is_at_most_six_layers_high() {
    for (high, of_skirt) in [(6, 6), (7, 0)] {
        let pen = print(14, |pen, k| {
            if k <= high {
                ring(pen, 4.0);
            }
            pen.block(50.0, 60.0, 0.41);
        });
        for (k, got) in adhesion(&pen).into_iter().enumerate() {
            // What stands a layer higher is a wall of its own.
            assert_near(got, if k < of_skirt { plastic(96.0) } else { 0.0 }, 1e-6);
        }
    }
}

#[test]
fn a_skirt_close_to_the_part_is_adhesion() {
    // 1.5 mm is more than three beads away.
    let pen = print(10, |pen, k| {
        if k <= 2 {
            ring(pen, 1.5);
        }
        pen.block(50.0, 60.0, 0.41);
    });
    for (k, got) in adhesion(&pen).into_iter().enumerate() {
        assert_near(got, if k < 2 { plastic(76.0) } else { 0.0 }, 1e-6);
    }
}

#[test]
fn an_object_of_two_layers_is_no_skirt_of_the_next() {
    let mut pen = print(2, |pen, _| pen.block(20.0, 60.0, 0.41));
    for k in 1..=8 {
        pen.z = 0.2 * f64::from(k);
        pen.block(80.0, 60.0, 0.41);
    }
    assert_near(adhesion(&pen).iter().sum(), 0.0, 1e-9);
}

#[test]
fn a_brim_may_be_a_single_ring() {
    for rings in 1..=3 {
        let mut mm = 0.0;
        let mut pen = Pen::new();
        mm += brim(&mut pen, rings);
        for k in 1..=8 {
            pen.z = 0.2 * f64::from(k);
            pen.block(50.0, 60.0, 0.41);
        }
        assert_first(&pen, mm);
    }
}

#[test]
fn rings_with_fill_beside_them_are_a_foot() {
    // Open lines that touch the brim: at most a tenth of its own plastic.
    for (open_mm, is_brim) in [(18.0, true), (55.0, false)] {
        let mut pen = Pen::new();
        let mm = brim(&mut pen, 5);
        pen.travel(50.0, 60.0 - 6.0 * 0.407);
        pen.line(50.0 + 0.3 * open_mm, 60.0 - 6.0 * 0.407);
        pen.travel(50.0, 72.0 + 6.0 * 0.407);
        pen.line(50.0 + 0.3 * open_mm, 72.0 + 6.0 * 0.407);
        pen.travel(50.0 - 6.0 * 0.407, 60.0);
        pen.line(50.0 - 6.0 * 0.407, 60.0 + 0.2 * open_mm);
        pen.travel(70.0 + 6.0 * 0.407, 60.0);
        pen.line(70.0 + 6.0 * 0.407, 60.0 + 0.2 * open_mm);
        for k in 1..=8 {
            pen.z = 0.2 * f64::from(k);
            pen.block(50.0, 60.0, 0.41);
        }
        assert_first(&pen, if is_brim { mm } else { 0.0 });
    }
}

#[test]
fn lines_of_a_core_that_follow_the_walls_are_no_walls() {
    // Two walls and lines of a core 1 mm apart that follow them; it stands straight, or has a chamfer two layers high at
    // the bed.
    for growth in [0.0, 0.25] {
        let mut pen = Pen::new();
        let mm = brim(&mut pen, 3);
        for k in 1..=8 {
            pen.z = 0.2 * f64::from(k);
            let grown = growth * f64::from((k - 1).min(2));
            for inset in [0.407, 0.0, 1.4, 2.4, 3.4, 4.4] {
                ring(&mut pen, grown - inset);
            }
        }
        assert_first(&pen, mm);
    }
}

#[test]
fn loops_within_a_shell_above_are_no_brim() {
    // A floor of loops all the way in, and a shell of one wall on it.
    let pen = print(8, |pen, k| {
        let loops = if k == 1 { 14 } else { 1 };
        (0..loops).for_each(|l| ring(pen, -0.407 * f64::from(l)));
    });
    assert_near(adhesion(&pen).iter().sum(), 0.0, 1e-9);
}

#[test]
fn each_of_two_pieces_has_its_brim_whatever_its_walls() {
    // One has three walls, the other one.
    let mut pen = Pen::new();
    let mut mm = brim(&mut pen, 3);
    for out in [1.221, 0.814, 0.407] {
        pen.rectangle(100.0 - out, 60.0 - out, 112.0 + out, 72.0 + out, 100.0);
        mm += 48.0 + 8.0 * out;
    }
    for k in 1..=8 {
        pen.z = 0.2 * f64::from(k);
        (0..3).for_each(|l| ring(&mut pen, -0.407 * f64::from(l)));
        pen.zigzag(51.3, 61.3, 68.7, 70.7, 0.41, 100.0);
        pen.rectangle(100.0, 60.0, 112.0, 72.0, 100.0);
        pen.zigzag(100.41, 60.41, 111.59, 71.59, 0.41, 100.0);
    }
    assert_first(&pen, mm);
}

#[test]
fn a_flange_one_layer_thick_is_adhesion_at_the_bed_only() {
    let flange = |at: usize| {
        let pen = print(14, |pen, k| {
            if k == at {
                brim(pen, 5);
            }
            pen.block(50.0, 60.0, 0.41);
        });
        adhesion(&pen).iter().sum::<f64>()
    };
    assert!(flange(1) > 0.0);
    assert_near(flange(4), 0.0, 1e-9);
    assert_near(flange(8), 0.0, 1e-9);
}

#[test]
fn lines_of_a_core_within_the_walls_above_are_no_skirt() {
    // Lines of a core that touch nothing; the second layer leaves them out.
    let pen = print(10, |pen, k| {
        let core: &[f64] = if k == 2 { &[] } else { &[1.8, 3.2] };
        [0.407, 0.0].iter().chain(core).for_each(|inset| ring(pen, -inset));
    });
    assert_near(adhesion(&pen).iter().sum(), 0.0, 1e-9);
}
