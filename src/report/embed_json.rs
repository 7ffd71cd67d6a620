//! Pockets, inserts and stops as JSON: `beadwise/embed/1`.

use super::audit_json::{PocketReport, pocket};
use crate::diag::Diagnostic;
use crate::diag::Severity;
use crate::embed::{Asked, Frame, Seat, Seating, Stopped, Undone, Workpiece, frames, suited};
use crate::gcode::lines;
use crate::profile::Insert;
use crate::shape::{Pocket, pocket_id};
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;

/// What is known when `beadwise embed` answers; what was not asked for, or did not come about, is empty.
#[derive(Debug, Clone, Copy, Default)]
pub struct EmbedAnswer<'a> {
    /// The file's name as the user gave it.
    pub name: &'a str,
    /// What was looked at.
    pub piece: Option<&'a Workpiece<'a>>,
    /// Inserts to try in every pocket.
    pub inserts: &'a [Insert],
    /// What goes where.
    pub seating: Option<&'a Seating>,
    /// The new file.
    pub stopped: Option<&'a Stopped>,
    /// The file without its stops.
    pub undone: Option<&'a Undone>,
    /// Why there is no new file.
    pub refused: Option<&'a str>,
    /// Where the new file was written.
    pub written: Option<&'a Path>,
    /// Where the original was kept.
    pub original: Option<&'a Path>,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct EmbedReport<'a> {
    /// Name and version of this form; a new version only where a key changes its meaning or goes.
    #[schemars(extend("const" = "beadwise/embed/1"))]
    schema: &'static str,
    name: &'a str,
    /// Only where pockets were looked for.
    pockets: Vec<EmbedPocket>,
    /// What goes where.
    inserts: Vec<SeatReport<'a>>,
    /// Pockets that get nothing of what was asked for.
    left: Vec<LeftReport<'a>>,
    /// Of the new file if there is one, else of the file as it is.
    stops: Vec<EmbedStop>,
    /// What was compared before the new file was let out.
    proof: Option<ProofReport>,
    /// The file had all the stops already.
    unchanged: bool,
    undone: Option<UndoneReport>,
    warnings: Vec<WarningReport<'a>>,
    /// Why there is no new file.
    refused: Option<&'a str>,
    /// Where the new file stands.
    written: Option<String>,
    /// Where the original was kept.
    original: Option<String>,
}

#[derive(Serialize, JsonSchema)]
struct EmbedPocket {
    #[serde(flatten)]
    pocket: PocketReport,
    /// For each insert that needs a stop here: its room, and from which layer to which it can go in.
    windows: Vec<WindowReport>,
}

#[derive(Serialize, JsonSchema)]
struct WindowReport {
    insert: String,
    /// Both gaps beside it together.
    room_mm: f64,
    head_room_mm: f64,
    /// First layer after which the nozzle clears it.
    earliest_after_layer: usize,
    /// Last layer after which it goes in.
    latest_after_layer: usize,
}

#[derive(Serialize, JsonSchema)]
struct SeatReport<'a> {
    pocket: String,
    insert: &'a str,
    room_mm: f64,
    head_room_mm: f64,
    stop_after_layer: usize,
}

#[derive(Serialize, JsonSchema)]
struct LeftReport<'a> {
    pocket: String,
    why: &'a str,
}

#[derive(Serialize, JsonSchema)]
struct EmbedStop {
    after_layer: usize,
    z_mm: Option<f64>,
    /// First and last line, from 1.
    lines: [u64; 2],
    /// What the person is told.
    notes: Vec<String>,
    /// The lines themselves.
    gcode: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct ProofReport {
    /// Steps of the machine that are the same with the stops and without.
    steps: u64,
    /// Beads that are the same.
    beads: u64,
    layers: usize,
}

#[derive(Serialize, JsonSchema)]
struct UndoneReport {
    stops: usize,
    /// Whether the very original is back; null where the stops do not say what it was.
    original: Option<bool>,
}

#[derive(Serialize, JsonSchema)]
struct WarningReport<'a> {
    code: &'static str,
    severity: Severity,
    message: &'a str,
    remedy: Option<&'a str>,
}

/// The answer as JSON text, with a newline at its end.
#[must_use]
pub fn embed_json(answer: &EmbedAnswer<'_>) -> String {
    // Every value is a number, text, list or map with text keys: nothing that JSON cannot hold.
    let mut text = serde_json::to_string_pretty(&report(answer)).unwrap_or_default();
    text.push('\n');
    text
}

fn report<'a>(answer: &EmbedAnswer<'a>) -> EmbedReport<'a> {
    let seated = answer.seating.map(|s| s.warnings.as_slice()).unwrap_or_default();
    let stopped = answer.stopped.map(|s| s.warnings.as_slice()).unwrap_or_default();
    let pockets = answer.piece.map(Workpiece::pockets).unwrap_or_default();
    EmbedReport {
        schema: "beadwise/embed/1",
        name: answer.name,
        pockets: pockets.iter().enumerate().map(|(i, p)| listed(i, p, answer.inserts)).collect(),
        inserts: answer.seating.map(|s| s.seats.iter().map(seat).collect()).unwrap_or_default(),
        left: answer.seating.map(left).unwrap_or_default(),
        stops: stops(answer),
        proof: answer.stopped.map(|s| ProofReport {
            steps: s.proof.steps,
            beads: s.proof.beads,
            layers: s.proof.layers,
        }),
        unchanged: answer.stopped.is_some_and(|s| s.unchanged),
        undone: answer.undone.map(|u| UndoneReport { stops: u.stops, original: u.original }),
        warnings: seated.iter().chain(stopped).map(warning).collect(),
        refused: answer.refused,
        written: answer.written.map(|path| path.display().to_string()),
        original: answer.original.map(|path| path.display().to_string()),
    }
}

fn listed(index: usize, of: &Pocket, inserts: &[Insert]) -> EmbedPocket {
    let window = |(insert, fit): (&Insert, Result<crate::embed::Fit, _>)| {
        let fit = fit.ok()?;
        Some(WindowReport {
            insert: insert.name.clone(),
            room_mm: fit.room_mm,
            head_room_mm: fit.head_room_mm,
            earliest_after_layer: fit.earliest,
            latest_after_layer: fit.latest,
        })
    };
    let windows = suited(of, inserts, Asked::default()).into_iter().filter_map(window).collect();
    EmbedPocket { pocket: pocket(index, of, inserts), windows }
}

fn seat(seat: &Seat) -> SeatReport<'_> {
    SeatReport {
        pocket: pocket_id(seat.pocket),
        insert: &seat.insert.name,
        room_mm: seat.fit.room_mm,
        head_room_mm: seat.fit.head_room_mm,
        stop_after_layer: seat.fit.latest,
    }
}

fn left(seating: &Seating) -> Vec<LeftReport<'_>> {
    seating.left.iter().map(|(index, why)| LeftReport { pocket: pocket_id(*index), why }).collect()
}

/// The stops of the new file with their lines; without a new file those that stand in the old one.
fn stops(answer: &EmbedAnswer<'_>) -> Vec<EmbedStop> {
    let Some(stopped) = answer.stopped else {
        let there = answer.piece.map(Workpiece::stops).unwrap_or_default();
        return there.iter().map(|frame| stop(frame, answer, Vec::new())).collect();
    };
    // What was just proven can be read back.
    let found = frames(&stopped.bytes).unwrap_or_default();
    let mut texts: Vec<Vec<String>> = vec![Vec::new(); found.len()];
    for line in lines(&stopped.bytes) {
        let within = found.iter().position(|frame| frame.lines.contains(&line.number));
        if let Some(text) = within.and_then(|at| texts.get_mut(at)) {
            text.push(String::from_utf8_lossy(line.body()).into_owned());
        }
    }
    found.iter().zip(texts).map(|(frame, text)| stop(frame, answer, text)).collect()
}

fn stop(frame: &Frame, answer: &EmbedAnswer<'_>, gcode: Vec<String>) -> EmbedStop {
    EmbedStop {
        after_layer: frame.after_layer,
        z_mm: answer.piece.and_then(|piece| piece.layers().top_mm(frame.after_layer)),
        lines: [*frame.lines.start(), *frame.lines.end()],
        notes: frame.notes.clone(),
        gcode,
    }
}

fn warning(warning: &Diagnostic) -> WarningReport<'_> {
    WarningReport {
        code: warning.code,
        severity: warning.severity,
        message: &warning.message,
        remedy: warning.remedy.as_deref(),
    }
}
