//! Gaps, ribs and sections of layers drawn by hand.

#![allow(clippy::unwrap_used)]
use super::super::fixture::{Laid, ring};
use super::super::measure_layer;
use super::*;
use approx::assert_relative_eq;

/// Three walls of 0.45 mm round 30 x 20 mm with fill in them; wall `broken` (0 outermost) stops this far before it began,
/// in the middle of its lower side.
fn with_gap(broken: u32, gap_mm: f64) -> Laid {
    let mut laid = Laid::new(0.45, 0.2);
    for k in (0..3).rev() {
        let off = 0.225 + f64::from(k) * laid.pitch_mm();
        let (left, low, right, high) = (off, off, 30.0 - off, 20.0 - off);
        if k == broken {
            let (from, to) = (15.0 + 0.5 * gap_mm, 15.0 - 0.5 * gap_mm);
            laid.strand(
                &ring(&[(from, low), (right, low), (right, high), (left, high), (left, low), (to, low)]),
                false,
            );
        } else {
            laid.strand(&ring(&[(left, low), (right, low), (right, high), (left, high)]), true);
        }
    }
    for line in 0..8 {
        let y = 2.0 + 2.0 * f64::from(line);
        laid.strand(&ring(&[(1.6, y), (28.4, y)]), false);
    }
    laid
}

/// Two widths are 0.9 mm.
#[test]
fn a_stretch_of_a_wall_without_plastic_is_a_gap_when_it_is_longer_than_two_widths() {
    assert_eq!(measure_layer(&with_gap(0, 0.85).layer, None).gaps, []);
    for (broken, outer) in [(0, true), (1, false)] {
        let laid = with_gap(broken, 0.95);
        let off = 0.225 + f64::from(broken) * laid.pitch_mm();
        let [gap] = measure_layer(&laid.layer, None).gaps[..] else { panic!("one gap in wall {broken}") };
        assert_relative_eq!(gap.at.distance(Point::new(15.0, off)), 0.0, epsilon = 1e-6);
        assert_relative_eq!(gap.length_mm, 0.95, epsilon = 1e-6);
        assert_eq!(gap.outer, outer);
    }
}

/// Nearer than 0.45 widths, 0.2 mm, to the middle of the gap and to where the wall would go on from both its ends.
#[test]
fn a_gap_that_another_bead_lies_over_is_none() {
    let gaps = |from: f64, to: f64, y: f64, share: f64| {
        let mut laid = with_gap(0, 3.0);
        laid.strand(&ring(&[(from, y), (to, y)]), false);
        laid.layer.beads.last_mut().unwrap().area_mm2 *= share;
        measure_layer(&laid.layer, None).gaps.len()
    };
    assert_eq!(gaps(13.0, 17.0, 0.225, 1.0), 0);
    assert_eq!(gaps(13.0, 17.0, 0.225 - 0.18, 1.0), 0);
    assert_eq!(gaps(13.0, 17.0, 0.225 - 0.24, 1.0), 1, "too far beside it");
    assert_eq!(gaps(14.2, 17.0, 0.225, 1.0), 1, "one end is bare");
    assert_eq!(gaps(13.0, 15.8, 0.225, 1.0), 1, "the other end is bare");
    // A bead with less than a quarter of the usual section fills nothing.
    assert_eq!((gaps(13.0, 17.0, 0.225, 0.3), gaps(13.0, 17.0, 0.225, 0.2)), (0, 1));
}

/// Points half a millimetre apart from place to place, with one bead through or with three walls.
fn points(corners: &[(f64, f64)], single: bool, thickness_mm: f64) -> Vec<WallSample> {
    let mut samples = Vec::new();
    for ends in corners.windows(2) {
        let (from, to) = (Point::new(ends[0].0, ends[0].1), Point::new(ends[1].0, ends[1].1));
        let steps = (2.0 * from.distance(to)).round() as i32;
        samples.extend((0..steps).map(|i| from.lerp(to, f64::from(i) / f64::from(steps))).map(|at| WallSample {
            at,
            count: if single { 1 } else { 3 },
            thickness_mm,
            through: single,
            corner: false,
        }));
    }
    samples
}

fn walls(corners: &[(f64, f64)]) -> Vec<WallSample> {
    points(corners, false, 1.25)
}

/// One point more at the end than half-millimetre steps give.
fn rib(from: (f64, f64), to: (f64, f64), thickness_mm: f64) -> Vec<WallSample> {
    let mut along = points(&[from, to], true, thickness_mm);
    along.push(WallSample { at: Point::new(to.0, to.1), ..along[0] });
    along
}

#[test]
fn the_two_faces_of_a_rib_are_one_rib_along_its_middle() {
    let there = rib((10.0, 0.0), (16.0, 0.0), 0.5);
    let back = rib((16.0, 0.5), (10.0, 0.5), 0.5);
    let ring = [walls(&[(0.0, 0.0), (10.0, 0.0)]), there, walls(&[(16.5, 0.0), (17.5, 0.5)]), back].concat();
    let [found] = thin_ribs(&[ring])[..] else { panic!("one rib") };
    assert_relative_eq!(found.length_mm, 6.0, epsilon = 1e-9);
    assert_relative_eq!(found.thickness_mm, 0.5, epsilon = 1e-9);
    assert_relative_eq!(found.at.distance(Point::new(13.0, 0.25)), 0.0, epsilon = 1e-9);
}

#[test]
fn a_rib_is_cut_where_its_edge_turns_back_round_its_end() {
    // Without a wall between them: out along one face, across the end, back along the other.
    let out = rib((10.0, 0.0), (16.0, 0.0), 0.5);
    let back = rib((16.0, 0.5), (10.0, 0.5), 0.5);
    let [found] = thin_ribs(&[[walls(&[(0.0, 0.0), (10.0, 0.0)]), out, back].concat()])[..] else { panic!("one rib") };
    assert!((5.9..6.6).contains(&found.length_mm), "{found:?}");
    assert!((found.at.x - 13.0).abs() < 0.3 && (found.at.y - 0.25).abs() < 0.05, "{found:?}");
}

#[test]
fn a_rib_is_at_least_two_millimetres_long() {
    let of = |length: f64| {
        thin_ribs(&[[walls(&[(0.0, 0.0), (9.0, 0.0)]), rib((10.0, 0.0), (10.0 + length, 0.0), 0.5)].concat()])
    };
    assert_eq!(of(1.5), []);
    assert_eq!(of(2.0).len(), 1);
    assert_eq!(thin_ribs(&[walls(&[(0.0, 0.0), (9.0, 0.0)])]), []);
}

#[test]
fn ribs_apart_from_each_other_are_told_each_and_as_thick_as_most_of_it_is() {
    let mut uneven = rib((0.0, 20.0), (4.0, 20.0), 0.5);
    uneven.iter_mut().take(3).for_each(|s| s.thickness_mm = 0.9);
    let ribs = thin_ribs(&[uneven, rib((4.0, 26.0), (0.0, 26.0), 0.4), rib((0.0, 30.0), (8.0, 30.0), 0.6)]);
    let told: Vec<(f64, f64)> = ribs.iter().map(|r| (r.length_mm, r.thickness_mm)).collect();
    assert_eq!(told, [(4.0, 0.5), (4.0, 0.4), (8.0, 0.6)]);
    // Plastic lies to the left of the way along the edge.
    assert_relative_eq!(ribs[1].at.distance(Point::new(2.0, 25.8)), 0.0, epsilon = 1e-9);
}

#[test]
fn a_role_has_the_section_that_half_of_its_length_is_thinner_than() {
    let mut laid = Laid::new(0.45, 0.2);
    for (y, long) in [(0.0, 10.0), (1.0, 5.0), (2.0, 4.0), (3.0, 7.0)] {
        laid.strand(&ring(&[(0.0, y), (long, y)]), false);
    }
    let sections = [0.08, 0.05, 0.04, 0.09];
    laid.layer.beads.iter_mut().zip(sections).for_each(|(bead, section)| bead.area_mm2 = section);
    let roles = [Role::InnerWall, Role::InnerWall, Role::InnerWall, Role::OuterWall];
    let of = |role: Role, length_mm: f64, area_mm2: f64| RoleFlow { role, length_mm, area_mm2 };
    let mut found = role_flow(&laid.layer, &roles);
    found.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
    assert_eq!(found, [of(Role::OuterWall, 7.0, 0.09), of(Role::InnerWall, 19.0, 0.08)]);
}
