//! How the file drives the machine between its beads: travel, retraction, accelerations.

use crate::motion::{Motion, Move, MoveKind, Step};
use crate::profile::Limits;
use crate::rebead::Retraction;
use std::collections::BTreeMap;

/// Shorter travels say little about the speed of travel, mm.
const TELLING_TRAVEL_MM: f64 = 3.0;

/// Values that were seen, each with how much speaks for it.
#[derive(Debug, Clone, Default)]
pub(super) struct Weighed(BTreeMap<i64, f64>);

impl Weighed {
    /// Values closer than this are one.
    const STEP: f64 = 0.01;

    pub(super) fn add(&mut self, value: f64, weight: f64) {
        if value.is_finite() && weight > 0.0 {
            *self.0.entry((value / Self::STEP).round() as i64).or_default() += weight;
        }
    }

    /// The value that half of the weight stays under.
    pub(super) fn median(&self) -> Option<f64> {
        let half = 0.5 * self.0.values().sum::<f64>();
        let mut below = 0.0;
        self.0.iter().find_map(|(&value, &weight)| {
            below += weight;
            (below >= half && half > 0.0).then_some(value as f64 * Self::STEP)
        })
    }
}

/// What is seen between two beads.
#[derive(Debug, Clone, Copy, Default)]
struct Way {
    travelled_mm: f64,
    pulled_mm: f64,
    from_z_mm: f64,
    highest_z_mm: f64,
    to_z_mm: f64,
}

/// Gathers how a file drives the machine.
#[derive(Debug, Default)]
pub(super) struct Habits {
    way: Option<Way>,
    travel: Weighed,
    lift: Weighed,
    pulled_mm: Weighed,
    pull_speed: Weighed,
    hop_mm: Weighed,
    /// Length of every way between two beads, and whether filament was pulled back for it.
    ways: Vec<(f32, bool)>,
    print_accel: Weighed,
    travel_accel: Weighed,
    limits: Option<Limits>,
}

impl Habits {
    /// Looks at one step; `motion` is the machine that made it (it may be a few moves ahead).
    pub(super) fn step(&mut self, step: &Step, motion: &Motion) {
        let Step::Move(step) = step else { return };
        if step.kind == MoveKind::Deposit {
            let limits = &motion.state().limits;
            self.print_accel.add(limits.accel_print_mm_s2, step.length_mm);
            self.travel_accel.add(limits.accel_travel_mm_s2, step.length_mm);
            if self.limits.as_ref() != Some(limits) {
                self.limits = Some(limits.clone());
            }
            self.arrive(step);
        } else {
            self.go(step);
        }
    }

    fn go(&mut self, step: &Move) {
        let plan_mm = (step.to[0] - step.from[0]).hypot(step.to[1] - step.from[1]);
        let start = Way { from_z_mm: step.from[2], highest_z_mm: step.from[2], ..Way::default() };
        let way = self.way.get_or_insert(start);
        way.travelled_mm += plan_mm;
        way.highest_z_mm = way.highest_z_mm.max(step.to[2]);
        way.to_z_mm = step.to[2];
        match step.kind {
            MoveKind::Retract => {
                way.pulled_mm -= step.fed_mm;
                if plan_mm == 0.0 {
                    self.pull_speed.add(step.feed_mm_s, -step.fed_mm);
                }
            }
            MoveKind::Travel if plan_mm > TELLING_TRAVEL_MM => self.travel.add(step.feed_mm_s, plan_mm),
            MoveKind::Travel if plan_mm == 0.0 => self.lift.add(step.feed_mm_s, step.length_mm),
            _ => {}
        }
    }

    fn arrive(&mut self, step: &Move) {
        let Some(way) = self.way.take() else { return };
        let pulled = way.pulled_mm > 0.01;
        if way.travelled_mm > 0.01 {
            self.ways.push((way.travelled_mm as f32, pulled));
        }
        if pulled {
            self.pulled_mm.add(way.pulled_mm, 1.0);
            let hop = way.highest_z_mm - way.from_z_mm.max(step.from[2]).max(way.to_z_mm.min(step.from[2]));
            self.hop_mm.add(hop.max(0.0), 1.0);
        }
    }

    /// How filament is pulled back.
    pub(super) fn retraction(&mut self) -> Retraction {
        let usual = Retraction::default();
        Retraction {
            length_mm: self.pulled_mm.median().unwrap_or(0.0),
            speed_mm_s: self.pull_speed.median().unwrap_or(usual.speed_mm_s),
            least_travel_mm: self.least_travel_mm().unwrap_or(usual.least_travel_mm),
            hop_mm: self.hop_mm.median().unwrap_or(0.0),
        }
    }

    /// The length of way that best tells those with from those without retraction, mm.
    fn least_travel_mm(&mut self) -> Option<f64> {
        self.ways.sort_by(|a, b| a.0.total_cmp(&b.0));
        let pulled_in_all = self.ways.iter().filter(|w| w.1).count();
        if pulled_in_all == 0 {
            return None;
        }
        // Below the limit every pulled way is a mistake, above it every other one.
        let mut mistakes = self.ways.len() - pulled_in_all;
        let mut best = (mistakes, 0.0);
        for (i, &(length, pulled)) in self.ways.iter().enumerate() {
            mistakes = if pulled { mistakes + 1 } else { mistakes - 1 };
            let next = self.ways.get(i + 1).map_or(length, |n| n.0);
            if mistakes < best.0 && next > length {
                best = (mistakes, 0.5 * f64::from(length + next));
            }
        }
        Some(best.1)
    }

    /// Speed of travel and of lifting, mm/s.
    pub(super) fn travel_and_lift(&self) -> (Option<f64>, Option<f64>) {
        (self.travel.median(), self.lift.median())
    }

    /// The limits in force over most of the path; `profile`'s where nothing was laid.
    pub(super) fn limits(&self, profile: &Limits) -> Limits {
        let mut limits = self.limits.clone().unwrap_or_else(|| profile.clone());
        limits.accel_print_mm_s2 = self.print_accel.median().unwrap_or(limits.accel_print_mm_s2);
        limits.accel_travel_mm_s2 = self.travel_accel.median().unwrap_or(limits.accel_travel_mm_s2);
        limits
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_what_was_weighed() {
        let mut weighed = Weighed::default();
        assert_eq!(weighed.median(), None);
        for (value, weight) in [(30.0, 1.0), (50.0, 5.0), (80.0, 2.0), (f64::NAN, 9.0)] {
            weighed.add(value, weight);
        }
        assert_eq!(weighed.median(), Some(50.0));
    }

    #[test]
    fn the_shortest_way_with_retraction_is_found_among_odd_ones() {
        let mut habits = Habits {
            ways: vec![(0.5, false), (1.5, false), (1.9, false), (2.2, true), (9.0, true), (30.0, true), (12.0, false)],
            ..Habits::default()
        };
        let least = habits.least_travel_mm().unwrap_or(0.0);
        assert!((1.9..2.2).contains(&least), "{least}");
        assert_eq!(Habits::default().least_travel_mm(), None);
    }
}
