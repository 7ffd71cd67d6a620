//! Taking stops out again.

use super::EmbedError;
use super::frame::{Frame, Origin, frames};
use crate::gcode::Edits;
use crate::gcode::Numbering;

/// A file with its stops taken out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undone {
    /// The file.
    pub bytes: Vec<u8>,
    /// How many stops were taken out.
    pub stops: usize,
    /// Whether this is, byte for byte, the file the first stop was put into; `None` where no stop says.
    pub original: Option<bool>,
}

/// Takes every stop out of `bytes`; numbered lines get their old numbers and checksums.
///
/// # Errors
/// [`EmbedError::TornFrame`] when a stop block has lost one of its marks.
pub fn undo(bytes: &[u8]) -> Result<Undone, EmbedError> {
    let stops = frames(bytes)?;
    let without = without(bytes, &stops);
    let origin = stops.iter().find_map(|stop| stop.origin);
    let original = origin.map(|origin| origin == Origin::of(&without));
    Ok(Undone { bytes: without, stops: stops.len(), original })
}

/// `bytes` with every stop taken out.
pub(super) fn without_stops(bytes: &[u8]) -> Result<Vec<u8>, EmbedError> {
    Ok(without(bytes, &frames(bytes)?))
}

/// `bytes` without these stops.
pub(super) fn without(bytes: &[u8], stops: &[Frame]) -> Vec<u8> {
    let mut edits = Edits::default();
    for stop in stops {
        edits.remove(stop.lines.clone());
    }
    if edits.is_empty() {
        return bytes.to_vec();
    }
    match Numbering::of(bytes) {
        Some(numbering) => edits.apply_renumbered(bytes, &numbering),
        None => edits.apply(bytes),
    }
}
