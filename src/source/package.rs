//! G-code inside a zip package: finding the member, unpacking it, and putting a new one back.
//!
//! ```text
//! package ──> members that end in .gcode ──> the only one, or the one asked for ──> its bytes
//! new bytes ──> a package with the same members in the same order; only that one, and a checksum beside it, new
//! ```
//!
//! Sources: ISO/IEC 21320-1 (members are stored or deflated, nothing is encrypted); 3MF is one such packaging.
//! A member named like the G-code's with `.md5` after it holds that one's MD5 (RFC 1321) in 32 hexadecimal digits.

use super::error::ReadError;
use md5::{Digest, Md5};
use std::io::{Cursor, Read, Write};
use zip::result::{ZipError, ZipResult};
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// No member may unpack to more than this, bytes.
const MOST_BYTES: u64 = 4 << 30;
/// Nor to more than this for each packed byte: G-code packs to a third or a tenth.
const MOST_RATIO: u64 = 200;
/// Up to this size the ratio is nobody's concern, bytes.
const SMALL_BYTES: u64 = 1 << 20;
/// What is unpacked between two looks at the limits, bytes.
const STEP_BYTES: usize = 1 << 16;
/// A checksum member is no longer than this, bytes.
const CHECKSUM_BYTES: u64 = 4096;
/// Digits of an MD5.
const MD5_DIGITS: usize = 32;

/// A member taken out of a package.
#[derive(Debug)]
pub(super) struct Unpacked {
    /// Which one.
    pub index: usize,
    /// Its name in the package.
    pub member: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Whether `bytes` begin as a zip package does: with a member, or with the end of an empty one.
pub(super) fn is_package(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// Takes the G-code member out of `package`; `wanted` names it where there are several.
pub(super) fn unpack(package: &[u8], name: &str, wanted: Option<&str>) -> Result<Unpacked, ReadError> {
    let damaged = |cause: ZipError| ReadError::Damaged { name: name.to_owned(), cause: cause.to_string() };
    let mut archive = ZipArchive::new(Cursor::new(package)).map_err(damaged)?;
    let (index, member) = choose(&archive, name, wanted)?;
    let bytes = take(&mut archive, index, name, &member)?;
    Ok(Unpacked { index, member, bytes })
}

type Archive<'a> = ZipArchive<Cursor<&'a [u8]>>;

/// Every member that is a file, with its place and name.
fn members(archive: &Archive<'_>) -> Vec<(usize, String)> {
    let named = |index| {
        let entry = archive.by_index_data(index).ok().filter(|entry| !entry.is_dir())?;
        let name = entry.name().map_or_else(|_| String::from_utf8_lossy(entry.name_raw()).into_owned(), Into::into);
        Some((index, name))
    };
    (0..archive.len()).filter_map(named).collect()
}

/// The last part of a member's name.
fn file_name(member: &str) -> &str {
    member.rsplit(['/', '\\']).next().unwrap_or(member)
}

/// Some systems leave hidden members beside the real ones.
fn is_gcode(member: &str) -> bool {
    !file_name(member).starts_with('.') && member.to_ascii_lowercase().ends_with(".gcode")
}

fn choose(archive: &Archive<'_>, name: &str, wanted: Option<&str>) -> Result<(usize, String), ReadError> {
    let name = name.to_owned();
    let all = members(archive);
    let gcode: Vec<_> = all.iter().filter(|(_, member)| is_gcode(member)).cloned().collect();
    let listed =
        |members: &[(usize, String)]| members.iter().map(|(_, member)| member.as_str()).collect::<Vec<_>>().join(", ");
    let Some(wanted) = wanted else {
        return match gcode.as_slice() {
            [] => Err(ReadError::NoGcode { name }),
            [only] => Ok(only.clone()),
            several => Err(ReadError::ManyMembers { name, members: listed(several) }),
        };
    };
    let exact: Vec<_> = all.iter().filter(|(_, member)| member == wanted).collect();
    let by_end: Vec<_> = gcode.iter().filter(|(_, member)| file_name(member).eq_ignore_ascii_case(wanted)).collect();
    match (exact.as_slice(), by_end.as_slice()) {
        ([only], _) | ([], [only]) => Ok((*only).clone()),
        _ => Err(ReadError::NoSuchMember { name, asked: wanted.to_owned(), members: listed(&gcode) }),
    }
}

/// Unpacks one member in steps, so that a small package cannot fill the memory.
fn take(archive: &mut Archive<'_>, index: usize, name: &str, member: &str) -> Result<Vec<u8>, ReadError> {
    let (name, member) = (name.to_owned(), member.to_owned());
    let mut file = match archive.by_index(index) {
        Ok(file) => file,
        Err(ZipError::UnsupportedArchive(_) | ZipError::CompressionMethodNotSupported(_)) => {
            return Err(ReadError::Sealed { name, member });
        }
        Err(cause) => return Err(ReadError::Damaged { name, cause: cause.to_string() }),
    };
    let most = most_bytes(file.compressed_size());
    let declared = file.size();
    let mut bytes = Vec::new();
    while bytes.len() as u64 <= most && declared <= most {
        let step = file.by_ref().take(STEP_BYTES as u64).read_to_end(&mut bytes);
        match step {
            Ok(0) if bytes.len() as u64 == declared => return Ok(bytes),
            Ok(0) => {
                return Err(ReadError::Damaged { name, cause: format!("{member} has not the size it should have") });
            }
            Ok(_) => {}
            Err(cause) => return Err(ReadError::Damaged { name, cause: format!("{member}: {cause}") }),
        }
    }
    Err(ReadError::Swollen { name, member, most_mib: most >> 20 })
}

/// Whether the member at `index` of `package` reads as `bytes`, among as many others as in `old`.
pub(super) fn reads_as(package: &[u8], index: usize, bytes: &[u8], old: &[u8]) -> bool {
    let count = |package| ZipArchive::new(Cursor::new(package)).map(|archive| archive.len()).ok();
    let read = || {
        let mut archive = ZipArchive::new(Cursor::new(package)).ok()?;
        let (_, member) = members(&archive).into_iter().find(|(at, _)| *at == index)?;
        take(&mut archive, index, "", &member).ok()
    };
    count(package) == count(old) && read().is_some_and(|read| read == bytes)
}

/// What a member of this packed size may unpack to.
fn most_bytes(packed: u64) -> u64 {
    MOST_BYTES.min(SMALL_BYTES.max(packed.saturating_mul(MOST_RATIO)))
}

/// The package with other bytes in one member, and in the checksum beside it if there is one. All other members are
/// copied as they are packed.
pub(super) fn repack(package: &[u8], index: usize, bytes: &[u8]) -> ZipResult<Vec<u8>> {
    let mut archive = ZipArchive::new(Cursor::new(package))?;
    let mut writer = ZipWriter::new(Cursor::new(Vec::with_capacity(package.len())));
    writer.set_raw_comment(archive.comment().into())?;
    let checksum = checksum_of(&archive, index);
    for each in 0..archive.len() {
        if each == index {
            replace(&mut archive, &mut writer, each, bytes)?;
        } else if Some(each) == checksum
            && let Some(text) = refreshed(&mut archive, each, bytes)?
        {
            replace(&mut archive, &mut writer, each, &text)?;
        } else {
            writer.raw_copy_file(archive.by_index_raw(each)?)?;
        }
    }
    Ok(writer.finish()?.into_inner())
}

/// Writes a member with other bytes under its name, packed as it was.
fn replace(
    archive: &mut Archive<'_>,
    writer: &mut ZipWriter<Cursor<Vec<u8>>>,
    index: usize,
    bytes: &[u8],
) -> ZipResult<()> {
    let file = archive.by_index_raw(index)?;
    let method = match file.compression() {
        CompressionMethod::Stored => CompressionMethod::Stored,
        _ => CompressionMethod::Deflated,
    };
    let large = u32::try_from(bytes.len()).is_err();
    writer.start_file(file.name()?.into_owned(), file.options().compression_method(method).large_file(large))?;
    writer.write_all(bytes)?;
    Ok(())
}

/// The member that holds the MD5 of the one at `index`.
fn checksum_of(archive: &Archive<'_>, index: usize) -> Option<usize> {
    let members = members(archive);
    let (_, of) = members.iter().find(|(at, _)| *at == index)?;
    let name = format!("{of}.md5");
    members.iter().find(|(_, member)| member.eq_ignore_ascii_case(&name)).map(|(at, _)| *at)
}

/// The text of a checksum member with the MD5 of `bytes` in it; `None` where it holds none.
fn refreshed(archive: &mut Archive<'_>, checksum: usize, bytes: &[u8]) -> ZipResult<Option<Vec<u8>>> {
    let mut text = Vec::new();
    archive.by_index(checksum)?.take(CHECKSUM_BYTES).read_to_end(&mut text)?;
    let Some(at) = digits_at(&text) else { return Ok(None) };
    let lower: String = Md5::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    let Some(old) = text.get_mut(at..at.saturating_add(MD5_DIGITS)) else { return Ok(None) };
    let upper = old.iter().any(u8::is_ascii_uppercase);
    old.copy_from_slice(if upper { lower.to_ascii_uppercase() } else { lower }.as_bytes());
    Ok(Some(text))
}

/// Where the first run of exactly so many hexadecimal digits as an MD5 has begins.
fn digits_at(text: &[u8]) -> Option<usize> {
    let mut start = 0;
    for run in text.split(|byte| !byte.is_ascii_hexdigit()) {
        if run.len() == MD5_DIGITS {
            return Some(start);
        }
        start = start.saturating_add(run.len()).saturating_add(1);
    }
    None
}

#[cfg(test)]
#[path = "package_tests.rs"]
mod tests;
