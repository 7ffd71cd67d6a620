//! The lines of one stop, from what the machine knows there.
//!
//! ```text
//!        lift, clear of everything printed            return at that height
//!        ┌───────────────────────────> park, wait ────────────────────────┐
//!   pull back                                                       lower, feed again
//! ```
//!
//! The stop speaks the file's own modes and changes none of them: in absolute modes it names places, in relative
//! ones distances, and it writes inches or volumes where the file does. What it must disturb (feed, filament,
//! perhaps the nozzle's heat) it puts back at its end. The bed is never cooled.

use super::decimal::{exact, rounded};
use super::frame::{self, Origin};
use super::layers::Extent;
use super::scene::Scene;
use crate::diag::{Diagnostic, Severity};
use crate::profile::Machine;

/// The nozzle waits at least this far beside the part, so that hands have room; common practice, no source, mm.
const ROOM_MM: f64 = 20.0;
/// Less lift than this is hardly any, mm.
const LEAST_LIFT_MM: f64 = 1.0;
/// A part that reaches this far below zero is printed on a bed whose zero is its middle, mm.
const MIDDLE_ZERO_MM: f64 = 10.0;

/// What a stop is for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StopPurpose<'a> {
    /// The layer after which it stands.
    pub(super) after_layer: usize,
    /// Its top, mm.
    pub(super) z_mm: f64,
    /// What the person is told.
    pub(super) notes: &'a [String],
    /// What the file was without stops.
    pub(super) origin: Origin,
}

/// The text of a stop, and what the user should know about it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StopText {
    /// Lines, each ended by a line feed.
    pub(super) text: String,
    /// Things that could not be done as asked.
    pub(super) warnings: Vec<Diagnostic>,
}

/// Writes a stop.
pub(super) fn write_stop(scene: &Scene, machine: &Machine, purpose: &StopPurpose<'_>) -> StopText {
    let mut pen = Pen { scene, machine, text: String::new(), warnings: Vec::new() };
    pen.comment(&frame::begin_text(purpose.after_layer, purpose.origin));
    for note in purpose.notes {
        pen.comment(&frame::note_text(note));
    }
    pen.pull_back();
    let way = pen.way();
    pen.lift_and_park(&way);
    let heat = pen.standby();
    pen.person(purpose);
    if let Some(celsius) = heat {
        pen.line(&format!("M109 S{}", exact(celsius)));
    }
    pen.prime();
    pen.come_back(&way);
    pen.feed_again();
    pen.restore_feed();
    pen.comment(frame::end_text());
    StopText { text: pen.text, warnings: pen.warnings }
}

/// Where the nozzle goes, in the words of the file: there and back.
struct Way {
    up: String,
    aside: Option<String>,
    back: Option<String>,
    down: String,
}

struct Pen<'a> {
    scene: &'a Scene,
    machine: &'a Machine,
    text: String,
    warnings: Vec<Diagnostic>,
}

impl Pen<'_> {
    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn comment(&mut self, text: &str) {
        let comment = self.scene.comments.comment(text);
        self.line(&comment);
    }

    fn warn(&mut self, message: &str, remedy: &str) {
        self.warnings.push(Diagnostic {
            severity: Severity::Warning,
            code: "stop",
            message: message.to_owned(),
            line: None,
            columns: None,
            remedy: Some(remedy.to_owned()),
        });
    }

    /// An F word; none in a file that never gives a speed, since that could not be taken back.
    fn feed_word(&self, mm_s: f64) -> String {
        let decimals = if self.scene.state.unit_mm > 1.0 { 3 } else { 0 };
        let feed = rounded(mm_s * 60.0 / self.scene.state.unit_mm, decimals);
        if self.scene.state.feed_mm_s.is_some() { format!(" F{feed}") } else { String::new() }
    }

    /// Filament of this length in the unit of E words.
    fn in_e_unit(&self, length_mm: f64) -> f64 {
        let tool = self.scene.state.current();
        let amount = if tool.volumetric { length_mm * tool.filament_mm2() } else { length_mm };
        amount / self.scene.state.unit_mm
    }

    /// Moves the filament alone: from `from_mm` to `to_mm` ahead of where it was before the stop.
    fn filament(&mut self, from_mm: f64, to_mm: f64) {
        let state = &self.scene.state;
        let word = if state.relative_extruder {
            rounded(self.in_e_unit(to_mm - from_mm), 5)
        } else if to_mm == 0.0 {
            exact(state.extruder / state.unit_mm)
        } else {
            rounded(state.extruder / state.unit_mm + self.in_e_unit(to_mm), 5)
        };
        let feed = self.feed_word(self.machine.stop.retract_mm_s);
        self.line(&format!("G1 E{word}{feed}"));
    }

    /// The file feeds by a switch (M101, M103), not by E words.
    fn by_switch(&self) -> bool {
        self.scene.state.flow_switch == Some(true)
    }

    fn pull_back(&mut self) {
        if self.by_switch() {
            self.line("M103");
        } else if self.scene.machine_retracts {
            self.line("G10");
        } else if self.machine.stop.retract_mm > 0.0 {
            self.filament(0.0, -self.machine.stop.retract_mm);
        }
    }

    /// New filament after the wait, pulled back again for the way.
    fn prime(&mut self) {
        let (prime_mm, retract_mm) = (self.machine.stop.prime_mm, self.machine.stop.retract_mm);
        let primes = prime_mm > 0.0 && !self.by_switch();
        if !primes {
            return;
        }
        if self.scene.machine_retracts {
            self.line("G11");
            self.filament(0.0, prime_mm);
            self.line("G10");
        } else {
            self.filament(-retract_mm, prime_mm);
            if retract_mm > 0.0 {
                self.filament(prime_mm, prime_mm - retract_mm);
            }
        }
    }

    fn feed_again(&mut self) {
        let (prime_mm, retract_mm) = (self.machine.stop.prime_mm.max(0.0), self.machine.stop.retract_mm);
        if self.by_switch() {
            return self.line("M101");
        }
        if self.scene.machine_retracts {
            self.line("G11");
        } else if retract_mm > 0.0 {
            self.filament(prime_mm - retract_mm, prime_mm);
        }
        if prime_mm > 0.0 {
            let extruder = exact(self.scene.state.extruder / self.scene.state.unit_mm);
            self.line(&format!("G92 E{extruder}"));
        }
    }

    /// The way there and back.
    fn way(&mut self) -> Way {
        let scene = self.scene;
        let state = &scene.state;
        let unit = state.unit_mm;
        let decimals = if unit > 1.0 { 5 } else { 3 };
        let here = state.position_mm;
        let top_mm = self.lifted_mm(here[2]);
        let park = self.park_mm();
        if state.relative {
            let go = |from: f64, to: f64| rounded((to - from) / unit, decimals);
            // The same digits there and back cancel exactly.
            let up = go(here[2], top_mm);
            let [x, y] = park.map_or([String::new(), String::new()], |p| [go(here[0], p[0]), go(here[1], p[1])]);
            return Way {
                down: format!("Z{}", opposite(&up)),
                up: format!("Z{up}"),
                aside: park.map(|_| format!("X{x} Y{y}")),
                back: park.map(|_| format!("X{} Y{}", opposite(&x), opposite(&y))),
            };
        }
        let program = state.program_mm();
        let [offset_x, offset_y, offset_z] = state.offset_mm;
        let near = |offset_mm: f64, mm: f64| rounded((mm - offset_mm) / unit, decimals);
        let [x, y, z] = program.map(|mm| exact(mm / unit));
        Way {
            up: format!("Z{}", near(offset_z, top_mm)),
            aside: park.map(|p| format!("X{} Y{}", near(offset_x, p[0]), near(offset_y, p[1]))),
            back: park.map(|_| format!("X{x} Y{y}")),
            down: format!("Z{z}"),
        }
    }

    /// How high the nozzle goes, in the machine's frame, mm.
    fn lifted_mm(&mut self, z_mm: f64) -> f64 {
        let wanted = self.scene.highest_mm.max(z_mm) + self.machine.stop.lift_mm;
        let lifted = wanted.min(self.machine.height_mm.max(z_mm));
        if lifted < z_mm + LEAST_LIFT_MM {
            self.warn(
                "there is hardly any room to lift the nozzle above this layer",
                "check `height_mm` and `stop.lift_mm` in the machine profile; watch the nozzle at the stop",
            );
        }
        lifted
    }

    /// Where the nozzle waits, in the machine's frame; `None` where the file never says where it is.
    fn park_mm(&mut self) -> Option<[f64; 2]> {
        if !(self.scene.state.known[0] && self.scene.state.known[1]) {
            self.warn(
                "the file never says where the nozzle is, so that it waits above the part",
                "lift it by hand at the stop, or put G28 at the start of the file",
            );
            return None;
        }
        if let Some(park) = self.machine.stop.park_mm {
            if self.scene.extent.is_some_and(|extent| extent.distance_mm(park) < ROOM_MM) {
                self.warn(
                    "the place where the nozzle waits is above or close beside the part",
                    "choose another `stop.park_mm` in the machine profile",
                );
            }
            return Some(park);
        }
        Some(self.scene.extent.map_or([0.0; 2], |extent| free_corner(self.machine.bed_mm, extent)))
    }

    fn lift_and_park(&mut self, way: &Way) {
        let (lift, travel) =
            (self.feed_word(self.machine.stop.lift_mm_s), self.feed_word(self.machine.stop.travel_mm_s));
        self.line(&format!("G0 {}{lift}", way.up));
        if let Some(aside) = &way.aside {
            self.line(&format!("G0 {aside}{travel}"));
        }
    }

    fn come_back(&mut self, way: &Way) {
        let (lift, travel) =
            (self.feed_word(self.machine.stop.lift_mm_s), self.feed_word(self.machine.stop.travel_mm_s));
        if let Some(back) = &way.back {
            self.line(&format!("G0 {back}{travel}"));
        }
        self.line(&format!("G0 {}{lift}", way.down));
    }

    /// Cools the nozzle for the wait if the machine profile asks for it; the temperature to come back to.
    fn standby(&mut self) -> Option<f64> {
        let standby_c = self.machine.stop.standby_c?;
        match self.scene.state.current().nozzle_c {
            Some(now_c) if standby_c < now_c => {
                self.line(&format!("M104 S{}", exact(standby_c)));
                Some(now_c)
            }
            Some(_) => None,
            None => {
                self.warn(
                    "the file sets no nozzle temperature, so that the nozzle is not cooled at the stop",
                    "set the temperature in the file, or leave `stop.standby_c` out of the machine profile",
                );
                None
            }
        }
    }

    /// The machine's own lines, at which it waits.
    fn person(&mut self, purpose: &StopPurpose<'_>) {
        let stop = &self.machine.stop;
        let note = purpose.notes.join(", ");
        let layer = purpose.after_layer.to_string();
        let z = rounded(purpose.z_mm, 3);
        let lines: Vec<String> = stop
            .before
            .iter()
            .chain(std::iter::once(&stop.command))
            .chain(&stop.after)
            .map(|line| line.replace("{layer}", &layer).replace("{z_mm}", &z).replace("{note}", &note))
            .collect();
        for line in lines {
            self.line(&line);
        }
    }

    /// The speed in force before the stop, and the motion that lines without one repeat.
    fn restore_feed(&mut self) {
        let state = &self.scene.state;
        let word = self.scene.modal_word();
        match state.feed_mm_s {
            Some(mm_s) => {
                let feed = exact(mm_s * 60.0 / state.unit_mm);
                self.line(&format!("{word} F{feed}"));
            }
            None if self.scene.next_repeats => self.line(word),
            None => {}
        }
    }
}

/// The same number with the other sign.
fn opposite(number: &str) -> String {
    match number.strip_prefix('-') {
        Some(positive) => positive.to_owned(),
        None if number == "0" => number.to_owned(),
        None => format!("-{number}"),
    }
}

/// The corner of the bed that is clear of what is printed: the front left one if it is, else the farthest.
fn free_corner(bed_mm: [f64; 2], extent: Extent) -> [f64; 2] {
    let middle_zero = extent.low.iter().any(|&low| low < -MIDDLE_ZERO_MM);
    let (low, high) = if middle_zero {
        // On a round bed only the middles of its sides are within reach.
        ([-bed_mm[0] / 2.0, -bed_mm[1] / 2.0], [bed_mm[0] / 2.0, bed_mm[1] / 2.0])
    } else {
        ([0.0; 2], bed_mm)
    };
    let middle = [f64::midpoint(low[0], high[0]), f64::midpoint(low[1], high[1])];
    let places = if middle_zero {
        [[middle[0], low[1]], [low[0], middle[1]], [high[0], middle[1]], [middle[0], high[1]]]
    } else {
        [low, [high[0], low[1]], [low[0], high[1]], high]
    };
    let clear = |place: &[f64; 2]| extent.distance_mm(*place);
    let first = places.iter().find(|place| clear(place) >= ROOM_MM);
    let farthest = || places.iter().max_by(|a, b| clear(a).total_cmp(&clear(b)));
    first.or_else(farthest).copied().unwrap_or(low)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nozzle_waits_beside_the_part() {
        let bed = [220.0, 180.0];
        let middle = Extent { low: [80.0, 60.0], high: [130.0, 110.0] };
        assert_eq!(free_corner(bed, middle), [0.0, 0.0]);
        let front_left = Extent { low: [2.0, 3.0], high: [60.0, 60.0] };
        assert_eq!(free_corner(bed, front_left), [220.0, 0.0]);
        let whole = Extent { low: [5.0, 15.0], high: [210.0, 178.0] };
        assert_eq!(free_corner(bed, whole), [220.0, 0.0]);
        let round = Extent { low: [-40.0, -30.0], high: [40.0, 30.0] };
        assert_eq!(free_corner(bed, round), [0.0, -90.0]);
        let to_the_front = Extent { low: [-40.0, -89.0], high: [40.0, 30.0] };
        assert_eq!(free_corner(bed, to_the_front), [-110.0, 0.0]);
        let wide = Extent { low: [-109.0, -89.0], high: [109.0, 30.0] };
        assert_eq!(free_corner(bed, wide), [0.0, 90.0]);
    }

    #[test]
    fn there_and_back_are_opposite() {
        assert_eq!(opposite("12.5"), "-12.5");
        assert_eq!(opposite("-12.5"), "12.5");
        assert_eq!(opposite("0"), "0");
    }
}
