//! The sample files are what `rebead` writes, and their motion is what their truth says.

#[path = "samples/parts.rs"]
mod parts;

use beadwise::motion::{MoveKind, Step, steps};
use beadwise::profile::{Annotations, Machine};
use std::collections::BTreeMap;

/// Largest sample, bytes.
const LARGEST: usize = 1_500_000;

#[test]
fn the_files_are_what_the_program_writes() {
    for sample in parts::samples() {
        let path = format!("sample-gcode/{}.gcode", sample.name);
        let there = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(there == sample.gcode, "{path} is stale: run `cargo run --example write-samples`");
        assert!(there.len() < LARGEST, "{path} is {} bytes", there.len());
        let truth = std::fs::read_to_string(format!("tests/samples/{}.json", sample.name)).unwrap_or_default();
        let fresh = serde_json::to_string_pretty(&sample.truth).unwrap_or_default();
        assert!(truth.trim_end() == fresh, "truth of {} is stale", sample.name);
    }
}

#[test]
fn the_machine_lays_what_the_truth_says() {
    let machine: Machine = toml::from_str("name = 'bench'\ntools = 2").expect("a machine");
    for sample in parts::samples() {
        let mut volume: BTreeMap<u16, f64> = BTreeMap::new();
        let mut tops: Vec<f64> = Vec::new();
        for step in steps(sample.gcode.as_bytes(), &machine, &Annotations::none()) {
            let Step::Move(step) = step else { continue };
            if step.kind == MoveKind::Deposit {
                *volume.entry(step.tool).or_default() += step.bead_mm3;
                if tops.last().is_none_or(|z| (z - step.to[2]).abs() > 1e-6) {
                    tops.push(step.to[2]);
                }
            }
        }
        for (tool, filament) in &sample.truth.filament_mm {
            let expected = filament * std::f64::consts::FRAC_PI_4 * 1.75 * 1.75;
            let share = volume.get(tool).copied().unwrap_or(0.0) / expected;
            assert!((share - 1.0).abs() < 5e-4, "{}: tool {tool} lays {share} of its plastic", sample.name);
        }
        assert_eq!(tops.len(), sample.truth.layers.len(), "{}", sample.name);
        for (z, layer) in tops.iter().zip(&sample.truth.layers) {
            assert!((z - layer.z_mm).abs() < 2e-3, "{}: layer at {z}, not {}", sample.name, layer.z_mm);
        }
    }
}
