//! Fill drawn by hand: which of it leaves no gaps, and how full that makes a core.

#![allow(clippy::unwrap_used)]
use super::super::fixture::{plate, ring};
use super::*;
use approx::assert_relative_eq;

/// Beads of 0.08 mm² in layers of 0.2 mm lie 0.4 mm apart; up to 1.22 times as far, 0.488 mm, lines leave no gaps.
const HEIGHT: f64 = 0.2;
const AREA: f64 = 0.08;
const PITCH: f64 = 0.4;

fn segment(from: (f64, f64), to: (f64, f64)) -> Segment {
    Segment::new(Point::new(from.0, from.1), Point::new(to.0, to.1))
}

fn piece(strand: usize, from: (f64, f64), to: (f64, f64)) -> FillPiece {
    let segment = segment(from, to);
    FillPiece { segment, strand, area_mm2: AREA, length_mm: segment.length_mm() }
}

/// Lines along x at these heights, each a strand of its own.
fn lines(from_x: f64, to_x: f64, heights: &[f64]) -> Vec<FillPiece> {
    heights.iter().enumerate().map(|(strand, &y)| piece(strand, (from_x, y), (to_x, y))).collect()
}

fn count_up(from: f64, step: f64, count: usize) -> Vec<f64> {
    (0..count).map(|i| from + step * i as f64).collect()
}

fn solid(pieces: &[FillPiece], walls: &[Segment], dense: bool) -> Vec<bool> {
    let strands = pieces.iter().map(|p| p.strand + 1).max().unwrap_or(0);
    solid_strands(pieces, walls, &vec![dense; strands], Spacing::plain(HEIGHT))
}

#[test]
fn lines_a_pitch_apart_are_solid_to_the_last_one_and_lines_further_apart_are_not() {
    for (apart, is_solid) in [(0.9, true), (1.0, true), (1.21, true), (1.23, false), (2.0, false)] {
        let patch = lines(3.0, 13.0, &count_up(5.0, apart * PITCH, 6));
        assert_eq!(solid(&patch, &[], false), [is_solid; 6], "{apart} pitches apart");
    }
    // Nor do lines laid over each other fill anything: the second lies 0.05 of the reach off.
    assert_eq!(solid(&lines(3.0, 13.0, &[5.0, 5.02, 9.0, 9.02]), &[], false), [false; 4]);
}

#[test]
fn a_wall_closes_the_side_of_a_line_but_between_two_walls_only_the_plastic_tells() {
    let walls = [segment((0.0, 5.0), (20.0, 5.0)), segment((0.0, 6.2), (20.0, 6.2))];
    assert_eq!(solid(&lines(3.0, 13.0, &[5.4, 5.8]), &walls, false), [true; 2]);
    let near = [walls[0], segment((0.0, 5.8), (20.0, 5.8))];
    let between = lines(3.0, 13.0, &[5.4]);
    assert_eq!(solid(&between, &near, false), [false]);
    assert_eq!(solid(&between, &near, true), [true]);
    // Beside one wall only it is the end of a core's line, however much lies there.
    assert_eq!(solid(&between, &near[..1], false), [false]);
}

#[test]
fn where_most_of_a_line_has_nothing_beside_it_a_full_core_elsewhere_does_not_make_it_solid() {
    let walls_along = |to_x: f64| [segment((0.0, 5.0), (to_x, 5.0)), segment((0.0, 5.8), (to_x, 5.8))];
    let line = lines(0.0, 16.0, &[5.4]);
    // It is looked at in four places: at 2, 6, 10 and 14 mm.
    assert_eq!(solid(&line, &walls_along(11.0), true), [true]);
    assert_eq!(solid(&line, &walls_along(7.0), true), [false]);
}

/// 20 degrees and more are another direction.
#[test]
fn lines_that_run_another_way_close_no_side() {
    for (degrees, is_solid) in [(12.0_f64, true), (25.0, false)] {
        let rise = degrees.to_radians().tan();
        // Short lines to the left and right of a long one, turned about the places where it is looked at.
        let mut pieces = vec![piece(0, (0.0, 5.0), (8.0, 5.0))];
        for at in [1.0, 3.0, 5.0, 7.0] {
            for y in [4.6, 5.4] {
                pieces.push(piece(1, (at - 0.4, y - 0.4 * rise), (at + 0.4, y + 0.4 * rise)));
            }
        }
        assert_eq!(solid(&pieces, &[], false)[0], is_solid, "{degrees} degrees");
    }
}

/// The long line lies beside a solid patch of short ones: a quarter of its length is 2.5 mm.
#[test]
fn a_last_line_counts_only_beside_lines_about_as_long() {
    for (short_mm, is_solid) in [(2.4, false), (3.0, true)] {
        let mut pieces = vec![piece(0, (0.0, 5.0), (10.0, 5.0))];
        let mut strand = 1;
        for at in count_up(0.0, short_mm + 0.05, (10.0 / short_mm) as usize) {
            for y in [4.6, 4.2, 3.8] {
                pieces.push(piece(strand, (at, y), (at + short_mm, y)));
                strand += 1;
            }
        }
        assert_eq!(solid(&pieces, &[], false)[0], is_solid, "short lines of {short_mm} mm");
    }
}

/// Upright lines in one strand turn at 0.8 n to 0.8 n + 0.4 along their upper edge. The line along that edge is looked at
/// just over four of the turns: at 0.2, 2.6, 5 and 7.4 mm.
#[test]
fn the_turns_at_the_edge_of_a_patch_are_no_lines_that_another_could_follow() {
    let (mut pieces, mut from) = (Vec::new(), (0.0, 0.0));
    for x in count_up(0.0, 2.0 * PITCH, 13) {
        for to in [(x, 5.0), (x + PITCH, 5.0), (x + PITCH, 0.0), (x + 2.0 * PITCH, 0.0)] {
            pieces.push(piece(0, from, to));
            from = to;
        }
    }
    pieces.push(piece(1, (-1.0, 5.4), (8.6, 5.4)));
    assert_eq!(solid(&pieces, &[], false), [true, false]);
}

/// Legs of a zigzag have none beside them: those that run one way lie two steps apart. On the mean a step lies between
/// one leg and the next, and that may be as far as between two straight lines.
#[test]
fn a_zigzag_is_solid_when_its_legs_lie_as_near_to_each_other_as_solid_lines_do() {
    let zigzag = |step: f64, high_mm: f64| {
        let at = |i: usize| (step * PITCH * i as f64, if i.is_multiple_of(2) { 5.0 } else { 5.0 + high_mm });
        (0..40).map(|i| piece(0, at(i), at(i + 1))).collect::<Vec<_>>()
    };
    for high_mm in [0.6, 1.0] {
        for (step, is_solid) in [(0.8, true), (1.2, true), (1.25, false), (1.6, false)] {
            assert_eq!(solid(&zigzag(step, high_mm), &[], false), [is_solid], "{step} pitches, {high_mm} mm");
        }
    }
}

fn room(width_mm: f64, high_mm: f64) -> Vec<CoreRoom> {
    let outer = ring(&[(0.0, 0.0), (width_mm, 0.0), (width_mm, high_mm), (0.0, high_mm)]);
    vec![CoreRoom::new(plate(outer, &[]), &[])]
}

/// A core of so many millimetres of sparse (strand 0) and of solid path (strand 1) in a room of 20 x 10 mm.
fn core_with(sparse_mm: f64, solid_mm: f64) -> Core {
    let mut pieces = Vec::new();
    for (strand, mut left) in [(0, sparse_mm), (1, solid_mm)] {
        while left > 0.0 {
            pieces.push(piece(strand, (0.0, 5.0), (left.min(20.0), 5.0)));
            left -= 20.0;
        }
    }
    core_of(&room(20.0, 10.0), &pieces, &[false, true], Spacing::plain(HEIGHT)).unwrap()
}

#[test]
fn the_density_of_a_core_is_its_plastic_over_its_room() {
    // 100 mm of 0.08 mm² in 200 mm² times 0.2 mm.
    let core = core_with(100.0, 0.0);
    assert_relative_eq!(core.area_mm2, 200.0, epsilon = 1e-9);
    assert_relative_eq!(core.density.unwrap(), 0.2, epsilon = 1e-9);
    assert!(!core.solid);
    assert!(core_of(&[], &[], &[], Spacing::plain(HEIGHT)).is_none(), "without a room there is no core");
}

#[test]
fn solid_fill_alone_makes_a_solid_core_that_is_never_more_than_full() {
    let core = core_with(0.0, 480.0);
    assert_relative_eq!(core.density.unwrap(), 0.96, epsilon = 1e-9);
    assert!(core.solid);
    assert_eq!(core_with(0.0, 560.0).density, Some(1.0), "1.12 of it: pressed out, or hanging below");
    assert_eq!(core_with(0.0, 580.0).density, None, "1.16 of it: it lies elsewhere");
}

/// Two hundredths of the core are 4 mm², ten millimetres of line.
#[test]
fn a_few_short_lines_that_lie_close_are_no_skin_and_count_as_core() {
    let core = core_with(100.0, 9.9);
    assert_relative_eq!(core.density.unwrap(), 109.9 * AREA / 40.0, epsilon = 1e-9);
    assert!(!core.solid);
}

#[test]
fn a_sparse_core_is_called_solid_from_seventeen_twentieths_on() {
    assert!(!core_with(420.0, 0.0).solid, "0.84");
    assert!(core_with(430.0, 0.0).solid, "0.86");
}

/// Twenty widths squared, of 0.443 mm, are 3.92 mm².
#[test]
fn of_a_speck_of_core_nobody_says_how_full_it_is() {
    let density = |high_mm: f64| {
        let line = [piece(0, (0.0, 0.5), (2.0, 0.5))];
        core_of(&room(2.0, high_mm), &line, &[false], Spacing::plain(HEIGHT)).unwrap().density
    };
    assert_eq!(density(1.95), None);
    assert_relative_eq!(density(1.98).unwrap(), 2.0 * AREA / (3.96 * HEIGHT), epsilon = 1e-9);
    let full = [piece(0, (0.0, 0.5), (2.0, 0.5))];
    let of_solid = |high_mm: f64| core_of(&room(2.0, high_mm), &full, &[true], Spacing::plain(HEIGHT)).unwrap().density;
    assert_eq!(of_solid(1.95), None);
    assert_relative_eq!(of_solid(1.98).unwrap(), 2.0 * AREA / (3.96 * HEIGHT), epsilon = 1e-9);
}

/// Upright lines fill the left of a room of 20 x 10 mm up to `to_x`, five lines along x lie in the rest.
fn partly_solid(to_x: f64) -> Core {
    let mut pieces: Vec<FillPiece> =
        count_up(0.2, PITCH, (to_x / PITCH) as usize).into_iter().map(|x| piece(1, (x, 0.0), (x, 10.0))).collect();
    pieces.extend(count_up(1.0, 2.0, 5).into_iter().map(|y| piece(0, (to_x, y), (20.0, y))));
    core_of(&room(20.0, 10.0), &pieces, &[false, true], Spacing::plain(HEIGHT)).unwrap()
}

#[test]
fn density_is_that_of_what_the_skin_leaves_open_and_a_small_rest_makes_no_sparse_core() {
    // Lines 2 mm apart with beads of 0.4 mm: a fifth.
    let half = partly_solid(10.0);
    assert_relative_eq!(half.density.unwrap(), 0.2, epsilon = 0.01);
    assert!(!half.solid);
    // Fifteen hundredths of the room are 30 mm²: 40 are left open here, then 20.
    let most = partly_solid(16.0);
    assert_relative_eq!(most.density.unwrap(), 0.2, epsilon = 0.02);
    assert!(!most.solid);
    assert!(partly_solid(18.0).solid);
    // Less than a fiftieth of it, 4 mm², is too little to speak of: then the core is as full as all of it is.
    let whole = partly_solid(19.7).density.unwrap();
    assert!(whole > 0.9, "{whole}");
}

#[test]
fn a_core_has_the_directions_of_its_lines_the_longest_first() {
    let at = |degrees: f64, length: f64| {
        let (s, c) = degrees.to_radians().sin_cos();
        piece(0, (0.0, 0.0), (length * c, length * s))
    };
    let check = |pieces: &[FillPiece], want: &[(f64, f64)]| {
        let found = directions(pieces);
        assert_eq!(found.len(), want.len(), "{found:?}");
        for (found, want) in found.iter().zip(want) {
            assert_relative_eq!(found.0, want.0, epsilon = 1e-6);
            assert_relative_eq!(found.1, want.1, epsilon = 1e-9);
        }
    };
    check(&[at(90.0, 40.0), at(0.0, 60.0)], &[(0.0, 0.6), (90.0, 0.4)]);
    // Which way along a line makes no difference.
    check(&[at(30.0, 5.0), at(210.0, 5.0)], &[(30.0, 1.0)]);
    // Lines a little off each other are one family, with the mean of their angles by length.
    check(&[at(44.0, 30.0), at(46.0, 10.0)], &[(44.5, 1.0)]);
    // Just above and just below 0 degrees are one family as well.
    check(&[at(179.0, 10.0), at(0.5, 20.0)], &[(0.0, 1.0)]);
    check(&[at(178.0, 10.0)], &[(178.0, 1.0)]);
    // A tenth of the length or less is no family.
    check(&[at(0.0, 91.0), at(60.0, 9.0)], &[(0.0, 0.91)]);
    check(&[at(0.0, 88.0), at(60.0, 12.0)], &[(0.0, 0.88), (60.0, 0.12)]);
}

/// The first line, 16 mm long, is looked at in four places: at 2, 6, 10 and 14 mm.
#[test]
fn what_of_a_line_lies_between_two_walls_tells_nothing_of_the_rest() {
    let below = segment((-1.0, 5.0), (16.0, 5.0));
    let beside = |from_x: f64, to_x: f64| [piece(0, (0.0, 5.4), (16.0, 5.4)), piece(1, (from_x, 5.8), (to_x, 5.8))];
    // Between walls at 2 mm, between wall and line at 6 and 10, with one side open at 14: two of the three that tell.
    let walls = |to_x: f64| [below, segment((0.0, 5.8), (to_x, 5.8))];
    assert!(solid(&beside(4.0, 12.0), &walls(4.0), false)[0]);
    // Between walls at 2, 6 and 10 mm: that one place closes the line is too little to tell.
    assert!(!solid(&beside(12.0, 16.0), &walls(12.0), false)[0]);
}

#[test]
fn two_lines_side_by_side_are_no_patch() {
    assert_eq!(solid(&lines(3.0, 13.0, &[5.0, 5.4]), &[], false), [false; 2]);
    // A long line that a patch lies beside for a quarter of its length is not its last line.
    for (to_x, is_solid) in [(4.0, false), (12.0, true)] {
        let mut pieces = vec![piece(0, (0.0, 5.0), (16.0, 5.0))];
        pieces.extend([4.6, 4.2, 3.8].iter().zip(1..).map(|(&y, strand)| piece(strand, (-1.0, y), (to_x, y))));
        assert_eq!(solid(&pieces, &[], false)[0], is_solid, "{to_x}");
    }
}

/// 49 upright lines and five short ones in 20 x 10 mm: all plastic over all room.
#[test]
fn a_core_with_a_sparse_rest_too_small_to_speak_of_is_as_full_as_all_of_it_is() {
    assert_relative_eq!(partly_solid(19.7).density.unwrap(), (490.0 + 5.0 * 0.3) * AREA / 40.0, epsilon = 1e-9);
    // Ten square millimetres are enough to speak of, though the core counts as solid.
    let most = partly_solid(19.0);
    assert_relative_eq!(most.density.unwrap(), 0.2, epsilon = 0.05);
    assert!(most.solid);
}

/// Lines on both sides of a long one, along this much of its 16 mm, and nothing beside the rest.
#[test]
fn a_line_is_solid_when_more_than_half_of_it_is_closed_on_both_sides() {
    for (to_x, is_solid) in [(4.0, false), (8.0, false), (12.0, true)] {
        let sides = [piece(1, (-1.0, 5.4), (to_x, 5.4)), piece(2, (-1.0, 4.6), (to_x, 4.6))];
        let found = solid(&[&[piece(0, (0.0, 5.0), (16.0, 5.0))][..], &sides].concat(), &[], false);
        assert_eq!(found[0], is_solid, "{to_x}");
    }
}
