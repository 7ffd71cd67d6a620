//! How much of a core its solid fill leaves bare.
//!
//! Lines lie a pitch apart, their ends make a saw-tooth edge, and some short ones are missing: cracks up to two
//! pitches wide are closed. Where a last line had no room beside a wall a strip stays bare, with no sparse line in it:
//! slivers are taken off, and only what holds a sparse line counts.

use super::bit_plan::BitPlan;
use super::fill::FillPiece;
use super::outline::Spacing;
use super::part_beads::Strip;
use crate::geom::{Point, Polygon, box_of};

/// Cells in a pitch.
const CELLS: f64 = 6.0;
/// Steps of the cross and of the square that make up one pitch.
const PITCH_STEPS: (usize, usize) = (3, 3);
/// The same for a sliver, narrower than about 0.6 pitches (0.5 along the plan's axes, 0.7 aslant).
const SLIVER_STEPS: (usize, usize) = (0, 1);

/// Area of the core without solid fill but with sparse fill in it, mm². `solid` says of each strand whether it is.
pub(super) fn bare_mm2(core: &[Polygon], pieces: &[FillPiece], solid: &[bool], spacing: Spacing) -> f64 {
    let covering = || pieces.iter().filter(|p| solid[p.strand]);
    let pitch_mm = covering().map(|p| spacing.pitch_mm(p.area_mm2)).fold(0.0, f64::max);
    let corners: Vec<Point> = core.iter().flat_map(|p| p.outer.iter().copied()).collect();
    let margin = PITCH_STEPS.0 + PITCH_STEPS.1 + 1;
    let plan = box_of(&corners).and_then(|(low, high)| BitPlan::over(low, high, pitch_mm / CELLS, margin));
    let Some(mut bare) = plan else { return 0.0 };
    let mut covered = bare.like();
    for piece in covering() {
        let (from, to) = (piece.segment.from, piece.segment.to);
        covered.draw_strip(&Strip { from, to, width_mm: spacing.pitch_mm(piece.area_mm2) });
    }
    covered.grow(PITCH_STEPS.0, PITCH_STEPS.1);
    covered.shrink(PITCH_STEPS.0, PITCH_STEPS.1);
    bare.draw_polygons(core);
    bare.take_away(&covered);
    bare.shrink(SLIVER_STEPS.0, SLIVER_STEPS.1);
    bare.grow(SLIVER_STEPS.0, SLIVER_STEPS.1);
    bare.area_with_mm2(pieces.iter().filter(|p| !solid[p.strand]).map(|p| p.segment.middle()))
}
