//! Why a stop is not written.

use super::proof::Refusal;
use thiserror::Error;

/// Why a stop is not written, or not taken out. The file stays as it was.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum EmbedError {
    /// The file lays no plastic that makes layers.
    #[error("no layer of a part was found in the file; is it the file that goes to the printer?")]
    NoLayers,
    /// There is no layer of that number.
    #[error("there is no layer {asked}; the layers are 0 to {last}")]
    NoSuchLayer {
        /// What was asked for.
        asked: usize,
        /// The last one there is.
        last: usize,
    },
    /// The stop would come after everything.
    #[error("layer {layer} is the last; a stop after it would come when the part is done; choose an earlier one")]
    AfterTheEnd {
        /// What was asked for.
        layer: usize,
    },
    /// The height is below the first layer's top, or no number.
    #[error("no layer's top is at or below {z_mm} mm; the first is at {first_mm:.3} mm")]
    BelowAllLayers {
        /// What was asked for, mm.
        z_mm: f64,
        /// Top of the lowest layer, mm.
        first_mm: f64,
    },
    /// Several objects printed one after another pass that height.
    #[error("the print passes {z_mm} mm {times} times, after layers {layers}; name one of them by its number")]
    ManyAtHeight {
        /// What was asked for, mm.
        z_mm: f64,
        /// How often.
        times: usize,
        /// The layers, in words.
        layers: String,
    },
    /// The layer ends in the same line in which the next begins.
    #[error("layer {layer} and the next share line {line}; a stop cannot stand between them; choose another layer")]
    SharedLine {
        /// What was asked for.
        layer: usize,
        /// The line.
        line: u64,
    },
    /// The part has no pockets.
    #[error("no pocket was found in the part; ask for a stop at a layer or a height instead")]
    NoPockets,
    /// There is no pocket of that name.
    #[error("there is no pocket {asked}; the file has {pockets}, named p1 and so on in the list without options")]
    NoSuchPocket {
        /// What was asked for.
        asked: String,
        /// How many there are.
        pockets: usize,
    },
    /// What was asked for goes in nowhere, or not where it was asked for.
    #[error("nothing was written: {reasons}")]
    Misfit {
        /// Why, pocket by pocket.
        reasons: String,
    },
    /// A stop block begins and does not end, or ends and did not begin.
    #[error("the stop block at line {line} is torn; take its lines out by hand, or slice the part again")]
    TornFrame {
        /// The line with the lone mark.
        line: u64,
    },
    /// The proof found a difference.
    #[error("nothing was written, since the stopped file would not print as the original: {0}")]
    NotProven(#[from] Refusal),
}
