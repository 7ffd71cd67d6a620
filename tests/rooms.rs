//! Data flows one way: no room of the library uses a later one.
//!
//! The order is the order of the `pub mod` lines in `src/lib.rs`.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms in order, read from `src/lib.rs`.
fn rooms() -> Vec<String> {
    let text = fs::read_to_string("src/lib.rs").expect("src/lib.rs is there");
    text.lines()
        .filter_map(|l| l.strip_prefix("pub mod ").and_then(|l| l.strip_suffix(';')))
        .map(str::to_owned)
        .collect()
}

fn rust_files(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a readable folder") {
        let path = entry.expect("a readable entry").path();
        if path.is_dir() {
            rust_files(&path, into);
        } else if path.extension().is_some_and(|e| e == "rs") {
            into.push(path);
        }
    }
}

/// Every room named after `crate::` in one line of code.
fn named_rooms(line: &str) -> impl Iterator<Item = &str> {
    let code = if line.trim_start().starts_with("//") { "" } else { line };
    code.split("crate::").skip(1).map(|rest| {
        let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
        &rest[..end]
    })
}

/// Each backward use in `text`, a file of the room at `place`, as "line: room".
fn backward_uses(rooms: &[String], place: usize, text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        for name in named_rooms(line) {
            match rooms.iter().position(|r| r == name) {
                Some(other) if other > place => found.push(format!("line {}: {name}", number + 1)),
                _ => {}
            }
        }
    }
    found
}

#[test]
fn no_room_uses_a_later_one() {
    let rooms = rooms();
    assert!(rooms.len() >= 10, "the list of rooms in src/lib.rs was not understood: {rooms:?}");
    let mut wrong = Vec::new();
    for (place, room) in rooms.iter().enumerate() {
        let mut files = Vec::new();
        rust_files(&Path::new("src").join(room), &mut files);
        assert!(!files.is_empty(), "room {room} has no files");
        for file in files {
            let text = fs::read_to_string(&file).expect("a readable file");
            wrong.extend(backward_uses(&rooms, place, &text).iter().map(|w| format!("{} {w}", file.display())));
        }
    }
    assert!(wrong.is_empty(), "a room uses a later one:\n{}", wrong.join("\n"));
}

#[test]
fn a_backward_use_is_seen() {
    let rooms = ["early".to_owned(), "late".to_owned()];
    assert_eq!(backward_uses(&rooms, 0, "use std::fs;\nuse crate::late::Thing;\n"), ["line 2: late"]);
    assert!(backward_uses(&rooms, 1, "use crate::early::Thing;").is_empty());
    assert!(backward_uses(&rooms, 0, "/// like [`crate::late::Thing`]").is_empty());
}

#[test]
fn the_library_does_not_reach_into_the_program() {
    let mut files = Vec::new();
    for room in rooms() {
        rust_files(&Path::new("src").join(room), &mut files);
    }
    for file in files {
        let text = fs::read_to_string(&file).expect("a readable file");
        assert!(!text.contains("crate::cli"), "{} reaches into the program", file.display());
    }
}
