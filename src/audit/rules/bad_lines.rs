//! Lines that could not be read.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};

/// Lines left out.
pub(super) struct BadLines;

impl Rule for BadLines {
    fn about(&self) -> &'static str {
        "every line could be read; what was left out is not in the figures"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["bad-line"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let file = &context.measures.file;
        if file.bad_lines == 0 {
            return Vec::new();
        }
        // With a check asked for, what could not be read might be what breaks it.
        let weight = if context.asks_something() { Weight::Undetermined } else { Weight::Warning };
        let first = context.measures.diagnostics.iter().find(|diagnostic| diagnostic.code == "bad-line");
        let why = first.map(|diagnostic| format!("; the first: {}", diagnostic.message)).unwrap_or_default();
        let message =
            format!("{} of {} lines could not be read or obeyed and were left out{why}", file.bad_lines, file.lines);
        let first = first.and_then(|diagnostic| diagnostic.line);
        vec![Finding::new("bad-line", weight, message, "slice or copy the file again; it may be damaged").line(first)]
    }
}
