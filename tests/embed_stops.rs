//! Stops written, proven, refused when planted with a fault, and taken out again, in every dialect.

use beadwise::embed::{EmbedError, Place, Refusal, StopRequest, Stopped, prove, put_stops, undo};
use beadwise::geom::Point;
use beadwise::measure::Setup;
use beadwise::profile::{Limits, Machine};
use beadwise::rebead::drawing::{circle, rectangle};
use beadwise::rebead::{Body, Dialect, Settings, Words, lay, slice, write};

/// An unsymmetric block with a round pocket, seven layers high, away from the bed's corner.
fn part(dialect: &Dialect, change: impl FnOnce(&mut Settings)) -> String {
    let outline = rectangle(Point::new(61.0, 43.0), Point::new(82.0, 56.0));
    let pocket = circle(Point::new(69.0, 49.5), 6.2);
    let body = Body::new(0).add(0.0, 1.4, outline).cut(0.4, 1.0, pocket);
    let mut settings = Settings { bottom_skins: 1, top_skins: 1, walls: 2, skirt_loops: 1, ..Settings::default() };
    change(&mut settings);
    write(&lay(&slice(&[body], 0.2, 0.2), &settings), dialect, &Limits::default())
}

fn machine() -> Machine {
    Machine::load("open-small").expect("a built-in machine")
}

fn setup(machine: &Machine) -> Setup {
    Setup::of(machine.clone())
}

fn request(layer: usize, note: &str) -> StopRequest {
    StopRequest { place: Place::AfterLayer(layer), notes: vec![note.to_owned()] }
}

fn stop_in(machine: &Machine, file: &str, layers: &[usize]) -> Stopped {
    let requests: Vec<_> = layers.iter().map(|&layer| request(layer, "disc 6x2, dot up")).collect();
    put_stops(file.as_bytes(), &setup(machine), &requests).expect("a proven stop")
}

fn refusal(machine: &Machine, file: &str, stopped: &[u8]) -> Option<Refusal> {
    prove(file.as_bytes(), stopped, &setup(machine).motion()).err()
}

/// Every way of writing the same part, with a name for failures.
fn dialects() -> Vec<(&'static str, Dialect)> {
    let plain = Dialect::default;
    vec![
        ("plain", plain()),
        ("relative places", Dialect { relative_xyz: true, relative_e: true, ..plain() }),
        ("relative places, absolute extruder", Dialect { relative_xyz: true, ..plain() }),
        ("relative extruder", Dialect { relative_e: true, ..plain() }),
        ("inches", Dialect { inches: true, ..plain() }),
        ("inches, relative", Dialect { inches: true, relative_xyz: true, relative_e: true, ..plain() }),
        ("volumetric", Dialect { volumetric: true, ..plain() }),
        ("volumetric inches", Dialect { volumetric: true, inches: true, relative_e: true, ..plain() }),
        ("extruder set to zero", Dialect { reset_e: true, ..plain() }),
        ("machine-made retraction", Dialect { firmware_retraction: true, ..plain() }),
        ("parentheses, small letters", Dialect { parentheses: true, lower_case: true, ..plain() }),
        ("compact, CR LF", Dialect { compact: true, crlf: true, words: Words::Silent, ..plain() }),
        ("numbered", Dialect { numbered: true, ..plain() }),
        ("numbered, compact, CR LF", Dialect { numbered: true, crlf: true, compact: true, ..plain() }),
        ("arcs", Dialect { arcs: true, ..plain() }),
        ("arcs, relative, inches", Dialect { arcs: true, relative_xyz: true, inches: true, ..plain() }),
        ("overrides", Dialect { flow_percent: Some(92.0), speed_percent: Some(130.0), ..plain() }),
        ("dwells", Dialect { dwell: Some((2, 300)), travel_g1: true, trimmed: true, ..plain() }),
        ("ripple", Dialect { ripple_mm: 0.04, ..plain() }),
        ("pulled back on the way", Dialect { retract_on_travel: true, ..plain() }),
        ("no heat, no limits", Dialect { temperatures: false, limits: false, layer_comments: false, ..plain() }),
    ]
}

/// What is asked of the machine at a stop, in its hardest form.
fn thorough(mut machine: Machine) -> Machine {
    machine.stop.standby_c = Some(170.0);
    machine.stop.prime_mm = 0.4;
    machine.stop.before = vec!["M117 {note}, after {layer} at {z_mm}".to_owned(), "M300 S880 P200".to_owned()];
    machine
}

#[test]
fn stops_are_proven_and_undone_in_every_dialect() {
    for (name, dialect) in dialects() {
        let file = part(&dialect, |_| ());
        for machine in [machine(), thorough(machine())] {
            let stopped = stop_in(&machine, &file, &[1, 3, 5]);
            assert_eq!((stopped.stops.len(), stopped.proof.stops), (3, 3), "{name}");
            // Only a file that never sets its heat leaves something to warn of: the nozzle cannot be cooled.
            let cannot_cool = machine.stop.standby_c.is_some() && !dialect.temperatures;
            assert_eq!(stopped.warnings.len(), usize::from(cannot_cool), "{name}: {:?}", stopped.warnings);
            assert!(stopped.proof.layers >= 7 && stopped.proof.beads > 300, "{name}: {:?}", stopped.proof);
            let undone = undo(&stopped.bytes).expect("frames are whole");
            assert_eq!((undone.stops, undone.original), (3, Some(true)), "{name}");
            assert_eq!(undone.bytes, file.as_bytes(), "{name}");
        }
    }
}

#[test]
fn asking_twice_changes_nothing_and_asking_for_more_adds() {
    for (name, dialect) in dialects() {
        let (file, machine) = (part(&dialect, |_| ()), thorough(machine()));
        let setup = &setup(&machine);
        let once = put_stops(file.as_bytes(), setup, &[request(2, "nut (M4) in")]).expect("proven");
        assert!(!once.unchanged, "{name}");
        let twice = put_stops(&once.bytes, setup, &[request(2, "nut (M4) in")]).expect("proven");
        assert!(twice.unchanged && twice.bytes == once.bytes, "{name}");
        let more = put_stops(&once.bytes, setup, &[request(4, "disc in")]).expect("proven");
        let both = put_stops(file.as_bytes(), setup, &[request(4, "disc in"), request(2, "nut (M4) in")]);
        assert_eq!(more.bytes, both.expect("proven").bytes, "{name}");
        let merged = put_stops(&once.bytes, setup, &[request(2, "disc in")]).expect("proven");
        assert_eq!((merged.stops.len(), merged.stops[0].notes.len()), (1, 2), "{name}");
    }
}

#[test]
fn one_stop_serves_all_that_is_asked_for_after_one_layer() {
    let (file, machine) = (part(&Dialect::default(), |_| ()), machine());
    let setup = &setup(&machine);
    let at_height = StopRequest { place: Place::AtHeight(0.75), notes: vec!["nut in".to_owned()] };
    let stopped = put_stops(file.as_bytes(), setup, &[request(2, "disc in"), at_height]).expect("proven");
    assert_eq!(stopped.stops.len(), 1);
    assert_eq!((stopped.stops[0].after_layer, stopped.stops[0].notes.len()), (2, 2));
    assert!((stopped.stops[0].z_mm - 0.6).abs() < 1e-9);
    let text = String::from_utf8(stopped.bytes).expect("text");
    assert_eq!(text.matches("\nM0\n").count(), 1);
    let lines = text.lines().filter(|l| l.starts_with("; beadwise")).collect::<Vec<_>>();
    assert!(lines[0].starts_with("; beadwise stop begin after=2 "));
    assert_eq!(lines[1..], ["; beadwise note: disc in", "; beadwise note: nut in", "; beadwise stop end"]);
}

#[test]
fn the_stop_lifts_parks_waits_and_comes_back() {
    let mut machine = machine();
    machine.stop.park_mm = Some([5.0, 200.0]);
    machine.stop.lift_mm = 12.0;
    (machine.stop.travel_mm_s, machine.stop.lift_mm_s, machine.stop.retract_mm_s) = (100.0, 10.0, 30.0);
    machine.stop.prime_mm = 0.0;
    let stopped = stop_in(&machine, &part(&Dialect::default(), |_| ()), &[2]);
    let text = String::from_utf8(stopped.bytes).expect("text");
    let (before, rest) = text.split_once("; beadwise note: disc 6x2, dot up\n").expect("a note");
    let last = before.lines().rev().find(|l| l.starts_with("G1")).expect("a bead");
    let word = |letter: char| {
        let at = last.find(letter).unwrap_or_else(|| panic!("{last} has {letter}"));
        last[at + 1..].split(' ').next().expect("a number").trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let stop: Vec<&str> = rest.split("; beadwise stop end").next().expect("an end").lines().collect();
    assert!(stop[0].starts_with("G1 E") && stop[0].ends_with(" F1800"), "{stop:?}");
    assert_eq!(stop[1..4], ["G0 Z12.6 F600", "G0 X5 Y200 F6000", "M0"]);
    assert_eq!(stop[4], format!("G0 X{} Y{} F6000", word('X'), word('Y')));
    assert_eq!(stop[5..6], ["G0 Z0.6 F600"]);
    assert_eq!(stop[6], format!("G1 E{} F1800", word('E')));
    assert!(stop[7].starts_with("G1 F") && stop.len() == 8);
}

#[test]
fn faults_in_each_restored_quantity_are_refused() {
    let machine = thorough(machine());
    let file = part(&Dialect::default(), |_| ());
    let whole = String::from_utf8(stop_in(&machine, &file, &[2]).bytes).expect("text");
    assert_eq!(refusal(&machine, &file, whole.as_bytes()), None);
    let end = "; beadwise stop end";
    let planted = |line: &str| whole.replace(end, &format!("{line}\n{end}"));
    let expected = [
        ("G91", "whether places are relative"),
        ("M83", "whether the extruder is relative"),
        ("G20", "the unit of length, mm,"),
        ("G18", "the plane of arcs"),
        ("G90.1", "whether arc centres are places"),
        ("G1 F999", "the feed, mm/s,"),
        ("M220 S90", "the speed override"),
        ("M221 S90", "the flow override"),
        ("M106 S77", "the fan"),
        ("M104 S199", "the nozzle temperature, °C,"),
        ("G92 E3.3", "the extruder's position"),
        ("G92 X1", "the offset set by G92, mm,"),
        ("G10", "whether the machine holds the filament back"),
        ("M200 D1.75", "whether E counts volume"),
        ("M207 S3", "the machine's own retraction"),
        ("M204 S500", "the limits of speed and acceleration"),
        ("M103", "the flow switch"),
        ("T1", "the tool"),
    ];
    for (line, what) in expected {
        match refusal(&machine, &file, planted(line).as_bytes()) {
            Some(Refusal::State { difference, .. }) => assert_eq!(difference.what, what, "{line}"),
            other => panic!("{line}: {other:?}"),
        }
    }
    let moves = [("G0 Z0.7", "the nozzle's place, mm,"), ("G0 Z9\nG0 X70\nG0 Z0.6", "the nozzle's place, mm,")];
    for (line, what) in moves {
        match refusal(&machine, &file, planted(line).as_bytes()) {
            Some(Refusal::State { difference, .. }) => assert_eq!(difference.what, what, "{line}"),
            other => panic!("{line}: {other:?}"),
        }
    }
}

#[test]
fn faults_within_the_stop_are_refused() {
    let machine = thorough(machine());
    let file = part(&Dialect::default(), |_| ());
    let whole = String::from_utf8(stop_in(&machine, &file, &[2]).bytes).expect("text");
    let end = "; beadwise stop end";
    let planted = |line: &str| whole.replace(end, &format!("{line}\n{end}"));
    let what = |text: &str| match refusal(&machine, &file, text.as_bytes()) {
        Some(Refusal::Stop { what, .. }) => what.to_owned(),
        other => format!("{other:?}"),
    };
    assert_eq!(what(&planted("G1 X70 E500")), "lays plastic");
    assert_eq!(what(&planted("G0 X70")), "goes sideways without lifting clear of the layer");
    assert_eq!(what(&planted("G0 Z0.1")), "goes below the layer");
    assert_eq!(what(&planted("M140 S0")), "changes the bed's heat");
    assert_eq!(what(&planted("G28 X")), "sends the nozzle to its end switches");
    assert_eq!(what(&planted("M2")), "ends the program");
    let waits = |text: &str, times| {
        assert!(
            matches!(refusal(&machine, &file, text.as_bytes()), Some(Refusal::Waits { times: t, .. }) if t == times)
        );
    };
    waits(&planted("M0"), 2);
    waits(&whole.replace("\nM0\n", "\n"), 0);
}

#[test]
fn faults_outside_the_stop_are_refused() {
    let machine = machine();
    let file = part(&Dialect::default(), |_| ());
    let whole = String::from_utf8(stop_in(&machine, &file, &[2]).bytes).expect("text");
    // A changed, a lost and an added line after the stop.
    let (head, tail) = whole.split_once("; beadwise stop end\n").expect("an end");
    let lines: Vec<&str> = tail.lines().collect();
    let join = |lines: &[&str]| format!("{head}; beadwise stop end\n{}\n", lines.join("\n"));
    assert_eq!(refusal(&machine, &file, join(&lines).as_bytes()), None);
    let lost = join(&[&lines[..5], &lines[6..]].concat());
    let added = join(&[&lines[..5], &["G1 X70"], &lines[5..]].concat());
    let changed = join(&[&lines[..5], &["G1 X71 Y52 E999"], &lines[6..]].concat());
    // The line is told as the original counts it: the sixth of those that follow the stop.
    let line = (file.lines().count() - lines.len() + 6) as u64;
    for text in [lost, added, changed] {
        assert_eq!(refusal(&machine, &file, text.as_bytes()), Some(Refusal::Bytes { line }));
    }
    assert!(matches!(refusal(&machine, &file, head.as_bytes()), Some(Refusal::Frames)));
}

#[test]
fn places_where_no_stop_can_stand_are_refused() {
    let (file, machine) = (part(&Dialect::default(), |_| ()), machine());
    let setup = &setup(&machine);
    let ask = |place| put_stops(file.as_bytes(), setup, &[StopRequest { place, notes: vec![] }]).expect_err("refused");
    assert_eq!(ask(Place::AfterLayer(6)), EmbedError::AfterTheEnd { layer: 6 });
    assert_eq!(ask(Place::AfterLayer(7)), EmbedError::NoSuchLayer { asked: 7, last: 6 });
    assert!(matches!(ask(Place::AtHeight(0.1)), EmbedError::BelowAllLayers { .. }));
    assert_eq!(put_stops(b"G28\n", setup, &[request(0, "")]), Err(EmbedError::NoLayers));
}

#[test]
fn a_spiral_is_stopped_in_mid_strand() {
    let file = part(&Dialect::default(), |settings| settings.spiral = true);
    let stopped = stop_in(&machine(), &file, &[3]);
    assert_eq!(undo(&stopped.bytes).expect("whole").bytes, file.as_bytes());
}

#[test]
fn the_tool_in_use_and_its_heat_come_back() {
    let body = |tool, x| Body::new(tool).add(0.0, 1.0, rectangle(Point::new(x, 40.0), Point::new(x + 12.0, 57.0)));
    let laid = lay(&slice(&[body(0, 60.0), body(1, 72.0)], 0.2, 0.2), &Settings::default());
    let file = write(&laid, &Dialect::default(), &Limits::default());
    let mut machine = thorough(Machine::load("enclosed-twin").expect("a built-in machine"));
    machine.stop.standby_c = Some(150.0);
    let stopped = stop_in(&machine, &file, &[0, 1, 2, 3]);
    assert_eq!(stopped.proof.stops, 4);
    assert_eq!(undo(&stopped.bytes).expect("whole").bytes, file.as_bytes());
}

#[test]
fn a_move_without_a_code_repeats_what_it_repeated_before() {
    // Motion is modal (NISTIR 6556 section 3.3.7): the line after the stop has axis words only.
    let mut file = String::from("G28\nG1 F1500\nG92 E0\n");
    let mut e = 0.0;
    for layer in 1..=4 {
        let z = 0.2 * f64::from(layer);
        file += &format!("G0 X50 Y50 Z{z:.1}\nG1 X90 Y50 E{:.4}\n", e + 1.3);
        file += &format!("X90 Y71 E{:.4}\nG2 X50 Y71 I-20 J0 E{:.4}\n", e + 1.9, e + 3.8);
        // Still G2: the way back down the other side bulges outwards.
        file += &format!("X50 Y50 I-30 J-10.5 E{:.4}\n", e + 5.9);
        file += &format!("X49.9 Y49.9 Z{:.1} I5 J5\n", z + 0.2);
        e += 5.9;
    }
    let stopped = stop_in(&machine(), &file, &[0, 1, 2]);
    let text = String::from_utf8(stopped.bytes).expect("text");
    assert_eq!(text.matches("G2 F1500\n; beadwise stop end").count(), 3);
}
