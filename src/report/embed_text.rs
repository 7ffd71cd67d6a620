//! Pockets, inserts and stops as text for people.

use super::Figures;
use super::pocket_groups::{PocketGroup, groups};
use super::words::wrap;
use crate::embed::{Asked, Fit, Misfit, Stopped, Workpiece, suited};
use crate::profile::Insert;
use crate::shape::{Access, Pocket};
use std::fmt::Write;

/// Suited inserts named for one pocket.
const MOST_SUITED: usize = 3;
/// Columns of a terminal.
const WIDTH: usize = 80;

/// What the person at the printer must know; shown whenever a stop is written.
pub const STOP_CAUTIONS: &str = "\
At every stop the nozzle and the bed stay hot: keep fingers and sleeves away.
Strong magnets pinch, jump to steel and to the nozzle, and spoil pacemakers and
cards. Keep the stop short: a cold layer bonds less well.";

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
    let mut suggested: Vec<&str> = Vec::new();
    for group in groups(pockets.iter().enumerate()) {
        let Some(pocket) = tightest(&group) else { continue };
        let fits = suited(pocket, inserts, Asked::default());
        if let (Access::Closed, Some((best, _))) = (pocket.access, fits.first())
            && !suggested.contains(&best.name.as_str())
        {
            suggested.push(&best.name);
        }
        text.push_str(&group_text(&group, pocket, &fits, piece, figures));
    }
    for stop in piece.stops() {
        _ = writeln!(text, "  stop after layer {}: {}", stop.after_layer, notes(&stop.notes));
    }
    if !suggested.is_empty() {
        let options: Vec<String> = suggested.iter().map(|name| format!("--insert {name}")).collect();
        _ = writeln!(text, "to write the stops, add: {} -o NEW-FILE", options.join(" "));
    }
    text
}

/// The pocket of a group that has the least room.
fn tightest<'a>(group: &PocketGroup<'a>) -> Option<&'a Pocket> {
    group.pockets.iter().min_by(|a, b| a.size_mm.total_cmp(&b.size_mm)).copied()
}

fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

fn notes(notes: &[String]) -> String {
    if notes.is_empty() { "no note".to_owned() } else { notes.join(", ") }
}

/// Pockets that are alike, told by the one with the least room.
fn group_text(
    group: &PocketGroup<'_>,
    pocket: &Pocket,
    fits: &[(&Insert, Result<Fit, Misfit>)],
    piece: &Workpiece<'_>,
    figures: Figures,
) -> String {
    let bare = |mm| figures.bare_length(mm);
    let (floor, top) = (bare(pocket.floor_z_mm), bare(pocket.floor_z_mm + pocket.depth_mm));
    let mut text = format!("  {:<4} {}, z {floor} to {top}\n", group.ids(), group.what(figures));
    push_places(&mut text, &group.where_they_are(figures));
    push_wrapped(
        &mut text,
        &match pocket.stop_after_layer {
            Some(layer) => format!("stop after layer {layer}{}", at_height(piece, layer, figures)),
            None => format!("open at the {}: no stop needed", pocket.access.word()),
        },
    );
    let named: Vec<String> = fits
        .iter()
        .take(MOST_SUITED)
        .map(|(insert, fit)| match fit {
            Ok(fit) => format!("{} ({} beside, {} above)", insert.name, bare(fit.room_mm), bare(fit.head_room_mm)),
            Err(Misfit::Open(_)) => format!("{} (later)", insert.name),
            Err(_) => insert.name.clone(),
        })
        .collect();
    if !named.is_empty() {
        push_wrapped(&mut text, &format!("fits: {}", named.join(", ")));
    } else if pocket.access == Access::Closed {
        push_wrapped(&mut text, "fits: none of the inserts known; describe yours, such as --insert \"disc 7x1.5\"");
    }
    text
}

/// Adds a text under a pocket's name, in as many lines as it takes.
fn push_wrapped(text: &mut String, words: &str) {
    for line in wrap(words, WIDTH - 7) {
        _ = writeln!(text, "       {line}");
    }
}

/// The same for places, none of which is broken in two.
fn push_places(text: &mut String, places: &str) {
    let mut line = String::new();
    for place in places.split_inclusive(", ") {
        if !line.is_empty() && line.chars().count() + place.trim_end().chars().count() > WIDTH - 7 {
            _ = writeln!(text, "       {}", line.trim_end());
            line.clear();
        }
        line.push_str(place);
    }
    _ = writeln!(text, "       {line}");
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
    let proven = format!(
        "proven: without its stops the file is the original, byte for byte; run side by side, {} steps and {} beads in \
         {} layers are the same",
        proof.steps, proof.beads, proof.layers
    );
    for line in wrap(&proven, WIDTH - 2) {
        _ = writeln!(text, "  {line}");
    }
    text
}
