//! Every example that the help shows is run as it stands there.

#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// Runs one line of a shell where the samples are, with the program on the path.
fn shell(folder: &Path, line: &str) -> Output {
    let program = Path::new(env!("CARGO_BIN_EXE_beadwise"));
    let path = format!("{}:/usr/bin:/bin", program.parent().expect("a folder").display());
    Command::new("sh")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", path)
        .env("XDG_CONFIG_HOME", folder.join("no-settings"))
        .stdin(Stdio::null())
        .output()
        .expect("a shell")
}

fn help(folder: &Path, command: &str) -> String {
    let output = shell(folder, &format!("beadwise {command} --help"));
    assert_eq!(output.status.code(), Some(0), "help of {command}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Names in the list of commands of a help text.
fn commands(help: &str) -> Vec<String> {
    let list = help.split("Commands:\n").nth(1).unwrap_or_default();
    let lines = list.lines().take_while(|l| !l.trim().is_empty());
    // Wrapped descriptions stand further in than names.
    let names = lines.filter(|l| l.starts_with("  ") && !l.starts_with("   "));
    names.filter_map(|l| l.split_whitespace().next()).filter(|n| *n != "help").map(str::to_owned).collect()
}

/// Lines under "Examples:".
fn examples(help: &str) -> Vec<String> {
    let after = help.split("Examples:\n").nth(1).unwrap_or_default();
    let block: Vec<&str> = after.lines().take_while(|l| !l.trim().is_empty()).collect();
    assert!(block.iter().all(|l| l.starts_with("  ")), "an example is too long for a line: {block:?}");
    block.into_iter().map(|l| l.trim().to_owned()).collect()
}

/// A fresh folder with the samples in it, as the examples name them.
fn folder_with_samples() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let samples = folder.path().join("sample-gcode");
    fs::create_dir(&samples).expect("a writable folder");
    for entry in fs::read_dir("sample-gcode").expect("the samples") {
        let path = entry.expect("a readable entry").path();
        fs::copy(&path, samples.join(path.file_name().expect("a name"))).expect("a copy");
    }
    folder
}

/// Runs every line; a part may fail its check, but nothing may go wrong.
fn run_all(folder: &Path, lines: &[String]) {
    for line in lines {
        let output = shell(folder, line);
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{line}\n{said}");
        assert!(!said.contains("panicked"), "{line}: {said}");
    }
}

#[test]
fn every_example_of_the_readme_runs() {
    let readme = fs::read_to_string("README.md").expect("the README");
    let lines: Vec<String> = readme
        .lines()
        .filter_map(|l| l.strip_prefix("    "))
        .filter(|l| l.starts_with("beadwise "))
        .map(str::to_owned)
        .collect();
    assert!(lines.len() >= 10, "few examples were found: {lines:?}");
    let folder = folder_with_samples();
    run_all(folder.path(), &lines);
}

#[test]
fn every_example_of_the_help_runs() {
    let folder = folder_with_samples();
    let main = help(folder.path(), "");
    let commands = commands(&main);
    assert!(commands.len() >= 4, "the list of commands was not understood:\n{main}");
    let mut lines = examples(&main);
    for command in &commands {
        lines.extend(examples(&help(folder.path(), command)));
    }
    assert!(lines.len() >= 10, "few examples were found: {lines:?}");
    run_all(folder.path(), &lines);
}
