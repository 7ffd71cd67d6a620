//! How much of a core its solid fill leaves bare.
//!
//! Lines lie a pitch apart and their ends make a saw-tooth edge: cracks up to two pitches wide are closed. Lines too
//! short to lay are left out beside the patch, which leaves notches a line deep and a few lines long: these are closed
//! too, unless a sparse line lies in them. Where a last line had no room beside a wall a strip stays bare, with no
//! sparse line in it: slivers are taken off, and only what holds a sparse line counts.

use super::bit_plan::BitPlan;
use super::fill::FillPiece;
use super::outline::Spacing;
use super::part_beads::Strip;
use crate::geom::{Polygon, box_of};

/// Cells in a pitch.
const CELLS: f64 = 12.0;
/// Steps of the cross and of the square that make up one pitch.
const PITCH_STEPS: (usize, usize) = (6, 6);
/// The same for half the width of a notch, three and a half pitches.
const NOTCH_STEPS: (usize, usize) = (20, 22);
/// The same for a sliver, narrower than about 0.6 pitches (0.5 along the plan's axes).
const SLIVER_STEPS: (usize, usize) = (1, 2);

/// What lies in a core.
struct Fill<'a> {
    pieces: &'a [FillPiece],
    /// Of each strand, whether its fill is solid.
    solid: &'a [bool],
    spacing: Spacing,
    /// Widest distance of solid lines.
    pitch_mm: f64,
}

/// Area of the core without solid fill but with sparse fill in it, mm². `solid` says of each strand whether it is.
///
/// The polygons are looked at one by one, since more lies between the parts of a plate than in them.
pub(super) fn bare_mm2(core: &[Polygon], pieces: &[FillPiece], solid: &[bool], spacing: Spacing) -> f64 {
    let covering = pieces.iter().filter(|p| solid[p.strand]);
    let pitch_mm = covering.map(|p| spacing.pitch_mm(p.area_mm2)).fold(0.0, f64::max);
    let fill = Fill { pieces, solid, spacing, pitch_mm };
    core.iter().map(|polygon| bare_of(polygon, &fill)).sum()
}

fn bare_of(core: &Polygon, fill: &Fill<'_>) -> f64 {
    let margin = NOTCH_STEPS.0 + NOTCH_STEPS.1 + 1;
    let plan = box_of(&core.outer).and_then(|(low, high)| BitPlan::over(low, high, fill.pitch_mm / CELLS, margin));
    let Some(mut whole) = plan else { return 0.0 };
    let (covering, sparse): (Vec<&FillPiece>, Vec<&FillPiece>) =
        fill.pieces.iter().filter(|p| whole.meets(p.segment)).partition(|p| fill.solid[p.strand]);
    if sparse.is_empty() {
        return 0.0;
    }
    let mut covered = whole.like();
    for piece in covering {
        let (from, to) = (piece.segment.from, piece.segment.to);
        covered.draw_strip(&Strip { from, to, width_mm: fill.spacing.pitch_mm(piece.area_mm2) });
    }
    whole.draw_polygons(std::slice::from_ref(core));
    let beside = |gap: (usize, usize)| {
        let mut closed = covered.clone();
        closed.grow(gap.0, gap.1);
        closed.shrink(gap.0, gap.1);
        without_slivers(whole.without(&closed))
    };
    let with_lines = |plan: &BitPlan| plan.area_with_mm2(sparse.iter().map(|p| p.segment.middle()));
    let open = beside(PITCH_STEPS);
    if with_lines(&open) == 0.0 {
        return 0.0;
    }
    let smooth = beside(NOTCH_STEPS);
    with_lines(&smooth) + with_lines(&without_slivers(open.without(&smooth)))
}

fn without_slivers(mut plan: BitPlan) -> BitPlan {
    plan.shrink(SLIVER_STEPS.0, SLIVER_STEPS.1);
    plan.grow(SLIVER_STEPS.0, SLIVER_STEPS.1);
    plan
}
