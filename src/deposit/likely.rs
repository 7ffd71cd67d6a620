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

#[cfg(test)]
mod tests {
    use super::super::by_hand::{Corners, ring, strands};
    use super::*;

    /// Those of the laps left open that are settled as loops, beside the loops that close; beads are 0.4 mm wide.
    fn settle(closed: &[Corners], open: &[Corners]) -> Vec<usize> {
        let paths: Vec<(Corners, bool)> =
            closed.iter().map(|c| (c.clone(), true)).chain(open.iter().map(|c| (c.clone(), false))).collect();
        let (beads, strands) = strands(&paths);
        let mut found = settled(&beads, &strands, (closed.len()..paths.len()).collect(), 0.4);
        found.sort_unstable();
        found
    }

    /// A square ring from `inset` mm within one of 30 by 30 mm.
    fn square(inset: f64, gap: f64) -> Corners {
        ring(inset, inset, 30.0 - inset, 30.0 - inset, gap)
    }

    #[test]
    fn a_lap_beside_a_loop_is_a_loop() {
        // Beside it is what lies 0.4 to 1.45 widths away: 0.16 to 0.58 mm.
        for (inset, found) in [(0.1, false), (0.2, true), (0.4, true), (0.55, true), (0.62, false), (1.5, false)] {
            assert_eq!(!settle(&[square(0.0, 0.0)], &[square(inset, 0.6)]).is_empty(), found, "{inset} mm within");
        }
        assert_eq!(settle(&[square(0.9, 0.0), square(0.0, 0.0)], &[square(0.8, 0.6)]), Vec::<usize>::new());
        assert_eq!(settle(&[square(0.9, 0.0), square(1.2, 0.0), square(0.0, 0.0)], &[square(0.8, 0.6)]), [3]);
    }

    #[test]
    fn laps_beside_laps_just_found_are_loops_too() {
        let laps = [square(1.2, 0.6), square(0.4, 0.6), square(0.8, 0.6), square(5.0, 0.6)];
        assert_eq!(settle(&[square(0.0, 0.0)], &laps), [1, 2, 3]);
    }

    #[test]
    fn most_of_a_lap_has_to_lie_beside_a_loop() {
        // A lap 20 mm long and 2 mm wide: one of its long sides is 0.45 of it, both are 0.91.
        let lap = ring(5.0, 10.0, 25.0, 12.0, 0.6);
        let (around, above, below) =
            (square(-20.0, 0.0), ring(5.0, 12.4, 25.0, 20.0, 0.0), ring(5.0, 2.0, 25.0, 9.6, 0.0));
        assert!(settle(&[around.clone(), above.clone()], std::slice::from_ref(&lap)).is_empty());
        assert_eq!(settle(&[around, above, below], &[lap]), [3]);
    }

    #[test]
    fn a_lap_with_no_loop_around_it_is_an_outer_wall_unless_it_is_a_thin_rib() {
        let lap = |wide: f64| ring(0.0, 0.0, 20.0, wide, 0.5);
        // More than two widths of area a length: 50 of 35.6 mm², and 24 of 33.5 mm².
        assert_eq!(settle(&[], &[lap(2.5)]), [0]);
        assert!(settle(&[], &[lap(1.2)]).is_empty());
        assert!(settle(&[ring(-9.0, -9.0, 40.0, 20.0, 0.0)], &[lap(2.5)]).is_empty());
        assert_eq!(settle(&[ring(40.0, 0.0, 60.0, 20.0, 0.0)], &[lap(2.5)]), [1], "a loop elsewhere is no matter");
    }
}
