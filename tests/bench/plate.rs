//! Large files for measuring: many copies of a few parts beside and on each other.
//!
//! ```text
//!   +---+ +---+ +---+
//!   | a | | b | | a |     every layer holds all copies, one after the other
//!   +---+ +---+ +---+     the layers of all parts come again, higher up, until the file is as long as asked
//!   | b | | a | | b |
//!   +---+ +---+ +---+
//! ```
//!
//! The text is what `rebead` writes, with its places moved, so it reads, moves and measures as real files do: walls,
//! skins and cores in the usual shares.

use beadwise::geom::{Point, Polygon};
use beadwise::profile::Limits;
use beadwise::rebead::drawing::{polygon, rectangle, regular_ring, rounded_rectangle};
use beadwise::rebead::{Body, CoreFill, Dialect, Settings, lay, slice, write};
use std::fmt::Write as _;
use std::io::{self, Write};

/// Copies along one side of the plate.
const ACROSS: usize = 4;
/// Distance between copies, mm.
const APART_MM: f64 = 70.0;

/// One layer of a part: its height in the part, and its lines.
struct Layer<'a> {
    z_mm: f64,
    lines: Vec<Words<'a>>,
}

/// A line, taken apart where its places stand.
enum Words<'a> {
    /// As it is.
    Whole(&'a str),
    /// A move: its command, its places, and what follows them.
    Move { command: &'a str, x: Option<f64>, y: Option<f64>, rest: String },
}

/// Writes a plate of parts, at least `bytes` long. Their extruder positions must be relative (M83), and each of
/// their layers must begin with `G0 Z`.
pub fn write_plate(parts: &[String], bytes: u64, out: &mut impl Write) -> io::Result<()> {
    let stacks: Vec<Vec<Layer<'_>>> = parts.iter().map(|text| layers(text)).collect();
    let count = stacks.iter().map(Vec::len).min().unwrap_or(0);
    let height_mm = stacks[0][count - 1].z_mm;
    let mut text = parts[0].lines().take_while(|line| !line.starts_with("G0 Z")).collect::<Vec<_>>().join("\n");
    text.push('\n');
    let mut written = 0;
    for level in 0.. {
        for (at, first) in stacks[0].iter().take(count).enumerate() {
            let z_mm = first.z_mm + f64::from(level) * height_mm;
            let _ = writeln!(text, "G0 Z{z_mm:.2} F600");
            for copy in 0..ACROSS * ACROSS {
                let (column, row) = (copy % ACROSS, copy / ACROSS);
                let layer = &stacks[(column + row) % stacks.len()][at];
                copy_lines(layer, column as f64 * APART_MM, row as f64 * APART_MM, &mut text);
            }
            out.write_all(text.as_bytes())?;
            written += text.len() as u64;
            text.clear();
            if written >= bytes {
                return out.write_all(b"M104 S0\nM84\n");
            }
        }
    }
    Ok(())
}

/// Parts to copy, 14 mm high in layers of 0.2 mm: a turned sleeve, a vice jaw with a groove, a plate with two bores.
pub fn parts() -> Vec<String> {
    let at = |x: f64, y: f64| Point::new(100.0 + x, 100.0 + y);
    let disc = |x: f64, y: f64, diameter_mm: f64, corners: u32| Polygon {
        outer: regular_ring(at(x, y), diameter_mm, corners, 0.0),
        holes: Vec::new(),
    };
    let sleeve = Body::new(0).add(0.0, 5.0, disc(0.0, 0.0, 50.0, 160)).add(5.0, 14.0, disc(0.0, 0.0, 42.0, 140)).cut(
        0.0,
        14.0,
        disc(0.0, 0.0, 14.2, 72),
    );
    let groove = polygon(&[(88.0, 122.0), (100.0, 110.0), (112.0, 122.0)]);
    let jaw = Body::new(0).add(0.0, 14.0, rectangle(at(-26.0, -18.0), at(26.0, 18.0))).cut(0.0, 14.0, groove);
    let plate = Body::new(0)
        .add(0.0, 14.0, rounded_rectangle(at(-27.0, -20.0), at(27.0, 20.0), 5.0))
        .cut(0.0, 14.0, disc(-14.0, 3.0, 9.0, 48))
        .cut(6.0, 14.0, disc(12.0, -2.0, 16.0, 64));
    let dialect = Dialect { relative_e: true, trimmed: true, layer_comments: false, ..Dialect::default() };
    let text = |(body, walls, density): (Body, u32, f64)| {
        let core = CoreFill { density, ..CoreFill::default() };
        let settings = Settings { walls, core, ..Settings::default() };
        write(&lay(&slice(&[body], 0.2, 0.2), &settings), &dialect, &Limits::default())
    };
    [(sleeve, 3, 0.25), (jaw, 2, 0.4), (plate, 4, 0.15)].map(text).to_vec()
}

fn layers(text: &str) -> Vec<Layer<'_>> {
    let mut layers: Vec<Layer<'_>> = Vec::new();
    for line in text.lines() {
        if line.starts_with("M104 S0") {
            break;
        }
        if let Some(z) = line.strip_prefix("G0 Z").and_then(|rest| rest.split(' ').next()) {
            layers.push(Layer { z_mm: z.parse().expect("a height"), lines: Vec::new() });
        } else if let Some(layer) = layers.last_mut() {
            layer.lines.push(words(line));
        }
    }
    layers
}

fn words(line: &str) -> Words<'_> {
    let mut parts = line.split(' ');
    let command = parts.next().unwrap_or_default();
    if !matches!(command, "G0" | "G1") {
        return Words::Whole(line);
    }
    let (mut x, mut y, mut rest) = (None, None, String::new());
    for part in parts {
        match part.split_at(1) {
            ("X", value) => x = value.parse().ok(),
            ("Y", value) => y = value.parse().ok(),
            _ => {
                rest.push(' ');
                rest.push_str(part);
            }
        }
    }
    Words::Move { command, x, y, rest }
}

fn copy_lines(layer: &Layer<'_>, right_mm: f64, up_mm: f64, into: &mut String) {
    for line in &layer.lines {
        match line {
            Words::Whole(text) => into.push_str(text),
            Words::Move { command, x, y, rest } => {
                into.push_str(command);
                for (letter, place) in [('X', x.map(|x| x + right_mm)), ('Y', y.map(|y| y + up_mm))] {
                    if let Some(place) = place {
                        let _ = write!(into, " {letter}{:.3}", place - 70.0);
                    }
                }
                into.push_str(rest);
            }
        }
        into.push('\n');
    }
}
