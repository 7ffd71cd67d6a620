//! The machine's state: commands to moves with path, feed, flow, tool and temperature, and the time of each.
//!
//! ```text
//! block ──> interpreter ──> moves (no time yet) ──> look-ahead planner ──> steps in order, each with its seconds
//! ```
//!
//! Moves are streamed, never stored: the planner holds back only what it cannot time yet. Arcs are cut
//! into chords here, so every [`Move`] is straight; its `length_mm` is the length along the true path.
//! What the machine does without moving (dwell, heating, tool change, stops) is an [`Event`].
//!
//! ```
//! use beadwise::motion::{Step, steps};
//! use beadwise::profile::{Annotations, Machine};
//!
//! let machine: Machine = toml::from_str("name = 'bench'\n[limits]\naccel_travel_mm_s2 = 1000").unwrap();
//! let seconds: f64 = steps(b"G1 X100 F3000", &machine, &Annotations::none())
//!     .map(|step| match step {
//!         Step::Move(step) => step.time_s,
//!         Step::Event(event) => event.time_s,
//!     })
//!     .sum();
//! // 100 mm at 50 mm/s, from and to rest at 1000 mm/s²: d/v + v/a.
//! assert!((seconds - 2.05).abs() < 1e-9);
//! ```

mod arc;
mod command;
mod corner;
mod filament;
mod moves;
mod plan;
mod reach;
mod settings;
mod state;
mod step;
mod stream;
mod summary;
mod trapezoid;
mod words;

pub use filament::Filament;
pub use state::{FirmwareRetract, Modal, Plane, State, ToolState};
pub use step::{Event, EventKind, Move, MoveKind, Step};
pub use stream::{Steps, steps};
pub use summary::{Command, Summary};

use crate::gcode::Block;
use crate::gcode::BlockKind;
use crate::gcode::Line;
use crate::profile::Annotations;
use crate::profile::Machine;
use crate::profile::Remark;
use crate::profile::Role;
use plan::Planner;
use words::{Words, WordsError};

/// The machine: takes the blocks of a file in order and hands out what it does.
#[derive(Debug, Clone)]
pub struct Motion {
    machine: Machine,
    annotations: Annotations,
    stop_codes: Vec<u32>,
    state: State,
    plan: Planner,
    summary: Summary,
    label: Option<Role>,
    e_word_met: bool,
    /// What the extruder's mode would be in the dialect that the machine profile does not choose.
    other_relative_extruder: bool,
    percent_lines: u32,
}

impl Motion {
    /// A machine at rest that has read nothing yet.
    #[must_use]
    pub fn new(machine: &Machine, annotations: &Annotations) -> Self {
        let summary =
            Summary { dwell_unit: machine.dwell_p, g90_sets_extruder: machine.g90_sets_extruder, ..Summary::default() };
        let stop_codes = machine
            .stop_codes
            .iter()
            .filter_map(|code| code.strip_prefix(['M', 'm'])?.parse::<f64>().ok())
            .map(|number| (number * 10.0).round() as u32)
            .collect();
        Self {
            state: State::new(machine),
            machine: machine.clone(),
            annotations: annotations.clone(),
            stop_codes,
            plan: Planner::new(),
            summary,
            label: None,
            e_word_met: false,
            other_relative_extruder: false,
            percent_lines: 0,
        }
    }

    /// The same machine with a filament of this diameter in `tool`.
    #[must_use]
    pub fn with_filament_mm(mut self, tool: u16, filament_mm: f64) -> Self {
        if filament_mm > 0.0 && tool < command::MOST_TOOLS {
            self.state.tool_mut(tool).filament_mm = filament_mm;
        }
        self
    }

    /// What the machine remembers after the last block fed; the planner may still hold moves before it.
    #[must_use]
    pub fn state(&self) -> &State {
        &self.state
    }

    /// What was met so far.
    #[must_use]
    pub fn summary(&self) -> &Summary {
        &self.summary
    }

    /// What each tool was fed so far, by tool number.
    pub fn filaments(&self) -> impl Iterator<Item = Filament> {
        self.state.tools.iter().map(|tool| tool.filament)
    }

    /// The role that the last comment about one named.
    #[must_use]
    pub fn label(&self) -> Option<Role> {
        self.label
    }

    /// Obeys one line, whose words are `block`; appends to `out` what is settled by now.
    pub fn feed(&mut self, line: &Line<'_>, block: &Block, out: &mut Vec<Step>) {
        self.summary.lines += 1;
        if self.state.ended {
            if block.kind != BlockKind::Empty {
                self.summary.lines_after_end += 1;
            }
            return;
        }
        if !block.comments.is_empty() {
            self.hear(line, block, out);
        }
        if let Some(problem) = &block.problem {
            self.summary.diagnose(problem.clone());
        }
        if block.block_delete {
            self.summary.block_delete_lines += 1;
        }
        match block.kind {
            BlockKind::Empty if block.percent => self.percent(line, out),
            BlockKind::Empty => {}
            BlockKind::Bad => self.summary.bad_lines += 1,
            BlockKind::Extended => self.extended(line, out),
            BlockKind::Words => {
                let mut words = Words::new();
                match words.read(block) {
                    Ok(()) => self.obey(line.number, &words, block.text.is_some(), out),
                    Err(error) => self.refuse(line.number, &words, error),
                }
            }
        }
    }

    /// Nothing follows: hands out what is still held.
    pub fn finish(&mut self, out: &mut Vec<Step>) {
        self.plan.stop(out);
    }

    /// What the comments of a line say.
    fn hear(&mut self, line: &Line<'_>, block: &Block, out: &mut Vec<Step>) {
        for comment in &block.comments {
            let Some(text) = line.bytes.get(comment.start as usize..comment.end as usize) else { continue };
            match self.annotations.remark(text) {
                Some(Remark::Role(role)) => self.label = (role != Role::Unknown).then_some(role),
                Some(Remark::Layer(index)) => self.pass_by(line.number, EventKind::LayerMark { index }, out),
                None => {}
            }
        }
    }

    /// Lines with nothing but `%` may wrap the program: what follows the second is no part of it
    /// (NISTIR 6556, 3.1).
    fn percent(&mut self, line: &Line<'_>, out: &mut Vec<Step>) {
        self.percent_lines += 1;
        if self.percent_lines == 2 {
            self.end(line.number, out);
        }
    }

    /// A longer name: a stop if the machine profile says so, else left alone.
    fn extended(&mut self, line: &Line<'_>, out: &mut Vec<Step>) {
        let body = line.body().trim_ascii_start();
        let name = body.split(|byte| byte.is_ascii_whitespace() || *byte == b';').next().unwrap_or_default();
        if self.machine.stop_codes.iter().any(|code| code.as_bytes().eq_ignore_ascii_case(name)) {
            self.stop(line.number, out);
        } else {
            self.summary.extended += 1;
        }
    }

    fn refuse(&mut self, line: u64, words: &Words, error: WordsError) {
        // Other commands than moves may repeat letters in dialects nobody here knows.
        if error == WordsError::Repeated && words.g_codes().is_empty() && !words.m_codes().is_empty() {
            return self.unknown(words);
        }
        let message = match error {
            WordsError::Code => "a G or M number here is missing, negative or not whole",
            WordsError::TooLarge => "a number here is larger than any printer's",
            WordsError::Repeated => "a letter stands twice on this line",
            WordsError::TooMany => "there are too many commands on this line",
        };
        self.summary.leave_out(line, message, "mend the line; it was left out");
    }

    fn unknown(&mut self, words: &Words) {
        for &code in words.m_codes().iter().filter(|&&code| !settings::has_no_motion(code)) {
            *self.summary.unknown.entry(('M', code)).or_default() += 1;
        }
    }

    /// Something that takes no time and does not stop the machine.
    fn pass_by(&mut self, line: u64, kind: EventKind, out: &mut Vec<Step>) {
        self.plan.push_passing(Step::Event(Event { line, time_s: 0.0, kind }), out);
    }

    /// Something for which the machine stands still.
    fn stand(&mut self, line: u64, kind: EventKind, time_s: f64, out: &mut Vec<Step>) {
        self.plan.stop(out);
        out.push(Step::Event(Event { line, time_s, kind }));
    }

    fn wait(&mut self, line: u64, kind: EventKind, wait_s: f64, out: &mut Vec<Step>) {
        let wait_s = if wait_s > 0.0 && wait_s.is_finite() { wait_s } else { 0.0 };
        self.summary.waits_s += wait_s;
        self.stand(line, kind, wait_s, out);
    }

    fn stop(&mut self, line: u64, out: &mut Vec<Step>) {
        self.wait(line, EventKind::Stop, self.machine.waits.person_s, out);
    }

    fn end(&mut self, line: u64, out: &mut Vec<Step>) {
        self.state.ended = true;
        self.stand(line, EventKind::End, 0.0, out);
    }
}
