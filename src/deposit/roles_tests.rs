//! First roles of hand-made layers; beads are 0.4 mm wide.

use super::super::by_hand::{self, Corners};
use super::*;
use Role::{GapFill, InnerWall, OuterWall, SolidInfill, SparseInfill};
use approx::assert_relative_eq;

type Path = (Corners, bool);

/// A square loop round (x, y), `half` mm out to each side; the other way round where `half` is negative.
fn square(x: f64, y: f64, half: f64) -> Path {
    let up = half.abs();
    (vec![(x - half, y - up), (x + half, y - up), (x + half, y + up), (x - half, y + up), (x - half, y - up)], true)
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Path {
    (by_hand::ring(x0, y0, x1, y1, 0.0), true)
}

fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Path {
    (vec![(x0, y0), (x1, y1)], false)
}

fn roles(paths: &[Path]) -> Vec<Role> {
    let (beads, mut strands) = by_hand::strands(paths);
    assign(&beads, &mut strands, None);
    strands.into_iter().map(|strand| strand.role).collect()
}

#[test]
fn walls_are_the_same_whichever_way_round_they_are_laid() {
    for way in [1.0, -1.0] {
        // Fill across, that does not reach the middle of the block.
        let block = |x: f64, y: f64| {
            let fill = [-2.0, -1.0, 1.0, 2.0].map(|aside| line(x + aside, y - 8.8, x + aside, y + 8.8));
            [vec![square(x, y, way * 10.0), square(x, y, way * 9.6)], fill.to_vec()].concat()
        };
        for (x, y) in [(0.0, 0.0), (30.0, 20.0)] {
            assert_eq!(roles(&block(x, y))[..2], [OuterWall, InnerWall], "about ({x}, {y})");
        }
        // And one block within the hole of another.
        let nested = [vec![square(30.0, 20.0, 14.0)], block(30.0, 20.0)].concat();
        assert_eq!(roles(&nested)[..3], [OuterWall, OuterWall, InnerWall]);
    }
}

/// A body of one wall, `clear` mm within the wall of another's hole, with a line of its own core and what else is given.
fn body_in_hole(clear: f64, more: &[Path]) -> Role {
    let body = [square(30.0, 20.0, 5.0 + clear), square(30.0, 20.0, 5.0), line(30.0, 15.4, 30.0, 24.6)];
    roles(&[&body, more].concat())[1]
}

#[test]
fn a_body_in_a_hole_has_an_outer_wall_of_its_own() {
    assert_eq!(body_in_hole(1.0, &[]), OuterWall);
    assert_eq!(body_in_hole(0.5, &[]), InnerWall, "within 1.35 widths beads are fused");
    assert_eq!(body_in_hole(0.6, &[]), OuterWall);
}

#[test]
fn a_wall_with_another_beside_less_than_half_of_it_is_an_outer_wall() {
    let beside = |sides: &[Path]| body_in_hole(20.0, sides);
    let above = rectangle(25.0, 25.4, 35.0, 28.0);
    let below = rectangle(25.0, 12.0, 35.0, 14.6);
    let right = rectangle(35.4, 15.0, 38.0, 25.0);
    assert_eq!(beside(std::slice::from_ref(&above)), OuterWall);
    assert_eq!(beside(&[above, below, right]), InnerWall);
}

#[test]
fn a_wall_at_which_fill_ends_outside_bounds_a_core() {
    // Within 1.6 widths, 0.64 mm, at a single place.
    let ends = |away: f64| line(27.5, 5.0, 27.5, 15.0 - away);
    for (away, role) in [(0.4, InnerWall), (0.6, InnerWall), (0.7, OuterWall), (1.0, OuterWall)] {
        assert_eq!(body_in_hole(20.0, &[ends(away)]), role, "{away} mm away");
    }
    // A core within comes first, and ends at the same place.
    let both = [line(27.5, 15.4, 27.5, 24.6), ends(0.4)];
    assert_eq!(body_in_hole(20.0, &both), InnerWall);
    assert_eq!(body_in_hole(20.0, &both[..1]), OuterWall);
}

#[test]
fn walls_round_a_hole_count_from_the_hole() {
    let rim = rectangle(0.0, 0.0, 60.0, 40.0);
    let hole = |more: &[Path]| {
        let walls = [rim.clone(), square(30.0, 20.0, 5.0), square(30.0, 20.0, 5.4)];
        roles(&[&walls, more].concat())[1..3].to_vec()
    };
    assert_eq!(hole(&[]), [OuterWall, InnerWall]);
    // What lies on the wall itself, within 0.3 widths, is no filling of the hole; what lies off it is.
    let within = |inset: f64| line(27.0, 15.0 + inset, 29.0, 15.0 + inset);
    assert_eq!(hole(&[within(0.05)])[0], OuterWall);
    assert_eq!(hole(&[within(0.3)])[0], InnerWall);
    assert_eq!(hole(&[within(2.0)])[0], InnerWall);
}

#[test]
fn a_strand_laid_over_goes_with_the_one_it_is_joined_to() {
    for (apart, role) in [(0.0, OuterWall), (3.0, SparseInfill)] {
        let paths = [
            rectangle(0.0, 0.0, 20.0, 20.0),
            line(apart, apart, 10.0 + apart, apart),
            line(2.0, 10.0, 18.0, 10.0),
            line(2.0, 12.0, 18.0, 12.0),
        ];
        let (beads, mut strands) = by_hand::strands(&paths);
        strands[1].ghost = true;
        assign(&beads, &mut strands, None);
        assert_eq!(strands[1].role, role);
    }
}

#[test]
fn fill_is_solid_where_its_lines_lie_side_by_side() {
    let rim = rectangle(0.0, 0.0, 20.0, 20.0);
    for (pitch, role) in [(0.4, SolidInfill), (0.53, SolidInfill), (0.55, SparseInfill), (2.0, SparseInfill)] {
        // The first line lies beside the wall, which is no line of the fill.
        let lines = (0..3).map(|k| f64::from(k) * pitch).map(|x| line(0.4 + x, 1.0, 0.4 + x, 19.0));
        let paths: Vec<Path> = std::iter::once(rim.clone()).chain(lines).collect();
        assert_eq!(roles(&paths)[1..], [role; 3], "{pitch} mm apart");
    }
    assert_eq!(roles(&[rim, line(5.0, 1.0, 5.0, 19.0)])[1], SparseInfill, "a single line");
}

#[test]
fn without_walls_lines_are_fill_if_they_have_a_neighbour_beside_them() {
    let pair = |x0: f64, y: f64| roles(&[line(0.0, 0.0, 10.0, 0.0), line(x0, y, x0 + 10.0, y)])[0];
    assert_eq!([pair(0.0, 0.4), pair(0.0, 8.0), pair(0.0, 20.0)], [SolidInfill, SparseInfill, GapFill]);
    // Beside its middle (5, 0), or nearly so: 1 mm along of 5.1 mm, but not 4 of 6.4.
    assert_eq!([pair(6.0, 5.0), pair(9.0, 5.0)], [SparseInfill, GapFill]);
    // However near.
    assert_eq!(pair(5.35, 0.2), GapFill);
    assert_eq!(roles(&[line(0.0, 0.0, 10.0, 0.0)]), [GapFill]);
}

#[test]
fn outside_of_all_walls_lines_are_gap_fill() {
    let ribs = [rectangle(0.0, 0.0, 20.0, 20.0), line(30.0, 0.0, 30.0, 20.0), line(30.4, 0.0, 30.4, 20.0)];
    assert_eq!(roles(&ribs)[1..], [GapFill, GapFill]);
}

#[test]
fn short_pieces_of_a_line_tell_the_pitch_too() {
    // Twenty lines of 2 mm and a long one that leaves them, all in one strand; it turns in pieces of a width.
    let mut corners: Corners = Vec::new();
    for k in 0..20 {
        let (y, ends) = (5.0 + 0.4 * f64::from(k), [(5.0, 7.0), (7.0, 5.0)][k as usize % 2]);
        corners.extend([(ends.0, y), (ends.1, y)]);
    }
    corners.push((5.0, 22.6));
    assert_eq!(roles(&[rectangle(0.0, 0.0, 30.0, 30.0), (corners, false)])[1], SolidInfill);
}

/// A line 20 mm long in a block, `left` and `right` mm beside ribs that are `long` mm long.
fn between(left: f64, right: f64, long: f64) -> Role {
    let rim = rectangle(0.0, 0.0, 60.0, 40.0);
    let ribs = [
        rectangle(27.0 - left, 10.0, 30.0 - left, 10.0 + long),
        rectangle(30.0 + right, 10.0, 33.0 + right, 10.0 + long),
    ];
    roles(&[&[rim, line(30.0, 10.0, 30.0, 30.0)], ribs.as_slice()].concat())[1]
}

#[test]
fn a_line_between_two_walls_fills_a_gap() {
    assert_eq!(between(0.4, 0.4, 20.0), GapFill);
    // Within 1.35 widths of both, 0.54 mm.
    assert_eq!(
        [between(0.5, 0.5, 20.0), between(0.4, 0.6, 20.0), between(1.0, 1.0, 20.0)],
        [GapFill, SparseInfill, SparseInfill]
    );
    assert_eq!([between(0.4, 9.0, 20.0), between(9.0, 0.4, 20.0)], [SparseInfill; 2], "a wall on one side");
    assert_eq!([between(0.4, 0.4, 14.0), between(0.4, 0.4, 6.0)], [GapFill, SparseInfill], "most of it counts");
}

#[test]
fn places_lie_a_step_apart_along_all_beads() {
    // The bead between the two long ones is too short to have a direction.
    let beads = by_hand::beads(&[(1.0, 1.0), (11.0, 1.0), (11.0, 1.0), (11.0, 11.0)]);
    let (right, up) = (Point::new(1.0, 0.0), Point::new(0.0, 1.0));
    let want = [(1.0, 1.0, right), (5.0, 1.0, right), (9.0, 1.0, right), (11.0, 3.0, up), (11.0, 7.0, up)];
    let got: Vec<(Point, Point)> = places(&beads, 4.0).collect();
    assert_eq!(got.len(), want.len(), "{got:?}");
    for ((p, along), (x, y, direction)) in got.into_iter().zip(want) {
        assert!(p.distance(Point::new(x, y)) < 1e-9 && along.distance(direction) < 1e-9, "{p:?} {along:?}");
    }
    assert_eq!(places(&beads[..1], 90.0).count(), 1);
}

#[test]
fn a_few_places_are_at_most_sixty() {
    let beads = |mm: f64| by_hand::beads(&[(0.0, 0.0), (mm, 0.0)]);
    assert_relative_eq!(few(&beads(120.0), 0.5), 2.0, max_relative = 1e-12);
    assert_relative_eq!(few(&beads(12.0), 0.5), 0.5);
}

#[test]
fn a_bead_runs_along_within_twenty_degrees_either_way() {
    let along = |degrees: f64, mm: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        runs_along(&by_hand::beads(&[(3.0, 4.0), (3.0 + mm * cos, 4.0 + mm * sin)])[0], Point::new(1.0, 0.0))
    };
    for mm in [0.1, 10.0] {
        assert!([0.0, 19.0, -19.0, 180.0, 161.0, 199.0].iter().all(|degrees| along(*degrees, mm)));
        assert!(![21.0, -21.0, 90.0, 159.0, 201.0].iter().any(|degrees| along(*degrees, mm)));
    }
    assert!(!along(0.0, 0.0));
}
