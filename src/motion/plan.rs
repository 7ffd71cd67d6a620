//! Look-ahead: gives every move its time, in a stream.
//!
//! At each junction the speed is limited by the corner, by what can be braked before the next slow junction
//! (backward pass), and by what can be reached from the junction before (forward pass). Moves are held back
//! until no later move can change their speeds:
//!
//! ```text
//! cap      ──┐  ┌──────   a junction is settled once the backward pass, taken as if the machine stopped
//!            └──┘         right after the last move held, reaches the junction's own cap there, or once
//! plan     __/‾‾\__/‾     the forward pass cannot reach what the backward pass allows: then everything
//!                         before it is settled too
//! ```
//!
//! So a plan made in a stream equals, bit for bit, the plan of the whole file.

use super::step::{Move, Step};
use super::{corner, trapezoid};
use crate::profile::Corner;
use std::collections::VecDeque;

/// How many moves are gathered before the first look.
const BATCH: usize = 256;

/// What the planner must know of a move.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drive {
    /// Length along the path (of the filament, if nothing else moves), mm.
    pub(super) length_mm: f64,
    /// Speed asked for, within the limits of every axis, mm/s.
    pub(super) speed_mm_s: f64,
    /// Acceleration within the limits of every axis, mm/s².
    pub(super) accel_mm_s2: f64,
    /// Direction at its start and at its end: x, y, z and filament per mm of path.
    pub(super) direction: [[f64; 4]; 2],
    /// The corner rule in force.
    pub(super) corner: Corner,
    /// How it meets the move before.
    pub(super) joint: Joint,
    /// Only the filament moves: starts and ends at rest, since the path stands still.
    pub(super) filament_only: bool,
}

/// How a move meets the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Joint {
    /// At a corner.
    Corner,
    /// Inside one arc: no corner.
    Smooth,
}

/// A move with what the two passes find out.
#[derive(Debug, Clone, Copy)]
struct Held {
    length_mm: f64,
    speed_mm_s: f64,
    accel_mm_s2: f64,
    cap_mm_s: f64,
    entry_mm_s: f64,
}

/// The look-ahead planner.
#[derive(Debug, Clone)]
pub(super) struct Planner {
    steps: VecDeque<Step>,
    held: Vec<Held>,
    last: Option<Drive>,
    entry_mm_s: f64,
    look_at: usize,
    batch: usize,
}

impl Planner {
    pub(super) fn new() -> Self {
        Self { steps: VecDeque::new(), held: Vec::new(), last: None, entry_mm_s: 0.0, look_at: BATCH, batch: BATCH }
    }

    /// Takes the next move; hands out what is settled by now.
    pub(super) fn push_move(&mut self, step: Move, drive: &Drive, out: &mut Vec<Step>) {
        self.held.push(Held {
            length_mm: drive.length_mm,
            speed_mm_s: drive.speed_mm_s,
            accel_mm_s2: drive.accel_mm_s2,
            cap_mm_s: self.cap(drive),
            entry_mm_s: 0.0,
        });
        self.last = Some(*drive);
        self.steps.push_back(Step::Move(step));
        if self.held.len() >= self.look_at {
            let settled = self.pass();
            self.hand_out(settled, out);
            self.look_at = (2 * self.held.len()).max(self.batch);
        }
    }

    /// Takes a step that does not stop the machine and has its time already.
    pub(super) fn push_passing(&mut self, step: Step, out: &mut Vec<Step>) {
        if self.held.is_empty() {
            out.push(step);
        } else {
            self.steps.push_back(step);
        }
    }

    /// The machine stands still here: everything held is settled.
    pub(super) fn stop(&mut self, out: &mut Vec<Step>) {
        self.pass();
        self.hand_out(self.held.len(), out);
        out.extend(self.steps.drain(..));
        self.last = None;
        self.entry_mm_s = 0.0;
        self.look_at = self.batch;
    }

    /// The highest speed at which `drive` may be entered.
    fn cap(&self, drive: &Drive) -> f64 {
        let Some(last) = &self.last else { return 0.0 };
        if last.filament_only || drive.filament_only {
            return 0.0;
        }
        let accel = last.accel_mm_s2.min(drive.accel_mm_s2);
        let corner = match drive.joint {
            Joint::Corner => corner::speed(drive.corner, accel, &last.direction[1], &drive.direction[0]),
            Joint::Smooth => f64::INFINITY,
        };
        corner.min(last.speed_mm_s).min(drive.speed_mm_s)
    }

    /// Backward and forward pass as if the machine stopped after the last move; how many moves are settled.
    fn pass(&mut self) -> usize {
        let mut exit = 0.0;
        for held in self.held.iter_mut().rev() {
            exit = held.cap_mm_s.min(trapezoid::reached(exit, held.accel_mm_s2, held.length_mm));
            held.entry_mm_s = exit;
        }
        let mut settled = 0;
        let mut entry = self.entry_mm_s;
        let mut before: Option<Held> = None;
        for (index, held) in self.held.iter_mut().enumerate() {
            if let Some(before) = before {
                let reached = trapezoid::reached(entry, before.accel_mm_s2, before.length_mm);
                if held.entry_mm_s >= held.cap_mm_s || reached <= held.entry_mm_s {
                    settled = index;
                }
                entry = reached.min(held.entry_mm_s);
            }
            held.entry_mm_s = entry;
            before = Some(*held);
        }
        settled
    }

    /// Hands out the first `count` moves with their times, and what lies between them.
    fn hand_out(&mut self, count: usize, out: &mut Vec<Step>) {
        for index in 0..count {
            let Some(held) = self.held.get(index) else { break };
            let exit = self.held.get(index + 1).map_or(0.0, |next| next.entry_mm_s);
            let time_s = trapezoid::seconds(held.length_mm, held.entry_mm_s, exit, held.speed_mm_s, held.accel_mm_s2);
            while let Some(step) = self.steps.pop_front() {
                if let Step::Move(mut step) = step
                    && step.time_s < 0.0
                {
                    step.time_s = time_s;
                    out.push(Step::Move(step));
                    break;
                }
                out.push(step);
            }
            self.entry_mm_s = exit;
        }
        self.held.drain(..count);
        while self.steps.front().is_some_and(|step| !matches!(step, Step::Move(step) if step.time_s < 0.0)) {
            out.extend(self.steps.pop_front());
        }
    }
}
