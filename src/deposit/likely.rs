//! Laps that stop short of their start: loops or not?
//!
//! Some files stop the flow one to two bead widths before a loop closes. Such a lap is a loop if it runs beside a
//! loop that closes for certain, or if no loop lies around it (then it is an outer wall).

use super::grid::BeadGrid;
use super::nest::{Loop, Nest};
use super::roles::{places, runs_along};
use super::{Bead, Strand, loops};

/// Rounds of asking: each lets laps count that lie beside the last round's.
const MOST_ROUNDS: usize = 4;

/// Those of the `likely` strands that their neighbours show to be loops.
pub(super) fn settled(beads: &[Bead], strands: &[Strand], mut likely: Vec<usize>, width_mm: f64) -> Vec<usize> {
    let mut rings = loops(beads, strands);
    let mut found = Vec::new();
    for round in 0..MOST_ROUNDS {
        if likely.is_empty() {
            break;
        }
        let mut sure = vec![false; beads.len()];
        for ring in &rings {
            sure[strands[ring.strand].beads.clone()].fill(true);
        }
        let grid = BeadGrid::new(beads, |i| sure[i]);
        let nest = Nest::new(rings);
        let (closed, open): (Vec<usize>, Vec<usize>) = likely.iter().partition(|s| {
            let own = &beads[strands[**s].beads.clone()];
            runs_beside(own, &grid, beads, width_mm) || (round == 0 && is_outermost(**s, own, &nest, width_mm))
        });
        rings = nest.loops;
        if closed.is_empty() {
            break;
        }
        rings.extend(closed.iter().map(|s| Loop::new(*s, &beads[strands[*s].beads.clone()])));
        found.extend(closed);
        likely = open;
    }
    found
}

/// Most of it has a loop beside it at about one bead width.
fn runs_beside(own: &[Bead], sure: &BeadGrid<'_>, beads: &[Bead], width_mm: f64) -> bool {
    let (mut beside, mut all) = (0.0, 0.0);
    for (p, along) in places(own, 2.0 * width_mm) {
        let mut found = false;
        sure.near(p, 1.45 * width_mm, |i, distance| {
            found = distance > 0.4 * width_mm && runs_along(&beads[i], along);
            !found
        });
        beside += f64::from(u8::from(found));
        all += 1.0;
    }
    beside >= 0.6 * all && all > 0.0
}

/// No loop lies around it, and it is no thin rib.
fn is_outermost(strand: usize, own: &[Bead], nest: &Nest, width_mm: f64) -> bool {
    let lap = Loop::new(strand, own);
    let Some(first) = own.first() else { return false };
    lap.area_mm2.abs() > 2.0 * width_mm * lap.length_mm && nest.smallest_around(first.from, |_| true).is_none()
}
