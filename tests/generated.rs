//! Generated parts: laid with drawn settings, written in a drawn dialect, read back, and measured. What is
//! measured must be what was asked for. Every failure prints its seed; `Case::of(seed)` makes the part again.
//!
//! `FIRST` and `COUNT` in the environment choose other seeds; so do `FAULTS` for parts with faults and `HARD` for hard
//! shapes, of which `KIND` chooses one kind. `KEEP` names a folder to write the files into.

#[path = "generated/alike.rs"]
mod alike;
#[path = "generated/case.rs"]
mod case;
#[path = "generated/concentric.rs"]
mod concentric;
#[path = "generated/draw.rs"]
mod draw;
#[path = "generated/edit.rs"]
mod edit;
#[path = "generated/faults/mod.rs"]
mod faults;
#[path = "generated/hard/mod.rs"]
mod hard;
#[path = "generated/held.rs"]
mod held;

#[path = "generated/supported.rs"]
mod supported;

use beadwise::rebead::Dialect;
use case::Case;
use held::{measured, wrong_in};
use supported::Supported;

fn from_environment(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|v| v.parse().ok()).unwrap_or(otherwise)
}

/// Writes what was made into the folder `KEEP` of the environment, if there is one, to look at by hand.
fn keep(kind: &str, seed: u64, texts: &[(&str, &str)]) {
    let Ok(folder) = std::env::var("KEEP") else { return };
    for (name, text) in texts {
        let path = format!("{folder}/{}-{seed}-{name}.gcode", kind.replace(' ', "-"));
        std::fs::write(path, text).expect("the folder can be written to");
    }
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
        let default = case.in_dialect(Dialect::default());
        keep("settings", seed, &[("drawn", &case.gcode), ("plain", &default)]);
        let plain = wrong_in(&case, &default);
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

/// Kinds of faults, each with how many seeds of it are tried here.
type FaultKind = (&'static str, fn(u64) -> faults::Pair, u64);
const FAULT_KINDS: &[FaultKind] = &[
    ("flow in a band", faults::flow::in_a_band, 12),
    ("flow in a region", faults::flow::in_a_region, 12),
    ("gap", faults::walls::gap, 12),
    ("gap and starved", faults::walls::gap_and_starved, 12),
    ("few walls", faults::walls::few, 12),
    ("thin place", faults::walls::thin_place, 12),
    ("thin rib", faults::shape::thin_rib, 12),
    ("thin web", faults::shape::thin_web, 12),
    ("thin skin", faults::shape::thin_skin, 12),
    ("weak plane", faults::shape::weak_plane, 12),
    ("words", faults::words::in_a_band, 12),
];

#[test]
fn faults_are_found_where_they_were_put() {
    let first = from_environment("FIRST", 0);
    let only = std::env::var("KIND").unwrap_or_default();
    let mut failed = Vec::new();
    for (kind, pair_of, count) in FAULT_KINDS.iter().filter(|k| k.0.contains(&only)) {
        let count = from_environment("FAULTS", *count);
        for seed in first..first + count {
            let pair = pair_of(seed);
            keep(kind, seed, &[("sound", &pair.sound), ("flawed", &pair.flawed)]);
            let wrong = faults::wrong_about(&pair);
            if !wrong.is_empty() {
                failed.push(format!("{kind}, seed {seed}, {}\n   {}", pair.name, wrong.join("\n   ")));
            }
        }
    }
    assert!(failed.is_empty(), "{} fail:\n{}", failed.len(), failed.join("\n"));
}

/// Kinds of hard shapes, each with how many seeds of it are tried here.
type HardKind = (&'static str, fn(u64) -> hard::Hard, u64);
const HARD_KINDS: &[HardKind] = &[
    ("spiral", hard::odd::spiral, 12),
    ("heights", hard::odd::heights, 12),
    ("every second", hard::odd::every_second, 12),
    ("brim", hard::odd::brim, 12),
    ("ribs", hard::narrow::ribs, 12),
    ("eccentric", hard::narrow::eccentric, 12),
    ("liner", hard::bodies::liner, 12),
    ("tower", hard::bodies::tower, 12),
    ("specks", hard::bodies::specks, 12),
    ("foot", hard::bodies::foot, 12),
    ("support", hard::beside::support, 12),
];

/// Seeds whose faults were told wrongly once: a handful of starved layers at the start of a print passed for usual, a
/// corner missing from several walls took the core with it, and a small place passed for none.
#[test]
fn faults_that_were_missed_once_are_found() {
    let seeds: [(&str, &[u64]); 3] = [
        ("flow in a band", &[1033, 1063, 1090, 2004, 2137, 3071]),
        ("flow in a region", &[1006, 1033, 2057, 2140, 3094, 3136]),
        ("thin place", &[1133, 3036, 3038, 3055, 3105, 3128, 3137]),
    ];
    for (kind, seeds) in seeds {
        let (_, pair_of, _) = FAULT_KINDS.iter().find(|k| k.0 == kind).expect("a kind of fault");
        for seed in seeds {
            let pair = pair_of(*seed);
            let wrong = faults::wrong_about(&pair);
            assert!(wrong.is_empty(), "{kind}, seed {seed}, {}\n   {}", pair.name, wrong.join("\n   "));
        }
    }
}

#[test]
fn hard_shapes_are_measured_back() {
    let first = from_environment("FIRST", 0);
    let only = std::env::var("KIND").unwrap_or_default();
    let mut failed = Vec::new();
    for (kind, case_of, count) in HARD_KINDS.iter().filter(|k| k.0.contains(&only)) {
        let count = from_environment("HARD", *count);
        for seed in first..first + count {
            let hard = case_of(seed);
            keep(kind, seed, &[("hard", &hard.case.gcode)]);
            let wrong: Vec<String> = hard::wrong_about(&hard).into_iter().take(6).collect();
            if !wrong.is_empty() {
                failed.push(format!("{kind}, seed {seed}, {}\n   {}", hard.name(), wrong.join("\n   ")));
            }
        }
    }
    assert!(failed.is_empty(), "{} fail:\n{}", failed.len(), failed.join("\n"));
}

/// Seeds of parts with a brim that were measured wrongly once: specks between the lines of a core that follows the walls
/// hid the core, and a line of it with a pocket over it passed for a skirt.
#[test]
fn brims_that_were_measured_wrongly_once_are_measured_back() {
    for seed in [33, 59, 5047, 11000, 11017] {
        let part = hard::odd::brim(seed);
        let wrong = hard::wrong_about(&part);
        assert!(wrong.is_empty(), "seed {seed}, {}\n   {}", part.name(), wrong.join("\n   "));
    }
}
