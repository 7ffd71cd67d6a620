//! How the file was read: what had to be assumed, and what could not be read at all.

use super::AuditPage;
use crate::report::translate::translate;
use maud::{Markup, html};

/// Odd lines told on the page at most.
const MOST_ODD: usize = 8;

pub(super) fn reading(page: &AuditPage<'_>) -> Markup {
    let measures = &page.file.measures;
    let facts = &measures.file;
    html! {
        section.reading-facts {
            h2 { "How it was read" }
            ul.small {
                li { (facts.lines) " lines, " (facts.bytes) " bytes" }
                @if let Some(share) = measures.agreement.share() {
                    li { "comments and motion agree on " (page.figures.percent(share)) " of the plastic they both name" }
                }
                @for assumption in &measures.assumptions { li { (translate(assumption, page.figures)) } }
                @if facts.unknown_commands > 0 {
                    li { "commands that were not known and were passed over: " (facts.unknown_commands) }
                }
                @if facts.bad_lines > 0 { li { "lines that could not be read and were left out: " (facts.bad_lines) } }
                @for odd in measures.diagnostics.iter().take(MOST_ODD) {
                    li { @if let Some(line) = odd.line { "line " (line) ": " } (odd.message) }
                }
            }
        }
    }
}
