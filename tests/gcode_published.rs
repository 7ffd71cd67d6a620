//! The published line format, fact by fact.
//!
//! Unless another source stands beside a check, it is: Kramer, Proctor, Messina, "The NIST RS274NGC
//! Interpreter - Version 3", NISTIR 6556, 17 August 2000; the section is named.

use beadwise::gcode::{Block, BlockKind, Command, integer, lines};

fn block(text: &[u8]) -> Block {
    let mut block = Block::default();
    if let Some(line) = lines(text).next() {
        block.read(&line);
    }
    block
}

fn words(text: &str) -> Vec<(char, Option<f64>)> {
    let block = block(text.as_bytes());
    assert!(block.problem.is_none(), "{text}: {:?}", block.problem);
    block.words.iter().map(|w| (w.letter as char, w.value)).collect()
}

fn comments(text: &str) -> Vec<&str> {
    block(text.as_bytes()).comments.iter().map(|c| &text[c.start as usize..c.end as usize]).collect()
}

#[test]
fn white_space_and_case_mean_nothing_outside_comments() {
    // Section 3.3, with this very line.
    assert_eq!(words("g0x +0. 12 34y 7"), words("g0 x+0.1234 y7"));
    assert_eq!(words("g0x +0. 12 34y 7"), [('G', Some(0.0)), ('X', Some(0.1234)), ('Y', Some(7.0))]);
    assert_eq!(words("\tG 1\tX - 5 "), words("g1x-5"));
    assert_eq!(words("g4 p5 m1 0 7"), words("G4 P5 M107"));
}

#[test]
fn a_line_is_block_delete_then_number_then_words_and_comments() {
    // Section 3.3.
    let read = block(b" / n 0042 g1 (first) x1 (second) y2");
    assert!(read.block_delete);
    assert_eq!(read.number, Some(42));
    assert_eq!(words("/N0042 G1 (first) X1 (second) Y2").len(), 3);
    assert_eq!(comments("/N0042 G1 (first) X1 (second) Y2"), ["first", "second"]);
    // The slash comes first or not at all.
    assert_eq!(block(b"N1 / G1 X1").kind, BlockKind::Bad);
}

#[test]
fn long_lines_are_read() {
    // Section 3.3 allows 256 characters, "the current limit"; printing files exceed it in comments.
    let line = format!("G1 X1 ; {}", "a".repeat(4000));
    assert_eq!(words(&line).len(), 2);
    let words_only = "G1".to_owned() + &" X1".repeat(400);
    assert_eq!(words(&words_only).len(), 401);
}

#[test]
fn blank_lines_are_allowed() {
    // Section 3.3.
    for text in ["", " ", "\t \t", "\n", "/", "/N7"] {
        let read = block(text.as_bytes());
        assert_eq!((read.kind, read.problem), (BlockKind::Empty, None), "{text:?}");
    }
}

#[test]
fn line_numbers_are_digits_only() {
    // Section 3.3.1: no sign, no point.
    assert_eq!(block(b"N99999 G1").number, Some(99_999));
    for bad in ["N-1 G1", "N+1 G1", "N1.5 G1", "N G1"] {
        assert_eq!(block(bad.as_bytes()).kind, BlockKind::Bad, "{bad}");
    }
    // Beyond five digits is the open dialect's custom (from memory): counters of long files pass 99999.
    assert_eq!(block(b"N1234567 G1").number, Some(1_234_567));
    // Only in front is it the line's number: M110 N5 sets a counter (open community dialect, from memory).
    let reset = block(b"M110 N5");
    assert_eq!((reset.number, reset.value(b'N')), (None, Some(5.0)));
}

#[test]
fn numbers_have_a_sign_digits_and_at_most_one_point() {
    // Section 3.3.2.1.
    assert_eq!(
        words("X.5 Y5. Z-.5 A+5")[..],
        [('X', Some(0.5)), ('Y', Some(5.0)), ('Z', Some(-0.5)), ('A', Some(5.0))]
    );
    for bad in ["X.", "X-", "X+.", "X1.2.3", "X1-2", "X--1"] {
        assert_eq!(block(bad.as_bytes()).kind, BlockKind::Bad, "{bad}");
    }
}

#[test]
fn there_is_no_exponent_and_e_is_an_axis() {
    // Section 3.3.2.1: no exponent. E as the extruder's axis: open community dialect.
    assert_eq!(words("X5E3"), [('X', Some(5.0)), ('E', Some(3.0))]);
    assert_eq!(words("G1X5E-3"), [('G', Some(1.0)), ('X', Some(5.0)), ('E', Some(-3.0))]);
}

#[test]
fn seventeen_figures_are_kept() {
    // Section 3.3.2.1: about 17 significant figures.
    assert_eq!(words("X0.12345678901234567"), [('X', Some(0.123_456_789_012_345_67))]);
    assert_eq!(words("X12345678901.234567"), [('X', Some(12_345_678_901.234_567))]);
}

#[test]
fn near_integers_count_as_integers() {
    // Section 3.3.2.1: within 0.0001.
    assert_eq!(block(b"G1.00005").command(), Some(Command::new(b'G', 1)));
    assert_eq!(block(b"G0.99995").command(), Some(Command::new(b'G', 1)));
    assert_eq!(block(b"G1.0002").command(), None);
    assert_eq!(integer(4.000_09), Some(4));
    assert_eq!(integer(4.000_2), None);
}

#[test]
fn every_letter_of_table_3_starts_a_word() {
    // Table 3 of section 3.3.2.
    for letter in "ABCDFGHIJKLMPQRSTXYZ".chars() {
        assert_eq!(words(&format!("{letter}1")), [(letter, Some(1.0))]);
        assert_eq!(words(&format!("{}1", letter.to_ascii_lowercase())), [(letter, Some(1.0))]);
    }
    // E, U, V, W are not in the table; printing machines use them as axes (open community dialect).
    assert_eq!(words("G1 U1 V2 W3 E4").len(), 5);
}

#[test]
fn comments_end_at_the_first_closing_parenthesis() {
    // Section 3.3.4: they do not nest.
    assert_eq!(comments("G1 (a(b) X1"), ["a(b"]);
    assert_eq!(words("G1 (a(b) X1"), [('G', Some(1.0)), ('X', Some(1.0))]);
    assert_eq!(block(b"G1 (a(b)c) X1").kind, BlockKind::Bad);
    assert_eq!(comments("(MSG,turn the part)"), ["MSG,turn the part"]);
}

#[test]
fn a_semicolon_comments_out_the_rest_of_the_line() {
    // Not in NISTIR 6556; open community dialect, rule from memory: parentheses inside are plain text.
    assert_eq!(comments("G1 X1 ; a (b) Y2"), [" a (b) Y2"]);
    assert_eq!(words("G1 X1;Y2").len(), 2);
    assert_eq!(comments("(a;b) X1 ;c"), ["a;b", "c"]);
}

#[test]
fn words_may_stand_in_any_order() {
    // Section 3.3.6.
    for text in ["G1 X1 Y2 F300", "F300 Y2 X1 G1", "Y2 G1 F300 X1"] {
        let read = block(text.as_bytes());
        assert_eq!(read.command(), Some(Command::new(b'G', 1)));
        assert_eq!([read.value(b'X'), read.value(b'Y'), read.value(b'F')], [Some(1.0), Some(2.0), Some(300.0)]);
    }
}

#[test]
fn axis_words_alone_are_a_line() {
    // Section 3.3.7: motion is modal.
    assert_eq!(words("X1.5 Y2"), [('X', Some(1.5)), ('Y', Some(2.0))]);
}

#[test]
fn a_percent_sign_alone_wraps_the_file() {
    // Section 3.1.
    for text in ["%", " %\t", "% ; begins"] {
        let read = block(text.as_bytes());
        assert!(read.percent && read.kind == BlockKind::Empty, "{text}");
    }
    assert_eq!(block(b"% G1 X1").kind, BlockKind::Bad);
    assert!(!block(b"G1 X1").percent);
}

#[test]
fn checksums_are_the_exclusive_or_of_the_bytes_before_the_star() {
    // Open community dialect: a question page and a forum answer, recomputed.
    for (text, sum) in [("N0 M106*36", 36), ("N1 G28*18", 18), ("N2 M107*39", 39), ("N10 G92 X0 Y0 Z0 A0 B0*107", 107)]
    {
        let read = block(text.as_bytes());
        assert_eq!((read.checksum, &read.problem), (Some(sum), &None), "{text}");
    }
    let wrong = block(b"N1 G28*19");
    assert_eq!(wrong.kind, BlockKind::Words);
    assert_eq!(wrong.problem.map(|p| p.code), Some("checksum"));
}
