//! Strands laid over an earlier one: one bead, not two.

use super::grid::BeadGrid;
use super::roles::{few, places, runs_along};
use super::{Bead, Strand};

/// Lines nearer than this, in bead widths, are one bead laid twice.
const SAME_LINE: f64 = 0.3;
/// So much of a strand has to lie on an earlier one.
const MOST_OF_IT: f64 = 0.9;

/// Marks strands that lie on an earlier strand nearly all along.
pub(super) fn mark(beads: &[Bead], strands: &mut [Strand], width_mm: f64) {
    let mut strand_of = vec![0_u32; beads.len()];
    for (i, strand) in strands.iter().enumerate() {
        strand_of[strand.beads.clone()].fill(i as u32);
    }
    let grid = BeadGrid::new(beads, |_| true);
    for i in 0..strands.len() {
        if !strands[i].ghost && lies_on_earlier(i, beads, strands, &strand_of, &grid, width_mm) {
            strands[i].ghost = true;
        }
    }
}

fn lies_on_earlier(
    strand: usize,
    beads: &[Bead],
    strands: &[Strand],
    strand_of: &[u32],
    grid: &BeadGrid<'_>,
    width_mm: f64,
) -> bool {
    let Some(own) = beads.get(strands[strand].beads.clone()) else { return false };
    let places: Vec<_> = places(own, few(own, width_mm)).collect();
    let may_miss = ((1.0 - MOST_OF_IT) * places.len() as f64) as usize;
    let mut missed = 0;
    for (p, along) in places {
        let mut found = false;
        grid.near(p, SAME_LINE * width_mm, |other, _| {
            let earlier = strand_of[other] as usize;
            found = earlier < strand && !strands[earlier].ghost && runs_along(&beads[other], along);
            !found
        });
        missed += usize::from(!found);
        if missed > may_miss {
            return false;
        }
    }
    true
}
