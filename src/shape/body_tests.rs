//! Whole layers with loops, fill and what lies outside of both, and what each strand of them is taken for.

#![allow(clippy::unwrap_used)]
use super::super::fixture::{Laid, plate, ring};
use super::super::{LayerShape, measure_layer, measure_layer_again};
use super::*;
use approx::assert_relative_eq;

fn square(from: f64, to: f64) -> Vec<Point> {
    ring(&[(from, from), (to, from), (to, to), (from, to)])
}

fn area(shape: &LayerShape) -> f64 {
    shape.outline.iter().map(Polygon::area_mm2).sum()
}

/// Lines along x through a square, 2 mm apart and as far from its sides.
fn rows(laid: &mut Laid, from: f64, to: f64) {
    let mut y = from + 2.0;
    while y < to - 1.9 {
        laid.strand(&[Point::new(from + 2.0, y), Point::new(to - 2.0, y)], false);
        y += 2.0;
    }
}

/// Squares round one middle, so many pitches from the outermost to each.
fn squares(pitches_in: &[f64]) -> Laid {
    let mut laid = Laid::new(0.45, 0.2);
    for pitches in pitches_in {
        let off = 0.225 + pitches * laid.pitch_mm();
        laid.strand(&square(off, 40.0 - off), true);
    }
    laid
}

#[test]
fn the_wall_at_the_air_is_the_outer_one_on_either_side_of_a_part() {
    let mut laid = Laid::new(0.45, 0.2);
    let drawing = plate(square(0.0, 30.0), &[square(10.0, 20.0)]);
    laid.wall(&drawing, 0).wall(&drawing, 1).wall(&drawing, 2).fill(&drawing, 3, 0.2);
    let shape = measure_layer(&laid.layer, None);
    let walls = [Role::OuterWall, Role::OuterWall, Role::InnerWall, Role::InnerWall, Role::InnerWall, Role::InnerWall];
    assert_eq!(shape.roles[..6], walls);
    assert!(shape.roles[6..].iter().all(|role| *role == Role::SparseInfill), "{:?}", shape.roles);
    assert_eq!(shape.deepest_walls, 3);
    // No number of walls that is usual elsewhere changes that.
    assert_eq!(measure_layer_again(&laid.layer, Usual { pitch_mm: None, walls: Some(2) }), None);
}

#[test]
fn lines_of_a_core_that_go_round_are_fill_and_no_walls() {
    let walls_and_lines =
        [&[0.0, 1.0, 2.0][..], &[6.0, 10.0, 14.0, 18.0, 22.0, 26.0, 30.0, 34.0, 38.0, 42.0, 46.0]].concat();
    let shape = measure_layer(&squares(&walls_and_lines).layer, None);
    assert_eq!(shape.roles[..3], [Role::OuterWall, Role::InnerWall, Role::InnerWall]);
    assert!(shape.roles[3..].iter().all(|role| *role == Role::SparseInfill), "{:?}", shape.roles);
    assert_eq!((shape.deepest_walls, shape.walls.median), (3, Some(3)));
    assert_relative_eq!(area(&shape), 1600.0, max_relative = 1e-3);
    assert_relative_eq!(shape.core.unwrap().density.unwrap(), 0.25, epsilon = 0.03);
}

#[test]
fn where_loops_fill_a_layer_the_usual_number_of_walls_matters() {
    let full: Vec<f64> = (0..49).map(f64::from).collect();
    let layer = squares(&full).layer;
    let again = |walls| measure_layer_again(&layer, Usual { pitch_mm: None, walls });
    assert_eq!(again(None), None);
    let shape = again(Some(3)).unwrap();
    assert_eq!((shape.deepest_walls, shape.walls.median), (3, Some(3)));
    assert!(shape.core.unwrap().solid);
    assert!(measure_layer(&layer, None).deepest_walls > 40);
}

#[test]
fn rows_in_a_hole_or_a_hollow_that_keep_clear_of_its_walls_hold_something_up() {
    let holed = plate(square(0.0, 40.0), &[square(10.0, 30.0)]);
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&holed, 2).fill(&holed, 2, 0.2);
    let before = laid.layer.strands.len();
    rows(&mut laid, 10.0, 30.0);
    let shape = measure_layer(&laid.layer, None);
    assert!(shape.roles[before..].iter().all(|role| *role == Role::Support), "{:?}", &shape.roles[before..]);
    assert_relative_eq!(area(&shape), 1200.0, max_relative = 1e-3);

    let mut hollow = Laid::new(0.45, 0.2);
    hollow.walls(&plate(square(0.0, 40.0), &[]), 2);
    rows(&mut hollow, 0.0, 40.0);
    let shape = measure_layer(&hollow.layer, None);
    assert!(shape.roles[2..].iter().all(|role| *role == Role::Support), "{:?}", shape.roles);
    assert_relative_eq!(shape.core.unwrap().density.unwrap(), 0.0, epsilon = 1e-9);
}

/// Ten millimetres of line are less than a fiftieth of what a hole of 20 x 20 mm would hold.
#[test]
fn a_line_from_the_wall_of_a_hole_is_a_rib_in_it() {
    let holed = plate(square(0.0, 40.0), &[square(10.0, 30.0)]);
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&holed, 2).fill(&holed, 2, 0.2);
    laid.strand(&[Point::new(10.0, 20.0), Point::new(20.0, 20.0)], false);
    let shape = measure_layer(&laid.layer, None);
    assert_eq!(shape.roles.last(), Some(&Role::GapFill));
    assert_relative_eq!(area(&shape), 1200.0 + 10.0 * 0.45, max_relative = 1e-3);
}

/// Beads are 0.45 mm wide.
#[test]
fn a_lone_line_is_a_rib_where_it_comes_within_a_width_of_the_outline() {
    for (off, role) in [(0.0, Role::GapFill), (0.42, Role::GapFill), (0.48, Role::Support), (8.0, Role::Support)] {
        for end in [0.0, 6.0] {
            let mut laid = Laid::new(0.45, 0.2);
            let drawing = plate(square(0.0, 20.0), &[]);
            laid.walls(&drawing, 2).fill(&drawing, 2, 0.2);
            laid.strand(&[Point::new(20.0 + off + end, 9.0), Point::new(26.0 + off - end, 9.0)], false);
            let shape = measure_layer(&laid.layer, None);
            assert_eq!(shape.roles.last(), Some(&role), "{off} from {end}");
            let with_rib = if role == Role::GapFill { 6.0 * 0.45 } else { 0.0 };
            assert_relative_eq!(area(&shape), 400.0 + with_rib, max_relative = 1e-3);
        }
    }
}

/// A block of another tool stands in the hole of a plate.
#[test]
fn every_tool_has_its_own_outline_and_its_fill_in_its_own_walls() {
    let holed = plate(square(0.0, 40.0), &[square(10.0, 30.0)]);
    let block = plate(square(12.0, 24.0), &[]);
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&holed, 2).fill(&holed, 2, 0.2);
    let (others, first_fill) = (laid.layer.strands.len(), laid.layer.strands.len() + 2);
    laid.walls(&block, 2).fill(&block, 2, 0.4);
    laid.layer.strands[others..].iter_mut().for_each(|strand| strand.tool = 1);
    let shape = measure_layer(&laid.layer, None);
    let areas: Vec<(u16, f64)> = shape
        .outline_by_tool
        .iter()
        .map(|(tool, polygons)| (*tool, polygons.iter().map(Polygon::area_mm2).sum::<f64>().round()))
        .collect();
    assert_eq!(areas, [(0, 1200.0), (1, 144.0)]);
    let fill = &shape.roles[first_fill..];
    assert!(fill.iter().all(|role| *role == Role::SparseInfill), "{fill:?}");
}

#[test]
fn a_rib_stands_out_from_the_walls_of_its_own_tool() {
    let mut laid = Laid::new(0.45, 0.2);
    let mut block = |from: f64, to: f64, tool: u16| {
        let (drawing, first) = (plate(square(from, to), &[]), laid.layer.strands.len());
        laid.walls(&drawing, 2).fill(&drawing, 2, 0.2);
        laid.strand(&[Point::new(to, to - 6.0), Point::new(to + 4.0, to - 6.0)], false);
        laid.layer.strands[first..].iter_mut().for_each(|strand| strand.tool = tool);
    };
    block(0.0, 12.0, 0);
    block(20.0, 32.0, 1);
    let shape = measure_layer(&laid.layer, None);
    assert_eq!(shape.roles.iter().filter(|role| **role == Role::GapFill).count(), 2);
    for (_, polygons) in &shape.outline_by_tool {
        let area: f64 = polygons.iter().map(Polygon::area_mm2).sum();
        assert_relative_eq!(area, 144.0 + 4.0 * 0.45, max_relative = 1e-3);
    }
}

/// Above the first layer nothing is laid round the part: what is taken for a skirt within its walls is part of it.
#[test]
fn what_lies_within_the_walls_is_no_skirt_above_the_first_layer() {
    for (index, within) in [(0, Role::Adhesion), (7, Role::SparseInfill)] {
        let mut laid = Laid::new(0.45, 0.2);
        let drawing = plate(square(0.0, 20.0), &[]);
        laid.walls(&drawing, 2).fill(&drawing, 2, 0.2);
        laid.strand(&[Point::new(30.0, 0.0), Point::new(30.0, 20.0)], false);
        let count = laid.layer.strands.len();
        laid.layer.index = Some(index);
        laid.layer.strands[count - 2..].iter_mut().for_each(|strand| strand.role = Role::Adhesion);
        let roles = measure_layer(&laid.layer, None).roles;
        assert_eq!(roles[count - 2..], [within, Role::Adhesion], "layer {index}");
        assert_eq!(roles[count - 3], Role::SparseInfill);
    }
}

#[test]
fn a_strand_lies_where_most_of_it_lies() {
    let mut laid = Laid::new(0.45, 0.2);
    laid.strand(&square(0.0, 10.0), true).strand(&square(20.0, 29.0), true);
    let loops = (0..2).filter_map(|strand| Loop::new(&laid.layer, vec![strand])).collect();
    let nest = Nest::new(loops);
    let at = |places: &[f64]| majority(&nest, &places.iter().map(|&xy| Point::new(xy, xy)).collect::<Vec<_>>());
    assert_eq!(at(&[5.0, 6.0, 25.0, 26.0, 27.0]), Some(1));
    assert_eq!(at(&[5.0, 6.0, 7.0, 26.0, 27.0]), Some(0));
    assert_eq!(at(&[5.0, 15.0, 16.0]), None);
    assert_eq!(at(&[]), None);
}
