#![allow(clippy::unwrap_used)]

use super::*;
use crate::geom::Ring;
use crate::shape::fixture::{Laid, ring};
use crate::shape::loops::Loop;

const HEIGHT: f64 = 0.2;
const PITCH: f64 = 0.4;
const SPACING: Spacing = Spacing::plain(HEIGHT);

/// Corners in pitches.
fn rectangle(low: (f64, f64), high: (f64, f64)) -> Ring {
    let corners = [low, (high.0, low.1), high, (low.0, high.1)];
    ring(&corners.map(|(x, y)| (PITCH * x, PITCH * y)))
}

/// Loops named from the largest to the smallest.
fn nest(rings: &[Ring]) -> Nest {
    let mut laid = Laid::new(PITCH + HEIGHT * (1.0 - std::f64::consts::FRAC_PI_4), HEIGHT);
    for ring in rings {
        laid.strand(ring, true);
    }
    let loops = (0..rings.len()).map(|strand| Loop::new(&laid.layer, vec![strand]).unwrap()).collect();
    Nest::new(loops)
}

/// Squares round one middle, half as wide as this, in pitches.
fn squares(halves: &[f64]) -> Nest {
    nest(&halves.iter().map(|h| rectangle((-h, -h), (*h, *h))).collect::<Vec<_>>())
}

/// `w` for every wall and `l` for every line of a core, from the largest loop to the smallest.
fn told(nest: &Nest, fill_mm: &[f64], usual_walls: Option<usize>) -> String {
    let lines = concentric_lines(nest, fill_mm, SPACING, usual_walls);
    lines.into_iter().map(|line| if line { 'l' } else { 'w' }).collect()
}

/// The same of squares with no fill but themselves.
fn of(halves: &[f64]) -> String {
    told(&squares(halves), &vec![0.0; halves.len()], None)
}

/// And in a print that has as many walls elsewhere.
fn with_usual(walls: usize, halves: &[f64]) -> String {
    told(&squares(halves), &vec![0.0; halves.len()], Some(walls))
}

/// `count` numbers from `first` downwards.
fn down(first: f64, step: f64, count: usize) -> Vec<f64> {
    (0..count).map(|k| first - step * k as f64).collect()
}

#[test]
fn walls_end_where_the_distance_changes() {
    // Three walls, and lines four pitches apart as long as there is room.
    assert_eq!(of(&[down(50.0, 1.0, 3), down(44.0, 4.0, 11)].concat()), "wwwlllllllllll");
    assert_eq!(of(&[50.0, 49.0, 48.0, 44.0, 40.0, 36.0, 32.0]), "wwwlllw", "the last goes round a hole");
    assert_eq!(of(&[50.0, 49.0, 48.0, 44.0, 40.0]), "wwwlw", "one line, and a hole");
    assert_eq!(of(&down(50.0, 1.0, 8)), "wwwwwwww", "nothing but walls");
    // Walls may lie at another distance than their flow tells, if it is the same from each to the next.
    assert_eq!(of(&[down(50.0, 1.1, 3), down(43.8, 4.0, 11)].concat()), "wwwlllllllllll");
}

#[test]
fn a_last_loop_with_room_for_one_more_is_the_wall_of_a_hole() {
    // A further line needs 1.1 times its distance of four pitches on all sides.
    assert_eq!(of(&[20.0, 19.0, 18.0, 16.2, 12.2, 8.2, 4.2]), "wwwllll");
    assert_eq!(of(&[20.0, 19.0, 18.0, 16.8, 12.8, 8.8, 4.8]), "wwwlllw");
    // Not if something lies in it: a line that is no loop, out and back.
    let filled = told(&squares(&[20.0, 19.0, 18.0, 16.8, 12.8, 8.8, 4.8]), &[0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 5.0], None);
    assert_eq!(filled, "wwwllll");
}

#[test]
fn a_hole_has_as_many_walls_as_the_outside() {
    // Lines from the outside and one from the hole meet six pitches apart.
    let lines = [44.0, 40.0, 36.0, 32.0, 28.0, 24.0, 18.0];
    assert_eq!(of(&[&[50.0, 49.0, 48.0][..], &lines, &[14.0, 13.0, 12.0]].concat()), "wwwlllllllwww");
    assert_eq!(of(&[&[49.0, 48.0][..], &lines, &[14.0, 13.0]].concat()), "wwlllllllww");
}

#[test]
fn lines_lie_further_apart_than_walls_and_no_more_than_sixteen_pitches() {
    assert_eq!(of(&[100.0, 99.0, 98.0, 83.0, 68.0, 53.0, 38.0, 23.0, 8.0]), "wwwllllll");
    assert_eq!(of(&[100.0, 99.0, 98.0, 81.0, 64.0, 47.0, 30.0, 13.0]), "wwwwwwww");
    // Down to 1.25 pitches any two lines tell, and down to 1.07 three gaps that are the same.
    assert_eq!(of(&[50.0, 49.0, 48.0, 46.7, 45.4]), "wwwlw");
    assert_eq!(of(&[50.0, 49.0, 48.0, 46.85, 45.7, 44.55, 43.4]), "wwwlllw");
    assert_eq!(of(&[50.0, 49.0, 48.0, 46.85, 45.7, 44.55]), "wwwwww");
    assert_eq!(of(&[50.0, 49.0, 48.0, 46.85, 45.7, 44.48, 43.19]), "wwwwwww", "1.15, 1.22, 1.29");
    assert_eq!(of(&[&[50.0, 49.0, 48.0][..], &down(46.6, 1.05, 7)].concat()), "wwwwwwwwww", "they lie as walls do");
    assert_eq!(of(&[&[50.0][..], &down(48.5, 1.15, 5)].concat()), "wwwwww", "a single wall tells nothing");
}

#[test]
fn loops_with_fill_between_them_are_no_lines() {
    let found = squares(&[50.0, 49.0, 48.0, 30.0, 20.0]);
    assert_eq!(told(&found, &[0.0, 0.0, 300.0, 200.0, 0.0], None), "wwwww");
}

#[test]
fn lines_lie_beside_each_other_as_far_as_within() {
    // Two side by side within a third, four pitches from it and from each other, and 8 pitches wide.
    let walls = [0.0, 1.0, 2.0].map(|k| rectangle((k, k), (60.0 - k, 26.0 - k)));
    let lines = [
        rectangle((5.0, 5.0), (55.0, 21.0)),
        rectangle((9.0, 9.0), (28.0, 17.0)),
        rectangle((32.0, 9.0), (51.0, 17.0)),
    ];
    assert_eq!(told(&nest(&[walls, lines].concat()), &[0.0; 6], None), "wwwlll");
}

#[test]
fn one_line_along_the_walls_is_steady_to_them() {
    // It lies half a pitch and a quarter of the lines' distance off: at 3 pitches that is 10, and a line needs 11.
    assert_eq!(of(&[14.0, 13.0, 12.0, 9.0]), "wwwl");
    assert_eq!(of(&[18.0, 17.0, 16.0, 13.0]), "wwww");
    assert_eq!(of(&[60.0, 59.0, 58.0, 41.0]), "wwww", "17 pitches are too far");
    assert_eq!(of(&[4.6, 3.6, 2.6, 1.7]), "wwww", "nearer than a wall is no line");
    // Three pitches from three of the sides, and 3.5 or 5 from the fourth.
    let off_on_one_side = |off: f64| {
        let walls = [14.0, 13.0, 12.0].map(|h| rectangle((-h, -h), (h, h)));
        told(&nest(&[&walls[..], &[rectangle((-9.0, -9.0), (12.0 - off, 9.0))]].concat()), &[0.0; 4], None)
    };
    assert_eq!(off_on_one_side(3.5), "wwwl");
    assert_eq!(off_on_one_side(5.0), "wwww");
    // In two chambers it lies as far from the walls of both, within 7 %.
    let two_chambers = |off: f64| {
        let walls = [
            rectangle((0.0, 0.0), (41.0, 20.0)),
            rectangle((1.0, 1.0), (20.0, 19.0)),
            rectangle((21.0, 1.0), (40.0, 19.0)),
        ];
        let lines = [rectangle((4.0, 4.0), (17.0, 16.0)), rectangle((21.0 + off, 1.0 + off), (40.0 - off, 19.0 - off))];
        told(&nest(&[&walls[..], &lines].concat()), &[0.0; 5], None)
    };
    assert_eq!(two_chambers(3.1), "wwwll");
    assert_eq!(two_chambers(3.4), "wwwww");
}

#[test]
fn only_within_a_last_line_may_there_be_one_that_is_no_loop() {
    // The last one is 28.8 mm long.
    let with_fill = |fill_mm: [f64; 4]| told(&squares(&[14.0, 13.0, 12.0, 9.0]), &fill_mm, None);
    assert_eq!(with_fill([0.0, 0.0, 0.0, 28.0]), "wwwl");
    assert_eq!(with_fill([0.0, 0.0, 0.0, 30.0]), "wwww");
    // Specks in corners, up to a tenth of the 38.4 mm of the loop round them, are left out of account.
    assert_eq!(with_fill([0.0, 0.0, 3.8, 0.0]), "wwwl");
    assert_eq!(with_fill([0.0, 0.0, 3.9, 0.0]), "wwww");
    // Two loops, one along the walls of the outside and one along those of a hole, with fill between them.
    let ring = squares(&[30.0, 29.0, 28.0, 25.0, 15.0, 12.0, 11.0, 10.0]);
    assert_eq!(told(&ring, &[0.0, 0.0, 0.0, 50.0, 0.0, 0.0, 0.0, 0.0], None), "wwwwwwww");
}

#[test]
fn within_a_single_wall_a_line_is_laid_faster() {
    // Or it is the inner face of a thin tube.
    let line_at = |times: f64| {
        let mut found = squares(&[6.0, 3.0]);
        found.loops[1].speed_mm_s = found.loops[0].speed_mm_s.map(|wall| times * wall);
        told(&found, &[0.0; 2], None)
    };
    assert_eq!(line_at(1.15), "wl");
    assert_eq!(line_at(1.05), "ww");
    assert_eq!(line_at(1.0), "ww");
}

#[test]
fn a_single_wall_round_a_hole_lies_as_far_off_as_the_outer_one() {
    // The first line lies 3 pitches from the wall, the others 4 apart, and the last loop has no room for a line.
    assert_eq!(of(&[22.0, 19.0, 15.0, 11.0, 7.0, 4.0]), "wllllw");
    assert_eq!(of(&[22.0, 19.0, 15.0, 11.0, 7.0, 3.0]), "wlllll", "it lies as the lines do");
    assert_eq!(of(&[22.0, 19.0, 15.0, 11.0, 6.0, 4.0]), "wlllll", "it lies as neither");
    assert_eq!(of(&[23.0, 19.0, 15.0, 11.0, 7.0, 3.0]), "wlllll", "all lie alike");
    let filled = told(&squares(&[22.0, 19.0, 15.0, 11.0, 7.0, 4.0]), &[0.0, 0.0, 0.0, 0.0, 0.0, 5.0], None);
    assert_eq!(filled, "wlllll", "a hole is empty");
    // Where there are more walls it has as many.
    assert_eq!(with_usual(3, &[15.0, 14.0, 13.0, 10.0, 6.0, 2.0, 1.0]), "wwwllll");
}

#[test]
fn the_usual_number_of_walls_tells_them_from_a_skin_of_loops() {
    let skin = down(12.0, 1.0, 12);
    assert_eq!(of(&skin), "wwwwwwwwwwww");
    assert_eq!(with_usual(3, &skin), "wwwlllllllll");
    // A hole has as many.
    assert_eq!(with_usual(3, &down(25.0, 1.0, 16)), "wwwllllllllllwww");
    // One more loop than usual is no skin.
    assert_eq!(with_usual(3, &[4.4, 3.4, 2.4, 1.4]), "wwww");
    // Where fewer walls stand than usual that number tells nothing.
    assert_eq!(with_usual(4, &[&[50.0, 49.0, 48.0][..], &down(46.6, 1.05, 7)].concat()), "wwwwwwwwww");
    let tells =
        |usual: usize, halves: &[f64]| usual_walls_tell(&squares(halves), &vec![0.0; halves.len()], SPACING, usual);
    assert!(tells(3, &skin));
    assert!(!tells(3, &[4.0, 3.0, 2.0]));
    assert!(!tells(5, &[4.0, 3.0, 2.0]));
}

#[test]
fn more_walls_than_usual_may_stand_round_a_core_of_other_lines() {
    // The last of five loops is 25.6 mm long: no more fill than that may lie in it.
    let with_fill =
        |fill_mm: f64| told(&squares(&[12.0, 11.0, 10.0, 9.0, 8.0]), &[0.0, 0.0, 0.0, 0.0, fill_mm], Some(3));
    assert_eq!(with_fill(20.0), "wwwll");
    assert_eq!(with_fill(100.0), "wwwww");
}

#[test]
fn walls_are_counted_from_the_air() {
    // A frame with fill, and an island in its hole, laid as a skin of loops.
    let halves = [&[20.0, 15.0][..], &down(12.0, 1.0, 12)].concat();
    let mut fill_mm = vec![0.0; halves.len()];
    fill_mm[0] = 100.0;
    let mut found = squares(&halves);
    found.settle(&fill_mm, SPACING);
    assert_eq!(found.between[1], Between::Air);
    assert_eq!(told(&found, &fill_mm, Some(3)), "wwwwwlllllllll");
    // Five loops in the middle of a filled core are no body of their own.
    let mut found = squares(&[60.0, 59.0, 5.0, 4.0, 3.0, 2.0, 1.0]);
    let fill_mm = [0.0, 400.0, 0.0, 0.0, 0.0, 0.0, 0.0];
    found.settle(&fill_mm, SPACING);
    assert_eq!(told(&found, &fill_mm, Some(3)), "wwwwwww");
}

#[test]
fn a_ring_is_looked_at_in_32_places_all_along() {
    // Every 2 mm of 64, the first after half of that.
    let found: Vec<Point> = spots(&ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)])).collect();
    assert_eq!(found.len(), 32);
    let at = |i: usize, x: f64, y: f64| assert!(found[i].distance(Point::new(x, y)) < 1e-9, "{i}: {:?}", found[i]);
    at(0, 1.0, 0.0);
    at(9, 19.0, 0.0);
    at(10, 20.0, 1.0);
    at(16, 19.0, 12.0);
    at(31, 0.0, 1.0);
    assert_eq!(spots(&[Point::default(); 3]).count(), 0);
}

/// A frame with a core of lines four pitches apart, three walls round its hole, and in the hole a body of its own. Room
/// for one more line, 1.1 distances from both, is 8.8 pitches.
#[test]
fn a_body_that_stands_in_the_hole_of_another_has_walls_of_its_own() {
    let frame = [&down(60.0, 1.0, 3)[..], &down(54.0, 4.0, 3), &down(42.0, 1.0, 3)].concat();
    let island = |first: f64| [&down(first, 1.0, 3)[..], &down(first - 6.0, 4.0, 6)].concat();
    assert_eq!(of(&frame), "wwwlllwww");
    assert_eq!(of(&island(30.0)), "wwwllllll");
    assert_eq!(of(&[&frame[..], &island(30.0)].concat()), "wwwlllwwwwwwllllll");
    // The same round an island without lines.
    assert_eq!(of(&[&frame[..], &[30.0, 29.0, 28.0]].concat()), "wwwlllwwwwww");
    // And within walls that have no core of their own.
    assert_eq!(of(&[&down(40.0, 1.0, 4)[..], &island(28.0)].concat()), "wwwwwwwllllll");
}
