//! The program from outside: what it answers, where it says it, and how it ends.

mod run;

use beadwise::profile::Limits;
use beadwise::rebead::specimens::upright_bar;
use beadwise::rebead::{Dialect, Settings, lay, write};
use run::{beadwise, err, out};
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

const DRIFT: &str = "sample-gcode/bearing-drift.gcode";

/// Writes `bytes` to a fresh file and audits it.
fn audit_of(name: &str, bytes: &[u8]) -> Output {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join(name);
    fs::write(&path, bytes).expect("a writable folder");
    beadwise(&["audit", &path.to_string_lossy()])
}

/// Nothing that is no print is taken for one: one clear message, exit code 2, nothing on standard output.
fn is_refused(output: &Output, says: &str) {
    let message = err(output);
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(output.stdout.is_empty());
    assert!(message.contains(says), "{message:?} should say {says:?}");
    assert!(message.lines().count() <= 3, "one clear message: {message:?}");
    assert!(!message.contains("panicked"), "{message}");
}

#[test]
fn the_verdict_comes_first_and_a_mechanic_can_read_it() {
    let output = beadwise(&["audit", DRIFT, "--for", "press-tool"]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    let text = out(&output);
    let head: Vec<&str> = text.lines().take(5).collect();
    let head = head.join("\n");
    assert!(head.starts_with("FAIL"), "{head}");
    assert!(
        head.contains("press tool") && head.contains("2 beads along the edge") && head.contains("at least 5"),
        "{head}"
    );
    assert!(text.lines().all(|line| line.chars().count() <= 80), "a line is wider than 80 columns");
    assert!(!text.contains('\x1b'), "no colour in a pipe");
}

#[test]
fn a_check_that_was_not_asked_for_is_not_passed() {
    let output = beadwise(&["audit", DRIFT]);
    assert_eq!(output.status.code(), Some(0));
    assert!(out(&output).starts_with("NOT CHECKED"));
}

#[test]
fn a_file_alone_is_audited() {
    assert_eq!(out(&beadwise(&[DRIFT])), out(&beadwise(&["audit", DRIFT])));
}

#[test]
fn standard_input_is_audited() {
    let output = Command::new(env!("CARGO_BIN_EXE_beadwise"))
        .args(["audit", "-", "--format", "json"])
        .stdin(fs::File::open(DRIFT).expect("the sample is there"))
        .output()
        .expect("the program starts");
    let audit: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(audit["schema"], "beadwise/audit/1");
    assert_eq!(audit["totals"]["layers"], 72);
}

#[test]
fn what_is_no_print_is_refused_with_one_message() {
    is_refused(&audit_of("empty.gcode", b""), "empty");
    is_refused(&audit_of("words.gcode", b"; nothing here\n\n"), "no plastic");
    let picture = [b"\x89PNG\r\n\x1a\n".as_slice(), &[0, 0, 0, 13, 7, 200, 255, 3]].concat();
    is_refused(&audit_of("picture.gcode", &picture), "picture");
    is_refused(&audit_of("long.gcode", &vec![b'7'; 10_000_000]), "");
    let mut noise = 88_172_645_463_325_252_u64;
    let random: Vec<u8> = (0..200_000)
        .map(|_| {
            // xorshift64, a fixed seed: the same bytes in every run.
            noise ^= noise << 13;
            noise ^= noise >> 7;
            noise ^= noise << 17;
            noise as u8
        })
        .collect();
    is_refused(&audit_of("random.gcode", &random), "");
    is_refused(&beadwise(&["audit", "sample-gcode"]), "folder");
    is_refused(&beadwise(&["audit", "no-such-file.gcode"]), "no-such-file.gcode");
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("secret.gcode");
    fs::write(&path, "G1 X1 E1\n").expect("a writable folder");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).expect("permissions can be set");
    if fs::File::open(&path).is_ok() {
        // Root may read everything; then there is nothing to refuse.
        return;
    }
    is_refused(&beadwise(&["audit", &path.to_string_lossy()]), "secret.gcode");
}

#[test]
fn bad_lines_are_left_out_counted_and_placed() {
    let mut lines: Vec<String> =
        fs::read_to_string(DRIFT).expect("the sample is there").lines().map(str::to_owned).collect();
    lines.insert(40, "G1 X1.2.3 ?!".to_owned());
    lines.insert(80, "@@@@".to_owned());
    let output = audit_of("damaged.gcode", lines.join("\n").as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let text = out(&output);
    assert!(text.contains("2 of ") && text.contains("line 41") && text.contains("line 81"), "{text}");
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("damaged.gcode");
    fs::write(&path, lines.join("\n")).expect("a writable folder");
    let strict = beadwise(&["audit", "--strict", &path.to_string_lossy()]);
    is_refused(&strict, "line 41");
}

#[test]
fn a_truncated_file_is_audited_as_far_as_it_goes() {
    let whole = fs::read(DRIFT).expect("the sample is there");
    let output = audit_of("cut.gcode", &whole[..whole.len() / 2 + 3]);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{}", err(&output));
    assert!(out(&output).contains("layers"));
}

#[test]
fn one_bad_file_does_not_hide_the_others() {
    let output = beadwise(&["audit", "no-such-file.gcode", DRIFT]);
    assert_eq!(output.status.code(), Some(2));
    assert!(out(&output).contains("bearing-drift"));
}

#[test]
fn unknown_names_are_answered_with_what_was_meant() {
    let output = beadwise(&["audit", DRIFT, "--material", "petgcf"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("petg-cf"), "{}", err(&output));
    let output = beadwise(&["audit", DRIFT, "--for", "presstool"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("press-tool"), "{}", err(&output));
}

#[test]
fn slices_stand_side_by_side() {
    let output = beadwise(&["compare", DRIFT, "sample-gcode/bearing-drift-stout.gcode", "--material", "petg-cf"]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let text = out(&output);
    assert!(!text.contains("different parts"), "{text}");
    let row = |name: &str| {
        let line = text.lines().find(|l| l.starts_with(name)).unwrap_or_default();
        line.split_whitespace().skip(name.split(' ').count()).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(row("walls"), "2 6", "{text}");
    let other = beadwise(&["compare", DRIFT, "sample-gcode/rotor-gauge.gcode"]);
    assert!(out(&other).contains("different parts"));
}

#[cfg(unix)]
#[test]
fn a_closed_pipe_does_not_turn_a_fail_into_a_pass() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_beadwise"))
        .args(["audit", DRIFT, "--for", "press-tool", "--format", "json", "--detail"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("the program ends");
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    assert!(!err(&output).contains("panicked"));
}

#[test]
fn help_and_version_are_no_errors() {
    for arguments in [["--help"], ["--version"]] {
        assert_eq!(beadwise(&arguments).status.code(), Some(0));
    }
    assert_eq!(beadwise(&["audit"]).status.code(), Some(2));
    assert!(Path::new(DRIFT).exists());
}

#[test]
fn no_trouble_lies_above_the_last_layer() {
    // Three layers with a core right down to the bed, where the profile wants five solid ones.
    let slices = upright_bar(30.0, 20.0, 0.6, 0.2);
    let settings = Settings { bottom_skins: 0, top_skins: 0, ..Settings::default() };
    let file = write(&lay(&slices, &settings), &Dialect::default(), &Limits::default());
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("plate.gcode");
    fs::write(&path, file).expect("a writable folder");
    let output = beadwise(&["audit", &path.to_string_lossy(), "--for", "press-tool", "--format", "json"]);
    let told: serde_json::Value = serde_json::from_str(&out(&output)).expect("JSON");
    let findings = told["findings"].as_array().expect("a list of findings");
    let skins = findings.iter().filter(|f| f["code"] == "thin-skin");
    let layers: Vec<&serde_json::Value> = skins.map(|f| &f["layers"]).collect();
    assert_eq!(layers, [&serde_json::json!([0, 2]); 2], "floor and roof: {findings:?}");
}
