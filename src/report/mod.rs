//! One model of an answer, then text and JSON.
//!
//! Comes in: measurements, findings and a verdict. Goes out: text that leads with the verdict and fits a
//! terminal, or JSON whose keys are a contract (`beadwise/audit/1`).

mod audit_json;
mod audit_text;
mod comparison_json;
mod comparison_text;
mod figures;
mod paint;

pub use audit_json::audit_json;
pub use audit_text::audit_text;
pub use comparison_json::comparison_json;
pub use comparison_text::comparison_text;
pub use figures::Figures;
pub use paint::Paint;

use crate::audit::Audit;
use crate::measure::PrintMeasures;

/// An audit of one file, with what the reports need to name it.
#[derive(Debug, Clone)]
pub struct AuditedFile {
    /// The file's name as the user gave it.
    pub name: String,
    /// Name of the machine profile.
    pub machine: String,
    /// Name of the strength profile that was asked for.
    pub strength_profile: Option<String>,
    /// What was measured.
    pub measures: PrintMeasures,
    /// What was found and decided.
    pub audit: Audit,
}
