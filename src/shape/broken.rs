//! Loops in pieces: walls with a stretch missing, or that stop a little early.
//!
//! Strands laid one after the other belong to one loop when together, with straight lines over what is missing,
//! they turn once round, and the ends on both sides of every longer missing stretch point at each other. No lines run
//! across them.

use super::crossed::Crossings;
use super::loops::{ENDS_MEET, Loop, ends, ring_of, weighted_median};
use super::turns::about_turns;
use crate::deposit::{Bead, Layer, Strand};
use crate::geom::{Point, Ring, Segment, signed_area};

/// A wall may miss as much as this in all and still be one loop, mm.
const LONGEST_GAP_MM: f64 = 15.0;

/// What is missing must be less than this share of the loop.
const GAP_SHARE: f64 = 0.3;

/// A wall is in no more pieces than this.
const MOST_PIECES: usize = 8;

/// A strand that stops as early as this many widths short of its start may do so at a corner (measured on real files).
const EARLY_STOP: f64 = 2.2;

/// One end at least points at the other: cosine of 25 degrees.
const STRAIGHT_ON: f64 = 0.906;

/// At an early stop a corner may lie between the ends, but the path does not turn back as fill does at a wall:
/// cosine of 134 degrees.
const TURNS_BACK: f64 = -0.7;

/// Ends point at each other within this angle: cosine of 40 degrees.
const POINTS_AT: f64 = 0.766;

/// Over a missing corner the way turns as the loop does, and by less than this at each end: cosine of 80 degrees.
const ROUNDS_CORNER: f64 = 0.17;

/// What is missing at a corner is shorter than this many widths.
const LONGEST_CORNER: f64 = 30.0;

/// At least this share of the full turn lies within the strands (a square broken at one corner and begun at
/// another has half of it within). Lines of fill that meet, or lie side by side, can go round too, but turn only where
/// one ends and the next begins.
const TURN_WITHIN: f64 = 0.4;

/// How surely the ends must point at each other over what is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ends {
    /// Straight on, or nearly.
    Onwards,
    /// A corner may be missing as well; then the loop must follow others to be believed.
    RoundCorner,
}

/// A loop with a missing corner follows other loops along this share of its corners at least.
const FOLLOWS: f64 = 0.7;

/// Loops that vouch for each other are longer than this many widths, and as round as this.
const WIDE_LENGTH: f64 = 40.0;
/// See [`WIDE_LENGTH`].
const WIDE_SHAPE: f64 = 0.35;

/// It follows another where that lies within this many widths.
const FOLLOWS_WIDTHS: f64 = 1.6;

/// The loops that strands not in `used` make; `whole` are those that close.
pub(super) fn broken_loops(layer: &Layer, used: &[bool], whole: &[Loop]) -> Vec<Loop> {
    let mut used = used.to_vec();
    let crossings = Crossings::new(layer);
    let told: Vec<Told> = layer
        .strands
        .iter()
        .zip(&used)
        .map(|(strand, used)| if *used { Told::default() } else { Told::of(layer, strand) })
        .collect();
    let mut loops = found(layer, &told, &mut used, Ends::Onwards, &crossings);
    if used.iter().all(|u| *u) {
        return loops;
    }
    let doubtful = found(layer, &told, &mut used, Ends::RoundCorner, &crossings);
    let sure: Vec<bool> = doubtful
        .iter()
        .map(|l| {
            // Lines of a joined fill may look like loops and lie beside each other; so only wide ones vouch.
            let beside = doubtful.iter().filter(|o| is_wide(l) && is_wide(o) && o.strands != l.strands);
            follows(l, &whole.iter().chain(&loops).chain(beside).collect::<Vec<_>>())
        })
        .collect();
    loops.extend(doubtful.into_iter().zip(sure).filter(|(_, sure)| *sure).map(|(l, _)| l));
    loops
}

/// What is asked of a strand again and again.
#[derive(Debug, Clone, Copy, Default)]
struct Told {
    /// Width that half its length stays under, mm.
    width_mm: f64,
    length_mm: f64,
    /// By how much its corners turn in all, radians, left positive.
    turn_rad: f64,
}

impl Told {
    fn of(layer: &Layer, strand: &Strand) -> Self {
        let beads = layer.strand_beads(strand);
        let turn = |pair: &[Bead]| {
            let (before, after) = (pair[0].to - pair[0].from, pair[1].to - pair[1].from);
            before.cross(after).atan2(before.dot(after))
        };
        Self {
            width_mm: weighted_median(beads.iter().map(|b| (b.width_mm, b.length_mm)).collect()),
            length_mm: beads.iter().map(|b| b.length_mm).sum(),
            turn_rad: beads.windows(2).map(turn).sum(),
        }
    }
}

fn found(layer: &Layer, told: &[Told], used: &mut [bool], ends: Ends, crossings: &Crossings<'_>) -> Vec<Loop> {
    let mut loops = Vec::new();
    let mut index = 0;
    while index < layer.strands.len() {
        let uncrossed = |last: &usize| {
            let strands: Vec<usize> = (index..=*last).collect();
            !crossings.run_across(&strands, told[index].width_mm)
        };
        if let Some(last) = last_piece(layer, told, index, used, ends).filter(uncrossed) {
            loops.extend(Loop::new(layer, (index..=last).collect()));
            used[index..=last].fill(true);
            index = last;
        }
        index += 1;
    }
    loops
}

/// Whether a loop is long and encloses much for its length (4 pi area / length squared, 1 for a circle).
fn is_wide(l: &Loop) -> bool {
    l.length_mm > WIDE_LENGTH * l.width_mm
        && 4.0 * std::f64::consts::PI * l.enclosed_mm2 > WIDE_SHAPE * l.length_mm * l.length_mm
}

/// Whether a loop lies beside one of the others nearly all the way.
fn follows(l: &Loop, others: &[&Loop]) -> bool {
    let reach_mm = FOLLOWS_WIDTHS * l.width_mm;
    let near = |p: Point, other: &Loop| {
        let edges = (0..other.ring.len()).map(|i| (other.ring[i], other.ring[(i + 1) % other.ring.len()]));
        edges.into_iter().any(|(a, b)| Segment::new(a, b).nearest(p).0.distance(p) < reach_mm)
    };
    let (mut beside, mut whole) = (vec![0.0; others.len()], 0.0);
    for i in 0..l.ring.len() {
        let (a, b) = (l.ring[i], l.ring[(i + 1) % l.ring.len()]);
        let length = a.distance(b);
        whole += length;
        for (beside, other) in beside.iter_mut().zip(others) {
            *beside += if near(a.lerp(b, 0.5), other) { length } else { 0.0 };
        }
    }
    beside.iter().any(|b| *b > FOLLOWS * whole)
}

/// The last of the strands from `first` on that make a loop together with the least missing.
fn last_piece(layer: &Layer, told: &[Told], first: usize, used: &[bool], meeting: Ends) -> Option<usize> {
    let start_strand = layer.strands.get(first)?;
    let (start, mut end) = ends(layer, start_strand)?;
    let width = told[first].width_mm;
    let (mut length, mut missing) = (0.0, 0.0);
    let mut best: Option<(f64, usize)> = None;
    let rest = layer.strands.iter().enumerate().zip(used).skip(first).take(MOST_PIECES);
    for ((last, strand), &is_used) in rest {
        let fits = !is_used && strand.tool == start_strand.tool;
        let Some((from, to)) = ends(layer, strand).filter(|_| fits) else { break };
        missing += if last > first { end.distance(from) } else { 0.0 };
        if missing > LONGEST_GAP_MM || (told[last].width_mm / width - 1.0).abs() > 0.15 {
            break;
        }
        length += told[last].length_mm;
        end = to;
        let all_missing = missing + end.distance(start);
        let worth = all_missing <= LONGEST_GAP_MM && all_missing < GAP_SHARE * length;
        let turn_rad: f64 = told[first..=last].iter().map(|t| t.turn_rad).sum();
        if worth
            && best.is_none_or(|b| all_missing < b.0)
            && turn_rad.abs() > TURN_WITHIN * std::f64::consts::TAU
            && is_loop(layer, first..=last, width, meeting)
        {
            best = Some((all_missing, last));
        }
    }
    best.map(|b| b.1)
}

/// Whether the strands go once round, are no zigzag, and point at each other over what is missing.
fn is_loop(layer: &Layer, strands: std::ops::RangeInclusive<usize>, width_mm: f64, meeting: Ends) -> bool {
    let members: Vec<usize> = strands.collect();
    let lone = members.len() == 1;
    let (ring, areas) = ring_of(layer, &members);
    let count = ring.len();
    if count < 3 {
        return false;
    }
    let leftwards = signed_area(&ring) > 0.0;
    let points_at = |i: usize| {
        let chord = ring[(i + 1) % count] - ring[i];
        let (before, after) = (ring[i] - ring[(i + count - 1) % count], ring[(i + 2) % count] - ring[(i + 1) % count]);
        let (Some(c), Some(b), Some(a)) = (chord.unit(), before.unit(), after.unit()) else { return false };
        let (from, to) = (c.dot(b), c.dot(a));
        let onwards = from.max(to) > STRAIGHT_ON && from.min(to) > TURNS_BACK;
        let stops_early = lone && chord.length() <= EARLY_STOP * width_mm && onwards;
        let with_loop = |turn: f64| if leftwards { turn > 0.0 } else { turn < 0.0 };
        let at_corner = meeting == Ends::RoundCorner
            && chord.length() < LONGEST_CORNER * width_mm
            && with_loop(b.cross(c))
            && with_loop(c.cross(a))
            && with_loop(b.cross(a))
            && from.min(to) > ROUNDS_CORNER;
        stops_early || at_corner || from.min(to) > POINTS_AT
    };
    let meets = |i: usize| ring[i].distance(ring[(i + 1) % count]) <= ENDS_MEET * width_mm;
    (0..count).all(|i| areas[i].is_some() || meets(i) || points_at(i)) && goes_round_once(&ring, width_mm)
}

/// Whether the corners turn once round in all, as those of a simple loop do, and it does not run to and fro.
fn goes_round_once(ring: &Ring, width_mm: f64) -> bool {
    let count = ring.len();
    let (mut turned, mut length) = (0.0, 0.0);
    for i in 0..count {
        let (a, b, c) = (ring[i], ring[(i + 1) % count], ring[(i + 2) % count]);
        let (before, after) = (b - a, c - b);
        turned += before.cross(after).atan2(before.dot(after));
        length += before.length();
    }
    let once = ((turned / std::f64::consts::TAU).abs() - 1.0).abs() < 0.13;
    let (left, right) = about_turns(ring, true, 2.5 * width_mm);
    once && left.min(right) < 2 && signed_area(ring).abs() > 0.5 * width_mm * length
}

#[cfg(test)]
#[path = "broken_tests.rs"]
mod tests;
