//! Packages are read, made again, and never trusted.

#![allow(clippy::unwrap_used)]
use super::*;
use crate::source::Source;
use crate::source::read_stream;
use zip::write::SimpleFileOptions;

const PART: &[u8] = b"G28\nG1 X10 E1\n";
const RELATIONS: &[u8] = b"<Relationships/>";

fn packed(members: &[(&str, &[u8], CompressionMethod)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes, method) in members {
        writer.start_file(*name, SimpleFileOptions::default().compression_method(*method)).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.set_comment("made by hand").unwrap();
    writer.finish().unwrap().into_inner()
}

const DEFLATED: CompressionMethod = CompressionMethod::Deflated;
const STORED: CompressionMethod = CompressionMethod::Stored;

fn plates() -> Vec<u8> {
    packed(&[
        ("[Content_Types].xml", b"<Types/>", DEFLATED),
        ("Metadata/one.gcode", PART, DEFLATED),
        ("Metadata/one.gcode.md5", b"00000000000000000000000000000000", STORED),
        ("Metadata/._one.gcode", b"\0\x05\x16\x07", DEFLATED),
        ("Metadata/two.gcode", b"G28\nG1 X20 E2\n", STORED),
        ("_rels/.rels", RELATIONS, DEFLATED),
    ])
}

fn read(package: &[u8], member: Option<&str>) -> Result<Source, ReadError> {
    read_stream("plates.3mf", &mut &*package, member)
}

/// Every member's name, packed bytes and unpacked bytes.
fn contents(package: &[u8]) -> Vec<(String, Vec<u8>, Vec<u8>)> {
    let mut archive = ZipArchive::new(Cursor::new(package)).unwrap();
    let mut found = Vec::new();
    for index in 0..archive.len() {
        let (mut raw, mut plain) = (Vec::new(), Vec::new());
        archive.by_index_raw(index).unwrap().read_to_end(&mut raw).unwrap();
        let mut file = archive.by_index(index).unwrap();
        file.read_to_end(&mut plain).unwrap();
        found.push((file.name().unwrap().into_owned(), raw, plain));
    }
    found
}

#[test]
fn the_only_member_is_read_and_one_of_several_is_chosen() {
    let one = packed(&[("part.GCODE", PART, DEFLATED), ("picture.png", b"\x89PNG", STORED)]);
    let source = read(&one, None).unwrap();
    assert_eq!((source.bytes(), source.name()), (PART, "plates.3mf (part.GCODE)"));
    assert!(source.is_packed());
    let listed = read(&plates(), None).unwrap_err().to_string();
    assert_eq!(
        listed,
        "plates.3mf holds several G-code members: Metadata/one.gcode, Metadata/two.gcode; choose one with --member"
    );
    for wanted in ["Metadata/two.gcode", "two.gcode", "TWO.gcode"] {
        assert_eq!(read(&plates(), Some(wanted)).unwrap().bytes(), b"G28\nG1 X20 E2\n");
    }
    assert!(matches!(read(&plates(), Some("three.gcode")), Err(ReadError::NoSuchMember { .. })));
    assert!(matches!(read(&packed(&[("a.txt", b"x", STORED)]), None), Err(ReadError::NoGcode { .. })));
    assert!(matches!(read(&packed(&[]), None), Err(ReadError::NoGcode { .. })));
    assert!(matches!(read(PART, Some("one.gcode")), Err(ReadError::NoPackage { .. })));
    assert!(matches!(read(&packed(&[("a.gcode", b"", STORED)]), None), Err(ReadError::Empty { .. })));
}

#[test]
fn a_new_member_leaves_the_others_as_they_are_packed() {
    let package = plates();
    let source = read(&package, Some("one.gcode")).unwrap();
    let new = [PART, b"M0\n"].concat();
    let made = source.packed(&new).unwrap();
    let (old, made_members) = (contents(&package), contents(&made));
    assert_eq!(old.len(), made_members.len());
    for (was, is) in old.iter().zip(&made_members) {
        match was.0.as_str() {
            "Metadata/one.gcode" => assert_eq!(is.2, new),
            "Metadata/one.gcode.md5" => assert_ne!(is.2, was.2),
            _ => assert_eq!(is, was),
        }
    }
    assert_eq!(ZipArchive::new(Cursor::new(&*made)).unwrap().comment(), b"made by hand");
    // Taking the change out again gives the member's own bytes.
    let back = read(&made, Some("one.gcode")).unwrap().packed(PART).unwrap().into_owned();
    assert_eq!(read(&back, Some("one.gcode")).unwrap().bytes(), PART);
}

#[test]
fn the_md5_beside_a_member_follows_it() {
    // RFC 1321, appendix A.5: MD5 of "abc" and of "message digest".
    let text = b"00000000000000000000000000000000  part.gcode\r\n";
    let package = packed(&[("part.gcode", PART, DEFLATED), ("part.gcode.MD5", text, DEFLATED)]);
    let made = repack(&package, 0, b"abc").unwrap();
    assert_eq!(contents(&made)[1].2, b"900150983cd24fb0d6963f7d28e17f72  part.gcode\r\n");
    let upper = packed(&[("part.gcode", PART, DEFLATED), ("part.gcode.md5", &[b'A'; 32], DEFLATED)]);
    assert_eq!(contents(&repack(&upper, 0, b"message digest").unwrap())[1].2, b"F96B697D7CB7938D525A2F31AAF161D0");
    // What holds no MD5, or belongs to another member, stays.
    for other in [("part.gcode.md5", &b"none yet"[..]), ("other.gcode.md5", &[b'0'; 32])] {
        let package = packed(&[("part.gcode", PART, DEFLATED), (other.0, other.1, DEFLATED)]);
        assert_eq!(contents(&repack(&package, 0, b"abc").unwrap())[1], contents(&package)[1]);
    }
    assert_eq!(digits_at(&[b'0'; 64]), None);
}

#[test]
fn a_member_that_swells_is_refused_while_it_is_unpacked() {
    let zeros = vec![b' '; 40 << 20];
    let package = packed(&[("part.gcode", &zeros, DEFLATED)]);
    assert!(package.len() < 50_000, "{} bytes", package.len());
    let refused = read(&package, None).unwrap_err();
    // Deflate reaches 1032:1 at most (from memory), five times the bound.
    assert!(matches!(refused, ReadError::Swollen { most_mib: 6..9, .. }), "{refused}");
    // A declared size that lies does not help.
    let mut lies = package;
    for (mark, at) in [(&b"PK\x03\x04"[..], 22), (b"PK\x01\x02", 24)] {
        let start = memchr::memmem::find(&lies, mark).unwrap() + at;
        lies[start..start + 4].copy_from_slice(&1000_u32.to_le_bytes());
    }
    assert!(matches!(read(&lies, None), Err(ReadError::Swollen { .. } | ReadError::Damaged { .. })));
    assert_eq!((most_bytes(1), most_bytes(1 << 20), most_bytes(1 << 40)), (1 << 20, 200 << 20, 4 << 30));
}

#[test]
fn an_encrypted_member_is_named() {
    let mut package = packed(&[("part.gcode", PART, STORED)]);
    // ISO/IEC 21320-1 by way of the general purpose flag, bit 0: encrypted.
    for (mark, at) in [(&b"PK\x03\x04"[..], 6), (b"PK\x01\x02", 8)] {
        let start = memchr::memmem::find(&package, mark).unwrap();
        package[start + at] |= 1;
    }
    assert!(matches!(read(&package, None), Err(ReadError::Sealed { .. })));
}

proptest::proptest! {
    #[test]
    fn damaged_packages_are_errors_and_no_panics(
        at in 0_usize..900, value in 0_u8..=255, cut in 4_usize..1200, whole: bool,
    ) {
        let mut package = plates();
        let length = package.len();
        package[4 + at % (length - 4)] = value;
        if !whole {
            package.truncate(cut.min(length));
        }
        if let Ok(source) = read(&package, Some("two.gcode")) {
            // What is read has passed its CRC, so that it is right or the damage lies elsewhere.
            _ = source.packed(b"G1 X1\n");
            proptest::prop_assert!(source.bytes() == b"G28\nG1 X20 E2\n");
        }
    }
}
