//! The very lines of a stop, reckoned by hand, for each way in which a file may be written.
//!
//! The proof of a stop cannot see these: how far the nozzle goes aside and how fast, what it is told there, how much
//! filament is pulled back and fed while nobody counts it.

use beadwise::embed::{Place, StopRequest, put_stops};
use beadwise::measure::Setup;
use beadwise::profile::Machine;

/// A stop of round numbers: 5 mm up at 10 mm/s, aside at 100 mm/s, 2 mm of filament back at 30 mm/s.
fn machine() -> Machine {
    let mut machine = Machine::load("open-small").expect("a built-in machine");
    (machine.stop.lift_mm, machine.stop.lift_mm_s, machine.stop.travel_mm_s) = (5.0, 10.0, 100.0);
    (machine.stop.retract_mm, machine.stop.retract_mm_s, machine.stop.prime_mm) = (2.0, 30.0, 0.0);
    machine.stop.park_mm = Some([5.0, 200.0]);
    machine
}

/// Four squares of 20 mm on each other, layers of 0.2 mm, the extruder set to 0 before each bead; `head` comes first.
fn squares(head: &str) -> String {
    let mut file = format!("{head}\n");
    for layer in 1..=4 {
        file += &format!("G0 X50 Y60 Z{:.1}\n", 0.2 * f64::from(layer));
        for to in ["X70 Y60", "X70 Y80", "X50 Y80", "X50 Y60"] {
            file += &format!("G92 E0\nG1 {to} E0.7\n");
        }
    }
    file
}

/// The lines of the stop after the first layer, between the marks and without them, and what there is to warn of.
fn stop(machine: &Machine, file: &str) -> (Vec<String>, Vec<String>) {
    let setup = Setup::of(machine.clone());
    let request = StopRequest { place: Place::AfterLayer(0), notes: vec!["in".to_owned()] };
    let stopped = put_stops(file.as_bytes(), &setup, &[request]).expect("a proven stop");
    let text = String::from_utf8(stopped.bytes).expect("text");
    let lines = text.lines().skip_while(|line| !line.contains("beadwise note: in")).skip(1);
    let lines = lines.take_while(|line| !line.contains("beadwise stop end")).map(str::to_owned).collect();
    (lines, stopped.warnings.into_iter().map(|warning| warning.message).collect())
}

#[track_caller]
fn assert_stop(machine: &Machine, file: &str, want: &[&str]) {
    let (lines, warnings) = stop(machine, file);
    assert_eq!(lines, want);
    assert_eq!(warnings, Vec::<String>::new());
}

const MILLIMETRES: &str = "G28\nG90\nM82\nG1 F1500";

#[test]
fn in_millimetres_speeds_are_whole_and_lengths_have_three_decimals() {
    let mut machine = machine();
    (machine.stop.lift_mm, machine.stop.travel_mm_s) = (10.0 / 3.0, 33.33);
    assert_stop(
        &machine,
        &squares(MILLIMETRES),
        &[
            "G1 E-1.3 F1800",
            "G0 Z3.533 F600",
            "G0 X5 Y200 F2000",
            "M0",
            "G0 X50 Y60 F2000",
            "G0 Z0.2 F600",
            "G1 E0.7 F1800",
            "G1 F1500",
        ],
    );
}

/// Squares of an inch, layers of 0.01 in, and an extruder that counts inches. `X1 Y1` is named X3 Y2.
fn inches(relative: bool) -> String {
    let mut file = String::from("G20\nG28\nG90\nM82\nG1 F60\nG0 X1 Y1\nG92 X3 Y2\n");
    file += if relative { "G91\nM83\n" } else { "G92 E0\n" };
    for layer in 1..=4 {
        let (z, e) = (0.01 * f64::from(layer), 0.08 * f64::from(layer - 1));
        if relative {
            file += "G0 Z0.01\nG1 X1 E0.02\nG1 Y1 E0.02\nG1 X-1 E0.02\nG1 Y-1 E0.02\n";
        } else {
            file += &format!("G0 Z{z:.2}\nG1 X4 E{:.2}\nG1 Y3 E{:.2}\n", e + 0.02, e + 0.04);
            file += &format!("G1 X3 E{:.2}\nG1 Y2 E{:.2}\n", e + 0.06, e + 0.08);
        }
    }
    file
}

#[test]
fn in_inches_everything_is_25_4_times_less() {
    // 2.54 mm back is 0.1 in; up 10 mm from 0.254 is 10.254 mm = 0.4037 in; 4 in of the machine is 6 in of the program
    // (whose X is 2 in and whose Y 1 in further on); 30, 100 and 10 mm/s are 70.866, 236.22 and 23.622 in/min.
    let mut machine = machine();
    (machine.stop.lift_mm, machine.stop.retract_mm, machine.stop.park_mm) = (10.0, 2.54, Some([101.6, 152.4]));
    let way = ["G0 Z0.4037 F23.622", "G0 X6 Y7 F236.22", "M0"];
    let back = ["G0 X3 Y2 F236.22", "G0 Z0.01 F23.622"];
    let around = |before: &str, primed: &[&str], after: &[&str]| -> Vec<String> {
        [&[before], &way[..], primed, &back, after, &["G1 F60"]].concat().into_iter().map(str::to_owned).collect()
    };
    let lines = stop(&machine, &inches(false)).0;
    assert_eq!(lines, around("G1 E-0.02 F70.866", &[], &["G1 E0.08 F70.866"]));
    // 1.27 mm of new filament is 0.05 in: fed beyond where it was, pulled back again for the way, and not counted.
    machine.stop.prime_mm = 1.27;
    let lines = stop(&machine, &inches(false)).0;
    let primed = ["G1 E0.13 F70.866", "G1 E0.03 F70.866"];
    assert_eq!(lines, around("G1 E-0.02 F70.866", &primed, &["G1 E0.13 F70.866", "G92 E0.08"]));
}

#[test]
fn in_relative_inches_distances_cancel() {
    let mut machine = machine();
    (machine.stop.lift_mm, machine.stop.retract_mm, machine.stop.park_mm) = (10.0, 2.54, Some([101.6, 152.4]));
    machine.stop.prime_mm = 1.27;
    // From 1 in and 1 in of the machine to 4 in and 6 in; new filament: 0.15 in forward, 0.1 in back, 0.1 in forward.
    let (lines, _) = stop(&machine, &inches(true));
    let want = [
        "G1 E-0.1 F70.866",
        "G0 Z0.3937 F23.622",
        "G0 X3 Y5 F236.22",
        "M0",
        "G1 E0.15 F70.866",
        "G1 E-0.1 F70.866",
        "G0 X-3 Y-5 F236.22",
        "G0 Z-0.3937 F23.622",
        "G1 E0.1 F70.866",
    ];
    assert_eq!(lines[..9], want);
    assert!(lines[9].starts_with("G92 E") && lines[10..] == ["G1 F60"], "{lines:?}");
}

#[test]
fn where_e_counts_volume_so_does_the_stop() {
    // 2 mm of 1.75 mm filament are 4.81056 mm³ (pi d²/4); the bead before left E at 0.7 mm³.
    let file = squares("G28\nG90\nM82\nM200 D1.75\nG1 F1500");
    let (lines, _) = stop(&machine(), &file);
    assert_eq!(lines[0], "G1 E-4.11056 F1800");
    assert_eq!(lines[lines.len() - 2..], ["G1 E0.7 F1800", "G1 F1500"]);
}

#[test]
fn nothing_to_pull_back_is_not_pulled_back() {
    let mut machine = machine();
    machine.stop.retract_mm = 0.0;
    let file = squares(MILLIMETRES);
    let aside = ["G0 Z5.2 F600", "G0 X5 Y200 F6000", "M0"];
    let back = ["G0 X50 Y60 F6000", "G0 Z0.2 F600"];
    assert_stop(&machine, &file, &[&aside[..], &back, &["G1 F1500"]].concat());
    machine.stop.prime_mm = 0.5;
    assert_stop(&machine, &file, &[&aside[..], &["G1 E1.2 F1800"], &back, &["G92 E0.7", "G1 F1500"]].concat());
}

#[test]
fn a_file_whose_machine_pulls_back_is_stopped_so() {
    let mut file = squares("(plate)\nG28\nG90\nM82\nG1 F1500\nG10\nG11");
    let (lines, _) = stop(&machine(), &file);
    let way = ["G10", "G0 Z5.2 F600", "G0 X5 Y200 F6000", "M0", "G0 X50 Y60 F6000", "G0 Z0.2 F600", "G11", "G1 F1500"];
    assert_eq!(lines, way);
    // The marks of the stop are comments as the file has them.
    let request = StopRequest { place: Place::AfterLayer(0), notes: Vec::new() };
    let mut marks = |head: &str| {
        file = squares(head);
        let stopped =
            put_stops(file.as_bytes(), &Setup::of(machine()), std::slice::from_ref(&request)).expect("a stop");
        let text = String::from_utf8(stopped.bytes).expect("text");
        text.lines().filter(|line| line.contains("beadwise stop end")).map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(marks("(plate)\nG28\nG90\nM82"), ["(beadwise stop end)"]);
    assert_eq!(marks("; plate\nG28\nG90\nM82"), ["; beadwise stop end"]);
}

#[test]
fn a_file_that_feeds_by_a_switch_is_stopped_by_it() {
    // M101 and M103 start and stop the flow (common practice, no source); E words would be strange to such a machine.
    let mut machine = machine();
    machine.stop.prime_mm = 0.5;
    let (lines, _) = stop(&machine, &squares("G28\nG90\nM82\nG1 F1500\nM101"));
    let way = ["G0 Z5.2 F600", "G0 X5 Y200 F6000", "M0", "G0 X50 Y60 F6000", "G0 Z0.2 F600"];
    assert_eq!(lines, [&["M103"], &way[..], &["M101", "G1 F1500"]].concat());
}

#[test]
fn the_nozzle_is_cooled_only_if_that_is_cooler() {
    let mut machine = machine();
    let file = squares("M104 S215\nG28\nG90\nM82\nG1 F1500");
    let heat = |machine: &Machine| -> Vec<String> {
        stop(machine, &file).0.into_iter().filter(|line| line.starts_with('M')).collect()
    };
    assert_eq!(heat(&machine), ["M0"]);
    machine.stop.standby_c = Some(170.0);
    assert_eq!(heat(&machine), ["M104 S170", "M0", "M109 S215"]);
    for standby_c in [215.0, 240.0] {
        machine.stop.standby_c = Some(standby_c);
        assert_eq!(heat(&machine), ["M0"]);
    }
}

#[test]
fn a_file_without_speeds_gets_none() {
    // What repeats a motion needs it brought back; what names its own needs nothing.
    let file = squares("G28\nG90\nM82");
    let way = ["G1 E-1.3", "G0 Z5.2", "G0 X5 Y200", "M0", "G0 X50 Y60", "G0 Z0.2", "G1 E0.7"];
    assert_stop(&machine(), &file, &way);
    let repeats = file.replace("G0 X50 Y60 Z0.4", "X50 Y60 Z0.4");
    assert_stop(&machine(), &repeats, &[&way[..], &["G1"]].concat());
}

#[test]
fn without_room_to_lift_or_to_wait_there_is_a_warning() {
    let said = |machine: &Machine, file: &str, words: &str| -> Vec<String> {
        let (lines, warnings) = stop(machine, file);
        assert!(warnings.len() == 1 && warnings[0].contains(words), "{warnings:?}");
        lines
    };
    let file = squares(MILLIMETRES);
    let mut low = machine();
    low.height_mm = 0.9;
    assert_eq!(said(&low, &file, "hardly any room to lift")[1], "G0 Z0.9 F600");
    low.height_mm = 1.3;
    assert_eq!(stop(&low, &file).1, Vec::<String>::new());
    // The squares reach from 50 to 70 and from 60 to 80 mm; hands want 20 mm beside them.
    let mut close = machine();
    for (park, is_close) in [([60.0, 70.0], true), ([89.0, 70.0], true), ([92.0, 70.0], false), ([60.0, 38.0], false)] {
        close.stop.park_mm = Some(park);
        assert_eq!(stop(&close, &file).1.len(), usize::from(is_close), "{park:?}");
    }
    close.stop.park_mm = Some([60.0, 85.0]);
    said(&close, &file, "above or close beside the part");
}

#[test]
fn where_nobody_knows_the_place_the_nozzle_stays_above_the_part() {
    // X is sent to a place, Y only ever goes on from where it was when the machine was switched on.
    for known in ["", "G0 X50\n", "G0 Y60\n"] {
        let mut file = format!("G90\nG1 F1500\n{known}G91\nM83\n");
        for _ in 0..4 {
            file += "G0 Z0.2\nG1 X20 E0.7\nG1 Y20 E0.7\nG1 X-20 E0.7\nG1 Y-20 E0.7\n";
        }
        let (lines, warnings) = stop(&machine(), &file);
        assert!(warnings.len() == 1 && warnings[0].contains("never says where the nozzle is"), "{known}: {warnings:?}");
        assert_eq!(lines, ["G1 E-2 F1800", "G0 Z5 F600", "M0", "G0 Z-5 F600", "G1 E2 F1800", "G1 F1500"], "{known}");
    }
}
