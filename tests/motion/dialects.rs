//! Where dialects disagree, the machine profile decides and the summary says so.

use super::{assert_near, end, events, machine, moves, only_moves, run, run_on, seconds};
use approx::assert_relative_eq;
use beadwise::motion::EventKind;
use beadwise::profile::Role;

#[test]
fn dwell_by_p_is_what_the_profile_says() {
    // NISTIR 6556, 3.5.4: seconds; printing dialect: milliseconds (S: seconds). Common practice, no source.
    let (steps, summary, _) = run("G4 P1500");
    assert_relative_eq!(seconds(&steps), 1.5);
    assert!(summary.dialect().iter().any(|fact| fact.contains("milliseconds")));
    let (steps, summary, _) = run_on(&machine("dwell_p = 's'"), "G4 P1.5");
    assert_relative_eq!(seconds(&steps), 1.5);
    assert!(summary.dialect().iter().any(|fact| fact.contains("as seconds")));
    assert_relative_eq!(seconds(&run("G4 S2").0), 2.0);
}

#[test]
fn a_negative_dwell_is_an_error() {
    // NISTIR 6556, 3.5.4.
    let (steps, summary, _) = run("G4 P-1");
    assert!(steps.is_empty());
    assert_eq!(summary.bad_lines, 1);
}

#[test]
fn relative_axes_and_the_extruder() {
    let text = "G91\nG1 X10 E1 F600\nG1 X10 E1\nG90\nG1 X5 E1.5";
    let fed = |keys: &str| -> Vec<f64> {
        only_moves(&run_on(&machine(keys), text).0).iter().map(|step| step.fed_mm).collect()
    };
    // The extruder stays absolute: 1, 0, 0.5. With the switch it turns relative and back: 1, 1, -0.5.
    assert_near(&fed(""), &[1.0, 0.0, 0.5]);
    assert_near(&fed("g90_sets_extruder = true"), &[1.0, 1.0, -0.5]);
    let (_, summary, _) = run(text);
    assert_eq!(summary.extruder_mode_matters, 2);
    assert!(summary.dialect().iter().any(|fact| fact.contains("leave alone")));
}

#[test]
fn a_stated_extruder_mode_ends_the_doubt() {
    let (_, summary, _) = run("G91\nM83\nG1 X10 E1 F600\nG90\nM82\nG92 E0\nG1 X5 E1.5");
    assert_eq!(summary.extruder_mode_matters, 0);
    assert!(summary.dialect().is_empty());
}

#[test]
fn many_relative_steps_end_where_one_absolute_does() {
    let mut text = String::from("G91\n");
    for _ in 0..1000 {
        text.push_str("G1 X0.1 Z0.2 F600\n");
    }
    assert_eq!(end(&text), end("G1 X100 Z200 F600"));
}

#[test]
fn t_numbers_beyond_any_tool_are_calls_of_the_machine() {
    let (steps, summary, motion) = run_on(&machine("tools = 2"), "T1\nT1000\nT-1\nT0.5\nG1 X1 F600");
    assert_eq!(summary.machine_calls, 3);
    assert_eq!(motion.state().tool, 1);
    assert_eq!(events(&steps).len(), 1);
}

#[test]
fn a_tool_that_the_profile_lacks_is_counted_and_told() {
    let (steps, summary, _) = run("M83\nT1\nG1 X1 E1 F600");
    assert_eq!(only_moves(&steps)[0].tool, 1);
    assert_eq!(summary.tools_beyond_machine, 1);
    assert!(summary.diagnostics.iter().any(|diagnostic| diagnostic.code == "tool-beyond-machine"));
}

#[test]
fn a_t_word_beside_a_setting_changes_no_tool() {
    let (steps, _, motion) = run_on(&machine("tools = 2"), "M104 S200 T1\nM204 P800 T1500\nM221 S90 T1\nG1 X1 F600");
    assert_eq!(motion.state().tool, 0);
    assert_eq!(motion.state().tools[1].nozzle_c, Some(200.0));
    assert_relative_eq!(motion.state().limits.accel_travel_mm_s2, 1500.0);
    assert_eq!(only_moves(&steps)[0].tool, 0);
}

#[test]
fn axis_words_of_other_commands_move_nothing() {
    assert!(moves("M201 X500\nM203 X100 E20\nM84 X\nM205 X8\nG162 X Y F2500").is_empty());
}

#[test]
fn unknown_commands_are_counted() {
    let (_, summary, _) = run("M1234 S1\nM1234\nG777 X5\nSOME_MACRO NAME=1\nG1 X1 F600");
    assert_eq!(summary.unknown.get(&('M', 12340)), Some(&2));
    assert_eq!(summary.unknown.get(&('G', 7770)), Some(&1));
    assert_eq!(summary.unknown_commands(), 4);
}

#[test]
fn a_stop_code_of_the_profile() {
    let own = machine("stop_codes = ['M790', 'WAIT_FOR_ME']\n[waits]\nperson_s = 90");
    let (steps, summary, _) = run_on(&own, "G1 X1 F600\nM790\nWAIT_FOR_ME NOW=1\nM0");
    let stops = events(&steps).iter().filter(|event| event.kind == EventKind::Stop).count();
    assert_eq!(stops, 3);
    assert_relative_eq!(summary.waits_s, 270.0);
}

#[test]
fn waits_cost_what_the_profile_says_and_only_what_is_missing() {
    let keys = "tools = 2\n[waits]\nnozzle_s = 100\nbed_s = 60\nhome_s = 20\ntool_change_s = 7";
    let (steps, summary, _) =
        run_on(&machine(keys), "M140 S60\nM190 S60\nM104 S222\nM109 S222\nM109 S222\nG28\nT1\nT1");
    // The second wait for the same heat takes nothing.
    assert_relative_eq!(seconds(&steps), 60.0 + 100.0 + 20.0 + 7.0, epsilon = 1e-9);
    assert_relative_eq!(summary.waits_s, 187.0, epsilon = 1e-9);
    // From 122 to 222 of 200 degrees above the room (22 °C): half of the heating.
    let (steps, ..) = run_on(&machine(keys), "M109 S122\nM109 S222");
    assert_relative_eq!(events(&steps)[1].time_s, 50.0, epsilon = 1e-9);
}

#[test]
fn temperatures_and_fan_are_told() {
    let (steps, _, motion) = run("M104 S215\nM106 S127.5\nM140 S60\nM141 S40\nM107\nG1 X1 F600");
    let kinds: Vec<EventKind> = events(&steps).into_iter().map(|event| event.kind).collect();
    assert_eq!(
        kinds,
        [
            EventKind::Nozzle { tool: 0, celsius: 215.0, wait: false },
            EventKind::Fan { share: 0.5 },
            EventKind::Bed { celsius: 60.0, wait: false },
            EventKind::Chamber { celsius: 40.0, wait: false },
            EventKind::Fan { share: 0.0 },
        ]
    );
    assert_eq!(only_moves(&steps)[0].nozzle_c, Some(215.0));
    assert_eq!(motion.state().bed_c, Some(60.0));
}

#[test]
fn comments_name_layers_and_roles() {
    let (steps, ..) = run("; layer 3\n; outer wall\nG1 X1 E1 F600\n; sparse infill\nG1 X2 E2");
    assert_eq!(events(&steps)[0].kind, EventKind::LayerMark { index: Some(3) });
    let labels: Vec<_> = only_moves(&steps).iter().map(|step| step.label).collect();
    assert_eq!(labels, [Some(Role::OuterWall), Some(Role::SparseInfill)]);
}

#[test]
fn bad_lines_are_left_out_and_told() {
    let (steps, summary, _) = run("G1 X1 F600\nG1 X1.2.3\nG1 X5");
    assert_eq!(only_moves(&steps).len(), 2);
    assert_eq!(summary.bad_lines, 1);
    assert_eq!(summary.diagnostics[0].line, Some(2));
}
