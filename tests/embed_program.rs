//! `beadwise embed` as a person uses it.

mod run;

use run::{beadwise_in as beadwise, sample};
use std::fs;
use std::path::Path;

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A folder with one sample as `part.gcode`.
fn folder_with(name: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("part.gcode"), sample(name)).expect("a file");
    folder
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn the_tray_gets_one_stop_for_eight_discs() {
    let folder = folder_with("magnet-tray.gcode");
    let listed = beadwise(folder.path(), &["embed", "part.gcode"]);
    assert_eq!(listed.status.code(), Some(0));
    assert!(text(&listed.stdout).contains("8 pockets need a stop, 1 is open"));
    assert!(text(&listed.stdout).contains("fits: disc-6x2 (0.20 beside, 0.20 above)\n"));
    assert!(text(&listed.stdout).contains("  p1-p8 8 round pockets 6.20 mm wide"), "{}", text(&listed.stdout));
    assert!(text(&listed.stdout).ends_with("to write the stops, add: --insert disc-6x2 -o NEW-FILE\n"));
    let listing = text(&listed.stdout);
    assert!(listing.lines().all(|line| !line.ends_with(" y")), "a place is broken in two: {listing}");
    assert!(listing.lines().all(|line| line.chars().count() <= 80), "{listing}");
    let made = beadwise(folder.path(), &["embed", "part.gcode", "--insert", "disc-6x2", "-o", "stopped.gcode"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let stopped = fs::read(folder.path().join("stopped.gcode")).expect("a new file");
    assert_eq!(text(&stopped).lines().filter(|line| *line == "M0").count(), 1);
    assert_eq!(text(&stopped).matches("disc-6x2 into p").count(), 8);
    assert!(text(&made.stdout).contains("part.gcode: 1 stop\n  after layer 16 (z 3.40)"));
    assert_eq!(fs::read(folder.path().join("part.gcode")).expect("the original"), sample("magnet-tray.gcode"));
    let undone = beadwise(folder.path(), &["embed", "--undo", "stopped.gcode", "-o", "back.gcode"]);
    assert_eq!(undone.status.code(), Some(0), "{}", text(&undone.stderr));
    assert_eq!(fs::read(folder.path().join("back.gcode")).expect("it back"), sample("magnet-tray.gcode"));
}

#[test]
fn the_bracket_gets_its_nut_in_place_once() {
    let folder = folder_with("stand-bracket.gcode");
    let embed = || beadwise(folder.path(), &["embed", "--insert", "m6-nut", "--in-place", "part.gcode"]);
    let first = embed();
    assert_eq!(first.status.code(), Some(0), "{}", text(&first.stderr));
    assert_eq!(names(folder.path()), ["part.gcode", "part.gcode.orig"]);
    let stopped = fs::read(folder.path().join("part.gcode")).expect("the new file");
    let again = embed();
    assert!(text(&again.stdout).contains("all were there already, nothing changed"), "{}", text(&again.stdout));
    assert_eq!(fs::read(folder.path().join("part.gcode")).expect("the new file"), stopped);
    assert_eq!(names(folder.path()), ["part.gcode", "part.gcode.orig"]);
    let back = beadwise(folder.path(), &["embed", "--undo", "--in-place", "part.gcode"]);
    assert_eq!(back.status.code(), Some(0), "{}", text(&back.stderr));
    assert_eq!(fs::read(folder.path().join("part.gcode")).expect("it back"), sample("stand-bracket.gcode"));
}

#[test]
fn what_does_not_fit_is_refused_with_by_how_much() {
    let folder = folder_with("magnet-tray.gcode");
    for (insert, reason) in [
        ("disc-10x3", "p1, p2, p3, p4, p5, p6, p7, p8: disc-10x3 is 3.80 mm too wide"),
        ("disc-6x3", "disc-6x3 would stand 0.80 mm proud after layer 16"),
        ("disc 2x2", "disc-2x2 would lie loose, with 4.20 mm room beside"),
    ] {
        let refused = beadwise(folder.path(), &["embed", "part.gcode", "--insert", insert, "-o", "stopped.gcode"]);
        assert_eq!(refused.status.code(), Some(1));
        assert!(text(&refused.stderr).contains(reason), "{}", text(&refused.stderr));
        assert_eq!(names(folder.path()), ["part.gcode"]);
    }
}

#[test]
fn one_pocket_can_be_named() {
    let folder = folder_with("magnet-tray.gcode");
    let made = beadwise(folder.path(), &["embed", "part.gcode", "--pocket", "P3=disc-6x2", "-o", "-"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    assert_eq!(text(&made.stdout).matches("disc-6x2 into p").count(), 1);
    assert!(text(&made.stdout).contains("disc-6x2 into p3 at x 118.5 y 100.0"));
    for (pocket, code) in [("p12=disc-6x2", 2), ("p3=disc-6x3", 1), ("p3", 2), ("p3=nothing", 2)] {
        let refused = beadwise(folder.path(), &["embed", "part.gcode", "--pocket", pocket, "-o", "new.gcode"]);
        assert_eq!(refused.status.code(), Some(code), "{pocket}: {}", text(&refused.stderr));
    }
    assert_eq!(names(folder.path()), ["part.gcode"]);
}

#[test]
fn a_dry_run_shows_the_lines_and_writes_nothing() {
    let folder = folder_with("bearing-drift.gcode");
    let shown = beadwise(folder.path(), &["embed", "part.gcode", "--at-z", "3", "--note", "red", "--dry-run"]);
    assert_eq!(shown.status.code(), Some(0), "{}", text(&shown.stderr));
    assert!(text(&shown.stdout).contains(" + ; beadwise note: red\n"));
    assert!(text(&shown.stdout).contains(" + M0\n"));
    assert_eq!(names(folder.path()), ["part.gcode"]);
}

#[test]
fn slips_are_usage_errors_and_change_nothing() {
    let folder = folder_with("bearing-drift.gcode");
    fs::write(folder.path().join("empty.gcode"), "").expect("a file");
    let cases: [&[&str]; 7] = [
        &["part.gcode", "--at-layer", "100000", "-o", "new.gcode"],
        &["part.gcode", "--at-z", "-3", "-o", "new.gcode"],
        &["part.gcode", "--at-layer", "3", "-o", "part.gcode"],
        &["part.gcode", "--at-layer", "3", "-o", "none/new.gcode"],
        &["part.gcode", "--undo", "-o", "new.gcode"],
        &["missing.gcode", "--at-layer", "3"],
        &["empty.gcode", "--at-layer", "3"],
    ];
    for arguments in cases {
        let refused = beadwise(folder.path(), &[&["embed"], arguments].concat());
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}: {}", text(&refused.stderr));
        assert!(text(&refused.stderr).starts_with("beadwise: "), "{arguments:?}");
    }
    assert_eq!(names(folder.path()), ["empty.gcode", "part.gcode"]);
    assert_eq!(fs::read(folder.path().join("part.gcode")).expect("the original"), sample("bearing-drift.gcode"));
}

#[test]
fn a_shop_has_its_own_inserts_and_may_think_in_inches() {
    let folder = folder_with("magnet-tray.gcode");
    fs::create_dir_all(folder.path().join("ours/inserts")).expect("a folder");
    fs::write(folder.path().join("beadwise.toml"), "units = \"inch\"\nprofiles = [\"ours\"]\n").expect("a file");
    let own = "[[insert]]\nname = \"felt-dot\"\nshape = \"disc\"\ndiameter_mm = 5.9\nheight_mm = 1.8\n";
    fs::write(folder.path().join("ours/inserts/soft.toml"), own).expect("a file");
    let listed = beadwise(folder.path(), &["embed", "part.gcode"]);
    assert!(text(&listed.stdout).contains("felt-dot"), "{}{}", text(&listed.stdout), text(&listed.stderr));
    // 6.2 mm is 0.244 in.
    assert!(text(&listed.stdout).contains("round pockets 0.244 in wide"), "{}", text(&listed.stdout));
    let made = beadwise(folder.path(), &["embed", "part.gcode", "--insert", "felt-dot", "--dry-run"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let refused = beadwise(folder.path(), &["embed", "part.gcode", "--insert", "disc-10x3", "--dry-run"]);
    assert!(text(&refused.stderr).contains("disc-10x3 is 0.150 in too wide"), "{}", text(&refused.stderr));
    let high = beadwise(folder.path(), &["embed", "part.gcode", "--at-z", "1/8 in", "--dry-run"]);
    assert!(text(&high.stdout).contains("after layer 14 (z 0.118)"), "{}{}", text(&high.stdout), text(&high.stderr));
}
