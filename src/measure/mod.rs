//! The whole print: the numbers of an audit, as sums of parts.
//!
//! ```text
//! bytes ─> lines ─> moves ─> layers ─┬─> totals by tool and role      (every bead, in print order)
//!                                    └─> shape of each layer ─> part, pockets, cuts   (several layers at once)
//! ```
//!
//! Comes in: a file's bytes and a [`Setup`]. Goes out: [`PrintMeasures`]. Only a batch of layers is alive at
//! once. What cannot be known is `None`, never zero.

mod alike;
mod batch;
mod collect;
mod draw;
#[cfg(test)]
mod fixture;
mod flow;
mod lately;
mod layer;
mod part;
mod pipeline;
mod probe;
mod reading;
mod repeat;
mod setup;
mod totals;
mod watch;
mod worked;

pub use draw::{Drawings, DrawnStrand, LayerDrawing, LayerTrace, draw_layers};
pub use flow::{FlowMeasures, Heat};
pub use lately::Lately;
pub use layer::{LayerMeasure, RoleFlow};
pub use part::{PartMeasures, Spread};
pub use pipeline::measure_print;
pub use probe::{Probe, Probed, SideWindow, measure_probes};
pub use reading::Progress;
pub use repeat::{Looks, Repeats, StackMeasures, measure_stack};
pub use setup::{MeasureError, Setup};
pub use totals::{RoleSource, RoleTotals, TimeTotals, ToolTotals, Totals, WordsAgreement};

use crate::deposit::SeenStop;
use crate::diag::Diagnostic;
use crate::shape::{Cuts, Pocket};

/// Everything measured in one file.
#[derive(Debug, Clone)]
pub struct PrintMeasures {
    /// Facts about the file itself.
    pub file: FileFacts,
    /// Sums over everything the machine does.
    pub totals: Totals,
    /// The same by tool, in order of tool number.
    pub tools: Vec<ToolTotals>,
    /// The same by role.
    pub roles: Vec<RoleTotals>,
    /// Whether comments and motion tell the same story.
    pub agreement: WordsAgreement,
    /// Layers of the part, from the bed up in print order.
    pub layers: Vec<LayerMeasure>,
    /// The part as a whole.
    pub part: PartMeasures,
    /// Places where an insert can be built in, and slots that are open.
    pub pockets: Vec<Pocket>,
    /// Cuts across the part along x and along y.
    pub cuts: [Cuts; 2],
    /// Flow and temperature while depositing.
    pub flow: FlowMeasures,
    /// Corners of the box around every bead's centreline, mm: least and greatest x, y, z.
    pub deposit_box_mm: Option<[[f64; 3]; 2]>,
    /// Stops already in the file.
    pub stops: Vec<SeenStop>,
    /// What was odd in the file, line by line (the first few of each kind).
    pub diagnostics: Vec<Diagnostic>,
    /// Where dialects disagree, what was assumed, in words.
    pub assumptions: Vec<String>,
}

/// Facts about the file itself.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FileFacts {
    /// Size, bytes.
    pub bytes: u64,
    /// Number of lines.
    pub lines: u64,
    /// Lines that could not be read and were left out.
    pub bad_lines: u64,
    /// Commands that were read but not understood, and passed over.
    pub unknown_commands: u64,
}
