//! What can go wrong between the program and the disk.

use std::io;
use std::path::PathBuf;
use thiserror::Error;

/// Why a file could not be read.
#[derive(Debug, Error)]
pub enum ReadError {
    /// There is nothing of that name.
    #[error("{} is not there; check the name and the folder", path.display())]
    Missing {
        /// What was asked for.
        path: PathBuf,
    },
    /// It is a folder.
    #[error("{} is a folder; name the G-code file in it", path.display())]
    Folder {
        /// What was asked for.
        path: PathBuf,
    },
    /// The user may not read it.
    #[error("{} may not be read by you; change its permissions or copy it", path.display())]
    Forbidden {
        /// What was asked for.
        path: PathBuf,
    },
    /// It holds no bytes.
    #[error("{name} is empty; slice the part again")]
    Empty {
        /// What was asked for.
        name: String,
    },
    /// It is another kind of file.
    #[error("{name} is {kind}, not G-code; name the file that goes to the printer")]
    NotText {
        /// What was asked for.
        name: String,
        /// What it looks like.
        kind: &'static str,
    },
    /// Reading failed half way.
    #[error("{name} could not be read: {cause}")]
    Failed {
        /// What was asked for.
        name: String,
        /// What the system said.
        cause: io::Error,
    },
}

/// Why a file could not be written. The old file is whole in every case.
#[derive(Debug, Error)]
pub enum WriteError {
    /// The target is the file that was read, and the user did not ask for that.
    #[error("{} is the file that was read; choose another name, or ask for it to be changed in place", path.display())]
    WouldReplaceSource {
        /// Where it should have gone.
        path: PathBuf,
    },
    /// The folder does not exist.
    #[error("the folder of {} is not there; make it first", path.display())]
    NoFolder {
        /// Where it should have gone.
        path: PathBuf,
    },
    /// The target is a folder.
    #[error("{} is a folder; name a file in it", path.display())]
    Folder {
        /// Where it should have gone.
        path: PathBuf,
    },
    /// The folder or the file may not be written.
    #[error("{} may not be written by you; nothing was changed; choose another folder", path.display())]
    Forbidden {
        /// Where it should have gone.
        path: PathBuf,
    },
    /// The disk is full.
    #[error("no room left on the disk for {}; nothing was changed; free some space", path.display())]
    DiskFull {
        /// Where it should have gone.
        path: PathBuf,
    },
    /// Too many copies of earlier originals lie about.
    #[error("{} and all its numbered fellows exist already; move old copies away first", path.display())]
    CopiesInTheWay {
        /// The first copy.
        path: PathBuf,
    },
    /// Anything else.
    #[error("{} could not be written: {cause}; nothing was changed", path.display())]
    Failed {
        /// Where it should have gone.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
}

impl ReadError {
    pub(super) fn from_io(path: &std::path::Path, cause: io::Error) -> Self {
        let path = path.to_owned();
        match cause.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => Self::Missing { path },
            io::ErrorKind::IsADirectory => Self::Folder { path },
            io::ErrorKind::PermissionDenied => Self::Forbidden { path },
            _ => Self::Failed { name: path.display().to_string(), cause },
        }
    }
}

impl WriteError {
    pub(super) fn from_io(path: &std::path::Path, cause: io::Error) -> Self {
        let path = path.to_owned();
        match cause.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => Self::NoFolder { path },
            io::ErrorKind::IsADirectory => Self::Folder { path },
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => Self::Forbidden { path },
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => {
                Self::DiskFull { path }
            }
            _ => Self::Failed { path, cause },
        }
    }
}
