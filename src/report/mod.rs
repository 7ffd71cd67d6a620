//! One model of an answer, then text, JSON or a page.
//!
//! Comes in: measurements, findings and a verdict. Goes out: text that leads with the verdict and fits a
//! terminal, JSON whose keys are a contract (`beadwise/audit/1`), or one HTML page to look at, print and hang on the machine.

mod advice_json;
mod advice_text;
mod advice_words;
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

pub use advice_json::advice_json;
pub use advice_text::{advice_text, standing_text};
pub use audit_json::audit_json;
pub use audit_text::{audit_text, verdict_text};
pub use comparison_json::comparison_json;
pub use comparison_text::comparison_text;
pub use embed_json::{EmbedAnswer, embed_json};
pub use embed_text::{STOP_CAUTIONS, pockets_text, stops_text};
pub use figures::Figures;
pub use load_json::load_json;
pub use page::{AuditPage, LayerToDraw, Reason, advice_page, audit_page, comparison_page, layers_to_draw};
pub use paint::Paint;
pub use schema::JsonForm;
pub use summary::{Summary, audit_line};
pub use words::wrap;

use crate::advise::Advice;
use crate::audit::Audit;
use crate::measure::PrintMeasures;
use crate::strength::CaseResult;

/// An advice on one file, with what the reports need to name it.
#[derive(Debug, Clone)]
pub struct AdvisedFile {
    /// The file's name as the user gave it.
    pub name: String,
    /// Name of the machine profile.
    pub machine: String,
    /// Name of the strength profile that was asked for.
    pub strength_profile: Option<String>,
    /// What was taken to hold where the file alone cannot say.
    pub assumptions: Vec<String>,
    /// The advice.
    pub advice: Advice,
}

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
