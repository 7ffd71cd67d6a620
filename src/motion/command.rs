//! What each command does to the state.

use super::Motion;
use super::reach::{BEYOND_REMEDY, beyond_reach};
use super::state::{Modal, Plane};
use super::step::{EventKind, Step};
use super::words::Words;
use crate::profile::DwellUnit;

/// T numbers from here on are never tools.
pub(super) const MOST_TOOLS: u16 = 16;
/// Speeds below this are no speeds, mm/s.
pub(super) const SLOWEST_MM_S: f64 = 1e-3;

/// What a command does with the words beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Claim {
    /// Nothing: axis, F and T words on the line belong to motion.
    Nothing,
    /// Every word on the line is its own.
    Words,
}

/// The M codes that leave the words beside them to motion; all others take them.
fn claim(code: u32) -> Claim {
    let lone =
        [0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 300, 480, 490, 600, 820, 830, 1010, 1020, 1030, 1060, 1070, 4000];
    if lone.contains(&code) { Claim::Nothing } else { Claim::Words }
}

/// Order in which the G codes of one line are obeyed (NISTIR 6556, table 8).
fn rank(code: u32) -> u8 {
    match code {
        40 => 0,
        170 | 180 | 190 => 1,
        200 | 210 => 2,
        900 | 910 | 901 | 911 => 3,
        530 => 4,
        0 | 10 | 20 | 30 => 6,
        _ => 5,
    }
}

impl Motion {
    /// Obeys the words of one line, in the order of NISTIR 6556, table 8: speed, tool, settings, dwell, modes,
    /// positions, motion, stop.
    pub(super) fn obey(&mut self, line: u64, words: &Words, text: bool, out: &mut Vec<Step>) {
        let motions = words.g_codes().iter().filter(|&&code| rank(code) == 6).count();
        if motions > 1 {
            let message = "there are two motion commands on this line";
            return self.summary.leave_out(line, message, "put them on lines of their own; it was left out");
        }
        let own = words.m_codes().iter().all(|&code| claim(code) == Claim::Nothing) || motions == 1;
        let taken = words.g_codes().iter().any(|&code| takes_axes(code));
        if own
            && !taken
            && let Some(feed) = words.value(b'F')
        {
            self.set_feed(line, feed);
        }
        if own && words.has(b'T') || words.m_codes() == [60] {
            self.select_tool(line, words.value(b'T'), out);
        }
        for &code in words.m_codes() {
            if !self.is_stop(code) {
                self.set(line, code, words, out);
            }
        }
        let moved = self.obey_g(line, words, out);
        if own && !taken && !moved && words.has_any(super::words::AXES) {
            self.travel(line, words, false, out);
        }
        self.obey_stops(line, words, text, out);
    }

    /// Obeys the G codes in their order; whether one of them was a motion.
    fn obey_g(&mut self, line: u64, words: &Words, out: &mut Vec<Step>) -> bool {
        let mut codes = [0; 8];
        let count = words.g_codes().len().min(codes.len());
        codes[..count].copy_from_slice(&words.g_codes()[..count]);
        codes[..count].sort_by_key(|&code| rank(code));
        let machine_frame = codes[..count].contains(&530);
        let mut moved = false;
        for &code in &codes[..count] {
            moved |= self.obey_one_g(line, code, words, machine_frame, out);
        }
        moved
    }

    fn obey_one_g(&mut self, line: u64, code: u32, words: &Words, machine_frame: bool, out: &mut Vec<Step>) -> bool {
        let modal = match code {
            0 => Modal::Rapid,
            10 => Modal::Straight,
            20 => Modal::Clockwise,
            30 => Modal::Anticlockwise,
            _ => {
                self.set_mode(line, code, words, out);
                return false;
            }
        };
        self.state.modal = modal;
        self.travel(line, words, machine_frame, out);
        true
    }

    fn set_mode(&mut self, line: u64, code: u32, words: &Words, out: &mut Vec<Step>) {
        match code {
            40 => self.dwell(line, words, out),
            100 if words.has(b'L') || words.has(b'P') => self.set_by_table(line, words, out),
            100 => self.hold_back(line, out),
            110 => self.let_forward(line, out),
            170 => self.state.plane = Plane::Xy,
            180 => self.state.plane = Plane::Zx,
            190 => self.state.plane = Plane::Yz,
            200 => self.state.unit_mm = 25.4,
            210 => self.state.unit_mm = 1.0,
            280 => self.home(line, words, out),
            900 | 910 => self.set_distance_mode(code == 910),
            901 => self.state.absolute_centres = true,
            911 => self.state.absolute_centres = false,
            920..=923 => self.set_position(line, code, words),
            530 | 400 | 490 | 540 | 610 | 640 | 800 | 940 => {}
            930 => {
                let remedy = "write speeds in units per minute (G94)";
                self.summary.warn(line, "inverse-time", "speeds by inverse time (G93) are not read", remedy);
            }
            _ => *self.summary.unknown.entry(('G', code)).or_default() += 1,
        }
    }

    fn set_distance_mode(&mut self, relative: bool) {
        self.state.relative = relative;
        if self.machine.g90_sets_extruder {
            self.state.relative_extruder = relative;
        } else {
            self.other_relative_extruder = relative;
        }
    }

    fn set_feed(&mut self, line: u64, feed: f64) {
        let feed_mm_s = feed * self.state.unit_mm / 60.0;
        if feed_mm_s >= SLOWEST_MM_S {
            self.state.feed_mm_s = Some(feed_mm_s);
        } else {
            self.summary.warn(line, "bad-feed", "a speed of nothing is no speed", "give F in mm/min; it was left out");
        }
    }

    /// T: a tool, or a call of the machine that looks like one.
    fn select_tool(&mut self, line: u64, number: Option<f64>, out: &mut Vec<Step>) {
        let Some(number) = number else {
            self.summary.machine_calls += 1;
            return;
        };
        let limit = MOST_TOOLS.max(self.machine.tools);
        if !(number >= 0.0 && number < f64::from(limit) && number.fract() == 0.0) {
            self.summary.machine_calls += 1;
            return;
        }
        let tool = number as u16;
        if tool >= self.machine.tools {
            self.summary.tools_beyond_machine += 1;
            let message = "this tool is beyond those of the machine profile; what it feeds is counted for it";
            self.summary.warn_once(line, "tool-beyond-machine", message, "set `tools` in the machine profile");
        }
        if tool != self.state.tool {
            self.state.tool = tool;
            self.state.tool_mut(tool);
            self.wait(line, EventKind::Tool { to: tool }, self.machine.waits.tool_change_s, out);
        }
    }

    /// The tool that a T word beside an M code means, or the one in use.
    pub(super) fn tool_of(&self, words: &Words) -> Option<u16> {
        match words.value(b'T') {
            None => Some(self.state.tool),
            Some(number) if number >= 0.0 && number < f64::from(MOST_TOOLS.max(self.machine.tools)) => {
                Some(number as u16)
            }
            Some(_) => None,
        }
    }

    /// G10 with L or P is a table of offsets or of tools, not a retraction.
    fn set_by_table(&mut self, line: u64, words: &Words, out: &mut Vec<Step>) {
        let tool = words.value(b'P').filter(|p| *p >= 0.0 && *p < f64::from(MOST_TOOLS));
        if let (Some(tool), Some(celsius), false) = (tool, words.value(b'S'), words.has(b'L')) {
            let tool = tool as u16;
            self.state.tool_mut(tool).nozzle_c = Some(celsius);
            self.pass_by(line, EventKind::Nozzle { tool, celsius, wait: false }, out);
        } else {
            *self.summary.unknown.entry(('G', 100)).or_default() += 1;
        }
    }

    /// G4: S counts seconds; P counts what the machine profile says.
    fn dwell(&mut self, line: u64, words: &Words, out: &mut Vec<Step>) {
        let seconds = match (words.value(b'S'), words.value(b'P')) {
            (Some(seconds), _) => seconds,
            (None, Some(value)) => {
                self.summary.dwells_by_p += 1;
                match self.machine.dwell_p {
                    DwellUnit::Milliseconds => value / 1000.0,
                    DwellUnit::Seconds => value,
                }
            }
            (None, None) => 0.0,
        };
        if seconds >= 0.0 {
            self.summary.dwell_s += seconds;
            self.stand(line, EventKind::Dwell, seconds, out);
        } else {
            self.summary.leave_out(line, "a dwell cannot be negative", "give G4 a time; it was left out");
        }
    }

    /// G28: the named axes (all, if none is named) find their ends, which are 0 of the machine's frame.
    fn home(&mut self, line: u64, words: &Words, out: &mut Vec<Step>) {
        let letters = [b'X', b'Y', b'Z'];
        let all = !letters.iter().any(|&letter| words.has(letter));
        for (axis, letter) in letters.into_iter().enumerate() {
            if all || words.has(letter) {
                self.state.position_mm[axis] = 0.0;
                self.state.offset_mm[axis] = 0.0;
                self.state.known[axis] = true;
            }
        }
        self.wait(line, EventKind::Home, self.machine.waits.home_s, out);
    }

    /// G92 and its kin: where the nozzle is gets another name; nothing moves (NISTIR 6556, 3.5.18).
    fn set_position(&mut self, line: u64, code: u32, words: &Words) {
        let state = &mut self.state;
        if code != 920 {
            // G92.1 and G92.2 take the offsets away; G92.3 brings back ones that no printing file stores.
            if code != 923 {
                state.offset_mm = [0.0; 3];
            }
            return;
        }
        let [x, y, z, _] = words.axes().map(|value| value.unwrap_or(0.0) * state.unit_mm);
        let asked = [x, y, z];
        if let Some(place) = beyond_reach(asked) {
            return self.summary.leave_out(line, &format!("this line sets {place}"), BEYOND_REMEDY);
        }
        let all = words.is_alone();
        for (axis, letter) in [b'X', b'Y', b'Z'].into_iter().enumerate() {
            if all || words.has(letter) {
                if state.known[axis] {
                    state.offset_mm[axis] = state.position_mm[axis] - asked[axis];
                } else {
                    // Nothing tied this axis to the machine before: this is its place.
                    state.position_mm[axis] = asked[axis] + state.offset_mm[axis];
                    state.known[axis] = true;
                }
            }
        }
        if all || words.has(b'E') {
            state.extruder = words.value(b'E').unwrap_or(0.0) * state.unit_mm;
        }
    }

    fn is_stop(&self, code: u32) -> bool {
        matches!(code, 0 | 10 | 20 | 300 | 600) || self.stop_codes.contains(&code)
    }

    /// M0, M1, M60 and the machine's own stops wait for a person; M2 and M30 end the program, but an M30
    /// that carries text names a file and ends nothing.
    fn obey_stops(&mut self, line: u64, words: &Words, text: bool, out: &mut Vec<Step>) {
        for &code in words.m_codes() {
            match code {
                20 => self.end(line, out),
                300 if text || !words.is_alone() => *self.summary.unknown.entry(('M', code)).or_default() += 1,
                300 => self.end(line, out),
                _ if self.is_stop(code) => self.stop(line, out),
                _ => {}
            }
        }
    }
}

/// G codes whose axis words are not a motion's.
fn takes_axes(code: u32) -> bool {
    !matches!(
        code,
        0 | 10
            | 20
            | 30
            | 170
            | 180
            | 190
            | 200
            | 210
            | 400
            | 490
            | 530
            | 540
            | 610
            | 640
            | 900
            | 901
            | 910
            | 911
            | 930
            | 940
    )
}
