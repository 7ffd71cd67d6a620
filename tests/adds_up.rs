//! What an audit says adds up: the same plastic and the same time, told by role, by tool, by layer and in all.

use approx::assert_relative_eq;
use beadwise::measure::{PrintMeasures, Setup, measure_print};
use beadwise::profile::{Machine, Role};
use std::fs;
use std::path::Path;

fn measured(text: &[u8]) -> PrintMeasures {
    let setup = Setup::of(Machine::load("open-small").expect("a built-in machine"));
    measure_print(text, &setup, &mut |_| ()).expect("a print")
}

fn adds_up(name: &str, print: &PrintMeasures) {
    let sum_of = |what: &str, parts: f64, whole: f64| {
        assert!((parts - whole).abs() <= 1e-6 * whole, "{name}: {parts} is not {whole}, {what}");
    };
    let all = &print.totals;
    sum_of("plastic by role", print.roles.iter().map(|r| r.volume_mm3).sum(), all.volume_mm3);
    sum_of("plastic by tool", print.tools.iter().map(|t| t.volume_mm3).sum(), all.volume_mm3);
    sum_of("filament by tool", print.tools.iter().map(|t| t.filament_mm).sum(), all.filament_mm);
    let of_part: f64 = print.roles.iter().filter(|r| r.role.is_part()).map(|r| r.volume_mm3).sum();
    sum_of("plastic of the part by layer", print.layers.iter().map(|l| l.volume_mm3).sum(), of_part);
    let time = &all.time;
    sum_of("time of moves by tool", print.tools.iter().map(|t| t.time_s).sum(), time.moving_s());
    sum_of("time of laying by role", print.roles.iter().map(|r| r.time_s).sum(), time.depositing_s);
}

#[test]
fn plastic_and_time_of_every_sample_add_up() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-gcode");
    for file in fs::read_dir(folder).expect("samples") {
        let path = file.expect("a sample").path();
        if path.extension().is_some_and(|e| e == "gcode") {
            adds_up(&path.to_string_lossy(), &measured(&fs::read(&path).expect("a sample can be read")));
        }
    }
}

/// Filament pressed out before the first bead, between two layers and after the last has no path to lie on.
#[test]
fn plastic_without_a_path_is_purge_wherever_it_comes() {
    let square = |z: f64| format!("G0 X50 Y50 Z{z}\nG1 X80 E1.2 F1200\nG1 Y80 E1.2\nG1 X50 E1.2\nG1 Y50 E1.2\n");
    let [first, second] = [0.25, 0.5].map(square);
    let plain = measured(format!("G90\nM83\n{first}{second}").as_bytes());
    assert!(plain.roles.iter().all(|r| r.role != Role::Purge), "{:?}", plain.roles);
    for [before, between, after] in [[3.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 1.0], [3.0, 2.0, 1.0]] {
        let pressed = |mm: f64| if mm > 0.0 { format!("G1 E{mm} F300\n") } else { String::new() };
        let [a, b, c] = [before, between, after].map(pressed);
        let print = measured(format!("G90\nM83\n{a}{first}{b}{second}{c}").as_bytes());
        adds_up("pressed out", &print);
        let purge_mm3: f64 = print.roles.iter().filter(|r| r.role == Role::Purge).map(|r| r.volume_mm3).sum();
        // Filament of 1.75 mm: π/4 d² of plastic for each mm.
        let of_mm = std::f64::consts::FRAC_PI_4 * 1.75 * 1.75;
        assert_relative_eq!(purge_mm3, (before + between + after) * of_mm, max_relative = 1e-9);
    }
}
