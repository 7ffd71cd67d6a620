//! What each command does to the state.

use super::Motion;
use super::state::{Modal, Plane};
use super::step::{EventKind, Step};
use super::words::Words;
use crate::profile::DwellUnit;

/// T numbers from here on are never tools.
pub(super) const MOST_TOOLS: u16 = 16;
/// Speeds below this are no speeds, mm/s.
const SLOWEST_MM_S: f64 = 1e-3;
/// Filament fed by a step rule when a file states x and y alone, and the profile has none (x, y, z, e), mm/s.
const USUAL_STEP_MM_S: [f64; 4] = [8.0, 8.0, 0.4, 5.0];

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
            920..=923 => self.set_position(code, words),
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
        if self.state.relative_extruder != relative {
            self.summary.extruder_mode_matters += 1;
        }
        if self.machine.g90_sets_extruder {
            self.state.relative_extruder = relative;
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
    fn tool_of(&self, words: &Words) -> Option<u16> {
        match words.value(b'T') {
            None => Some(self.state.tool),
            Some(number) if number >= 0.0 && number < f64::from(MOST_TOOLS.max(self.machine.tools)) => {
                Some(number as u16)
            }
            Some(_) => None,
        }
    }

    /// Obeys one M code that is not a stop.
    fn set(&mut self, line: u64, code: u32, words: &Words, out: &mut Vec<Step>) {
        match code {
            820 => self.state.relative_extruder = false,
            830 => self.state.relative_extruder = true,
            1010 | 1020 => self.state.flow_switch = Some(true),
            1030 => self.state.flow_switch = Some(false),
            1040 | 1090 => self.set_nozzle(line, code == 1090, words, out),
            1060 => {
                if words.value(b'P').unwrap_or(0.0) == 0.0 {
                    let share = (words.value(b'S').unwrap_or(255.0) / 255.0).clamp(0.0, 1.0);
                    self.set_fan(line, share, out);
                }
            }
            1070 => self.set_fan(line, 0.0, out),
            1400 | 1900 | 1410 | 1910 => self.set_heat(line, code, words, out),
            2000 => self.set_volumetric(line, words),
            2010 | 2030 | 2040 | 2050 => self.set_limits(code, words),
            2070 | 2080 => self.set_firmware_retract(code, words),
            2200 => {
                if let Some(percent) = words.value(b'S').filter(|percent| *percent >= 1.0) {
                    self.state.speed_override = percent / 100.0;
                }
            }
            2210 => {
                if let (Some(percent), Some(tool)) = (words.value(b'S').filter(|s| *s >= 0.0), self.tool_of(words)) {
                    self.state.tool_mut(tool).flow = percent / 100.0;
                }
            }
            _ if has_no_motion(code) => {}
            _ => *self.summary.unknown.entry(('M', code)).or_default() += 1,
        }
    }

    fn set_fan(&mut self, line: u64, share: f64, out: &mut Vec<Step>) {
        self.state.fan = share;
        self.pass_by(line, EventKind::Fan { share }, out);
    }

    fn set_nozzle(&mut self, line: u64, wait: bool, words: &Words, out: &mut Vec<Step>) {
        let (Some(celsius), Some(tool)) = (words.value(b'S').or_else(|| words.value(b'R')), self.tool_of(words)) else {
            return;
        };
        self.state.tool_mut(tool).nozzle_c = Some(celsius);
        let kind = EventKind::Nozzle { tool, celsius, wait };
        if wait {
            self.wait(line, kind, self.machine.waits.nozzle_s, out);
        } else {
            self.pass_by(line, kind, out);
        }
    }

    fn set_heat(&mut self, line: u64, code: u32, words: &Words, out: &mut Vec<Step>) {
        let Some(celsius) = words.value(b'S').or_else(|| words.value(b'R')) else { return };
        let wait = code >= 1900;
        let waits = self.machine.waits;
        let (kind, wait_s) = if code % 100 == 0 {
            self.state.bed_c = Some(celsius);
            (EventKind::Bed { celsius, wait }, waits.bed_s)
        } else {
            self.state.chamber_c = Some(celsius);
            (EventKind::Chamber { celsius, wait }, waits.chamber_s)
        };
        if wait { self.wait(line, kind, wait_s, out) } else { self.pass_by(line, kind, out) }
    }

    /// M200: D is the filament's diameter, and E counts mm³ from here on; D0 or S0 counts mm again.
    fn set_volumetric(&mut self, line: u64, words: &Words) {
        let Some(tool) = self.tool_of(words) else { return };
        let diameter = words.value(b'D');
        let profile_mm = self.state.tool_mut(tool).filament_mm;
        if let Some(diameter) = diameter.filter(|diameter| *diameter > 0.1) {
            if (diameter - profile_mm).abs() > 0.05 {
                let message = "the file states another filament diameter than the machine profile; the file's is taken";
                self.summary.warn_once(line, "filament-diameter", message, "check the filament in use");
            }
            self.state.tool_mut(tool).filament_mm = diameter;
        }
        let on = match (words.value(b'S'), diameter) {
            (Some(switch), _) => switch > 0.0,
            (None, Some(diameter)) => diameter > 0.1,
            (None, None) => self.state.tool_mut(tool).volumetric,
        };
        self.state.tool_mut(tool).volumetric = on;
    }

    /// M201, M203, M204 and M205: always mm, also after G20.
    fn set_limits(&mut self, code: u32, words: &Words) {
        let limits = &mut self.state.limits;
        let put = |target: &mut f64, value: Option<f64>| {
            if let Some(value) = value.filter(|value| *value >= SLOWEST_MM_S) {
                *target = value;
            }
        };
        let axes = words.axes();
        match code {
            2010 => limits.accel_mm_s2.iter_mut().zip(axes).for_each(|(limit, value)| put(limit, value)),
            2030 => limits.speed_mm_s.iter_mut().zip(axes).for_each(|(limit, value)| put(limit, value)),
            2040 => {
                let all = words.value(b'S');
                put(&mut limits.accel_print_mm_s2, words.value(b'P').or(all));
                put(&mut limits.accel_travel_mm_s2, words.value(b'T').or(all));
                put(&mut limits.accel_retract_mm_s2, words.value(b'R'));
            }
            _ => {
                if axes.iter().any(Option::is_some) {
                    let step = limits.corner_step_mm_s.get_or_insert(USUAL_STEP_MM_S);
                    for (step, value) in step.iter_mut().zip(axes) {
                        *step = value.filter(|value| *value >= 0.0).unwrap_or(*step);
                    }
                    limits.corner_deviation_mm = None;
                }
                if let Some(deviation) = words.value(b'J').filter(|deviation| *deviation >= 0.0) {
                    limits.corner_deviation_mm = Some(deviation);
                }
            }
        }
    }

    /// M207 (back) and M208 (forward): lengths in mm, speeds in mm/min.
    fn set_firmware_retract(&mut self, code: u32, words: &Words) {
        let own = &mut self.state.firmware_retract;
        let speed = words.value(b'F').map(|feed| feed / 60.0).filter(|speed| *speed >= SLOWEST_MM_S);
        let length = words.value(b'S').filter(|length| *length >= 0.0);
        if code == 2070 {
            own.length_mm = length.unwrap_or(own.length_mm);
            own.lift_mm = words.value(b'Z').filter(|lift| *lift >= 0.0).unwrap_or(own.lift_mm);
            if let Some(speed) = speed {
                own.speed_mm_s = speed;
                own.return_mm_s = speed;
            }
        } else {
            own.extra_mm = words.value(b'S').unwrap_or(own.extra_mm);
            own.return_mm_s = speed.unwrap_or(own.return_mm_s);
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
    fn set_position(&mut self, code: u32, words: &Words) {
        let state = &mut self.state;
        if code != 920 {
            // G92.1 and G92.2 take the offsets away; G92.3 brings back ones that no printing file stores.
            if code != 923 {
                state.offset_mm = [0.0; 3];
            }
            return;
        }
        let all = words.is_alone();
        for (axis, letter) in [b'X', b'Y', b'Z'].into_iter().enumerate() {
            if all || words.has(letter) {
                let value = words.value(letter).unwrap_or(0.0) * state.unit_mm;
                if state.known[axis] {
                    state.offset_mm[axis] = state.position_mm[axis] - value;
                } else {
                    // Nothing tied this axis to the machine before: this is its place.
                    state.position_mm[axis] = value + state.offset_mm[axis];
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

/// M codes that are known and neither move nor feed nor heat: spindle, coolant, messages, reports, motors.
pub(super) fn has_no_motion(code: u32) -> bool {
    matches!(code, 30..=90 | 170 | 180 | 310 | 480 | 490 | 730 | 840 | 1050 | 1100 | 1140 | 1150 | 1170 | 1180 | 4000)
}
