//! What printers accept but the published standard does not.
//!
//! Source: NISTIR 6556, 17 August 2000; the section is named at each check.

use beadwise::gcode::strict::{Dialect, check};
use beadwise::gcode::{Block, BlockKind, lines};

/// Messages about one line.
fn messages(text: &str, dialect: Dialect) -> Vec<String> {
    let mut block = Block::default();
    let line = lines(text.as_bytes()).next().expect("a line");
    block.read(&line);
    check(&line, &block, dialect).into_iter().map(|d| d.message).collect()
}

/// Whether both dialects object to a line, which the reader nevertheless reads.
fn both_object(text: &str) -> bool {
    let mut block = Block::default();
    block.read(&lines(text.as_bytes()).next().expect("a line"));
    block.kind == BlockKind::Words
        && [Dialect::Printing, Dialect::Published].iter().all(|&d| messages(text, d).len() == 1)
}

#[test]
fn ordinary_lines_pass() {
    for text in
        ["N5 G1 X1 Y2 F300 (outer wall)", "g0x +0. 12 34y 7", "%", "/ G17 G2 X10 Y15 R20 Z5", " ", "G90 G21 G1 X1"]
    {
        assert_eq!(messages(text, Dialect::Published), [""; 0], "{text}");
    }
    assert_eq!(messages("N123456 G1 X1 E2 ; fill*99", Dialect::Printing), [""; 0]);
}

#[test]
fn letters_stand_once() {
    // Section 3.3.5.
    assert!(both_object("G1 X1 X2"));
    assert_eq!(messages("G1 X1 X2", Dialect::Printing), ["X stands twice on one line"]);
}

#[test]
fn two_codes_of_one_modal_group_clash() {
    // Section 3.3.5 and table 4 of section 3.4.
    for text in ["G0 G1 X1", "G90 G91 X1", "G20 G21", "G17 G18", "G54 G59.3", "G93 G94", "M0 M1"] {
        assert!(both_object(text), "{text}");
    }
    for text in ["G90 G1 X1", "G21 G90 G94 G17 G1 X1", "M6 M3 M8"] {
        assert_eq!(messages(text, Dialect::Published), [""; 0], "{text}");
    }
}

#[test]
fn at_most_four_m_words_stand_on_a_line() {
    // Section 3.3.5.
    assert_eq!(messages("M6 M3 M8 M7", Dialect::Published), [""; 0]);
    assert_eq!(messages("M6 M3 M8 M7 M50", Dialect::Published), ["more than four M words stand on one line"]);
}

#[test]
fn comments_close_and_do_not_nest() {
    // Section 3.3.4.
    assert!(both_object("G1 X1 (a(b)"));
    assert!(both_object("G1 X1 (never closed"));
    assert_eq!(messages("(a) G1 X1 (b)", Dialect::Published), [""; 0]);
}

#[test]
fn codes_are_whole() {
    // Section 3.3.2.1: G1.00005 is G1, G1.0002 is an error.
    assert_eq!(messages("G1.00005 X1", Dialect::Published), [""; 0]);
    assert!(both_object("G1.0002 X1"));
}

#[test]
fn axis_codes_need_an_axis() {
    // Sections 3.5.1, 3.5.2, 3.5.18; printers take `G1 F3000` as a change of feed.
    for text in ["G0", "G1 F3000", "G92"] {
        assert_eq!(messages(text, Dialect::Published).len(), 1, "{text}");
        assert_eq!(messages(text, Dialect::Printing), [""; 0], "{text}");
    }
    assert_eq!(messages("G4 P-1", Dialect::Published), ["a dwell cannot be negative"]); // section 3.5.4
}

#[test]
fn the_dialects_own_ways_are_named() {
    // Section 3.3 (length), 3.3.1 (five digits), 3.3.2 table 3 (letters, numbers), 3.3.4 (comments).
    let long = format!("G1 X1 ({})", "a".repeat(250));
    let six_digits = "N100000 G1 X1";
    for text in [long.as_str(), six_digits, "G1 X1 E2", "G28 X", "G1 X1 ; fill", "N1 G28 X0*98"] {
        let objections = messages(text, Dialect::Published);
        assert!(!objections.is_empty(), "{text}");
    }
    assert_eq!(messages("N000009 G28 X0", Dialect::Published), ["a line number has more than five digits"]);
}
