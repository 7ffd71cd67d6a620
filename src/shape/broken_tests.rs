#![allow(clippy::unwrap_used)]

use super::*;
use crate::shape::fixture::{Laid, circle};
use crate::shape::loops::loops_of;

/// So that 0.12 mm apart is together, an early stop is up to 0.88 mm early, and a missing corner is shorter than 6.4 mm.
const WIDTH: f64 = 0.4;

/// Everything lies here, off to one side of where coordinates begin.
const AT: Point = Point::new(50.0, 100.0);

type Corners = Vec<(f64, f64)>;

fn points(corners: &[(f64, f64)]) -> Vec<Point> {
    corners.iter().map(|&(x, y)| AT + Point::new(x, y)).collect()
}

fn rectangle(low: (f64, f64), high: (f64, f64)) -> Corners {
    vec![low, (high.0, low.1), high, (low.0, high.1)]
}

/// Along it the corners stand at 0, 20, 40 and 60 mm.
fn square() -> Corners {
    rectangle((0.0, 0.0), (20.0, 20.0))
}

/// A loop in pieces: what is `missing` lies from one length along it to another, the first at the first corner.
fn pieces(corners: &[(f64, f64)], missing: &[(f64, f64)]) -> Vec<Vec<Point>> {
    let ring = points(corners);
    let mut stations = vec![0.0];
    for i in 0..2 * ring.len() {
        stations.push(stations[i] + ring[i % ring.len()].distance(ring[(i + 1) % ring.len()]));
    }
    let whole = stations[ring.len()];
    let at = |station: f64| {
        let i = stations.windows(2).position(|s| station < s[1]).unwrap();
        let share = (station - stations[i]) / (stations[i + 1] - stations[i]);
        ring[i % ring.len()].lerp(ring[(i + 1) % ring.len()], share)
    };
    let ends = missing.iter().skip(1).map(|m| m.0).chain([missing[0].0 + whole]);
    let piece = |(from, to): (f64, f64)| {
        let within = (0..stations.len()).filter(|&i| stations[i] > from + 1e-9 && stations[i] < to - 1e-9);
        [at(from)].into_iter().chain(within.map(|i| ring[i % ring.len()])).chain([at(to)]).collect()
    };
    missing.iter().map(|m| m.1).zip(ends).map(piece).collect()
}

/// Every piece as a strand of its own.
fn laid(pieces: &[Vec<Point>]) -> Laid {
    let mut laid = Laid::new(WIDTH, 0.2);
    for piece in pieces {
        laid.strand(piece, false);
    }
    laid
}

/// The strands of each loop that the layer is found to have.
fn strands_of_loops(laid: &Laid) -> Vec<Vec<usize>> {
    let none_beside = vec![false; laid.layer.strands.len()];
    loops_of(&laid.layer, &none_beside).into_iter().map(|l| l.strands).collect()
}

/// Whether the pieces make one loop, all together.
fn together(pieces: &[Vec<Point>]) -> bool {
    let found = strands_of_loops(&laid(pieces));
    assert!(found.len() <= 1, "{found:?}");
    found.first().is_some_and(|strands| strands.len() == pieces.len())
}

/// The same, beside a whole loop.
fn together_beside(whole: &[(f64, f64)], pieces: &[Vec<Point>]) -> bool {
    let mut layer = Laid::new(WIDTH, 0.2);
    layer.strand(&points(whole), true);
    for piece in pieces {
        layer.strand(piece, false);
    }
    let found = strands_of_loops(&layer);
    assert_eq!(found[0], [0]);
    found.get(1).is_some_and(|strands| strands.len() == pieces.len())
}

#[test]
fn walls_in_pieces_are_put_together_over_straight_stretches() {
    assert!(together(&pieces(&square(), &[(8.0, 12.0)])));
    assert!(together(&pieces(&square(), &[(8.0, 12.0), (47.0, 53.0)])));
    assert!(together(&pieces(&square(), &[(8.0, 10.0), (29.0, 31.0), (48.0, 50.0), (70.0, 75.0)])));
    // Nothing is missing of one that ends where it began.
    assert!(together(&[points(&[(0.0, 0.0), (20.0, 0.0), (10.0, 17.0), (0.0, 0.0)])]));
}

#[test]
fn no_more_than_fifteen_millimetres_are_missing_in_all() {
    let large = rectangle((0.0, 0.0), (40.0, 40.0));
    assert!(together(&pieces(&large, &[(10.0, 24.9)])));
    assert!(!together(&pieces(&large, &[(10.0, 25.1)])));
    assert!(together(&pieces(&large, &[(10.0, 17.0), (90.0, 97.9)])));
    assert!(!together(&pieces(&large, &[(10.0, 17.0), (90.0, 98.2)])));
    // Nor three tenths of what is there: 8.4 mm of 28, and 8.1 of 27.
    let small = rectangle((0.0, 0.0), (12.0, 6.0));
    assert!(together(&pieces(&small, &[(2.0, 10.0)])));
    assert!(!together(&pieces(&small, &[(1.5, 10.5)])));
}

#[test]
fn as_many_pieces_belong_to_a_loop_as_leave_least_missing() {
    // A short piece in the middle of what is missing; and a line within that leads back to the start as well.
    let with = |more: &[(f64, f64)]| {
        let mut all = pieces(&square(), &[(6.0, 14.0)]);
        all.push(points(more));
        strands_of_loops(&laid(&all))
    };
    assert_eq!(with(&[(8.0, 0.0), (12.0, 0.0)]), [[0, 1]]);
    assert_eq!(with(&[(3.0, 3.0), (17.0, 3.0)]), [[0]]);
}

#[test]
fn pieces_of_a_loop_are_alike_and_laid_one_after_the_other() {
    let halves = pieces(&square(), &[(8.0, 12.0), (47.0, 53.0)]);
    // Less than 15 % wider or narrower.
    let with_width = |width_mm: f64| {
        let mut laid = laid(&halves[..1]);
        laid.width_mm = width_mm;
        laid.strand(&halves[1], false);
        !strands_of_loops(&laid).is_empty()
    };
    assert!(with_width(0.4) && with_width(0.44) && with_width(0.36));
    assert!(!with_width(0.48) && !with_width(0.32));
    let mut two_tools = laid(&halves);
    two_tools.layer.strands[1].tool = 1;
    assert!(strands_of_loops(&two_tools).is_empty());
    // With another loop laid between them.
    let mut between = laid(&halves[..1]);
    between.strand(&points(&rectangle((5.0, 5.0), (15.0, 15.0))), true).strand(&halves[1], false);
    assert_eq!(strands_of_loops(&between), [[1]]);
}

#[test]
fn a_wall_may_stop_a_little_early_at_its_corner() {
    // It begins at a corner of 80 mm and stops within 0.88 mm of it.
    let stops = |early: f64| pieces(&square(), &[(80.0 - early, 80.0)]);
    assert!(together(&stops(0.8)));
    assert!(!together(&stops(1.0)));
    // One that is broken elsewhere as well does not.
    assert!(!together(&pieces(&square(), &[(28.0, 32.0), (79.2, 80.0)])));
    // A corner of 60 degrees it may be, but not one of 30: there fill turns back.
    let tip = |degrees: f64| {
        let (s, c) = f64::to_radians(degrees).sin_cos();
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0 * c, 20.0 * s)];
        let round = 40.0 + 40.0 * (degrees.to_radians() / 2.0).sin();
        together(&pieces(&corners, &[(round - 0.8, round)]))
    };
    assert!(tip(60.0));
    assert!(!tip(30.0));
    // Nor does it leave out the corner: 0.4 mm before it, and as much after it.
    assert!(!together(&pieces(&square(), &[(19.6, 20.4)])));
}

#[test]
fn ends_point_at_each_other_within_forty_degrees() {
    // Without one of its sides a ring of ten is left and met by 36 degrees, and one of eight by 45.
    let without_a_side = |count: usize| {
        let corners: Corners = circle((0.0, 0.0), 10.0, count).iter().map(|p| (p.x, p.y)).collect();
        let side = 20.0 * (std::f64::consts::PI / count as f64).sin();
        pieces(&corners, &[(0.0, side)])
    };
    assert!(together(&without_a_side(10)));
    assert!(!together(&without_a_side(8)));
}

#[test]
fn ends_that_meet_need_not_point_at_each_other() {
    // It goes on past its start, by 0.10 mm and by 0.16, where 0.3 widths are 0.12.
    let goes_on = |x: f64, y: f64| points(&[(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0), (-x, -y)]);
    assert!(together(&[goes_on(0.03, 0.1)]));
    assert!(!together(&[goes_on(0.05, 0.15)]));
}

#[test]
fn a_corner_may_be_missing_beside_another_wall() {
    let around = rectangle((-0.4, -0.4), (20.4, 20.4));
    let without = |before: f64, after: f64| pieces(&square(), &[(20.0 - before, 20.0 + after)]);
    assert!(together_beside(&around, &without(2.0, 2.0)));
    assert!(!together(&without(2.0, 2.0)), "no other wall");
    // It may run either way.
    let back: Vec<Point> = without(2.0, 2.0)[0].iter().rev().copied().collect();
    assert!(together_beside(&around, &[back]));
    // 11.9 mm across, and 12.2: 30 widths are 12.0.
    assert!(together_beside(&around, &without(8.4, 8.4)));
    assert!(!together_beside(&around, &without(8.6, 8.6)));
    // It turns by less than 80 degrees at either end: 79 and 81.
    assert!(together_beside(&around, &without(5.0, 1.0)) && together_beside(&around, &without(1.0, 5.0)));
    assert!(!together_beside(&around, &without(5.0, 0.8)) && !together_beside(&around, &without(0.8, 5.0)));
    // And it turns as the loop does: the corner in the bay of an angle, at 40 mm, turns the other way.
    let angle = |off: f64| {
        let (low, bay, high) = (-off, 8.0 + off, 20.0 + off);
        vec![(low, low), (high, low), (high, bay), (bay, bay), (bay, high), (low, high)]
    };
    assert!(together_beside(&angle(0.4), &pieces(&angle(0.0), &[(18.0, 22.0)])));
    assert!(!together_beside(&angle(0.4), &pieces(&angle(0.0), &[(38.0, 42.0)])));
}

#[test]
fn lines_that_turn_only_from_one_to_the_next_are_no_wall() {
    // Two corners of a square are half a turn, one is a quarter, and four tenths are asked for.
    let around = rectangle((-0.4, -0.4), (20.4, 20.4));
    assert!(together_beside(&around, &pieces(&square(), &[(18.0, 22.0), (58.0, 62.0)])));
    assert!(!together_beside(&around, &pieces(&square(), &[(18.0, 22.0), (38.0, 42.0), (58.0, 62.0)])));
}

#[test]
fn a_wall_without_a_corner_follows_another_nearly_all_the_way() {
    let without_a_corner = || pieces(&square(), &[(18.0, 22.0)]);
    let beside = |low: (f64, f64), high: (f64, f64)| together_beside(&rectangle(low, high), &without_a_corner());
    // Within 1.6 widths, 0.64 mm.
    assert!(beside((-0.6, -0.6), (20.6, 20.6)));
    assert!(!beside((-0.7, -0.7), (20.7, 20.7)));
    assert!(!beside((-5.0, -5.0), (25.0, 25.0)));
    // Along three of its sides, 73 % of it, and along two.
    assert!(beside((-0.4, -0.4), (40.0, 20.4)));
    assert!(!beside((-0.4, -0.4), (40.0, 40.0)));
}

#[test]
fn wide_walls_without_a_corner_vouch_for_each_other() {
    // Two rectangles, the second 0.4 mm within the first, each without the millimetres next to its second corner.
    let both = |width: f64, height: f64| {
        let of = |off: f64| {
            let corner = width - 2.0 * off;
            pieces(&rectangle((off, off), (width - off, height - off)), &[(corner - 1.0, corner + 1.0)])
        };
        let found = strands_of_loops(&laid(&[of(0.0), of(0.4)].concat()));
        assert!(found.is_empty() || found == [[0], [1]], "{found:?}");
        !found.is_empty()
    };
    assert!(both(20.0, 20.0));
    // Both are longer than forty widths, 16 mm: 31 and 28, 17 and 14, 14 and 11.
    assert!(both(8.0, 8.0));
    assert!(!both(4.4, 4.4));
    assert!(!both(3.6, 3.6));
    // And they are as round as one of 20 by 3 mm.
    assert!(both(20.0, 4.0));
    assert!(!both(20.0, 2.6));
}

#[test]
fn a_loop_turns_once_and_encloses_something() {
    let once = |corners: &[(f64, f64)]| goes_round_once(&points(corners), WIDTH);
    let nine = rectangle((0.0, 0.0), (9.0, 9.0));
    assert!(once(&nine));
    assert!(once(&nine.iter().rev().copied().collect::<Corners>()));
    assert!(!once(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]), "crosses itself");
    assert!(!once(&[nine.clone(), nine].concat()), "goes round twice");
    // More than half a width for all of its length: 8.1 of 6 mm², and 8.2 of 10.
    assert!(!once(&rectangle((0.0, 0.0), (20.0, 0.3))));
    assert!(once(&rectangle((0.0, 0.0), (20.0, 0.5))));
}

#[test]
fn a_loop_does_not_run_to_and_fro() {
    // A block with slots in its upper side, as far apart as they are wide.
    let slotted = |slots: usize, wide: f64| {
        let slot = |k: usize| {
            let right = 19.0 - 2.0 * wide * k as f64;
            [(right, 20.0), (right, 15.0), (right - wide, 15.0), (right - wide, 20.0)]
        };
        let corners: Corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)]
            .into_iter()
            .chain((0..slots).flat_map(slot))
            .chain([(0.0, 20.0)])
            .collect();
        goes_round_once(&points(&corners), WIDTH)
    };
    // Within two and a half widths, a millimetre, it turns about in each slot, and the other way on each tongue between.
    assert!(slotted(2, 0.8));
    assert!(!slotted(3, 0.8));
    assert!(slotted(3, 1.2));
    assert!(slotted(3, 3.0));
}
