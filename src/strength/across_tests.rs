//! Bonds, cores, kernels, plates and columns by hand.

#![allow(clippy::unwrap_used)]
use super::super::allow::tests::round_numbers;
use super::*;
use crate::geom::{Moments, Reach};
use crate::profile::Held;
use crate::shape::Tube;
use approx::assert_relative_eq;

/// A rectangle from the origin.
fn rectangle(x: f64, y: f64) -> Moments {
    Moments::of_ring(&[Point::new(0.0, 0.0), Point::new(x, 0.0), Point::new(x, y), Point::new(0.0, y)])
}

/// To the corners of a box.
fn reach(low: Point, high: Point) -> Option<Reach> {
    Reach::of(&[low, Point::new(high.x, low.y), high, Point::new(low.x, high.y)], 0.0)
}

/// A solid layer of 20 x 10 mm that lies all over on the one below.
fn layer(index: usize) -> LayerMeasure {
    LayerMeasure {
        index,
        z_mm: 0.2 * (index + 1) as f64,
        height_mm: 0.2,
        solid: true,
        bond: Some(rectangle(20.0, 10.0)),
        section: Some(rectangle(20.0, 10.0)),
        reach: reach(Point::new(0.0, 0.0), Point::new(20.0, 10.0)),
        bead_width_mm: Some(0.45),
        ..LayerMeasure::default()
    }
}

/// One with a core of 100 mm² of this density, and this bond of walls and core together.
fn cored(density: f64, bond_mm2: f64, families: usize) -> LayerMeasure {
    LayerMeasure {
        solid: false,
        core_area_mm2: 100.0,
        core_density: Some(density),
        core_families: families,
        bond: Some(rectangle(20.0, 10.0).scaled(bond_mm2 / 200.0)),
        section: Some(rectangle(20.0, 10.0).scaled((40.0 + 100.0 * density) / 200.0)),
        tube: Some(Tube { enclosed_mm2: 150.0, middle_mm: 50.0, thickness_mm: 1.2 }),
        ..layer(3)
    }
}

const ALL: [f64; 2] = [0.0, 100.0];

#[test]
fn the_weakest_bond_decides_and_a_stop_weakens_the_next_layer() {
    let mut layers: Vec<LayerMeasure> = (1..5).map(layer).collect();
    layers[2].bond = Some(rectangle(20.0, 8.0));
    let allow = round_numbers();
    let plain = pull(&layers, ALL, &allow, &Stops::default()).unwrap();
    assert_relative_eq!(plain.bears.low, 12.0 * 160.0, max_relative = 1e-12);
    assert_relative_eq!(plain.bears.likely, 24.0 * 160.0, max_relative = 1e-12);
    assert_eq!((plain.place.layer, plain.place.z_mm.map(|z| (z * 10.0).round())), (Some(3), Some(6.0)));
    // After layer 1: the bond of layer 2 is left 45 to 80 %.
    let stopped = pull(&layers, ALL, &allow, &Stops(vec![1])).unwrap();
    assert_relative_eq!(stopped.bears.low, 12.0 * 200.0 * 0.45, max_relative = 1e-12);
    assert_relative_eq!(stopped.bears.likely, 24.0 * 200.0 * 0.8, max_relative = 1e-12);
    assert_eq!(stopped.place.layer, Some(2));
    assert!(stopped.working.contains("weakened by the stop") && !plain.working.contains("weakened"));
    // Between two heights only the planes between them are pulled.
    let upper = pull(&layers, [0.7, 100.0], &allow, &Stops::default()).unwrap();
    assert_relative_eq!(upper.bears.low, 12.0 * 200.0, max_relative = 1e-12);
    let from_there = pull(&layers, [0.6, 100.0], &allow, &Stops::default()).unwrap();
    assert_relative_eq!(from_there.bears.low, 12.0 * 160.0, max_relative = 1e-12);
    let lower = pull(&layers, [0.0, 0.6], &allow, &Stops::default()).unwrap();
    assert_relative_eq!(lower.bears.low, 12.0 * 200.0, max_relative = 1e-12);
    assert_eq!(pull(&layers, [0.9, 2.0], &allow, &Stops::default()), None);
}

#[test]
fn a_core_stands_on_its_lines_or_on_their_crossings() {
    // 30 %: crossed lines bond over d² = 9 %, those that lie on each other over d - d²/4 = 27.75 %.
    let crossed = CoreStand::new(&cored(0.3, 49.0, 2)).unwrap();
    assert_relative_eq!(crossed.firm_mm2, 40.0, max_relative = 1e-12);
    assert_relative_eq!(crossed.core_mm2, 9.0, max_relative = 1e-9);
    assert_relative_eq!(crossed.share(), 0.09, max_relative = 1e-9);
    let aligned = CoreStand::new(&cored(0.3, 67.75, 2)).unwrap();
    assert_eq!((crossed.aligned, aligned.aligned), (false, true));
    assert!(!CoreStand::new(&cored(0.3, 67.75, 1)).unwrap().aligned, "parallel lines make no cells");
    // A bead 0.45 wide and 0.2 high lies 0.4071 mm from the next; 1 / d of that apart, twice that as a grid.
    let pitch = 0.45 - 0.2 * (1.0 - FRAC_PI_4);
    assert_relative_eq!(crossed.pitch_mm, pitch, max_relative = 1e-12);
    assert_relative_eq!(crossed.spacing_mm().unwrap(), pitch / 0.3, max_relative = 1e-12);
    assert_relative_eq!(aligned.spacing_mm().unwrap(), 2.0 * pitch / 0.3, max_relative = 1e-12);
    // Walls and skins bond no more than there is bond.
    let little = CoreStand::new(&cored(0.3, 25.0, 2)).unwrap();
    assert_eq!((little.firm_mm2, little.core_mm2), (25.0, 0.0));
    // Nor does a core bond over more than there is of it, however its lines lie.
    assert_relative_eq!(CoreStand::new(&cored(0.3, 90.0, 2)).unwrap().core_mm2, 30.0, max_relative = 1e-9);
    let hollow = CoreStand::new(&cored(0.01, 40.0, 0)).unwrap();
    assert!(hollow.empty() && hollow.spacing_mm().is_none() && !crossed.empty());
    assert_eq!(CoreStand::new(&cored(0.96, 130.0, 1)).unwrap().spacing_mm(), None);
    let solid = CoreStand::new(&layer(3)).unwrap();
    assert!(!solid.empty() && solid.spacing_mm().is_none() && solid.share() == 0.0 && solid.firm_mm2 == 200.0);
    // A layer of walls alone has no core to be empty.
    assert!(!CoreStand::new(&LayerMeasure { solid: false, ..layer(3) }).unwrap().empty());
    // Where no width was measured, twice the height.
    let unknown = CoreStand::new(&LayerMeasure { bead_width_mm: None, ..layer(3) }).unwrap();
    assert_relative_eq!(unknown.pitch_mm, 0.4 - 0.2 * (1.0 - FRAC_PI_4), max_relative = 1e-12);
    assert_eq!(CoreStand::new(&LayerMeasure { bond: None, ..layer(3) }), None);
}

#[test]
fn a_force_at_the_edge_of_the_kernel_doubles_the_stress() {
    // The kernel of a rectangle reaches a sixth of each side from its middle (elementary statics).
    let crushed = |at: Option<(f64, f64)>| {
        let at = at.map(|(x, y)| Point::new(x, y));
        crush(&[layer(3)], ALL, at, &round_numbers()).unwrap().bears.low
    };
    assert_relative_eq!(crushed(None), 32.0 * 200.0, max_relative = 1e-12);
    assert_relative_eq!(crushed(Some((10.0, 5.0))), 6400.0, max_relative = 1e-12);
    for (x, y) in [(20.0 / 6.0, 0.0), (-20.0 / 6.0, 0.0), (0.0, 10.0 / 6.0), (0.0, -10.0 / 6.0)] {
        assert_relative_eq!(crushed(Some((10.0 + x, 5.0 + y))), 3200.0, max_relative = 1e-9);
    }
    assert_relative_eq!(crushed(Some((10.0 + 20.0 / 6.0, 5.0 - 10.0 / 6.0))), 6400.0 / 3.0, max_relative = 1e-9);
    let off = Some(Point::new(10.0 + 20.0 / 6.0, 5.0));
    let bears = crush(&[layer(3)], ALL, off, &round_numbers()).unwrap().bears;
    assert_relative_eq!(bears.likely, 0.5 * 48.0 * 200.0, max_relative = 1e-9);
    assert_relative_eq!(bears.high, bears.likely, max_relative = 1e-12);
    // Plastic that reaches further on one side is pressed harder there: 14 mm instead of 10.
    let mut lopsided = layer(3);
    lopsided.reach = reach(Point::new(-4.0, 0.0), Point::new(20.0, 10.0));
    let of = |x| crush(&[lopsided.clone()], ALL, Some(Point::new(x, 5.0)), &round_numbers()).unwrap().bears.low;
    assert_relative_eq!(of(10.0 - 20.0 / 6.0), 6400.0 / 2.4, max_relative = 1e-9);
    assert_relative_eq!(of(10.0 + 20.0 / 6.0), 3200.0, max_relative = 1e-9);
}

#[test]
fn free_walls_and_cells_buckle_before_they_are_crushed() {
    let low = |layer: LayerMeasure| crush(&[layer], ALL, None, &round_numbers()).unwrap().bears.low;
    // Walls of 1.2 mm, 20 mm free: 4 π² 1000 / (12 (1 - 0.35²)) (1.2 / 20)² = 13.50 MPa, under half of 32.
    let plate = |t_over_b: f64| 4.0 * PI * PI * 1000.0 / (12.0 * (1.0 - 0.1225)) * t_over_b * t_over_b;
    assert_relative_eq!(plate(0.06), 13.50, max_relative = 1e-3);
    assert_relative_eq!(low(cored(0.0, 40.0, 0)), plate(0.06) * 40.0, max_relative = 1e-9);
    // The same elsewhere on the bed; along x or along y; and walls round full layers are never free.
    let at = |high: (f64, f64)| LayerMeasure {
        reach: reach(Point::new(30.0, 40.0), Point::new(high.0, high.1)),
        ..cored(0.0, 40.0, 0)
    };
    assert_relative_eq!(low(at((50.0, 45.0))), plate(0.06) * 40.0, max_relative = 1e-9);
    assert_relative_eq!(low(at((35.0, 60.0))), plate(0.06) * 40.0, max_relative = 1e-9);
    let full = LayerMeasure { tube: cored(0.0, 40.0, 0).tube, ..layer(3) };
    assert_relative_eq!(low(full), 32.0 * 200.0, max_relative = 1e-12);
    // 10 % as a grid: cells 8.14 mm wide of one bead, and walls that a line meets every 8.14 / √2 mm; Johnson above half.
    let (pitch, cell) = (0.407_08, 8.141_6);
    let walls = 32.0 * (1.0 - 32.0 / (4.0 * plate(1.2 * 2f64.sqrt() / cell)));
    assert_relative_eq!(low(cored(0.1, 49.75, 2)), walls * 40.0 + plate(pitch / cell) * 9.75, max_relative = 1e-4);
    // Crossed: nothing between the crossings to buckle; a line meets the wall every 4.07 √2 mm.
    let walls = 32.0 * (1.0 - 32.0 / (4.0 * plate(1.2 / (0.5 * cell * 2f64.sqrt()))));
    assert_relative_eq!(low(cored(0.1, 41.0, 2)), walls * 40.0 + 32.0 * 1.0, max_relative = 1e-4);
    // A card without stiffness says nothing of buckling.
    let allow = Allowable { stiff_across: None, ..round_numbers() };
    assert_relative_eq!(crush(&[cored(0.0, 40.0, 0)], ALL, None, &allow).unwrap().bears.low, 32.0 * 40.0);
    // The weakest layer decides; typical values beside low ones.
    let found = crush(&[layer(1), cored(0.0, 40.0, 0), layer(5)], ALL, None, &round_numbers()).unwrap();
    assert_eq!(found.place.layer, Some(3));
    assert_relative_eq!(found.bears.likely, 1.5 * plate(0.06) * 40.0, max_relative = 1e-9);
}

#[test]
fn a_slender_part_is_eulers_column() {
    let slim = |bond: Moments| LayerMeasure { section: Some(rectangle(5.0, 4.0)), bond: Some(bond), ..layer(3) };
    // 100 mm high, free at the top: π² E I / (2 L)² with I = 5 × 4³ / 12 mm⁴.
    let euler = PI * PI * 1000.0 * (5.0 * 64.0 / 12.0) / 40_000.0;
    let found = column(&[slim(rectangle(5.0, 4.0))], [0.0, 100.0], &round_numbers()).unwrap();
    assert_relative_eq!(found.bears.low, euler, max_relative = 1e-9);
    // As high above a foot of 0.4 mm.
    let found = column(&[slim(rectangle(5.0, 4.0))], [0.4, 100.4], &round_numbers()).unwrap();
    assert_relative_eq!(found.bears.low, euler, max_relative = 1e-9);
    // Where only a strip of 2 mm bonds, 5 × 2³ / 12 in a row with it: 2 × 26.67 × 3.33 / 30 = 5.926 mm⁴.
    let found =
        column(&[slim(rectangle(5.0, 4.0)), slim(rectangle(5.0, 2.0))], [0.0, 100.0], &round_numbers()).unwrap();
    assert_relative_eq!(found.bears.low, euler * 5.925_93 / 26.666_67, max_relative = 1e-5);
    // Effective length over radius of gyration (4 / √12 mm) is 30 at 17.3 mm.
    assert!(column(&[slim(rectangle(5.0, 4.0))], [0.0, 17.5], &round_numbers()).is_some());
    assert!(column(&[slim(rectangle(5.0, 4.0))], [0.0, 17.1], &round_numbers()).is_none());
    // Of a bond of 5 × 2 mm the radius is that of 5.926 mm⁴ over 13.33 mm²: 0.667 mm, and 30 at 10 mm.
    assert!(column(&[slim(rectangle(5.0, 2.0))], [0.0, 10.1], &round_numbers()).is_some());
    assert!(column(&[slim(rectangle(5.0, 2.0))], [0.0, 9.9], &round_numbers()).is_none());
}

/// Upright, 20 mm high, pushed at its top.
fn mast(direction: Axis) -> Beam {
    Beam { axis: Axis::Z, direction, held: Held::LowEnd, span_mm: [0.0, 20.0], load_at_mm: 20.0 }
}

#[test]
fn an_upright_part_bends_over_its_bond() {
    let layers: Vec<LayerMeasure> = (1..100).map(layer).collect();
    let allow = round_numbers();
    let low = |direction, stops: &[usize]| bend(&layers, &mast(direction), &allow, &Stops(stops.to_vec())).unwrap();
    // In x: 10 × 20² / 6 mm³ over 19.8 mm; in y: 20 × 10² / 6 mm³.
    assert_relative_eq!(low(Axis::X, &[]).bears.low, 12.0 * 4000.0 / 6.0 / 19.8, max_relative = 1e-9);
    assert_relative_eq!(low(Axis::Y, &[]).bears.low, 12.0 * 2000.0 / 6.0 / 19.8, max_relative = 1e-9);
    assert_eq!(low(Axis::X, &[]).place.layer, Some(1));
    // A stop after layer 40 leaves 45 % at 8.2 mm, where the arm is 11.8 mm.
    let stopped = low(Axis::X, &[40]);
    assert_relative_eq!(stopped.bears.low, 0.45 * 12.0 * 4000.0 / 6.0 / 11.8, max_relative = 1e-9);
    assert_relative_eq!(stopped.bears.likely, 0.8 * 24.0 * 4000.0 / 6.0 / 11.8, max_relative = 1e-9);
    assert_relative_eq!(stopped.bears.high, stopped.bears.likely, max_relative = 1e-12);
    // A middle that lies aside: 13 mm to the far edge.
    let mut aside = layer(1);
    aside.bond = aside.bond.map(|b| Moments { centroid: Point::new(7.0, 6.0), ..b });
    let of = |direction| bend(&[aside.clone()], &mast(direction), &allow, &Stops::default()).unwrap().bears.low;
    assert_relative_eq!(of(Axis::X), 12.0 * (10.0 * 8000.0 / 12.0) / 13.0 / 19.8, max_relative = 1e-9);
    assert_relative_eq!(of(Axis::Y), 12.0 * (20.0 * 1000.0 / 12.0) / 6.0 / 19.8, max_relative = 1e-9);
    aside.bond = aside.bond.map(|b| Moments { centroid: Point::new(7.0, 3.0), ..b });
    let high = bend(&[aside.clone()], &mast(Axis::Y), &allow, &Stops::default()).unwrap().bears.low;
    assert_relative_eq!(high, 12.0 * (20.0 * 1000.0 / 12.0) / 7.0 / 19.8, max_relative = 1e-9);
    aside.bond = aside.bond.map(|b| Moments { centroid: Point::new(7.0, 6.0), ..b });
    // And where the far edge is the low one: 11 mm in x, 9 mm in y.
    aside.reach = reach(Point::new(-4.0, -3.0), Point::new(12.0, 9.0));
    let of = |direction| bend(&[aside.clone()], &mast(direction), &allow, &Stops::default()).unwrap().bears.low;
    assert_relative_eq!(of(Axis::X), 12.0 * (10.0 * 8000.0 / 12.0) / 11.0 / 19.8, max_relative = 1e-9);
    assert_relative_eq!(of(Axis::Y), 12.0 * (20.0 * 1000.0 / 12.0) / 9.0 / 19.8, max_relative = 1e-9);
}

/// An upright part with this section, laid all over on the layer below.
fn of_section(ring: &[Point]) -> LayerMeasure {
    let section = Some(Moments::of_ring(ring));
    LayerMeasure { bond: section, section, reach: Reach::of(ring, 0.0), ..layer(3) }
}

fn turned(ring: &[(f64, f64)], degrees: f64) -> Vec<Point> {
    let (s, c) = degrees.to_radians().sin_cos();
    ring.iter().map(|&(x, y)| Point::new(90.0 + x * c - y * s, 40.0 + x * s + y * c)).collect()
}

// A bar of b x h turned by an angle a from the direction of the force bends about both its axes: the stress at its corner is
// M (cos a / (b h²/6) + sin a / (h b²/6)) (superposition; Timoshenko, Strength of Materials, part I; from memory).
#[test]
fn a_turned_bar_bends_about_both_its_axes() {
    for degrees in [0.0, 17.0, 45.0, 90.0, -30.0, 170.0] {
        let bar = of_section(&turned(&[(0.0, 0.0), (6.0, 0.0), (6.0, 24.0), (0.0, 24.0)], degrees));
        let (s, c) = f64::to_radians(degrees).sin_cos();
        let stress = 19.4 * (c.abs() / (6.0 * 24.0 * 24.0 / 6.0) + s.abs() / (24.0 * 6.0 * 6.0 / 6.0));
        let found = bend(&[bar], &mast(Axis::Y), &round_numbers(), &Stops::default()).unwrap();
        assert_relative_eq!(found.bears.low, 12.0 / stress, max_relative = 1e-9);
    }
}

// A thin angle of equal legs a, t thick, bends askew under a force along one leg: with I = 5/24 t a³ and Ixy = -t a³/8 the
// stress at the tip of that leg is 0.9375 M a / I, a quarter more than M c / I with c = 3/4 a says (by hand, t small).
#[test]
fn an_angle_bends_askew() {
    let (a, t) = (20.0, 0.02);
    let angle = of_section(&[(0.0, 0.0), (a, 0.0), (a, t), (t, t), (t, a), (0.0, a)].map(|(x, y)| Point::new(x, y)));
    let second = 5.0 / 24.0 * t * a * a * a;
    let found = bend(&[angle], &mast(Axis::Y), &round_numbers(), &Stops::default()).unwrap();
    assert_relative_eq!(found.bears.low, 12.0 * second / (0.9375 * a * 19.4), max_relative = 5e-3);
    assert!(found.working.contains("bends askew"), "{}", found.working);
}

// Pressed at a corner of its kernel a bar takes half, at whatever angle it lies: 1 + 6 e / h with e = h / 6.
#[test]
fn a_turned_bar_pressed_at_the_edge_of_its_kernel_takes_half() {
    for degrees in [0.0, 20.0, 45.0, 75.0, 200.0] {
        let bar = of_section(&turned(&[(0.0, 0.0), (6.0, 0.0), (6.0, 24.0), (0.0, 24.0)], degrees));
        let at = turned(&[(3.0, 16.0), (3.0, 12.0), (4.0, 12.0)], degrees);
        let low = |at: Point| crush(std::slice::from_ref(&bar), ALL, Some(at), &round_numbers()).unwrap().bears.low;
        assert_relative_eq!(low(at[0]), 32.0 * 144.0 / 2.0, max_relative = 1e-9);
        assert_relative_eq!(low(at[1]), 32.0 * 144.0, max_relative = 1e-9);
        assert_relative_eq!(low(at[2]), 32.0 * 144.0 / 2.0, max_relative = 1e-9);
    }
}
