//! Floors with holes in them, roofs that hardly are any, and the rims that they rest on.

use super::super::pockets::tests::{AT, circle, follow, hexagon, plate, rectangle};
use super::super::pockets::{Access, Pocket};
use crate::geom::Point;

/// A plate whose layers 10 to 21 have one opening, and those below and above others.
fn between(below: &[Vec<Point>], opening: &[Point], above: &[Vec<Point>]) -> Vec<Pocket> {
    follow(40, |i| {
        let mut rings = vec![plate()];
        match i {
            0..10 => rings.extend_from_slice(below),
            10..22 => rings.push(opening.to_vec()),
            _ => rings.extend_from_slice(above),
        }
        rings
    })
}

/// Six tenths of a nut's seat, 10.3 mm across flats and 91.9 mm², are a hole of 8.38 mm; nine tenths of a box 6 mm wide are
/// 5.4 mm; a hole of 2.8 mm is a tenth of what a box 3 mm wide and 20.5 mm long takes.
#[test]
fn a_hole_through_the_floor_is_too_narrow_for_the_insert() {
    let bar = |width: f64, length: f64| rectangle(4.0, 4.0, 4.0 + length, 4.0 + width);
    let in_bar = |diameter: f64| circle(diameter, Point::new(10.0, 7.0));
    for (opening, hole, holds) in [
        (hexagon(10.3, AT), circle(8.2, AT), true),
        (hexagon(10.3, AT), circle(8.6, AT), false),
        (bar(6.0, 12.0), in_bar(5.3), true),
        (bar(6.0, 12.0), in_bar(5.5), false),
        // Wider than that, but so little is open that nothing falls through.
        (bar(3.0, 27.0), circle(2.8, Point::new(10.0, 5.5)), true),
        (bar(3.0, 18.0), circle(2.8, Point::new(10.0, 5.5)), false),
    ] {
        let found = between(std::slice::from_ref(&hole), &opening, &[]);
        let kinds: Vec<Access> = found.iter().map(|p| p.access).collect();
        assert_eq!(kinds, if holds { vec![Access::Closed] } else { vec![] }, "{:?} in {opening:?}", hole[0]);
        // A hole through the roof leaves it open or not just the same; above a floor that holds, it is a place for an insert.
        let found = between(&[], &opening, std::slice::from_ref(&hole));
        let access = if holds { Access::Closed } else { Access::Top };
        assert_eq!(found.iter().map(|p| p.access).collect::<Vec<_>>(), [access], "{:?} in {opening:?}", hole[0]);
    }
}

/// The rim is a millimetre wide: round an opening of 10 x 10 mm it has 44 mm². A lid 10.2 mm wide over all of its length
/// covers 22.4.
#[test]
fn a_roof_rests_on_half_of_the_rim() {
    let opening = rectangle(10.0, 8.0, 20.0, 18.0);
    let lid = |wide: f64, from: f64| {
        follow(40, |i| match i {
            0..10 => vec![plate()],
            10..22 => vec![plate(), opening.clone()],
            _ => vec![rectangle(from, 13.0 - 0.5 * wide, 40.0, 13.0 + 0.5 * wide)],
        })
    };
    assert_eq!(lid(10.4, 0.0).iter().map(|p| p.access).collect::<Vec<_>>(), [Access::Closed]);
    // One that does not is another part, and what it covers is not told of.
    assert_eq!(lid(10.0, 0.0), []);
    // Where it leaves more than half open, an insert goes in from above.
    assert_eq!(lid(10.0, 16.0).len(), 1);
    assert_eq!(lid(10.0, 16.0)[0].access, Access::Top);
    assert!((lid(10.0, 16.0)[0].depth_mm - 2.4).abs() < 1e-9);
    assert_eq!(lid(10.0, 14.0), []);
}

/// Above the steady 10 mm the opening is a ledge narrower, and goes on narrowing by a share of its area with every layer: what
/// loses 3 % in five layers, a millimetre, is a roof in the making.
#[test]
fn a_roof_that_hardly_narrows_leaves_the_pocket_open() {
    let narrowing = |share: f64| {
        follow(80, |i| {
            let area = 0.8 * (1.0 - share).powi(i as i32 - 22);
            let opening = match i {
                0..10 => vec![],
                10..22 => vec![circle(10.0, AT)],
                22..60 => vec![circle(10.0 * area.sqrt(), AT)],
                _ => vec![],
            };
            [vec![plate()], opening].concat()
        })
    };
    let access = |found: &[Pocket]| found.iter().map(|p| p.access).collect::<Vec<_>>();
    assert_eq!(access(&narrowing(0.01)), [Access::Closed]);
    assert_eq!(access(&narrowing(0.004)), [Access::Top]);
    // What is left of it is told layer by layer.
    let found = narrowing(0.01);
    let widths: Vec<f64> = found[0].layers.iter().map(|l| l.opening.area_mm2()).collect();
    assert_eq!(found[0].layers.len(), 50, "{:?}", found[0].layers.last());
    assert!((widths[12] / widths[0] - 0.8).abs() < 1e-6 && (widths[13] / widths[12] - 0.99).abs() < 1e-6);
    assert_eq!(found[0].layers.iter().map(|l| l.layer).collect::<Vec<_>>(), (10..60).collect::<Vec<_>>());
}

/// A lid of one layer over a pocket of 6.2 mm, then another opening: the rim from 6.2 to 8.2 mm stays for the most part round
/// 7 mm and not round 7.6, where the lid may be the bottom of the next copy in a stack.
#[test]
fn a_roof_of_one_layer_has_something_round_it_above() {
    for (upper, sizes) in [(7.0, vec![6.2, 7.0]), (7.6, vec![7.6]), (10.4, vec![10.4])] {
        let found = follow(36, |i| {
            let opening = match i {
                5..=13 => vec![circle(6.2, AT)],
                15..=24 => vec![circle(upper, AT)],
                _ => vec![],
            };
            [vec![plate()], opening].concat()
        });
        let told: Vec<f64> = found.iter().map(|p| (10.0 * p.size_mm).round() / 10.0).collect();
        assert_eq!(told, sizes, "{upper}");
    }
}
