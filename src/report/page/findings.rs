//! Findings, numbered, the gravest first.

use super::AuditPage;
use crate::audit::{Finding, Weight};
use crate::report::Figures;
use crate::report::translate::translate;
use crate::report::words::{place, weight_word};
use maud::{Markup, html};

/// Findings in full on the page; the rest is folded away.
pub(super) const IN_FULL: usize = 10;

pub(super) fn findings(page: &AuditPage<'_>) -> Markup {
    let found = &page.file.audit.findings;
    let (shown, folded) = found.split_at(found.len().min(IN_FULL));
    html! {
        section.findings {
            h2 { "What was found" }
            @if found.is_empty() {
                p { "Nothing to change." }
            } @else {
                ol.found { @for (i, finding) in shown.iter().enumerate() { (item(i, finding, page.figures)) } }
            }
            @if !folded.is_empty() {
                details {
                    summary { "and " (folded.len()) " more" }
                    ol.found start=(IN_FULL + 1) {
                        @for (i, finding) in folded.iter().enumerate() { (item(IN_FULL + i, finding, page.figures)) }
                    }
                }
            }
        }
    }
}

fn item(number: usize, finding: &Finding, figures: Figures) -> Markup {
    let place = place(finding, figures);
    html! {
        li id=(format!("f{}", number + 1)) class=(class(finding.weight)) {
            p { b.weight { (weight_word(finding.weight)) } " " (translate(&finding.message, figures)) }
            p.small {
                @if !place.is_empty() { (place) "; " }
                "change: " (translate(&finding.remedy, figures))
            }
        }
    }
}

/// The style of a finding.
pub(super) const fn class(weight: Weight) -> &'static str {
    match weight {
        Weight::Fail | Weight::Undetermined => "grave",
        Weight::Warning => "warn",
        Weight::Note => "note",
    }
}
