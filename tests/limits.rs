//! Absurd input: it is told, it stays small and quick, and it never passes a check.
#![allow(clippy::unwrap_used)]

mod run;

use run::{beadwise, command, err, out};

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::Stdio;

/// What the program prints for `gcode` on standard input, on one line, and its exit code.
fn audit(gcode: &[u8], arguments: &[&str]) -> (String, Option<i32>) {
    let mut child = command(&[&["audit", "-", "--quiet"], arguments].concat())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(gcode).unwrap();
    let output = child.wait_with_output().unwrap();
    let text = out(&output) + &err(&output);
    (text.split_whitespace().collect::<Vec<_>>().join(" "), output.status.code())
}

/// A plate of three walls in one layer, and one line more.
fn plate_and(line: &str) -> Vec<u8> {
    let mut text = String::from("G90\nM83\nG1 Z0.2 F1200\n");
    for wall in 0..3 {
        let (low, high) = (50.0 + 0.4 * f64::from(wall), 70.0 - 0.4 * f64::from(wall));
        writeln!(text, "G0 X{low} Y{low}\nG1 X{high} E0.7\nG1 Y{high} E0.7\nG1 X{low} E0.7\nG1 Y{low} E0.7").unwrap();
    }
    format!("{text}{line}\n").into_bytes()
}

#[test]
fn numbers_beyond_any_machine_are_left_out_and_told() {
    let cases = [
        ("G1 X310632 E1", "X 310632 mm"),
        ("G1 Y-1e9 E1", "stands twice"),
        ("G1 Z99999999999 E1", "larger than any printer"),
        ("G1 X20 E1000000", "1000 m of filament"),
        ("G91\nG1 X9e3\nG1 X9000\nG1 X9000 E5", "X 18"),
        ("G2 I900000 J0 E1", "this arc is 5654867 mm long"),
        ("G92 Y303000\nG1 Y302980 E1", "this line sets Y 303000 mm"),
        ("M200 D400", "no filament is that thick"),
        ("G1 XNaN E1", "left out; the first"),
    ];
    for (line, told) in cases {
        let (text, code) = audit(&plate_and(line), &["--for", "template"]);
        assert_eq!(code, Some(1), "{line}: what was left out might be what breaks it: {text}");
        let (text, _) = audit(&plate_and(line), &["--format", "json"]);
        assert!(text.contains(told), "{line}: {text}");
    }
    assert_eq!(audit(&plate_and("G1 X60 Y60"), &[]).1, Some(0));
}

#[test]
fn an_arc_that_is_nearly_straight_is_no_fault() {
    let (text, _) = audit(&plate_and("G2 X51.2 Y50.8 I0.2 J-90000 E0.02"), &["--format", "json"]);
    assert!(text.contains("\"bad_lines\": 0"), "{text}");
}

#[test]
fn speeds_of_nothing_take_long_and_end() {
    for line in ["G1 X60 E1 F0", "M203 X0 Y0 Z0 E0\nG1 X60 E1", "M204 S0\nG1 X60 E1", "M220 S0\nG1 X60 E1"] {
        let (text, code) = audit(&plate_and(line), &["--format", "json"]);
        assert_eq!(code, Some(0), "{line}: {text}");
        let json: serde_json::Value = serde_json::from_str(&text).unwrap();
        let seconds = json["totals"]["depositing_s"].as_f64();
        assert!(seconds.is_some_and(|s| s > 1.0 && s.is_finite()), "{line}: {seconds:?}");
    }
}

#[test]
fn a_bead_of_twenty_metres_and_ten_thousand_layers_are_measured() {
    let mut text = String::from("G90\nM83\nG1 F6000\nG0 X-9990 Y0 Z.2\nG1 X9990 E300\n");
    for layer in 2..10_000 {
        writeln!(text, "G0 Z{:.3}\nG1 X10 E.3\nG1 X0 E.3", f64::from(layer) * 0.2).unwrap();
    }
    let (text, code) = audit(text.as_bytes(), &["--format", "json"]);
    assert_eq!(code, Some(0), "{text}");
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert!(json["layers"].as_array().is_some_and(|layers| layers.len() >= 9_900));
}

#[test]
fn a_package_that_swells_is_refused_before_it_fills_the_memory() {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let packed = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Deflated);
    writer.start_file("plate.gcode", packed).unwrap();
    let line = b"G1 X0\n".repeat(1 << 16);
    for _ in 0..400 {
        writer.write_all(&line).unwrap();
    }
    let package = writer.finish().unwrap().into_inner();
    // 157 MB of the same line pack into some hundred kilobytes.
    assert!(package.len() < 1 << 20, "{}", package.len());
    let (text, code) = audit(&package, &[]);
    assert_eq!(code, Some(2), "{text}");
    assert!(text.contains("unpacks"), "{text}");
}

#[test]
fn profiles_that_nest_without_end_are_refused_in_few_words() {
    let folder = tempfile::tempdir().unwrap();
    let nested = [
        format!("name = 'x'\n[limits]\na = {}", "[".repeat(100_000)),
        format!("{}b = 1", "a.".repeat(50_000)),
        format!("a = {}1{}", "{ b = ".repeat(20_000), "}".repeat(20_000)),
    ];
    for (number, text) in nested.iter().enumerate() {
        let path = folder.path().join(format!("{number}.toml"));
        std::fs::write(&path, text).unwrap();
        let output = beadwise(&["profiles", "check", path.to_str().unwrap()]);
        let told = err(&output);
        assert_eq!(output.status.code(), Some(2), "{told}");
        assert!(told.len() < 600 && told.contains("recurs"), "{told}");
    }
}

/// A file large enough to be mapped, cut to nothing while it is read.
#[cfg(target_os = "linux")]
#[test]
fn a_file_that_shrinks_while_it_is_read_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shrinks.gcode");
    let mut text = String::from("G90\nM83\n");
    for layer in 1..=1500 {
        writeln!(text, "G1 Z{:.1} F1200", 0.2 * f64::from(layer)).unwrap();
        (0..1600).for_each(|i| writeln!(text, "G1 X{} Y{} E0.5", 20 + i % 97, 30 + i % 89 + layer % 7).unwrap());
    }
    text.push_str(&"; nothing but words from here on, to make the file long enough\n".repeat(500_000));
    assert!(text.len() > 68_000_000, "{}", text.len());
    std::fs::write(&path, text).unwrap();
    let child =
        command(&["audit", path.to_str().unwrap()]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mapped = || std::fs::read_to_string(format!("/proc/{}/maps", child.id())).unwrap().contains("shrinks.gcode");
    while !mapped() {
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    std::fs::File::create(&path).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(2), "{}", err(&output));
    assert!(err(&output).contains("made shorter by another program"), "{}", err(&output));
    assert!(out(&output).is_empty(), "{}", out(&output));
}
