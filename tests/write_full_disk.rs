//! A disk that fills up while a file is written: a clear error, and nothing lost.

#![cfg(target_os = "linux")]

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs this very test program again as a writer that may write files of at most 64 KiB: the system then says
/// "file too large" where a full disk says "no space left", at the same place.
fn write_with_little_room(path: &Path) -> std::process::Output {
    let program = std::env::current_exe().expect("the test program");
    Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f 64; exec \"$0\" --exact writes_what_it_is_told --nocapture"])
        .arg(program)
        .env("BEADWISE_TEST_WRITE_TO", path)
        .stderr(Stdio::piped())
        .output()
        .expect("a shell")
}

#[test]
fn writes_what_it_is_told() {
    use beadwise::source::{Target, WriteError, write_file};
    // Does nothing unless another test of this file asks for it.
    let Some(path) = std::env::var_os("BEADWISE_TEST_WRITE_TO") else { return };
    let target = Target { path: Path::new(&path), source: None, in_place: false, keep_original: false };
    match write_file(target, &vec![b'G'; 4 << 20]) {
        Err(WriteError::DiskFull { .. }) => {}
        other => panic!("expected a full disk, got {other:?}"),
    }
}

#[test]
fn a_full_disk_leaves_the_old_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("part.gcode");
    fs::write(&path, "old\n").expect("room for four bytes");
    let output = write_with_little_room(&path);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stdout));
    assert!(String::from_utf8_lossy(&output.stdout).contains("1 passed"));
    assert_eq!(fs::read(&path).expect("the old file"), b"old\n");
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 1);
}
