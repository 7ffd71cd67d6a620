//! How much of a core its solid fill leaves bare.
//!
//! Lines lie a pitch apart and their ends make a saw-tooth edge: cracks up to two pitches wide are closed. Lines too
//! short to lay are left out beside the patch, which leaves notches a line deep and a few lines long: these are closed
//! too, unless a sparse line lies in them. Where a last line had no room beside a wall a strip stays bare, with no
//! sparse line in it: slivers are taken off, and only what holds a sparse line counts.

use super::bit_plan::BitPlan;
use super::core_room::CoreRoom;
use super::fill::FillPiece;
use super::outline::Spacing;
use super::part_beads::Strip;
use crate::geom::{Point, Segment};

/// Cells in a pitch. Against 32 of them the density of a core is off by 0.12 points of 100 on the mean with 4, with 8
/// by 0.08 (114 layers of real and made files; in one of twenty by more than 0.24 and 0.20).
const CELLS: f64 = 4.0;
/// Steps of the cross and of the square that make up one pitch.
const PITCH_STEPS: (usize, usize) = (2, 2);
/// The same for half the width of a notch, three and a half pitches.
const NOTCH_STEPS: (usize, usize) = (7, 7);
/// The same for a sliver, narrower than half a pitch.
const SLIVER_STEPS: (usize, usize) = (0, 1);

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
/// The rooms are looked at one by one, since more lies between the parts of a plate than in them.
pub(super) fn bare_mm2(core: &[CoreRoom], pieces: &[FillPiece], solid: &[bool], spacing: Spacing) -> f64 {
    let covering = pieces.iter().filter(|p| solid[p.strand]);
    let pitch_mm = covering.map(|p| spacing.pitch_mm(p.area_mm2)).fold(0.0, f64::max);
    let fill = Fill { pieces, solid, spacing, pitch_mm };
    core.iter().map(|room| bare_of(room, &fill)).sum()
}

fn bare_of(room: &CoreRoom, fill: &Fill<'_>) -> f64 {
    let margin = NOTCH_STEPS.0 + NOTCH_STEPS.1 + 1;
    let Some((low, high)) = room.bounds() else { return 0.0 };
    // Rows of the plan run along the longer side: a few long ones take less time than many short ones.
    let tall = high.y - low.y > high.x - low.x;
    let laid = |p: Point| if tall { Point::new(p.y, p.x) } else { p };
    let segment = |piece: &FillPiece| Segment::new(laid(piece.segment.from), laid(piece.segment.to));
    let plan = BitPlan::over(laid(low), laid(high), fill.pitch_mm / CELLS, margin);
    let Some(mut whole) = plan else { return 0.0 };
    let (covering, sparse): (Vec<&FillPiece>, Vec<&FillPiece>) =
        fill.pieces.iter().filter(|p| whole.meets(segment(p))).partition(|p| fill.solid[p.strand]);
    if sparse.is_empty() {
        return 0.0;
    }
    let mut covered = whole.like();
    for piece in covering {
        let Segment { from, to } = segment(piece);
        covered.draw_strip(&Strip { from, to, width_mm: fill.spacing.pitch_mm(piece.area_mm2) });
    }
    if tall {
        room.turned().draw(&mut whole)
    } else {
        room.draw(&mut whole)
    }
    let lines: Vec<(usize, usize)> = sparse.iter().filter_map(|p| whole.cell_at(segment(p).middle())).collect();
    let open = beside(&whole, &covered, PITCH_STEPS);
    // Wider gaps are closed only where these were not, so nothing else need be looked at again.
    let Some(window) = open.pieces_with(&lines).set_window() else { return 0.0 };
    let window = window.wider(REACH, REACH.div_ceil(64), &whole);
    let [open, whole, covered] = [open, whole, covered].map(|plan| plan.cut_out(&window));
    let within = |(column, row): &(usize, usize)| {
        Some((column.checked_sub(64 * window.words.start)?, row.checked_sub(window.rows.start)?))
    };
    let lines: Vec<(usize, usize)> = lines.iter().filter_map(within).collect();
    let mut smooth = beside(&whole, &covered, NOTCH_STEPS);
    // Near the edge of the window, where it may be wrong.
    smooth.keep(&open);
    let notches = without_slivers(open.without(&smooth));
    smooth.pieces_with(&lines).area_mm2() + notches.pieces_with(&lines).area_mm2()
}

/// How far a cell has a say in what becomes of others, cells: over a notch and back, and over a sliver.
const REACH: usize = 2 * (NOTCH_STEPS.0 + NOTCH_STEPS.1 + SLIVER_STEPS.0 + SLIVER_STEPS.1);

/// What the covered cells leave of the whole when gaps between them are closed, without slivers.
fn beside(whole: &BitPlan, covered: &BitPlan, gap: (usize, usize)) -> BitPlan {
    let mut closed = covered.clone();
    closed.grow(gap.0, gap.1);
    closed.shrink(gap.0, gap.1);
    without_slivers(whole.without(&closed))
}

fn without_slivers(mut plan: BitPlan) -> BitPlan {
    plan.shrink(SLIVER_STEPS.0, SLIVER_STEPS.1);
    plan.grow(SLIVER_STEPS.0, SLIVER_STEPS.1);
    plan
}
