//! The audit as one page that needs nothing else: to look at, to print and to hang on the machine.
//!
//! ```text
//! verdict and figures      what is asked, and whether it holds
//! findings, numbered       the gravest first; the numbers return in the log and under the drawings
//! load cases               what it bears in each way it could give, against what it has to bear
//! core log                 height runs down the page, as a borehole is logged
//! drawings                 the layers that matter, bead by bead
//! job sheet                what to load, where to stop, what to weigh, what to mind
//! ```
//!
//! Ink greys, with the trouble marked by shape and hatching as well as by colour. The page works without script;
//! script only reads off the log. It asks the network for nothing.

mod advice;
mod choose;
mod comparison;
mod drawing;
mod findings;
mod frame;
mod holding;
mod job_sheet;
mod ladder;
mod log;
mod path;
mod plot;
mod reading;
mod readings;
mod strata;
mod verdict;

pub use advice::advice_page;
pub use choose::{LayerToDraw, Reason, layers_to_draw};
pub use comparison::comparison_page;

use super::{AuditedFile, Figures};
use crate::measure::{Drawings, Setup};
use crate::profile::StrengthProfile;
use maud::html;

/// Everything an audit's page shows.
#[derive(Debug, Clone, Copy)]
pub struct AuditPage<'a> {
    /// What was measured and found.
    pub file: &'a AuditedFile,
    /// Machine and materials.
    pub setup: &'a Setup,
    /// The strength profile that was asked for.
    pub strength: Option<&'a StrengthProfile>,
    /// Why which layers are drawn; see [`layers_to_draw`].
    pub wanted: &'a [LayerToDraw],
    /// Drawings of those layers, and traces of all.
    pub drawings: &'a Drawings,
    /// What stops in the file tell the person, by the layer after which they stand.
    pub stop_notes: &'a [(usize, Vec<String>)],
    /// Units of the page.
    pub figures: Figures,
}

/// The page as HTML text.
#[must_use]
pub fn audit_page(page: &AuditPage<'_>) -> String {
    let body = html! {
        (verdict::verdict(page))
        (strata::patterns())
        (findings::findings(page))
        (holding::holding(page))
        (log::core_log(page))
        (drawing::drawings(page))
        (job_sheet::job_sheet(page))
        (reading::reading(page))
    };
    frame::document(&format!("{}: beadwise audit", page.file.name), &body)
}
