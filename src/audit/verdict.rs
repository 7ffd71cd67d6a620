//! The decision.

use super::{AuditContext, Finding, Weight};

/// What the audit decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Every check that was asked for was made and held.
    Pass,
    /// At least one check that was asked for fails.
    Fail,
    /// None fails, but evidence for at least one is missing.
    Undetermined,
    /// Nothing was asked.
    Unchecked,
}

impl Verdict {
    /// Decides from the findings; nothing asked is never a pass.
    #[must_use]
    pub(super) fn of(context: &AuditContext<'_>, findings: &[Finding]) -> Self {
        if !context.asks_something() {
            return Self::Unchecked;
        }
        match findings.iter().map(|f| f.weight).max() {
            Some(Weight::Fail) => Self::Fail,
            Some(Weight::Undetermined) => Self::Undetermined,
            _ => Self::Pass,
        }
    }

    /// Whether the program should say no: a part that cannot be judged is not fit either.
    #[must_use]
    pub const fn refuses(self) -> bool {
        matches!(self, Self::Fail | Self::Undetermined)
    }
}
