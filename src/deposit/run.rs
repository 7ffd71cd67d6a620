//! Runs: what is laid at one nozzle height, in print order, before anyone knows what it belongs to.
//!
//! ```text
//! z   ____      ______           ____
//!    / A  \_ _ /  B   \_ _ _ ___/ C  \      A, B: one run (same z; the hop between lays nothing);  C: the next
//! ```
//!
//! Strands come in whole. Where the nozzle never changes height while it lays, a strand belongs to the run at
//! its own height. Where it does (wavy layers, spiral printing), half a layer height is allowed for.

use super::Bead;
use super::flow::median_area_mm2;
use super::strand::{RawStrand, rough_width_mm};
use crate::profile::Role;

/// Heights that differ by less are the same height: rounding of coordinates, inches above all.
const SAME_Z_MM: f64 = 0.015;

/// One strand of a run.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// Its beads, as a range of the run's.
    pub beads: std::ops::Range<usize>,
    /// Tool that laid it.
    pub tool: u16,
    /// From the end of the last bead before it to the end of its own last bead, s.
    pub time_s: f64,
    /// Plastic without a path that came out before or within it, mm³.
    pub blob_mm3: f64,
}

/// What is laid at one height.
#[derive(Debug, Clone, Default)]
pub(super) struct Run {
    /// Nozzle height, mm: the mean where it varies, the highest where it rises.
    pub z_mm: f64,
    /// Beads in print order.
    pub beads: Vec<Bead>,
    /// What the comments name each bead.
    pub labels: Vec<Option<Role>>,
    /// Strands in print order; they cover the beads.
    pub pieces: Vec<Piece>,
    /// Height varies while laying.
    pub wavy: bool,
    /// Height rises round and round.
    pub rising: bool,
    /// Least and greatest set nozzle temperature while laying, °C.
    pub nozzle_c: Option<(f64, f64)>,
    /// Typical section of its beads, mm²; set when the run is complete.
    pub area_mm2: f64,
    /// Length so far, mm: the weight of `z_mm`.
    length_mm: f64,
}

impl Run {
    fn add(&mut self, strand: RawStrand) {
        let length: f64 = strand.beads.iter().map(|b| b.length_mm).sum();
        let z = strand.z_mm();
        if self.beads.is_empty() {
            self.z_mm = z;
        } else if strand.rising || self.rising {
            self.z_mm = self.z_mm.max(z);
        } else if self.length_mm + length > 0.0 {
            self.z_mm += (z - self.z_mm) * length / (self.length_mm + length);
        }
        self.length_mm += length;
        self.wavy |= strand.sloped();
        self.rising |= strand.rising;
        self.nozzle_c = widen(self.nozzle_c, strand.nozzle_c);
        let first = self.beads.len();
        self.beads.extend(strand.beads);
        self.labels.extend(strand.labels);
        let beads = first..self.beads.len();
        self.pieces.push(Piece { beads, tool: strand.tool, time_s: strand.time_s, blob_mm3: strand.blob_mm3 });
    }

    /// Cuts off everything from piece `at` on, as a run of its own.
    pub fn split_off(&mut self, at: usize) -> Self {
        let Some(cut) = self.pieces.get(at).map(|p| p.beads.start) else { return Self::default() };
        let mut pieces = self.pieces.split_off(at);
        for piece in &mut pieces {
            piece.beads = piece.beads.start - cut..piece.beads.end - cut;
        }
        let beads = self.beads.split_off(cut);
        let labels = self.labels.split_off(cut);
        let mut rest = Self { beads, labels, pieces, ..self.clone_marks() };
        self.complete();
        rest.complete();
        rest
    }

    fn clone_marks(&self) -> Self {
        Self { z_mm: self.z_mm, wavy: self.wavy, rising: self.rising, nozzle_c: self.nozzle_c, ..Self::default() }
    }

    /// Pieces whose ends meet, with their number.
    pub fn loops(&self) -> impl Iterator<Item = (usize, &[Bead])> {
        let gap = 0.3 * rough_width_mm(self.area_mm2);
        self.pieces.iter().enumerate().filter_map(move |(number, piece)| {
            let beads = self.beads.get(piece.beads.clone())?;
            let (first, last) = (beads.first()?, beads.last()?);
            (beads.len() >= 3 && first.from.distance(last.to) <= gap).then_some((number, beads))
        })
    }

    /// Works out what needs the whole run.
    pub fn complete(&mut self) {
        self.area_mm2 = median_area_mm2(&self.beads).unwrap_or(0.0);
    }
}

fn widen(a: Option<(f64, f64)>, b: Option<(f64, f64)>) -> Option<(f64, f64)> {
    match (a, b) {
        (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
        (a, b) => a.or(b),
    }
}

/// Strands to runs.
#[derive(Debug, Default)]
pub(super) struct RunBuilder {
    current: Run,
    last_z_mm: Option<f64>,
    last_wavy: bool,
    /// Steps between the latest runs, mm.
    steps_mm: Vec<f64>,
}

impl RunBuilder {
    /// Takes one strand; gives back the run before it if the strand begins a new one.
    pub fn push(&mut self, strand: RawStrand) -> Option<Run> {
        if strand.beads.is_empty() {
            return None;
        }
        let done = if self.belongs(&strand) { None } else { self.finish() };
        self.current.add(strand);
        done
    }

    /// Gives back the run at hand, if there is one.
    pub fn finish(&mut self) -> Option<Run> {
        if self.current.beads.is_empty() {
            return None;
        }
        let mut run = std::mem::take(&mut self.current);
        run.complete();
        let step = run.z_mm - self.last_z_mm.unwrap_or(0.0);
        if step > SAME_Z_MM && step < 2.0 {
            self.steps_mm.push(step);
            if self.steps_mm.len() > 15 {
                self.steps_mm.remove(0);
            }
        }
        self.last_z_mm = Some(run.z_mm);
        self.last_wavy = run.wavy;
        Some(run)
    }

    /// What a layer of this print is about thick, mm, as far as the runs so far tell.
    pub fn likely_step_mm(&self) -> f64 {
        let mut steps = self.steps_mm.clone();
        steps.sort_by(f64::total_cmp);
        let usual = steps.get(steps.len() / 2).copied();
        let first = Some(self.current.z_mm).filter(|z| *z > 0.03 && *z < 2.0);
        usual.or(first).unwrap_or(0.2)
    }

    fn belongs(&self, strand: &RawStrand) -> bool {
        if self.current.beads.is_empty() {
            return true;
        }
        let wide = strand.sloped() || self.current.wavy || self.last_wavy;
        let slack = if wide { SAME_Z_MM.max(0.5 * self.likely_step_mm()) } else { SAME_Z_MM };
        (strand.z_mm() - self.current.z_mm).abs() < slack
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::by_hand::{self, ring};
    use super::*;
    use approx::assert_relative_eq;

    /// A strand `length_mm` long that climbs from one height to another.
    fn sloping(from_z_mm: f64, z_mm: f64, length_mm: f64) -> RawStrand {
        let mut strand = RawStrand::default();
        for bead in by_hand::beads(&[(0.0, 0.0), (length_mm, 0.0)]) {
            strand.add(Bead { z_mm, ..bead }, from_z_mm, None, None);
        }
        strand
    }

    fn level(z_mm: f64, length_mm: f64) -> RawStrand {
        sloping(z_mm, z_mm, length_mm)
    }

    /// How many runs strands make.
    fn count(strands: impl IntoIterator<Item = RawStrand>) -> usize {
        let mut builder = RunBuilder::default();
        let before: usize = strands.into_iter().map(|strand| usize::from(builder.push(strand).is_some())).sum();
        before + usize::from(builder.finish().is_some())
    }

    fn one(strands: impl IntoIterator<Item = RawStrand>) -> Run {
        let mut builder = RunBuilder::default();
        for strand in strands {
            assert!(builder.push(strand).is_none());
        }
        builder.finish().unwrap()
    }

    /// A builder that has seen level runs at these heights.
    fn seen(heights: impl IntoIterator<Item = f64>) -> RunBuilder {
        let mut builder = RunBuilder::default();
        for z_mm in heights {
            builder.push(level(z_mm, 10.0));
            builder.finish();
        }
        builder
    }

    #[test]
    fn a_run_s_height_is_the_mean_along_it_and_the_highest_of_a_spiral() {
        // 10 mm at 0.2 and 30 mm at 0.21: a quarter and three quarters; then 40 mm more at 0.2.
        let strands = [level(0.2, 10.0), level(0.21, 30.0), level(0.2, 40.0)];
        assert_relative_eq!(one(strands[..2].to_vec()).z_mm, 0.2075, max_relative = 1e-12);
        assert_relative_eq!(one(strands.to_vec()).z_mm, 0.20375, max_relative = 1e-12);
        let rising = |z_mm| {
            let mut strand = level(z_mm, 10.0);
            strand.rising = true;
            strand
        };
        for strands in [[level(0.2, 10.0), rising(0.21)], [rising(0.21), level(0.2, 10.0)], [rising(0.2), rising(0.21)]]
        {
            assert_relative_eq!(one(strands).z_mm, 0.21);
        }
    }

    #[test]
    fn a_run_knows_its_least_and_greatest_temperature() {
        let at = |nozzle_c: Option<(f64, f64)>| {
            let mut strand = level(0.2, 10.0);
            strand.nozzle_c = nozzle_c;
            strand
        };
        let strands = [at(None), at(Some((205.0, 210.0))), at(Some((200.0, 207.0))), at(None)];
        assert_eq!(one(strands).nozzle_c, Some((200.0, 210.0)));
    }

    #[test]
    fn level_strands_of_one_height_are_one_run() {
        assert_eq!(count([level(0.2, 10.0), level(0.21, 10.0)]), 1);
        assert_eq!(count([level(0.2, 10.0), level(0.22, 10.0)]), 2);
        assert_eq!(count([level(0.4, 10.0), level(0.2, 10.0)]), 2);
    }

    #[test]
    fn half_a_layer_is_allowed_for_where_the_nozzle_climbs() {
        // The first run is 0.2 mm up, so that half a layer is 0.1 mm.
        for (aside, runs) in [(0.09, 1), (0.11, 2)] {
            let wavy = |z_mm: f64| sloping(z_mm - 0.01, z_mm + 0.01, 10.0);
            assert_eq!(count([level(0.2, 10.0), wavy(0.2 + aside)]), runs, "a wavy strand");
            assert_eq!(count([wavy(0.2), level(0.2 + aside, 10.0)]), runs, "after a wavy strand");
            let later = [wavy(0.2), level(0.4, 10.0), level(0.4 + aside, 10.0)];
            assert_eq!(count(later), 1 + runs, "after a wavy run");
        }
    }

    #[test]
    fn a_layer_is_likely_as_thick_as_the_usual_step() {
        assert_relative_eq!(seen([]).likely_step_mm(), 0.2);
        assert_relative_eq!(seen([0.3]).likely_step_mm(), 0.3);
        assert_relative_eq!(seen([0.3, 0.4, 0.5]).likely_step_mm(), 0.1, max_relative = 1e-9);
        // Neither down nor metres up is a step.
        assert_relative_eq!(seen([0.3, 0.1, -0.2]).likely_step_mm(), 0.3);
        assert_relative_eq!(seen([5.0]).likely_step_mm(), 0.2);
        // Only the latest fifteen count: eight of 0.2 mm outweigh seven of 0.3 mm, until one more comes.
        let heights = |thick: u32| (1..=8 + thick).map(|k| 0.2 * f64::from(k) + 0.1 * f64::from(k.saturating_sub(8)));
        assert_relative_eq!(seen(heights(7)).likely_step_mm(), 0.2, max_relative = 1e-9);
        assert_relative_eq!(seen(heights(8)).likely_step_mm(), 0.3, max_relative = 1e-9);
    }

    #[test]
    fn before_any_step_the_first_run_s_height_counts_if_it_can_be_one() {
        for (z_mm, want) in [(0.3, 0.3), (0.04, 0.04), (0.02, 0.2), (1.9, 1.9), (2.1, 0.2)] {
            let mut builder = RunBuilder::default();
            builder.push(level(z_mm, 10.0));
            assert_relative_eq!(builder.likely_step_mm(), want);
        }
    }

    #[test]
    fn strands_whose_ends_meet_are_loops() {
        // A gap of 0.3 widths, 0.126 mm, is none.
        let paths = [
            ring(0.0, 0.0, 9.0, 9.0, 0.0),
            ring(0.0, 0.0, 9.0, 9.0, 0.11),
            ring(0.0, 0.0, 9.0, 9.0, 0.14),
            vec![(0.0, 0.0), (9.0, 0.0), (0.0, 9.0), (0.0, 0.0)],
            vec![(0.0, 0.0), (9.0, 0.0), (0.0, 0.0)],
        ];
        let run = by_hand::run(0.2, 0.08, &paths);
        assert_eq!(run.loops().map(|(number, _)| number).collect::<Vec<_>>(), [0, 1, 3]);
    }
}
