#![allow(clippy::unwrap_used)]

use super::fixture::{Laid, circle, plate, ring};
use super::measure_layer;
use crate::geom::{Point, Polygon};
use crate::profile::Role;
use approx::assert_relative_eq;

fn area(of: &[Polygon]) -> f64 {
    of.iter().map(Polygon::area_mm2).sum()
}

fn angle_plate() -> Polygon {
    plate(ring(&[(10.0, 5.0), (52.0, 5.0), (52.0, 14.0), (24.0, 14.0), (24.0, 35.0), (10.0, 35.0)]), &[])
}

fn holed_plate() -> Polygon {
    plate(ring(&[(0.0, 0.0), (48.0, 0.0), (48.0, 26.0), (0.0, 26.0)]), &[circle((15.0, 12.0), 5.0, 64)])
}

#[test]
fn an_angle_with_three_walls_and_a_quarter_core() {
    let drawing = angle_plate();
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&drawing, 3).fill(&drawing, 3, 0.25);
    let shape = measure_layer(&laid.layer, None);
    assert_relative_eq!(area(&shape.outline), drawing.area_mm2(), max_relative = 1e-4);
    assert_eq!((shape.walls.min.unwrap().0, shape.walls.p05, shape.walls.median), (3, Some(3), Some(3)));
    let thickness = 0.45 + 2.0 * laid.pitch_mm();
    assert_relative_eq!(shape.walls.thickness_median_mm.unwrap(), thickness, epsilon = 1e-3);
    let core = shape.core.unwrap();
    assert_relative_eq!(core.density.unwrap(), 0.25, epsilon = 0.02);
    assert!(!core.solid);
    assert_relative_eq!(core.directions[0].0, 0.0, epsilon = 1e-6);
}

#[test]
fn fill_along_the_walls_is_not_counted_as_walls() {
    let drawing = holed_plate();
    let mut laid = Laid::new(0.5, 0.25);
    laid.walls(&drawing, 2).fill(&drawing, 2, 1.0);
    let shape = measure_layer(&laid.layer, None);
    assert_relative_eq!(area(&shape.outline), drawing.area_mm2(), max_relative = 1e-4);
    assert_eq!((shape.walls.min.unwrap().0, shape.walls.p05, shape.walls.median), (2, Some(2), Some(2)));
    let core = shape.core.unwrap();
    assert!(core.solid);
    assert_relative_eq!(core.density.unwrap(), 1.0, epsilon = 0.03);
    assert!(shape.roles.contains(&Role::SolidInfill) && !shape.roles.contains(&Role::SparseInfill));
}

/// Where a narrow ring runs along its lines, the last of them have no neighbour.
#[test]
fn every_line_in_a_ring_that_is_full_is_solid_and_in_an_open_one_none() {
    let drawing = plate(circle((0.0, 0.0), 15.0, 96), &[circle((0.0, 0.0), 12.0, 96)]);
    for (density, role) in [(1.0, Role::SolidInfill), (0.25, Role::SparseInfill)] {
        let mut laid = Laid::new(0.45, 0.2);
        laid.walls(&drawing, 3).fill(&drawing, 3, density);
        let shape = measure_layer(&laid.layer, None);
        let fill = shape.roles.iter().zip(&laid.layer.strands).filter(|(_, strand)| !strand.closed);
        let roles: Vec<Role> = fill.map(|(role, _)| *role).collect();
        assert!(roles.len() > 30, "{}", roles.len());
        assert!(roles.iter().all(|r| *r == role), "{density}: {roles:?}");
    }
}

#[test]
fn order_direction_and_seam_change_nothing() {
    let drawing = holed_plate();
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&drawing, 3).fill(&drawing, 3, 0.3);
    let first = measure_layer(&laid.layer, None);
    let mut other = Laid::new(0.45, 0.2);
    for k in 0..3 {
        let mut one = Laid::new(0.45, 0.2);
        one.wall(&drawing, k);
        for strand in &one.layer.strands {
            let mut points: Vec<Point> = one.layer.strand_beads(strand).iter().map(|b| b.from).collect();
            points.reverse();
            let seam = (points.len() / 3 + k) % points.len();
            points.rotate_left(seam);
            other.strand(&points, true);
        }
    }
    other.fill(&drawing, 3, 0.3);
    let second = measure_layer(&other.layer, None);
    assert_relative_eq!(area(&first.outline), area(&second.outline), epsilon = 1e-3);
    assert_eq!(first.walls.samples.len(), second.walls.samples.len());
    assert_eq!((first.walls.min.unwrap().0, first.walls.median), (second.walls.min.unwrap().0, second.walls.median));
    assert_relative_eq!(first.core.unwrap().density.unwrap(), second.core.unwrap().density.unwrap(), epsilon = 1e-6);
}

#[test]
fn a_hollow_body_is_no_ring_and_a_tube_is() {
    let drawing = angle_plate();
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&drawing, 2);
    let hollow = measure_layer(&laid.layer, None);
    assert_relative_eq!(area(&hollow.outline), drawing.area_mm2(), max_relative = 1e-4);
    assert_relative_eq!(hollow.core.unwrap().density.unwrap(), 0.0, epsilon = 1e-9);

    let tube = plate(circle((30.0, 40.0), 12.0, 96), &[circle((30.0, 40.0), 10.2, 96)]);
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&tube, 2);
    let shape = measure_layer(&laid.layer, None);
    assert_relative_eq!(area(&shape.outline), tube.area_mm2(), max_relative = 1e-3);
    assert_eq!(shape.walls.median, Some(4));
    assert!(shape.walls.samples.iter().all(|s| s.through));
    assert_relative_eq!(shape.walls.thickness_median_mm.unwrap(), 1.8, epsilon = 0.02);
}

#[test]
fn starved_walls_keep_the_drawn_outline_and_their_count() {
    let drawing = holed_plate();
    let mut laid = Laid::new(0.45, 0.2);
    laid.flow = 0.6;
    laid.walls(&drawing, 3).fill(&drawing, 3, 0.4);
    let shape = measure_layer(&laid.layer, None);
    assert_relative_eq!(area(&shape.outline), drawing.area_mm2(), max_relative = 2e-3);
    assert_eq!((shape.walls.min.unwrap().0, shape.walls.median), (3, Some(3)));
    // Six tenths of what the distance of the walls asks for.
    assert_relative_eq!(shape.flow_ratio.unwrap(), 0.6, epsilon = 0.02);
    assert_relative_eq!(shape.core.unwrap().density.unwrap(), 0.4 * 0.6, epsilon = 0.02);
}

#[test]
fn a_single_bead_rib_is_part_of_the_outline_and_counted_through() {
    let drawing = plate(ring(&[(0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (0.0, 10.0)]), &[]);
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&drawing, 3).fill(&drawing, 3, 0.2);
    laid.strand(&[Point::new(12.0, 10.0), Point::new(12.0, 21.0)], false);
    let shape = measure_layer(&laid.layer, None);
    assert_relative_eq!(area(&shape.outline), 400.0 + 11.0 * 0.45, max_relative = 1e-4);
    let on_rib: Vec<_> = shape.walls.samples.iter().filter(|s| s.at.y > 12.0 && s.at.y < 20.0).collect();
    assert!(on_rib.len() >= 14);
    for sample in on_rib {
        assert_eq!((sample.count, sample.through), (1, true));
        assert_relative_eq!(sample.thickness_mm, 0.45, epsilon = 1e-3);
    }
    assert_eq!(shape.walls.min.unwrap().0, 1);
    assert_eq!(shape.roles.last(), Some(&Role::GapFill));
}

#[test]
fn every_edge_point_has_a_sample_within_a_millimetre() {
    let drawing = holed_plate();
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&drawing, 2).fill(&drawing, 2, 0.2);
    let shape = measure_layer(&laid.layer, None);
    for r in drawing.rings() {
        for i in 0..r.len() {
            for k in 0..20 {
                let spot = r[i].lerp(r[(i + 1) % r.len()], f64::from(k) / 20.0);
                let nearest = shape.walls.samples.iter().map(|s| s.at.distance(spot)).fold(f64::INFINITY, f64::min);
                assert!(nearest < 1.0, "no sample near {spot:?}");
            }
        }
    }
}

#[test]
fn skirt_and_brim_are_no_part_of_the_part() {
    let drawing = holed_plate();
    let mut first = Laid::new(0.45, 0.2);
    let grown = |by: f64| crate::geom::offset(std::slice::from_ref(&plate(drawing.outer.clone(), &[])), by).remove(0);
    // Two rings of skirt 4 mm off, three of brim against the part.
    first.wall(&grown(4.0), 0).wall(&grown(4.0 + 0.45), 0);
    for k in [2.0, 1.0, 0.0] {
        let pitch = first.pitch_mm();
        first.wall(&grown(0.45 + k * pitch), 0);
    }
    for strand in &mut first.layer.strands {
        strand.role = Role::Adhesion;
    }
    first.walls(&drawing, 2).fill(&drawing, 2, 1.0);
    let shape = measure_layer(&first.layer, None);
    assert_relative_eq!(area(&shape.outline), drawing.area_mm2(), max_relative = 1e-4);
    assert_eq!(shape.roles.iter().filter(|r| **r == Role::Adhesion).count(), 5);
    assert_eq!(shape.walls.median, Some(2));
}

#[test]
fn an_empty_layer_is_empty() {
    let shape = measure_layer(&Laid::new(0.45, 0.2).layer, None);
    assert!(shape.outline.is_empty() && shape.core.is_none() && shape.walls.samples.is_empty());
    assert_eq!((shape.walls.min, shape.walls.median), (None, None));
}

#[test]
fn a_layer_without_walls_is_as_large_as_what_its_lines_fill() {
    let drawing = plate(ring(&[(10.0, 5.0), (52.0, 5.0), (52.0, 14.0), (10.0, 14.0)]), &[]);
    let mut full = Laid::new(0.45, 0.2);
    full.fill(&drawing, 0, 1.0);
    let shape = measure_layer(&full.layer, None);
    assert_relative_eq!(area(&shape.outline), drawing.area_mm2(), max_relative = 0.03);
    assert!(shape.roles.iter().all(|role| *role == Role::SolidInfill), "{:?}", shape.roles);
    let mut open = Laid::new(0.45, 0.2);
    open.fill(&drawing, 0, 0.2);
    let shape = measure_layer(&open.layer, None);
    assert!(shape.outline.is_empty() && shape.roles.iter().all(|role| *role == Role::Support), "{:?}", shape.roles);
}

/// A saw along a line: teeth of `tooth_mm`, `high_mm` to the left and to the right of the line in turn.
fn saw(points: &[Point], tooth_mm: f64, high_mm: f64) -> Vec<Point> {
    let mut teeth = Vec::new();
    for leg in points.windows(2) {
        let aside = (leg[1] - leg[0]).unit().unwrap().left() * high_mm;
        let count = (leg[0].distance(leg[1]) / tooth_mm) as usize;
        for k in 0..count {
            let on = leg[0].lerp(leg[1], k as f64 / count as f64);
            teeth.push(if k % 2 == 0 { on + aside } else { on - aside });
        }
    }
    teeth
}

#[test]
fn a_narrow_zigzag_between_two_walls_fills_the_rib() {
    // As on a real part: walls 1.2 mm apart, a bead half as wide woven between them with a little too little flow.
    let mut laid = Laid::new(0.764, 0.3);
    laid.strand(&ring(&[(0.0, 0.0), (60.0, 0.0), (60.0, 1.2), (0.0, 1.2)]), true);
    laid.width_mm = 0.408;
    laid.strand(&saw(&ring(&[(0.8, 0.6), (59.2, 0.6)]), 0.255, 0.07), false);
    let shape = measure_layer(&laid.layer, None);
    assert_eq!(shape.walls.median, Some(3));
    assert_relative_eq!(shape.walls.thickness_median_mm.unwrap(), 1.2 + 0.764, epsilon = 0.01);
    assert!(shape.core.is_none_or(|core| core.area_mm2 < 1.0));
}

#[test]
fn a_zigzag_beside_one_wall_is_fill() {
    let drawing = plate(ring(&[(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]), &[]);
    let mut laid = Laid::new(0.764, 0.3);
    laid.walls(&drawing, 2);
    let pitch = laid.pitch_mm();
    let first = 0.382 + pitch;
    // A saw along two sides, and lines that end a bead further in.
    let (near, far) = (first + pitch, 30.0 - first - pitch);
    laid.strand(&saw(&ring(&[(near, near), (near, far), (38.0 - near, far)]), 0.9, 0.12), false);
    let mut y = first + pitch;
    while y < 30.0 - first - 2.0 * pitch {
        laid.strand(&[Point::new(first + 2.0 * pitch, y), Point::new(40.0 - first - 0.6 * pitch, y)], false);
        y += pitch;
    }
    let shape = measure_layer(&laid.layer, None);
    assert_eq!(shape.walls.median, Some(2));
    let most = shape.walls.samples.iter().filter(|s| s.count > 2).count();
    assert!(10 * most < shape.walls.samples.len(), "{most} of {}", shape.walls.samples.len());
}

#[test]
fn a_short_solid_end_makes_no_core_of_doubled_lines_solid() {
    let drawing = plate(ring(&[(0.0, 0.0), (50.0, 0.0), (50.0, 40.0), (0.0, 40.0)]), &[]);
    let mut laid = Laid::new(0.5, 0.2);
    laid.walls(&drawing, 2);
    let pitch = laid.pitch_mm();
    let (left, right) = (1.3, 48.7);
    let (mut there_and_back, mut y) = (Vec::new(), 1.5);
    while y < 33.0 {
        let (a, b) = (Point::new(left, y), Point::new(right, y));
        let (c, d) = (Point::new(right, y + pitch), Point::new(left, y + pitch));
        there_and_back.extend([a, b, c, d]);
        y += 4.0 * pitch;
    }
    there_and_back.extend([Point::new(left, y), Point::new(right, y)]);
    laid.strand(&there_and_back, false);
    for k in 1..4 {
        let y = y + f64::from(k) * pitch;
        laid.strand(&[Point::new(38.0, y), Point::new(46.0, y)], false);
    }
    let shape = measure_layer(&laid.layer, None);
    let core = shape.core.unwrap();
    assert!(!core.solid, "{:?}", core.density);
    assert!(core.density.unwrap() < 0.6);
}

#[test]
fn no_core_is_more_than_full() {
    let drawing = holed_plate();
    let mut laid = Laid::new(0.5, 0.2);
    laid.walls(&drawing, 2);
    laid.flow = 1.1;
    laid.fill(&drawing, 2, 1.0);
    let core = measure_layer(&laid.layer, None).core.unwrap();
    assert!(core.solid);
    assert_relative_eq!(core.density.unwrap(), 1.0, epsilon = 0.03);
    assert!(core.density.unwrap() <= 1.0);
}

#[test]
fn lines_of_a_joined_core_that_others_cross_are_no_wall_with_a_gap() {
    // Half-way round a hole on one side, then on the other, as lines of triangles are joined in a small block.
    let drawing = plate(ring(&[(0.0, 0.0), (20.2, 0.0), (20.2, 20.2), (0.0, 20.2)]), &[circle((10.1, 10.1), 3.8, 40)]);
    let mut laid = Laid::new(0.45, 0.2);
    laid.walls(&drawing, 2);
    laid.strand(&ring(&[(5.6, 8.8), (0.9, 11.5), (6.4, 12.3), (0.9, 15.5), (0.9, 19.4), (9.8, 14.2)]), false);
    laid.strand(&ring(&[(10.4, 14.2), (19.3, 19.4), (13.9, 12.3), (19.3, 15.5), (19.3, 11.5), (14.6, 8.8)]), false);
    let crossing = [(3.2, 1.0, 3.2, 19.3), (17.0, 1.0, 17.0, 19.3), (1.0, 8.0, 12.6, 19.3), (19.2, 8.0, 7.6, 19.3)];
    for (x0, y0, x1, y1) in crossing {
        laid.strand(&ring(&[(x0, y0), (x1, y1)]), false);
    }
    let shape = measure_layer(&laid.layer, None);
    assert_relative_eq!(area(&shape.outline), drawing.area_mm2(), max_relative = 1e-3);
    assert!(shape.gaps.is_empty(), "{:?}", shape.gaps);
    assert_eq!(shape.walls.median, Some(2));
}
