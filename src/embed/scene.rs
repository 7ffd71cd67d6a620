//! What the machine knows and the file's habits at the place where a stop goes.

use super::frame::CommentStyle;
use super::layers::{Extent, LayerPlaces};
use crate::gcode::Block;
use crate::gcode::BlockKind;
use crate::gcode::Command;
use crate::gcode::Line;
use crate::gcode::lines;
use crate::motion::Modal;
use crate::motion::Motion;
use crate::motion::State;

/// What the machine knows and the file's habits after one of its lines.
#[derive(Debug, Clone)]
pub(super) struct Scene {
    /// What the machine remembers.
    pub(super) state: State,
    /// The highest thing printed so far, mm.
    pub(super) highest_mm: f64,
    /// What is printed so far reaches this far.
    pub(super) extent: Option<Extent>,
    /// The file lets the machine pull filament back (G10, G11).
    pub(super) machine_retracts: bool,
    /// How it writes comments.
    pub(super) comments: CommentStyle,
    /// The next move names no motion of its own and repeats the one in force.
    pub(super) next_repeats: bool,
}

impl Scene {
    /// After line `at` of `bytes`, run on `machine`, which has read nothing yet.
    pub(super) fn after_line(bytes: &[u8], at: u64, machine: &Motion, layers: &LayerPlaces) -> Self {
        let mut motion = machine.clone();
        let mut habits = Habits::default();
        let mut block = Block::default();
        let mut settled = Vec::new();
        let mut next_repeats = false;
        for line in lines(bytes) {
            block.read(&line);
            if line.number <= at {
                habits.note(&line, &block);
                motion.feed(&line, &block, &mut settled);
                settled.clear();
            } else if let Some(repeats) = repeats_motion(&block) {
                next_repeats = repeats;
                break;
            }
        }
        let (highest_mm, extent) = layers.printed_until(at);
        Self {
            state: motion.state().clone(),
            highest_mm,
            extent,
            machine_retracts: habits.machine_retracts,
            comments: habits.comments(),
            next_repeats,
        }
    }

    /// The word that brings back the motion in force, where the next move relies on it; else a plain one.
    pub(super) fn modal_word(&self) -> &'static str {
        match self.state.modal {
            Modal::Rapid if self.next_repeats => "G0",
            Modal::Clockwise if self.next_repeats => "G2",
            Modal::Anticlockwise if self.next_repeats => "G3",
            _ => "G1",
        }
    }
}

/// How the file has been written so far.
#[derive(Default)]
struct Habits {
    machine_retracts: bool,
    semicolons: u64,
    parentheses: u64,
}

impl Habits {
    fn note(&mut self, line: &Line<'_>, block: &Block) {
        for comment in &block.comments {
            match (comment.start as usize).checked_sub(1).and_then(|i| line.bytes.get(i)) {
                Some(b'(') => self.parentheses = self.parentheses.saturating_add(1),
                _ => self.semicolons = self.semicolons.saturating_add(1),
            }
        }
        let by_table = block.has(b'L') || block.has(b'P');
        self.machine_retracts |= !by_table && block.commands().any(|code| code == Command::new(b'G', 10));
    }

    fn comments(&self) -> CommentStyle {
        let only_parentheses = self.parentheses > 0 && self.semicolons == 0;
        if only_parentheses { CommentStyle::Parentheses } else { CommentStyle::Semicolon }
    }
}

/// Whether a line that moves repeats the motion in force; `None` for a line that does not move.
fn repeats_motion(block: &Block) -> Option<bool> {
    if block.kind != BlockKind::Words {
        return None;
    }
    let mut others = false;
    for code in block.commands() {
        if code.letter == b'G' && code.number <= 3 && code.tenth == 0 {
            return Some(false);
        }
        // Distance, units and planes leave axis words to motion; other codes take them.
        others |= !(code.letter == b'G' && matches!(code.number, 17..=21 | 90 | 91 | 94));
    }
    // A whole turn of an arc may name its centre alone.
    (!others && b"XYZEIJK".iter().any(|&axis| block.has(axis))).then_some(true)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::measure::Setup;
    use crate::profile::Machine;

    fn repeats(text: &str) -> Option<bool> {
        let mut block = Block::default();
        block.read(&lines(text.as_bytes()).next().unwrap());
        repeats_motion(&block)
    }

    #[test]
    fn lines_with_only_axis_words_repeat_the_motion() {
        assert_eq!(repeats("X1 Y2"), Some(true));
        assert_eq!(repeats("G90 X1"), Some(true));
        assert_eq!(repeats("G1 X1"), Some(false));
        assert_eq!(repeats("G92 E0"), None);
        assert_eq!(repeats("M203 X500"), None);
        assert_eq!(repeats("; X1"), None);
        assert_eq!(repeats("F3000"), None);
        assert_eq!(repeats("I-5 J0"), Some(true));
        // Two codes that take the axis words do not cancel.
        assert_eq!(repeats("M203 M201 X500"), None);
    }

    fn after(at: u64, text: &str) -> Scene {
        let machine = Setup::of(Machine::load("open-small").unwrap()).motion();
        Scene::after_line(text.as_bytes(), at, &machine, &LayerPlaces { all: Vec::new() })
    }

    #[test]
    fn the_motion_in_force_comes_back_only_where_the_next_move_relies_on_it() {
        for (code, centre) in [("G0", ""), ("G1", ""), ("G2", " I5 J5"), ("G3", " I5 J5")] {
            let file = |next: &str| format!("G1 X0 Y0\n{code} X10 Y10{centre}\nM117 on\n{next}\n");
            assert_eq!(after(2, &file("X0 Y0 I-5 J-5")).modal_word(), code);
            assert_eq!(after(2, &file("G0 X0 Y0")).modal_word(), "G1");
        }
    }

    #[test]
    fn the_machine_pulls_back_where_the_file_has_let_it() {
        let lets = |text: &str| after(3, text).machine_retracts;
        assert!(lets("G1 E1\nG10\nG1 E2\n") && lets("G10\nG11\nG10\n"));
        assert!(!lets("G1 E1\nG11\nG1 E2\n"));
        // With L or P the same code writes a table of offsets or heats a tool (L2 P: NISTIR 6556, section 3.5.5, from memory).
        assert!(!lets("G10 L2 P1 X5\n") && !lets("G10 L2 X5\n") && !lets("G10 P0 S200\n"));
        assert!(!lets("\n\n\nG10\n"), "not yet");
    }

    #[test]
    fn comments_are_written_as_the_file_writes_them() {
        let style = |text: &str| after(2, text).comments;
        assert_eq!(style("(head)\nG1 X1 (on)\n; late\n"), CommentStyle::Parentheses);
        assert_eq!(style("; head\nG1 X1 ; on\n(late)\n"), CommentStyle::Semicolon);
        // Whoever reads one semicolon reads the next.
        assert_eq!(style("(head)\nG1 X1 ; on\n"), CommentStyle::Semicolon);
        assert_eq!(style("G1 X1\nG1 X2\n"), CommentStyle::Semicolon);
    }
}
