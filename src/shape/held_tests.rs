use super::super::body::{majority, spots_of};
use super::super::fixture::{Laid, circle, ring};
use super::super::loops::loops_of;
use super::*;
use crate::geom::Point;
use approx::assert_relative_eq;

/// A layer of closed walls, what is laid open within them, and which of that is known as lines of a core.
struct Within {
    laid: Laid,
    core_loops: Vec<usize>,
}

impl Within {
    /// Walls with their middles along the sides of a square of 20 mm.
    fn square() -> Self {
        let mut within = Self { laid: Laid::new(0.45, 0.2), core_loops: Vec::new() };
        within.wall((40.0, 60.0), 20.0);
        within
    }

    /// A square wall with its lower left corner there.
    fn wall(&mut self, (x, y): (f64, f64), side: f64) -> &mut Self {
        self.laid.strand(&ring(&[(x, y), (x + side, y), (x + side, y + side), (x, y + side)]), true);
        self
    }

    /// Open lines, given from the lower left corner of the square.
    fn line(&mut self, points: &[(f64, f64)]) -> &mut Self {
        let points: Vec<Point> = points.iter().map(|&(x, y)| Point::new(40.0 + x, 60.0 + y)).collect();
        self.laid.strand(&points, false);
        self
    }

    /// Three lines 2 mm apart in the middle of the square: a row that keeps clear of its walls.
    fn row(&mut self) -> &mut Self {
        self.line(&[(7.0, 8.0), (13.0, 8.0)]).line(&[(7.0, 10.0), (13.0, 10.0)]).line(&[(7.0, 12.0), (13.0, 12.0)])
    }

    /// Loops from the largest to the smallest.
    fn held(&self) -> Held {
        let layer = &self.laid.layer;
        let mut body = Body::new(layer, 0, &loops_of(layer, &vec![false; layer.strands.len()]));
        let open = layer.strands.iter().enumerate().filter(|(_, strand)| !strand.closed);
        let fill = open.filter_map(|(i, strand)| Some((i, majority(&body.nest, &spots_of(layer, strand))?)));
        body.fill = fill.collect();
        body.core_loops.clone_from(&self.core_loops);
        Held::of(&body, layer)
    }
}

/// The line turned by quarters about the middle of the square.
fn turned(points: [(f64, f64); 2], quarters: usize) -> [(f64, f64); 2] {
    (0..quarters).fold(points, |points, _| points.map(|(x, y)| (20.0 - y, x)))
}

#[test]
fn fill_that_begins_or_ends_at_any_of_its_walls_is_held_by_them() {
    // Walls and fill are 0.45 mm wide, so that fill comes up to the walls within 1.4 times that, 0.63 mm.
    for side in 0..4 {
        for (off, is_held) in [(0.0, true), (0.58, true), (0.68, false), (0.9, false)] {
            let rows = [6.0, 8.0, 10.0].map(|y| turned([(off, y), (8.0, y)], side));
            let (mut from_wall, mut to_wall) = (Within::square(), Within::square());
            for [wall, middle] in rows {
                from_wall.line(&[wall, middle]);
                to_wall.line(&[middle, wall]);
            }
            let held = from_wall.held();
            assert_eq!(held.by_walls, [is_held], "begins {off} mm off side {side}");
            // Three lines of so many millimetres.
            let length_mm = if is_held { 3.0 * (8.0 - off) } else { 0.0 };
            assert_relative_eq!(held.fill_mm[0], length_mm, epsilon = 1e-9);
            assert_eq!(to_wall.held().by_walls, [is_held], "ends {off} mm off side {side}");
        }
    }
}

#[test]
fn broad_beads_come_up_to_walls_from_further_off() {
    // Beads of 1.2 mm: within 1.68 mm.
    for (off, is_held) in [(1.6, true), (1.75, false)] {
        for side in 0..4 {
            let mut within = Within { laid: Laid::new(1.2, 0.6), core_loops: Vec::new() };
            within.wall((40.0, 60.0), 20.0);
            for y in [6.5, 9.5, 12.5] {
                let [wall, middle] = turned([(off, y), (9.0, y)], side);
                within.line(&[middle, wall]);
            }
            assert_eq!(within.held().by_walls, [is_held], "{off} mm off side {side}");
        }
    }
}

#[test]
fn rows_that_keep_clear_of_walls_are_not_held_and_anything_else_is() {
    assert_eq!(Within::square().row().held().by_walls, [false]);
    // A lone line is no row, nor are two.
    let (one, other) = ([(7.0, 8.0), (13.0, 8.0)], [(7.0, 10.0), (13.0, 10.0)]);
    assert_eq!(Within::square().line(&one).held().by_walls, [true]);
    assert_eq!(Within::square().line(&one).line(&other).held().by_walls, [true]);
    // To and fro with room between, and without any.
    let to_and_fro = |step: f64| -> Vec<(f64, f64)> {
        let at = |k: u32| [(7.0, 8.0 + step * f64::from(k)), (13.0, 8.0 + step * f64::from(k))];
        (0..8).flat_map(|k| if k % 2 == 0 { at(k) } else { [at(k)[1], at(k)[0]] }).collect()
    };
    assert_eq!(Within::square().line(&to_and_fro(0.45)).held().by_walls, [true]);
    assert_eq!(Within::square().line(&to_and_fro(1.2)).held().by_walls, [false]);
}

#[test]
fn one_strand_that_is_held_holds_all_that_lies_with_it() {
    let at_the_wall = [(0.3, 3.0), (9.0, 3.0)];
    assert_eq!(Within::square().line(&at_the_wall).row().held().by_walls, [true]);
    assert_eq!(Within::square().row().line(&at_the_wall).held().by_walls, [true]);
    // One of the row is known as a line of the core, that follows the walls.
    for line in 1..4 {
        let mut within = Within::square();
        within.row().core_loops.push(line);
        let held = within.held();
        assert_eq!(held.by_walls, [true]);
        assert_relative_eq!(held.fill_mm[0], 18.0, epsilon = 1e-9);
    }
}

#[test]
fn a_strand_that_goes_round_and_round_fills_a_place_from_the_outside_in() {
    // Each corner is a quarter of a turn, more than one and a half turns are asked for.
    let inwards = |corners: usize, mirrored: bool| {
        let mut at = (5.0, 5.0);
        let mut points = vec![at];
        for k in 0..=corners {
            let long = 4.0 - 0.25 * k as f64;
            let step = [(long, 0.0), (0.0, long), (-long, 0.0), (0.0, -long)][k % 4];
            at = (at.0 + step.0, at.1 + step.1);
            points.push(at);
        }
        let point = |(x, y): (f64, f64)| if mirrored { (20.0 - x, y) } else { (x, y) };
        let points: Vec<(f64, f64)> = points.into_iter().map(point).collect();
        let mut within = Within::square();
        // A row stands beside it.
        within.line(&points).line(&[(4.0, 13.0), (16.0, 13.0)]).line(&[(4.0, 15.0), (16.0, 15.0)]);
        within.line(&[(4.0, 17.0), (16.0, 17.0)]).held().by_walls[0]
    };
    for mirrored in [false, true] {
        assert!(inwards(7, mirrored));
        assert!(!inwards(5, mirrored));
    }
}

#[test]
fn the_walls_of_a_hole_hold_the_fill_round_it() {
    // A hole of 6 mm, and lines that end 0.5 or 0.7 mm before it.
    let found = |off: f64, ends_there: bool| {
        let mut within = Within::square();
        within.laid.strand(&ring(&[(47.0, 67.0), (53.0, 67.0), (53.0, 73.0), (47.0, 73.0)]), true);
        for y in [8.0, 10.0, 12.0] {
            let mut line = [(3.0, y), (7.0 - off, y)];
            if !ends_there {
                line.reverse();
            }
            within.line(&line);
        }
        within.held().by_walls
    };
    for ends_there in [true, false] {
        assert_eq!(found(0.5, ends_there), [true, false]);
        assert_eq!(found(0.7, ends_there), [false, false]);
    }
}

#[test]
fn each_place_is_judged_by_its_own_fill() {
    // A row clear of the walls of one square, and a line from wall to wall of a smaller one beside it.
    let mut within = Within::square();
    within.wall((70.0, 60.0), 18.0).row().line(&[(30.5, 8.0), (47.5, 8.0)]);
    let held = within.held();
    assert_eq!(held.by_walls, [false, true]);
    assert_relative_eq!(held.fill_mm[1], 17.0, epsilon = 1e-9);
    // A loop with nothing in it holds nothing.
    let mut within = Within::square();
    within.laid.strand(&circle((80.0, 70.0), 4.0, 24), true);
    within.row();
    assert_eq!(within.held().fill_mm, [0.0, 0.0]);
}
