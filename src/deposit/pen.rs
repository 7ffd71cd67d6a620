//! Draws steps for tests: a nozzle that lays lines of a given section and hops, climbs and retracts as told.

use super::{Depositor, Layer, Totals, section_mm2};
use crate::motion::{Event, EventKind, Move, MoveKind, Step};
use crate::profile::Role;
use std::f64::consts::TAU;

/// A nozzle with a height, a bead width and a layer thickness.
pub struct Pen {
    pub steps: Vec<Step>,
    at: [f64; 3],
    line: u64,
    /// Nozzle height for what comes next, mm.
    pub z: f64,
    pub width: f64,
    pub height: f64,
    /// Nozzle height as a function of place, on top of `z`.
    pub wave: fn(f64, f64) -> f64,
    /// Travel this much higher, mm.
    pub hop: f64,
    pub tool: u16,
    pub label: Option<Role>,
    pub laid_mm3: f64,
}

impl Pen {
    pub fn new() -> Self {
        Self {
            steps: Vec::new(),
            at: [0.0, 0.0, 5.0],
            line: 0,
            z: 0.2,
            width: 0.45,
            height: 0.2,
            wave: |_, _| 0.0,
            hop: 0.0,
            tool: 0,
            label: None,
            laid_mm3: 0.0,
        }
    }

    /// Any step at all, to anywhere.
    pub fn step(&mut self, kind: MoveKind, to: [f64; 3], bead_mm3: f64, fed_mm: f64, speed: f64) {
        self.line += 1;
        let d: Vec<f64> = (0..3).map(|i| to[i] - self.at[i]).collect();
        let length_mm = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
        let time_s = if length_mm > 0.0 { length_mm / speed } else { fed_mm.abs() / speed };
        self.steps.push(Step::Move(Move {
            line: self.line,
            kind,
            from: self.at,
            to,
            length_mm,
            fed_mm,
            bead_mm3,
            blob_mm3: 0.0,
            feed_mm_s: speed,
            time_s,
            tool: self.tool,
            nozzle_c: Some(215.0),
            label: self.label,
        }));
        self.at = to;
        self.laid_mm3 += bead_mm3;
    }

    pub fn event(&mut self, kind: EventKind, time_s: f64) {
        self.line += 1;
        self.steps.push(Step::Event(Event { line: self.line, time_s, kind }));
    }

    pub fn retract(&mut self) {
        self.step(MoveKind::Retract, self.at, 0.0, -0.8, 35.0);
    }

    pub fn prime(&mut self) {
        self.step(MoveKind::Prime, self.at, 0.0, 0.8, 35.0);
    }

    /// Retracts while moving back over what was laid.
    pub fn wipe(&mut self, x: f64, y: f64) {
        self.step(MoveKind::Retract, [x, y, self.at[2]], 0.0, -0.4, 60.0);
    }

    pub fn travel(&mut self, x: f64, y: f64) {
        let z = self.z + (self.wave)(x, y);
        if self.hop > 0.0 {
            let [ax, ay, az] = self.at;
            self.step(MoveKind::Travel, [ax, ay, az + self.hop], 0.0, 0.0, 10.0);
            self.step(MoveKind::Travel, [x, y, z + self.hop], 0.0, 0.0, 150.0);
        }
        self.step(MoveKind::Travel, [x, y, z], 0.0, 0.0, 150.0);
    }

    /// Lays a line to (x, y) at the pen's height.
    pub fn line(&mut self, x: f64, y: f64) {
        let z = self.z + (self.wave)(x, y);
        self.line_to([x, y, z]);
    }

    /// Where the nozzle is, mm.
    pub fn at(&self) -> [f64; 3] {
        self.at
    }

    pub fn line_to(&mut self, to: [f64; 3]) {
        let length = (to[0] - self.at[0]).hypot(to[1] - self.at[1]);
        let volume = section_mm2(self.width, self.height) * length;
        self.step(MoveKind::Deposit, to, volume, volume / 2.405, 40.0);
    }

    /// A rectangle as one loop, from its lower left corner, in pieces of at most `piece` mm.
    pub fn rectangle(&mut self, x0: f64, y0: f64, x1: f64, y1: f64, piece: f64) {
        self.travel(x0, y0);
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)];
        for pair in corners.windows(2) {
            self.divided(pair[0], pair[1], piece);
        }
    }

    pub fn divided(&mut self, a: (f64, f64), b: (f64, f64), piece: f64) {
        let count = ((b.0 - a.0).hypot(b.1 - a.1) / piece).ceil().max(1.0);
        for k in 1..=count as usize {
            let t = k as f64 / count;
            self.line(a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
        }
    }

    pub fn circle(&mut self, cx: f64, cy: f64, radius: f64, sides: usize) {
        self.travel(cx + radius, cy);
        for k in 1..=sides {
            let a = TAU * k as f64 / sides as f64;
            self.line(cx + radius * a.cos(), cy + radius * a.sin());
        }
    }

    /// Lines along x from the lower left up, joined into one zigzag strand.
    pub fn zigzag(&mut self, x0: f64, y0: f64, x1: f64, y1: f64, pitch: f64, piece: f64) {
        self.travel(x0, y0);
        let (mut y, mut left) = (y0, true);
        loop {
            let (from, to) = if left { (x0, x1) } else { (x1, x0) };
            self.divided((from, y), (to, y), piece);
            if y + pitch > y1 {
                break;
            }
            y += pitch;
            self.line(to, y);
            left = !left;
        }
    }

    /// A plain block of a part: two walls and fill, 20 by 12 mm with its corner at (x, y).
    pub fn block(&mut self, x: f64, y: f64, pitch: f64) {
        self.sized_block(x, y, 20.0, 12.0, pitch, 100.0);
    }

    pub fn sized_block(&mut self, x: f64, y: f64, long: f64, wide: f64, pitch: f64, piece: f64) {
        self.rectangle(x + 0.41, y + 0.41, x + long - 0.41, y + wide - 0.41, piece);
        self.rectangle(x, y, x + long, y + wide, piece);
        self.retract();
        self.travel(x + 0.82, y + 0.82);
        self.prime();
        self.zigzag(x + 0.82, y + 0.82, x + long - 0.82, y + wide - 0.82, pitch, piece);
    }

    /// Sends everything through the room.
    pub fn layers(&self) -> (Vec<Layer>, Totals) {
        let mut layers = Vec::new();
        let mut depositor = Depositor::with_first_roles();
        for step in &self.steps {
            depositor.push(step, &mut |layer| layers.push(layer));
        }
        let totals = depositor.finish(&mut |layer| layers.push(layer));
        (layers, totals)
    }
}
