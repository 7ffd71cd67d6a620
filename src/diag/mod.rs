//! What is wrong in an input, where it is, and what to do about it.
//!
//! Reading never fails because of what a file says: every oddity becomes a [`Diagnostic`] and travels
//! beside the result. Errors about the run itself (no such file, disk full) are typed errors of the room
//! that met them.

/// How much a diagnostic or a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; nothing need be done.
    Note,
    /// The result may be worse than the user expects.
    Warning,
    /// The line, profile or part is wrong.
    Error,
}

/// One thing that is wrong in an input, with its place and a remedy.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// How much it matters.
    pub severity: Severity,
    /// Stable short code, such as `bad-line`.
    pub code: &'static str,
    /// What was attempted, found and expected; lower case, no full stop.
    pub message: String,
    /// Line in the file, counted from 1.
    pub line: Option<u64>,
    /// Bytes of the line the message is about, from its first byte.
    pub columns: Option<std::ops::Range<u32>>,
    /// What the user can do.
    pub remedy: Option<String>,
}

impl Diagnostic {
    /// A diagnostic about one line of the file (`line` counts from 1).
    pub fn at_line(severity: Severity, code: &'static str, line: u64, message: impl Into<String>) -> Self {
        Self { severity, code, message: message.into(), line: Some(line), columns: None, remedy: None }
    }

    /// The same diagnostic with the bytes of the line it is about.
    #[must_use]
    pub fn columns(mut self, columns: std::ops::Range<u32>) -> Self {
        self.columns = Some(columns);
        self
    }

    /// The same diagnostic with advice.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }
}
