//! What the printing dialect adds to the published format, and what must never harm the reader.
//!
//! Open community dialect; common practice, no source, unless one is named.

use beadwise::gcode::{Block, BlockKind, Command, lines};
use proptest::prelude::*;

fn block(text: &[u8]) -> Block {
    let mut block = Block::default();
    if let Some(line) = lines(text).next() {
        block.read(&line);
    }
    block
}

fn text_of(text: &str) -> Option<&str> {
    let read = block(text.as_bytes());
    assert_ne!(read.kind, BlockKind::Bad, "{text}: {:?}", read.problem);
    read.text.map(|t| &text[t.start as usize..t.end as usize])
}

#[test]
fn letters_may_stand_alone() {
    let read = block(b"G28 X Y");
    assert_eq!(read.kind, BlockKind::Words);
    assert!(read.has(b'X') && read.has(b'Y') && !read.has(b'Z'));
    assert_eq!(read.value(b'X'), None);
}

#[test]
fn messages_and_file_names_are_text() {
    assert_eq!(text_of("M117 Layer 3, z = 0.6!"), Some("Layer 3, z = 0.6!"));
    assert_eq!(text_of("m118 e1 hello ; not shown"), Some("e1 hello"));
    assert_eq!(text_of("M23 /parts/tray~1.gco"), Some("/parts/tray~1.gco"));
    assert_eq!(text_of("M0 put the nut in"), Some("put the nut in"));
    assert_eq!(text_of("M0 3 nuts, 2 discs"), Some("3 nuts, 2 discs"));
    assert_eq!(text_of("M117 50% done"), Some("50% done"));
    assert_eq!(text_of("M30 old.gco"), Some("old.gco"));
    assert_eq!(text_of("M30"), None);
    assert_eq!(text_of("N5 M117 half way*110"), Some("half way"));
    // Without a line number a star belongs to the message.
    assert_eq!(text_of("M117 nuts: 2*3"), Some("nuts: 2*3"));
    assert_eq!(block(b"M117 nuts: 2*3").checksum, None);
}

#[test]
fn stops_may_have_words() {
    let read = block(b"M0 S10");
    assert_eq!((read.command(), read.value(b'S'), read.text), (Some(Command::new(b'M', 0)), Some(10.0), None));
}

#[test]
fn longer_names_are_kept_whole() {
    for text in ["PARK_HEAD Z=5 X=1e3", "start_print", "T0_PARK X1", "/N3 SET_FAN S=0.5 ; slow"] {
        let read = block(text.as_bytes());
        assert_eq!((read.kind, read.problem), (BlockKind::Extended, None), "{text}");
        assert!(read.words.is_empty());
    }
    assert_eq!(text_of("/N3 SET_FAN S=0.5 ; slow"), Some("SET_FAN S=0.5"));
}

#[test]
fn quoted_text_belongs_to_its_letter() {
    let read = block(b"M291 P\"nut; in (now)\" S2");
    assert_eq!((read.kind, read.value(b'S')), (BlockKind::Words, Some(2.0)));
    assert_eq!(block(b"M291 P\"open").kind, BlockKind::Bad);
}

#[test]
fn a_checksum_may_follow_a_comment_on_a_numbered_line() {
    let text = b"N1 G28 ; home*55";
    let sum = text[..13].iter().fold(0, |s, b| s ^ b);
    let line = [&text[..13], format!("*{sum}").as_bytes()].concat();
    let read = block(&line);
    assert_eq!((read.checksum, read.checksum_at), (Some(sum), Some(13)));
    assert_eq!(&line[read.comments[0].start as usize..read.comments[0].end as usize], b" home");
    // A star that only looks like one stays comment.
    assert_eq!(block(b"N1 G28 ; 3*4").checksum, None);
    assert_eq!(block(b"G28 ; 3*4").checksum, None);
    // So it does on a line without a number even where it happens to fit, and after a sum that was given already.
    let fits = |line: &str| format!("{line}*{}", line.bytes().fold(0, |sum, byte| sum ^ byte));
    assert_eq!(block(fits("G28 ; home").as_bytes()).checksum, None);
    assert_eq!(block(fits("N1 G28*18 ; home").as_bytes()).checksum, Some(18));
}

#[test]
fn a_comment_that_never_closes_leaves_the_words_before_it() {
    let read = block(b"G1 X5 (outer wall");
    assert_eq!((read.kind, read.value(b'X')), (BlockKind::Words, Some(5.0)));
}

#[test]
fn bad_lines_say_what_was_expected_where() {
    let read = block(b"G1 X1 !");
    let problem = read.problem.expect("a problem");
    assert_eq!(
        (read.kind, problem.code, problem.line, problem.columns),
        (BlockKind::Bad, "bad-line", Some(1), Some(6..7))
    );
    assert_eq!(problem.message, "expected a letter that starts a word, or a comment, found `!`");
    assert!(problem.remedy.is_some());
    let read = block(b"G1 X-");
    assert_eq!(read.problem.and_then(|p| p.columns), Some(5..5));
}

#[test]
fn endings_marks_and_odd_bytes_survive() {
    let file = b"\xef\xbb\xbfG21\r\nG1 X1 ; \xff\xfe\x00\rG1 Y2\n\n%";
    let read: Vec<_> = lines(file).collect();
    assert_eq!(read.iter().map(|l| l.body().len()).collect::<Vec<_>>(), [6, 11, 5, 0, 1]);
    assert_eq!(block(file).command(), Some(Command::new(b'G', 21)));
    assert_eq!(block(b"G1 X1 ; \xff\xfe\x00").kind, BlockKind::Words);
    assert_eq!(block(b"\0\0\0").kind, BlockKind::Bad);
}

#[test]
fn a_line_of_ten_megabytes_is_one_bad_line() {
    let long = vec![b'X'; 10 << 20];
    assert_eq!(block(&long).kind, BlockKind::Bad);
    // Unless it is a comment, which harms nobody.
    let comment = [&b";"[..], &long].concat();
    assert_eq!(block(&comment).kind, BlockKind::Empty);
}

/// Bytes that look enough like G-code to reach the deeper rules.
fn gcode_like() -> impl Strategy<Value = Vec<u8>> {
    let piece = prop_oneof![
        "[GMTNXYZEFSPngx][ ]?[-+]?[0-9]{0,4}(\\.[0-9]{0,4})?[ \t]{0,2}".prop_map(String::into_bytes),
        "[;(/*%_)\"]{1,2}".prop_map(String::into_bytes),
        "(\r\n|\r|\n)".prop_map(String::into_bytes),
        "M117 [a-z*; ]{0,9}[0-9]{0,3}".prop_map(String::into_bytes),
        proptest::collection::vec(any::<u8>(), 0..4),
    ];
    proptest::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

fn check_file(bytes: &[u8]) -> Result<(), TestCaseError> {
    let mut joined = Vec::new();
    let mut block = Block::default();
    for (index, line) in lines(bytes).enumerate() {
        prop_assert_eq!(line.start as usize, joined.len());
        prop_assert_eq!(line.number as usize, index + 1);
        joined.extend_from_slice(line.bytes);
        block.read(&line);
        check_block(&block, line.body().len() as u32)?;
    }
    prop_assert_eq!(joined, bytes);
    Ok(())
}

/// What holds of every block: spans lie in the line, in order and apart; values are finite; bad means why.
fn check_block(block: &Block, length: u32) -> Result<(), TestCaseError> {
    let mut end = 0;
    for word in &block.words {
        prop_assert!(word.letter.is_ascii_uppercase());
        prop_assert!(end <= word.start && word.start < word.end && word.end <= length);
        prop_assert!(word.value.is_none_or(f64::is_finite));
        end = word.end;
    }
    for range in block.comments.iter().chain(&block.text).chain(&block.number_span) {
        prop_assert!(range.start <= range.end && range.end <= length);
    }
    prop_assert_eq!(block.kind == BlockKind::Words, !block.words.is_empty());
    prop_assert!(block.kind != BlockKind::Bad || block.problem.is_some());
    Ok(())
}

proptest! {
    #[test]
    fn any_bytes_come_back(bytes: Vec<u8>) {
        check_file(&bytes)?;
    }

    #[test]
    fn likely_bytes_come_back(bytes in gcode_like()) {
        check_file(&bytes)?;
    }
}
