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
