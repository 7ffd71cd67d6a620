//! One model of an answer, then text, JSON or a page.
//!
//! Comes in: measurements, findings and a verdict. Goes out: text that leads with the verdict and fits a
//! terminal, JSON whose keys are a contract (`beadwise/audit/1`), or one HTML page to look at, print and hang on the machine.

mod audit_json;
mod audit_text;
mod cases_text;
mod comparison_json;
mod comparison_text;
mod embed_json;
mod embed_text;
mod figures;
mod load_json;
mod page;
mod paint;
mod pocket_groups;
mod schema;
mod summary;
mod translate;
mod words;

pub use audit_json::audit_json;
pub use audit_text::{audit_text, verdict_text};
pub use comparison_json::comparison_json;
pub use comparison_text::comparison_text;
pub use embed_json::{EmbedAnswer, embed_json};
pub use embed_text::{STOP_CAUTIONS, pockets_text, stops_text};
pub use figures::Figures;
pub use load_json::load_json;
pub use page::{AuditPage, LayerToDraw, Reason, audit_page, comparison_page, layers_to_draw};
pub use paint::Paint;
pub use schema::JsonForm;
pub use summary::{Summary, audit_line};
pub use words::wrap;

use crate::audit::Audit;
use crate::measure::PrintMeasures;
use crate::strength::CaseResult;

/// An audit of one file, with what the reports need to name it.
#[derive(Debug, Clone)]
pub struct AuditedFile {
    /// The file's name as the user gave it.
    pub name: String,
    /// Name of the machine profile.
    pub machine: String,
    /// Name of the strength profile that was asked for.
    pub strength_profile: Option<String>,
    /// What the load cases that were asked for came to.
    pub cases: Vec<CaseResult>,
    /// What was measured.
    pub measures: PrintMeasures,
    /// What was found and decided.
    pub audit: Audit,
}
