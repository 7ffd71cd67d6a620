#![allow(clippy::unwrap_used)]

use super::super::fixture::{Laid, ring};
use super::super::loops::loops_of;
use super::*;
use approx::assert_relative_eq;
use std::f64::consts::FRAC_PI_4;

const HEIGHT: f64 = 0.2;

/// A layer whose beads are meant to lie 0.4 mm apart.
fn laid() -> Laid {
    Laid::new(0.4 + HEIGHT * (1.0 - FRAC_PI_4), HEIGHT)
}

/// Square walls round one middle each, all laid for 0.4 mm: x of the middle and the length of a side.
fn nest(squares: &[(f64, f64)]) -> Nest {
    let mut laid = laid();
    for &(x, side) in squares {
        let (low, high) = (80.0 - 0.5 * side, 80.0 + 0.5 * side);
        laid.strand(
            &ring(&[(x - 0.5 * side, low), (x + 0.5 * side, low), (x + 0.5 * side, high), (x - 0.5 * side, high)]),
            true,
        );
    }
    Nest::new(loops_of(&laid.layer, &vec![false; squares.len()]))
}

/// As many walls one within the other, each so far from the next.
fn walls(x: f64, side: f64, apart: f64, count: u32) -> Vec<(f64, f64)> {
    (0..count).map(|k| (x, side - 2.0 * apart * f64::from(k))).collect()
}

/// How the flow and the distance of walls compare; with fill within each loop, from the largest to the smallest.
fn compare(squares: &[(f64, f64)], fill_mm: &[f64], usual_mm: Option<f64>) -> Spacing {
    Spacing::of(&nest(squares), fill_mm, usual_mm, HEIGHT)
}

fn assert_spacing(found: Spacing, ratio: f64, measured: Option<f64>) {
    assert_relative_eq!(found.ratio, ratio, epsilon = 1e-9);
    assert_eq!(found.measured.is_some(), measured.is_some(), "{found:?}, {measured:?} was meant");
    assert_relative_eq!(found.measured.unwrap_or(0.0), measured.unwrap_or(0.0), epsilon = 1e-9);
}

#[test]
fn distance_is_believed_where_it_is_far_from_what_flow_tells() {
    let three = |apart: f64| compare(&walls(50.0, 30.0, apart, 3), &[0.0; 3], None);
    assert_spacing(three(0.4), 1.0, Some(1.0));
    // Within 15 % flow is believed.
    assert_spacing(three(0.4 * 1.1), 1.0, Some(1.1));
    assert_spacing(three(0.4 * 1.3), 1.3, Some(1.3));
    assert_spacing(three(0.4 * 0.8), 0.8, Some(0.8));
    // What is further off than 2.6 pitches or nearer than 0.35 is no neighbour.
    assert_spacing(three(0.4 * 2.5), 2.5, Some(2.5));
    assert_spacing(three(0.4 * 2.7), 1.0, None);
    assert_spacing(three(0.4 * 0.37), 0.37, Some(0.37));
    assert_spacing(three(0.4 * 0.33), 1.0, None);
}

#[test]
fn two_loops_alone_tell_no_distance() {
    let two = walls(50.0, 30.0, 0.52, 2);
    assert_spacing(compare(&two, &[0.0; 2], None), 1.0, None);
    // With fill within them they do, if that is more than a speck, and with fill between them they do not.
    assert_spacing(compare(&two, &[0.0, 50.0], None), 1.3, Some(1.3));
    assert_spacing(compare(&two, &[0.0, 0.3], None), 1.0, None);
    assert_spacing(compare(&two, &[50.0, 50.0], None), 1.0, None);
    let far = walls(50.0, 30.0, 1.2, 2);
    assert_spacing(compare(&far, &[0.0, 50.0], None), 1.0, None);
    // The inner one goes round a slot as narrow as it is far from the outer one; that is no third wall.
    assert_spacing(compare(&walls(50.0, 4.0 * 0.8, 0.8, 2), &[0.0; 2], None), 1.0, None);
    // Nor is one that stands further on.
    let uneven = [(50.0, 30.0), (50.0, 30.0 - 2.0 * 0.52), (50.0, 30.0 - 2.0 * 1.2)];
    assert_spacing(compare(&uneven, &[0.0; 3], None), 1.0, None);
}

#[test]
fn a_distance_is_measured_along_ten_millimetres_and_most_of_the_walls() {
    // The outermost of three walls is 9.6 mm and 10.4 mm long.
    assert_spacing(compare(&walls(50.0, 2.4, 0.4, 3), &[0.0; 3], None), 1.0, None);
    assert_spacing(compare(&walls(50.0, 2.6, 0.4, 3), &[0.0; 3], None), 1.0, Some(1.0));
    // Walls at another distance in a second body along 48 % and 33 % of the length.
    let with_other = |side: f64| {
        let both = [walls(50.0, 30.0, 0.52, 3), walls(100.0, side, 0.64, 3)].concat();
        compare(&both, &[0.0; 6], None)
    };
    assert_spacing(with_other(28.0), 1.0, None);
    assert_spacing(with_other(15.0), 1.3, Some(1.3));
}

#[test]
fn another_flow_is_believed_where_walls_stand_at_the_usual_distance() {
    let three = |apart: f64, usual: f64| compare(&walls(50.0, 30.0, apart, 3), &[0.0; 3], Some(usual));
    assert_spacing(three(0.52, 0.52), 1.3, Some(1.3));
    assert_spacing(three(0.52, 0.56), 1.3, Some(1.3));
    assert_spacing(three(0.52, 0.4), 1.0, None);
    assert_spacing(three(0.52, 0.7), 1.0, None);
    // As asked for, whatever is usual.
    assert_spacing(three(0.44, 0.7), 1.0, Some(1.1));
    // Walls too few to stand side by side, and thinner than anywhere else.
    let one = |usual: f64| compare(&[(50.0, 30.0)], &[0.0], Some(usual));
    assert_spacing(one(0.64), 1.6, Some(1.6));
    assert_spacing(one(0.4 * 1.2), 1.2, Some(1.2));
    for as_good_as_usual_or_unbelievable in [0.2, 0.4, 0.4 * 1.1, 0.4 * 2.8] {
        assert_spacing(one(as_good_as_usual_or_unbelievable), 1.0, None);
    }
    assert_spacing(compare(&[(50.0, 30.0)], &[0.0], None), 1.0, None);
}

#[test]
fn beads_are_meant_to_lie_at_their_pitch_and_fuse_up_to_one_and_a_half() {
    let spacing = Spacing { ratio: 1.25, measured: Some(1.25), height_mm: HEIGHT };
    assert_relative_eq!(spacing.pitch_mm(0.08), 0.5, epsilon = 1e-12);
    assert_relative_eq!(spacing.widest_fused_mm(0.08), 0.75, epsilon = 1e-12);
    assert_relative_eq!(spacing.width_mm(0.08), 0.5 + 0.2 - 0.05 * std::f64::consts::PI, epsilon = 1e-12);
    assert_relative_eq!(spacing.pitch_mm(1e3), WIDEST_BEAD_MM, epsilon = 1e-12);
}

/// A wall along `corners` with 0.4 mm of pitch, and 0.7 mm along its second side.
fn uneven_loop(corners: &[(f64, f64)]) -> Loop {
    let (mut thin, mut broad) = (laid(), laid());
    broad.flow = 0.7 / 0.4;
    thin.strand(&ring(corners), true);
    broad.strand(&ring(corners), true);
    thin.layer.beads[1] = broad.layer.beads[1];
    let l = Loop::new(&thin.layer, vec![0]).unwrap();
    assert!(l.uneven);
    l
}

fn area(of: &[Polygon]) -> f64 {
    of.iter().map(Polygon::area_mm2).sum()
}

/// Widths of the beads of [`uneven_loop`].
const THIN: f64 = 0.4 + HEIGHT * (1.0 - FRAC_PI_4);
const BROAD: f64 = THIN + 0.3;

#[test]
fn the_flanks_of_an_uneven_wall_lie_half_its_width_off_each_side() {
    let plain = Spacing::plain(HEIGHT);
    let check = |corners: &[(f64, f64)], (wide, high): (f64, f64)| {
        let l = uneven_loop(corners);
        // Its second side is one of the two that are upright.
        let (across, along) = (0.5 * (THIN + BROAD), THIN);
        assert_relative_eq!(area(&flank(&l, plain, 1.0)), (wide + across) * (high + along), max_relative = 1e-6);
        assert_relative_eq!(area(&flank(&l, plain, -1.0)), (wide - across) * (high - along), max_relative = 1e-6);
    };
    // Round to the left and round to the right.
    check(&[(10.0, 20.0), (40.0, 20.0), (40.0, 32.0), (10.0, 32.0)], (30.0, 12.0));
    check(&[(40.0, 20.0), (10.0, 20.0), (10.0, 32.0), (40.0, 32.0)], (30.0, 12.0));
    // Round a hole of half a square millimetre, which is no speck.
    check(&[(10.0, 20.0), (11.2, 20.0), (11.2, 21.2), (10.0, 21.2)], (1.2, 1.2));
}

#[test]
fn in_a_slight_bend_the_flank_steps_where_the_width_steps() {
    for turn in [0.1f64, -0.1] {
        // Along x, then 0.1 radians to one side, and back over the top.
        let end = Point::new(70.0 + 20.0 * turn.cos(), 50.0 + 20.0 * turn.sin());
        let l = uneven_loop(&[(50.0, 50.0), (70.0, 50.0), (end.x, end.y), (end.x, 70.0), (50.0, 70.0)]);
        let outer = flank(&l, Spacing::plain(HEIGHT), 1.0);
        assert_eq!(outer.len(), 1);
        // Half a millimetre before and after the corner, between half a thin bead's width (0.22 mm) and half a broad one's
        // (0.37 mm) outside of its middle.
        let along = (end - Point::new(70.0, 50.0)).unit().unwrap();
        assert!(!outer[0].contains(Point::new(69.5, 50.0 - 0.3)));
        assert!(outer[0].contains(Point::new(70.0, 50.0) + along * 0.5 - along.left() * 0.3));
    }
}

#[test]
fn the_flank_comes_to_a_point_unless_a_corner_is_very_sharp() {
    // A triangle with two equal sides; half a millimetre outside of it the tips lie 0.5 mm / sin(half the angle) off.
    let tips = |degrees: f64| {
        let (s, c) = degrees.to_radians().sin_cos();
        let corners = ring(&[(60.0, 30.0), (80.0, 30.0), (60.0 + 20.0 * c, 30.0 + 20.0 * s)]);
        let flank = uneven_flank(&corners, |_| 0.5);
        let off = |p: &Point| corners.iter().map(|c| c.distance(*p)).fold(f64::INFINITY, f64::min);
        flank.iter().map(off).collect::<Vec<f64>>()
    };
    let tip = |degrees: f64| 0.5 / (0.5 * degrees).to_radians().sin();
    let is_close = |found: &[f64], wanted: &[f64]| {
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        found.iter().zip(wanted).for_each(|(f, w)| assert_relative_eq!(*f, *w, epsilon = 1e-9));
    };
    is_close(&tips(50.0), &[tip(50.0), tip(65.0), tip(65.0)]);
    // Sharper than 45.6 degrees it is cut off beside the corner.
    is_close(&tips(40.0), &[0.5, 0.5, tip(70.0), tip(70.0)]);
}

#[test]
fn an_uneven_ring_goes_on_straight_over_a_point_in_the_middle_of_a_side() {
    let flank = uneven_flank(&ring(&[(0.0, 0.0), (4.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]), |i| {
        if i == 1 { 0.5 } else { 0.25 }
    });
    let wanted = [(-0.25, -0.25), (4.0, -0.25), (4.0, -0.5), (9.25, -0.5), (9.25, 6.25), (-0.25, 6.25)];
    assert_eq!(flank.len(), wanted.len());
    for (found, (x, y)) in flank.iter().zip(wanted) {
        assert_relative_eq!(found.x, x, epsilon = 1e-12);
        assert_relative_eq!(found.y, y, epsilon = 1e-12);
    }
}
