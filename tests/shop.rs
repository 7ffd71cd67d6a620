//! A shop's defaults: which file speaks first, own profiles, and errors that point at the line.

mod run;

use run::{command, err, out};
use std::fs;
use std::path::Path;
use std::process::Output;

/// Runs the program in `folder`, with `home` for the user's own folder.
fn beadwise(folder: &Path, home: &Path, arguments: &[&str]) -> Output {
    command(arguments).current_dir(folder).env("XDG_CONFIG_HOME", home).output().expect("the program starts")
}

/// A shop with a sample to audit.
struct Place {
    folder: tempfile::TempDir,
    home: tempfile::TempDir,
}

impl Place {
    fn new(near: &str, far: &str) -> Self {
        let place = Self {
            folder: tempfile::tempdir().expect("a temporary folder"),
            home: tempfile::tempdir().expect("a temporary folder"),
        };
        fs::copy("sample-gcode/bearing-drift.gcode", place.folder.path().join("drift.gcode")).expect("the sample");
        place.write("beadwise.toml", near);
        place.write_home("beadwise.toml", far);
        place
    }

    fn write(&self, name: &str, text: &str) {
        write(&self.folder.path().join(name), text);
    }

    fn write_home(&self, name: &str, text: &str) {
        write(&self.home.path().join("beadwise").join(name), text);
    }

    fn run(&self, arguments: &[&str]) -> Output {
        beadwise(self.folder.path(), self.home.path(), arguments)
    }

    fn audit(&self, arguments: &[&str]) -> serde_json::Value {
        let output = self.run(&[&["audit", "drift.gcode", "--format", "json"], arguments].concat());
        serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("no JSON: {}", err(&output)))
    }
}

fn write(path: &Path, text: &str) {
    fs::create_dir_all(path.parent().expect("a folder")).expect("folders can be made");
    fs::write(path, text).expect("a writable folder");
}

#[test]
fn the_nearer_file_speaks_first_and_options_before_both() {
    let place =
        Place::new("material = 'petg'", "material = 'pla'\nstrength_profile = 'holder'\nmachine = 'enclosed-mid'");
    let audit = place.audit(&[]);
    assert_eq!(audit["tools"][0]["material"], "PETG");
    assert_eq!(audit["machine"], "enclosed, middle");
    assert_eq!(audit["strength"]["profile"], "holder");
    let assumptions = audit["assumptions"].to_string();
    assert!(assumptions.contains("machine, material, strength profile taken from beadwise.toml"), "{assumptions}");
    let asked = place.audit(&["--material", "abs", "--for", "press-tool"]);
    assert_eq!(asked["tools"][0]["material"], "ABS");
    assert_eq!(asked["strength"]["profile"], "press tool");
}

#[test]
fn prices_and_units_are_the_shops() {
    let place = Place::new("material = 'petg'\nunits = 'inch'\n[price_per_kg]\npetg = 100", "");
    let audit = place.audit(&[]);
    let (grams, cost) = (audit["totals"]["mass_g"].as_f64(), audit["totals"]["cost"].as_f64());
    let per_kg = cost.expect("a cost") / grams.expect("a mass") * 1000.0;
    assert!((per_kg - 100.0).abs() < 1e-9, "{per_kg}");
    assert!(out(&place.run(&["audit", "drift.gcode"])).contains(" oz"));
    assert!(!out(&place.run(&["audit", "drift.gcode", "--units", "metric"])).contains(" oz"));
}

#[test]
fn own_profiles_stand_before_built_in_ones() {
    let place = Place::new("profiles = ['ours']\nmaterial = 'petg'", "");
    place.write("ours/materials/petg.toml", "name = 'our spool'\ndensity_g_cm3 = 1.3\n");
    place.write_home("machines/corner.toml", "name = 'machine in the corner'\n");
    let audit = place.audit(&["--machine", "corner"]);
    assert_eq!(audit["tools"][0]["material"], "our spool");
    assert_eq!(audit["machine"], "machine in the corner");
    let list = out(&place.run(&["profiles", "list"]));
    assert!(list.contains("corner") && list.contains("corner.toml"), "{list}");
    assert!(out(&place.run(&["profiles", "show", "petg"])).contains("our spool"));
    let check = place.run(&["profiles", "check"]);
    assert_eq!(check.status.code(), Some(0), "{}", err(&check));
    assert_eq!(out(&check).lines().count(), 4, "two files of defaults and two profiles: {}", out(&check));
}

#[test]
fn a_mistake_in_the_shops_file_is_shown_where_it_is() {
    let place = Place::new("material = 'petg'\nmachin = 'open-small'\n", "");
    let output = place.run(&["audit", "drift.gcode"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let message = err(&output);
    assert!(message.contains("beadwise.toml:2:1") && message.contains("did you mean `machine`?"), "{message}");
    assert_eq!(place.run(&["profiles", "check", "beadwise.toml"]).status.code(), Some(2));
}

#[test]
fn profiles_can_be_looked_at_whatever_the_shops_file_says() {
    let place = Place::new("machine = 'no-such-machine'", "");
    assert_eq!(place.run(&["profiles", "list"]).status.code(), Some(0));
    let output = place.run(&["audit", "drift.gcode"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("no-such-machine"), "{}", err(&output));
}
