//! Facts of Kramer, Proctor & Messina, The NIST RS274NGC Interpreter - Version 3, NISTIR 6556, 17 August 2000.

use super::{assert_near, end, events, moves, run, stops};
use beadwise::motion::EventKind;
use proptest::prelude::*;

#[test]
fn axis_words_alone_repeat_the_motion() {
    // 3.3.7: after G1, a line with only axis words moves at G1.
    assert_near(&end("G21\nG1 X3 F600\nX7 Y2\nY5"), &[7.0, 5.0, 0.0]);
    assert_eq!(moves("G1 X3 F600\nX7 Y2\nY5").len(), 3);
}

#[test]
fn a_speed_alone_is_no_move() {
    // 3.5.2 asks for an axis word; printing files write `G1 F3000` all the time: common practice, no source.
    let (steps, summary, motion) = run("G1 F3000\nG1 X1");
    assert_eq!(steps.len(), 1);
    assert_eq!((summary.moves, summary.bad_lines), (1, 0));
    assert_eq!(motion.state().feed_mm_s, Some(50.0));
}

#[test]
fn inches_are_25_4_mm_for_every_axis_speed_and_filament() {
    // 3.5.7.
    let all = moves("G20\nG1 X1 Y-2 Z0.5 E0.1 F60");
    assert_near(&all[0].to, &[25.4, -50.8, 12.7]);
    assert_near(&[all[0].fed_mm, all[0].feed_mm_s], &[2.54, 25.4]);
    assert_near(&end("G20\nG1 X1 F60\nG21\nG1 Y3"), &[25.4, 3.0, 0.0]);
}

#[test]
fn naming_a_place_moves_nothing() {
    // 3.5.18: at X = 4 with offset 0, G92 X7 makes the offset -3 and X 7; then G92 X9 makes it -5.
    let text = "G28\nG1 X4 F600\nG92 X7";
    let state = run(text).2.state().clone();
    assert_near(&[state.offset_mm[0], state.program_mm()[0], state.position_mm[0]], &[-3.0, 7.0, 4.0]);
    let state = run(&format!("{text}\nG92 X9")).2.state().clone();
    assert_near(&[state.offset_mm[0], state.program_mm()[0], state.position_mm[0]], &[-5.0, 9.0, 4.0]);
    // The machine's own frame goes on: to X 10 of the program is to 5 of the machine.
    assert_near(&end(&format!("{text}\nG92 X9\nG1 X10")), &[5.0, 0.0, 0.0]);
    assert_near(&end(&format!("{text}\nG92.1\nG1 X10")), &[10.0, 0.0, 0.0]);
}

#[test]
fn naming_a_place_is_not_touched_by_relative_mode() {
    // 3.5.18: not affected by G91.
    assert_near(&end("G28\nG1 X4 F600\nG91\nG92 X7\nG90\nG1 X8"), &[5.0, 0.0, 0.0]);
}

#[test]
fn the_extruder_is_named_apart_and_all_axes_at_once() {
    // Printing dialect, common practice, no source: G92 E0 names only E; G92 alone names everything 0.
    let state = run("G28\nG1 X4 Y6 E2 F600\nG92 E0").2.state().clone();
    assert_near(&[state.extruder, state.offset_mm[0]], &[0.0, 0.0]);
    let state = run("G28\nG1 X4 Y6 E2 F600\nG92").2.state().clone();
    assert_near(&state.program_mm(), &[0.0; 3]);
    assert_near(&state.position_mm, &[4.0, 6.0, 0.0]);
    assert_near(&[state.extruder], &[0.0]);
}

#[test]
fn a_place_moved_to_is_tied_to_the_machine() {
    // As with homing: the axis that was sent to a place keeps its frame when that place is named anew...
    assert_near(&end("G1 Z5 F600\nG92 Z0\nG1 Z0.3"), &[0.0, 0.0, 5.3]);
    assert_near(&end("G91\nG53 G1 Z5 F600\nG90\nG92 Z0\nG1 Z0.3"), &[0.0, 0.0, 5.3]);
    // ...an axis that nothing was said of does not, nor one that only went on from where nobody knows.
    assert_near(&end("G1 X5 F600\nG92 Z5\nG1 Z0.3"), &[5.0, 0.0, 0.3]);
    assert_near(&end("G91\nG1 Z5 F600\nG90\nG92 Z2\nG1 Z0.3"), &[0.0, 0.0, 0.3]);
}

#[test]
fn the_machines_frame_is_in_the_programs_unit() {
    // 3.5.12: G53 leaves the offsets out; 3.5.7: inches are 25.4 mm.
    assert_near(&end("G28\nG20\nG92 X3\nG53 G1 X1 Y2 F60"), &[25.4, 50.8, 0.0]);
}

#[test]
fn moves_to_where_one_stands_are_counted_apart() {
    let (_, summary, _) = run("G28\nG1 X1 F600\nG1 X1\nG0 X1 Y0\nG1 X2");
    assert_eq!((summary.moves, summary.still_moves), (4, 2));
    // A machine that pulls back by itself makes none, be its own length nothing or something.
    for own in ["", "M207 S2 F3000\n"] {
        let (_, summary, _) = run(&format!("G28\n{own}G1 X1 F600\nG1 X1\nG10\nG11\nG1 X2"));
        assert_eq!((summary.moves, summary.still_moves), (3, 1), "{own:?}");
    }
}

#[test]
fn a_place_that_nothing_tied_to_the_machine_is_what_it_is_named() {
    // Machines that home by commands of their own then name the place: the name is all that is known.
    assert_near(&end("G92 Z5\nG1 Z0.3 F600"), &[0.0, 0.0, 0.3]);
    assert_near(&end("G28\nG92 Z5\nG1 Z5.3 F600"), &[0.0, 0.0, 0.3]);
}

#[test]
fn homing_is_zero_of_the_named_axes() {
    assert_near(&end("G1 X5 Y6 Z7 F600\nG28 X"), &[0.0, 6.0, 7.0]);
    assert_near(&end("G1 X5 Y6 Z7 F600\nG28 X0 Y0"), &[0.0, 0.0, 7.0]);
    assert_near(&end("G1 X5 Y6 Z7 F600\nG28"), &[0.0; 3]);
}

#[test]
fn machine_coordinates_for_one_line() {
    // 3.5.12: G53 is not modal.
    assert_near(&end("G28\nG1 X4 F600\nG92 X0\nG53 G1 X10"), &[10.0, 0.0, 0.0]);
    assert_near(&end("G28\nG1 X4 F600\nG92 X0\nG53 G1 X10\nG1 X1"), &[5.0, 0.0, 0.0]);
}

#[test]
fn what_one_line_does_first() {
    // 3.8, table 8: speed, then motion, then stop, wherever they stand.
    let (steps, ..) = run("G1 X10 F600 M0");
    assert!(matches!(&steps[0], beadwise::motion::Step::Move(step) if step.feed_mm_s == 10.0));
    assert_eq!(events(&steps)[0].kind, EventKind::Stop);
    // Units and distance mode before motion.
    assert_near(&end("G1 X2 F600\nX1 G91 G20 G1"), &[27.4, 0.0, 0.0]);
}

#[test]
fn two_motions_or_a_repeated_letter_are_an_error() {
    // 3.3.5.
    for text in ["G0 G1 X1 F600", "G1 X1 X2 F600"] {
        let (steps, summary, _) = run(text);
        assert!(steps.is_empty(), "{text}");
        assert_eq!(summary.bad_lines, 1, "{text}");
    }
}

#[test]
fn program_stops() {
    // 3.6.1. An optional stop counts: whether the switch is on cannot be read from a file.
    assert_eq!(stops("M0"), 1);
    assert_eq!(stops("M1\nM60"), 2);
    assert_eq!(stops("G1 X1 F600\nM600"), 1);
}

#[test]
fn nothing_runs_after_the_end() {
    // 3.6.1.
    for code in ["M2", "M30"] {
        let (steps, summary, motion) = run(&format!("G1 X1 F600\n{code}\nG1 X5 E3\n; words\nM0"));
        assert_eq!(events(&steps).last().map(|event| event.kind.clone()), Some(EventKind::End));
        assert_near(&motion.state().position_mm, &[1.0, 0.0, 0.0]);
        assert_eq!(summary.lines_after_end, 2);
    }
}

#[test]
fn an_end_that_names_a_file_ends_nothing() {
    // Printing dialect: M30 with a name removes that file. Common practice, no source.
    assert_near(&end("G1 X1 F600\nM30 old.txt\nG1 X5"), &[5.0, 0.0, 0.0]);
}

#[test]
fn percent_lines_wrap_the_program() {
    // 3.1: what follows the second is no part of it.
    assert_near(&end("%\nG1 X1 F600\n%\nG1 X5"), &[1.0, 0.0, 0.0]);
    assert_near(&end("%\nG1 X1 F600\nG1 X5"), &[5.0, 0.0, 0.0]);
}

#[test]
fn lines_marked_for_block_delete_are_obeyed_and_counted() {
    // 3.3: they are left out only when the machine's switch is on, which a file cannot say.
    let (_, summary, motion) = run("G1 X1 F600\n/G1 X5");
    assert_near(&motion.state().position_mm, &[5.0, 0.0, 0.0]);
    assert_eq!(summary.block_delete_lines, 1);
}

proptest! {
    #[test]
    fn order_of_words_does_not_matter(
        words in Just(["G1", "X3.5", "Y-7", "Z0.2", "E1.25", "F1500", "G91", "M83"].to_vec()).prop_shuffle(),
    ) {
        // 3.3.6.
        let text = format!("G1 X1 Y2 E1 F600\n{}\nG1 X1 E1", words.join(" "));
        let got = run(&text);
        let want = run("G1 X1 Y2 E1 F600\nG91 M83 F1500 G1 X3.5 Y-7 Z0.2 E1.25\nG1 X1 E1");
        prop_assert_eq!(got.0, want.0);
    }
}
