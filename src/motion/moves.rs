//! Motion commands: straight moves, arcs, retractions of the machine's own.

use super::Motion;
use super::arc::{Arc, ArcError, RADIUS_MISMATCH_MM};
use super::plan::{Drive, Joint};
use super::reach::{BEYOND_REMEDY, beyond};
use super::state::Modal;
use super::step::{Move, MoveKind, Step};
use super::words::{AXES, Words};

/// Speed where a file moves without ever having given one, mm/s: common practice, no source.
const NO_FEED_MM_S: f64 = 25.0;
/// Below this a move goes nowhere: its direction is rounding, mm.
const SPECK_MM: f64 = 1e-6;
/// Speeds and accelerations are at least this, mm/s and mm/s².
const LEAST: f64 = 1e-3;
/// What such a move may feed and still not stop the machine, mm: some steps of the last decimal of E words.
const SPECK_FEED_MM: f64 = 1e-3;

/// One commanded path before it is cut into straight pieces.
struct Path {
    from: [f64; 3],
    to: [f64; 3],
    fed_mm: f64,
    new_mm: f64,
    feed_mm_s: f64,
    line: u64,
}

/// What an E word asks for.
#[derive(Clone, Copy)]
struct Fed {
    /// Where the extruder axis stands afterwards, in the program's frame.
    stands_at: f64,
    /// What the motor feeds, mm.
    mm: f64,
}

impl Motion {
    /// A G0 to G3 line, or one that repeats them; `machine_frame` (G53) leaves the offsets out.
    pub(super) fn travel(&mut self, line: u64, words: &Words, machine_frame: bool, out: &mut Vec<Step>) {
        if !(words.has_any(AXES) || self.is_arc() && (words.has(b'I') || words.has(b'J') || words.has(b'K'))) {
            return;
        }
        let from = self.state.nozzle_mm();
        let target = self.target(words, machine_frame);
        let to = [target[0], target[1], target[2] + self.state.lift_mm];
        let arc = if self.is_arc() {
            match self.arc(words, from, to) {
                Ok(arc) => Some(arc),
                Err(error) => return self.refuse_arc(line, error),
            }
        } else {
            None
        };
        let fed = self.fed(words);
        if let Some(what) = beyond(to, arc.as_ref(), fed.map_or(0.0, |fed| fed.mm)) {
            return self.summary.leave_out(line, &what, BEYOND_REMEDY);
        }
        self.summary.moves += 1;
        for (axis, letter) in [b'X', b'Y', b'Z'].into_iter().enumerate() {
            self.state.known[axis] |= words.has(letter) && (machine_frame || !self.state.relative);
        }
        self.state.position_mm = target;
        let fed_mm = fed.map_or(0.0, |fed| self.extrude(fed));
        if self.state.flow_switch == Some(true) && !self.e_word_met && from != to {
            self.summary.unmeasured_flow_moves += 1;
        }
        let path = self.path(line, from, to, fed_mm);
        match arc {
            Some(arc) if arc.length_mm() >= SPECK_MM => self.lay_arc(&path, &arc, out),
            _ => self.lay_straight(&path, out),
        }
    }

    fn is_arc(&self) -> bool {
        matches!(self.state.modal, Modal::Clockwise | Modal::Anticlockwise)
    }

    /// Where the axis words lead, in the machine's frame without lift.
    fn target(&self, words: &Words, machine_frame: bool) -> [f64; 3] {
        let state = &self.state;
        let axes = words.axes();
        std::array::from_fn(|axis| match axes[axis] {
            None => state.position_mm[axis],
            Some(value) if machine_frame => value * state.unit_mm,
            Some(value) if state.relative => without_drift(state.position_mm[axis] + value * state.unit_mm),
            Some(value) => value * state.unit_mm + state.offset_mm[axis],
        })
    }

    /// What the E word asks for, if there is one.
    fn fed(&self, words: &Words) -> Option<Fed> {
        let value = words.value(b'E')? * self.state.unit_mm;
        let (stands_at, asked) = if self.state.relative_extruder {
            (self.state.extruder + value, value)
        } else {
            (value, value - self.state.extruder)
        };
        let tool = self.state.current();
        let length = if tool.volumetric { asked / tool.filament_mm2() } else { asked };
        Some(Fed { stands_at, mm: length * tool.flow })
    }

    /// Obeys the E word; how much the motor feeds, mm.
    fn extrude(&mut self, fed: Fed) -> f64 {
        self.e_word_met = true;
        if self.state.relative_extruder != self.other_relative_extruder {
            self.summary.extruder_mode_matters += 1;
        }
        self.state.extruder = fed.stands_at;
        fed.mm
    }

    fn path(&mut self, line: u64, from: [f64; 3], to: [f64; 3], fed_mm: f64) -> Path {
        let tool = self.state.tool;
        let new_mm = self.state.tool_mut(tool).filament.feed(fed_mm);
        let feed = self.state.feed_mm_s.unwrap_or_else(|| {
            self.summary.warn_once(
                line,
                "no-feed",
                "the file moves before it gives a speed",
                "give a speed with F; 25 mm/s was taken",
            );
            NO_FEED_MM_S
        });
        Path { from, to, fed_mm, new_mm, feed_mm_s: feed * self.state.speed_override, line }
    }

    fn lay_straight(&mut self, path: &Path, out: &mut Vec<Step>) {
        let delta: [f64; 3] = std::array::from_fn(|axis| path.to[axis] - path.from[axis]);
        let length = (delta[0] * delta[0] + delta[1] * delta[1] + delta[2] * delta[2]).sqrt();
        if length == 0.0 && path.fed_mm == 0.0 {
            self.summary.still_moves += 1;
            return;
        }
        let step = self.step(path, length > 0.0, path.from, path.to, length, 1.0);
        let speck_feed_mm = if length > 0.0 { SPECK_FEED_MM } else { SPECK_MM };
        if length < SPECK_MM && path.fed_mm.abs() < speck_feed_mm {
            // Too short to have a direction: it must not stop the machine, so it is no corner of the plan.
            let time_s = (length / path.feed_mm_s).max(path.fed_mm.abs() / self.state.limits.speed_mm_s[3].max(LEAST));
            self.plan.push_passing(Step::Move(Move { time_s, ..step }), out);
        } else if length < SPECK_MM {
            let drive = self.filament_drive(path.fed_mm, path.feed_mm_s);
            self.plan.push_move(step, &drive, out);
        } else {
            let direction = direction(delta, length, path.fed_mm / length);
            let drive = self.drive(length, path.feed_mm_s, path.fed_mm != 0.0, direction);
            self.plan.push_move(step, &drive, out);
        }
    }

    /// The step of a piece that is `share` of a path.
    fn step(&self, path: &Path, moves: bool, from: [f64; 3], to: [f64; 3], length_mm: f64, share: f64) -> Move {
        let tool = self.state.current();
        let new_mm3 = path.new_mm * share * tool.filament_mm2();
        let kind = if path.fed_mm < 0.0 {
            MoveKind::Retract
        } else if moves && path.new_mm > 0.0 {
            MoveKind::Deposit
        } else if path.fed_mm > 0.0 {
            MoveKind::Prime
        } else {
            MoveKind::Travel
        };
        Move {
            line: path.line,
            kind,
            from,
            to,
            length_mm,
            fed_mm: path.fed_mm * share,
            bead_mm3: if moves { new_mm3 } else { 0.0 },
            blob_mm3: if moves { 0.0 } else { new_mm3 },
            feed_mm_s: path.feed_mm_s,
            time_s: -1.0,
            tool: self.state.tool,
            nozzle_c: tool.nozzle_c,
            label: self.label,
        }
    }

    /// What the planner must know of a move along a path.
    fn drive(&self, length_mm: f64, feed_mm_s: f64, feeds: bool, direction: [f64; 4]) -> Drive {
        let limits = &self.state.limits;
        let mut speed_mm_s = feed_mm_s;
        let mut accel_mm_s2 = if feeds { limits.accel_print_mm_s2 } else { limits.accel_travel_mm_s2 };
        for (axis, share) in direction.iter().enumerate() {
            let share = share.abs();
            if share > 0.0 {
                speed_mm_s = speed_mm_s.min(limits.speed_mm_s[axis] / share);
                accel_mm_s2 = accel_mm_s2.min(limits.accel_mm_s2[axis] / share);
            }
        }
        Drive {
            length_mm,
            // A limit of nothing in a profile must not make a time of infinity.
            speed_mm_s: speed_mm_s.max(LEAST),
            accel_mm_s2: accel_mm_s2.max(LEAST),
            direction: [direction; 2],
            corner: limits.corner(),
            joint: Joint::Corner,
            filament_only: false,
        }
    }

    /// What the planner must know of a move of the filament alone.
    fn filament_drive(&self, fed_mm: f64, feed_mm_s: f64) -> Drive {
        let limits = &self.state.limits;
        Drive {
            length_mm: fed_mm.abs(),
            speed_mm_s: feed_mm_s.min(limits.speed_mm_s[3]).max(LEAST),
            accel_mm_s2: limits.accel_retract_mm_s2.min(limits.accel_mm_s2[3]).max(LEAST),
            direction: [[0.0; 4]; 2],
            corner: limits.corner(),
            joint: Joint::Corner,
            filament_only: true,
        }
    }

    /// The arc that the words ask for, in the plane in force.
    fn arc(&self, words: &Words, from: [f64; 3], to: [f64; 3]) -> Result<Arc, ArcError> {
        let [u, v, _] = self.state.plane.axes();
        let clockwise = self.state.modal == Modal::Clockwise;
        let (start, end) = ([from[u], from[v]], [to[u], to[v]]);
        if let Some(radius) = words.value(b'R') {
            return Arc::with_radius(start, end, radius * self.state.unit_mm, clockwise);
        }
        let letters = [b'I', b'J', b'K'];
        if !words.has(letters[u]) && !words.has(letters[v]) {
            return Err(ArcError::NoCentre);
        }
        let centre = |axis: usize, start: f64| {
            let value = words.value(letters[axis]).map(|value| value * self.state.unit_mm);
            if self.state.absolute_centres {
                value.map_or(start, |value| value + self.state.offset_mm[axis])
            } else {
                start + value.unwrap_or(0.0)
            }
        };
        Arc::round_centre(start, end, [centre(u, start[0]), centre(v, start[1])], clockwise)
    }

    fn refuse_arc(&mut self, line: u64, error: ArcError) {
        let message = match error {
            ArcError::NoCentre => {
                "this arc has no centre: it needs a distance to it (I, J, K) or a radius with an end elsewhere"
            }
            ArcError::RadiusTooSmall => "this arc's end is further away than twice its radius",
        };
        self.summary.leave_out(line, message, "write the arc again, or straight moves in its place");
    }

    /// Cuts an arc into chords; length and feed are shared evenly, so both are exact over the whole.
    fn lay_arc(&mut self, path: &Path, arc: &Arc, out: &mut Vec<Step>) {
        self.summary.arcs += 1;
        if (arc.radius_mm[0] - arc.radius_mm[1]).abs() > RADIUS_MISMATCH_MM {
            self.summary.warn_once(
                path.line,
                "arc-radius",
                "an arc's centre is not equally far from its start and its end",
                "write more decimals; the arc was drawn with a radius that changes evenly",
            );
        }
        let [u, v, across] = self.state.plane.axes();
        let rise = path.to[across] - path.from[across];
        let flat_mm = arc.length_mm();
        let length_mm = flat_mm.hypot(rise);
        let chords = arc.chords();
        let share = 1.0 / f64::from(chords);
        let mut from = path.from;
        let tangent = |at: f64| {
            let plane = arc.tangent(at);
            let mut delta = [0.0; 3];
            delta[u] = plane[0] * flat_mm;
            delta[v] = plane[1] * flat_mm;
            delta[across] = rise;
            direction(delta, length_mm, path.fed_mm / length_mm)
        };
        let mut before = tangent(0.0);
        // Going round at speed v asks for v²/r towards the centre.
        let bend_mm = f64::midpoint(arc.radius_mm[0], arc.radius_mm[1]) * (length_mm / flat_mm).powi(2);
        for chord in 1..=chords {
            let at = f64::from(chord) * share;
            let mut to = path.to;
            if chord < chords {
                let point = arc.point(at);
                to[u] = point[0];
                to[v] = point[1];
                to[across] = path.from[across] + rise * at;
            }
            let after = tangent(at);
            let middle: [f64; 4] = std::array::from_fn(|axis| f64::midpoint(before[axis], after[axis]));
            let mut drive = self.drive(length_mm * share, path.feed_mm_s, path.fed_mm != 0.0, middle);
            drive.speed_mm_s = drive.speed_mm_s.min((drive.accel_mm_s2 * bend_mm).sqrt());
            drive.direction = [before, after];
            drive.joint = if chord == 1 { Joint::Corner } else { Joint::Smooth };
            let step = self.step(path, true, from, to, length_mm * share, share);
            self.plan.push_move(step, &drive, out);
            from = to;
            before = after;
        }
    }

    /// G10: the machine pulls the filament back by its own length, and may lift the nozzle.
    pub(super) fn hold_back(&mut self, line: u64, out: &mut Vec<Step>) {
        if self.state.current().held_back {
            return;
        }
        let tool = self.state.tool;
        self.state.tool_mut(tool).held_back = true;
        let own = self.state.firmware_retract;
        self.feed_alone(line, -own.length_mm, own.speed_mm_s, out);
        self.lift(line, own.lift_mm, out);
    }

    /// G11: it comes forward again. Without a G10 before, nothing happens.
    pub(super) fn let_forward(&mut self, line: u64, out: &mut Vec<Step>) {
        if !self.state.current().held_back {
            return;
        }
        let tool = self.state.tool;
        self.state.tool_mut(tool).held_back = false;
        let own = self.state.firmware_retract;
        self.lift(line, 0.0, out);
        self.feed_alone(line, own.length_mm + own.extra_mm, own.return_mm_s.unwrap_or(own.speed_mm_s), out);
    }

    fn feed_alone(&mut self, line: u64, fed_mm: f64, speed_mm_s: f64, out: &mut Vec<Step>) {
        let at = self.state.nozzle_mm();
        let tool = self.state.tool;
        let new_mm = self.state.tool_mut(tool).filament.feed(fed_mm);
        let path = Path { from: at, to: at, fed_mm, new_mm, feed_mm_s: speed_mm_s, line };
        self.lay_straight(&path, out);
        if fed_mm == 0.0 {
            self.summary.still_moves = self.summary.still_moves.saturating_sub(1);
        }
    }

    /// Moves the nozzle to `lift_mm` above where the program thinks it is.
    fn lift(&mut self, line: u64, lift_mm: f64, out: &mut Vec<Step>) {
        if lift_mm == self.state.lift_mm {
            return;
        }
        let from = self.state.nozzle_mm();
        self.state.lift_mm = lift_mm;
        let to = self.state.nozzle_mm();
        let feed_mm_s = self.state.limits.speed_mm_s[2];
        self.lay_straight(&Path { from, to, fed_mm: 0.0, new_mm: 0.0, feed_mm_s, line }, out);
    }
}

/// A sum of many steps rounded to 1e-9 mm: ten steps of 0.2 mm end exactly where one of 2 mm does.
fn without_drift(value_mm: f64) -> f64 {
    (value_mm * 1e9).round() / 1e9
}

fn direction(delta: [f64; 3], length_mm: f64, fed_per_mm: f64) -> [f64; 4] {
    [delta[0] / length_mm, delta[1] / length_mm, delta[2] / length_mm, fed_per_mm]
}
