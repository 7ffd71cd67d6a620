//! Loops, ghosts and first roles.

use super::super::pen::Pen;
use super::{assert_near, check};
use crate::profile::Role;

fn roles_of(pen: &Pen) -> Vec<Role> {
    let (layers, _) = check(pen);
    layers[0].strands.iter().map(|s| s.role).collect()
}

#[test]
fn walls_and_fill_of_a_block() {
    for (pitch, fill) in [(0.41, Role::SolidInfill), (2.05, Role::SparseInfill)] {
        let mut pen = Pen::new();
        pen.block(50.0, 60.0, pitch);
        assert_eq!(roles_of(&pen), [Role::InnerWall, Role::OuterWall, fill]);
    }
}

#[test]
fn walls_of_a_hole_and_a_tube() {
    let mut pen = Pen::new();
    // A plate with a bore: walls at the rim, fill, walls round the bore.
    pen.rectangle(10.0, 10.0, 50.0, 40.0, 100.0);
    pen.rectangle(10.41, 10.41, 49.59, 39.59, 100.0);
    pen.circle(30.0, 25.0, 5.0, 64);
    pen.circle(30.0, 25.0, 5.41, 64);
    pen.zigzag(11.0, 11.0, 49.0, 19.0, 0.41, 100.0);
    let roles = roles_of(&pen);
    assert_eq!(roles[..4], [Role::OuterWall, Role::InnerWall, Role::OuterWall, Role::InnerWall]);

    let mut tube = Pen::new();
    for radius in [8.0, 8.41, 8.82, 9.23] {
        tube.circle(30.0, 25.0, radius, 90);
    }
    assert_eq!(roles_of(&tube), [Role::OuterWall, Role::InnerWall, Role::InnerWall, Role::OuterWall]);
}

#[test]
fn laps_in_one_strand_are_cut() {
    let mut pen = Pen::new();
    // Two rectangles joined: the second begins one bead inside the first's start.
    pen.rectangle(10.0, 10.0, 50.0, 40.0, 10.0);
    for (x, y) in [(10.41, 10.41), (49.59, 10.41), (49.59, 39.59), (10.41, 39.59), (10.41, 10.6)] {
        pen.line(x, y);
    }
    let (layers, _) = check(&pen);
    let closed = layers[0].strands.iter().filter(|s| s.closed).count();
    assert_eq!(closed, 2, "{:?}", layers[0].strands);
}

#[test]
fn a_zigzag_is_no_loop() {
    let mut pen = Pen::new();
    pen.zigzag(10.0, 10.0, 30.0, 22.0, 0.41, 100.0);
    pen.zigzag(40.0, 10.0, 44.0, 22.0, 0.41, 1.0);
    let (layers, _) = check(&pen);
    assert_eq!(layers[0].strands.len(), 2);
    assert!(layers[0].strands.iter().all(|s| !s.closed));
}

#[test]
fn a_bead_laid_out_and_back_counts_once() {
    let mut pen = Pen::new();
    pen.travel(10.0, 10.0);
    pen.divided((10.0, 10.0), (30.0, 14.0), 2.0);
    pen.divided((30.0, 14.0), (10.0, 10.0), 2.0);
    let (layers, _) = check(&pen);
    let ghosts: Vec<bool> = layers[0].strands.iter().map(|s| s.ghost).collect();
    assert_eq!(ghosts, [false, true]);
}

#[test]
fn flow_all_but_cut_off_makes_a_ghost() {
    let mut pen = Pen::new();
    pen.travel(10.0, 10.0);
    pen.divided((10.0, 10.0), (30.0, 10.0), 2.0);
    pen.width = 0.06;
    pen.divided((30.0, 10.0), (30.0, 16.0), 2.0);
    pen.width = 0.45;
    pen.divided((30.0, 16.0), (10.0, 19.0), 2.0);
    let (layers, _) = check(&pen);
    let ghosts: Vec<bool> = layers[0].strands.iter().map(|s| s.ghost).collect();
    assert_eq!(ghosts, [false, true, false]);
    assert_near(layers[0].beads[0].width_mm, 0.45, 1e-9);
}

#[test]
fn a_lone_rib_is_gap_fill() {
    let mut pen = Pen::new();
    pen.block(50.0, 60.0, 0.41);
    pen.travel(60.0, 73.0);
    pen.line(60.0, 83.0);
    assert_eq!(roles_of(&pen).last(), Some(&Role::GapFill));
}

#[test]
fn a_loop_laid_again_counts_once() {
    let mut pen = Pen::new();
    for _ in 0..2 {
        pen.rectangle(10.0, 10.0, 30.0, 24.0, 5.0);
    }
    pen.rectangle(10.41, 10.41, 29.59, 23.59, 5.0);
    let (layers, _) = check(&pen);
    let ghosts: Vec<bool> = layers[0].strands.iter().map(|s| s.ghost).collect();
    assert_eq!(ghosts, [false, true, false]);
}

#[test]
fn a_speck_without_flow_breaks_no_loop() {
    let mut pen = Pen::new();
    pen.travel(10.0, 10.0);
    pen.line(30.0, 10.0);
    pen.line(30.0, 24.0);
    pen.width = 0.01;
    pen.line(29.68, 24.0);
    pen.width = 0.45;
    pen.line(10.0, 24.0);
    pen.line(10.0, 10.0);
    let (layers, _) = check(&pen);
    assert_eq!(layers[0].strands.len(), 1);
    assert!(layers[0].strands[0].closed);
}

#[test]
fn walls_with_a_gap_are_still_walls() {
    let mut pen = Pen::new();
    for inset in [0.0, 0.41] {
        // From the right of the gap all the way round to its left.
        pen.travel(26.0, 10.0 + inset);
        for (x, y) in [(40.0 - inset, 10.0 + inset), (40.0 - inset, 24.0 - inset), (10.0 + inset, 24.0 - inset)] {
            pen.line(x, y);
        }
        pen.line(10.0 + inset, 10.0 + inset);
        pen.line(23.0, 10.0 + inset);
    }
    pen.zigzag(11.0, 11.0, 39.0, 23.0, 1.6, 100.0);
    let roles = roles_of(&pen);
    assert_eq!(roles, [Role::OuterWall, Role::InnerWall, Role::SparseInfill]);
    assert!(pen.layers().0[0].strands.iter().all(|s| !s.closed));
}
