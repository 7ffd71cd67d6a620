//! How long things take.

use super::{events, machine, only_moves, run_on, seconds};
use approx::assert_relative_eq;
use beadwise::motion::EventKind;
use beadwise::profile::Machine;
use proptest::prelude::*;

/// Round numbers, and axes that do not hold anything back.
fn plain(corner: &str) -> Machine {
    machine(&format!(
        "[limits]\nspeed_mm_s = [1000, 1000, 1000, 1000]\naccel_mm_s2 = [1e5, 1e5, 1e5, 1e5]\n\
         accel_print_mm_s2 = 1000\naccel_travel_mm_s2 = 2000\naccel_retract_mm_s2 = 2500\n{corner}"
    ))
}

fn time(text: &str) -> f64 {
    seconds(&run_on(&plain("corner_deviation_mm = 0.02"), text).0)
}

#[test]
fn speed_is_in_mm_per_minute() {
    // NISTIR 6556, 3.5.19. 100 mm at 50 mm/s and 1000 mm/s²: 2.05 s (trapezoid).
    assert_relative_eq!(time("G1 X100 E1 F3000"), 2.05, epsilon = 1e-9);
}

#[test]
fn each_kind_of_move_has_its_acceleration() {
    assert_relative_eq!(time("G1 X100 F3000"), 2.0 + 50.0 / 2000.0, epsilon = 1e-9);
    assert_relative_eq!(time("M83\nG1 E10 F3000"), 0.2 + 50.0 / 2500.0, epsilon = 1e-9);
    // Half circles of 10 mm radius at 20 mm/s, with plastic and without.
    let round = 10.0 * std::f64::consts::PI / 20.0;
    assert_relative_eq!(time("G28\nG3 X20 Y0 I10 E1 F1200"), round + 20.0 / 1000.0, epsilon = 1e-9);
    assert_relative_eq!(time("G28\nG3 X20 Y0 I10 F1200"), round + 20.0 / 2000.0, epsilon = 1e-9);
}

#[test]
fn no_axis_beyond_its_own_limits() {
    // Straight up: the z axis decides, 20 mm at 12 mm/s and 120 mm/s²: 20/12 + 12/120.
    let limited = machine("[limits]\nspeed_mm_s = [300, 200, 12, 60]\naccel_mm_s2 = [3000, 1500, 120, 5000]");
    assert_relative_eq!(seconds(&run_on(&limited, "G0 Z20 F60000").0), 20.0 / 12.0 + 0.1, epsilon = 1e-9);
    // Along 3-4-5: y has 4/5 of the way, so 200/0.8 = 250 mm/s and 1500/0.8 = 1875 mm/s².
    assert_relative_eq!(
        seconds(&run_on(&limited, "G0 X60 Y80 F60000").0),
        100.0 / 250.0 + 250.0 / 1875.0,
        epsilon = 1e-9
    );
}

#[test]
fn the_extruder_holds_back_a_fat_bead() {
    // 10 mm fed over 10 mm of path: 1 mm/mm, so E's 20 mm/s is the path's.
    let limited = machine("[limits]\nspeed_mm_s = [300, 300, 12, 20]\naccel_print_mm_s2 = 1000");
    assert_relative_eq!(seconds(&run_on(&limited, "G1 X10 E10 F6000").0), 0.5 + 0.02, epsilon = 1e-9);
}

#[test]
fn limits_in_the_file_hold_from_their_line_on_and_are_mm() {
    // M201, M203, M204 and M205 after G20 still count mm: common practice, no source.
    let text = "G20\nM204 P500 T500\nM203 X40\nG0 X10 F600";
    let length = 254.0;
    assert_relative_eq!(time(text), length / 40.0 + 40.0 / 500.0, epsilon = 1e-9);
    // The first move is not touched by what stands after it.
    let two = "G0 X100 F3000\nG4 P0\nM204 T500\nG0 X0";
    assert_relative_eq!(time(two), 2.0 + 50.0 / 2000.0 + 2.0 + 50.0 / 500.0, epsilon = 1e-9);
}

#[test]
fn a_file_switches_the_corner_rule() {
    // At 90 degrees: by deviation sqrt(a d s/(1 - s)), by steps J (see the corner tables of the room).
    let legs = "G0 X50 F3000\nG0 Y50";
    let corner = |speed: f64| {
        // Each leg: from rest to 50, down to the corner's speed or up from it, at 2000 mm/s².
        let flanks = 50.0 / 2000.0 + (50.0 - speed) / 2000.0;
        let way = (2500.0 + 2500.0 - speed * speed) / 4000.0;
        2.0 * (flanks + (50.0 - way) / 50.0)
    };
    let deviation = (2000.0f64 * 0.02 * 0.5f64.sqrt() / (1.0 - 0.5f64.sqrt())).sqrt();
    assert_relative_eq!(time(legs), corner(deviation), epsilon = 1e-9);
    assert_relative_eq!(time(&format!("M205 X8 Y6 Z0.4 E5\n{legs}")), corner(6.0), epsilon = 1e-9);
    let tighter = (2000.0f64 * 0.05 * 0.5f64.sqrt() / (1.0 - 0.5f64.sqrt())).sqrt();
    assert_relative_eq!(time(&format!("M205 X8 Y6\nM205 J0.05\n{legs}")), corner(tighter), epsilon = 1e-9);
}

#[test]
fn speed_override() {
    assert_relative_eq!(time("M220 S50\nG1 X100 E1 F3000"), 4.0 + 25.0 / 1000.0, epsilon = 1e-9);
}

#[test]
fn moves_that_go_nowhere_do_not_stop_the_machine() {
    let straight = time("G1 X100 E1 F3000");
    assert_relative_eq!(time("G1 X40 E0.4 F3000\nG1 X40 E0.4\nG1 X100 E1"), straight, epsilon = 1e-9);
    // Less than a thousandth of a mm long, with the last decimal of E on it, off to the side.
    let speck = "G1 X40 E0.4 F3000\nG1 Y0.0000009 E0.40002\nG1 X100 E1";
    assert_relative_eq!(time(speck), straight, epsilon = 1e-4);
    assert_relative_eq!(
        time("G1 X40 E0.4 F3000\nM106 S9\nG92 E0\nM73 P1\n; words\nG1 X100 E0.6"),
        straight,
        epsilon = 1e-9
    );
}

#[test]
fn a_speck_takes_its_way_over_its_speed() {
    // Less than a millionth of a mm, at a thousandth of a mm/s; and filament at the extruder's own 1000 mm/s.
    let alone = |text: &str| only_moves(&run_on(&plain(""), text).0)[0].time_s;
    assert_relative_eq!(alone("G1 X0.0000009 F0.06"), 0.9e-6 / 1e-3, epsilon = 1e-12);
    assert_relative_eq!(alone("M83\nG1 X0.0000001 E0.0005 F60000"), 0.0005 / 1000.0, epsilon = 1e-12);
}

#[test]
fn filament_alone_stops_the_machine_however_little() {
    // Two lines of 50 mm, each from rest to rest (1 s and 50/1000 s), and 0.0005 mm of filament at 2500 mm/s².
    let text = "M83\nG1 X50 E1 F3000\nG1 E0.0005\nG1 X100 E1";
    assert_relative_eq!(time(text), 2.0 * (1.0 + 0.05) + 2.0 * (0.0005f64 / 2500.0).sqrt(), epsilon = 1e-9);
}

#[test]
fn a_dwell_stops_the_machine() {
    let (steps, summary, _) = run_on(&plain(""), "G1 X50 E1 F3000\nG4 P250\nG1 X100 E2");
    assert_relative_eq!(seconds(&steps), 2.0 * (1.0 + 0.05) + 0.25, epsilon = 1e-9);
    assert_relative_eq!(summary.dwell_s, 0.25);
    assert_eq!(events(&steps)[0].kind, EventKind::Dwell);
}

#[test]
fn every_move_has_its_own_time() {
    let (steps, ..) = run_on(&plain(""), "G1 X100 E1 F3000\nG1 X200 E2");
    // One line of 200 mm in two halves: 2 + 0.025 s each (half of each flank's loss of 25 ms).
    for step in only_moves(&steps) {
        assert_relative_eq!(step.time_s, 2.025, epsilon = 1e-9);
    }
}

/// A path of random legs in the plane, turned by some angle and shifted.
fn path(legs: &[(f64, f64)], degrees: f64, shift: f64) -> String {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let (mut x, mut y) = (0.0, 0.0);
    let mut text = format!("G28\nG92 X{shift:.4} Y{shift:.4}\nG90\nM83\n");
    for (dx, dy) in legs {
        x += dx;
        y += dy;
        let (u, v) = (cosine * x - sine * y + shift, sine * x + cosine * y + shift);
        text.push_str(&format!("G1 X{u:.9} Y{v:.9} E0.1 F3600\n"));
    }
    text
}

proptest! {
    #[test]
    fn turning_and_shifting_a_part_changes_no_time(
        legs in prop::collection::vec((-9.0..9.0f64, -9.0..9.0f64), 1..60), degrees in 0.0..360.0f64, shift in 0.0..200.0f64,
    ) {
        prop_assume!(legs.iter().all(|(x, y)| x.hypot(*y) > 0.05));
        let here = time(&path(&legs, 0.0, 0.0));
        let there = time(&path(&legs, degrees, shift.round()));
        prop_assert!((here - there).abs() <= 1e-4 * here, "{} {}", here, there);
    }

    #[test]
    fn by_steps_a_quarter_turn_changes_no_time(legs in prop::collection::vec((-9.0..9.0f64, -9.0..9.0f64), 1..60)) {
        prop_assume!(legs.iter().all(|(x, y)| x.hypot(*y) > 0.05));
        let steps = plain("corner_step_mm_s = [8, 8, 0.4, 5]");
        let here = seconds(&run_on(&steps, &path(&legs, 0.0, 0.0)).0);
        let there = seconds(&run_on(&steps, &path(&legs, 90.0, 0.0)).0);
        prop_assert!((here - there).abs() <= 1e-4 * here, "{} {}", here, there);
    }

    #[test]
    fn inches_and_relative_axes_take_as_long(legs in prop::collection::vec((-90i32..90, -90i32..90), 1..60)) {
        // Legs of whole thousandths of an inch, written in mm and absolute, or in inches and relative.
        let (mut x, mut y) = (0, 0);
        let (mut metric, mut imperial) = (String::from("G21\nG90\nM83\n"), String::from("G20\nG91\nM83\n"));
        for (dx, dy) in legs {
            x += dx;
            y += dy;
            let mm = |thou: i32| f64::from(thou) * 0.0254;
            metric.push_str(&format!("G1 X{:.4} Y{:.4} E0.0254 F1524\n", mm(x), mm(y)));
            imperial.push_str(&format!("G1 X{:.3} Y{:.3} E0.001 F60\n", f64::from(dx) / 1000.0, f64::from(dy) / 1000.0));
        }
        let (one, other) = (time(&metric), time(&imperial));
        prop_assert!((one - other).abs() <= 1e-6 * one + 1e-9, "{} {}", one, other);
    }
}
