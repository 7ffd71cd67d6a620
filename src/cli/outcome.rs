//! How the program ends.

use std::path::PathBuf;
use std::process::ExitCode;

/// How the program ends; decided before anything is printed, so that a closed pipe cannot turn a no into a yes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// 0: done, and every check that was asked for passed.
    Fine,
    /// 1: the part fails its check or cannot be judged.
    Refused,
    /// 2: the arguments make no sense, or an input cannot be read.
    Usage,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(match outcome {
            Outcome::Fine => 0,
            Outcome::Refused => 1,
            Outcome::Usage => 2,
        })
    }
}

/// What kept the program from doing its work.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// The file could not be read.
    #[error("{0}")]
    Read(#[from] beadwise::source::ReadError),
    /// The file was read but could not be measured.
    #[error("{path}: {error}", path = .path.display())]
    Measure {
        /// Which file.
        path: PathBuf,
        /// Why not.
        error: beadwise::measure::MeasureError,
    },
    /// A profile is wrong.
    #[error("{0}")]
    Profile(#[from] beadwise::profile::ProfileError),
    /// No stop was written, or none taken out.
    #[error("{path}: {error}", path = .path.display())]
    Embed {
        /// Which file.
        path: PathBuf,
        /// Why not.
        error: beadwise::embed::EmbedError,
    },
    /// The arguments do not fit together.
    #[error("{0}")]
    Arguments(String),
    /// A file could not be written.
    #[error("{0}")]
    Write(#[from] beadwise::source::WriteError),
    /// The answer could not be written.
    #[error("cannot write the answer: {0}")]
    Output(#[from] std::io::Error),
}

impl Trouble {
    /// The exit code it leads to.
    pub const fn outcome(&self) -> Outcome {
        match self {
            Self::Embed { error, .. } => super::embed::outcome_of(error),
            _ => Outcome::Usage,
        }
    }
}
