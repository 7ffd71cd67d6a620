//! From what a person asks for to a new file, proven.

use super::EmbedError;
use super::frame::{Frame, Origin, plain_note};
use super::layers::LayerPlaces;
use super::proof::{Proof, prove};
use super::scene::Scene;
use super::stop::{StopPurpose, write_stop};
use super::workpiece::{Look, Workpiece};
use crate::diag::Diagnostic;
use crate::gcode::Edits;
use crate::gcode::Numbering;
use crate::measure::Setup;
use std::collections::BTreeMap;

/// Where a stop is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place {
    /// After the layer of this number, from 0 at the bed.
    AfterLayer(usize),
    /// After the last layer whose top is at or below this height, mm.
    AtHeight(f64),
}

/// One stop that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct StopRequest {
    /// Where.
    pub place: Place,
    /// What the person is told there.
    pub notes: Vec<String>,
}

/// One stop of the new file.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedStop {
    /// The layer after which it stands.
    pub after_layer: usize,
    /// Its top, mm.
    pub z_mm: f64,
    /// The line of the original after which it stands.
    pub after_line: u64,
    /// What the person is told there.
    pub notes: Vec<String>,
}

/// A new file with stops, proven to print what the original prints.
#[derive(Debug, Clone, PartialEq)]
pub struct Stopped {
    /// The new file.
    pub bytes: Vec<u8>,
    /// All its stops, in order, those that stood there before included.
    pub stops: Vec<PlannedStop>,
    /// The file given had all of this already: nothing is new.
    pub unchanged: bool,
    /// Things that could not be done as asked.
    pub warnings: Vec<Diagnostic>,
    /// What was compared.
    pub proof: Proof,
}

/// Puts stops into a file, beside those it has from before.
///
/// One stop serves everything asked for after one layer. Asking again for what is there already changes nothing.
///
/// # Errors
/// [`EmbedError`]; among them that the proof found a difference. There is no new file then.
pub fn put_stops(bytes: &[u8], setup: &Setup, requests: &[StopRequest]) -> Result<Stopped, EmbedError> {
    Workpiece::read(bytes, setup, Look::Layers)?.put_stops(requests)
}

/// The same for a file that was looked at already.
pub(super) fn stop_workpiece(piece: &Workpiece<'_>, requests: &[StopRequest]) -> Result<Stopped, EmbedError> {
    let (original, layers) = (&*piece.original, &piece.layers);
    let machine = piece.setup.motion();
    let wanted = wanted_stops(&piece.there, layers, requests)?;
    let origin = Origin::of(original);
    let mut edits = Edits::default();
    let mut warnings = Vec::new();
    let mut stops = Vec::new();
    for (after_layer, mut notes) in wanted {
        let layer = layers.stop_after(after_layer)?;
        let after_line = layer.lines.1;
        let scene = Scene::after_line(original, after_line, &machine, layers);
        // Notes are kept as they will be read back, so that asking again finds them.
        notes.iter_mut().for_each(|note| *note = plain_note(note, scene.comments));
        notes.dedup();
        let purpose = StopPurpose { after_layer, z_mm: layer.z_mm, notes: &notes, origin };
        let stop = write_stop(&scene, &piece.setup.machine, &purpose);
        warnings.extend(stop.warnings.into_iter().filter(|warning| !warnings.contains(warning)).collect::<Vec<_>>());
        edits.insert_after(after_line, &stop.text);
        stops.push(PlannedStop { after_layer, z_mm: layer.z_mm, after_line, notes });
    }
    let new = match Numbering::of(original) {
        Some(numbering) => edits.apply_renumbered(original, &numbering),
        None => edits.apply(original),
    };
    let proof = prove(original, &new, &machine)?;
    let unchanged = new == piece.given;
    Ok(Stopped { bytes: new, stops, unchanged, warnings, proof })
}

/// Every layer after which there is or shall be a stop, with what the person is told.
fn wanted_stops(
    there: &[Frame],
    layers: &LayerPlaces,
    requests: &[StopRequest],
) -> Result<BTreeMap<usize, Vec<String>>, EmbedError> {
    let mut wanted: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for frame in there {
        wanted.entry(frame.after_layer).or_default().extend(frame.notes.iter().cloned());
    }
    for request in requests {
        let after_layer = match request.place {
            Place::AfterLayer(layer) => layer,
            Place::AtHeight(z_mm) => layers.last_below(z_mm)?,
        };
        let notes = wanted.entry(after_layer).or_default();
        for note in &request.notes {
            // Either style of comment may have been written.
            let known = [super::frame::CommentStyle::Semicolon, super::frame::CommentStyle::Parentheses]
                .iter()
                .any(|&style| notes.contains(&plain_note(note, style)));
            if !known {
                notes.push(note.clone());
            }
        }
    }
    Ok(wanted)
}
