//! Profiles as a user meets them: fixed keys, published values, and errors that point at the place.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use beadwise::profile::{
    Checked, Corner, DwellUnit, GaugeError, Insert, Kind, Machine, MagnetGrades, Material, Metal, Pair,
    StrengthProfile, gauge_table, read_profile,
};
use serde::de::DeserializeOwned;

fn read<T: DeserializeOwned + Checked>(text: &str) -> T {
    read_profile(text, "ours.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn error<T: DeserializeOwned + Checked + std::fmt::Debug>(text: &str) -> String {
    read_profile::<T>(text, "ours.toml").expect_err("an error").to_string()
}

const MACHINE: &str = r#"
name = "bench printer"
enclosed = false
filament_mm = 1.75
nozzle_mm = 0.4
nozzle_hardened = false
bed_mm = [220, 225]
height_mm = 250
tools = 1
g90_sets_extruder = false
dwell_p = "ms"            # or "s"
max_flow_mm3_s = 12
[limits]
speed_mm_s = [300, 310, 12, 60]   # x y z e
accel_mm_s2 = [3000, 3100, 120, 5000]
accel_print_mm_s2 = 1200
accel_travel_mm_s2 = 2000
accel_retract_mm_s2 = 2500
corner_deviation_mm = 0.02
"#;

const MATERIAL: &str = r#"
name = "PETG"
density_g_cm3 = 1.27
filament_mm = 1.75        # overrides the machine's
price_per_kg = 25.0
[strength_mpa]            # low and typical
along = { low = 30, typical = 44 }
beside = { low = 22, typical = 38 }   # optional
across = { low = 14, typical = 25 }
compression = { low = 33, typical = 48 }
shear = { low = 17, typical = 25 }
[stiffness_mpa]               # a bare number is both
along = { low = 1500, typical = 1900 }
across = 1100
[temperature_c]
nozzle = [220, 250]
bed = [70, 90]
softening = 78
[needs]
enclosure = false
hardened_nozzle = false
own_feed = false
"#;

#[test]
fn the_fixed_keys_of_a_machine() {
    let machine: Machine = read(MACHINE);
    assert_eq!(machine.bed_mm, [220.0, 225.0]);
    assert_eq!(machine.dwell_p, DwellUnit::Milliseconds);
    assert_eq!(machine.limits.speed_mm_s, [300.0, 310.0, 12.0, 60.0]);
    assert_eq!(machine.limits.corner(), Corner::DeviationMm(0.02));
    assert_eq!(machine.max_flow_mm3_s, Some(12.0));
    let stepped = MACHINE.replace("corner_deviation_mm = 0.02", "corner_step_mm_s = [8, 8, 0.4, 5]");
    assert_eq!(read::<Machine>(&stepped).limits.corner(), Corner::StepMmS([8.0, 8.0, 0.4, 5.0]));
    assert_eq!(read::<Machine>(&MACHINE.replace("\"ms\"", "\"s\"")).dwell_p, DwellUnit::Seconds);
}

#[test]
fn the_fixed_keys_of_a_material() {
    let material: Material = read(MATERIAL);
    let strength = material.strength_mpa.as_ref().expect("strengths");
    assert_eq!(strength.beside(), Pair { low: 22.0, typical: 38.0 });
    assert_eq!(strength.compression, Pair { low: 33.0, typical: 48.0 });
    let stiffness = material.stiffness_mpa.as_ref().expect("stiffness");
    assert_eq!(stiffness.across, Pair::both(1100.0));
    assert_eq!(material.temperature_c.as_ref().and_then(|t| t.softening), Some(78.0));
    assert_relative_eq!(material.mass_g(1000.0), 1.27);
    assert_relative_eq!(material.cost(1_000_000.0).expect("a price"), 31.75);
}

#[test]
fn what_is_optional_may_be_missing() {
    let machine: Machine = read("name = \"case machine\"\n");
    assert_eq!((machine.tools, machine.filament_mm, machine.waits.home_s), (1, 1.75, 0.0));
    let bare = MATERIAL.lines().filter(|l| !l.starts_with("beside")).collect::<Vec<_>>().join("\n");
    let material: Material = read(&bare);
    // Without a side strength the strength across layers is taken, which is safe.
    assert_eq!(material.strength_mpa.map(|s| s.beside()), Some(Pair { low: 14.0, typical: 25.0 }));
    let least: Material = read("name = \"x\"\ndensity_g_cm3 = 1.2\n");
    assert!(least.strength_mpa.is_none() && least.price_per_kg.is_none());
}

#[test]
fn units_may_be_written_out() {
    let machine: Machine = read(&MACHINE.replace("[220, 225]", "[\"8 1/2 in\", 225]").replace("1200", "\"1.2 m/s2\""));
    assert_relative_eq!(machine.bed_mm[0], 215.9);
    assert_relative_eq!(machine.limits.accel_print_mm_s2, 1200.0);
    let material: Material = read(
        &MATERIAL.replace("{ low = 14, typical = 25 }", "{ low = \"2 ksi\", typical = 25 }").replace("78", "\"172 F\""),
    );
    assert_relative_eq!(material.strength_mpa.expect("strengths").across.low, 13.789_515, max_relative = 1e-6);
    assert_relative_eq!(
        material.temperature_c.and_then(|t| t.softening).expect("softening"),
        77.777_78,
        max_relative = 1e-6
    );
}

#[test]
fn an_unknown_key_is_pointed_at() {
    let said = error::<Machine>("name = \"x\"\nnozle_mm = 0.4\n");
    assert!(said.starts_with("ours.toml:2:1: unknown key `nozle_mm`\n2 | nozle_mm = 0.4\n"), "{said}");
    assert!(said.ends_with("  | ^^^^^^^^ did you mean `nozzle_mm`?"), "{said}");
    let said = error::<Material>(&MATERIAL.replace("compression", "compresion"));
    assert!(said.contains(":10:1: unknown key `compresion`") && said.contains("did you mean `compression`?"), "{said}");
    let said = error::<Material>(&MATERIAL.replace("low = 14", "lo = 14"));
    assert!(said.contains("unknown key `lo`") && said.contains("did you mean `low`?"), "{said}");
    let said = error::<Machine>("name = \"x\"\n[limits]\nspeed = [1, 2, 3, 4]\n");
    assert!(said.contains("ours.toml:3:1:") && said.contains("speed_mm_s"), "{said}");
}

#[test]
fn an_impossible_value_is_pointed_at() {
    for (from, to, place) in [
        ("low = 33", "low = -33", ":10:"),
        ("typical = 25 }\ncomp", "typical = 5 }\ncomp", ":9:"),
        ("density_g_cm3 = 1.27", "density_g_cm3 = 0", ":3:"),
        ("density_g_cm3 = 1.27", "density_g_cm3 = nan", ":3:"),
        ("[220, 250]", "[250, 220]", ":16:"),
        ("low = 30, ", "low = 30000, ", ":7:"),
        ("low = 14", "low = \"14 kg\"", ":9:"),
        ("low = 14", "low = \"much\"", ":9:"),
        ("own_feed = false", "own_feed = 3", ":22:"),
    ] {
        let said = error::<Material>(&MATERIAL.replace(from, to));
        assert!(said.contains(place), "{to}: {said}");
    }
    let said = error::<Material>(&MATERIAL.replace("low = 14", "low = \"14 kg\""));
    assert!(said.contains("`kg` is no unit of stress but of mass"), "{said}");
    for (from, to) in [
        ("filament_mm = 1.75", "filament_mm = 0"),
        ("tools = 1", "tools = 0"),
        ("[220, 225]", "[220, -1]"),
        ("[220, 225]", "[220]"),
        ("\"ms\"", "\"minutes\""),
        ("corner_deviation_mm = 0.02", "corner_deviation_mm = 0.02\ncorner_step_mm_s = [8, 8, 1, 5]"),
        ("accel_print_mm_s2 = 1200", "accel_print_mm_s2 = inf"),
    ] {
        let said = error::<Machine>(&MACHINE.replace(from, to));
        assert!(said.starts_with("ours.toml:"), "{to}: {said}");
    }
    assert!(error::<StrengthProfile>("name = \"x\"\nreason = \"y\"\nreserve = 0.9\n").contains(":3:"));
    assert!(error::<Machine>("name = [").starts_with("ours.toml:1:"));
}

#[test]
fn a_missing_profile_is_explained() {
    let said = Material::load("petgcf").expect_err("none").to_string();
    assert!(said.contains("did you mean `petg-cf`?") && said.contains("tpu-95a"), "{said}");
    assert!(Machine::load("./no-such.toml").expect_err("none").to_string().contains("./no-such.toml"));
    assert!(Insert::load("m5-nutt").expect_err("none").to_string().contains("m5-nut"));
}

#[test]
fn a_folder_of_the_shop_comes_first() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::create_dir(folder.path().join("materials")).expect("a folder");
    std::fs::write(folder.path().join("materials/petg.toml"), MATERIAL.replace("25.0", "19.5")).expect("a file");
    let folders = [folder.path().to_owned()];
    assert_eq!(Material::load_in("PETG", &folders).expect("ours").price_per_kg, Some(19.5));
    assert_eq!(Material::load_in("PLA", &folders).expect("built in").name, "PLA");
}

#[test]
fn every_built_in_profile_loads() {
    for name in Machine::built_in_names() {
        Machine::load(name).unwrap_or_else(|e| panic!("{name}: {e}"));
    }
    for name in Material::built_in_names() {
        let material = Material::load(name).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(material.strength_mpa.is_some() && material.stiffness_mpa.is_some(), "{name}");
        assert!(material.temperature_c.is_some_and(|t| t.softening.is_some()) && material.lowering.is_some(), "{name}");
    }
    for name in StrengthProfile::built_in_names() {
        StrengthProfile::load(name).unwrap_or_else(|e| panic!("{name}: {e}"));
    }
    assert!(Insert::built_in().expect("inserts").len() > 50);
    assert!(Metal::built_in().expect("metals").len() > 5);
    assert_eq!(Machine::built_in_names().count(), 4);
    assert_eq!(Material::built_in_names().count(), 9);
}

#[test]
fn every_file_in_the_folders_is_built_in() {
    for kind in Kind::ALL {
        let folder = format!("profiles/{}", kind.folder());
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for entry in entries {
            let path = entry.expect("an entry").path();
            let name = path.file_stem().and_then(|n| n.to_str()).expect("a name").to_owned();
            assert!(kind.text(&name).is_some(), "{} is not built in", path.display());
        }
    }
}

/// Dotted paths of numbers with no `source` in their own table or one around it.
fn without_source(value: &toml::Value, path: &str, covered: bool, found: &mut Vec<String>) {
    match value {
        toml::Value::Table(table) => {
            let covered = covered || table.contains_key("source");
            for (key, value) in table {
                without_source(value, &format!("{path}.{key}"), covered, found);
            }
        }
        toml::Value::Array(items) => {
            for (i, item) in items.iter().enumerate() {
                without_source(item, &format!("{path}.{i}"), covered, found);
            }
        }
        toml::Value::Integer(_) | toml::Value::Float(_) if !covered => found.push(path.to_owned()),
        _ => {}
    }
}

#[test]
fn every_number_has_a_source() {
    let mut found = Vec::new();
    for kind in Kind::ALL {
        for name in kind.names() {
            let table: toml::Value = toml::from_str(kind.text(name).expect("built in")).expect("TOML");
            without_source(&table, &format!("{}/{name}", kind.folder()), false, &mut found);
        }
    }
    assert!(found.is_empty(), "{found:?}");
    let bare: toml::Value = toml::from_str("a = 1\n[b]\nsource = \"x\"\nc = 2\n").expect("TOML");
    without_source(&bare, "", false, &mut found);
    assert_eq!(found, [".a"], "the check itself must see a number without one");
}

#[test]
fn soft_and_abrasive_filament_are_known() {
    // Facts of the trade (common practice, no source): fibre-filled filament needs a hardened nozzle, soft TPU
    // cannot go through most changers, engineering filament wants an enclosed, warm chamber.
    for name in ["petg-cf", "pa-cf"] {
        assert!(Material::load(name).expect(name).needs.hardened_nozzle, "{name}");
    }
    assert!(Material::load("tpu-95a").expect("tpu").needs.own_feed);
    for name in ["abs", "asa", "pc", "pa", "pa-cf"] {
        assert!(Material::load(name).expect(name).needs.enclosure, "{name}");
    }
    for name in ["pla", "petg"] {
        assert!(!Material::load(name).expect(name).needs.enclosure, "{name}");
    }
    assert!(Machine::load("enclosed-mid").expect("machine").changer);
    let twin = Machine::load("enclosed-twin").expect("machine");
    assert!(twin.tools == 2 && !twin.changer);
}

#[test]
fn hexagon_nuts_are_as_published() {
    // ISO 4032: across flats (nominal) and height (greatest) from two independent open tables that agree;
    // ISO 4035 height from one open table; coarse pitch ISO 261.
    for (size, flats, height, thin, pitch) in [
        ("m3", 5.5, 2.4, 1.8, 0.5),
        ("m4", 7.0, 3.2, 2.2, 0.7),
        ("m5", 8.0, 4.7, 2.7, 0.8),
        ("m6", 10.0, 5.2, 3.2, 1.0),
        ("m8", 13.0, 6.8, 4.0, 1.25),
        ("m10", 16.0, 8.4, 5.0, 1.5),
        ("m12", 18.0, 10.8, 6.0, 1.75),
    ] {
        let nut = Insert::load(&format!("{size}-nut")).expect(size);
        assert_eq!((nut.across_flats_mm, nut.height_mm, nut.pitch_mm), (Some(flats), height, Some(pitch)), "{size}");
        let flat = Insert::load(&format!("iso-4035-{size}")).expect(size);
        assert_eq!((flat.across_flats_mm, flat.height_mm), (Some(flats), thin), "{size}");
    }
    for (size, flats, height) in [("m2", 4.0, 1.6), ("m2.5", 5.0, 2.0)] {
        let nut = Insert::load(size).expect(size);
        assert_eq!((nut.across_flats_mm, nut.height_mm), (Some(flats), height), "{size}");
    }
}

#[test]
fn corners_are_reckoned_sharp() {
    // e = 1.1547 s (geometry); ISO 4032 asks for e of at least 6.01, 8.79, 14.38, 20.03 mm (from memory), so a
    // pocket on the sharp corner always clears.
    for (size, sharp, least) in
        [("m3", 6.351, 6.01), ("m5", 9.238, 8.79), ("m8", 15.011, 14.38), ("m12", 20.785, 20.03)]
    {
        let nut = Insert::load(size).expect(size);
        let corners = nut.turning_circle_mm().expect("a hexagon");
        assert_abs_diff_eq!(corners, sharp, epsilon = 0.0005);
        assert!(corners > least, "{size}");
    }
}

#[test]
fn square_nuts_and_clearance_holes_are_as_published() {
    // DIN 557 and ISO 273 medium from an open table of the standards; DIN 562 from memory.
    for (name, flats, height, hole) in [
        ("m5-square-nut", 8.0, 4.0, Some(5.5)),
        ("m6-square-nut", 10.0, 5.0, Some(6.6)),
        ("m8-square-nut", 13.0, 6.5, Some(9.0)),
        ("m10-square-nut", 17.0, 8.0, Some(11.0)),
        ("m12-square-nut", 19.0, 10.0, None),
        ("din-562-m4", 7.0, 2.2, Some(4.5)),
        ("din-562-m8", 13.0, 4.0, Some(9.0)),
    ] {
        let nut = Insert::load(name).expect(name);
        assert_eq!((nut.across_flats_mm, nut.height_mm, nut.clearance_hole_mm), (Some(flats), height, hole), "{name}");
    }
}

#[test]
fn magnets_have_grades_and_masses() {
    // Working temperatures by letter: five magnet-trade pages agree. Masses from 7.5 g/cm3 (from memory).
    let grades = MagnetGrades::built_in().expect("grades");
    for (grade, celsius) in
        [("N", 80.0), ("n42", 80.0), ("N35M", 100.0), ("H", 120.0), ("N42SH", 150.0), ("UH", 180.0), ("eh", 200.0)]
    {
        assert_eq!(grades.max_c(grade), Some(celsius), "{grade}");
    }
    assert_eq!(grades.max_c("zz"), None);
    assert_abs_diff_eq!(Insert::load("disc-10x3").expect("disc").mass_g().expect("mass"), 1.77, epsilon = 0.005);
    assert_abs_diff_eq!(Insert::load("disc 6x2").expect("disc").mass_g().expect("mass"), 0.424, epsilon = 0.0005);
}

#[test]
fn an_insert_can_be_described() {
    let disc = Insert::load("disc 7x1.5").expect("a disc");
    assert_eq!((disc.diameter_mm, disc.height_mm, disc.magnet), (Some(7.0), 1.5, None));
    let bar = Insert::load("bar 5x20x3 mm").expect("a bar");
    assert_eq!((bar.length_mm, bar.width_mm, bar.height_mm), (Some(20.0), Some(5.0), 3.0));
    let inch = Insert::load("magnet 3/4 in x 1/8 in").expect("a disc");
    assert_relative_eq!(inch.diameter_mm.expect("round"), 19.05, max_relative = 1e-12);
    assert_relative_eq!(inch.height_mm, 3.175, max_relative = 1e-12);
    assert_eq!(Insert::load("disc-1/4x1/8-in").expect("built in").diameter_mm, Some(6.35));
    for wrong in ["disc 7", "disc 0x3", "disc 7x-1", "hex 8x4x2", "ring 8x9x3", "wedge 3x4"] {
        assert!(Insert::load(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn steel_gauges_follow_the_rule_of_weights() {
    // Manufacturers' Standard Gauge: t = w / 41.82 lb/ft2, against the listed inches (10, 16, 18, 20 read
    // second-hand, the others from memory).
    let steel = Metal::load("mild steel").expect("steel");
    for (gauge, inches) in [
        (10, 0.1345),
        (11, 0.1196),
        (12, 0.1046),
        (14, 0.0747),
        (16, 0.0598),
        (18, 0.0478),
        (20, 0.0359),
        (22, 0.0299),
        (24, 0.0239),
        (26, 0.0179),
    ] {
        assert_abs_diff_eq!(steel.gauge_mm(gauge).expect("listed") / 25.4, inches, epsilon = 0.0001);
    }
    assert_abs_diff_eq!(steel.gauge_mm(16).expect("listed"), 1.519, epsilon = 0.001);
}

#[test]
fn a_gauge_means_another_thickness_in_another_metal() {
    // 16 gauge: steel 1.519, galvanised 1.613, stainless 1.588, aluminium 1.291 mm (Brown and Sharpe rule),
    // older US Standard 1.588 mm, 4.5 % thicker than steel's.
    let mm = |metal: &str| Metal::load(metal).expect(metal).gauge_mm(16).expect("listed");
    for (metal, expected) in [("steel", 1.519), ("galvanised", 1.613), ("stainless", 1.588), ("aluminium", 1.291)] {
        assert_abs_diff_eq!(mm(metal), expected, epsilon = 0.001);
    }
    let old = gauge_table("us-standard").expect("a table").thickness_mm(16).expect("listed");
    assert_abs_diff_eq!(old / mm("steel"), 1.045, epsilon = 0.001);
    for (gauge, expected) in [(14, 1.628), (18, 1.024), (20, 0.812)] {
        let aluminium = Metal::load("5052").expect("metal");
        assert_abs_diff_eq!(aluminium.gauge_mm(gauge).expect("listed"), expected, epsilon = 0.001);
    }
    let none = Metal::load("galvanised").expect("metal").gauge_mm(13);
    assert!(matches!(none, Err(GaugeError::NotListed { gauge: 13, .. })));
}

#[test]
fn metals_agree_with_a_second_table() {
    // Shigley, Mechanical Engineering Design, Table A-20 (from memory): 1010 hot rolled 320/180, cold drawn 370/300;
    // 1018 hot rolled 400/220, cold drawn 440/370 MPa. Two tables must agree within 2 %.
    for (metal, tensile, yielding) in
        [("1010", [320.0, 370.0], [180.0, 300.0]), ("1018", [400.0, 440.0], [220.0, 370.0])]
    {
        let metal = Metal::load(metal).expect("metal");
        assert_relative_eq!(metal.tensile_mpa.low, tensile[0], max_relative = 0.02);
        assert_relative_eq!(metal.tensile_mpa.high, tensile[1], max_relative = 0.02);
        assert_relative_eq!(metal.yield_mpa.low, yielding[0], max_relative = 0.02);
        assert_relative_eq!(metal.yield_mpa.high, yielding[1], max_relative = 0.02);
    }
}
