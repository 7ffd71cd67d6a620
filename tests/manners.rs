//! Manners: colour, width, many files, quiet, inches, no terminal, pages, man pages, completions.

mod run;

use run::{beadwise, command, err, out};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const DRIFT: &str = "sample-gcode/bearing-drift.gcode";

fn samples() -> Vec<String> {
    let entries = fs::read_dir("sample-gcode").expect("the samples");
    let mut names: Vec<String> =
        entries.map(|e| e.expect("a readable entry").path().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// The text without colour.
fn plain(text: &str) -> String {
    let mut plain = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("\x1b[") {
        plain.push_str(before);
        rest = after.split_once('m').map_or("", |(_, after)| after);
    }
    plain + rest
}

/// A folder with the sample in it.
fn folder_with_drift() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("drift.gcode");
    fs::copy(DRIFT, &path).expect("a copy");
    (folder, path)
}

#[test]
fn colour_says_nothing_that_the_words_do_not() {
    let asked = ["audit", DRIFT, "--for", "press-tool", "--material", "petg"];
    let painted = out(&beadwise(&[&asked[..], &["--color", "always"]].concat()));
    let bare = out(&beadwise(&[&asked[..], &["--color", "never"]].concat()));
    assert!(painted.contains("\x1b[1;31mFAIL"), "{painted}");
    assert_eq!(plain(&painted), bare);
    assert_eq!(out(&beadwise(&asked)), bare, "a pipe gets no colour");
    // https://no-color.org speaks of colour that is added by default; who asks for it gets it.
    let always = command(&[&asked[..], &["--color", "always"]].concat()).env("NO_COLOR", "1").output();
    assert_eq!(out(&always.expect("the program starts")), painted);
}

#[test]
fn text_fits_eighty_columns_in_either_unit() {
    for units in ["metric", "inch"] {
        for more in [&[][..], &["-v"], &["--for", "press-tool", "--material", "petg"], &["--color", "always"]] {
            for sample in samples() {
                let text = out(&beadwise(&[&["audit", &sample, "--units", units], more].concat()));
                let wide = plain(&text).lines().find(|l| l.chars().count() > 80).map(str::to_owned);
                assert_eq!(wide, None, "{sample} {units} {more:?}");
            }
        }
    }
}

#[test]
fn five_slices_side_by_side_fit_as_well() {
    let drift = [DRIFT; 5];
    let text = out(&beadwise(&[&["compare"], &drift[..], &["--load", "press; force = 2 kN; face = top"]].concat()));
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    assert_eq!(text.lines().filter(|l| l.starts_with("weakest section")).count(), 2, "two blocks:\n{text}");
    assert!(text.contains("[5]") && text.contains("  reserve "), "{text}");
}

#[test]
fn inches_go_through_the_whole_text() {
    let text = out(&beadwise(&["audit", DRIFT, "--units", "inch", "--material", "petg", "-v"]));
    for unit in [" mm", "mm²", "cm³", " g,", "°C"] {
        assert!(!text.contains(unit), "`{unit}` is left in\n{text}");
    }
    // 34 mm are 1.339 in, by 25.4 mm to the inch.
    assert!(text.contains("1.339 x 1.339 x 0.709 in"), "{text}");
}

#[test]
fn many_files_get_a_line_each_and_a_sum() {
    let files = samples();
    let mut asked: Vec<&str> = vec!["audit", "no-such-file.gcode"];
    asked.extend(files.iter().map(String::as_str));
    asked.extend(["--material", "petg", "--for", "holder"]);
    let output = beadwise(&asked);
    assert_eq!(output.status.code(), Some(2), "one could not be read");
    let text = out(&output);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), files.len() + 2, "{text}");
    for (line, file) in lines.iter().zip(&files) {
        assert!(line.ends_with(file.as_str()), "{line}");
    }
    let passes = lines.iter().filter(|l| l.starts_with("PASS ")).count();
    let fails = lines.iter().filter(|l| l.starts_with("FAIL ")).count();
    assert_eq!(passes + fails, files.len(), "{text}");
    assert!(
        lines[files.len()].starts_with(&format!("{} files: {passes} pass, {fails} fail, 1 not read", files.len() + 1)),
        "{text}"
    );
    assert!(err(&output).contains("no-such-file.gcode"));
}

#[test]
fn quiet_leaves_the_verdict_and_verbose_shows_every_layer() {
    let quiet = out(&beadwise(&["-q", "audit", DRIFT, "--for", "press-tool"]));
    assert!(quiet.starts_with("FAIL") && quiet.lines().count() <= 2, "{quiet}");
    let verbose = out(&beadwise(&["-v", "audit", DRIFT]));
    // 72 layers, each in a row of its own.
    assert!(verbose.lines().count() > 72 + 20, "{verbose}");
}

#[test]
fn a_page_is_written_and_nothing_is_lost_by_it() {
    let (folder, drift) = folder_with_drift();
    let page = folder.path().join("page.html");
    let (drift_text, page_text) = (drift.to_string_lossy(), page.to_string_lossy());
    let output = beadwise(&["audit", &drift_text, "--for", "press-tool", "--report", &page_text]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    assert!(out(&output).starts_with("FAIL"));
    let html = fs::read_to_string(&page).expect("a page");
    assert!(html.starts_with("<!DOCTYPE html>") && html.trim_end().ends_with("</html>"));
    assert_eq!(out(&beadwise(&["audit", &drift_text, "--for", "press-tool", "--format", "html"])), html);
    assert!(!html.contains("http://") && !html.contains("https://"), "nothing from elsewhere");
    let over_itself = beadwise(&["audit", &drift_text, "--report", &drift_text]);
    assert_eq!(over_itself.status.code(), Some(2));
    assert_eq!(fs::read(&drift).expect("the file"), fs::read(DRIFT).expect("the sample"));
}

#[test]
fn several_pages_go_into_a_folder() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let into = folder.path().to_string_lossy();
    let both = [DRIFT, "sample-gcode/rotor-gauge.gcode"];
    assert_eq!(beadwise(&["audit", both[0], both[1], "--report", &into]).status.code(), Some(0));
    for name in ["bearing-drift.html", "rotor-gauge.html"] {
        assert!(folder.path().join(name).is_file(), "{name}");
    }
    let one_file = folder.path().join("both.html");
    let refused = beadwise(&["audit", both[0], both[1], "--report", &one_file.to_string_lossy()]);
    assert_eq!(refused.status.code(), Some(2));
    assert_eq!(beadwise(&["audit", both[0], both[1], "--format", "html"]).status.code(), Some(2));
}

#[test]
fn names_from_a_file_are_only_words_on_a_page() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("<script>alert(1)<script>.gcode");
    if fs::copy(DRIFT, &path).is_err() {
        return; // Some systems have no such names.
    }
    let html = out(&beadwise(&["audit", &path.to_string_lossy(), "--format", "html"]));
    assert!(html.contains("&lt;script&gt;alert(1)"), "the name is there");
    assert!(!html.contains("<script>alert"), "and it is no script");
}

/// Runs in no terminal, with nobody to read what is printed: as a desktop starts a program.
#[cfg(unix)]
fn drop_on_icon(files: &[&Path]) -> Option<i32> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_beadwise"));
    command.args(files).env("XDG_CONFIG_HOME", "/no-settings");
    let status = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).status();
    status.expect("the program starts").code()
}

#[cfg(unix)]
#[test]
fn a_file_dropped_on_the_icon_gets_its_page_beside_it() {
    let (folder, drift) = folder_with_drift();
    assert_eq!(drop_on_icon(&[&drift]), Some(0));
    let page = folder.path().join("drift.html");
    assert!(fs::read_to_string(&page).expect("a page").contains("Core log"));
    // Again: the page is ours and is renewed. A page of somebody else's is left alone.
    fs::write(folder.path().join("other.html"), "my notes").expect("a writable folder");
    let other = folder.path().join("other.gcode");
    fs::copy(DRIFT, &other).expect("a copy");
    assert_eq!(drop_on_icon(&[&drift, &other]), Some(0));
    assert_eq!(fs::read_to_string(folder.path().join("other.html")).expect("the notes"), "my notes");
    assert!(folder.path().join("other-2.html").is_file());
    assert!(!folder.path().join("drift-2.html").exists());
}

#[cfg(unix)]
#[test]
fn what_is_collected_in_a_pipe_leaves_no_page() {
    let (folder, drift) = folder_with_drift();
    assert!(out(&beadwise(&[&drift.to_string_lossy()])).starts_with("NOT CHECKED"));
    assert!(!folder.path().join("drift.html").exists());
}

#[test]
fn shells_and_man_find_what_they_need() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let text = out(&beadwise(&["completions", shell]));
        assert!(text.contains("beadwise") && text.contains("compare"), "{shell}");
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    assert_eq!(beadwise(&["manual", &folder.path().to_string_lossy()]).status.code(), Some(0));
    let page = fs::read_to_string(folder.path().join("beadwise-audit.1")).expect("a man page");
    assert!(page.contains(".SH NAME") && page.contains("report"), "{page}");
    assert!(folder.path().join("beadwise.1").is_file());
    assert_eq!(beadwise(&["manual", "no-such-folder"]).status.code(), Some(2));
}
