//! Walls that do not close: strands that follow a wall or an edge, cut off where walls would overlap.
//!
//! ```text
//!   ======================== outer wall, closed
//!     ------------------     open strand that follows it: a wall
//!   ========================
//!     /\/\/\/\/\/\/\/\/\     fill that touches it now and then: none
//! ```
//!
//! A strand is a wall when walls run beside it on both sides along nearly all of its length (a single bead that
//! fills the middle of a rib), or on one side when it bends with them. A straight strand beside one wall may as
//! well be the first line of fill that happens to run parallel, and is not taken.

use super::turns::about_turns;
use crate::geom::{Point, Segment, SegmentGrid};

/// A straight piece of a strand that is a wall or might be one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub segment: Segment,
    /// Which strand.
    pub strand: usize,
    /// Fused neighbours lie no further off than this, mm.
    pub reach_mm: f64,
    /// Nearer than this it is the same bead laid twice, mm.
    pub same_mm: f64,
    /// How wide a lane its plastic fills, mm: section / height, twice that where a second lap lies on it.
    pub fills_mm: f64,
    /// Pitch of the bead whose narrow zigzag this is, mm; `None` for a bead laid straight.
    pub woven_of_mm: Option<f64>,
}

/// Share of a strand's length along which walls must run beside it.
const ALONG_SHARE: f64 = 0.8;

/// A bead between two walls fills at least this share of the lane between their flanks, or it is no wall.
const FILLS_LANE: f64 = 0.87;

/// A lane of hardly more than two beads has no room for a core: a zigzag in it reaches both flanks and leaves no more
/// than notches (0.81 to 0.93 of such lanes is filled on a real part whose flow is 0.95).
const NARROW_LANE: f64 = 2.7;
const FILLS_NARROW_LANE: f64 = 0.78;

impl Piece {
    /// Whether it leaves no more than a crack in a lane between two walls.
    fn fills(&self, lane_mm: f64) -> bool {
        let narrow = self.woven_of_mm.is_some_and(|pitch_mm| lane_mm < NARROW_LANE * pitch_mm);
        self.fills_mm > lane_mm * if narrow { FILLS_NARROW_LANE } else { FILLS_LANE }
    }
}

/// Cosine of 20 degrees.
const PARALLEL: f64 = 0.94;

/// A strand bends when two of its pieces differ by more than this in direction: cosine of 25 degrees.
const BENDS: f64 = 0.906;

/// Rounds of looking: each finds the walls beside those found before.
const MOST_ROUNDS: usize = 30;

/// Marks in `accepted` (one for each strand; loops are marked already) the open strands that are walls.
pub(super) fn find_open_walls(pieces: &[Piece], accepted: &mut [bool]) {
    let widest = pieces.iter().map(|p| p.reach_mm).fold(0.1, f64::max);
    let segments: Vec<Segment> = pieces.iter().map(|p| p.segment).collect();
    let grid = SegmentGrid::new(&segments, (2.0 * widest).clamp(0.5, 6.0));
    let mut open: Vec<&[Piece]> =
        pieces.chunk_by(|a, b| a.strand == b.strand).filter(|c| !accepted[c[0].strand]).collect();
    for _ in 0..MOST_ROUNDS {
        let found: Vec<usize> =
            open.iter().filter(|c| follows_walls(c, pieces, &grid, accepted)).map(|c| c[0].strand).collect();
        if found.is_empty() {
            return;
        }
        for strand in found {
            accepted[strand] = true;
        }
        open.retain(|c| !accepted[c[0].strand]);
    }
}

fn follows_walls(strand: &[Piece], pieces: &[Piece], grid: &SegmentGrid, accepted: &[bool]) -> bool {
    let (mut left, mut right, mut either, mut whole, mut filled) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let length: f64 = strand.iter().map(|p| p.segment.length_mm()).sum();
    // Most fill has nothing beside it for so long that the rest need not be looked at; a hair more, for rounding.
    let may_miss = (1.0 - ALONG_SHARE + 1e-6) * length;
    for piece in strand {
        let length = piece.segment.length_mm();
        let Some(along) = piece.segment.direction() else { continue };
        let looks = ((length / (2.0 * piece.reach_mm)) as usize).clamp(1, 12);
        for k in 0..looks {
            let at = piece.segment.from.lerp(piece.segment.to, (k as f64 + 0.5) / looks as f64);
            let (on_left, on_right) = beside(at, along, piece, pieces, grid, accepted);
            let share = length / looks as f64;
            whole += share;
            left += if on_left.is_some() { share } else { 0.0 };
            right += if on_right.is_some() { share } else { 0.0 };
            either += if on_left.or(on_right).is_some() { share } else { 0.0 };
            if whole - either > may_miss {
                return false;
            }
            if let (Some(l), Some(r)) = (on_left, on_right)
                && piece.fills(l + r)
            {
                filled += share;
            }
        }
    }
    let enough = ALONG_SHARE * whole;
    if filled >= enough {
        return true;
    }
    let long = whole >= 6.0 * strand.first().map_or(f64::INFINITY, |p| p.reach_mm);
    // A zigzag beside one wall fills up to what lies on its other side.
    let woven = strand.iter().any(|p| p.woven_of_mm.is_some());
    long && either >= enough && left.max(right) >= enough && bends(strand) && !woven && !is_zigzag(strand)
}

/// The distance from `at` to the flanks of the nearest accepted walls that run along, on the left and on the right.
fn beside(
    at: Point,
    along: Point,
    piece: &Piece,
    pieces: &[Piece],
    grid: &SegmentGrid,
    accepted: &[bool],
) -> (Option<f64>, Option<f64>) {
    let (mut on_left, mut on_right): (Option<f64>, Option<f64>) = (None, None);
    grid.near(at, piece.reach_mm, |i| {
        let other = &pieces[i];
        if other.strand == piece.strand || !accepted[other.strand] {
            return;
        }
        let step = other.segment.nearest(at).0 - at;
        let distance = step.length();
        let parallel = other.segment.direction().is_some_and(|d| d.dot(along).abs() > PARALLEL);
        let reach = 0.5 * (piece.reach_mm + other.reach_mm);
        if parallel && distance >= piece.same_mm && distance <= reach && step.dot(along).abs() < 0.5 * distance {
            let clear = distance - other.reach_mm / 3.0;
            let side = if along.cross(step) > 0.0 { &mut on_left } else { &mut on_right };
            *side = Some(side.map_or(clear, |s| s.min(clear)));
        }
    });
    (on_left, on_right)
}

/// A wall turns about at the tips of a rib; a zigzag does so all the time.
fn is_zigzag(strand: &[Piece]) -> bool {
    let reach = strand.iter().map(|p| p.reach_mm).fold(0.0, f64::max);
    let points: Vec<Point> =
        strand.first().map(|p| p.segment.from).into_iter().chain(strand.iter().map(|p| p.segment.to)).collect();
    let (left, right) = about_turns(&points, false, 1.5 * reach);
    left + right > 2
}

fn bends(strand: &[Piece]) -> bool {
    let mut directions =
        strand.iter().filter(|p| p.segment.length_mm() > 0.3 * p.reach_mm).filter_map(|p| p.segment.direction());
    let Some(first) = directions.next() else { return false };
    directions.any(|d| d.dot(first).abs() < BENDS)
}

#[cfg(test)]
#[path = "open_walls_tests.rs"]
mod tests;
