//! What M codes set: temperatures, fan, overrides, limits, the machine's own retraction.

use super::Motion;
use super::command::SLOWEST_MM_S;
use super::reach::THICKEST_FILAMENT_MM;
use super::step::{EventKind, Step};
use super::words::{AXES, Words};

/// Speed steps where a file or profile states only some (x, y, z, e), mm/s: common practice, no source.
const USUAL_STEP_MM_S: [f64; 4] = [8.0, 8.0, 0.4, 5.0];

/// Where heating starts from, °C: common practice, no source.
const ROOM_C: f64 = 22.0;

impl Motion {
    /// Obeys one M code that is not a stop.
    pub(super) fn set(&mut self, line: u64, code: u32, words: &Words, out: &mut Vec<Step>) {
        match code {
            820 | 830 => {
                self.state.relative_extruder = code == 830;
                self.other_relative_extruder = code == 830;
            }
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
        let state = self.state.tool_mut(tool);
        state.nozzle_c = Some(celsius);
        let share = heat(&mut state.reached_c, celsius, wait);
        let kind = EventKind::Nozzle { tool, celsius, wait };
        if wait {
            self.wait(line, kind, self.machine.waits.nozzle_s * share, out);
        } else {
            self.pass_by(line, kind, out);
        }
    }

    fn set_heat(&mut self, line: u64, code: u32, words: &Words, out: &mut Vec<Step>) {
        let Some(celsius) = words.value(b'S').or_else(|| words.value(b'R')) else { return };
        let wait = code >= 1900;
        let waits = self.machine.waits.clone();
        let (kind, wait_s) = if matches!(code, 1400 | 1900) {
            self.state.bed_c = Some(celsius);
            let share = heat(&mut self.state.bed_reached_c, celsius, wait);
            (EventKind::Bed { celsius, wait }, waits.bed_s * share)
        } else {
            self.state.chamber_c = Some(celsius);
            let share = heat(&mut self.state.chamber_reached_c, celsius, wait);
            (EventKind::Chamber { celsius, wait }, waits.chamber_s * share)
        };
        if wait { self.wait(line, kind, wait_s, out) } else { self.pass_by(line, kind, out) }
    }

    /// M200: D is the filament's diameter, and E counts mm³ from here on; D0 or S0 counts mm again.
    fn set_volumetric(&mut self, line: u64, words: &Words) {
        let Some(tool) = self.tool_of(words) else { return };
        let diameter = words.value(b'D');
        if diameter.is_some_and(|diameter| !(diameter <= THICKEST_FILAMENT_MM)) {
            return self.summary.leave_out(line, "no filament is that thick", "give D of M200 in mm, such as 1.75");
        }
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

    /// M207 (back) and M208 (forward): lengths in mm, speeds in mm/min. M208 with axis words is something else.
    fn set_firmware_retract(&mut self, code: u32, words: &Words) {
        let own = &mut self.state.firmware_retract;
        let speed = |letter| words.value(letter).map(|feed| feed / 60.0).filter(|speed| *speed >= SLOWEST_MM_S);
        let length = |letter| words.value(letter).filter(|length| *length >= 0.0);
        if code == 2070 {
            own.length_mm = length(b'S').unwrap_or(own.length_mm);
            own.lift_mm = length(b'Z').unwrap_or(own.lift_mm);
            own.speed_mm_s = speed(b'F').unwrap_or(own.speed_mm_s);
        } else if !words.has_any(AXES) {
            own.extra_mm = words.value(b'S').unwrap_or(own.extra_mm);
            own.return_mm_s = speed(b'F').or(own.return_mm_s);
        }
    }
}

/// Heats to `celsius`: what share of the heating from cold it takes to wait for that.
fn heat(reached_c: &mut Option<f64>, celsius: f64, wait: bool) -> f64 {
    let from = reached_c.unwrap_or(ROOM_C);
    if wait {
        *reached_c = Some(celsius);
        if celsius > from { ((celsius - from) / (celsius - ROOM_C)).clamp(0.0, 1.0) } else { 0.0 }
    } else {
        // Set higher without waiting: how far it gets is not known, so none of it is taken as done.
        *reached_c = Some(from.min(celsius.max(ROOM_C)));
        0.0
    }
}

/// M codes that are known and neither move nor feed nor heat: spindle, coolant, messages, reports, motors.
pub(super) fn has_no_motion(code: u32) -> bool {
    matches!(code, 30..=90 | 170 | 180 | 310 | 480 | 490 | 730 | 840 | 1050 | 1100 | 1140 | 1150 | 1170 | 1180 | 4000)
}
