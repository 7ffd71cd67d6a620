//! Every JSON that the program answers with is what its published schema says, key for key.

use serde_json::Value;
use std::process::{Command, Output, Stdio};

fn beadwise(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadwise"))
        .args(arguments)
        .env("XDG_CONFIG_HOME", "/no-settings")
        .stdin(Stdio::null())
        .output()
        .expect("the program starts")
}

fn json(arguments: &[&str]) -> Value {
    let output = beadwise(arguments);
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|e| panic!("{arguments:?}: {e}: {}", String::from_utf8_lossy(&output.stderr)))
}

/// The published schema; where it lists keys, no others may come.
fn schema(command: &str) -> jsonschema::Validator {
    let mut schema = json(&["profiles", "schema", command]);
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    close(&mut schema);
    jsonschema::validator_for(&schema).expect("a schema")
}

fn close(schema: &mut Value) {
    match schema {
        Value::Object(map) => {
            if map.contains_key("properties") {
                map.insert("additionalProperties".to_owned(), Value::Bool(false));
            }
            map.values_mut().for_each(close);
        }
        Value::Array(items) => items.iter_mut().for_each(close),
        _ => {}
    }
}

fn holds(schema: &jsonschema::Validator, value: &Value, of: &str) {
    let wrong: Vec<String> = schema.iter_errors(value).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(wrong.is_empty(), "{of}:\n{}", wrong.join("\n"));
}

#[test]
fn audits_are_what_the_schema_says() {
    let schema = schema("audit");
    for entry in std::fs::read_dir("sample-gcode").expect("the samples") {
        let path = entry.expect("a readable entry").path();
        let name = path.to_string_lossy();
        let load = ["--load", "press; force = 2 kN; face = top", "--material", "pla"];
        for more in
            [&[][..], &["--detail"], &load, &["--for", "press-tool", "--material", "petg-cf", "--units", "inch"]]
        {
            holds(&schema, &json(&[&["audit", &name, "--format", "json"], more].concat()), &name);
        }
    }
}

#[test]
fn comparisons_are_what_the_schema_says() {
    let both = ["sample-gcode/bearing-drift.gcode", "sample-gcode/bearing-drift-stout.gcode"];
    let schema = schema("compare");
    holds(&schema, &json(&["compare", both[0], both[1], "--format", "json"]), "without a material");
    let priced = json(&[
        "compare",
        both[1],
        both[0],
        "--format",
        "json",
        "--material",
        "petg",
        "--for",
        "holder",
        "--load",
        "press; force = 2 kN; face = top",
    ]);
    holds(&schema, &priced, "with a material");
}

#[test]
fn advice_is_what_the_schema_says() {
    let schema = schema("advise");
    let gauge = ["advise", "sample-gcode/rotor-gauge.gcode", "--format", "json", "--material", "petg"];
    let load = ["--load", "pull; force = 300 N; axis = x", "--reserve", "2", "--for", "gauge", "--units", "inch"];
    let advice = json(&[&gauge[..], &load].concat());
    holds(&schema, &advice, "a load");
    assert_eq!(advice["least"], "time");
    assert!(advice["tried"].as_u64() > Some(10), "{}", advice["tried"]);
    let error = advice["own_error"]["mass_share"].as_f64().expect("a share");
    assert!(error.abs() < 0.03, "{error}");
    holds(
        &schema,
        &json(&[&gauge[..], &["--for", "gauge", "--least", "mass", "--units", "inch"]].concat()),
        "a profile",
    );
}

#[test]
fn loads_are_what_the_schema_says() {
    let schema = schema("load");
    let flange =
        ["load", "flange", "--thickness", "1 mm", "--yield", "200 MPa", "--diameter", "20 mm", "--hole", "12 mm"];
    let magnet = ["load", "magnet", "--diameter", "10 mm", "--height", "3 mm"];
    for job in [&flange[..], &magnet] {
        holds(&schema, &json(&[job, &["--format", "json"]].concat()), job[1]);
    }
}

#[test]
fn stops_are_what_the_schema_says() {
    let schema = schema("embed");
    let tray = ["embed", "sample-gcode/magnet-tray.gcode", "--format", "json"];
    let listed = json(&tray);
    holds(&schema, &listed, "pockets");
    assert_eq!(listed["pockets"][0]["windows"][0]["insert"], "disc-6x2");
    let made = json(&[&tray[..], &["--insert", "disc-6x2"]].concat());
    holds(&schema, &made, "stops");
    assert_eq!(made["inserts"].as_array().map(Vec::len), Some(8));
    let lines = made["stops"][0]["gcode"].as_array().expect("its lines");
    assert!(lines.iter().any(|line| line == "M0"), "{lines:?}");
    let [first, last] = [0, 1].map(|end| made["stops"][0]["lines"][end].as_u64().expect("a line"));
    assert_eq!(lines.len() as u64, last - first + 1);
    assert!(made["proof"]["beads"].as_u64() > Some(1000));
    let refused = json(&[&tray[..], &["--insert", "disc-10x3"]].concat());
    holds(&schema, &refused, "a refusal");
    assert!(refused["refused"].as_str().is_some_and(|why| why.contains("3.80 mm too wide")));
}

#[test]
fn a_schema_refuses_what_is_not_so() {
    let schema = schema("audit");
    let mut audit = json(&["audit", "sample-gcode/rotor-gauge.gcode", "--format", "json"]);
    audit["verdict"] = Value::from("fine");
    assert!(!schema.is_valid(&audit), "an unknown verdict");
    audit["verdict"] = Value::from("unchecked");
    assert!(schema.is_valid(&audit));
    audit["totals"].as_object_mut().expect("an object").remove("time_s");
    assert!(!schema.is_valid(&audit), "a key is missing");
}
