//! A program that is killed while it writes: the folder holds the whole old file or the whole new one.

#![cfg(unix)]

use beadwise::source::{Target, write_file};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const TOLD: &str = "BEADWISE_TEST_WRITES_ON";

/// A file whose every line names its generation, so that a mixture would show.
fn file(generation: u32) -> Vec<u8> {
    format!("G1 X{generation} Y2 E0.5\n").repeat(20_000).into_bytes()
}

/// The generation of a whole file; `None` for anything else.
fn generation_of(bytes: &[u8]) -> Option<u32> {
    let first = std::str::from_utf8(bytes).ok()?.split(' ').nth(1)?.strip_prefix('X')?.parse().ok()?;
    (bytes == file(first)).then_some(first)
}

#[test]
fn writes_on_and_on_when_told() {
    // Does nothing unless the other test of this file asks for it.
    let Some(path) = std::env::var_os(TOLD) else { return };
    let path = Path::new(&path);
    for generation in 1.. {
        let target = Target { path, source: Some(path), in_place: true, keep_original: generation % 3 == 0 };
        write_file(target, &file(generation % 50)).expect("room to write");
    }
}

#[test]
fn killed_at_any_instant_the_file_is_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("part.gcode");
    let program = std::env::current_exe().expect("the test program");
    let (mut seen, began) = (std::collections::BTreeSet::new(), Instant::now());
    for round in 0..300u32 {
        fs::write(&path, file(0)).expect("the old file");
        let mut writer = Command::new(&program)
            .args(["--exact", "writes_on_and_on_when_told"])
            .env(TOLD, &path)
            .stdout(Stdio::null())
            .spawn()
            .expect("a writer");
        // Different instants: from before its first write to the middle of some later one.
        std::thread::sleep(Duration::from_micros(1_500 + u64::from(round) * 137));
        writer.kill().expect("it can be killed");
        writer.wait().expect("it has ended");
        let bytes = fs::read(&path).expect("the file is there");
        let generation = generation_of(&bytes);
        assert!(generation.is_some(), "round {round}: {} bytes that are neither old nor new", bytes.len());
        seen.insert(generation);
        clear_leftovers(folder.path(), &path);
    }
    assert!(seen.len() > 1, "no writer lived long enough to write in {:?}", began.elapsed());
}

/// Takes away what a killed writer may leave: its unfinished file and copies of originals, which are whole too.
fn clear_leftovers(folder: &Path, path: &Path) {
    for entry in fs::read_dir(folder).expect("the folder") {
        let entry = entry.expect("an entry").path();
        let name = entry.file_name().expect("a name").to_string_lossy().into_owned();
        if name.starts_with("part.gcode.orig") {
            let copy = fs::read(&entry).expect("a copy");
            assert!(generation_of(&copy).is_some(), "{name} is not whole");
        } else if entry != *path {
            assert!(name.starts_with(".beadwise-") && name.ends_with(".part"), "{name}");
        }
        if entry != *path {
            fs::remove_file(&entry).expect("it goes");
        }
    }
}
