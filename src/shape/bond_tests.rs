//! Bond areas and their moments by hand and by properties.

#![allow(clippy::unwrap_used)]
use super::super::part_beads::tests::{hatch, layer};
use super::*;
use crate::geom::{intersect, union};
use proptest::prelude::*;

const S: f64 = 0.4;

fn plan(lines: &[(Role, bool, f64, Vec<Point>)]) -> Footprint {
    let (layer, roles) = layer(0, 0.2, lines);
    Footprint::of_layer(&layer, &roles)
}

fn core(density: f64, angle_deg: f64) -> Vec<(Role, bool, f64, Vec<Point>)> {
    hatch(Role::SparseInfill, S, S / density, angle_deg, Point::new(41.0, 37.0))
}

const RECTANGLE_MM2: f64 = 41.0 * 37.0;

/// Density as laid: the pitch does not divide the rectangle evenly.
fn laid(lines: &[(Role, bool, f64, Vec<Point>)]) -> f64 {
    layer(0, 0.2, lines).0.volume_mm3() / 0.2 / RECTANGLE_MM2
}

// A full rectangle 12 x 6 at (30, 50): b d³/12, first principles; scan lines 0.1 mm apart see its edges a little blurred.
#[test]
fn the_bond_of_a_full_rectangle_has_its_moments() {
    let at = |angle| {
        let mut lines = hatch(Role::SolidInfill, S, S, angle, Point::new(12.0, 6.0));
        lines.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| *p = *p + Point::new(30.0, 50.0));
        plan(&lines)
    };
    let m = at(0.0).overlap(&at(90.0));
    assert!((m.area_mm2 - 72.0).abs() < 0.4, "{m:?}");
    assert!(m.centroid.distance(Point::new(36.0, 53.0)) < 0.02, "{m:?}");
    assert!((m.ixx_mm4 - 216.0).abs() < 3.0 && (m.iyy_mm4 - 864.0).abs() < 10.0 && m.ixy_mm4.abs() < 3.0, "{m:?}");
    // Polygons are drawn as exactly, wherever they lie.
    for (x, y) in [(30.0, 50.0), (-90.0, 140.0), (200.0, -70.0)] {
        let ring = [(0.0, 0.0), (12.0, 0.0), (12.0, 6.0), (0.0, 6.0)].map(|(u, v)| Point::new(x + u, y + v));
        let drawn = Footprint::of_polygons(&[Polygon { outer: ring.to_vec(), holes: vec![] }]);
        assert!((drawn.area_mm2() - 72.0).abs() < 0.1, "{}", drawn.area_mm2());
        assert!(drawn.overlap(&drawn).centroid.distance(Point::new(x + 6.0, y + 3.0)) < 0.01);
    }
}

#[test]
fn a_layer_bonds_to_the_one_before_unless_it_begins_on_the_bed() {
    let mut bond = Bond::default();
    let mut push = |z_mm: f64, height_mm: f64| {
        let (mut laid, roles) = layer(0, height_mm, &core(1.0, 0.0));
        laid.z_mm = z_mm;
        laid.beads.iter_mut().for_each(|bead| bead.z_mm = z_mm);
        bond.push(&laid, &roles).is_some()
    };
    // The bed; two layers on it; a thin one that is squeezed in; then a second object from the bed up, and one whose layers
    // are laid in turn with those of a higher one.
    assert_eq!([push(0.2, 0.2), push(0.25, 0.2), push(0.45, 0.2), push(0.65, 0.2)], [false, true, true, true]);
    assert_eq!([push(0.2, 0.2), push(0.4, 0.2)], [false, true]);
    assert_eq!([push(0.8, 0.4), push(0.4, 0.2)], [true, true]);
    // First layers of several objects, each beside the one before.
    assert_eq!([push(0.2, 0.2), push(0.2, 0.2)], [false, false]);
}

// Shares d² and d - d²/4: geometry of crossing strips, the chance that two independent families
// both cover a point, or that one of two does.
#[test]
fn crossed_core_bonds_over_density_squared() {
    for density in [0.15, 0.4] {
        let (up, down) = (core(density, 45.0), core(density, -45.0));
        let got = plan(&up).overlap(&plan(&down)).area_mm2 / RECTANGLE_MM2;
        let want = laid(&up) * laid(&down);
        // The rim of the rectangle cuts a whole row of crossings or leaves it: 1 in 20 at this size.
        assert!((got / want - 1.0).abs() < 0.05, "{density}: {got} against {want}");
    }
}

/// The same plan as exact polygons.
fn polygons(lines: &[(Role, bool, f64, Vec<Point>)]) -> Vec<Polygon> {
    let (layer, roles) = layer(0, 0.2, lines);
    let strips = part_strands(&layer, &roles).flat_map(|s| s.strips(0.2)).map(|s| {
        let side = (s.to - s.from).unit().unwrap().left() * (0.5 * s.width_mm);
        Polygon { outer: vec![s.from - side, s.to - side, s.to + side, s.from + side], holes: Vec::new() }
    });
    union(&strips.collect::<Vec<_>>(), &[])
}

#[test]
fn scan_lines_agree_with_exact_polygons() {
    for (below, above) in [(45.0, -45.0), (0.0, 90.0), (0.0, 0.0), (21.0, 81.0), (10.0, 111.0)] {
        let (a, b) = (core(0.25, below), core(0.3, above));
        let exact: f64 = intersect(&polygons(&a), &polygons(&b)).iter().map(Polygon::area_mm2).sum();
        let got = plan(&a).overlap(&plan(&b)).area_mm2;
        assert!((got / exact - 1.0).abs() < 0.01, "{below} under {above}: {got} against {exact}");
    }
}

#[test]
fn aligned_core_bonds_over_density_less_its_crossings() {
    for density in [0.15_f64, 0.4] {
        let (along, across) = (core(density / 2.0, 0.0), core(density / 2.0, 90.0));
        let grid = plan(&[along.clone(), across.clone()].concat());
        let got = grid.overlap(&grid).area_mm2 / RECTANGLE_MM2;
        let (a, b) = (laid(&along), laid(&across));
        assert!((got / (a + b - a * b) - 1.0).abs() < 0.02, "{density}: {got} against {a} {b}");
    }
}

#[test]
fn plans_of_polygons_have_their_areas() {
    let square = |low: f64, high: f64| {
        vec![Point::new(low, low), Point::new(high, low), Point::new(high, high), Point::new(low, high)]
    };
    let frame = Polygon { outer: square(0.0, 12.0), holes: vec![square(3.0, 7.0).into_iter().rev().collect()] };
    let plan = Footprint::of_polygons(std::slice::from_ref(&frame));
    assert!((plan.area_mm2() - 128.0).abs() < 0.3, "{}", plan.area_mm2());
    let corner = Footprint::of_polygons(&[Polygon { outer: square(2.0, 5.0), holes: Vec::new() }]);
    // 3 x 3 less the 2 x 2 that lies in the hole.
    assert!((plan.common(&corner).area_mm2() - 5.0).abs() < 0.1);
    assert!((corner.common(&plan).area_mm2() - plan.overlap(&corner).area_mm2).abs() < 1e-9);
    assert_eq!(Footprint::of_polygons(&[]).area_mm2(), 0.0);
}

/// The square of 10 mm on its corner: whatever lies exactly on a scan line is crossed there once, at either side.
#[test]
fn a_corner_on_a_scan_line_is_crossed_once() {
    let line = 40;
    let on_it = |x: f64| to_scan(from_scan(Point::new(x, scan_q(line)))).y == scan_q(line);
    let lefts: Vec<f64> = (0..200).map(|i| 0.37 * f64::from(i)).filter(|&x| on_it(x) && on_it(x + 10.0)).collect();
    assert!(lefts.len() > 3, "rounding leaves some corners where they were put");
    for x in lefts {
        let at = |u: f64, v: f64| from_scan(Point::new(x + u, scan_q(line) + v));
        for ends in [[-5.0, 5.0], [5.0, -5.0]] {
            let outer = vec![at(0.0, 0.0), at(5.0, ends[0]), at(10.0, 0.0), at(5.0, ends[1])];
            let plan = Footprint::of_polygons(&[Polygon { outer, holes: Vec::new() }]);
            assert!((plan.area_mm2() - 50.0).abs() < 0.1, "{x}: {}", plan.area_mm2());
        }
    }
}

/// Pieces 2 mm long on three lines fill a rectangle of 2 x 0.3 mm along the lines: b³ d / 12 and b d³ / 12 about its own axes,
/// whose sum and whose product less the mixed moment's square no turning changes.
#[test]
fn pieces_have_the_moments_of_what_they_fill() {
    let mut sums = PieceSums::default();
    for line in 70..73 {
        sums.add(scan_q(line), Piece::new((31.0, 33.0)).unwrap());
    }
    let m = sums.moments();
    let (along, across) = (8.0 * 0.3 / 12.0, 2.0 * 0.027 / 12.0);
    assert!((m.area_mm2 - 0.6).abs() < 1e-9, "{m:?}");
    assert!(m.centroid.distance(from_scan(Point::new(32.0, scan_q(71)))) < 1e-9, "{m:?}");
    assert!((m.ixx_mm4 + m.iyy_mm4 - along - across).abs() < 1e-9, "{m:?}");
    assert!((m.ixx_mm4 * m.iyy_mm4 - m.ixy_mm4 * m.ixy_mm4 - along * across).abs() < 1e-9, "{m:?}");
}

#[test]
fn solid_on_solid_bonds_all_over() {
    let along = plan(&hatch(Role::SolidInfill, S, S, 0.0, Point::new(20.0, 8.0)));
    let across = plan(&hatch(Role::SolidInfill, S, S, 90.0, Point::new(20.0, 8.0)));
    let bond = along.overlap(&across);
    assert!((bond.area_mm2 - 160.0).abs() < 0.8, "{bond:?}");
    assert!((bond.centroid.x - 10.0).abs() < 0.02 && (bond.centroid.y - 4.0).abs() < 0.02, "{bond:?}");
    // Rectangle 20 x 8: b d³/12.
    assert!((bond.ixx_mm4 / (20.0 * 512.0 / 12.0) - 1.0).abs() < 0.01, "{bond:?}");
    assert!((bond.iyy_mm4 / (8.0 * 8000.0 / 12.0) - 1.0).abs() < 0.01, "{bond:?}");
}

fn merged(pieces: &[(i32, i32)]) -> Vec<(i32, i32)> {
    let mut line: Vec<Piece> = pieces.iter().map(|&(from, to)| Piece { from, to }).collect();
    let mut into = Vec::new();
    merge_into(&mut line, &mut into);
    into.iter().map(|piece| (piece.from, piece.to)).collect()
}

#[test]
fn what_is_laid_twice_closes_the_gap_beside_it() {
    let (bead, gap) = (40_000, 10_000);
    // Two lines that lie over each other by as much as the next one stands off.
    assert_eq!(merged(&[(0, bead), (bead - gap, 2 * bead - gap), (2 * bead, 3 * bead)]), [(0, 3 * bead)]);
    // The plastic on both sides counts together.
    let half = gap / 2;
    let both = [(0, bead), (bead - half, 2 * bead), (2 * bead + gap, 3 * bead), (3 * bead - half, 4 * bead)];
    assert_eq!(merged(&both), [(0, 4 * bead)]);
    // Once it is used up the next gap stays open, and so does one that is too wide to creep into.
    let spent = [(0, bead), (bead - gap, bead), (bead + gap, 2 * bead), (2 * bead + gap, 3 * bead)];
    assert_eq!(merged(&spent), [(0, 2 * bead), (2 * bead + gap, 3 * bead)]);
    assert_eq!(merged(&[(0, bead), (0, bead), (bead + 20_001, 2 * bead)]).len(), 2);
    // What one gap leaves over closes part of the next: 10 in all, of which 4 and 5 are used, and 1 is too little for 2.
    let shared = [(0, bead), (bead - 10_000, bead), (44_000, 80_000), (85_000, 120_000), (122_000, 160_000)];
    assert_eq!(merged(&shared), [(0, 120_000), (122_000, 160_000)]);
    // Thin beads side by side, nothing laid twice: every gap stays.
    assert_eq!(merged(&[(0, 30_000), (bead, 70_000), (2 * bead, 110_000)]).len(), 3);
}

#[test]
fn the_first_layer_of_a_stack_has_none_below() {
    let lines = hatch(Role::SolidInfill, S, S, 0.0, Point::new(9.0, 4.0));
    let mut bond = Bond::default();
    let mut push = |index| {
        let (layer, roles) = layer(index, 0.2, &lines);
        bond.push(&layer, &roles).map(|m| m.area_mm2)
    };
    assert_eq!(push(0), None);
    assert!((push(1).unwrap() - 36.0).abs() < 0.4);
    assert_eq!(push(0), None, "a second object begins at the bed");
}

// Lines lie at 0.05, 0.15, 0.25 mm: what reaches from 0.02 to 0.32 mm across them meets those three.
#[test]
fn a_figure_is_met_by_the_lines_that_cross_it() {
    let corner = |p: f64, q: f64| from_scan(Point::new(p, q));
    let outer = vec![corner(1.0, 0.02), corner(5.0, 0.02), corner(5.0, 0.32), corner(1.0, 0.32)];
    let plan = Footprint::of_polygons(&[Polygon { outer, holes: vec![] }]);
    assert_eq!(plan.line_numbers(), 0..3);
    assert!((plan.area_mm2() - 1.2).abs() < 1e-4);
}

proptest! {
    /// A ring of chords covers its width times its length wherever it lies: within 1 %.
    #[test]
    fn a_layer_bonds_to_itself_over_its_own_area(x in -90.0..90.0f64, r in 3.0..20.0f64, chords in 5..80usize, turn in 0.0..1.0f64) {
        let ring: Vec<Point> = (0..chords).map(|i| {
            let angle = turn + std::f64::consts::TAU * i as f64 / chords as f64;
            Point::new(x + r * angle.cos(), 0.6 * x + r * angle.sin())
        }).collect();
        let (layer, roles) = layer(0, 0.2, &[(Role::OuterWall, true, S, ring)]);
        let plan = Footprint::of_layer(&layer, &roles);
        let want = layer.volume_mm3() / 0.2;
        prop_assert!((plan.overlap(&plan).area_mm2 / want - 1.0).abs() < 0.01, "{} {want}", plan.area_mm2());
    }

    /// Lone straight beads at any angle: within 1 % on 12 mm, the worst being along the scan lines.
    #[test]
    fn a_turned_part_bonds_the_same(angle in 0.0..180.0f64) {
        let plan = plan(&core(0.25, angle));
        let (layer, _) = layer(0, 0.2, &core(0.25, angle));
        prop_assert!((plan.area_mm2() / (layer.volume_mm3() / 0.2) - 1.0).abs() < 0.01);
    }
}
