//! A tower on which tools are cleaned, and real bodies that look much like one.

use super::super::pen::Pen;
use super::{assert_near, check, part, print};
use crate::motion::Step;
use crate::profile::Role;

/// A jaw of the first tool and a liner of the second against it.
fn jaw(pen: &mut Pen, k: usize) {
    pen.block(50.0, 60.0, if k <= 3 { 0.41 } else { 2.0 });
}

fn liner(pen: &mut Pen) {
    pen.sized_block(50.0, 72.41, 20.0, 5.0, 0.41, 100.0);
}

/// Lays with a tool, and gives back the plastic that took, mm³.
fn with_tool(pen: &mut Pen, tool: u16, lay: impl FnOnce(&mut Pen)) -> f64 {
    let before = pen.laid_mm3;
    pen.tool = tool;
    lay(pen);
    pen.laid_mm3 - before
}

/// Half a tower: a loop and open lines, at `y`.
fn half_tower(pen: &mut Pen, y: f64) {
    pen.rectangle(20.0, y, 30.0, y + 4.5, 100.0);
    pen.zigzag(20.4, y + 0.4, 29.6, y + 4.1, 1.2, 100.0);
}

fn purged_mm3(pen: &Pen) -> f64 {
    let (layers, _) = check(pen);
    let layers = part(&layers);
    let strands = layers.iter().flat_map(|l| l.strands.iter().filter(|s| s.role == Role::Purge).map(|s| (*l, s)));
    strands.flat_map(|(l, s)| l.strand_beads(s)).map(super::super::Bead::volume_mm3).sum()
}

#[test]
fn a_tower_that_both_tools_lay_in_every_layer_is_purge() {
    let of_tower = std::cell::Cell::new(0.0);
    let mut pen = print(12, |pen, k| {
        of_tower.set(of_tower.get() + with_tool(pen, 0, |pen| half_tower(pen, 60.0)));
        jaw(pen, k);
        of_tower.set(of_tower.get() + with_tool(pen, 1, |pen| half_tower(pen, 64.9)));
        liner(pen);
    });
    assert_near(purged_mm3(&pen), of_tower.get(), 1e-9);
    let tower = pen.layers().1.tower.unwrap();
    assert!(tower.sure);
    let [low, _, high, _] = tower.corners();
    assert_near(low.x, 20.0, 1e-9);
    assert_near(high.y, 69.4, 1e-9);
    // However it lies on the bed: 12, 33, 45 and 120 degrees from x.
    for degrees in [12.0, 21.0, 12.0, 75.0] {
        turn(&mut pen, degrees);
        assert_near(purged_mm3(&pen), of_tower.get(), 1e-9);
        let [a, b, c, d] = pen.layers().1.tower.unwrap().corners();
        assert_near(a.distance(b) * b.distance(c), 10.0 * 9.4, 1e-6);
        assert_near(a.distance(c), b.distance(d), 1e-9);
    }
}

/// Turns all that was drawn about the origin.
fn turn(pen: &mut Pen, degrees: f64) {
    let (s, c) = f64::to_radians(degrees).sin_cos();
    for step in &mut pen.steps {
        let Step::Move(step) = step else { continue };
        for [x, y, _] in [&mut step.from, &mut step.to] {
            (*x, *y) = (*x * c - *y * s, *x * s + *y * c);
        }
    }
}

#[test]
fn a_tower_that_one_tool_lays_and_then_the_other_is_purge() {
    let of_tower = std::cell::Cell::new(0.0);
    // A full block here: that the tools take turns says enough.
    let pen = print(12, |pen, k| {
        let tower = |pen: &mut Pen| pen.sized_block(20.0, 60.0, 9.0, 9.0, 0.41, 100.0);
        let [first, second] = if k % 2 == 0 { [0, 1] } else { [1, 0] };
        let lay = |pen: &mut Pen, tool| if tool == 0 { jaw(pen, k) } else { liner(pen) };
        with_tool(pen, first, |pen| lay(pen, first));
        of_tower.set(of_tower.get() + with_tool(pen, second, tower));
        lay(pen, second);
    });
    assert_near(purged_mm3(&pen), of_tower.get(), 1e-9);
}

#[test]
fn a_full_tower_of_lines_is_purge() {
    let of_tower = std::cell::Cell::new(0.0);
    let half = |pen: &mut Pen, y: f64| {
        pen.rectangle(20.0, y, 30.0, y + 4.5, 100.0);
        pen.zigzag(20.4, y + 0.4, 29.6, y + 4.1, 0.41, 100.0);
    };
    let pen = print(12, |pen, k| {
        of_tower.set(of_tower.get() + with_tool(pen, 0, |pen| half(pen, 60.0)));
        jaw(pen, k);
        of_tower.set(of_tower.get() + with_tool(pen, 1, |pen| half(pen, 64.9)));
        liner(pen);
    });
    assert_near(purged_mm3(&pen), of_tower.get(), 1e-9);
}

#[test]
fn a_second_body_of_one_tool_is_no_tower() {
    let pen = print(12, |pen, k| {
        with_tool(pen, 0, |pen| jaw(pen, k));
        with_tool(pen, 1, |pen| half_tower(pen, 60.0));
        liner(pen);
    });
    assert_near(purged_mm3(&pen), 0.0, 1e-9);
    let all_of_it = print(12, |pen, k| {
        with_tool(pen, 0, |pen| jaw(pen, k));
        with_tool(pen, 1, |pen| pen.sized_block(20.0, 60.0, 9.0, 9.0, 2.0, 100.0));
    });
    assert_near(purged_mm3(&all_of_it), 0.0, 1e-9);
    assert_eq!(pen.layers().1.tower, None);
}

#[test]
fn a_second_body_of_both_tools_laid_first_after_each_change_is_no_tower() {
    for floor in [2, 4] {
        let pen = print(16, |pen, k| {
            let pitch = if k <= floor { 0.41 } else { 1.6 };
            with_tool(pen, 0, |pen| pen.sized_block(20.0, 60.0, 10.0, 6.0, pitch, 100.0));
            jaw(pen, k);
            with_tool(pen, 1, |pen| pen.sized_block(20.0, 66.41, 10.0, 4.0, pitch, 100.0));
            liner(pen);
        });
        assert_near(purged_mm3(&pen), 0.0, 1e-9);
    }
    let solid = print(16, |pen, k| {
        with_tool(pen, 0, |pen| pen.sized_block(20.0, 60.0, 10.0, 6.0, 0.41, 100.0));
        jaw(pen, k);
        with_tool(pen, 1, |pen| pen.sized_block(20.0, 66.41, 10.0, 4.0, 0.41, 100.0));
        liner(pen);
    });
    assert_near(purged_mm3(&solid), 0.0, 1e-9);
    assert!(solid.layers().1.tower.is_some_and(|tower| !tower.sure), "it may be one");
}

#[test]
fn what_two_tools_lay_is_no_tower_for_that_alone() {
    // A jaw with its liner, and plates of two materials in turn, alone or two of them.
    let lined = print(12, |pen, k| {
        with_tool(pen, 0, |pen| jaw(pen, k));
        with_tool(pen, 1, liner);
    });
    let in_turn = print(12, |pen, k| {
        with_tool(pen, (k % 2) as u16, |pen| pen.sized_block(20.0, 60.0, 30.0, 20.0, 0.41, 100.0));
    });
    let two_in_turn = print(12, |pen, k| {
        pen.tool = (k % 2) as u16;
        pen.sized_block(20.0, 60.0, 9.0, 9.0, 0.41, 100.0);
        pen.sized_block(50.0, 60.0, 30.0, 20.0, 0.41, 100.0);
    });
    for pen in [lined, in_turn, two_in_turn] {
        assert_eq!(check(&pen).1.tower, None);
        assert_near(purged_mm3(&pen), 0.0, 1e-9);
    }
}

#[test]
fn a_twin_without_a_floor_is_no_tower() {
    let pen = print(16, |pen, _| {
        let halves = |pen: &mut Pen, x: f64, y: f64| pen.sized_block(x, y, 16.0, 6.0, 1.5, 100.0);
        with_tool(pen, 0, |pen| halves(pen, 20.0, 60.0));
        halves(pen, 50.0, 60.0);
        with_tool(pen, 1, |pen| halves(pen, 20.0, 66.41));
        halves(pen, 50.0, 66.41);
    });
    assert_near(purged_mm3(&pen), 0.0, 1e-9);
}

#[test]
fn a_piece_laid_first_but_for_one_change_is_no_tower() {
    let pen = print(12, |pen, k| {
        with_tool(pen, 0, |pen| half_tower(pen, 60.0));
        jaw(pen, k);
        with_tool(pen, 1, |pen| if k == 7 { liner(pen) } else { half_tower(pen, 64.9) });
        if k == 7 { half_tower(pen, 64.9) } else { liner(pen) }
    });
    assert_near(purged_mm3(&pen), 0.0, 1e-9);
}
