//! `beadwise load` and `beadwise profiles` seen from outside.

use std::io::Write;
use std::process::{Command, Output, Stdio};

fn beadwise(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadwise")).args(arguments).output().expect("the program runs")
}

fn text(arguments: &[&str]) -> String {
    let out = beadwise(arguments);
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).expect("UTF-8")
}

fn complaint(arguments: &[&str]) -> String {
    let out = beadwise(arguments);
    assert_eq!(out.status.code(), Some(2), "{}", String::from_utf8_lossy(&out.stdout));
    String::from_utf8(out.stderr).expect("UTF-8")
}

const FLANGE: [&str; 10] =
    ["load", "flange", "--thickness", "1 mm", "--yield", "200 MPa", "--diameter", "20 mm", "--hole", "12 mm"];

#[test]
fn a_flange_is_reckoned_with_its_working() {
    // F = 1.1 π t σ (D - d): stamping lecture of Xihua University; 5.529 kN computed.
    let said = text(&FLANGE);
    assert!(said.starts_with("flange: 5.529 kN\n"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "wider than 80 columns:\n{said}");
    // Lines are broken wherever they are full.
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "1.1 × π × 1 mm × 200 MPa × (20 mm - 12 mm) = 5.529 kN",
        "Xihua",
        "kind = \"press\"",
        "force_n = 5529.2",
        "eye protection",
        "guard the press",
        "never for lifting",
        "not a certification",
    ] {
        assert!(flat.contains(part), "{part} is missing in\n{said}");
    }
}

#[test]
fn json_keeps_the_contract() {
    let out = text(&[&FLANGE[..], &["--format", "json"]].concat());
    let value: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(value["schema"], "beadwise/load/1");
    assert_eq!(value["kind"], "flange");
    for key in ["low", "likely", "high"] {
        approx::assert_relative_eq!(value["force_n"][key].as_f64().expect("a number"), 5529.203, max_relative = 1e-6);
    }
    assert!(value["formula"].as_str().is_some_and(|f| f.contains("π")) && value["source"].is_string());
}

#[test]
fn the_case_can_be_checked_as_it_stands() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("flange.toml");
    std::fs::write(&path, text(&[&FLANGE[..], &["--format", "case"]].concat())).expect("a file");
    let said = text(&["profiles", "check", path.to_str().expect("a path")]);
    assert!(said.contains("a load case without mistakes"), "{said}");
}

#[test]
fn a_bare_gauge_is_refused() {
    let said =
        complaint(&["load", "flange", "--gauge", "18", "--yield", "170 MPa", "--diameter", "1 in", "--hole", "5/8 in"]);
    assert!(said.contains("add --metal"), "{said}");
    // 18 gauge mild steel, yield 170 MPa: 6.79 kN (1527 lbf); the metal gives a range, the yield does not.
    let gauge = ["load", "flange", "--gauge", "18", "--metal", "mild-steel", "--diameter", "1 in", "--hole", "5/8 in"];
    let said = text(&[&gauge[..], &["--yield", "170 MPa", "--units", "inch"]].concat());
    assert!(said.starts_with("flange: 1527 lbf\n"), "{said}");
    let said = text(&gauge);
    assert!(said.starts_with("flange: 6.79") && said.contains("from 6.5") && said.contains("mild-steel"), "{said}");
}

#[test]
fn every_kind_answers() {
    for (arguments, part) in [
        // Exam question bank: 28.3 kN.
        (vec!["punch", "--thickness", "1.5", "--shear", "300 MPa", "--diameter", "20"], "punch: 28.27 kN"),
        // Groover, example 20.2 (from memory): 10 909 N by K = 1.33.
        (
            vec!["bend", "--thickness", "3.2", "--tensile", "450 MPa", "--length", "44.5", "--opening", "25"],
            "= 10.91 kN",
        ),
        // Shigley's model: 200 N on 200 mm gives 10.2 kN.
        (
            vec![
                "screw",
                "--thread",
                "Tr20x4",
                "--hand",
                "200 N",
                "--handle",
                "200 mm",
                "--collar",
                "25 mm",
                "--friction",
                "0.15",
            ],
            "screw: 10.17 kN",
        ),
        // Calculator page: M10, 50 N m: 25 kN, 431 MPa.
        (
            vec!["bolt", "--size", "M10", "--torque", "50 N m", "--proof", "600 MPa"],
            "bolt: 25 kN (from 18.75 kN to 31.25 kN)",
        ),
        // Statics by hand.
        (vec!["lever", "--force", "150 N", "--arm", "300 mm", "--acts-at", "60 mm"], "lever: 750 N"),
        (vec!["torque", "--torque", "40 N m", "--diameter", "16 mm"], "torque: 5 kN"),
        (
            vec![
                "press-fit",
                "--diameter",
                "22",
                "--interference",
                "0.1",
                "--hub",
                "34",
                "--length",
                "7",
                "--material",
                "petg",
            ],
            "p = δ",
        ),
        // Trade page: 10 mm disc, 0.5 T: 7.81 N.
        (vec!["magnet", "--field", "0.5", "--diameter", "10 mm"], "magnet: 7.81"),
        (vec!["magnet", "--diameter", "10 mm", "--height", "3 mm"], "0.2 of it"),
    ] {
        let said = text(&[&["load"], &arguments[..]].concat());
        assert!(said.contains(part), "{part} is missing in\n{said}");
        assert!(said.contains("source") && said.contains("[[case]]"), "{said}");
    }
}

#[test]
fn wrong_inputs_point_at_the_mistake() {
    assert!(
        complaint(&["load", "flange", "--thickness", "1 kg", "--yield", "200 MPa", "--diameter", "20", "--hole", "12"])
            .contains("of mass")
    );
    assert!(
        complaint(&["load", "flange", "--thickness", "1", "--yield", "200", "--diameter", "12", "--hole", "20"])
            .contains("must be smaller")
    );
    assert!(
        complaint(&["load", "flange", "--gauge", "18", "--metal", "mild-stel", "--diameter", "20", "--hole", "12"])
            .contains("did you mean `mild-steel`")
    );
    assert!(complaint(&["load", "screw", "--thread", "Tr21", "--torque", "40 N m"]).contains("no thread"));
    assert!(complaint(&["load", "bolt", "--size", "M11", "--torque", "40 N m"]).contains("no bolt size"));
}

#[test]
fn profiles_are_listed_shown_and_checked() {
    let said = text(&["profiles", "list"]);
    for part in ["machines", "open-small", "petg-cf", "press-tool", "m5-nut", "disc-6x2", "mild-steel"] {
        assert!(said.contains(part), "{part} is missing in\n{said}");
    }
    assert!(text(&["profiles", "show", "petg-cf"]).contains("density_g_cm3"));
    assert!(complaint(&["profiles", "show", "petgcf"]).contains("profiles list"));
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("ours.toml");
    std::fs::write(&path, "name = \"x\"\ndensity_g_cm3 = 1.2\nprise_per_kg = 20\n").expect("a file");
    let said = complaint(&["profiles", "check", path.to_str().expect("a path")]);
    assert!(
        said.contains("ours.toml:3:1: unknown key `prise_per_kg`") && said.contains("did you mean `price_per_kg`?"),
        "{said}"
    );
}

#[test]
fn every_built_in_profile_passes_the_check_for_users() {
    for kind in beadwise::profile::Kind::ALL {
        for name in kind.names() {
            let text = kind.text(name).expect("built in");
            let found = beadwise::profile::check_profile(text, name).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert_eq!(found, *kind, "{name}");
        }
    }
}

#[test]
fn the_light_drift_fails_its_press_load_and_the_stout_one_passes() {
    let asked = ["--material", "petg-cf", "--load", "bearing-press", "--format", "json"];
    let audit = |sample: &str| {
        let path = format!("sample-gcode/{sample}.gcode");
        let out = beadwise(&[&["audit", path.as_str()], &asked[..]].concat());
        let value: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        (out.status.code(), value)
    };
    let (code, light) = audit("bearing-drift");
    assert_eq!((code, light["verdict"].as_str()), (Some(1), Some("fail")));
    let case = &light["strength"]["cases"][0];
    assert_eq!(case["name"], "bearing press");
    assert!(case["reserve"].as_f64().is_some_and(|r| r < 1.0), "{case}");
    assert!(
        case["mode"].is_string() && case["where"]["z_mm"].is_number() && case["holds"] == "will-not-hold",
        "{case}"
    );
    assert!(light["findings"].as_array().is_some_and(|f| f.iter().any(|f| f["code"] == "low-reserve")));
    let (code, stout) = audit("bearing-drift-stout");
    assert_eq!((code, stout["verdict"].as_str()), (Some(0), Some("pass")), "{}", stout["strength"]);
    // The capacity can be followed by hand: the working names strength and area, and their product is the capacity.
    let working = case["modes"][0]["working"].as_str().expect("a working");
    assert!(working.contains("MPa ×") && working.contains("mm²"), "{working}");
}

#[test]
fn a_load_is_refused_judged_or_cannot_be_judged() {
    let drift = "sample-gcode/bearing-drift.gcode";
    let out = beadwise(&["audit", drift, "--load", "press; force = 100 N"]);
    assert_eq!(out.status.code(), Some(1), "no material: cannot be judged");
    assert!(String::from_utf8_lossy(&out.stdout).contains("no material is named"));
    assert!(complaint(&["audit", drift, "--load", "lift; force = 100 N"]).contains("never for lifting"));
    assert!(complaint(&["audit", drift, "--load", "press; force = -1 N"]).contains("greater than 0"));
    assert!(
        complaint(&["audit", drift, "--load", "press; force = 1 N", "--reserve", "0.5"]).contains("edge of failure")
    );
    assert!(complaint(&["audit", drift, "--load", "no-such-case"]).contains("no load case called"));
}

#[test]
fn compare_shows_the_reserve_of_every_slice() {
    let files = ["compare", "sample-gcode/bearing-drift.gcode", "sample-gcode/bearing-drift-stout.gcode"];
    let out = beadwise(&[&files[..], &["--material", "petg-cf", "--load", "bearing-press"]].concat());
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    for part in ["load: bearing press", "reserve", "for each gram", "for each hour"] {
        assert!(said.contains(part), "{part} is missing in\n{said}");
    }
}

#[test]
fn a_case_is_piped_from_load_to_audit() {
    let case = text(&[&FLANGE[..], &["--format", "case"]].concat());
    let mut audit = Command::new(env!("CARGO_BIN_EXE_beadwise"))
        .args(["audit", "sample-gcode/bearing-drift.gcode", "--material", "petg", "--load", "-", "--format", "json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program runs");
    audit.stdin.take().expect("a pipe").write_all(case.as_bytes()).expect("written");
    let out = audit.wait_with_output().expect("it ends");
    let value: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(value["strength"]["cases"][0]["name"], "flange");
    approx::assert_relative_eq!(
        value["strength"]["cases"][0]["load"].as_f64().expect("a load"),
        5529.2,
        max_relative = 1e-4
    );
}
