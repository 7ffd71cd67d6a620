//! One thing the audit noticed.

use crate::diag::Severity;
use crate::geom::Point;

/// What a finding does to the verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// Worth knowing.
    Note,
    /// Worth mending, but no check that was asked for depends on it.
    Warning,
    /// A check that was asked for could not be made: evidence is missing.
    Undetermined,
    /// A check that was asked for fails.
    Fail,
}

impl Weight {
    /// How the finding is marked in reports and JSON.
    #[must_use]
    pub const fn severity(self) -> Severity {
        match self {
            Self::Note => Severity::Note,
            Self::Warning => Severity::Warning,
            Self::Undetermined | Self::Fail => Severity::Error,
        }
    }
}

/// One thing the audit noticed, where it is, why it matters and what to change.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Stable short code, such as `few-walls`.
    pub code: &'static str,
    /// What it does to the verdict.
    pub weight: Weight,
    /// A plain sentence: what is so, and what was wanted.
    pub message: String,
    /// First and last layer concerned.
    pub layers: Option<(usize, usize)>,
    /// How many of the layers between the first and the last are without it.
    pub quiet_layers: usize,
    /// Heights of the lower face of the first and the upper face of the last layer, mm.
    pub z_mm: Option<(f64, f64)>,
    /// The worst place in plan, mm.
    pub at: Option<Point>,
    /// A line of the file to look at, counted from 1.
    pub line: Option<u64>,
    /// What to change.
    pub remedy: String,
}

impl Finding {
    /// A finding about the print as a whole.
    #[must_use]
    pub fn new(code: &'static str, weight: Weight, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            code,
            weight,
            message: message.into(),
            layers: None,
            quiet_layers: 0,
            z_mm: None,
            at: None,
            line: None,
            remedy: remedy.into(),
        }
    }

    /// The same finding with its place in plan.
    #[must_use]
    pub fn at(mut self, at: Option<Point>) -> Self {
        self.at = at;
        self
    }

    /// The same finding with a line of the file.
    #[must_use]
    pub fn line(mut self, line: Option<u64>) -> Self {
        self.line = line;
        self
    }
}
