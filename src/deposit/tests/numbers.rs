//! Which layers are bead for bead alike.

use super::super::pen::Pen;
use super::check;

/// Layers of a block each, drawn by `draw`; the numbers they get.
fn numbers(count: usize, draw: impl Fn(&mut Pen, usize)) -> Vec<usize> {
    let mut pen = Pen::new();
    for k in 0..count {
        pen.z = 0.2 * (k + 1) as f64;
        draw(&mut pen, k);
    }
    let (layers, _) = check(&pen);
    layers.iter().map(|layer| layer.number.expect("layers of a part are numbered")).collect()
}

/// Kinds of layers by the layers that have them, in the order they come.
fn kinds(numbers: &[usize]) -> String {
    let mut seen: Vec<usize> = Vec::new();
    let letter = |number: &usize| {
        let at = seen.iter().position(|n| n == number).unwrap_or_else(|| {
            seen.push(*number);
            seen.len() - 1
        });
        char::from(b'a' + at as u8)
    };
    numbers.iter().map(letter).collect()
}

#[test]
fn layers_in_turn_are_known_again_and_the_first_is_like_none() {
    let in_turn = numbers(9, |pen, k| pen.block(50.0, 60.0, if k % 2 == 0 { 0.41 } else { 0.82 }));
    assert_eq!(kinds(&in_turn), "abcbcbcbc");
    let of_three = numbers(10, |pen, k| pen.block(50.0, 60.0, 0.41 + 0.1 * (k % 3) as f64));
    assert_eq!(kinds(&of_three), "abcdbcdbcd");
}

#[test]
fn what_is_moved_or_laid_thicker_or_by_another_tool_is_another_layer() {
    let moved = numbers(6, |pen, k| pen.block(50.0 + if k == 3 { 0.01 } else { 0.0 }, 60.0, 0.41));
    assert_eq!(kinds(&moved), "abbcbb");
    let starved = numbers(6, |pen, k| {
        pen.width = if k == 3 { 0.392 } else { 0.4 };
        pen.block(50.0, 60.0, 0.41);
    });
    assert_eq!(kinds(&starved), "abbcbb");
    let tools = numbers(6, |pen, k| {
        pen.tool = u16::from(k == 3);
        pen.block(50.0, 60.0, 0.41);
    });
    assert_eq!(kinds(&tools), "abbcbb");
}

#[test]
fn rounding_of_the_plastic_makes_no_other_layer() {
    let rounded = numbers(7, |pen, k| {
        pen.width = 0.4 + if k % 2 == 0 { 2e-4 } else { -2e-4 };
        pen.block(50.0, 60.0, 0.41);
    });
    assert_eq!(kinds(&rounded), "abbbbbb");
}

/// As many as are remembered, and one more: the one met longest ago is forgotten.
#[test]
fn only_so_many_are_remembered() {
    let in_turn = |kinds: usize| {
        let numbers = numbers(2 * kinds + 1, |pen, k| pen.block(50.0 + (k % kinds) as f64, 60.0, 0.41));
        numbers[1] == numbers[kinds + 1]
    };
    assert!(in_turn(64), "so many in turn come again");
    assert!(!in_turn(65), "one more, and none does");
}
