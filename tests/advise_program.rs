//! `beadwise advise` as a person uses it: from a file, a package and standard input, and for a nut that is pulled.

mod run;

use beadwise::geom::Point;
use beadwise::profile::Limits;
use beadwise::rebead::drawing::{rectangle, regular_ring};
use beadwise::rebead::{Body, CoreFill, Dialect, Settings, lay, slice, write};
use run::{beadwise_in, command, err, out};
use serde_json::Value;
use std::fs;
use std::io::{Cursor, Write};
use std::process::{Output, Stdio};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// A block with room for an M3 nut (5.5 mm across flats and 2.4 mm high, ISO 4032) under a roof of 3 mm.
fn block_with_a_nut() -> String {
    let plan = rectangle(Point::new(60.0, 60.0), Point::new(80.0, 74.0));
    let hexagon = regular_ring(Point::new(70.0, 67.0), 5.7 / 0.75_f64.sqrt(), 6, 0.0);
    let pocket = beadwise::geom::Polygon { outer: hexagon, holes: Vec::new() };
    let body = Body::new(0).add(0.0, 7.0, plan).cut(1.4, 4.0, pocket);
    let core = CoreFill { density: 0.2, ..CoreFill::default() };
    let settings = Settings { walls: 2, bottom_skins: 3, top_skins: 3, core, ..Settings::default() };
    write(&lay(&slice(&[body], 0.2, 0.2), &settings), &Dialect::default(), &Limits::default())
}

fn package(members: &[&str]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for name in members {
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
        writer.start_file(*name, options).expect("a member");
        writer.write_all(block_with_a_nut().as_bytes()).expect("its bytes");
    }
    writer.finish().expect("a package").into_inner()
}

/// A folder with the block as a file, in a package, and twice in another.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let put = |name: &str, bytes: &[u8]| fs::write(folder.path().join(name), bytes).expect("a file");
    put("block.gcode", block_with_a_nut().as_bytes());
    put("block.3mf", &package(&["plates/one.gcode"]));
    put("both.3mf", &package(&["one.gcode", "two.gcode"]));
    folder
}

const PULL: [&str; 8] =
    ["--material", "petg", "--load", "pull; force = 150 N; axis = z", "--reserve", "2", "--format", "json"];

fn answer(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}{}", out(output), err(output)))
}

#[test]
fn a_file_a_package_and_standard_input_get_the_same_advice() {
    let folder = folder();
    let advise = |arguments: &[&str]| {
        let advised = beadwise_in(folder.path(), &[&["advise"], arguments, &PULL].concat());
        assert_eq!(advised.status.code(), Some(0), "{arguments:?}: {}", err(&advised));
        answer(&advised)
    };
    let plain = advise(&["block.gcode"]);
    assert_eq!(plain["name"], "block.gcode");
    let mut piped = command(&[&["advise", "-"], &PULL[..]].concat());
    let mut piped = piped.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().expect("it starts");
    piped.stdin.take().expect("its input").write_all(block_with_a_nut().as_bytes()).expect("it reads");
    let piped = answer(&piped.wait_with_output().expect("it ends"));
    let packed = advise(&["block.3mf"]);
    let chosen = advise(&["both.3mf", "--member", "two.gcode"]);
    for (mut other, name) in
        [(piped, "standard input"), (packed, "block.3mf (plates/one.gcode)"), (chosen, "both.3mf (two.gcode)")]
    {
        assert_eq!(other["name"], name);
        other["name"] = plain["name"].clone();
        assert_eq!(other, plain, "{name}");
    }
}

#[test]
fn of_several_members_one_has_to_be_chosen() {
    let folder = folder();
    let refused = beadwise_in(folder.path(), &[&["advise", "both.3mf"], &PULL[..]].concat());
    assert_eq!(refused.status.code(), Some(2));
    let said = err(&refused);
    assert!(said.contains("one.gcode, two.gcode") && said.contains("--member"), "{said}");
    assert!(out(&refused).is_empty());
}

#[test]
fn a_nut_that_would_tear_out_is_held_by_a_thicker_roof() {
    let folder = folder();
    let load = ["--material", "petg", "--load", "pull-out; force = 80 N; insert = m3-nut", "--reserve", "2"];
    let advised = beadwise_in(folder.path(), &[&["advise", "block.gcode", "--format", "json"], &load[..]].concat());
    let advice = answer(&advised);
    let reserve = |of: &Value| of["reserve"].as_f64().unwrap_or_else(|| panic!("no reserve: {of}"));
    let own = reserve(&advice["own"]);
    assert!(
        advice["own_error"]["reserve_shares"][0].as_f64().is_some_and(|off| off.abs() < 0.05),
        "{}",
        advice["own_error"]
    );
    let changes = advice["changes"].as_array().expect("changes");
    let skins = changes.iter().find(|c| c["turned"] == "skins" && c["settings"]["top_skin_layers"] == 4);
    let gain = skins.and_then(|c| c["strength_share"].as_f64()).unwrap_or_else(|| panic!("no skins: {changes:?}"));
    assert!(gain > 0.1, "a skin more: {gain}, from {own}");
}
