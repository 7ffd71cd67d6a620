//! Comments that tell another story than the motion.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};

/// Below this share of agreement the comments are worth a look.
const AGREE: f64 = 0.9;

/// Words that contradict motion.
pub(super) struct WordsDisagree;

impl Rule for WordsDisagree {
    fn about(&self) -> &'static str {
        "what comments say beads are for agrees with what the motion shows"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["words-disagree"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        match context.measures.agreement.share() {
            Some(share) if !(share >= AGREE) => {
                let message = format!(
                    "comments and motion agree on only {:.0} % of the plastic that comments name",
                    share * 100.0
                );
                let remedy = "trust the measured walls and core, not the labels; roles above are by comments";
                vec![Finding::new("words-disagree", Weight::Note, message, remedy)]
            }
            _ => Vec::new(),
        }
    }
}
