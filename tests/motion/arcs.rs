//! G2 and G3: what NISTIR 6556, 3.5.3 says, and that lengths and feeds are exact.

use super::{assert_near, machine, moves, only_moves, run, run_on, seconds};
use approx::assert_relative_eq;
use beadwise::motion::MoveKind;
use proptest::prelude::*;
use std::f64::consts::PI;

fn length(text: &str) -> f64 {
    moves(text).iter().skip(1).map(|step| step.length_mm).sum()
}

#[test]
fn the_centre_arc_of_the_standard() {
    // 3.5.3.2: from (7, 7), centre (10, 11), radius 5, sweep 143.1301°, length 12.49046 (computed).
    let text = "G1 X7 Y7 F600\nG17 G2 x 10 y 16 i 3 j 4";
    assert_relative_eq!(length(text), 12.49046, epsilon = 1e-5);
    for step in moves(text).iter().skip(1) {
        assert_relative_eq!((step.to[0] - 10.0).hypot(step.to[1] - 11.0), 5.0, epsilon = 1e-9);
    }
    assert_near(&moves(text).last().map(|step| step.to).unwrap_or_default(), &[10.0, 16.0, 0.0]);
}

#[test]
fn distances_to_the_centre_are_never_places() {
    // 3.5.17: I and J count from the start, in G90 as in G91.
    let absolute = length("G1 X7 Y7 F600\nG2 X10 Y16 I3 J4");
    let relative = length("G1 X7 Y7 F600\nG91\nG2 X3 Y9 I3 J4");
    assert_relative_eq!(absolute, relative, epsilon = 1e-9);
}

#[test]
fn full_circles_and_helices() {
    // A circle of radius 4: 8 pi; rising 3 on the way: the hypotenuse.
    assert_relative_eq!(length("G1 X5 Y6 F600\nG3 I4 J0"), 8.0 * PI, epsilon = 1e-9);
    assert_relative_eq!(length("G1 X5 Y6 F600\nG2 X5 Y6 I0 J4"), 8.0 * PI, epsilon = 1e-9);
    assert_relative_eq!(length("G1 X5 Y6 F600\nG2 X5 Y6 Z3 I0 J4"), (8.0 * PI).hypot(3.0), epsilon = 1e-9);
}

#[test]
fn other_planes() {
    // 3.5.3: G18 turns from z to x, G19 from y to z. A quarter anticlockwise seen along the third axis.
    let text = "G1 X0 Y2 Z5 F600\nG18 G3 X5 Z0 K-5";
    let middle = moves(text)[1..].iter().map(|step| step.to).find(|to| to[0] > 3.0).unwrap_or_default();
    assert_relative_eq!(middle[0].hypot(middle[2]), 5.0, epsilon = 1e-9);
    assert_relative_eq!(length(text), 2.5 * PI, epsilon = 1e-9);
    assert_relative_eq!(length("G1 X3 Y5 F600\nG19 G3 Y0 Z5 J-5"), 2.5 * PI, epsilon = 1e-9);
}

#[test]
fn one_distance_to_the_centre_is_enough() {
    // 3.5.3.2: at least one of the two, in each plane; the other is 0.
    for text in ["G3 J4", "G3 I4", "G18 G3 I4", "G18 G3 K4", "G19 G3 J4", "G19 G3 K4"] {
        assert_relative_eq!(length(&format!("G1 X5 Y6 Z7 F600\n{text}")), 8.0 * PI, epsilon = 1e-9);
    }
}

#[test]
fn in_inches() {
    assert_relative_eq!(length("G20\nG1 X1 Y1 F60\nG3 I0.5"), PI * 25.4, epsilon = 1e-9);
    // A quarter of one inch radius.
    assert_relative_eq!(length("G20\nG1 X1 Y1 F60\nG3 X2 Y2 R1"), PI / 2.0 * 25.4, epsilon = 1e-9);
}

#[test]
fn centres_may_be_places_of_the_program() {
    // G90.1: I and J are places, in the program's frame (open dialect, from memory). Here X 4 of the machine is named 7:
    // a circle about X 9 has a radius of 2.
    let text = "G28\nG1 X4 F600\nG92 X7\nG90.1\nG3 I9";
    assert_relative_eq!(length(text), 4.0 * PI, epsilon = 1e-9);
    // In G91.1 they are distances again.
    assert_relative_eq!(length(&format!("{text}\nG91.1\nG3 I1")), 4.0 * PI + 2.0 * PI, epsilon = 1e-9);
}

#[test]
fn a_helix_rises_evenly() {
    let all = moves("G1 X5 Y6 Z1 F600\nG3 X5 Y6 Z4 I4 J0");
    let turns = all[1..].len() as f64;
    assert!(turns >= 8.0);
    for (number, chord) in all[1..].iter().enumerate() {
        assert_relative_eq!(chord.to[2], 1.0 + 3.0 * (number as f64 + 1.0) / turns, epsilon = 1e-9);
    }
}

#[test]
fn a_speed_alone_after_an_arc_is_no_arc() {
    let (steps, summary, motion) = run("G1 X1 F600\nG3 I4\nF900\nG3 F1200\nM106 S9");
    assert_eq!((summary.moves, summary.arcs, summary.bad_lines), (2, 1, 0));
    assert_eq!(motion.state().feed_mm_s, Some(20.0));
    assert_eq!(only_moves(&steps).len(), moves("G1 X1 F600\nG3 I4").len());
    assert_eq!(run("G1 X1 F600\nG3 I4\nJ3 E1").1.arcs, 2);
}

#[test]
fn a_circle_too_small_to_have_a_direction_lays_no_bead() {
    let all = moves("G1 X5 Y6 F600\nG3 I0.0000001 E0.5");
    assert_eq!(all.iter().map(|step| step.kind).collect::<Vec<_>>(), [MoveKind::Travel, MoveKind::Prime]);
    assert_relative_eq!(all[1].fed_mm, 0.5, epsilon = 1e-12);
    assert_relative_eq!(all[1].bead_mm3, 0.0);
}

#[test]
fn filament_is_shared_along_the_arc() {
    let all = moves("G1 X5 Y6 F600\nG3 I4 J0 E2.5");
    let fed: f64 = all.iter().map(|step| step.fed_mm).sum();
    assert_relative_eq!(fed, 2.5, epsilon = 1e-9);
    for step in &all[1..] {
        assert_relative_eq!(step.fed_mm / step.length_mm, 2.5 / (8.0 * PI), epsilon = 1e-9);
    }
}

#[test]
fn radii_that_differ_are_told_but_drawn() {
    // 3.5.3.2 allows 0.002 mm; three decimals break that on large arcs, so: warn, go on.
    let (steps, summary, _) = run("G1 X0 Y0 F600\nG2 X10 Y0.3 I5 J0");
    assert!(steps.len() > 2);
    assert_eq!(summary.bad_lines, 0);
    assert!(summary.diagnostics.iter().any(|diagnostic| diagnostic.code == "arc-radius"));
    let (_, summary, _) = run("G1 X0 Y0 F600\nG2 X10 Y0.001 I5 J0");
    assert!(summary.diagnostics.is_empty());
}

#[test]
fn arcs_without_a_centre_are_left_out() {
    for text in ["G1 X1 Y1 F600\nG2 X1 Y1 R5", "G1 X1 Y1 F600\nG2 X3 Y1", "G1 X1 Y1 F600\nG2 X30 Y1 R5"] {
        let (steps, summary, _) = run(text);
        assert_eq!((steps.len(), summary.bad_lines), (1, 1), "{text}");
    }
}

#[test]
fn round_a_circle_speed_is_held_by_the_pull_to_its_centre() {
    // v² = a r: radius 2.5 mm at 1000 mm/s² allows 50 mm/s whatever F says; from rest over v²/2a each side.
    assert_relative_eq!(time_of("G28\nG0 F60000\nG2 I2.5"), 5.0 * PI / 50.0 + 50.0 / 1000.0, epsilon = 1e-6);
    // On a helix that climbs as fast as it goes round (45 degrees) only the part in the plane pulls: v² = 2 a r.
    let (climb, fastest) = (5.0 * PI, 5000.0f64.sqrt());
    let helix = format!("G28\nG0 F60000\nG2 X0 Y0 Z{climb:.9} I2.5");
    assert_relative_eq!(time_of(&helix), climb.hypot(climb) / fastest + fastest / 1000.0, epsilon = 1e-6);
}

/// Seconds where every axis follows and the path alone is held to 1000 mm/s² (corners by a deviation of 0.02 mm).
fn time_of(text: &str) -> f64 {
    let limits = "[limits]\naccel_travel_mm_s2 = 1000\naccel_print_mm_s2 = 1000\naccel_mm_s2 = [1e6, 1e6, 1e6, 1e6]\n\
                  speed_mm_s = [1e3, 1e3, 1e3, 20]\ncorner_deviation_mm = 0.02";
    only_moves(&run_on(&machine(limits), text).0).iter().map(|step| step.time_s).sum()
}

#[test]
fn lines_that_touch_an_arc_are_no_corners() {
    // 100 mm, a quarter of radius 20, 100 mm: one way of 231.4 mm at 50 mm/s (v²/r = 125 mm/s² is far from 1000).
    let way = 200.0 + 10.0 * PI;
    let text = "G28\nG1 X100 F3000\nG3 X120 Y20 J20\nG1 Y120";
    assert_relative_eq!(time_of(text), way / 50.0 + 50.0 / 1000.0, epsilon = 1e-6);
    // Towards the front, and to the left.
    let text = "G28\nG92 X0 Y200\nG1 Y100 F3000\nG3 X20 Y80 I20\nG1 X120";
    assert_relative_eq!(time_of(text), way / 50.0 + 50.0 / 1000.0, epsilon = 1e-6);
    let text = "G28\nG92 X200 Y0\nG1 X100 F3000\nG2 X80 Y20 J20\nG1 Y120";
    assert_relative_eq!(time_of(text), way / 50.0 + 50.0 / 1000.0, epsilon = 1e-6);
    // In the other planes as well.
    let text = "G28\nG19 G1 Y100 F3000\nG3 Y120 Z20 K20\nG1 Z120";
    assert_relative_eq!(time_of(text), way / 50.0 + 50.0 / 1000.0, epsilon = 1e-6);
}

#[test]
fn an_arc_that_starts_off_to_the_side_is_a_corner() {
    // At 90 degrees the deviation rule leaves sqrt(a d s/(1 - s)), s = sin 45° (see the corner tables of the room).
    let corner = (1000.0f64 * 0.02 * 0.5f64.sqrt() / (1.0 - 0.5f64.sqrt())).sqrt();
    let leg = |length: f64| {
        let flanks_mm = (2500.0 + 2500.0 - corner * corner) / 2000.0;
        (100.0 - corner) / 1000.0 + (length - flanks_mm) / 50.0
    };
    // The arc leaves along y, to the left of the line along x.
    let text = "G28\nG1 X100 F3000\nG3 X60 Y0 I-20";
    assert_relative_eq!(time_of(text), leg(100.0) + leg(20.0 * PI), epsilon = 1e-6);
}

#[test]
fn the_extruder_holds_back_a_fat_arc() {
    // 10 mm fed over a half circle of 10 pi mm: E's 20 mm/s is 20 pi mm/s of the path.
    let fastest = 20.0 * PI;
    let text = "G28\nG1 F6000\nG3 X20 Y0 I10 E10";
    assert_relative_eq!(time_of(text), 10.0 * PI / fastest + fastest / 1000.0, epsilon = 1e-6);
}

proptest! {
    #[test]
    fn an_arc_ends_where_it_says_and_is_longer_than_its_chord(
        x in -20.0..20.0f64, y in -20.0..20.0f64, bulge in 1.001..4.0f64, clockwise: bool, long: bool,
    ) {
        prop_assume!(x.hypot(y) > 0.01);
        let radius = x.hypot(y) / 2.0 * bulge * if long { -1.0 } else { 1.0 };
        let code = if clockwise { "G2" } else { "G3" };
        let text = format!("G91\n{code} X{x:.6} Y{y:.6} R{radius:.6} F600");
        let all = moves(&text);
        let total: f64 = all.iter().map(|step| step.length_mm).sum();
        let chords: f64 = all.iter().map(|step| (step.to[0] - step.from[0]).hypot(step.to[1] - step.from[1])).sum();
        prop_assert!(total >= x.hypot(y) - 1e-5);
        prop_assert!(chords <= total + 1e-9 && chords > total * 0.97);
        prop_assert!(seconds(&run(&text).0).is_finite());
        let last = all[all.len() - 1].to;
        prop_assert!((last[0] - x).abs() < 1e-5 && (last[1] - y).abs() < 1e-5);
    }
}
