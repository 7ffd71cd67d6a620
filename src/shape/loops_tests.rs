//! Loops drawn by hand, with what was laid along them.

#![allow(clippy::unwrap_used)]
use super::super::fixture::{Laid, ring};
use super::*;
use approx::assert_relative_eq;

/// Beads 0.45 mm wide and 0.2 mm high.
fn laid(strands: &[(&[(f64, f64)], bool)]) -> Layer {
    let mut laid = Laid::new(0.45, 0.2);
    for (points, closed) in strands {
        laid.strand(&ring(points), *closed);
    }
    laid.layer
}

const BOX: [(f64, f64); 4] = [(2.0, 3.0), (22.0, 3.0), (22.0, 13.0), (2.0, 13.0)];

fn whole(layer: &Layer) -> Option<Loop> {
    Loop::new(layer, (0..layer.strands.len()).collect())
}

/// The box with the bead that begins at corner `which` laid with this share of its section.
fn box_with(points: &[(f64, f64)], odd: &[usize], share: f64) -> Layer {
    let mut layer = laid(&[(points, true)]);
    for &which in odd {
        layer.beads[which].area_mm2 *= share;
        layer.beads[which].width_mm *= share;
    }
    layer
}

#[test]
fn a_box_has_the_length_and_area_of_its_centreline() {
    let layer = laid(&[(&BOX, true)]);
    let found = whole(&layer).unwrap();
    assert_eq!((found.strands.as_slice(), found.ring.len(), found.leftwards), (&[0][..], 4, true));
    assert_relative_eq!(found.length_mm, 60.0, epsilon = 1e-9);
    assert_relative_eq!(found.enclosed_mm2, 200.0, epsilon = 1e-9);
    assert_eq!((found.low, found.high), (Point::new(2.0, 3.0), Point::new(22.0, 13.0)));
    assert_relative_eq!(found.width_mm, 0.45, epsilon = 1e-9);
    let area_mm2 = layer.beads[0].area_mm2;
    assert_relative_eq!(found.area_mm2, area_mm2, epsilon = 1e-9);
    assert_eq!(found.areas_mm2, vec![area_mm2; 4]);
    assert!(found.gaps.is_empty() && !found.uneven);
    // The fixture lays everything at 40 mm/s.
    assert_relative_eq!(found.speed_mm_s.unwrap(), 40.0, epsilon = 1e-9);
}

#[test]
fn the_other_way_round_it_is_as_large_and_without_times_it_has_no_speed() {
    let backwards: Vec<(f64, f64)> = BOX.iter().rev().copied().collect();
    let mut layer = laid(&[(&backwards, true)]);
    layer.beads.iter_mut().for_each(|bead| bead.time_s = 0.0);
    let found = whole(&layer).unwrap();
    assert!(!found.leftwards);
    assert_relative_eq!(found.enclosed_mm2, 200.0, epsilon = 1e-9);
    assert_eq!(found.speed_mm_s, None);
}

#[test]
fn the_ends_of_a_strand_are_where_it_begins_and_stops() {
    let layer = laid(&[(&[(1.0, 2.0), (5.0, 2.0), (5.0, 7.0)], false)]);
    assert_eq!(ends(&layer, &layer.strands[0]), Some((Point::new(1.0, 2.0), Point::new(5.0, 7.0))));
}

/// A quarter of a width squared is 0.05 mm²: a square of 0.22 mm has less, one of 0.23 mm more.
#[test]
fn what_surrounds_less_than_a_dot_of_plastic_is_no_loop() {
    let square = |side: f64| laid(&[(&[(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)], true)]);
    assert!(whole(&square(0.22)).is_none());
    assert!(whole(&square(0.23)).is_some());
    assert!(whole(&laid(&[(&[(0.0, 0.0), (9.0, 0.0)], true)])).is_none(), "out and back surrounds nothing");
    assert!(whole(&laid(&[(&[(0.0, 0.0), (9.0, 0.0), (4.0, 5.0)], true)])).is_some(), "a triangle does");
}

/// The longer sides are a third of the length each, the shorter ones a sixth.
#[test]
fn a_loop_is_uneven_when_a_twentieth_of_it_is_wider_or_narrower_by_a_thirtieth() {
    let with_a_dash = [(2.0, 3.0), (4.0, 3.0), (22.0, 3.0), (22.0, 13.0), (2.0, 13.0)];
    let (plain, dashed) = (&BOX[..], &with_a_dash[..]);
    let cases = [
        (plain, 1, 1.06, true),
        (plain, 1, 0.94, true),
        (plain, 1, 1.02, false),
        (plain, 1, 0.98, false),
        // Two of sixty millimetres.
        (dashed, 0, 1.06, false),
        (dashed, 2, 1.06, true),
    ];
    for (points, which, share, uneven) in cases {
        assert_eq!(whole(&box_with(points, &[which], share)).unwrap().uneven, uneven, "{which} {share}");
    }
}

#[test]
fn a_box_lies_in_another_only_when_no_side_of_it_stands_out() {
    let of = |x0, y0, x1, y1| whole(&laid(&[(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)], true)])).unwrap();
    let outer = of(0.0, 0.0, 10.0, 8.0);
    assert!(outer.boxes(&of(1.0, 1.0, 9.0, 7.0)));
    let standing_out =
        [of(-1.0, 1.0, 9.0, 7.0), of(1.0, -1.0, 9.0, 7.0), of(1.0, 1.0, 11.0, 7.0), of(1.0, 1.0, 9.0, 9.0)];
    assert!(standing_out.iter().all(|inner| !outer.boxes(inner)));
}

#[test]
fn strands_one_after_the_other_make_a_ring_with_nothing_laid_between_them() {
    let layer = laid(&[
        (&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)], false),
        (&[(9.0, 10.0), (0.0, 10.0), (0.0, 1.0)], false),
        // Begins where the last one stopped, as far as anyone can tell.
        (&[(0.00005, 1.0), (-2.0, 0.5)], false),
    ]);
    let laid_mm2 = Some(layer.beads[0].area_mm2);
    let (corners, areas) = ring_of(&layer, &[0, 1]);
    assert_eq!(corners, ring(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (9.0, 10.0), (0.0, 10.0), (0.0, 1.0)]));
    assert_eq!(areas, [laid_mm2, laid_mm2, None, laid_mm2, laid_mm2, None]);
    let (corners, areas) = ring_of(&layer, &[1, 2]);
    assert_eq!(corners, ring(&[(9.0, 10.0), (0.0, 10.0), (0.0, 1.0), (-2.0, 0.5)]));
    assert_eq!(areas, [laid_mm2, laid_mm2, laid_mm2, None]);
    // A strand that comes back to its start needs no way from its end to it.
    let round = laid(&[(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.00005, 0.0)], false)]);
    let (corners, areas) = ring_of(&round, &[0]);
    assert_eq!((corners.len(), areas), (3, vec![laid_mm2; 3]));
}

#[test]
fn of_a_missing_corner_the_middle_bulges_out_as_the_loop_would_have_gone() {
    // From (10, 9) upwards to nowhere, and on from (9, 10) to the left.
    let layer = laid(&[(&[(9.0, 10.0), (0.0, 10.0), (0.0, 0.0), (10.0, 0.0), (10.0, 9.0)], false)]);
    let found = whole(&layer).unwrap();
    let [gap] = found.gaps[..] else { panic!("{:?}", found.gaps) };
    assert_eq!((gap.from, gap.to), (Point::new(10.0, 9.0), Point::new(9.0, 10.0)));
    // Half-way (9.5, 9.5), and an eighth of the chord (root of 2) times the change of direction (1, 1) further out.
    let bulge = 0.125 * 2.0_f64.sqrt();
    assert_relative_eq!(gap.middle.x, 9.5 + bulge, epsilon = 1e-9);
    assert_relative_eq!(gap.middle.y, 9.5 + bulge, epsilon = 1e-9);
    // A width of 0.45 mm straight on from both ends.
    assert_relative_eq!(gap.further[0].distance(Point::new(10.0, 9.45)), 0.0, epsilon = 1e-9);
    assert_relative_eq!(gap.further[1].distance(Point::new(9.45, 10.0)), 0.0, epsilon = 1e-9);
    // The ring goes that way: 100 mm² less the corner's triangle of 0.5, and the bulge's: half of chord times height.
    assert_eq!(found.ring.len(), 6);
    assert_eq!(found.ring[5], gap.middle);
    assert_relative_eq!(found.enclosed_mm2, 99.5 + 0.5 * 2.0_f64.sqrt() * (bulge * 2.0_f64.sqrt()), epsilon = 1e-9);
    assert_eq!(found.areas_mm2.len(), 6);
}

#[test]
fn a_stretch_missing_from_a_straight_side_leaves_the_ring_straight() {
    let layer = laid(&[(&[(6.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0), (0.0, 0.0), (4.0, 0.0)], false)]);
    let found = whole(&layer).unwrap();
    let [gap] = found.gaps[..] else { panic!("{:?}", found.gaps) };
    assert_eq!((gap.from, gap.to, gap.middle), (Point::new(4.0, 0.0), Point::new(6.0, 0.0), Point::new(5.0, 0.0)));
    assert_eq!(found.ring.len(), 6);
    assert_relative_eq!(found.enclosed_mm2, 80.0, epsilon = 1e-9);
}

/// The side along the top, in three parts; ends meet within 0.3 widths, 0.135 mm.
#[test]
fn a_bead_run_dry_is_a_gap_unless_its_ends_meet() {
    let with_part = |from: f64, to: f64| [BOX[0], BOX[1], BOX[2], (to, 13.0), (from, 13.0), BOX[3]];
    let cases = [((10.0, 12.0), 0.2, 1), ((10.0, 12.0), 0.3, 0), ((10.0, 10.12), 0.2, 0), ((10.0, 10.15), 0.2, 1)];
    for ((from, to), share, gaps) in cases {
        let points = with_part(from, to);
        let layer = box_with(&points, &[3], share);
        let found = whole(&layer).unwrap();
        assert_eq!(found.gaps.len(), gaps, "{from} to {to} with {share}");
        // A dry bead does not count as laid thin: the wall stands where it would stand with enough plastic.
        let usual_mm2 = layer.beads[0].area_mm2;
        let kept_mm2 = if share > 0.25 { share * usual_mm2 } else { usual_mm2 };
        assert_relative_eq!(found.areas_mm2[3], kept_mm2, epsilon = 1e-12);
    }
}

#[test]
fn dry_beads_one_after_the_other_are_one_gap_even_over_the_seam() {
    let points = [(12.0, 3.0), (12.1, 3.0), (22.0, 3.0), (22.0, 13.0), (2.0, 13.0), (2.0, 3.0), (11.9, 3.0)];
    // The last bead leads from 11.9 to 12, where the first begins: together 0.2 mm.
    let found = whole(&box_with(&points, &[0, 6], 0.1)).unwrap();
    let [gap] = found.gaps[..] else { panic!("{:?}", found.gaps) };
    assert_eq!((gap.from, gap.to), (Point::new(11.9, 3.0), Point::new(12.1, 3.0)));
    assert!(whole(&box_with(&points, &[0], 0.1)).unwrap().gaps.is_empty(), "one of them alone is too short");
    // Two gaps apart from each other are two.
    assert_eq!(whole(&box_with(&points, &[2, 4], 0.1)).unwrap().gaps.len(), 2);
}

#[test]
fn laps_without_plastic_and_what_lies_beside_the_part_are_no_loops() {
    let small = [(5.0, 5.0), (8.0, 5.0), (8.0, 8.0), (5.0, 8.0)];
    let mut layer = laid(&[(&BOX, true), (&small, true), (&[(30.0, 0.0), (34.0, 0.0), (32.0, 3.0)], true)]);
    layer.strands[1].ghost = true;
    let strands = |beside: &[bool]| -> Vec<usize> {
        loops_of(&layer, beside).iter().flat_map(|l| l.strands.iter().copied()).collect()
    };
    assert_eq!(strands(&[false, false, false]), [0, 2]);
    assert_eq!(strands(&[false, false, true]), [0]);
}

#[test]
fn a_dry_corner_is_one_gap_and_the_ring_keeps_its_corner() {
    let points = [(2.0, 3.0), (20.0, 3.0), (22.0, 3.0), (22.0, 5.0), (22.0, 13.0), (2.0, 13.0)];
    let found = whole(&box_with(&points, &[1, 2], 0.1)).unwrap();
    let [gap] = found.gaps[..] else { panic!("{:?}", found.gaps) };
    assert_eq!((gap.from, gap.to), (Point::new(20.0, 3.0), Point::new(22.0, 5.0)));
    assert_eq!(found.ring.len(), 6);
    assert_relative_eq!(found.enclosed_mm2, 200.0, epsilon = 1e-9);
}

#[test]
fn every_piece_of_a_ring_with_a_missing_corner_keeps_its_section() {
    let mut layer = laid(&[(&[(9.0, 10.0), (0.0, 10.0), (0.0, 0.0), (10.0, 0.0), (10.0, 9.0)], false)]);
    let usual = layer.beads[0].area_mm2;
    layer.beads[3].area_mm2 *= 1.2;
    let found = whole(&layer).unwrap();
    // The two pieces over the middle of the gap count with the usual section.
    assert_eq!(found.areas_mm2, [usual, usual, usual, 1.2 * usual, usual, usual]);
}
