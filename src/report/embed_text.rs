//! Pockets, inserts and stops as text for people.

use super::Figures;
use crate::embed::{Asked, Misfit, Stopped, Workpiece, suited};
use crate::profile::Insert;
use crate::shape::{Access, Pocket, pocket_id};
use std::fmt::Write;

/// Suited inserts named for one pocket.
const MOST_SUITED: usize = 3;

/// What the person at the printer must know; shown whenever a stop is written.
pub const STOP_CAUTIONS: &str = "\
At every stop the nozzle and the bed stay hot: keep fingers and sleeves away. Strong magnets pinch, jump to steel and
to the nozzle, and spoil pacemakers and cards. Keep the stop short: a cold layer bonds less well.";

/// The pockets of a file, what fits them, and when it goes in.
#[must_use]
pub fn pockets_text(name: &str, piece: &Workpiece<'_>, inserts: &[Insert], figures: Figures) -> String {
    let pockets = piece.pockets();
    let mut text = String::new();
    let closed = pockets.iter().filter(|pocket| pocket.access == Access::Closed).count();
    let (open, stops) = (pockets.len() - closed, piece.stops().len());
    // Writing to a String cannot fail.
    _ = writeln!(
        text,
        "{name}: {} a stop, {} open; {} in the file",
        count(closed, "pocket needs", "pockets need"),
        count(open, "is", "are"),
        count(stops, "stop is", "stops are"),
    );
    for (index, pocket) in pockets.iter().enumerate() {
        text.push_str(&pocket_text(index, pocket, piece, inserts, figures));
    }
    for stop in piece.stops() {
        _ = writeln!(text, "  stop after layer {}: {}", stop.after_layer, notes(&stop.notes));
    }
    text
}

fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

fn notes(notes: &[String]) -> String {
    if notes.is_empty() { "no note".to_owned() } else { notes.join(", ") }
}

fn pocket_text(index: usize, pocket: &Pocket, piece: &Workpiece<'_>, inserts: &[Insert], figures: Figures) -> String {
    let (bare, unit) = (|mm| figures.bare_length(mm), figures.length_unit());
    let long = pocket.length_mm.map(|length| format!(" x {}", bare(length))).unwrap_or_default();
    let size = format!("{} {}{long} {unit}", pocket.shape.word(), bare(pocket.size_mm));
    let (x, y) = (figures.place(pocket.centre.x), figures.place(pocket.centre.y));
    let top_mm = pocket.floor_z_mm + pocket.depth_mm;
    let mut text = format!(
        "  {:<4} {size}, {} deep, at x {x} y {y}, z {} to {}\n",
        pocket_id(index),
        figures.length(pocket.depth_mm),
        bare(pocket.floor_z_mm),
        bare(top_mm),
    );
    _ = match pocket.stop_after_layer {
        Some(layer) => writeln!(text, "       stop after layer {layer}{}", at_height(piece, layer, figures)),
        None => writeln!(text, "       open at the {}: no stop needed", pocket.access.word()),
    };
    let fits: Vec<String> = suited(pocket, inserts, Asked::default())
        .into_iter()
        .take(MOST_SUITED)
        .map(|(insert, fit)| match fit {
            Ok(fit) => format!("{} ({} beside, {} above)", insert.name, bare(fit.room_mm), bare(fit.head_room_mm)),
            Err(Misfit::Open(_)) => format!("{} (later)", insert.name),
            Err(_) => insert.name.clone(),
        })
        .collect();
    let fits = if fits.is_empty() { "none of the inserts known".to_owned() } else { fits.join(", ") };
    _ = writeln!(text, "       fits: {fits}");
    text
}

fn at_height(piece: &Workpiece<'_>, layer: usize, figures: Figures) -> String {
    piece.layers().top_mm(layer).map(|z_mm| format!(" (z {})", figures.bare_length(z_mm))).unwrap_or_default()
}

/// The stops of a new file, and what was proven of it.
#[must_use]
pub fn stops_text(name: &str, stopped: &Stopped, figures: Figures) -> String {
    let mut text = String::new();
    let already = if stopped.unchanged { "; all were there already, nothing changed" } else { "" };
    _ = writeln!(text, "{name}: {}{already}", count(stopped.stops.len(), "stop", "stops"));
    for stop in &stopped.stops {
        let (layer, z, line) = (stop.after_layer, figures.bare_length(stop.z_mm), stop.after_line);
        _ = writeln!(text, "  after layer {layer} (z {z}), line {line}");
        for note in &stop.notes {
            _ = writeln!(text, "    {note}");
        }
    }
    let proof = &stopped.proof;
    _ = writeln!(
        text,
        "  proven: without its stops the file is the original, byte for byte; run side by side, {} steps and {} beads in \
         {} layers are the same",
        proof.steps, proof.beads, proof.layers
    );
    text
}
