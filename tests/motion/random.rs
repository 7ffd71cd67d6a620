//! Whatever a file says, times are finite and nothing is lost.

use super::{machine, only_moves, run_on};
use beadwise::motion::{MoveKind, Step};
use proptest::prelude::*;

fn number() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => (-200.0..200.0f64).prop_map(|value| format!("{value:.3}")),
        1 => Just("0".to_owned()),
        1 => Just(String::new()),
        1 => (-1e12..1e12f64).prop_map(|value| format!("{value:.0}")),
        1 => (-1e-6..1e-6f64).prop_map(|value| format!("{value:.9}")),
    ]
}

fn command() -> impl Strategy<Value = String> {
    let codes = [
        "G0", "G1", "G1", "G1", "G2", "G3", "G4", "G10", "G11", "G17", "G18", "G19", "G20", "G21", "G28", "G53", "G90",
        "G91", "G90.1", "G92", "G92.1", "M0", "M82", "M83", "M101", "M103", "M104", "M106", "M109", "M140", "M200",
        "M201", "M203", "M204", "M205", "M207", "M208", "M220", "M221", "T0", "T1", "T7", "T99", "", "/G1", "%",
        "WORD_X",
    ];
    let letters =
        prop::sample::subsequence(vec!['X', 'Y', 'Z', 'E', 'F', 'I', 'J', 'K', 'R', 'S', 'P', 'D', 'L'], 0..6);
    (prop::sample::select(codes.to_vec()), letters, prop::collection::vec(number(), 6)).prop_map(
        |(code, letters, numbers)| {
            let words: String =
                letters.iter().zip(numbers).map(|(letter, number)| format!(" {letter}{number}")).collect();
            format!("{code}{words}")
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]
    #[test]
    fn any_commands_give_finite_times_and_whole_sums(lines in prop::collection::vec(command(), 0..80), set_e: bool, steps_rule: bool) {
        let corner = if steps_rule { "corner_step_mm_s = [8, 8, 0.4, 5]" } else { "corner_deviation_mm = 0.02" };
        let own = machine(&format!("g90_sets_extruder = {set_e}\ntools = 2\n[limits]\n{corner}"));
        let text = lines.join("\n");
        let (steps, summary, motion) = run_on(&own, &text);
        for step in &steps {
            let time = match step {
                Step::Move(step) => step.time_s,
                Step::Event(event) => event.time_s,
            };
            prop_assert!(time.is_finite() && time >= 0.0, "{step:?}");
        }
        let all = only_moves(&steps);
        for step in &all {
            prop_assert!(step.length_mm.is_finite() && step.fed_mm.is_finite() && step.bead_mm3 >= 0.0 && step.blob_mm3 >= 0.0);
            prop_assert!(step.kind == MoveKind::Deposit || step.bead_mm3 == 0.0);
        }
        // Every move starts where the one before it ended, unless the machine homed or was told where it is.
        let named = lines.iter().any(|line| line.contains("G28") || line.contains("G92"));
        for pair in all.windows(2).filter(|_| !named) {
            prop_assert_eq!(pair[0].to, pair[1].from);
        }
        for (tool, filament) in motion.filaments().enumerate() {
            let fed: f64 = all.iter().filter(|step| usize::from(step.tool) == tool).map(|step| step.fed_mm).sum();
            prop_assert!((fed - filament.net_mm).abs() <= 1e-6 * (1.0 + fed.abs()) + 1e-3);
        }
        prop_assert_eq!(summary.lines as usize, if text.is_empty() { 0 } else { lines.len() - usize::from(lines.last().is_some_and(String::is_empty)) });
    }

    #[test]
    fn impossible_limits_give_finite_times(limit in prop::sample::select(vec!["0", "-1", "nan", "1e-300", "inf"]), key in 0usize..5) {
        let keys = ["speed_mm_s", "accel_mm_s2", "accel_print_mm_s2", "accel_travel_mm_s2", "accel_retract_mm_s2"];
        let value = if key < 2 { format!("[{limit}, {limit}, {limit}, {limit}]") } else { limit.to_owned() };
        let own = machine(&format!("[limits]\n{} = {value}", keys[key]));
        let (steps, ..) = run_on(&own, "G1 X1 F600\nG1 E1\nG1 X2 Y1 E2\nG2 X5 I1.5 E3\nG10");
        prop_assert!(!steps.is_empty());
        for step in only_moves(&steps) {
            prop_assert!(step.time_s.is_finite() && step.time_s >= 0.0);
        }
    }

    #[test]
    fn any_bytes_at_all(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let (steps, ..) = run_on(&machine(""), &text);
        let finite = steps.iter().all(|step| !matches!(step, Step::Move(step) if !step.time_s.is_finite()));
        prop_assert!(finite);
    }
}
