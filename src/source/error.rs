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
    /// A stream or device gave more than anything that is printed.
    #[error("{name} gave more than {most_mib} MiB without an end; save what should be read to a file and name that")]
    Endless {
        /// What was asked for.
        name: String,
        /// How much was read, MiB.
        most_mib: u64,
    },
    /// Another program wrote to it meanwhile.
    #[error("{} changed while it was read; wait until it is written, then ask again", path.display())]
    Changed {
        /// What was asked for.
        path: PathBuf,
    },
    /// It is another kind of file.
    #[error("{name} is {kind}, not G-code; name the file that goes to the printer")]
    NotText {
        /// What was asked for.
        name: String,
        /// What it looks like.
        kind: &'static str,
    },
    /// A zip package cannot be unpacked.
    #[error("{name} is a damaged zip package ({cause}); copy it again from where it came")]
    Damaged {
        /// What was asked for.
        name: String,
        /// What is wrong with it.
        cause: String,
    },
    /// A zip package without G-code in it.
    #[error("{name} is a zip package without G-code (no member ends in .gcode); export the sliced part, not the model")]
    NoGcode {
        /// What was asked for.
        name: String,
    },
    /// A zip package with several G-code members.
    #[error("{name} holds several G-code members: {members}; choose one with --member")]
    ManyMembers {
        /// What was asked for.
        name: String,
        /// All of them.
        members: String,
    },
    /// No member, or more than one, has the name that was asked for.
    #[error("{name} has no single member {asked}; its G-code members are: {members}")]
    NoSuchMember {
        /// What was asked for.
        name: String,
        /// The member that was asked for.
        asked: String,
        /// Those it has.
        members: String,
    },
    /// A member was asked for of a file that is no package.
    #[error("{name} is no zip package, so it has no member {asked}; leave --member out")]
    NoPackage {
        /// What was asked for.
        name: String,
        /// The member that was asked for.
        asked: String,
    },
    /// A member is encrypted, or packed in a way that ISO/IEC 21320-1 does not know.
    #[error("{member} in {name} is encrypted or packed in an unusual way; pack it again with plain zip")]
    Sealed {
        /// What was asked for.
        name: String,
        /// The member.
        member: String,
    },
    /// A member unpacks to more than is believable.
    #[error(
        "{member} in {name} unpacks to more than {most_mib} MiB, too much for its packed size; \
         unpack it by other means if you trust it"
    )]
    Swollen {
        /// What was asked for.
        name: String,
        /// The member.
        member: String,
        /// What it may unpack to, MiB.
        most_mib: u64,
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
    /// The package around the G-code could not be made again.
    #[error("the zip package {name} could not be made again: {cause}; nothing was changed")]
    Package {
        /// The package that was read.
        name: String,
        /// Why not.
        cause: String,
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
