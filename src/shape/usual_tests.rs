#![allow(clippy::unwrap_used)]

use super::super::fixture::{Laid, ring};
use super::super::layer_shape::{Core, Walls};
use super::*;
use approx::assert_relative_eq;
use std::f64::consts::FRAC_PI_4;

/// A layer with a loop so long, its beads so far apart as they are meant to lie.
fn looped(pitch_mm: f64, height_mm: f64, length_mm: f64) -> Laid {
    let mut laid = Laid::new(pitch_mm + height_mm * (1.0 - FRAC_PI_4), height_mm);
    let side = 0.25 * length_mm;
    laid.strand(&ring(&[(5.0, 5.0), (5.0 + side, 5.0), (5.0 + side, 5.0 + side), (5.0, 5.0 + side)]), true);
    laid
}

fn pitch_of(layers: &[Layer]) -> Option<f64> {
    let mut usual = UsualPitch::default();
    layers.iter().for_each(|layer| usual.push(layer));
    usual.pitch_mm()
}

#[test]
fn the_usual_distance_is_that_of_half_of_all_walls() {
    assert_eq!(pitch_of(&[]), None);
    for height_mm in [0.2, 0.3] {
        assert_relative_eq!(pitch_of(&[looped(0.42, height_mm, 40.0).layer]).unwrap(), 0.42, epsilon = 1e-12);
    }
    // 60 mm and 60 mm against 100 mm; and 40 mm and 40 mm.
    let layers = |other_mm: f64| {
        let other = looped(0.5, 0.2, other_mm).layer;
        pitch_of(&[looped(0.4, 0.2, 100.0).layer, other.clone(), other]).unwrap()
    };
    assert_relative_eq!(layers(60.0), 0.5, epsilon = 1e-12);
    assert_relative_eq!(layers(40.0), 0.4, epsilon = 1e-12);
}

#[test]
fn only_loops_of_layers_of_the_part_above_the_first_are_walls_as_usual() {
    let layer = looped(0.42, 0.2, 40.0).layer;
    let with = |change: fn(&mut Layer)| {
        let mut layer = layer.clone();
        change(&mut layer);
        pitch_of(&[layer])
    };
    assert!(with(|layer| layer.index = Some(1)).is_some());
    assert_eq!(with(|layer| layer.index = Some(0)), None);
    assert_eq!(with(|layer| layer.kind = LayerKind::Raft), None);
    assert_eq!(with(|layer| layer.kind = LayerKind::Purge), None);
    assert_eq!(with(|layer| layer.height_mm = 0.0), None);
    assert_eq!(with(|layer| layer.strands[0].ghost = true), None);
    assert_eq!(with(|layer| layer.strands[0].closed = false), None);
    // Loops without any plastic lie at no distance.
    assert_eq!(with(|layer| layer.beads.iter_mut().for_each(|bead| bead.area_mm2 = 0.0)), None);
    // Nor does a layer without loops hide what others tell.
    let empty = Laid::new(0.45, 0.2).layer;
    assert_relative_eq!(pitch_of(&[empty, layer]).unwrap(), 0.42, epsilon = 1e-12);
}

/// A layer whose edges have this many walls, with open lines and loops of so many mm³ in its core.
struct Told {
    walls: Option<u32>,
    density: Option<f64>,
    open_mm3: f64,
    loops_mm3: f64,
    role: Role,
}

impl Told {
    fn walls(walls: u32) -> Self {
        Self { walls: Some(walls), density: Some(0.2), open_mm3: 20.0, loops_mm3: 0.0, role: Role::SparseInfill }
    }

    fn push_to(&self, usual: &mut UsualWalls) {
        // Sections of 0.08 mm². The walls themselves are loops with much more plastic than the core.
        let mut laid = looped(0.4, 0.2, 4000.0);
        let mut roles = vec![Role::OuterWall];
        for (volume, closed) in [(self.open_mm3, false), (self.open_mm3, false), (self.loops_mm3, true)] {
            let length = if closed { volume } else { 0.5 * volume } / 0.08;
            let (near, far) = (ring(&[(10.0, 10.0)])[0], ring(&[(10.0 + 0.5 * length, 10.0)])[0]);
            // Out and back again.
            if closed {
                laid.strand(&[near, far], true)
            } else {
                laid.strand(&[near, far, near], false)
            };
            roles.push(self.role);
        }
        let core = Some(Core { density: self.density, ..Core::default() });
        let walls = Walls { median: self.walls, ..Walls::default() };
        usual.push(&laid.layer, &LayerShape { roles, core, walls, ..LayerShape::default() });
    }
}

fn count_of(layers: &[Told]) -> Option<usize> {
    let mut usual = UsualWalls::default();
    layers.iter().for_each(|layer| layer.push_to(&mut usual));
    usual.count()
}

#[test]
fn two_layers_and_six_of_ten_have_to_agree_on_the_number_of_walls() {
    let count = |walls: &[u32]| count_of(&walls.iter().map(|&walls| Told::walls(walls)).collect::<Vec<_>>());
    assert_eq!(count(&[]), None);
    assert_eq!(count(&[3]), None);
    assert_eq!(count(&[3, 3]), Some(3));
    assert_eq!(count(&[3, 2, 3, 4, 3]), Some(3));
    assert_eq!(count(&[3, 2, 3, 4]), None);
    // Layers without walls tell nothing.
    assert_eq!(count(&[0, 0]), None);
    assert_eq!(count(&[0, 0, 0, 1]), None);
}

#[test]
fn layers_tell_how_many_walls_there_are_where_lines_fill_the_inside_of_them() {
    let two = |told: fn() -> Told| count_of(&[told(), told()]);
    assert_eq!(two(|| Told { role: Role::SolidInfill, ..Told::walls(2) }), Some(2));
    // A core that is too small to say, an edge that was not counted, and lines that do not fill.
    assert_eq!(two(|| Told { density: None, ..Told::walls(2) }), None);
    assert_eq!(two(|| Told { walls: None, ..Told::walls(2) }), None);
    assert_eq!(two(|| Told { role: Role::GapFill, ..Told::walls(2) }), None);
    // Loops of fill look like walls: lines have to be more than four times as much.
    assert_eq!(two(|| Told { loops_mm3: 4.8, ..Told::walls(2) }), Some(2));
    assert_eq!(two(|| Told { loops_mm3: 5.2, ..Told::walls(2) }), None);
}

#[test]
fn a_layer_without_a_core_does_not_tell_how_many_walls_there_are() {
    let mut usual = UsualWalls::default();
    let laid = looped(0.4, 0.2, 40.0);
    let walls = Walls { median: Some(2), ..Walls::default() };
    let shape = LayerShape { roles: vec![Role::OuterWall], walls, ..LayerShape::default() };
    (0..3).for_each(|_| usual.push(&laid.layer, &shape));
    assert_eq!(usual.count(), None);
}
