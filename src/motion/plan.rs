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

#[cfg(test)]
mod tests {
    use super::super::step::{Event, EventKind, MoveKind};
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    impl Planner {
        /// A planner that looks after every `batch` moves; with `usize::MAX` it plans the whole file at once.
        fn with_batch(batch: usize) -> Self {
            Self { look_at: batch, batch, ..Self::new() }
        }
    }

    fn step() -> Move {
        Move {
            line: 1,
            kind: MoveKind::Travel,
            from: [0.0; 3],
            to: [0.0; 3],
            length_mm: 0.0,
            fed_mm: 0.0,
            bead_mm3: 0.0,
            blob_mm3: 0.0,
            feed_mm_s: 0.0,
            time_s: -1.0,
            tool: 0,
            nozzle_c: None,
            label: None,
        }
    }

    fn drive(length_mm: f64, degrees: f64, speed_mm_s: f64, accel_mm_s2: f64) -> Drive {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        Drive {
            length_mm,
            speed_mm_s,
            accel_mm_s2,
            direction: [[cosine, sine, 0.0, 0.0]; 2],
            corner: Corner::DeviationMm(0.02),
            joint: Joint::Corner,
            filament_only: false,
        }
    }

    fn times(planner: &mut Planner, drives: &[Drive]) -> Vec<f64> {
        let mut out = Vec::new();
        for drive in drives {
            planner.push_move(step(), drive, &mut out);
        }
        planner.stop(&mut out);
        out.iter().filter_map(|step| if let Step::Move(step) = step { Some(step.time_s) } else { None }).collect()
    }

    #[test]
    fn two_pieces_of_one_line_are_one_line() {
        // 100 mm at 50 mm/s and 1000 mm/s²: 2.05 s (trapezoid), wherever it is cut.
        let pieces = [drive(1.0, 30.0, 50.0, 1000.0), drive(98.5, 30.0, 50.0, 1000.0), drive(0.5, 30.0, 50.0, 1000.0)];
        let total: f64 = times(&mut Planner::new(), &pieces).iter().sum();
        assert_relative_eq!(total, 2.05, epsilon = 1e-9);
    }

    #[test]
    fn a_corner_is_taken_at_its_speed() {
        // Two legs of 20 mm at 90°: each from rest to sqrt(a d s/(1-s)) = 6.948 mm/s (d 0.02, a 1000), peak 50 mm/s;
        // by hand: flanks 0.05 + 0.043052 s over 1.25 + 1.225862 mm, the rest at 50 mm/s.
        let corner = (1000.0 * 0.02 * 0.5f64.sqrt() / (1.0 - 0.5f64.sqrt())).sqrt();
        let legs = [drive(20.0, 10.0, 50.0, 1000.0), drive(20.0, 100.0, 50.0, 1000.0)];
        let flanks = 0.05 + (50.0 - corner) / 1000.0;
        let cruise = (20.0 - 1.25 - (2500.0 - corner * corner) / 2000.0) / 50.0;
        let got = times(&mut Planner::new(), &legs);
        assert_relative_eq!(got[0], flanks + cruise, epsilon = 1e-9);
        assert_relative_eq!(got[1], flanks + cruise, epsilon = 1e-9);
    }

    #[test]
    fn filament_alone_stands_between_two_rests() {
        let pull = Drive { filament_only: true, ..drive(0.8, 0.0, 35.0, 2500.0) };
        let got = times(&mut Planner::new(), &[drive(10.0, 0.0, 50.0, 1000.0), pull, drive(10.0, 0.0, 50.0, 1000.0)]);
        // 10 mm: 10/50 + 50/1000; 0.8 mm: 0.8/35 + 35/2500 (trapezoid, rest to rest).
        assert_relative_eq!(got[0], 0.25, epsilon = 1e-9);
        assert_relative_eq!(got[1], 0.8 / 35.0 + 35.0 / 2500.0, epsilon = 1e-9);
        assert_relative_eq!(got[2], 0.25, epsilon = 1e-9);
    }

    #[test]
    fn events_that_do_not_stop_keep_their_place() {
        let mut planner = Planner::new();
        let mut out = Vec::new();
        let fan = Step::Event(Event { line: 2, time_s: 0.0, kind: EventKind::Fan { share: 0.5 } });
        planner.push_move(step(), &drive(50.0, 0.0, 50.0, 1000.0), &mut out);
        planner.push_passing(fan.clone(), &mut out);
        planner.push_move(step(), &drive(50.0, 0.0, 50.0, 1000.0), &mut out);
        planner.stop(&mut out);
        assert_eq!(out.len(), 3);
        assert_eq!(out[1], fan);
        let total: f64 = [&out[0], &out[2]].iter().map(|s| if let Step::Move(m) = s { m.time_s } else { 0.0 }).sum();
        assert_relative_eq!(total, 2.05, epsilon = 1e-9);
    }

    #[test]
    fn little_is_held_back_on_a_long_way_round() {
        // Ten thousand short pieces round a gentle bend without a stop: the plan settles as it goes.
        let mut planner = Planner::new();
        let mut out = Vec::new();
        let mut most = 0;
        for piece in 0..10_000u32 {
            planner.push_move(step(), &drive(0.3, f64::from(piece), 60.0, 1200.0), &mut out);
            most = most.max(planner.held.len());
        }
        assert!(most <= 2 * BATCH, "{most} moves held");
    }

    fn any_drive() -> impl Strategy<Value = Drive> {
        let length = prop_oneof![0.001..0.5f64, 0.5..40.0f64];
        let turn = prop_oneof![Just(0.0), -10.0..10.0f64, 0.0..360.0f64];
        (length, turn, 1.0..200.0f64, 100.0..5000.0f64, 0.0..1.0f64).prop_map(|(length, turn, speed, accel, kind)| {
            Drive {
                filament_only: kind > 0.97,
                joint: if kind < 0.1 { Joint::Smooth } else { Joint::Corner },
                ..drive(length, turn, speed, accel)
            }
        })
    }

    proptest! {
        #[test]
        fn planned_in_a_stream_equals_planned_whole(drives in prop::collection::vec(any_drive(), 1..400), batch in 1usize..40) {
            let whole = times(&mut Planner::with_batch(usize::MAX), &drives);
            let stream = times(&mut Planner::with_batch(batch), &drives);
            prop_assert_eq!(whole, stream);
        }

        #[test]
        fn no_move_is_faster_than_its_speed(drives in prop::collection::vec(any_drive(), 1..200)) {
            for (time, drive) in times(&mut Planner::new(), &drives).iter().zip(&drives) {
                prop_assert!(time.is_finite() && *time >= drive.length_mm / drive.speed_mm_s * (1.0 - 1e-9));
            }
        }

        #[test]
        fn the_way_back_takes_as_long(drives in prop::collection::vec(any_drive(), 1..100)) {
            // Run the film backwards: speeds at the junctions are the same, since braking equals gaining speed.
            let there: f64 = times(&mut Planner::new(), &drives).iter().sum();
            let mut back: Vec<Drive> = drives.iter().rev().copied().collect();
            for at in 0..back.len() {
                back[at].direction = back[at].direction.map(|d| d.map(|u| -u));
                // The joint stands at the later of two moves.
                back[at].joint = drives[drives.len() - at - 1 + usize::from(at > 0)].joint;
            }
            let back: f64 = times(&mut Planner::new(), &back).iter().sum();
            prop_assert!((there - back).abs() <= 1e-9 * there, "{} {}", there, back);
        }
    }
}
