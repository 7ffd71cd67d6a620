//! Generated parts: laid with drawn settings, written in a drawn dialect, read back, and measured. What is
//! measured must be what was asked for. Every failure prints its seed; `Case::of(seed)` makes the part again.
//!
//! `FIRST` and `COUNT` in the environment choose other seeds.

#[path = "generated/alike.rs"]
mod alike;
#[path = "generated/case.rs"]
mod case;
#[path = "generated/concentric.rs"]
mod concentric;
#[path = "generated/draw.rs"]
mod draw;
#[path = "generated/flawed.rs"]
mod flawed;
#[path = "generated/held.rs"]
mod held;

#[path = "generated/supported.rs"]
mod supported;

use beadwise::rebead::Dialect;
use case::Case;
use flawed::{Twins, wrong_about};
use held::{measured, wrong_in};
use supported::Supported;

fn from_environment(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|v| v.parse().ok()).unwrap_or(otherwise)
}

/// One case in a line, for the list of failures.
fn named(case: &Case) -> String {
    let s = &case.settings;
    format!(
        "{}: {} walls of {} mm, layers of {} mm, {:?}, {:?}, {:?}, {} brim loops",
        case.shape,
        s.walls,
        s.bead_width_mm,
        case.truth.layers.last().map_or(0.0, |l| l.height_mm),
        s.core,
        s.wall_order,
        s.seam,
        s.brim_loops
    )
}

/// Measures the cases of some seeds, and says which are measured otherwise than they were laid.
fn failures(first: u64, count: u64, case_of: fn(u64) -> Case) -> Vec<String> {
    let mut failed = Vec::new();
    for seed in first..first + count {
        let case = case_of(seed);
        let wrong = wrong_in(&case, &case.gcode);
        if wrong.is_empty() {
            continue;
        }
        let plain = wrong_in(&case, &case.in_dialect(Dialect::default()));
        let dialect = if plain.is_empty() { format!("\n   only in {:?}", case.dialect) } else { String::new() };
        let wrong: Vec<String> = wrong.into_iter().take(6).collect();
        failed.push(format!("seed {seed}, {}{dialect}\n   {}", named(&case), wrong.join("\n   ")));
    }
    failed
}

#[test]
fn settings_are_measured_back() {
    let count = from_environment("COUNT", 240);
    let failed = failures(from_environment("FIRST", 0), count, Case::of);
    assert!(failed.is_empty(), "{} of {count} cases fail:\n{}", failed.len(), failed.join("\n"));
}

#[test]
fn cores_of_loops_are_measured_back() {
    let failed = failures(0, concentric::COUNT, concentric::case);
    assert!(failed.is_empty(), "{} fail:\n{}", failed.len(), failed.join("\n"));
}

#[test]
fn loops_as_close_as_walls_are_told_by_other_layers() {
    let failed = failures(0, concentric::CLOSE_COUNT, concentric::close_case);
    assert!(failed.is_empty(), "{} fail:\n{}", failed.len(), failed.join("\n"));
}

#[test]
fn support_and_bridges_are_told_without_comments() {
    let first = from_environment("FIRST", 0);
    let count = from_environment("SUPPORTED", 80);
    let mut failed = Vec::new();
    for seed in first..first + count {
        let part = Supported::of(seed);
        let wrong: Vec<String> = part.wrong().into_iter().take(6).collect();
        if !wrong.is_empty() {
            failed.push(format!("seed {seed}, {}, {}\n   {}", named(&part.case), part.kind, wrong.join("\n   ")));
        }
    }
    assert!(failed.is_empty(), "{} of {count} fail:\n{}", failed.len(), failed.join("\n"));
}

#[test]
fn every_dialect_gives_the_same_audit() {
    // A plate with holes, a pocket for a disc and one for a nut, a ring.
    let mut failed = Vec::new();
    for seed in [25, 43, 85, 8] {
        let case = Case::of(seed);
        let plain = measured(&case.in_dialect(Dialect::default())).expect("a print");
        for (name, dialect, time) in alike::dialects() {
            let other = measured(&case.in_dialect(dialect.clone())).expect("a print");
            let found = alike::differences(&plain, &other, time, &dialect);
            if !found.is_empty() {
                failed.push(format!("seed {seed}, {}, {name}:\n   {}", named(&case), found.join("\n   ")));
            }
        }
    }
    assert!(failed.is_empty(), "{} differ:\n{}", failed.len(), failed.join("\n"));
}

#[test]
fn faults_are_found_and_sound_twins_are_clean() {
    let first = from_environment("FIRST", 0);
    let count = from_environment("FAULTS", 60);
    let mut failed = Vec::new();
    for seed in first..first + count {
        let twins = Twins::of(seed);
        let wrong = wrong_about(&twins);
        if !wrong.is_empty() {
            failed.push(format!("seed {seed}, {}\n   {}", named(&twins.flawed), wrong.join("\n   ")));
        }
    }
    assert!(failed.is_empty(), "{} of {count} twins fail:\n{}", failed.len(), failed.join("\n"));
}
