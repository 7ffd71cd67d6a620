//! `beadwise embed`.

use super::arguments::EmbedArguments;
use super::audit::read_source;
use super::outcome::{Outcome, Trouble};
use super::setup;
use super::shop::ShopDefaults;
use super::terminal::Terminal;
use beadwise::diag::{Diagnostic, Severity};
use beadwise::embed::{EmbedError, Look, Place, StopRequest, Stopped, Wish, Workpiece, preview, undo};
use beadwise::measure::Setup;
use beadwise::profile::{Insert, MagnetGrades};
use beadwise::report::{STOP_CAUTIONS, pockets_text, stops_text};
use beadwise::source::{Source, Target, write_file};
use std::path::Path;

/// Lists pockets, or writes stops, or takes them out.
pub fn run(asked: &EmbedArguments, shop: &ShopDefaults, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let setup = setup::load(&asked.print, shop)?;
    let wish = wish(asked, shop)?;
    let source = read_source(&asked.file)?;
    let trouble = |error| Trouble::Embed { path: asked.file.clone(), error };
    if asked.undo {
        return take_out(asked, &source, terminal);
    }
    let wants_stops = !(asked.layers.is_empty() && asked.heights_mm.is_empty());
    let wants_inserts = !(wish.inserts.is_empty() && wish.by_pocket.is_empty());
    let look = if wants_inserts || !wants_stops { Look::Pockets } else { Look::Layers };
    let piece = Workpiece::read(source.bytes(), &setup, look).map_err(trouble)?;
    if !(wants_stops || wants_inserts) {
        let inserts = Insert::built_in()?;
        terminal.answer(&pockets_text(source.name(), &piece, &inserts))?;
        return Ok(Outcome::Fine);
    }
    let mut requests = by_hand(asked);
    if wants_inserts {
        let grades = MagnetGrades::built_in()?;
        let seating = piece.seat(&wish, Some(&grades)).map_err(trouble)?;
        warn(&seating.warnings, terminal);
        for left in seating.left_in_words() {
            terminal.remark(&format!("left empty: {left}"));
        }
        let seats = seating.requests(piece.pockets());
        requests.extend(seats.into_iter().map(|request| with_notes(request, &asked.notes)));
    }
    let stopped = piece.put_stops(&requests).map_err(trouble)?;
    warn(&stopped.warnings, terminal);
    deliver(asked, &source, &stopped, &setup, terminal)
}

/// Stops that were asked for by layer or height.
fn by_hand(asked: &EmbedArguments) -> Vec<StopRequest> {
    let layers = asked.layers.iter().map(|&layer| Place::AfterLayer(layer));
    let heights = asked.heights_mm.iter().map(|&z_mm| Place::AtHeight(z_mm));
    layers.chain(heights).map(|place| StopRequest { place, notes: asked.notes.clone() }).collect()
}

/// The same stop, with what the user wants to be told there (such as which pole goes up).
fn with_notes(mut request: StopRequest, notes: &[String]) -> StopRequest {
    request.notes.extend_from_slice(notes);
    request
}

fn wish(asked: &EmbedArguments, shop: &ShopDefaults) -> Result<Wish, Trouble> {
    let mut wish = Wish::default();
    if let Some(room_mm) = asked.clearance_mm {
        wish.asked.room_mm = room_mm;
    }
    for name in &asked.inserts {
        wish.inserts.push(Insert::load_in(name, &shop.folders)?);
    }
    for text in &asked.pockets {
        let Some((pocket, insert)) = text.split_once('=') else {
            let message = format!("--pocket {text}: write POCKET=INSERT, for example p1=m6-nut");
            return Err(Trouble::Arguments(message));
        };
        wish.by_pocket.push((pocket.trim().to_owned(), Insert::load_in(insert.trim(), &shop.folders)?));
    }
    Ok(wish)
}

/// Writes the new file where it was asked for, or shows what it would be.
fn deliver(
    asked: &EmbedArguments,
    source: &Source,
    stopped: &Stopped,
    setup: &Setup,
    terminal: &Terminal,
) -> Result<Outcome, Trouble> {
    if asked.output.as_deref() == Some(Path::new("-")) {
        terminal.answer_bytes(&stopped.bytes)?;
        return Ok(Outcome::Fine);
    }
    let mut answer = stops_text(source.name(), stopped);
    if asked.dry_run || !asked.writes() {
        let shown = preview(&stopped.bytes).map_err(|error| Trouble::Embed { path: asked.file.clone(), error })?;
        answer.push_str(&shown);
        answer.push_str("nothing was written; name a file with -o, or ask for --in-place\n");
    } else if stopped.unchanged && asked.in_place {
        answer.push_str("the file was left as it is\n");
    } else {
        answer.push_str(&write(asked, source, &stopped.bytes)?);
    }
    if !terminal.quiet {
        answer.push_str(STOP_CAUTIONS);
        answer.push('\n');
        let command = &setup.machine.stop.command;
        answer.push_str(&format!(
            "Try the stop command of your machine profile ({command}) once before you rely on it.\n"
        ));
    }
    terminal.answer(&answer)?;
    Ok(Outcome::Fine)
}

/// Writes `bytes` and says where.
fn write(asked: &EmbedArguments, source: &Source, bytes: &[u8]) -> Result<String, Trouble> {
    let path = match (&asked.output, source.path()) {
        (Some(output), _) => output.as_path(),
        (None, Some(path)) => path,
        (None, None) => return Err(Trouble::Arguments("--in-place needs a file, not standard input".to_owned())),
    };
    let target = Target {
        path,
        source: source.path(),
        in_place: asked.in_place,
        keep_original: asked.in_place && !asked.no_copy,
    };
    let kept = write_file(target, bytes)?;
    let copy = kept.original.map(|copy| format!("; the original is kept as {}", copy.display())).unwrap_or_default();
    Ok(format!("wrote {}{copy}\n", path.display()))
}

fn take_out(asked: &EmbedArguments, source: &Source, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let undone = undo(source.bytes()).map_err(|error| Trouble::Embed { path: asked.file.clone(), error })?;
    if undone.stops == 0 {
        return Err(Trouble::Arguments(format!("{} has no stops of this program to take out", source.name())));
    }
    if asked.output.as_deref() == Some(Path::new("-")) {
        terminal.answer_bytes(&undone.bytes)?;
        return Ok(Outcome::Fine);
    }
    let known = match undone.original {
        Some(true) => "what remains is the original, byte for byte",
        Some(false) => "the file was changed after the stops went in; that change is still in it",
        None => "the stops do not say what the original was",
    };
    let mut answer = format!("{}: {} taken out; {known}\n", source.name(), undone.stops);
    if asked.dry_run || !asked.writes() {
        answer.push_str("nothing was written; name a file with -o, or ask for --in-place\n");
    } else {
        // Taking stops out in place leaves no copy: the stopped file can be made again.
        let asked = EmbedArguments { no_copy: true, ..asked.clone() };
        answer.push_str(&write(&asked, source, &undone.bytes)?);
    }
    terminal.answer(&answer)?;
    Ok(if undone.original == Some(false) { Outcome::Refused } else { Outcome::Fine })
}

fn warn(warnings: &[Diagnostic], terminal: &Terminal) {
    for warning in warnings {
        let word = match warning.severity {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "trouble",
        };
        let remedy = warning.remedy.as_ref().map(|remedy| format!(" ({remedy})")).unwrap_or_default();
        terminal.remark(&format!("{word}: {}{remedy}", warning.message));
    }
}

/// The exit code for a stop that was not written: the user's slip, or a part that does not take it.
pub const fn outcome_of(error: &EmbedError) -> Outcome {
    match error {
        EmbedError::Misfit { .. } | EmbedError::NotProven(_) | EmbedError::NoPockets => Outcome::Refused,
        _ => Outcome::Usage,
    }
}
