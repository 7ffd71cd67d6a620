//! Bytes out, all or nothing.
//!
//! The new file is written beside the target under another name, flushed and synced, and only then renamed
//! over it: POSIX says that a rename replaces the old name in one step (IEEE Std 1003.1, `rename`).

use super::error::WriteError;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// Copies of originals that may lie beside a file.
const MOST_COPIES: u32 = 99;

/// Where a new file goes.
#[derive(Debug, Clone, Copy)]
pub struct Target<'a> {
    /// Its path.
    pub path: &'a Path,
    /// The file that was read, if it was one.
    pub source: Option<&'a Path>,
    /// Writing over the source is meant.
    pub in_place: bool,
    /// Leaves a copy of the old file beside it, with `.orig` added to its name.
    pub keep_original: bool,
}

/// What was left beside the new file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// The copy of the old file.
    pub original: Option<PathBuf>,
}

/// Writes `bytes` to `target`, replacing what stood there in one step and keeping its permissions.
///
/// # Errors
/// [`WriteError`]; whatever stood there before is whole.
pub fn write_file(target: Target<'_>, bytes: &[u8]) -> Result<Kept, WriteError> {
    let failed = |cause| WriteError::from_io(target.path, cause);
    refuse_source(&target)?;
    // A link keeps pointing where it did: the file behind it is replaced.
    let path = &fs::canonicalize(target.path).unwrap_or_else(|_| target.path.to_owned());
    if path.is_dir() {
        return Err(WriteError::Folder { path: target.path.to_owned() });
    }
    let folder = folder_of(path);
    let new = fill(folder, path, bytes).map_err(failed)?;
    let original = if target.keep_original { keep(path)? } else { None };
    new.persist(path).map_err(|error| failed(error.error))?;
    sync_folder(folder);
    Ok(Kept { original })
}

fn refuse_source(target: &Target<'_>) -> Result<(), WriteError> {
    let same = target.source.is_some_and(|source| {
        source == target.path
            || matches!((fs::canonicalize(source), fs::canonicalize(target.path)), (Ok(a), Ok(b)) if a == b)
    });
    if same && !target.in_place {
        return Err(WriteError::WouldReplaceSource { path: target.path.to_owned() });
    }
    Ok(())
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A synced file in `folder` with these bytes and the permissions of the file at `path`.
fn fill(folder: &Path, path: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut new = tempfile::Builder::new().prefix(".beadwise-").suffix(".part").tempfile_in(folder)?;
    new.write_all(bytes)?;
    new.flush()?;
    new.as_file().set_permissions(permissions_like(path)?)?;
    new.as_file().sync_all()?;
    Ok(new)
}

/// The permissions of the file at `path`, or those of an ordinary new file.
fn permissions_like(path: &Path) -> io::Result<fs::Permissions> {
    match fs::metadata(path) {
        Ok(about) => Ok(about.permissions()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => ordinary_permissions(),
        Err(error) => Err(error),
    }
}

#[cfg(unix)]
fn ordinary_permissions() -> io::Result<fs::Permissions> {
    use std::os::unix::fs::PermissionsExt;
    // Temporary files are for the owner only, and asking for the process's mask would need unsafe code; a file
    // that others may read is what every other program leaves.
    Ok(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn ordinary_permissions() -> io::Result<fs::Permissions> {
    NamedTempFile::new()?.as_file().metadata().map(|about| about.permissions())
}

/// Copies the file at `path` beside itself as `.orig`, or `.orig-2` and so on where another file has that name:
/// an earlier original must not be lost, nor keep the new one from being kept.
fn keep(path: &Path) -> Result<Option<PathBuf>, WriteError> {
    let first = copy_name(path, 1);
    let failed = |cause| WriteError::from_io(&first, cause);
    let old = match fs::read(path) {
        Ok(old) => old,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(failed(error)),
    };
    for copy in (1..=MOST_COPIES).map(|n| copy_name(path, n)) {
        match fs::read(&copy) {
            Ok(there) if there == old => return Ok(Some(copy)),
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                let new = fill(folder_of(path), path, &old).map_err(failed)?;
                new.persist_noclobber(&copy).map_err(|error| failed(error.error))?;
                return Ok(Some(copy));
            }
            Err(error) => return Err(failed(error)),
        }
    }
    Err(WriteError::CopiesInTheWay { path: first })
}

fn copy_name(path: &Path, number: u32) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(if number == 1 { ".orig".to_owned() } else { format!(".orig-{number}") });
    PathBuf::from(name)
}

/// Makes the renaming itself last through a power cut, where the system can (some network disks and other
/// systems cannot). The new file is in place by now, so that a failure here is none of the user's business.
fn sync_folder(folder: &Path) {
    if cfg!(unix) {
        _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn target(path: &Path) -> Target<'_> {
        Target { path, source: None, in_place: false, keep_original: false }
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_new_file_holds_the_bytes_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("out.gcode");
        assert_eq!(write_file(target(&path), b"G1\n").unwrap(), Kept { original: None });
        assert_eq!(fs::read(&path).unwrap(), b"G1\n");
        assert_eq!(names(folder.path()), ["out.gcode"]);
    }

    #[test]
    fn the_source_is_replaced_only_when_asked() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.gcode");
        fs::write(&path, b"old\n").unwrap();
        let roundabout = folder.path().join(".").join("part.gcode");
        let mut to = Target { path: &roundabout, source: Some(&path), in_place: false, keep_original: true };
        assert!(matches!(write_file(to, b"new\n"), Err(WriteError::WouldReplaceSource { .. })));
        assert_eq!(fs::read(&path).unwrap(), b"old\n");
        to.in_place = true;
        let kept = write_file(to, b"new\n").unwrap().original.unwrap();
        assert_eq!((fs::read(&path).unwrap(), fs::read(kept).unwrap()), (b"new\n".to_vec(), b"old\n".to_vec()));
        assert_eq!(names(folder.path()), ["part.gcode", "part.gcode.orig"]);
        // A second time the first original must not be lost.
        let kept = write_file(to, b"newer\n").unwrap().original.unwrap();
        assert_eq!(fs::read(kept).unwrap(), b"new\n");
        assert_eq!(names(folder.path()), ["part.gcode", "part.gcode.orig", "part.gcode.orig-2"]);
        assert_eq!(fs::read(folder.path().join("part.gcode.orig")).unwrap(), b"old\n");
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_stay() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.gcode");
        let link = folder.path().join("link.gcode");
        fs::write(&path, b"old\n").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink(&path, &link).unwrap();
        write_file(target(&link), b"new\n").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read(&path).unwrap(), b"new\n");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
    }

    #[test]
    fn a_missing_folder_and_a_folder_in_the_way_are_named() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("none").join("out.gcode");
        assert!(matches!(write_file(target(&path), b"G1\n"), Err(WriteError::NoFolder { .. })));
        assert!(matches!(write_file(target(folder.path()), b"G1\n"), Err(WriteError::Folder { .. })));
    }

    #[cfg(unix)]
    #[test]
    fn a_folder_that_may_not_be_written_is_named_and_left_alone() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.gcode");
        fs::write(&path, b"old\n").unwrap();
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).unwrap();
        // The administrator may write everywhere; then only the system's own folder refuses.
        let may_all = File::create(folder.path().join("try")).is_ok();
        let refused = if may_all { Path::new("/proc/self/part.gcode") } else { &path };
        assert!(write_file(target(refused), b"new\n").is_err());
        assert_eq!(fs::read(&path).unwrap(), b"old\n");
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    }

    #[test]
    fn system_errors_become_ours() {
        use io::ErrorKind::{PermissionDenied, ReadOnlyFilesystem, StorageFull};
        let from = |kind| WriteError::from_io(Path::new("part.gcode"), io::Error::from(kind));
        assert!(matches!(from(StorageFull), WriteError::DiskFull { .. }));
        assert!(matches!(from(PermissionDenied), WriteError::Forbidden { .. }));
        assert!(matches!(from(ReadOnlyFilesystem), WriteError::Forbidden { .. }));
    }
}
