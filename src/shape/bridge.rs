//! Fill laid over empty space.
//!
//! ```text
//!    ==================    a layer of solid fill
//!    ######      ######    the layer below: where it leaves a hole the fill is a bridge
//! ```
//!
//! A bridge is anchored on both sides, so a strand counts as one when a good part of it lies over nothing.

use super::LayerShape;
use crate::deposit::{Bead, Layer, Strand};
use crate::geom::{Inside, Polygon, difference, opened};
use crate::profile::Role;

/// Share of a strand's length over nothing from which on it is a bridge.
const OVER_AIR: f64 = 0.4;

/// Places looked at along a strand, and how near to each other at the least, mm: half a usual bead.
const PLACES: usize = 96;
const LEAST_STEP_MM: f64 = 0.2;

/// Strands of solid fill of a layer that lie over no plastic of the layer `below`.
#[must_use]
pub fn bridges(layer: &Layer, shape: &LayerShape, below: &[Polygon]) -> Vec<usize> {
    let is_solid = |role: &Role| *role == Role::SolidInfill;
    if !shape.roles.iter().any(is_solid) || shape.outline.as_slice() == below {
        return Vec::new();
    }
    let air = air_over(shape, below);
    if air.is_empty() {
        return Vec::new();
    }
    let air = Inside::of(&air);
    let over_air = |strand: &Strand| share_over(layer.strand_beads(strand), &air) > OVER_AIR;
    let strands = layer.strands.iter().zip(&shape.roles).enumerate();
    strands.filter(|(_, (strand, role))| is_solid(role) && over_air(strand)).map(|(index, _)| index).collect()
}

/// What of a layer's outline lies over nothing, without slivers along its edges.
fn air_over(shape: &LayerShape, below: &[Polygon]) -> Vec<Polygon> {
    let half_mm = 0.5 * shape.height_mm.max(LEAST_AIR_MM);
    opened(&difference(&shape.outline, below), half_mm)
}

/// Strips of air narrower than this are steps of a slope, mm.
const LEAST_AIR_MM: f64 = 0.4;

/// Share of the length of beads over `air`.
fn share_over(beads: &[Bead], air: &Inside) -> f64 {
    let length: f64 = beads.iter().map(|b| b.length_mm).sum();
    let step = (length / PLACES as f64).max(LEAST_STEP_MM.min(length));
    let (mut next, mut over, mut asked) = (0.5 * step, 0.0, 0.0);
    for bead in beads {
        while next < bead.length_mm && step > 0.0 {
            let at = bead.from.lerp(bead.to, next / bead.length_mm);
            over += f64::from(u8::from(air.contains(at)));
            asked += 1.0;
            next += step;
        }
        next -= bead.length_mm;
    }
    if asked > 0.0 { over / asked } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::super::part_beads::tests::layer;
    use super::*;
    use crate::geom::Point;

    fn rectangle(x0: f64, x1: f64) -> Polygon {
        let corners = [(x0, 0.0), (x1, 0.0), (x1, 6.0), (x0, 6.0)];
        Polygon { outer: corners.iter().map(|&(x, y)| Point::new(x, y)).collect(), holes: Vec::new() }
    }

    /// Lines across a gap that the layer below leaves between x = 5 and x = 12, and lines beside it.
    #[test]
    fn solid_fill_over_a_gap_is_a_bridge_and_beside_it_is_not() {
        let line = |x0: f64, x1: f64, y: f64| vec![Point::new(x0, y), Point::new(x1, y)];
        let strands = [(4.0, 13.0, Role::SolidInfill), (0.5, 5.5, Role::SolidInfill), (4.0, 13.0, Role::SparseInfill)]
            .map(|(x0, x1, role)| (role, false, 0.4, line(x0, x1, 2.0)));
        let (layer, roles) = layer(3, 0.2, &strands);
        let shape = LayerShape { height_mm: 0.2, outline: vec![rectangle(0.0, 20.0)], roles, ..LayerShape::default() };
        let below = [rectangle(0.0, 5.0), rectangle(12.0, 20.0)];
        assert_eq!(bridges(&layer, &shape, &below), [0]);
        assert!(bridges(&layer, &shape, &shape.outline).is_empty(), "the layer below is the same");
    }

    /// What of a strand along x counts as a bridge over the gap, in a layer that reaches over all of it.
    fn is_bridge(points: &[(f64, f64)], height_mm: f64, gap: (f64, f64)) -> bool {
        let points = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
        let (layer, roles) = layer(3, height_mm, &[(Role::SolidInfill, false, 0.4, points)]);
        let shape = LayerShape { height_mm, outline: vec![rectangle(0.0, 20.0)], roles, ..LayerShape::default() };
        bridges(&layer, &shape, &[rectangle(0.0, gap.0), rectangle(gap.1, 20.0)]) == [0]
    }

    /// The gap is 7 mm wide: two fifths of 17.5 mm.
    #[test]
    fn a_strand_is_a_bridge_when_more_than_two_fifths_of_it_lie_over_nothing() {
        for (to, bridge) in [(16.8, true), (18.2, false)] {
            assert_eq!(is_bridge(&[(0.0, 2.0), (to, 2.0)], 0.2, (5.0, 12.0)), bridge, "{to}");
            // In however many pieces it was laid.
            let pieces: Vec<(f64, f64)> = (0..=60).map(|i| (to * f64::from(i) / 60.0, 2.0)).collect();
            assert_eq!(is_bridge(&pieces, 0.2, (5.0, 12.0)), bridge, "{to} in pieces");
            let uneven = [(0.0, 2.0), (0.1, 2.0), (4.9, 2.0), (5.0, 2.0), (12.0, 2.0), (12.05, 2.0), (to, 2.0)];
            assert_eq!(is_bridge(&uneven, 0.2, (5.0, 12.0)), bridge, "{to} in uneven pieces");
        }
        // A short one as well, and a dot is none.
        assert!(is_bridge(&[(8.0, 2.0), (8.1, 2.0)], 0.2, (5.0, 12.0)));
        assert!(!is_bridge(&[(8.0, 2.0), (8.0, 2.0)], 0.2, (5.0, 12.0)));
    }

    /// Less than 0.4 mm, or less than a layer is high, is what a slope leaves from layer to layer.
    #[test]
    fn a_sliver_of_air_is_no_gap_to_bridge() {
        for (height_mm, wide_mm, bridge) in
            [(0.2, 0.36, false), (0.2, 0.44, true), (0.6, 0.56, false), (0.6, 0.64, true)]
        {
            let along = [(5.0 + 0.5 * wide_mm, 0.5), (5.0 + 0.5 * wide_mm, 5.5)];
            assert_eq!(is_bridge(&along, height_mm, (5.0, 5.0 + wide_mm)), bridge, "{height_mm} {wide_mm}");
        }
    }
}
