//! A body for measuring that no shortcut helps with: its wavy walls drift, so that no two layers are alike.
//!
//! ```text
//!    .-~-.          three walls, and lines of a core from wall to wall that turn from layer to layer
//!   (  /  )
//!    '-~-'
//! ```

use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;

const HEIGHT_MM: f64 = 0.2;
const WIDTH_MM: f64 = 0.45;
const WALLS: u32 = 3;
/// Lines of the core lie this far apart, mm.
const CORE_MM: f64 = 2.2;
/// Core lines are looked for no further out than this, where there is room within the walls everywhere, mm.
const CORE_RADIUS_MM: f64 = 22.0;
/// The end of a core line is found to this, mm.
const END_MM: f64 = 0.05;

/// Layers with walls written in pieces about `piece_mm` long, until there are at least `bytes` of them.
pub fn waves(piece_mm: f64, bytes: usize) -> String {
    let mut text = "G21\nG90\nM83\nG92 E0\nM104 S210\nG28\n".to_owned();
    for layer in 0.. {
        let _ = writeln!(text, "G0 Z{:.2} F600", HEIGHT_MM * f64::from(layer + 1));
        for wall in 0..WALLS {
            lay(&wall_path(piece_mm, layer, WIDTH_MM * (0.5 + f64::from(wall))), &mut text);
        }
        core(layer, &mut text);
        if text.len() >= bytes {
            return text + "M104 S0\nM84\n";
        }
    }
    unreachable!("layers go on for ever")
}

/// Radius of the wall that runs `inside_mm` within the edge, mm.
fn radius_mm(turn: f64, layer: u32, inside_mm: f64) -> f64 {
    let drift = 0.01 * f64::from(layer);
    30.0 + 3.0 * (5.0 * turn + drift).sin() + 1.5 * (3.0 * turn - 2.0 * drift).sin() - inside_mm
}

fn wall_path(piece_mm: f64, layer: u32, inside_mm: f64) -> Vec<(f64, f64)> {
    let pieces = (TAU * 30.0 / piece_mm) as u32;
    let at = |i: u32| {
        let turn = TAU * f64::from(i % pieces) / f64::from(pieces);
        let radius = radius_mm(turn, layer, inside_mm);
        (100.0 + radius * turn.cos(), 100.0 + radius * turn.sin())
    };
    (0..=pieces).map(at).collect()
}

fn core(layer: u32, text: &mut String) {
    let (sine, cosine) = (0.7 + 0.5 * PI * f64::from(layer % 2)).sin_cos();
    let mut aside = -CORE_RADIUS_MM;
    while aside <= CORE_RADIUS_MM {
        let at = |along: f64| (cosine * along - sine * aside, sine * along + cosine * aside);
        let end = |onward: f64| {
            let steps = (0..).map(|step| onward * END_MM * f64::from(step));
            let within = |(x, y): (f64, f64)| x.hypot(y) < radius_mm(y.atan2(x), layer, WIDTH_MM * f64::from(WALLS));
            steps.take_while(|along| within(at(*along))).last().map_or((0.0, 0.0), at)
        };
        lay(&[end(-1.0), end(1.0)].map(|(x, y)| (100.0 + x, 100.0 + y)), text);
        aside += CORE_MM;
    }
}

fn lay(path: &[(f64, f64)], text: &mut String) {
    let filament_per_mm = HEIGHT_MM * WIDTH_MM * 0.95 / (PI * 0.875_f64.powi(2));
    let _ = writeln!(text, "G0 X{:.3} Y{:.3} F9000", path[0].0, path[0].1);
    for (number, ends) in path.windows(2).enumerate() {
        let long = (ends[1].0 - ends[0].0).hypot(ends[1].1 - ends[0].1);
        let feed = if number == 0 { " F1800" } else { "" };
        let _ = writeln!(text, "G1 X{:.3} Y{:.3} E{:.5}{feed}", ends[1].0, ends[1].1, long * filament_per_mm);
    }
}
