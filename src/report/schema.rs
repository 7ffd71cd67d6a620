//! Schemas of every JSON that the program answers with, made from the types that write it.

use super::advice_json::AdviceReport;
use super::audit_json::AuditReport;
use super::comparison_json::ComparisonReport;
use super::embed_json::EmbedReport;
use super::load_json::LoadReport;
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema};

/// A JSON whose keys are a contract.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JsonForm {
    /// `beadwise/advise/1`.
    Advise,
    /// `beadwise/audit/1`.
    Audit,
    /// `beadwise/compare/1`.
    Compare,
    /// `beadwise/embed/1`.
    Embed,
    /// `beadwise/load/1`.
    Load,
}

impl JsonForm {
    /// Every form.
    pub const ALL: [Self; 5] = [Self::Advise, Self::Audit, Self::Compare, Self::Embed, Self::Load];

    /// The command that writes it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Advise => "advise",
            Self::Audit => "audit",
            Self::Compare => "compare",
            Self::Embed => "embed",
            Self::Load => "load",
        }
    }

    /// Its JSON Schema (draft 2020-12) as text, with a newline at its end.
    #[must_use]
    pub fn schema(self) -> String {
        let schema = match self {
            Self::Advise => schema_of::<AdviceReport<'_>>(),
            Self::Audit => schema_of::<AuditReport<'_>>(),
            Self::Compare => schema_of::<ComparisonReport<'_>>(),
            Self::Embed => schema_of::<EmbedReport<'_>>(),
            Self::Load => schema_of::<LoadReport<'_>>(),
        };
        // A schema is a JSON value already.
        let mut text = serde_json::to_string_pretty(&schema).unwrap_or_default();
        text.push('\n');
        text
    }
}

/// The schema of what is written, not of what might be read: every key that is always there is required.
fn schema_of<T: JsonSchema>() -> Schema {
    SchemaSettings::draft2020_12().for_serialize().into_generator().into_root_schema_for::<T>()
}
