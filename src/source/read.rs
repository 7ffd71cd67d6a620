//! Bytes in.

use super::error::{ReadError, WriteError};
use super::{mapped, package};
use memmap2::Mmap;
use std::borrow::Cow;
use std::fs::{File, Metadata};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// Files from this size on are mapped. Below it reading takes little memory and a few hundredths of a second, and what
/// another program does to the file meanwhile cannot disturb.
const MAP_FROM: u64 = 64 << 20;

/// Of what is not mapped so much is read at most; it has to fit into memory.
const MOST_BYTES: u64 = 2 << 30;

/// The bytes of one input, and what to call it.
#[derive(Debug)]
pub struct Source {
    bytes: Bytes,
    name: String,
    path: Option<PathBuf>,
    package: Option<Package>,
    stamp: Option<Stamp>,
}

/// What tells one state of a file from another: its length, and when it was last written.
type Stamp = (u64, Option<SystemTime>);

fn stamp_of(about: &Metadata) -> Option<Stamp> {
    about.is_file().then(|| (about.len(), about.modified().ok()))
}

/// The zip package in which the bytes were found.
#[derive(Debug)]
struct Package {
    bytes: Bytes,
    name: String,
    index: usize,
}

#[derive(Debug)]
enum Bytes {
    Owned(Vec<u8>),
    Mapped(Mmap),
}

impl Bytes {
    fn all(&self) -> &[u8] {
        match self {
            Self::Owned(bytes) => bytes,
            Self::Mapped(map) => map,
        }
    }
}

impl Source {
    /// Bytes that are at hand already.
    #[must_use]
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Self {
        Self { bytes: Bytes::Owned(bytes), name: name.into(), path: None, package: None, stamp: None }
    }

    /// All bytes; of a package, those of its G-code member.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        self.bytes.all()
    }

    /// Whether the file is still what it was when it was opened; to be asked after the last look at its bytes, since
    /// a file that another program is still writing would be judged by half.
    ///
    /// # Errors
    /// [`ReadError::Changed`] when it is longer, shorter, written again or gone.
    pub fn settled(&self) -> Result<(), ReadError> {
        let (Some(path), Some(stamp)) = (&self.path, self.stamp) else { return Ok(()) };
        let now = std::fs::metadata(path).ok().as_ref().and_then(stamp_of);
        if now == Some(stamp) { Ok(()) } else { Err(ReadError::Changed { path: path.clone() }) }
    }

    /// Whether the bytes were found in a zip package.
    #[must_use]
    pub const fn is_packed(&self) -> bool {
        self.package.is_some()
    }

    /// What to write to disk so that reading it gives `bytes`: themselves, or the package with them in place of the
    /// member that was read. Its other members stay as they are, except an MD5 of the member, which is made anew.
    ///
    /// # Errors
    /// [`WriteError::Package`] when the package cannot be made again.
    pub fn packed<'a>(&self, bytes: &'a [u8]) -> Result<Cow<'a, [u8]>, WriteError> {
        let Some(Package { bytes: old, name, index }) = &self.package else { return Ok(Cow::Borrowed(bytes)) };
        let failed = |cause: &str| WriteError::Package { name: name.clone(), cause: cause.to_owned() };
        let new = package::repack(old.all(), *index, bytes).map_err(|cause| failed(&cause.to_string()))?;
        // A damaged package may be read one way and written another; then the old one stays.
        let same = package::reads_as(&new, *index, bytes, old.all());
        if same { Ok(Cow::Owned(new)) } else { Err(failed("it reads otherwise once it is written; it may be damaged")) }
    }

    /// What to call it in messages and reports: the path as given, or what the stream is called; of a package, with
    /// the member in parentheses.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Where it stands on disk, if it does.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }
}

/// Reads the file at `path`; a large regular file is mapped instead. Of a zip package, its only G-code member is read.
///
/// # Errors
/// [`ReadError`] when it is missing, a folder, forbidden, empty, not text, or reading fails.
pub fn read_path(path: &Path) -> Result<Source, ReadError> {
    read_member(path, None)
}

/// The same; of a zip package, the member of this name is read.
///
/// # Errors
/// The same, and when there is no such member or the file is no package.
pub fn read_member(path: &Path, member: Option<&str>) -> Result<Source, ReadError> {
    let name = path.display().to_string();
    let failed = |cause| ReadError::from_io(path, cause);
    let about = std::fs::metadata(path).map_err(failed)?;
    if about.is_dir() {
        return Err(ReadError::Folder { path: path.to_owned() });
    }
    let mut file = File::open(path).map_err(failed)?;
    let bytes = if about.is_file() && about.len() >= MAP_FROM {
        Bytes::Mapped(mapped::map(&file).map_err(failed)?)
    } else {
        // Devices, pipes and small files.
        Bytes::Owned(read_all(&name, &mut file, MOST_BYTES)?)
    };
    let source = Source { bytes, name, path: Some(path.to_owned()), package: None, stamp: stamp_of(&about) };
    accept(source, member)
}

/// Reads a stream to its end; `name` is what to call it, such as "standard input". It may hold a zip package, of which
/// the only G-code member is read, or the one of this name.
///
/// # Errors
/// [`ReadError`] when it is empty, not text, or reading fails, or when there is no such member.
pub fn read_stream(name: &str, stream: &mut dyn Read, member: Option<&str>) -> Result<Source, ReadError> {
    accept(Source::from_bytes(name, read_all(name, stream, MOST_BYTES)?), member)
}

/// Reads to the end, or to one byte more than may be: a stream need not have an end.
fn read_all(name: &str, stream: &mut dyn Read, most: u64) -> Result<Vec<u8>, ReadError> {
    let mut bytes = Vec::new();
    let read = stream.take(most.saturating_add(1)).read_to_end(&mut bytes);
    read.map_err(|cause| ReadError::from_io(Path::new(name), cause))?;
    if bytes.len() as u64 > most {
        return Err(ReadError::Endless { name: name.to_owned(), most_mib: most >> 20 });
    }
    Ok(bytes)
}

fn accept(mut source: Source, member: Option<&str>) -> Result<Source, ReadError> {
    if package::is_package(source.bytes()) {
        source = unpacked(source, member)?;
    } else if let Some(asked) = member {
        return Err(ReadError::NoPackage { name: source.name, asked: asked.to_owned() });
    }
    if source.bytes().is_empty() {
        return Err(ReadError::Empty { name: source.name });
    }
    match other_kind(source.bytes()) {
        Some(kind) => Err(ReadError::NotText { name: source.name, kind }),
        None => Ok(source),
    }
}

/// The member of a package in the package's stead.
fn unpacked(source: Source, member: Option<&str>) -> Result<Source, ReadError> {
    let found = package::unpack(source.bytes(), &source.name, member)?;
    let name = format!("{} ({})", source.name, found.member);
    let package = Package { bytes: source.bytes, name: source.name, index: found.index };
    Ok(Source {
        bytes: Bytes::Owned(found.bytes),
        name,
        path: source.path,
        package: Some(package),
        stamp: source.stamp,
    })
}

/// What else the bytes are, by the published signatures of common file kinds or by being mostly unprintable.
fn other_kind(bytes: &[u8]) -> Option<&'static str> {
    const SIGNATURES: &[(&[u8], &str)] = &[
        (b"\x89PNG\r\n\x1a\n", "a picture"),    // PNG: ISO/IEC 15948, section 5.2
        (b"\xff\xd8\xff", "a picture"),         // JPEG: ISO/IEC 10918-1, start-of-image marker
        (b"GIF8", "a picture"),                 // GIF89a specification, header
        (b"BM", "a picture"),                   // from memory: bitmap file header
        (b"%PDF-", "a document"),               // PDF: ISO 32000-1, section 7.5.2
        (b"PK\x03\x04", "a zip package"),       // ZIP: ISO/IEC 21320-1, local file header
        (b"\x1f\x8b", "a compressed file"),     // gzip: RFC 1952, section 2.3.1
        (b"\x7fELF", "a program"),              // from memory: ELF header
        (b"solid ", "a model, not yet sliced"), // from memory: text form of a triangle mesh
    ];
    let by_signature = SIGNATURES.iter().find(|(start, kind)| {
        // Two letters alone could begin a text: a bitmap also has unprintable bytes near its start.
        bytes.starts_with(start) && (*kind != "a picture" || start.len() > 2 || looks_binary(bytes))
    });
    by_signature.map(|(_, kind)| *kind).or_else(|| looks_binary(bytes).then_some("not a text file"))
}

/// More than three bytes in ten of the first ones cannot stand in a text. Comments in any script pass: bytes
/// from 0x80 on are not counted, except that no text is mostly made of them.
fn looks_binary(bytes: &[u8]) -> bool {
    let head = bytes.get(..bytes.len().min(4096)).unwrap_or_default();
    let odd = head.iter().filter(|b| b.is_ascii_control() && !matches!(b, b'\t' | b'\r' | b'\n' | 0x0c)).count();
    odd.saturating_mul(10) > head.len().saturating_mul(3)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::io;

    fn kind(bytes: &[u8]) -> Option<&'static str> {
        other_kind(bytes)
    }

    #[test]
    fn other_kinds_of_file_are_told_from_text() {
        assert_eq!(kind(b"\x89PNG\r\n\x1a\nrest"), Some("a picture"));
        assert_eq!(kind(b"PK\x03\x04rest"), Some("a zip package"));
        assert_eq!(kind(b"BM\x00\x01\x02\x03\x00\x00\x00\x00"), Some("a picture"));
        assert_eq!(kind(&[0; 50]), Some("not a text file"));
        for text in [&b"BMW holder"[..], b"G1 X1\n", b"; \xe9\xe8\xff\n", b"%\nG1 X1\0\n"] {
            assert_eq!(kind(text), None);
        }
    }

    #[test]
    fn a_stream_without_an_end_is_left_off() {
        let mut endless = io::repeat(b'\n');
        let error = read_all("standard input", &mut endless, 3 << 20).unwrap_err();
        assert_eq!(
            error.to_string(),
            "standard input gave more than 3 MiB without an end; save what should be read to a file and name that"
        );
        let mut just_enough = io::repeat(b'\n').take(3 << 20);
        assert_eq!(read_all("standard input", &mut just_enough, 3 << 20).unwrap().len(), 3 << 20);
    }

    #[test]
    fn each_trouble_has_its_own_error() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.gcode");
        assert!(matches!(read_path(&path), Err(ReadError::Missing { .. })));
        assert!(matches!(read_path(&path.join("deeper")), Err(ReadError::Missing { .. })));
        assert!(matches!(read_path(folder.path()), Err(ReadError::Folder { .. })));
        std::fs::write(&path, b"").unwrap();
        assert!(matches!(read_path(&path), Err(ReadError::Empty { .. })));
        std::fs::write(&path, b"\xff\xd8\xff\xe0").unwrap();
        let error = read_path(&path).unwrap_err();
        assert!(error.to_string().ends_with("is a picture, not G-code; name the file that goes to the printer"));
    }

    #[test]
    fn a_file_that_grows_or_goes_meanwhile_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.gcode");
        std::fs::write(&path, "G1 X1\n").unwrap();
        let source = read_path(&path).unwrap();
        assert!(source.settled().is_ok());
        std::fs::write(&path, "G1 X1\nG1 X2\n").unwrap();
        assert!(matches!(source.settled(), Err(ReadError::Changed { .. })));
        std::fs::remove_file(&path).unwrap();
        assert!(matches!(source.settled(), Err(ReadError::Changed { .. })));
        assert!(Source::from_bytes("at hand", b"G1".to_vec()).settled().is_ok());
    }

    #[test]
    fn a_file_cut_off_while_it_is_looked_at_stays_whole_here() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.gcode");
        let bytes = b"G1 X1\n".repeat(1 << 19);
        std::fs::write(&path, &bytes).unwrap();
        let source = read_path(&path).unwrap();
        File::options().write(true).open(&path).unwrap().set_len(3).unwrap();
        assert_eq!(source.bytes(), bytes);
        assert!(matches!(source.settled(), Err(ReadError::Changed { .. })));
    }

    #[test]
    fn small_and_large_files_and_streams_give_their_bytes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.gcode");
        for size in [7, MAP_FROM as usize + 5] {
            let mut bytes = b"G1 X1\n".repeat(size / 6 + 1);
            bytes.truncate(size);
            std::fs::write(&path, &bytes).unwrap();
            let source = read_path(&path).unwrap();
            assert_eq!(source.bytes(), bytes);
            assert_eq!(matches!(source.bytes, Bytes::Mapped(_)), size > 7);
            assert_eq!(source.path(), Some(path.as_path()));
            let stream = read_stream("standard input", &mut bytes.as_slice(), None).unwrap();
            assert_eq!((stream.bytes(), stream.name(), stream.path()), (bytes.as_slice(), "standard input", None));
        }
    }

    #[test]
    fn a_stream_that_breaks_says_so() {
        struct Broken;
        impl Read for Broken {
            fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
                Err(io::Error::other("the cable came off"))
            }
        }
        let error = read_stream("standard input", &mut Broken, None).unwrap_err();
        assert_eq!(error.to_string(), "standard input could not be read: the cable came off");
    }
}
