//! Pockets of hand-made stacks of outlines.

#![allow(clippy::unwrap_used)]

use super::*;
use crate::geom::{nest, offset_round};
use proptest::prelude::*;

const H: f64 = 0.2;

pub fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point> {
    vec![Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)]
}

fn regular(sides: usize, radius: f64, at: Point) -> Vec<Point> {
    (0..sides)
        .map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / sides as f64;
            at + Point::new(angle.cos(), angle.sin()) * radius
        })
        .collect()
}

pub fn hexagon(flats: f64, at: Point) -> Vec<Point> {
    regular(6, flats / 3.0_f64.sqrt(), at)
}

pub fn circle(diameter: f64, at: Point) -> Vec<Point> {
    regular(48, 0.5 * diameter, at)
}

/// Follows a stack given as the rings of each layer: outside first, then whatever is cut out of it.
pub fn follow(layers: usize, rings: impl Fn(usize) -> Vec<Vec<Point>>) -> Vec<Pocket> {
    let mut pockets = Pockets::default();
    for index in 0..layers {
        push(&mut pockets, &shape(index, nest(&rings(index))));
    }
    pockets.finish()
}

fn push(pockets: &mut Pockets, shape: &LayerShape) {
    pockets.push(shape, &Openings::of(shape));
}

fn shape(index: usize, outline: Vec<Polygon>) -> LayerShape {
    LayerShape { index, z_mm: H * (index + 1) as f64, height_mm: H, outline, ..LayerShape::default() }
}

pub fn plate() -> Vec<Point> {
    rectangle(0.0, 0.0, 40.0, 26.0)
}

/// A plate of 30 layers with one opening from layer `from` up to and without layer `to`.
fn plate_with(opening: &[Point], from: usize, to: usize) -> Vec<Pocket> {
    follow(30, |i| {
        let mut rings = vec![plate()];
        rings.extend((from..to).contains(&i).then(|| opening.to_vec()));
        rings
    })
}

pub const AT: Point = Point::new(13.0, 9.0);

#[test]
fn a_closed_pocket_has_floor_roof_and_stop() {
    for (opening, shape, size) in [
        (circle(6.2, AT), PocketShape::Round, 6.2),
        (hexagon(10.3, AT), PocketShape::Hex, 10.3),
        (rectangle(8.0, 6.0, 18.0, 12.0), PocketShape::Box, 6.0),
    ] {
        let found = plate_with(&opening, 10, 21);
        assert_eq!(found.len(), 1, "{shape:?}");
        let pocket = &found[0];
        assert_eq!((pocket.shape, pocket.access, pocket.stop_after_layer), (shape, Access::Closed, Some(20)));
        assert!((pocket.size_mm - size).abs() < 0.02 && pocket.centre.distance(AT) < 0.01, "{pocket:?}");
        assert!((pocket.floor_z_mm - 2.0).abs() < 1e-9 && (pocket.roof_z_mm.unwrap() - 4.2).abs() < 1e-9);
        assert!((pocket.depth_mm - 2.2).abs() < 1e-9);
        assert_eq!(pocket.layers.iter().map(|l| l.layer).collect::<Vec<_>>(), (10..21).collect::<Vec<_>>());
    }
}

#[test]
fn the_box_tells_its_length() {
    let found = plate_with(&rectangle(8.0, 6.0, 18.0, 12.0), 10, 21);
    assert!((found[0].length_mm.unwrap() - 10.0).abs() < 0.01);
}

#[test]
fn open_at_the_top_needs_no_stop() {
    let found = plate_with(&circle(6.2, AT), 10, 30);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].access, found[0].roof_z_mm, found[0].stop_after_layer), (Access::Top, None, None));
    assert!((found[0].depth_mm - 4.0).abs() < 1e-9);
}

#[test]
fn holes_from_the_bed_narrow_cracks_and_dents_are_no_pockets() {
    assert!(plate_with(&circle(6.2, AT), 0, 30).is_empty(), "a bore");
    assert!(plate_with(&circle(6.2, AT), 0, 12).is_empty(), "open below");
    assert!(plate_with(&circle(1.7, AT), 10, 20).is_empty(), "too narrow");
    assert!(plate_with(&rectangle(5.0, 5.0, 30.0, 6.5), 10, 20).is_empty(), "a crack");
    assert!(plate_with(&circle(6.2, AT), 10, 13).is_empty(), "0.6 mm deep");
}

#[test]
fn a_nut_over_a_bolt_hole_is_a_pocket() {
    // M6: nut 10.3 across flats with clearance, bolt hole 6.5 through floor and roof.
    let found = follow(40, |i| {
        let hole = if (10..37).contains(&i) { hexagon(10.3, AT) } else { circle(6.5, AT) };
        vec![plate(), hole]
    });
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(
        (found[0].shape, found[0].access, found[0].stop_after_layer),
        (PocketShape::Hex, Access::Closed, Some(36))
    );
    assert!((found[0].roof_z_mm.unwrap() - 7.4).abs() < 1e-9, "{}", found[0].roof_z_mm.unwrap());
}

#[test]
fn a_countersunk_bolt_hole_stays_open() {
    let found = follow(30, |i| vec![plate(), circle(if i < 15 { 6.5 } else { 12.0 }, AT)]);
    assert!(found.iter().all(|p| p.access == Access::Top), "{found:?}");
    let cone = follow(30, |i| vec![plate(), circle(4.0 + 0.4 * i as f64, AT)]);
    assert!(cone.iter().all(|p| p.access == Access::Top), "{cone:?}");
}

#[test]
fn a_roof_that_narrows_closes_where_a_tenth_is_left() {
    // Steady 9 mm bore on layers 5 to 14, then 0.8 mm narrower with every layer.
    let found = follow(40, |i| {
        let diameter = if i < 15 { 9.0 } else { 9.0 - 0.8 * (i as f64 - 14.0) };
        let mut rings = vec![plate()];
        rings.extend((i >= 5 && diameter > 0.1).then(|| circle(diameter, AT)));
        rings
    });
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].access, found[0].stop_after_layer), (Access::Closed, Some(14)));
    // (2.6 / 9)² = 0.083 is the first below a tenth: layer 22, whose foot is at 4.4.
    assert!((found[0].roof_z_mm.unwrap() - 4.4).abs() < 1e-9, "{:?}", found[0].roof_z_mm);
    assert!((found[0].floor_z_mm - 1.0).abs() < 1e-9);
    assert!(found[0].layers.last().unwrap().layer > 14, "the narrowing is kept");
}

#[test]
fn a_slot_from_the_side_is_listed_apart() {
    let found = follow(30, |i| {
        let slot = vec![
            Point::new(0.0, 0.0),
            Point::new(40.0, 0.0),
            Point::new(40.0, 10.0),
            Point::new(28.0, 10.0),
            Point::new(28.0, 15.0),
            Point::new(40.0, 15.0),
            Point::new(40.0, 26.0),
            Point::new(0.0, 26.0),
        ];
        vec![if (10..20).contains(&i) { slot } else { plate() }]
    });
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].shape, found[0].access, found[0].stop_after_layer), (PocketShape::Box, Access::Side, None));
    assert!(found[0].centre.distance(Point::new(34.0, 12.5)) < 0.01 && (found[0].size_mm - 5.0).abs() < 0.01);
}

#[test]
fn a_lid_that_rests_on_nothing_is_no_roof() {
    // A stack of copies: the next one begins with a loose piece over the cup below.
    let found = follow(24, |i| {
        let lid = rectangle(6.0, 5.0, 34.0, 21.0);
        match i {
            0..4 => vec![plate()],
            4..14 => vec![plate(), rectangle(4.0, 3.0, 36.0, 23.0)],
            _ => vec![lid],
        }
    });
    assert!(found.iter().all(|p| p.access != Access::Closed), "{found:?}");
}

#[test]
fn an_odd_cell_is_a_pocket_only_in_a_part_with_fill() {
    let cell = vec![Point::new(8.0, 6.0), Point::new(17.0, 6.0), Point::new(8.0, 15.0)];
    let follow = |role| {
        let mut pockets = Pockets::default();
        for index in 0..30 {
            let mut rings = vec![plate()];
            rings.extend((10..21).contains(&index).then(|| cell.clone()));
            push(&mut pockets, &LayerShape { roles: vec![Role::OuterWall, role], ..shape(index, nest(&rings)) });
        }
        pockets.finish()
    };
    assert!(follow(Role::InnerWall).is_empty());
    let found = follow(Role::SparseInfill);
    assert_eq!((found.len(), found[0].shape, found[0].access), (1, PocketShape::Other, Access::Closed));
}

#[test]
fn objects_printed_one_after_another_have_their_own_pockets() {
    let mut pockets = Pockets::default();
    for object in 0..2 {
        // The first object's roof is one layer thick: nothing that comes later may open it again.
        for index in 0..(if object == 0 { 16 } else { 20 }) {
            let shift = Point::new(60.0 * object as f64, 0.0);
            let mut rings = vec![plate()];
            rings.extend((5..15).contains(&index).then(|| hexagon(8.2, AT)));
            rings.iter_mut().flatten().for_each(|p| *p = *p + shift);
            push(&mut pockets, &LayerShape { index: index + 16 * object, ..shape(index, nest(&rings)) });
        }
    }
    let found = pockets.finish();
    let stops: Vec<_> = found.iter().map(|p| (p.access, p.stop_after_layer)).collect();
    assert_eq!(stops, [(Access::Closed, Some(14)), (Access::Closed, Some(30))]);
}

#[test]
fn a_seam_in_the_edge_does_no_harm() {
    let found = follow(30, |i| {
        let mut ring = circle(8.0, AT);
        // A bump that wanders round the bore, 0.25 mm deep.
        ring[(i * 5) % 48] = AT + (ring[(i * 5) % 48] - AT) * (3.75 / 4.0);
        let mut rings = vec![plate()];
        rings.extend((6..20).contains(&i).then_some(ring));
        rings
    });
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].access, found[0].stop_after_layer), (Access::Closed, Some(19)));
    assert!((found[0].size_mm - 8.0).abs() < 0.1 && found[0].centre.distance(AT) < 0.05, "{:?}", found[0]);
}

proptest! {
    /// Wherever it lies and however it is turned, the same pocket is found.
    #[test]
    fn moving_and_turning_change_nothing(angle in 0.0..3.1f64, x in -100.0..100.0f64, from in 2..10usize, deep in 4..12usize) {
        let (s, c) = angle.sin_cos();
        let turn = |ring: Vec<Point>| -> Vec<Point> {
            ring.into_iter().map(|p| Point::new(p.x * c - p.y * s + x, p.x * s + p.y * c - 2.0 * x)).collect()
        };
        let found = follow(28, |i| {
            let mut rings = vec![turn(plate())];
            rings.extend((from..from + deep).contains(&i).then(|| turn(hexagon(8.2, AT))));
            rings
        });
        prop_assert_eq!(found.len(), 1);
        prop_assert_eq!(found[0].shape, PocketShape::Hex);
        prop_assert!((found[0].size_mm - 8.2).abs() < 0.02);
        prop_assert!(found[0].centre.distance(turn(vec![AT])[0]) < 0.01);
        prop_assert_eq!(found[0].stop_after_layer, Some(from + deep - 1));
        prop_assert!((found[0].floor_z_mm - H * from as f64).abs() < 1e-9);
    }

    /// Rounded inner corners, as wide beads leave them, keep a box a box.
    #[test]
    fn rounded_boxes_are_boxes(radius in 0.05..0.6f64) {
        let sharp = Polygon { outer: rectangle(9.0, 7.0, 19.0, 12.0), holes: Vec::new() };
        let rounded = offset_round(&offset(&[sharp], -radius), radius);
        let found = plate_with(&rounded[0].outer, 8, 18);
        prop_assert_eq!(found.len(), 1);
        prop_assert_eq!(found[0].shape, PocketShape::Box);
        prop_assert!((found[0].size_mm - 5.0).abs() < 0.02);
    }
}

#[test]
fn pockets_above_each_other_are_both_found_whatever_the_floor_between() {
    for (lower, upper) in [(6.2, 10.4), (10.4, 6.2), (8.0, 8.0)] {
        // A floor of one layer under a wider pocket may as well be the bottom of the next copy in a stack.
        for floor in if upper > lower { 2..=5 } else { 1..=5 } {
            let found = follow(36, |i| {
                let mut rings = vec![plate()];
                rings.extend((5..14).contains(&i).then(|| circle(lower, AT)));
                rings.extend((14 + floor..24 + floor).contains(&i).then(|| circle(upper, AT)));
                rings
            });
            let sizes: Vec<f64> = found.iter().map(|p| (10.0 * p.size_mm).round() / 10.0).collect();
            let stops: Vec<Option<usize>> = found.iter().map(|p| p.stop_after_layer).collect();
            assert_eq!(sizes, [lower, upper], "{floor} layers between");
            assert_eq!(stops, [Some(13), Some(23 + floor)], "{floor} layers between");
        }
    }
}

#[test]
fn an_object_begins_at_the_bed_after_something_as_high() {
    let begins = |index, last_top_mm| starts_another_object(&shape(index, Vec::new()), last_top_mm);
    assert!(
        begins(0, Some(6.0)) && begins(0, Some(0.2)),
        "a layer on the bed after a part, or beside another on the bed"
    );
    assert!(!begins(0, None) && !begins(1, Some(0.2)), "the first one, and the second on it");
    assert!(!begins(3, Some(0.8)) && !begins(3, Some(6.0)), "what is not on the bed");
}

/// Most layers say what a pocket is, and how wide.
#[test]
fn a_nut_seat_with_a_few_round_layers_is_a_nut_seat() {
    let found = follow(30, |i| {
        let seat = match i {
            10..18 => vec![hexagon(10.3, AT)],
            18..22 => vec![circle(11.6, AT)],
            _ => vec![],
        };
        [vec![plate()], seat].concat()
    });
    assert_eq!((found.len(), found[0].shape, found[0].stop_after_layer), (1, PocketShape::Hex, Some(21)));
    assert!((found[0].size_mm - 10.3).abs() < 0.01, "{:?}", found[0]);
}

#[test]
fn the_smallest_insert_goes_into_a_slit_that_is_wide_enough() {
    let slit = |wide: f64| {
        let (along, half) = (Point::new(0.5_f64.sqrt(), 0.5_f64.sqrt()), 0.5 * wide);
        [(-8.0, -half), (8.0, -half), (8.0, half), (-8.0, half)].map(|(u, v)| AT + along * u + along.left() * v)
    };
    assert_eq!(plate_with(&slit(1.9), 10, 21), []);
    assert_eq!(plate_with(&slit(2.0), 10, 21).len(), 1);
}
