//! Measurements and profiles to findings and a verdict.
//!
//! One rule a file, one list of rules ([`RULES`]): the list, the documentation, the report and the tests all
//! come from there. A rule without evidence says *undetermined*; neither that nor a number that is not a
//! number can pass.

mod context;
mod finding;
mod join;
mod rules;
mod verdict;

pub use context::AuditContext;
pub use finding::{Finding, Weight};
pub use rules::{RULES, Rule};
pub use verdict::Verdict;

/// What an audit found and decided.
#[derive(Debug, Clone, PartialEq)]
pub struct Audit {
    /// Findings, the gravest first, then from the bed up.
    pub findings: Vec<Finding>,
    /// The decision.
    pub verdict: Verdict,
}

/// Runs every rule over the measurements.
#[must_use]
pub fn audit_print(context: &AuditContext<'_>) -> Audit {
    let found = RULES.iter().flat_map(|rule| rule.check(context)).collect();
    let mut findings = join::join(join::without_consequences(found));
    findings.sort_by_key(|f| (std::cmp::Reverse(f.weight), f.code, f.layers));
    let verdict = Verdict::of(context, &findings);
    Audit { findings, verdict }
}
