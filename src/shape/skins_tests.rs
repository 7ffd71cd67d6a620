//! What skins are counted, on boxes drawn by hand.
#![allow(clippy::unwrap_used)]
use super::super::part_beads::tests::{hatch, layer};
use super::*;
use crate::geom::Polygon;

const SIZE: Point = Point::new(24.0, 15.0);

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point> {
    vec![Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)]
}

fn shape(index: usize, outline: Vec<Point>, roles: Vec<Role>) -> LayerShape {
    LayerShape {
        index,
        z_mm: 0.2 * (index + 1) as f64,
        height_mm: 0.2,
        outline: vec![Polygon { outer: outline, holes: Vec::new() }],
        roles,
        ..LayerShape::default()
    }
}

/// A box whose layers are full or core as told, one letter a layer: `#` or `-`.
fn print(kinds: &str) -> SkinMap {
    let mut skins = Skins::default();
    for (index, kind) in kinds.chars().enumerate() {
        let lines = match kind {
            '#' => hatch(Role::SolidInfill, 0.4, 0.4, 45.0, SIZE),
            _ => hatch(Role::SparseInfill, 0.4, 2.5, 45.0, SIZE),
        };
        let (layer, roles) = layer(index, 0.2, &lines);
        skins.push(&layer, &shape(index, rectangle(0.0, 0.0, SIZE.x, SIZE.y), roles));
    }
    skins.finish()
}

#[test]
fn full_layers_are_counted_at_both_ends() {
    let map = print("###-----####");
    assert_eq!((map.bottom.layers, map.top.layers), (Some(3), Some(4)));
    let (top, bottom) = (map.top.thinnest.unwrap(), map.bottom.thinnest.unwrap());
    assert_eq!((top.layers, top.surface_layer, bottom.layers, bottom.surface_layer), (4, 11, 3, 0));
    assert!((top.thickness_mm - 0.8).abs() < 1e-6 && (top.z_mm - 2.4).abs() < 1e-9);
    assert!((top.area_mm2 - 360.0).abs() < 8.0, "{top:?}");
    assert!(top.at.distance(Point::new(12.0, 7.5)) < 1.0, "{top:?}");
}

#[test]
fn no_skin_is_none_at_all() {
    let map = print("-----");
    assert_eq!((map.bottom.layers, map.top.layers), (Some(0), Some(0)));
}

#[test]
fn an_outline_that_slips_for_one_layer_makes_no_skin() {
    let mut skins = Skins::default();
    for index in 0..9 {
        let size = if index == 4 { SIZE } else { Point::new(8.0, SIZE.y) };
        let core = (3..6).contains(&index);
        let lines = match core {
            true => hatch(Role::SparseInfill, 0.4, 2.5, 0.0, Point::new(8.0, SIZE.y)),
            false => hatch(Role::SolidInfill, 0.4, 0.4, 0.0, size),
        };
        let (layer, roles) = layer(index, 0.2, &lines);
        skins.push(&layer, &shape(index, rectangle(0.0, 0.0, size.x, SIZE.y), roles));
    }
    let map = skins.finish();
    assert_eq!((map.bottom.layers, map.top.layers), (Some(3), Some(3)));
    assert_eq!(map.top.patches.len(), 1, "{:?}", map.top.patches);
}

#[test]
fn a_full_part_has_no_core_to_close() {
    let map = print("######");
    assert_eq!(map, SkinMap::default());
}

/// The skin of a step ends half a bead short of the edge of the wall that goes on above it.
#[test]
fn the_rim_at_the_foot_of_a_step_is_no_open_skin() {
    let mut skins = Skins::default();
    for index in 0..8 {
        let high = if index > 5 { 10.0 } else { SIZE.x };
        let mut lines = hatch(Role::SparseInfill, 0.4, 2.5, 0.0, Point::new(10.3, SIZE.y));
        if (3..=5).contains(&index) {
            let mut step = hatch(Role::SolidInfill, 0.4, 0.4, 0.0, Point::new(13.7, SIZE.y));
            step.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| p.x += 10.3);
            lines.append(&mut step);
        }
        let (layer, roles) = layer(index, 0.2, &lines);
        skins.push(&layer, &shape(index, rectangle(0.0, 0.0, high, SIZE.y), roles));
    }
    let step = skins.finish().top.patches.into_iter().filter(|p| p.surface_layer == 5).map(|p| p.layers).min();
    assert_eq!(step, Some(3));
}

#[test]
fn a_step_has_its_own_roof_and_the_thin_one_is_found() {
    let mut skins = Skins::default();
    // Low half ends after layer 6 with one full layer, the high half goes on to layer 9 with two.
    let kinds = ["#", "#", "-", "-", "-", "-", "step", "-", "#", "#"];
    for (index, kind) in kinds.iter().enumerate() {
        let high = if index > 6 { 10.0 } else { SIZE.x };
        let size = Point::new(high, SIZE.y);
        let lines = match *kind {
            "#" => hatch(Role::SolidInfill, 0.4, 0.4, 0.0, size),
            "-" => hatch(Role::SparseInfill, 0.4, 2.5, 0.0, size),
            _ => {
                let mut lines = hatch(Role::SparseInfill, 0.4, 2.5, 0.0, Point::new(10.0, SIZE.y));
                let mut step = hatch(Role::SolidInfill, 0.4, 0.4, 0.0, Point::new(14.0, SIZE.y));
                step.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| p.x += 10.0);
                lines.append(&mut step);
                lines
            }
        };
        let (layer, roles) = layer(index, 0.2, &lines);
        skins.push(&layer, &shape(index, rectangle(0.0, 0.0, high, SIZE.y), roles));
    }
    let map = skins.finish();
    let thin = map.top.thinnest.unwrap();
    assert_eq!((thin.layers, thin.surface_layer), (1, 6));
    assert!((thin.area_mm2 - 210.0).abs() < 10.0, "{thin:?}");
    assert!(thin.at.x > 10.0 && thin.at.x < 24.0, "{thin:?}");
    assert_eq!(map.top.patches.iter().filter(|p| p.area_mm2 > 20.0).count(), 2);
    assert_eq!(map.bottom.layers, Some(2));
}

/// A tall block of full layers over a core is no skin, and does not make one of the skin beside it.
#[test]
fn a_neck_over_a_core_is_no_skin() {
    let mut skins = Skins::default();
    for index in 0..40 {
        // 16 mm of the 24 are full from layer 8 up; the rest closes with three layers from 20 on and ends.
        let (mut lines, high) = match index {
            0..8 => (hatch(Role::SparseInfill, 0.4, 2.5, 0.0, SIZE), SIZE.x),
            _ => (
                hatch(Role::SolidInfill, 0.4, 0.4, 0.0, Point::new(16.0, SIZE.y)),
                if index > 22 { 16.0 } else { SIZE.x },
            ),
        };
        if (8..=22).contains(&index) {
            let (role, pitch) = if index < 20 { (Role::SparseInfill, 2.5) } else { (Role::SolidInfill, 0.4) };
            let mut rest = hatch(role, 0.4, pitch, 0.0, Point::new(8.0, SIZE.y));
            rest.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| p.x += 16.0);
            lines.append(&mut rest);
        }
        let (layer, roles) = layer(index, 0.2, &lines);
        skins.push(&layer, &shape(index, rectangle(0.0, 0.0, high, SIZE.y), roles));
    }
    assert_eq!(skins.finish().top.layers, Some(3));
}

/// Lines laid with a gap of two millimetres between them close nothing, whatever they are for.
#[test]
fn lines_with_gaps_between_them_are_no_skin() {
    let mut skins = Skins::default();
    for index in 0..9 {
        let lines = match index {
            2..=5 => hatch(Role::SparseInfill, 0.4, 5.0, 0.0, SIZE),
            _ => hatch(Role::SolidInfill, 0.4, 2.4, 0.0, SIZE),
        };
        let (layer, roles) = layer(index, 0.2, &lines);
        skins.push(&layer, &shape(index, rectangle(0.0, 0.0, SIZE.x, SIZE.y), roles));
    }
    let map = skins.finish();
    assert_eq!((map.top.layers, map.bottom.layers), (Some(0), Some(0)), "{:?}", map.top);
}

#[test]
fn columns_grow_with_the_part() {
    let mut skins = Skins::default();
    for index in 0..6 {
        let kind = if !(2..=3).contains(&index) { '#' } else { '-' };
        let x0 = -5.0 * index as f64;
        let size = Point::new(SIZE.x - x0, SIZE.y);
        let mut lines = match kind {
            '#' => hatch(Role::SolidInfill, 0.4, 0.4, 0.0, size),
            _ => hatch(Role::SparseInfill, 0.4, 2.5, 0.0, size),
        };
        lines.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| p.x += x0);
        let (layer, roles) = layer(index, 0.2, &lines);
        skins.push(&layer, &shape(index, rectangle(x0, 0.0, SIZE.x, SIZE.y), roles));
    }
    let map = skins.finish();
    let found: Vec<(usize, u32)> =
        map.bottom.patches.iter().filter(|p| p.area_mm2 > 4.0).map(|p| (p.surface_layer, p.layers)).collect();
    assert_eq!(found, [(0, 2), (1, 1), (2, 0), (3, 0)]);
    // Where each lies, and how thick it is.
    let patch = |layer| map.bottom.patches.iter().find(|p| p.surface_layer == layer).unwrap();
    for (layer, thickness_mm) in [(0, 0.4), (1, 0.2), (2, 0.0), (3, 0.0)] {
        assert!((patch(layer).thickness_mm - thickness_mm).abs() < 1e-9, "{:?}", patch(layer));
        assert!((patch(layer).z_mm - 0.2 * layer as f64).abs() < 1e-9, "{:?}", patch(layer));
    }
}

/// Layers with one number are drawn once; where more was learnt of what their strands are for, they are drawn again.
#[test]
fn a_layer_that_comes_again_is_drawn_as_what_it_is() {
    let close = hatch(Role::SolidInfill, 0.4, 0.4, 45.0, SIZE);
    let print = |number: Option<usize>| {
        let mut skins = Skins::default();
        for index in 0..9 {
            let (mut layer, mut roles) = layer(index, 0.2, &close);
            layer.number = number;
            if (3..6).contains(&index) {
                roles.fill(Role::SparseInfill);
            }
            skins.push(&layer, &shape(index, rectangle(0.0, 0.0, SIZE.x, SIZE.y), roles));
        }
        skins.finish()
    };
    let known = print(Some(7));
    assert_eq!((known.bottom.layers, known.top.layers), (Some(3), Some(3)));
    assert_eq!(known, print(None));
}

/// What was drawn before the columns had to reach further is drawn anew.
#[test]
fn a_layer_that_comes_again_after_a_wider_one_keeps_its_place() {
    let print = |numbered: bool| {
        let mut skins = Skins::default();
        for index in 0..9 {
            let wide = index == 3 || index == 4;
            let size = Point::new(if wide { 60.0 } else { 24.0 }, SIZE.y);
            let lines = match index {
                2..7 => hatch(Role::SparseInfill, 0.4, 2.5, 45.0, size),
                _ => hatch(Role::SolidInfill, 0.4, 0.4, 45.0, size),
            };
            let (mut layer, roles) = layer(index, 0.2, &lines);
            let kind = if wide { 2 } else { usize::from((2..7).contains(&index)) };
            layer.number = numbered.then_some(kind);
            skins.push(&layer, &shape(index, rectangle(0.0, 0.0, size.x, SIZE.y), roles));
        }
        skins.finish()
    };
    assert_eq!(print(true), print(false));
    assert_eq!(print(true).top.layers, Some(0), "the wide layers end with nothing over their core");
}

/// Layers of another number are another drawing, though they have as many strands for the same uses.
#[test]
fn layers_of_two_numbers_keep_apart() {
    let print = |numbered: bool| {
        let mut skins = Skins::default();
        for index in 0..8 {
            // All of 40 mm at the bottom and at the top, between them first the left half of it, then the right.
            let (number, x0, width) = match index {
                0 | 7 => (3, 0.0, 40.0),
                1..4 => (1, 0.0, 20.0),
                _ => (2, 20.0, 20.0),
            };
            let mut lines = hatch(Role::SparseInfill, 0.4, 2.5, 0.0, Point::new(width, SIZE.y));
            lines.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| p.x += x0);
            let (mut layer, roles) = layer(index, 0.2, &lines);
            layer.number = numbered.then_some(number);
            skins.push(&layer, &shape(index, rectangle(x0, 0.0, x0 + width, SIZE.y), roles));
        }
        skins.finish()
    };
    let known = print(true);
    assert_eq!(known, print(false));
    // The left half has its roof over layer 3, the right half over the last; a stay of one layer is none.
    assert_eq!(known.top.patches.iter().map(|p| p.surface_layer).collect::<Vec<_>>(), [3, 7]);
}
