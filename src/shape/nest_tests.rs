#![allow(clippy::unwrap_used)]

use super::*;
use crate::deposit::Bead;
use crate::geom::Ring;
use crate::shape::fixture::{Laid, circle, ring};
use approx::assert_relative_eq;

const HEIGHT: f64 = 0.2;
const PITCH: f64 = 0.4;
/// 0.443 mm.
const WIDTH: f64 = PITCH + HEIGHT * (1.0 - std::f64::consts::FRAC_PI_4);
/// Walls touch up to 0.6 mm apart.
const SPACING: Spacing = Spacing::plain(HEIGHT);

fn rectangle(low: (f64, f64), high: (f64, f64)) -> Ring {
    ring(&[low, (high.0, low.1), high, (low.0, high.1)])
}

/// A square round the origin. Where one lies within another their mean distance is the difference of the two.
fn square(half_mm: f64) -> Ring {
    rectangle((-half_mm, -half_mm), (half_mm, half_mm))
}

fn nest_of(laid: &Laid) -> Nest {
    Nest::new((0..laid.layer.strands.len()).filter_map(|s| Loop::new(&laid.layer, vec![s])).collect())
}

/// Loops of one width, which should be named from the largest to the smallest.
fn nest(rings: &[Ring]) -> Nest {
    let mut laid = Laid::new(WIDTH, HEIGHT);
    for ring in rings {
        laid.strand(ring, true);
    }
    nest_of(&laid)
}

fn squares(halves_mm: &[f64]) -> Nest {
    nest(&halves_mm.iter().map(|half| square(*half)).collect::<Vec<_>>())
}

/// What lies between the loops, with this much fill within each.
fn between(mut nest: Nest, fill_mm: &[f64]) -> Vec<Between> {
    nest.settle(fill_mm, SPACING);
    nest.between
}

#[test]
fn a_loop_lies_in_the_smallest_that_holds_it() {
    let rings = [square(20.0), square(9.0), rectangle((-4.0, -4.0), (-1.0, 4.0)), rectangle((1.0, -3.0), (4.0, 3.0))];
    let found = nest(&rings);
    assert_eq!(found.parent, [None, Some(0), Some(1), Some(1)]);
    assert_eq!(found.children, [vec![1], vec![2, 3], vec![], vec![]]);
    assert_eq!(found.roots().collect::<Vec<_>>(), [0]);
    // Side by side, and in the bay of a larger one.
    let apart = nest(&[rectangle((0.0, 0.0), (9.0, 9.0)), rectangle((12.0, 0.0), (20.0, 8.0))]);
    assert_eq!(apart.parent, [None, None]);
    let angle = ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 5.0), (5.0, 5.0), (5.0, 20.0), (0.0, 20.0)]);
    assert_eq!(nest(&[angle.clone(), rectangle((8.0, 8.0), (14.0, 14.0))]).parent, [None, None]);
    // Three of its corners are looked at; one may stick out a little.
    let corners = |at: [(f64, f64); 3]| nest(&[angle.clone(), ring(&at)]).parent[1];
    assert_eq!(corners([(5.1, 5.1), (1.0, 4.0), (4.0, 1.0)]), Some(0));
    assert_eq!(corners([(1.0, 4.0), (4.0, 1.0), (5.1, 5.1)]), Some(0));
    assert_eq!(corners([(5.1, 9.0), (4.0, 4.0), (9.0, 5.1)]), None);
}

#[test]
fn a_point_belongs_to_the_innermost_loop_round_it() {
    // A square on its tip within a square.
    let found = nest(&[square(10.0), ring(&[(0.0, -8.0), (8.0, 0.0), (0.0, 8.0), (-8.0, 0.0)])]);
    let at = |x: f64, y: f64| found.innermost(Point::new(x, y));
    assert_eq!(at(1.0, 2.0), Some(1));
    assert_eq!(at(6.0, 6.0), Some(0), "within its box only");
    assert_eq!((at(9.0, 1.0), at(1.0, 9.0)), (Some(0), Some(0)));
    assert_eq!((at(11.0, 0.0), at(0.0, -11.0)), (None, None));
}

#[test]
fn the_space_within_a_loop_ends_at_the_loops_in_it() {
    // 40 by 40 mm less 20 by 20 and 4 by 4: 1184 mm² between 160 + 80 + 16 mm of loops.
    let found = nest(&[square(20.0), rectangle((-18.0, -10.0), (2.0, 10.0)), rectangle((8.0, 0.0), (12.0, 4.0))]);
    assert_relative_eq!(found.mean_pitch_mm(0), 2.0 * 1184.0 / 256.0, epsilon = 1e-9);
    assert_relative_eq!(found.core_area_mm2(0, 0.0), 1184.0, epsilon = 1e-9);
    assert_relative_eq!(found.core_area_mm2(0, 0.4), 1184.0 - 0.2 * 256.0, epsilon = 1e-9);
    assert_relative_eq!(found.mean_pitch_mm(2), 2.0, epsilon = 1e-9);
    // Nothing is left within walls that lie against each other.
    assert_relative_eq!(squares(&[20.0, 19.7]).core_area_mm2(0, 0.4), 0.0);
}

#[test]
fn from_wall_to_core_to_hole_to_island() {
    let mut found = squares(&[20.0, 19.6, 10.0, 9.6, 5.0]);
    found.settle(&[0.0, 200.0, 0.0, 0.0, 0.0], SPACING);
    assert_eq!(found.between, [Between::Walls, Between::Fill, Between::Walls, Between::Air, Between::Hollow]);
    let standing = [Standing::Outside, Standing::Inner, Standing::Inner, Standing::Hole, Standing::Outside];
    assert_eq!(found.standing, standing);
    assert_eq!(found.depth, [0, 0, 0, 0, 1]);
    // The same without fill: the core is empty, and what lies in it is still a hole.
    assert_eq!(between(found, &[0.0; 5])[1..4], [Between::Hollow, Between::Walls, Between::Air]);
}

#[test]
fn a_stray_line_is_no_fill() {
    // Two hundredths of 40 by 40 mm are 80 mm of lines 0.4 mm wide; of 40 by 40 less 20 by 20 mm, 60 mm.
    let filled = |found: &Nest, fill_mm: f64| found.is_filled(0, fill_mm, SPACING);
    assert!(filled(&squares(&[20.0]), 82.0) && !filled(&squares(&[20.0]), 78.0));
    assert!(filled(&squares(&[20.0, 10.0]), 62.0) && !filled(&squares(&[20.0, 10.0]), 58.0));
    // In a small place two widths, 0.886 mm, and not the 0.2 mm that are two hundredths of it.
    assert!(filled(&squares(&[1.0]), 0.9) && !filled(&squares(&[1.0]), 0.87));
}

#[test]
fn fill_in_a_narrow_place_runs_along_most_of_it() {
    // Its centreline is 10 by 0.55 mm, so that its walls touch, and half of its 21.1 mm are 10.55.
    let narrow = || nest(&[rectangle((0.0, 0.0), (10.0, 0.55))]);
    assert_eq!(between(narrow(), &[10.0]), [Between::Walls]);
    assert_eq!(between(narrow(), &[11.0]), [Between::Fill]);
}

#[test]
fn what_lies_in_two_walls_within_a_core_holds_up_a_roof() {
    assert_eq!(between(squares(&[20.0, 8.0]), &[400.0, 50.0]), [Between::Fill, Between::Fill]);
    let two = between(squares(&[20.0, 8.0, 7.6]), &[400.0, 0.0, 50.0]);
    assert_eq!(two, [Between::Fill, Between::Walls, Between::Air]);
    // Within as many walls from the air it is the core.
    assert_eq!(between(squares(&[20.0, 19.6]), &[0.0, 200.0]), [Between::Walls, Between::Fill]);
}

#[test]
fn the_smallest_hole_has_room_within_its_bead() {
    // A bead 0.443 mm wide round a circle leaves 0.15 mm free within it at a radius of 0.297 mm.
    let hole = |radius: f64| between(nest(&[square(20.0), circle((3.0, 3.0), radius, 64)]), &[400.0, 0.0])[1];
    assert_eq!(hole(0.31), Between::Air);
    assert_eq!(hole(0.28), Between::Walls);
}

/// A plate with a hole near its lower edge, and the next wall round its core only. All lie 0.4 mm apart.
fn hole_near_the_edge(more: &[Ring]) -> Nest {
    let core = [(0.4, 0.4), (15.6, 0.4), (15.6, 8.8), (24.4, 8.8), (24.4, 0.4), (39.6, 0.4), (39.6, 19.6), (0.4, 19.6)];
    let rings = [rectangle((0.0, 0.0), (40.0, 20.0)), ring(&core), rectangle((16.0, 0.4), (24.0, 8.4))];
    nest(&[&rings, more].concat())
}

#[test]
fn a_hole_near_the_edge_has_its_first_wall_in_common_with_it() {
    let mut found = hole_near_the_edge(&[]);
    found.settle(&[0.0, 300.0, 0.0], SPACING);
    assert_eq!(found.between, [Between::Walls, Between::Fill, Between::Air]);
    assert_eq!(found.standing, [Standing::Outside, Standing::Inner, Standing::Hole]);
    // Without any core nothing tells which of the two would be the hole.
    assert_eq!(between(found, &[0.0; 3]), [Between::Walls, Between::Hollow, Between::Hollow]);
}

#[test]
fn a_hole_beside_the_core_is_empty_and_the_core_is_not() {
    let is_hole = |found: &Nest, fill_mm: &[f64]| found.is_hole_beside_core(2, fill_mm, SPACING);
    let found = hole_near_the_edge(&[]);
    // More than two widths of fill make a core (0.886 mm); one (0.443 mm) is let pass in the hole.
    assert!(is_hole(&found, &[0.0, 0.9, 0.0]));
    assert!(!is_hole(&found, &[0.0, 0.87, 0.0]));
    assert!(is_hole(&found, &[0.0, 5.0, 0.43]));
    assert!(!is_hole(&found, &[0.0, 5.0, 0.45]));
    // Fill further in counts as well: within the hole, or within another loop of the core.
    let deeper = hole_near_the_edge(&[rectangle((17.0, 1.4), (23.0, 7.4)), rectangle((4.0, 10.0), (6.0, 12.0))]);
    assert_eq!((deeper.parent[3], deeper.parent[4]), (Some(2), Some(1)));
    assert!(is_hole(&deeper, &[0.0, 0.0, 0.0, 0.0, 0.9]));
    assert!(!is_hole(&deeper, &[0.0, 0.0, 0.0, 0.45, 0.9]));
    // The outermost loop lies in nothing.
    assert!(!found.is_hole_beside_core(0, &[0.0; 3], SPACING));
}

#[test]
fn a_wall_that_follows_the_one_before_is_no_hole() {
    // The next wall parts in two, and only the left half is filled: the right one follows the first wall on three sides.
    let rings = [
        rectangle((0.0, 0.0), (40.0, 20.0)),
        rectangle((0.4, 0.4), (19.9, 19.6)),
        rectangle((20.3, 0.4), (39.6, 19.6)),
    ];
    let found = nest(&rings);
    assert!(!found.is_hole_beside_core(2, &[0.0, 100.0, 0.0], SPACING));
    assert_eq!(between(found, &[0.0, 100.0, 0.0]), [Between::Walls, Between::Fill, Between::Hollow]);
}

#[test]
fn walls_that_follow_each_other_do_so_over_six_tenths() {
    let hugs = |inner: Ring| nest(&[rectangle((0.0, 0.0), (40.0, 20.0)), inner]).hugs(1, 0, SPACING);
    // A block 19.2 mm high follows both long sides. Six tenths of its length it does so when it is 28.8 mm wide.
    let block = |width: f64| rectangle((5.0, 0.4), (5.0 + width, 19.6));
    assert!(hugs(block(29.4)));
    assert!(!hugs(block(28.2)));
    // And it has to lie within a pitch and a half.
    let within = |off: f64| rectangle((off, off), (40.0 - off, 20.0 - off));
    assert!(hugs(within(0.59)));
    assert!(!hugs(within(0.61)));
}

/// Walls from the outside in, 0.4 mm apart, all laid the same way and one after the other from the outside.
#[derive(Clone)]
struct Band {
    count: usize,
    /// The inner half of them runs the other way.
    flips: bool,
    /// Which is laid first, next ...
    order: Vec<usize>,
    /// Distance of the two walls in the middle, mm.
    middle_mm: f64,
    /// Flow of the wall in the middle over the others'.
    middle_flow: f64,
    /// Flow along one side of that wall.
    side_flow: f64,
    speeds: Vec<f64>,
}

impl Band {
    fn of(count: usize) -> Self {
        Self {
            count,
            flips: false,
            order: (0..count).collect(),
            middle_mm: PITCH,
            middle_flow: 1.0,
            side_flow: 1.0,
            speeds: vec![40.0; count],
        }
    }

    fn is_tube(&self) -> bool {
        let half = self.count / 2;
        let mut laid = Laid::new(WIDTH, HEIGHT);
        for &k in &self.order {
            let more_mm = if self.count.is_multiple_of(2) && k >= half { self.middle_mm - PITCH } else { 0.0 };
            let mut wall = square(10.0 - PITCH * k as f64 - more_mm);
            if self.flips && k >= self.count - half {
                wall.reverse();
            }
            let first = laid.layer.beads.len();
            laid.strand(&wall, true);
            let beads = &mut laid.layer.beads[first..];
            beads.iter_mut().for_each(|bead| bead.time_s = bead.length_mm / self.speeds[k]);
            if !self.count.is_multiple_of(2) && k == half {
                beads.iter_mut().for_each(|bead| with_flow(bead, self.middle_flow));
                with_flow(&mut beads[0], self.side_flow);
            }
        }
        nest_of(&laid).is_tube(&(0..self.count).collect::<Vec<_>>(), SPACING)
    }
}

fn with_flow(bead: &mut Bead, flow: f64) {
    bead.width_mm += (flow - 1.0) * bead.area_mm2 / HEIGHT;
    bead.area_mm2 *= flow;
}

#[test]
fn walls_that_run_alike_bound_a_hollow_body() {
    for count in 1..=6 {
        assert!(!Band::of(count).is_tube(), "{count}");
        assert!(!Band { order: (0..count).rev().collect(), ..Band::of(count) }.is_tube(), "{count} from within");
    }
}

#[test]
fn a_thin_tube_runs_the_other_way_on_its_inner_face() {
    for count in [2, 4, 6] {
        assert!(Band { flips: true, ..Band::of(count) }.is_tube(), "{count}");
    }
    assert!(!Band { flips: true, ..Band::of(1) }.is_tube());
}

#[test]
fn a_thin_tube_is_laid_from_both_faces() {
    assert!(Band { order: vec![0, 3, 1, 2], ..Band::of(4) }.is_tube());
    assert!(Band { order: vec![3, 0, 2, 1], ..Band::of(4) }.is_tube());
}

#[test]
fn the_walls_of_a_thin_tube_meet_at_an_odd_distance() {
    // More than three hundredths off the pitch, wider or narrower.
    let meets_at = |pitches: f64| Band { middle_mm: pitches * PITCH, ..Band::of(2) }.is_tube();
    assert!(meets_at(1.04) && meets_at(0.96) && meets_at(1.3));
    assert!(!meets_at(1.02) && !meets_at(0.98));
    // Four walls that run on in order, all the same way, are as much a sign of the other.
    assert!(!Band { middle_mm: 1.2 * PITCH, ..Band::of(4) }.is_tube());
}

#[test]
fn the_bead_in_the_middle_of_a_thin_tube_has_another_width() {
    // By more than a hundredth and a half of its section.
    let middle = |flow: f64| Band { middle_flow: flow, ..Band::of(3) }.is_tube();
    assert!(middle(0.98) && middle(1.02) && middle(0.5));
    assert!(!middle(0.99) && !middle(1.01));
    // Or it is wider along one of its sides only.
    assert!(Band { side_flow: 1.1, ..Band::of(3) }.is_tube());
    // Three walls of one width are none, even if the last runs the other way.
    assert!(!Band { flips: true, ..Band::of(3) }.is_tube());
}

#[test]
fn both_faces_of_a_thin_tube_are_laid_at_one_speed() {
    let speeds = |of: [f64; 4]| of.to_vec();
    // Speed alone is not enough; with an odd distance in the middle it is. Within a twentieth they are the same.
    assert!(!Band { speeds: speeds([30.0, 60.0, 60.0, 30.0]), ..Band::of(4) }.is_tube());
    let odd = |of| Band { middle_mm: 1.2 * PITCH, speeds: speeds(of), ..Band::of(4) }.is_tube();
    assert!(odd([30.0, 60.0, 60.0, 30.0]));
    assert!(odd([30.0, 60.0, 60.0, 31.0]));
    assert!(!odd([30.0, 60.0, 60.0, 32.0]));
    assert!(odd([30.0, 32.0, 32.0, 30.0]));
    assert!(!odd([30.0, 31.0, 31.0, 30.0]));
    // A last wall at the speed of the second is an inner wall of a hollow body, in whatever order they come.
    let both = |of| Band { order: vec![0, 3, 1, 2], speeds: speeds(of), ..Band::of(4) }.is_tube();
    assert!(!both([30.0, 60.0, 60.0, 60.0]));
    assert!(!both([30.0, 60.0, 60.0, 58.0]));
    assert!(both([30.0, 60.0, 60.0, 50.0]));
}
