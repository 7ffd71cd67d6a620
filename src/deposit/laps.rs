//! Cuts strands into single laps and says which of them close.
//!
//! ```text
//!    ┌───────────┐          one strand, two laps: the path comes back beside its start
//!    │ ┌───────┐ │          and goes on one bead further in
//!    │ │       │ │
//!    │ └──────·│ │  ·: end
//!    └──────── ┘ o  o: start
//! ```
//!
//! A gap of up to 0.3 bead widths between the ends is closed for certain: on real files no fill ends that near
//! its start. Wider gaps, up to 2.2 widths, are only likely: see [`Closing`].

use super::Bead;
use crate::geom::Point;
use std::ops::Range;

/// Ends nearer than this, in bead widths, close a loop.
pub const SURE_GAP: f64 = 0.3;
/// A bead laid out and back again ends as near as this many widths to its start: what lies between its two lanes, next
/// to nothing, is the surer sign.
const RETRACED_GAP: f64 = 1.0;
/// A lap is looked for where the path comes back within this many widths of its start.
pub const LAP_GAP: f64 = 1.2;
/// Ends further apart than this, in bead widths, never close a loop.
pub const WIDEST_GAP: f64 = 2.2;
/// A loop is at least this many bead widths long.
pub const LEAST_LENGTH: f64 = 6.0;
/// A shorter one ends nearer to its start than this, in bead widths, and is at least as long as the next.
const SPECK_GAP: f64 = 0.2;
/// See [`SPECK_GAP`].
const SPECK_LENGTH: f64 = 2.5;
/// How far the turns of a loop may be off one full turn, in turns.
const TURN_SLACK: f64 = 0.13;

/// Whether a lap closes on itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Closing {
    /// It does not.
    Open,
    /// It comes near enough and turns once; whether it is a loop depends on its neighbours.
    Likely,
    /// It does.
    Sure,
    /// It runs back over itself from its middle: one bead laid twice.
    Retraced,
}

/// A piece of a strand.
#[derive(Debug, Clone, PartialEq)]
pub struct Lap {
    /// Its beads, as a range of those given.
    pub beads: Range<usize>,
    /// Whether it closes.
    pub closing: Closing,
}

/// Cuts one strand into laps; `width_mm` is its typical bead width. The laps cover the beads in order.
#[must_use]
pub fn laps(beads: &[Bead], width_mm: f64) -> Vec<Lap> {
    let path = Path::new(beads);
    let whole = 0..beads.len();
    match path.closing(&whole, width_mm, SURE_GAP) {
        Closing::Open | Closing::Likely => {}
        closing => return vec![Lap { beads: whole, closing }],
    }
    let mut found = path.walk(width_mm, SURE_GAP);
    if found.len() == 1 && path.turns(&whole).abs() > 1.5 {
        // Laps that never meet their own start but pass one bead beside it.
        found = path.walk(width_mm, LAP_GAP);
    }
    for lap in &mut found {
        if lap.closing == Closing::Open {
            lap.closing = path.closing(&lap.beads, width_mm, WIDEST_GAP);
        }
    }
    found
}

/// Whether an open strand goes once round something, as a wall with a gap does: its ends are near for its length, it
/// turns once, and hardly turns back on the way as fill does.
#[must_use]
pub fn goes_round(beads: &[Bead], width_mm: f64) -> bool {
    if beads.len() < 3 {
        return false;
    }
    let (path, whole) = (Path::new(beads), 0..beads.len());
    let length = path.length(&whole);
    let both_ways: f64 = path.turn.windows(2).map(|t| (t[1] - t[0]).abs()).sum::<f64>() / std::f64::consts::TAU;
    path.gap(&whole) < 0.1 * length
        && (path.turns(&whole).abs() - 1.0).abs() <= TURN_SLACK
        && both_ways < 2.5
        && path.area(&whole) > 0.75 * width_mm * length
}

/// A strand with what the walk needs, summed along it.
struct Path<'a> {
    beads: &'a [Bead],
    /// Length up to the start of each bead, mm; one more than there are beads.
    length_mm: Vec<f64>,
    /// Turn up to and with the corner at the start of each bead, radians.
    turn: Vec<f64>,
    /// Direction of each bead; that of the one before where a bead is too short to have one.
    heading: Vec<Point>,
}

impl<'a> Path<'a> {
    fn new(beads: &'a [Bead]) -> Self {
        let mut length_mm = Vec::with_capacity(beads.len() + 1);
        let mut turn = Vec::with_capacity(beads.len());
        let mut heading: Vec<Point> = Vec::with_capacity(beads.len());
        let (mut length, mut turned) = (0.0, 0.0);
        for bead in beads {
            length_mm.push(length);
            length += bead.length_mm;
            let along = bead.to - bead.from;
            let before = heading.last().copied();
            // Below about 0.02 mm rounding makes up the direction.
            let here = if along.length() < 0.02 { before } else { along.unit() };
            if let (Some(before), Some(here)) = (before, here) {
                turned += angle(before, here);
            }
            heading.push(here.or(before).unwrap_or_default());
            turn.push(turned);
        }
        length_mm.push(length);
        Self { beads, length_mm, turn, heading }
    }

    fn length(&self, range: &Range<usize>) -> f64 {
        self.length_mm[range.end] - self.length_mm[range.start]
    }

    fn gap(&self, range: &Range<usize>) -> f64 {
        self.beads[range.start].from.distance(self.beads[range.end - 1].to)
    }

    /// Turns along the range with the corner where it would close, in full turns.
    fn turns(&self, range: &Range<usize>) -> f64 {
        let (first, last) = (range.start, range.end - 1);
        let closing = angle(self.heading[last], self.heading[first]);
        (self.turn[last] - self.turn[first] + closing) / std::f64::consts::TAU
    }

    /// Area the range encloses when closed, mm² (shoelace formula).
    fn area(&self, range: &Range<usize>) -> f64 {
        let origin = self.beads[range.start].from;
        let sum: f64 = self.beads[range.clone()].iter().map(|b| (b.from - origin).cross(b.to - origin)).sum();
        0.5 * sum.abs()
    }

    fn closing(&self, range: &Range<usize>, width_mm: f64, gap: f64) -> Closing {
        let length = self.length(range);
        if self.is_speck(range, width_mm, length) {
            return Closing::Sure;
        }
        if range.len() < 3 || length < LEAST_LENGTH * width_mm || length.is_nan() {
            return if range.len() == 2 && self.is_retraced(range, width_mm, length) {
                Closing::Retraced
            } else {
                Closing::Open
            };
        }
        if self.is_retraced(range, width_mm, length) {
            return Closing::Retraced;
        }
        let apart = self.gap(range);
        if apart > gap * width_mm || apart.is_nan() {
            return Closing::Open;
        }
        if (self.turns(range).abs() - 1.0).abs() > TURN_SLACK {
            return Closing::Open;
        }
        if apart <= SURE_GAP * width_mm {
            return Closing::Sure;
        }
        // Two lines of a zigzag come back as near and turn as much, but enclose only half a width per length.
        if self.area(range) > 0.75 * width_mm * length { Closing::Likely } else { Closing::Open }
    }

    /// The wall of a pin hardly wider than two beads: short, but it ends where it began, goes once round and
    /// encloses something.
    fn is_speck(&self, range: &Range<usize>, width_mm: f64, length_mm: f64) -> bool {
        range.len() > 2
            && (SPECK_LENGTH..LEAST_LENGTH).contains(&(length_mm / width_mm))
            && self.gap(range) < SPECK_GAP * width_mm
            && (self.turns(range).abs() - 1.0).abs() < TURN_SLACK
            && self.area(range) > 0.15 * width_mm * length_mm
    }

    fn is_retraced(&self, range: &Range<usize>, width_mm: f64, length_mm: f64) -> bool {
        self.gap(range) <= RETRACED_GAP * width_mm
            && length_mm >= LEAST_LENGTH * width_mm
            && self.area(range) < 0.1 * width_mm * length_mm
    }

    /// Walks along and cuts wherever the path has come back within `gap` widths of the lap's start.
    fn walk(&self, width_mm: f64, gap: f64) -> Vec<Lap> {
        let (mut found, mut start) = (Vec::new(), 0);
        while let Some(end) = self.lap_end(start, width_mm, gap) {
            let beads = start..end;
            let closing = self.closing(&beads, width_mm, gap);
            found.push(Lap { beads, closing });
            start = end;
        }
        if start < self.beads.len() {
            found.push(Lap { beads: start..self.beads.len(), closing: Closing::Open });
        }
        found
    }

    /// End of the first lap from `start`: where the path is nearest the start once it has come back.
    fn lap_end(&self, start: usize, width_mm: f64, gap: f64) -> Option<usize> {
        let origin = self.beads.get(start)?.from;
        let mut best: Option<(usize, f64)> = None;
        for end in start + 3..=self.beads.len() {
            if self.length_mm[end] - self.length_mm[start] < LEAST_LENGTH * width_mm {
                continue;
            }
            let distance = self.beads[end - 1].to.distance(origin);
            if best.is_some_and(|(_, least)| distance >= least) {
                break;
            }
            let laps = distance <= gap * width_mm
                && matches!(self.closing(&(start..end), width_mm, gap), Closing::Sure | Closing::Likely);
            if laps {
                best = Some((end, distance));
            }
        }
        best.map(|(end, _)| end)
    }
}

/// Angle from one direction to another, radians, to the left positive.
fn angle(from: Point, to: Point) -> f64 {
    from.cross(to).atan2(from.dot(to))
}

#[cfg(test)]
mod tests {
    use super::super::by_hand;
    use super::*;
    use Closing::{Likely, Open, Retraced, Sure};

    const WIDTH_MM: f64 = 0.4;

    /// A path whose corners are given in bead widths.
    fn drawn(corners: &[(f64, f64)]) -> Vec<Bead> {
        let mm: Vec<(f64, f64)> = corners.iter().map(|(x, y)| (x * WIDTH_MM, y * WIDTH_MM)).collect();
        by_hand::beads(&mm)
    }

    /// A rectangle, left open by `gap` in the middle of its lower side; all in bead widths.
    fn rectangle(long: f64, wide: f64, gap: f64) -> Vec<(f64, f64)> {
        let half = 0.5 * long;
        vec![(half + 0.5 * gap, 0.0), (long, 0.0), (long, wide), (0.0, wide), (0.0, 0.0), (half - 0.5 * gap, 0.0)]
    }

    /// Crosses itself once: a lobe of 160 square widths one way round, one of 10 the other.
    const EIGHT: [(f64, f64); 5] = [(0.0, 0.0), (20.0, 20.0), (20.0, 0.0), (0.0, 5.0), (0.0, 0.0)];

    fn cut(corners: &[(f64, f64)]) -> Vec<(Range<usize>, Closing)> {
        laps(&drawn(corners), WIDTH_MM).into_iter().map(|lap| (lap.beads, lap.closing)).collect()
    }

    fn assert_uncut(corners: &[(f64, f64)], closing: Closing) {
        assert_eq!(cut(corners), [(0..corners.len() - 1, closing)], "{corners:?}");
    }

    #[test]
    fn how_far_apart_the_ends_of_a_loop_may_be() {
        for (gap, closing) in [(0.0, Sure), (0.25, Sure), (0.35, Likely), (2.1, Likely), (2.3, Open)] {
            let corners = rectangle(10.0, 10.0, gap);
            assert_uncut(&corners, closing);
            let clockwise: Vec<_> = corners.into_iter().rev().collect();
            assert_uncut(&clockwise, closing);
        }
        assert_uncut(&[(0.0, 0.0), (5.0, 0.0), (0.0, 5.0), (0.0, 0.0)], Sure);
    }

    #[test]
    fn ends_some_way_apart_close_only_a_loop_that_encloses_something() {
        // 18 square widths within 22.6 widths of path, and 16 within 22.2: 0.75 a width of path lies between.
        assert_uncut(&rectangle(10.0, 1.8, 1.0), Likely);
        assert_uncut(&rectangle(10.0, 1.6, 1.0), Open);
    }

    #[test]
    fn a_figure_eight_is_no_loop() {
        assert_uncut(&EIGHT, Open);
        let mut with_tail = EIGHT.to_vec();
        with_tail.push((-20.0, 0.0));
        assert_uncut(&with_tail, Open);
    }

    #[test]
    fn the_wall_of_a_pin_is_a_loop_however_short() {
        assert_uncut(&rectangle(1.0, 1.0, 0.0), Sure);
        // Round it: from 2.5 widths on; from 6 on any loop is one.
        assert_uncut(&rectangle(0.62, 0.62, 0.0), Open);
        assert_uncut(&rectangle(0.65, 0.65, 0.0), Sure);
        assert_uncut(&rectangle(1.45, 1.45, 0.0), Sure);
        assert_uncut(&rectangle(1.55, 1.55, 0.0), Sure);
        // So short a loop has to end nearer to its start than others.
        assert_uncut(&rectangle(1.0, 1.0, 0.15), Sure);
        assert_uncut(&rectangle(1.0, 1.0, 0.25), Open);
        // 0.64 and 0.36 square widths within 4 widths of path: 0.15 a width of path lies between.
        assert_uncut(&rectangle(1.6, 0.4, 0.0), Sure);
        assert_uncut(&rectangle(1.8, 0.2, 0.0), Open);
    }

    #[test]
    fn what_goes_twice_round_a_pin_is_not_its_wall() {
        let once = [(0.7, 0.0), (0.7, 0.7), (0.0, 0.7), (0.0, 0.0)];
        let twice: Vec<_> = std::iter::once((0.0, 0.0)).chain(once).chain(once).collect();
        assert_uncut(&twice, Open);
    }

    #[test]
    fn a_bead_laid_out_and_back_is_retraced() {
        assert_uncut(&[(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (5.0, 0.02), (0.0, 0.0)], Retraced);
        for (end, closing) in [(0.0, Retraced), (0.9, Retraced), (1.1, Open), (2.0, Open)] {
            assert_uncut(&[(0.0, 0.0), (10.0, 0.0), (end, 0.0)], closing);
        }
        // 7 widths of path, and 5.
        assert_uncut(&[(0.0, 0.0), (3.5, 0.0), (0.0, 0.0)], Retraced);
        assert_uncut(&[(0.0, 0.0), (2.5, 0.0), (0.0, 0.0)], Open);
        // 1.5 and 2.5 square widths within 20 widths of path: 0.1 a width of path lies between.
        assert_uncut(&[(0.0, 0.0), (10.0, 0.0), (0.0, 0.3)], Retraced);
        assert_uncut(&[(0.0, 0.0), (10.0, 0.0), (0.0, 0.5)], Open);
        assert_uncut(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)], Open);
    }

    #[test]
    fn laps_that_meet_their_start_are_cut_there() {
        let once = [(5.0, 0.0), (5.0, 5.0), (0.0, 5.0), (0.0, 0.0)];
        let twice: Vec<_> = std::iter::once((0.0, 0.0)).chain(once).chain(once).collect();
        assert_eq!(cut(&twice), [(0..4, Sure), (4..8, Sure)]);
    }

    #[test]
    fn a_lap_ends_where_it_is_nearest_its_start() {
        // It is near enough a quarter of a width before it meets its start, and then leaves.
        let corners = [(0.0, 0.0), (5.0, 0.0), (5.0, 5.0), (0.0, 5.0), (0.0, 0.25), (0.0, 0.0), (-20.0, 0.0)];
        assert_eq!(cut(&corners), [(0..5, Sure), (5..6, Open)]);
    }

    #[test]
    fn a_rest_after_a_lap_is_measured_without_the_lap() {
        // A quarter of a width is too wide a gap for so short a rest.
        let mut corners = vec![(0.625, 0.0), (5.0, 0.0), (5.0, 5.0), (-1.0, 5.0), (-1.0, 0.0)];
        corners.extend(rectangle(1.0, 1.0, 0.25));
        assert_eq!(cut(&corners), [(0..5, Sure), (5..10, Open)]);
    }

    #[test]
    fn laps_that_pass_a_bead_beside_their_start_are_cut_once_there_are_two() {
        let outer = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0), (0.0, 1.0), (19.0, 1.0)];
        assert_uncut(&outer, Open);
        let both: Vec<_> = outer.into_iter().chain([(19.0, 19.0), (1.0, 19.0), (1.0, 1.6)]).collect();
        assert_eq!(cut(&both), [(0..4, Likely), (4..8, Likely)]);
    }

    fn round(corners: &[(f64, f64)]) -> bool {
        goes_round(&drawn(corners), WIDTH_MM)
    }

    #[test]
    fn a_wall_with_a_gap_goes_round() {
        // The gap may be a tenth of the path: 7 of 73 widths, but not 8 of 72.
        assert!(round(&rectangle(20.0, 20.0, 7.0)) && !round(&rectangle(20.0, 20.0, 8.0)));
        // What it encloses is judged as for a loop.
        assert!(round(&rectangle(10.0, 1.8, 1.0)) && !round(&rectangle(10.0, 1.6, 1.0)));
        assert!(round(&[(1.0, 0.0), (20.0, 0.0), (0.0, 20.0), (0.0, 1.0)]), "three beads are enough");
        assert!(!round(&[(0.0, 0.0), (20.0, 0.0), (0.0, 1.0)]), "two are not");
        assert!(!round(&[&EIGHT[..4], &[(0.0, 0.5)]].concat()), "it turns once");
    }

    #[test]
    fn what_turns_back_and_forth_does_not_go_round() {
        let star = |inner: f64| -> Vec<(f64, f64)> {
            let corner = |k: i32| {
                let (sin, cos) = (f64::from(k) * 15.0_f64.to_radians()).sin_cos();
                let radius = if k % 2 == 0 { 10.0 } else { inner };
                (radius * cos, radius * sin)
            };
            (0..24).map(corner).collect()
        };
        assert!(round(&star(9.9)) && !round(&star(7.0)));
    }
}
