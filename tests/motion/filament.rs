//! What is fed, what is laid, what is owed.

use super::{assert_near, machine, moves, only_moves, run, run_on};
use approx::assert_relative_eq;
use beadwise::motion::{Motion, MoveKind, Steps};
use beadwise::profile::Annotations;
use std::f64::consts::PI;

/// Section of 1.75 mm filament, mm².
const FILAMENT_MM2: f64 = PI * 1.75 * 1.75 / 4.0;

#[test]
fn a_bead_of_known_width() {
    // 0.45 x 0.20 needs E = 0.033849 mm for each mm with 1.75 mm filament, 0.012762 with 2.85 (geometry).
    let area = (0.45 - 0.2) * 0.2 + PI * 0.01;
    let bead = moves("G1 X100 E3.3849 F3600")[0];
    assert_eq!(bead.kind, MoveKind::Deposit);
    assert_relative_eq!(bead.bead_mm3 / bead.length_mm, area, max_relative = 2e-5);
    // Flow at 60 mm/s: 4.885 mm³/s (geometry).
    assert_relative_eq!(bead.bead_mm3 / (bead.length_mm / bead.feed_mm_s), 4.885, max_relative = 1e-4);
    let thick = machine("filament_mm = 2.85");
    let bead = only_moves(&run_on(&thick, "G1 X100 E1.2762 F3600").0)[0];
    assert_relative_eq!(bead.bead_mm3 / bead.length_mm, area, max_relative = 1e-4);
}

#[test]
fn kinds_of_moves() {
    let text =
        "M83\nG0 X10 F3000\nG1 X20 E0.4\nG1 E-0.8 F2100\nG0 X30\nG1 E0.8\nG1 X29 E-0.5\nG1 X40 E0.5\nG1 X50 E0.1";
    let kinds: Vec<MoveKind> = moves(text).iter().map(|step| step.kind).collect();
    use MoveKind::{Deposit, Prime, Retract, Travel};
    assert_eq!(kinds, [Travel, Deposit, Retract, Travel, Prime, Retract, Prime, Deposit]);
}

#[test]
fn a_debt_is_paid_along_the_move() {
    // 0.8 pulled back; a move that feeds 1.2 lays 0.4 evenly over its length.
    let all = moves("M83\nG1 E-0.8 F2100\nG1 X10 E1.2 F600");
    assert_relative_eq!(all[1].bead_mm3, 0.4 * FILAMENT_MM2, epsilon = 1e-9);
    assert_relative_eq!(all[1].fed_mm, 1.2, epsilon = 1e-12);
    let chords = moves("M83\nG1 X5 F600\nG1 E-0.8\nG3 I5 E1.2");
    for chord in &chords[2..] {
        assert_relative_eq!(chord.bead_mm3 / chord.length_mm, 0.4 * FILAMENT_MM2 / (10.0 * PI), epsilon = 1e-9);
    }
}

#[test]
fn feed_beyond_the_debt_without_a_path_is_a_blob() {
    let all = moves("M83\nG1 E-0.8 F2100\nG1 E3");
    assert_eq!(all[1].kind, MoveKind::Prime);
    assert_relative_eq!(all[1].blob_mm3, 2.2 * FILAMENT_MM2, epsilon = 1e-9);
    assert_relative_eq!(all[1].bead_mm3, 0.0);
}

#[test]
fn each_tool_owes_its_own() {
    let twin = machine("tools = 2");
    let (steps, _, motion) =
        run_on(&twin, "M83\nG1 X10 E2 F600\nG1 E-5\nT1\nG1 X20 E1\nG1 E-5\nT0\nG1 E5\nG1 X30 E1\nT1\nG1 X40 E6");
    let filaments: Vec<_> = motion.filaments().collect();
    assert_near(&[filaments[0].peak_mm, filaments[1].peak_mm], &[3.0, 2.0]);
    let beads: Vec<f64> =
        only_moves(&steps).iter().map(|step| step.bead_mm3 / FILAMENT_MM2).filter(|b| *b > 0.0).collect();
    assert_near(&beads, &[2.0, 1.0, 1.0, 1.0]);
}

#[test]
fn absolute_and_relative_extruder() {
    // The same beads written both ways feed the same.
    let absolute = moves("M82\nG92 E0\nG1 X10 E0.4 F600\nG1 E-0.4\nG92 E0\nG1 E0.8\nG1 X20 E1.2");
    let relative = moves("M83\nG1 X10 E0.4 F600\nG1 E-0.8\nG1 E0.8\nG1 X20 E0.4");
    for (one, other) in absolute.iter().zip(&relative) {
        assert_relative_eq!(one.fed_mm, other.fed_mm, epsilon = 1e-12);
        assert_relative_eq!(one.bead_mm3, other.bead_mm3, epsilon = 1e-9);
    }
}

#[test]
fn flow_override_is_what_the_motor_feeds() {
    let all = moves("M83\nM221 S95\nG1 X10 E0.4 F600\nM221 S100\nG1 X20 E0.4");
    assert_near(&[all[0].fed_mm, all[1].fed_mm], &[0.38, 0.4]);
    // M221 T names the tool.
    let twin = machine("tools = 2");
    let all = only_moves(&run_on(&twin, "M83\nM221 T1 S50\nG1 X10 E1 F600\nT1\nG1 X20 E1").0);
    assert_near(&[all[0].fed_mm, all[1].fed_mm], &[1.0, 0.5]);
}

#[test]
fn volumetric_extruder_counts_mm3() {
    // M200 D: E is mm³ from here on, so 2.4053 mm³ of 1.75 mm filament is 1 mm. Common practice, no source.
    let all = moves("M83\nM200 D1.75\nG1 X10 E2.4052819 F600\nM200 D0\nG1 X20 E1");
    assert_relative_eq!(all[0].fed_mm, 1.0, epsilon = 1e-6);
    assert_relative_eq!(all[0].bead_mm3, 2.405_281_9, epsilon = 1e-9);
    assert_relative_eq!(all[1].fed_mm, 1.0, epsilon = 1e-12);
}

#[test]
fn a_filament_diameter_in_the_file_is_taken_and_told() {
    let (steps, summary, _) = run("M83\nM200 D2.85\nG1 X10 E2 F600");
    assert_relative_eq!(only_moves(&steps)[0].bead_mm3, 2.0, epsilon = 1e-9);
    assert!(summary.diagnostics.iter().any(|diagnostic| diagnostic.code == "filament-diameter"));
}

#[test]
fn the_diameter_can_be_set_for_each_tool() {
    let twin = machine("tools = 2");
    let motion = Motion::new(&twin, &Annotations::none()).with_filament_mm(1, 2.85);
    let steps: Vec<_> = Steps::new(b"M83\nG1 X10 E1 F600\nT1\nG1 X20 E1", motion).collect();
    let all = only_moves(&steps);
    assert_relative_eq!(all[1].bead_mm3 / all[0].bead_mm3, (2.85f64 / 1.75).powi(2), epsilon = 1e-9);
}

#[test]
fn the_machine_pulls_back_by_itself() {
    // G10 and G11 with M207 (S mm, F mm/min, Z lift) and M208 (S more, F): common practice, no source.
    let text = "M207 S2 F3000 Z0.6\nM208 S0.1 F1500\nG1 X10 E1 F600\nG10\nG10\nG0 X20\nG11\nG11\nG1 X30 E2";
    let all = moves(text);
    let fed: Vec<f64> = all.iter().map(|step| step.fed_mm).collect();
    assert_near(&fed, &[1.0, -2.0, 0.0, 0.0, 0.0, 2.1, 1.0]);
    let heights: Vec<f64> = all.iter().map(|step| step.to[2]).collect();
    assert_near(&heights, &[0.0, 0.0, 0.6, 0.6, 0.0, 0.0, 0.0]);
    assert_near(&[all[1].feed_mm_s, all[5].feed_mm_s], &[50.0, 25.0]);
    assert_relative_eq!(all[5].blob_mm3, 0.1 * FILAMENT_MM2, epsilon = 1e-9);
}

#[test]
fn forward_without_back_feeds_nothing() {
    assert!(moves("M207 S2 F3000\nG11").is_empty());
}

#[test]
fn a_table_of_offsets_is_no_retraction() {
    // NISTIR 6556, 3.5.5: G10 L2 P sets a coordinate system.
    let (steps, summary, _) = run("M207 S2 F3000\nG10 L2 P1 X0 Y0\nG10 P2 X33 Y0 Z0");
    assert!(steps.is_empty());
    assert_eq!(summary.unknown_commands(), 2);
}

#[test]
fn flow_switched_without_amounts_is_told() {
    let (_, summary, _) = run("M101\nG1 X10 F600\nG1 X20\nM103\nG1 X30");
    assert_eq!(summary.unmeasured_flow_moves, 2);
    assert!(summary.dialect().iter().any(|fact| fact.contains("M101")));
    // With amounts, they count, whatever the switch says.
    let (steps, summary, _) = run("M103\nG1 E1 F600\nM101\nG1 X20 E2\nG1 X30");
    assert_eq!(summary.unmeasured_flow_moves, 0);
    assert_relative_eq!(only_moves(&steps).iter().map(|step| step.fed_mm).sum::<f64>(), 2.0, epsilon = 1e-12);
}
