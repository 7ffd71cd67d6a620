//! Runs the program as a person would, away from any settings of this machine.
#![allow(dead_code)] // Each test file needs some of it.

use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program with these arguments, no settings of anybody's, and nothing on standard input.
pub fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_beadwise"));
    command.args(arguments).env_remove("NO_COLOR").env("XDG_CONFIG_HOME", "/no-settings").stdin(Stdio::null());
    command
}

/// What it does here.
pub fn beadwise(arguments: &[&str]) -> Output {
    command(arguments).output().expect("the program starts")
}

/// What it does in a folder.
pub fn beadwise_in(folder: &Path, arguments: &[&str]) -> Output {
    command(arguments).current_dir(folder).output().expect("the program starts")
}

/// What it answered.
pub fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// What it complained of.
pub fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A sample's bytes.
pub fn sample(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-gcode").join(name)).expect("a sample")
}
