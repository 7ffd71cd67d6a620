//! Where edges of rings cross, and rings taken apart there.
//!
//! ```text
//!      \   /            \   /
//!       \ /    both      \_/     each way in goes on along the other way out:
//!        X     ring        _      no ring crosses any more, and how often all of them together
//!       / \    turns      / \     wind round a place is what it was before
//!      /   \            /   \
//! ```
//!
//! Edges that only touch, or lie on each other, are left to the general way.

use super::{Point, Ring, Segment, SegmentGrid, edges_of};

/// Edges that come nearer to each other than this may as well touch, mm.
const TOUCH_MM: f64 = 1e-6;

/// Two edges that cross.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Crossing {
    at: Point,
    /// The edges, counted through all rings.
    edges: [u32; 2],
    /// How far along each, as a share of it.
    along: [f64; 2],
}

/// Every place where two edges cross; `None` where any touch that are no neighbours, a ring turns back on itself, or
/// more than `most` are found (a place may be found several times): what is all in a tangle is not for this way.
pub(super) fn crossings(rings: &[&Ring], most: usize) -> Option<Vec<Crossing>> {
    if rings.iter().any(|ring| turns_back(ring)) {
        return None;
    }
    let edges: Vec<Segment> = rings.iter().flat_map(|ring| edges_of(ring)).collect();
    // Edges beside each other in the list are neighbours in their ring, but for the first and the last of each.
    let mut closing: Vec<(u32, u32)> = Vec::with_capacity(rings.len());
    let mut begin = 0;
    for ring in rings {
        closing.push((begin, begin + ring.len() as u32 - 1));
        begin += ring.len() as u32;
    }
    let neighbours = |a: u32, b: u32| {
        let (a, b) = (a.min(b), a.max(b));
        match closing.binary_search_by_key(&a, |c| c.0) {
            Ok(at) => b == a + 1 && b <= closing[at].1 || b == closing[at].1,
            Err(at) => b == a + 1 && b <= closing[at - 1].1,
        }
    };
    let mut found: Vec<Crossing> = Vec::new();
    let length_mm: f64 = edges.iter().map(Segment::length_mm).sum();
    for cell in SegmentGrid::by_number(&edges, 1.5 * length_mm / edges.len() as f64).cells() {
        for (at, &a) in cell.iter().enumerate() {
            let first = &edges[a as usize];
            for &b in &cell[at + 1..] {
                if a != b && !clear(first, &edges[b as usize]) && !neighbours(a, b) {
                    if found.len() >= most {
                        return None;
                    }
                    found.push(crossing(&edges, a.min(b), a.max(b))?);
                }
            }
        }
    }
    // Edges may meet in several cells.
    found.sort_by_key(|crossing| crossing.edges);
    found.dedup_by_key(|crossing| crossing.edges);
    Some(found)
}

/// The place where two edges cross that are not clear of each other; `None` where they touch.
fn crossing(edges: &[Segment], a: u32, b: u32) -> Option<Crossing> {
    let (first, second) = (&edges[a as usize], &edges[b as usize]);
    // Off the line of the other edge at both ends, on both sides.
    let across = |of: &Segment, by: &Segment| -> Option<f64> {
        let along = by.to - by.from;
        let (p, q) = (along.cross(of.from - by.from), along.cross(of.to - by.from));
        let off = TOUCH_MM * along.length();
        ((p > off && q < -off) || (p < -off && q > off)).then(|| p / (p - q))
    };
    let along = [across(first, second)?, across(second, first)?];
    Some(Crossing { at: first.from.lerp(first.to, along[0]), edges: [a, b], along })
}

/// A corner or a crossing on the way along a ring.
struct Node {
    at: Point,
    next: usize,
}

/// Rings taken apart at their crossings; `None` where three edges cross in one place.
pub(super) fn untangled(rings: &[&Ring], crossings: &[Crossing]) -> Option<Vec<Ring>> {
    // Crossings by the edges they lie on, in the order along each.
    let on_edge = |side: usize| move |(which, c): (usize, &Crossing)| (c.edges[side], c.along[side], which);
    let mut on_edges: Vec<(u32, f64, usize)> =
        crossings.iter().enumerate().map(on_edge(0)).chain(crossings.iter().enumerate().map(on_edge(1))).collect();
    on_edges.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut waiting = on_edges.iter().peekable();
    let mut nodes: Vec<Node> = Vec::new();
    let mut places: Vec<Vec<usize>> = vec![Vec::with_capacity(2); crossings.len()];
    let mut edge = 0;
    for ring in rings {
        let begin = nodes.len();
        for &corner in *ring {
            nodes.push(Node { at: corner, next: nodes.len() + 1 });
            while let Some(&(_, _, which)) = waiting.next_if(|(on, ..)| *on == edge) {
                let at = crossings[which].at;
                if nodes[nodes.len() - 1].at.distance(at) <= TOUCH_MM {
                    return None;
                }
                places[which].push(nodes.len());
                nodes.push(Node { at, next: nodes.len() + 1 });
            }
            edge += 1;
        }
        if let Some(last) = nodes.last_mut() {
            last.next = begin;
        }
    }
    for place in &places {
        let &[a, b] = &place[..] else { return None };
        let next = nodes[a].next;
        nodes[a].next = nodes[b].next;
        nodes[b].next = next;
    }
    Some(traced(&nodes))
}

/// The rings that nodes make, each followed once.
fn traced(nodes: &[Node]) -> Vec<Ring> {
    let mut met = vec![false; nodes.len()];
    let mut rings = Vec::new();
    for start in 0..nodes.len() {
        let mut ring = Ring::new();
        let mut at = start;
        while !std::mem::replace(&mut met[at], true) {
            ring.push(nodes[at].at);
            at = nodes[at].next;
        }
        rings.extend((ring.len() > 2).then_some(ring));
    }
    rings
}

/// An edge without length, or one that runs back over the one before it.
fn turns_back(ring: &Ring) -> bool {
    let mut before = ring[0] - ring[ring.len() - 1];
    (0..ring.len()).any(|i| {
        let after = ring[(i + 1) % ring.len()] - ring[i];
        let (ahead, aside) = (before.dot(after), before.cross(after));
        let back = after.dot(after) < TOUCH_MM * TOUCH_MM || (ahead < 0.0 && aside.abs() < -0.02 * ahead);
        before = after;
        back
    })
}

/// Whether two edges keep further apart than [`TOUCH_MM`] (for certain; near ends may count as touching).
fn clear(a: &Segment, b: &Segment) -> bool {
    let reach = TOUCH_MM;
    let beyond =
        |a0: f64, a1: f64, b0: f64, b1: f64| a0.max(a1) + reach < b0.min(b1) || b0.max(b1) + reach < a0.min(a1);
    beyond(a.from.x, a.to.x, b.from.x, b.to.x)
        || beyond(a.from.y, a.to.y, b.from.y, b.to.y)
        || one_side(a, b)
        || one_side(b, a)
}

/// Whether both ends of `b` lie on one side of the line through `a`, and off it.
fn one_side(a: &Segment, b: &Segment) -> bool {
    let along = a.to - a.from;
    let (p, q) = (along.cross(b.from - a.from), along.cross(b.to - a.from));
    let off = TOUCH_MM * along.length();
    (p > off && q > off) || (p < -off && q < -off)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::signed_area;
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn ring(corners: &[(f64, f64)]) -> Ring {
        corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    fn taken_apart(ring: &Ring) -> Option<Vec<Ring>> {
        untangled(&[ring], &crossings(&[ring], 1000)?)
    }

    #[test]
    fn a_figure_of_eight_is_two_rings_of_opposite_turns() {
        let eight = ring(&[(0.0, 0.0), (4.0, 3.0), (4.0, 0.0), (0.0, 3.0)]);
        let mut areas: Vec<f64> = taken_apart(&eight).unwrap().iter().map(|ring| signed_area(ring)).collect();
        areas.sort_by(f64::total_cmp);
        // By hand: two triangles with a base of 3 and a height of 2.
        assert_relative_eq!(areas[..], [-3.0, 3.0][..], max_relative = 1e-12);
    }

    #[test]
    fn a_ring_within_a_ring_of_one_line_is_told_apart() {
        // Round an outer square, then round a smaller one in it, and back: twice the same turn, one crossing.
        let loops =
            ring(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (1.0, 9.0), (1.0, 1.0), (6.0, 2.0), (6.0, 6.0), (0.0, 6.0)]);
        let apart = taken_apart(&loops).unwrap();
        assert_eq!(apart.len(), 2);
        assert!(apart.iter().all(|ring| signed_area(ring) > 0.0));
        assert_relative_eq!(
            apart.iter().map(|r| signed_area(r)).sum::<f64>(),
            signed_area(&loops),
            max_relative = 1e-12
        );
    }

    #[test]
    fn what_touches_is_left_to_others() {
        let (a, b) = (ring(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0)]), ring(&[(2.0, 0.0), (3.0, -2.0), (5.0, -1.0)]));
        assert_eq!(crossings(&[&a, &b], 1000), None);
        let apart = ring(&[(2.0, 0.5), (3.0, -2.0), (5.0, -1.0)]);
        assert_eq!(crossings(&[&a, &apart], 2).map(|found| found.len()), Some(2));
        assert_eq!(crossings(&[&a, &apart], 1), None);
        // Three edges through (2, 2).
        let star = ring(&[(0.0, 0.0), (4.0, 4.0), (4.0, 5.0), (2.0, -1.0), (2.0, 7.0), (0.0, 4.0), (4.0, 0.0)]);
        assert_eq!(taken_apart(&star), None);
    }

    /// An edge that ends on another one, from either side, or nearer to it than a millionth of a millimetre.
    #[test]
    fn edges_that_end_on_each_other_touch() {
        let base = Segment::new(Point::new(0.0, 0.0), Point::new(4.0, 0.0));
        for (on, off) in [
            ((2.0, 0.0), (2.0, 3.0)),
            ((2.0, 0.0), (2.5, -3.0)),
            ((2.0, 2e-7), (2.0, -3.0)),
            ((2.0, -2e-7), (1.0, 5.0)),
        ] {
            let [on, off] = [on, off].map(|(x, y)| Point::new(x, y));
            for other in [Segment::new(on, off), Segment::new(off, on)] {
                assert_eq!(crossing(&[base, other], 0, 1), None, "{other:?}");
                assert_eq!(crossing(&[other, base], 0, 1), None, "{other:?}");
            }
        }
        // By hand: beyond the other edge by a tenth of its own length.
        for other in [
            Segment::new(Point::new(1.0, -0.3), Point::new(1.0, 2.7)),
            Segment::new(Point::new(1.0, 0.3), Point::new(1.0, -2.7)),
        ] {
            let found = crossing(&[base, other], 0, 1).unwrap();
            assert_relative_eq!(found.along[..], [0.25, 0.1][..], max_relative = 1e-12);
            assert!(found.at.distance(Point::new(1.0, 0.0)) < 1e-12);
        }
    }

    /// A spike whose sides lie 0.01 apart for each 1 of its length turns back, one of 0.04 does not; wherever it stands.
    #[test]
    fn a_ring_turns_back_at_a_spike_or_an_edge_without_length() {
        let spike =
            |apart: f64| vec![(0.0, 0.0), (9.0, 0.0), (9.0, 5.0), (20.0, 5.0), (9.0, 5.0 + 11.0 * apart), (0.0, 9.0)];
        let turned = |corners: &[(f64, f64)], by: usize| {
            let mut corners = ring(corners);
            corners.rotate_left(by);
            turns_back(&corners)
        };
        for by in 0..6 {
            assert!(turned(&spike(0.01), by), "{by}");
            assert!(!turned(&spike(0.04), by), "{by}");
            assert!(turned(&[(0.0, 0.0), (9.0, 0.0), (9.0, 5.0), (9.0, 5.0), (4.0, 6.0), (0.0, 9.0)], by), "{by}");
            // Short edges at a right angle, and edges in one line, are as good as any.
            assert!(
                !turned(&[(0.0, 0.0), (9.0, 0.0), (9.0, 1e-3), (8.999, 1e-3), (8.999, 2e-3), (0.0, 9.0)], by),
                "{by}"
            );
            assert!(!turned(&[(0.0, 0.0), (4.0, 0.0), (9.0, 0.0), (9.0, 3.0), (9.0, 9.0), (0.0, 9.0)], by), "{by}");
        }
    }

    /// How often a ring winds round a place, from the angles at which its corners are seen.
    fn winding(ring: &Ring, at: Point) -> f64 {
        let seen = |i: usize| ring[i % ring.len()] - at;
        let turn = |i: usize| seen(i).cross(seen(i + 1)).atan2(seen(i).dot(seen(i + 1)));
        (0..ring.len()).map(turn).sum::<f64>() / std::f64::consts::TAU
    }

    proptest! {
        #[test]
        fn nothing_crosses_any_more_and_windings_stay(
            corners in prop::collection::vec((0.0..20.0f64, 0.0..20.0f64), 4..14),
            looks in prop::collection::vec((0.0..20.0f64, 0.0..20.0f64), 8),
        ) {
            let tangled = ring(&corners);
            let Some(apart) = taken_apart(&tangled) else { return Ok(()) };
            let sum = |of: &[Ring]| of.iter().map(|r| signed_area(r)).sum::<f64>();
            prop_assert!((sum(&apart) - signed_area(&tangled)).abs() < 1e-6);
            for (x, y) in looks {
                let at = Point::new(x, y);
                let all: f64 = apart.iter().map(|ring| winding(ring, at)).sum();
                prop_assert!((all - winding(&tangled, at)).abs() < 1e-6);
            }
            let crossing = |ring: &Ring| crossings(&[ring], 1000).is_some_and(|found| !found.is_empty());
            prop_assert!(!apart.iter().any(crossing));
        }
    }
}
