//! G-code inside a zip package, as a person uses it: audited, compared, stopped and undone in place.

mod run;

use run::{beadwise_in as beadwise, sample};
use std::fs;
use std::io::{Cursor, Read, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A package as the 3MF core specification lays it out, with sliced parts in it.
fn package(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    let others: [(&str, &[u8]); 2] = [("[Content_Types].xml", b"<Types/>"), ("_rels/.rels", b"<Relationships/>")];
    for (name, bytes) in others.iter().chain(members) {
        writer.start_file(*name, options).expect("a member");
        writer.write_all(bytes).expect("its bytes");
    }
    writer.finish().expect("a package").into_inner()
}

/// Each member's name and packed bytes.
fn packed_members(package: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut archive = ZipArchive::new(Cursor::new(package)).expect("a package");
    let count = archive.len();
    let raw = |index| {
        let mut file = archive.by_index_raw(index).expect("a member");
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).expect("its bytes");
        (file.name().expect("its name").into_owned(), bytes)
    };
    (0..count).map(raw).collect()
}

fn member(package: &[u8], name: &str) -> Vec<u8> {
    let mut archive = ZipArchive::new(Cursor::new(package)).expect("a package");
    let mut bytes = Vec::new();
    archive.by_name(name).expect("the member").read_to_end(&mut bytes).expect("its bytes");
    bytes
}

#[test]
fn a_tray_in_a_package_gets_its_stop_in_place_and_loses_it_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("tray.3mf");
    let (tray, digits) = (sample("magnet-tray.gcode"), [b'0'; 32]);
    let before = package(&[("Metadata/tray.gcode", &tray), ("Metadata/tray.gcode.md5", &digits)]);
    fs::write(&path, &before).expect("a file");
    let embed = ["embed", "--insert", "disc-6x2", "--in-place", "tray.3mf"];
    let made = beadwise(folder.path(), &embed);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let after = fs::read(&path).expect("the package");
    assert_eq!(fs::read(folder.path().join("tray.3mf.orig")).expect("the original"), before);
    let stopped = member(&after, "Metadata/tray.gcode");
    assert_eq!(text(&stopped).lines().filter(|line| *line == "M0").count(), 1);
    assert_eq!(packed_members(&after)[..2], packed_members(&before)[..2]);
    let md5 = member(&after, "Metadata/tray.gcode.md5");
    assert!(md5.len() == 32 && md5 != digits, "{}", text(&md5));
    let again = beadwise(folder.path(), &embed);
    assert!(text(&again.stdout).contains("nothing changed"), "{}", text(&again.stdout));
    assert_eq!(fs::read(&path).expect("the package"), after);
    let back = beadwise(folder.path(), &["embed", "--undo", "--in-place", "tray.3mf"]);
    assert_eq!(back.status.code(), Some(0), "{}", text(&back.stderr));
    let undone = fs::read(&path).expect("the package");
    assert_eq!(member(&undone, "Metadata/tray.gcode"), tray);
    assert_eq!(packed_members(&undone)[..2], packed_members(&before)[..2]);
}

#[test]
fn of_several_members_one_is_chosen() {
    let folder = tempfile::tempdir().expect("a folder");
    let (gauge, bracket) = (sample("rotor-gauge.gcode"), sample("stand-bracket.gcode"));
    fs::write(folder.path().join("shop.3mf"), package(&[("gauge.gcode", &gauge), ("bracket.gcode", &bracket)]))
        .expect("a file");
    let refused = beadwise(folder.path(), &["audit", "shop.3mf"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused.stderr).contains("gauge.gcode, bracket.gcode; choose one with --member"));
    let audit = beadwise(folder.path(), &["audit", "shop.3mf", "--member", "gauge.gcode", "--format", "json"]);
    fs::write(folder.path().join("gauge.gcode"), &gauge).expect("a file");
    let plain = beadwise(folder.path(), &["audit", "gauge.gcode", "--format", "json"]);
    assert_eq!(text(&audit.stdout).replace("shop.3mf (gauge.gcode)", "gauge.gcode"), text(&plain.stdout));
    let listed = beadwise(folder.path(), &["embed", "shop.3mf", "--member", "bracket.gcode"]);
    assert!(text(&listed.stdout).contains("m6-nut"), "{}", text(&listed.stdout));
}

#[test]
fn the_new_files_name_says_whether_it_is_a_package() {
    let folder = tempfile::tempdir().expect("a folder");
    let bracket = sample("stand-bracket.gcode");
    let before = package(&[("bracket.gcode", &bracket)]);
    fs::write(folder.path().join("bracket.3mf"), &before).expect("a file");
    for output in ["stopped.3mf", "stopped.gcode", "-"] {
        let made = beadwise(folder.path(), &["embed", "bracket.3mf", "--insert", "m6-nut", "-o", output]);
        assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
        let new = if output == "-" { made.stdout } else { fs::read(folder.path().join(output)).expect("a new file") };
        let gcode = if output == "stopped.gcode" { new } else { member(&new, "bracket.gcode") };
        assert!(text(&gcode).contains("beadwise stop begin after="), "{output}");
    }
    assert_eq!(fs::read(folder.path().join("bracket.3mf")).expect("the package"), before);
}

#[test]
fn a_damaged_package_is_an_input_that_cannot_be_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let whole = package(&[("gauge.gcode", &sample("rotor-gauge.gcode"))]);
    fs::write(folder.path().join("torn.3mf"), &whole[..whole.len() / 2]).expect("a file");
    let refused = beadwise(folder.path(), &["audit", "torn.3mf"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused.stderr).contains("torn.3mf is a damaged zip package"), "{}", text(&refused.stderr));
}
