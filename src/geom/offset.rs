//! Growing and shrinking polygons by a distance.
//!
//! Every edge is moved along its normal. Where two moved edges leave a gap they are drawn out to their mitre (or
//! joined by an arc); where they cross, the path goes back over the old corner, so that everything false in it
//! winds backwards. What the path winds round forwards is the answer. Mostly nothing is false: then the edges are
//! simply drawn to where they meet, and the path goes back only beside edges that would turn round so.

use super::apart::arranged_forwards;
use super::boolean::{without_specks, wound_forwards};
use super::{Point, Polygon, Ring, box_of, nest, signed_area, union};

/// Corners sharper than this are cut off instead of drawn out to a spike: sine of half the angle between the
/// edges (10 degrees).
const SHARPEST: f64 = 0.17;

/// Distances smaller than this change nothing, mm.
const NOTHING_MM: f64 = 1e-9;

/// Edges that turn by less than a degree leave no more than a hair between them: cosine of that angle.
const NEARLY_STRAIGHT: f64 = 0.99985;

/// So far beyond the old corner the path turns about, mm: rings that touch in a corner then cross or keep clear.
const BEYOND_MM: f64 = 1e-5;

/// Rounded corners have a point at least every so many radians.
const ROUND_STEP: f64 = 0.1;

/// Moves every edge outwards by `by_mm` (inwards when negative), with mitred corners: exact between straight
/// edges. Parts that grow together are joined, parts that vanish are gone.
///
/// ```
/// use beadwise::geom::{Point, Polygon, offset};
/// let plate = Polygon {
///     outer: vec![Point::new(0.0, 0.0), Point::new(30.0, 0.0), Point::new(30.0, 10.0), Point::new(0.0, 10.0)],
///     holes: vec![],
/// };
/// let smaller = offset(&[plate], -2.0);
/// assert!((smaller[0].area_mm2() - 26.0 * 6.0).abs() < 1e-4);
/// ```
#[must_use]
pub fn offset(of: &[Polygon], by_mm: f64) -> Vec<Polygon> {
    grow(of, by_mm, Join::Mitre)
}

/// Like [`offset`], but corners that stand out are rounded: every point within `by_mm` of the polygons.
#[must_use]
pub fn offset_round(of: &[Polygon], by_mm: f64) -> Vec<Polygon> {
    grow(of, by_mm, Join::Round)
}

/// What a loose ring of any direction surrounds, with its edges moved outwards by `by_mm` as by [`offset`].
#[must_use]
pub fn offset_ring(ring: &Ring, by_mm: f64) -> Vec<Polygon> {
    grow_clean(&nest(std::slice::from_ref(ring)), by_mm, Join::Mitre)
}

/// Without what is narrower than twice `by_mm`: shrunk and grown again.
#[must_use]
pub fn opened(of: &[Polygon], by_mm: f64) -> Vec<Polygon> {
    grow_clean(&offset(of, -by_mm), by_mm, Join::Mitre)
}

/// Without gaps narrower than twice `by_mm`: grown and shrunk again.
#[must_use]
pub fn closed(of: &[Polygon], by_mm: f64) -> Vec<Polygon> {
    grow_clean(&offset(of, by_mm), -by_mm, Join::Mitre)
}

/// How two moved edges are joined across a gap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Join {
    Mitre,
    Round,
}

fn grow(of: &[Polygon], by_mm: f64, join: Join) -> Vec<Polygon> {
    // Distances that change nothing leave rings that cross as they are.
    if by_mm.abs() <= NOTHING_MM { of.to_vec() } else { grow_clean(&union(of, &[]), by_mm, join) }
}

/// The same for polygons whose rings are known not to cross and to run in the right directions.
fn grow_clean(of: &[Polygon], by_mm: f64, join: Join) -> Vec<Polygon> {
    if !by_mm.is_finite() {
        return Vec::new();
    }
    if by_mm.abs() <= NOTHING_MM {
        return of.to_vec();
    }
    drawn_at_once(of, by_mm, join).unwrap_or_else(|| {
        let rings = of.iter().flat_map(Polygon::rings);
        let moved: Vec<Ring> = rings.map(|ring| moved_ring(ring, by_mm, join)).collect();
        wound_forwards(&moved)
    })
}

/// The quick way: rings drawn with hardly a crossing left; `None` where they are in a tangle all the same.
fn drawn_at_once(of: &[Polygon], by_mm: f64, join: Join) -> Option<Vec<Polygon>> {
    let rings = of.iter().flat_map(Polygon::rings);
    let drawn: Vec<Ring> = rings.map(|ring| drawn_ring(ring, by_mm, join)).collect::<Option<_>>()?;
    arranged_forwards(drawn.iter().filter(|ring| !ring.is_empty())).map(without_specks)
}

/// The ring with every edge moved, neighbours joined where their lines meet. Beside an edge that turns round so, the
/// path goes back over the old corner. No corner is left of a ring that is used up; `None` for one that has an edge
/// without length.
fn drawn_ring(ring: &Ring, by_mm: f64, join: Join) -> Option<Ring> {
    if is_used_up(ring, by_mm) {
        return Some(Ring::new());
    }
    let count = ring.len();
    let along: Vec<Point> = (0..count).map(|i| (ring[(i + 1) % count] - ring[i]).unit()).collect::<Option<_>>()?;
    let before = |i: usize| (i + count - 1) % count;
    let turned = turned_edges(ring, &along, by_mm, join)?;
    let mut drawn = Ring::with_capacity(count + 8);
    for i in 0..count {
        let (b, a) = (-along[before(i)].left(), -along[i].left());
        let at_once = !turned[before(i)] && !turned[i] || b.dot(a) > NEARLY_STRAIGHT;
        match meeting(ring[i], b, a, by_mm).filter(|_| at_once) {
            Some(met) => drawn.push(met),
            None => join_edges(&mut drawn, ring[i], b, a, by_mm, join),
        }
    }
    Some(drawn)
}

/// For each edge whether it would run backwards if its ends were drawn to where they meet their neighbours.
fn turned_edges(ring: &Ring, along: &[Point], by_mm: f64, join: Join) -> Option<Vec<bool>> {
    let count = ring.len();
    let mut turned = vec![false; count];
    // Where the moved edge at hand begins.
    let mut start: Option<Point> = None;
    let mut joined = Ring::with_capacity(8);
    for i in 0..=count {
        let (i, before) = (i % count, (i + count - 1) % count);
        let (b, a) = (-along[before].left(), -along[i].left());
        joined.clear();
        match meeting(ring[i], b, a, by_mm) {
            Some(met) => joined.push(met),
            None => join_edges(&mut joined, ring[i], b, a, by_mm, join),
        }
        let (end, next) = (*joined.first()?, *joined.last()?);
        if let Some(start) = start {
            turned[before] = !((end - start).dot(along[before]) > 0.0);
        }
        start = Some(next);
    }
    Some(turned)
}

/// Whether two edges with these normals come to cross when they are moved.
fn closes(before: Point, after: Point, by_mm: f64) -> bool {
    before.cross(after) * by_mm < 0.0 && before.dot(after) < 1.0 - 1e-12
}

/// Where two moved edges with these normals meet, if they come to cross; `None` also where that is further off than a
/// spike may be long.
fn meeting(corner: Point, before: Point, after: Point, by_mm: f64) -> Option<Point> {
    let ahead = before.dot(after);
    let blunt = (0.5 * (1.0 + ahead)).max(0.0).sqrt() > SHARPEST;
    (blunt && closes(before, after, by_mm)).then(|| corner + (before + after) * (by_mm / (1.0 + ahead)))
}

/// Whether a ring shrinks by so much that nothing can be left: no circle in it is wider than its box.
fn is_used_up(ring: &Ring, by_mm: f64) -> bool {
    let Some((low, high)) = box_of(ring) else { return true };
    let size = high - low;
    2.0 * by_mm.abs() >= size.x.min(size.y) && by_mm * signed_area(ring) < 0.0
}

/// The path of a ring with every edge moved to its right by `by_mm`.
fn moved_ring(ring: &Ring, by_mm: f64, join: Join) -> Ring {
    let count = ring.len();
    let normals: Vec<Point> =
        (0..count).filter_map(|i| Some(-(ring[(i + 1) % count] - ring[i]).unit()?.left())).collect();
    if normals.len() != count {
        return Ring::new();
    }
    let mut moved = Ring::with_capacity(2 * count);
    for i in 0..count {
        join_edges(&mut moved, ring[i], normals[(i + count - 1) % count], normals[i], by_mm, join);
    }
    moved
}

/// Adds the corners between an edge with normal `before` and the next one with normal `after`.
fn join_edges(moved: &mut Ring, corner: Point, before: Point, after: Point, by_mm: f64, join: Join) {
    let (turn, ahead) = (before.cross(after), before.dot(after));
    let sharpness = (0.5 * (1.0 + ahead)).max(0.0).sqrt();
    if closes(before, after, by_mm) {
        let beyond = (before + after) * (-BEYOND_MM * by_mm.signum());
        moved.extend([corner + before * by_mm, corner + beyond, corner + after * by_mm]);
    } else if join == Join::Round && turn.atan2(ahead).abs() > ROUND_STEP {
        let sweep = turn.atan2(ahead);
        let steps = (sweep.abs() / ROUND_STEP).ceil();
        moved.extend((0..=steps as u32).map(|i| {
            let angle = sweep * f64::from(i) / steps;
            corner + (before * angle.cos() + before.left() * angle.sin()) * by_mm
        }));
    } else if sharpness > SHARPEST {
        moved.push(corner + (before + after) * (by_mm / (1.0 + ahead)));
    } else {
        // Too sharp for a mitre: two corners where the spike is cut off square to its middle.
        let reach = (1.0 - sharpness) / (1.0 - sharpness * sharpness).sqrt();
        let (along, back) = (before.left() * turn.signum(), -after.left() * turn.signum());
        moved.extend([
            corner + before * by_mm + along * (by_mm.abs() * reach),
            corner + after * by_mm + back * (by_mm.abs() * reach),
        ]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn ring(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    fn area(of: &[Polygon]) -> f64 {
        of.iter().map(Polygon::area_mm2).sum()
    }

    fn plate_with_hole() -> Polygon {
        Polygon {
            outer: ring(&[(0.0, 0.0), (30.0, 0.0), (30.0, 12.0), (0.0, 12.0)]),
            holes: vec![ring(&[(5.0, 4.0), (5.0, 8.0), (11.0, 8.0), (11.0, 4.0)])],
        }
    }

    #[test]
    fn outside_shrinks_and_hole_grows() {
        let smaller = offset(&[plate_with_hole()], -1.0);
        assert_relative_eq!(area(&smaller), 28.0 * 10.0 - 8.0 * 6.0, epsilon = 1e-4);
        let larger = offset(&[plate_with_hole()], 1.0);
        assert_relative_eq!(area(&larger), 32.0 * 14.0 - 4.0 * 2.0, epsilon = 1e-4);
    }

    #[test]
    fn an_inward_offset_of_a_notch_keeps_its_corner() {
        let l_shape = Polygon {
            outer: ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (6.0, 8.0), (6.0, 14.0), (0.0, 14.0)]),
            holes: vec![],
        };
        // By hand: 18 x 6 at the foot, 4 x 6 above it.
        assert_relative_eq!(area(&offset(&[l_shape], -1.0)), 18.0 * 6.0 + 4.0 * 6.0, epsilon = 1e-4);
    }

    #[test]
    fn a_neck_parts_and_a_gap_closes() {
        let dumbbell = union(
            &[Polygon { outer: ring(&[(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0)]), holes: vec![] }],
            &[
                Polygon { outer: ring(&[(5.0, 2.6), (11.0, 2.6), (11.0, 3.4), (5.0, 3.4)]), holes: vec![] },
                Polygon { outer: ring(&[(10.0, 0.0), (17.0, 0.0), (17.0, 6.0), (10.0, 6.0)]), holes: vec![] },
            ],
        );
        assert_eq!(dumbbell.len(), 1);
        assert_eq!(offset(&dumbbell, -0.5).len(), 2);
        assert_eq!(offset(&offset(&dumbbell, -0.5), 2.6).len(), 1);
        let lobes = opened(&dumbbell, 0.5);
        assert_eq!(lobes.len(), 2);
        assert_relative_eq!(area(&lobes), 6.0 * 6.0 + 7.0 * 6.0, epsilon = 1e-3);
        let joined = closed(&lobes, 2.1);
        assert_eq!(joined.len(), 1);
        // The gap of 4 mm between the lobes is filled, and nothing else.
        assert_relative_eq!(area(&joined), 17.0 * 6.0, epsilon = 1e-2);
        assert!(opened(&dumbbell, f64::NAN).is_empty() && closed(&dumbbell, f64::INFINITY).is_empty());
    }

    #[test]
    fn a_round_stays_round() {
        let circle = |r: f64| -> Polygon {
            let corners = (0..96).map(|i| f64::from(i) * std::f64::consts::TAU / 96.0);
            Polygon { outer: corners.map(|a| Point::new(3.0 + r * a.cos(), r * a.sin())).collect(), holes: vec![] }
        };
        let smaller = offset(&[circle(10.0)], -0.45);
        // The inscribed radius shrinks by the offset, so the circumscribed one by offset / cos(pi/96).
        let expected = circle(10.0 - 0.45 / (std::f64::consts::PI / 96.0).cos());
        assert_eq!(smaller[0].outer.len(), 96);
        assert_relative_eq!(area(&smaller), expected.area_mm2(), epsilon = 1e-4);
    }

    #[test]
    fn many_small_steps_end_where_one_large_step_does() {
        let corners = (0..64).map(|i| f64::from(i) * std::f64::consts::TAU / 64.0);
        let round = Polygon {
            outer: corners.map(|a| Point::new(110.0 + 17.0 * a.cos(), 110.0 + 17.0 * a.sin())).collect(),
            holes: vec![ring(&[(105.0, 108.0), (106.0, 113.0), (112.0, 112.0), (111.0, 107.0)])],
        };
        let mut stepped = vec![round.clone()];
        for _ in 0..6 {
            stepped = offset(&offset(&stepped, -0.4), 0.15);
        }
        assert_eq!((stepped[0].outer.len(), stepped[0].holes[0].len()), (64, 4));
        assert_relative_eq!(area(&stepped), area(&offset(&[round], -1.5)), epsilon = 1e-3);
    }

    /// A leg, a plate with a hole, a round and a comb of narrow slots, whichever way they go: no need of the general way.
    #[test]
    fn what_is_usual_is_drawn_at_once() {
        let round = (0..96).map(|i| f64::from(i) * std::f64::consts::TAU / 96.0);
        let round = Polygon { outer: round.map(|a| Point::new(9.0 * a.cos(), 9.0 * a.sin())).collect(), holes: vec![] };
        let leg = ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (6.0, 8.0), (6.0, 14.0), (0.0, 14.0)]);
        let comb =
            [(0.0, 9.0), (0.0, 0.0), (16.0, 0.0), (16.0, 9.0), (12.0, 9.0), (12.0, 3.0), (11.0, 3.0), (11.0, 9.0)];
        let shapes = [
            (Polygon { outer: leg, holes: vec![] }, 20.0 * 8.0 + 6.0 * 6.0, 68.0),
            (plate_with_hole(), 30.0 * 12.0 - 24.0, 84.0 + 20.0),
            (Polygon { outer: ring(&comb), holes: vec![] }, 16.0 * 9.0 - 6.0, 62.0),
        ];
        for (shape, area_mm2, edge_mm) in shapes {
            for by_mm in [-0.4, -0.2, 0.2, 0.4] {
                let drawn =
                    drawn_at_once(std::slice::from_ref(&shape), by_mm, Join::Mitre).expect("it is drawn at once");
                // Each ring has four more corners to one side than to the other.
                let corners = 4.0 * (1.0 - shape.holes.len() as f64);
                assert_relative_eq!(area(&drawn), area_mm2 + by_mm * edge_mm + corners * by_mm * by_mm, epsilon = 1e-9);
            }
        }
        let by_mm = -0.45;
        let drawn = drawn_at_once(std::slice::from_ref(&round), by_mm, Join::Mitre).expect("it is drawn at once");
        let corner_mm = 9.0 + by_mm / (std::f64::consts::PI / 96.0).cos();
        assert!(drawn[0].outer.iter().all(|p| (p.distance(Point::default()) - corner_mm).abs() < 1e-9));
        assert_eq!(drawn[0].outer.len(), 96);
    }

    #[test]
    fn a_spike_is_cut_off() {
        let needle = Polygon { outer: ring(&[(0.0, 0.0), (40.0, 1.0), (0.0, 2.0)]), holes: vec![] };
        let grown = offset(&[needle], 1.0);
        let reach = grown[0].outer.iter().map(|p| p.x).fold(f64::MIN, f64::max);
        assert!((41.0 - 1e-6..43.0).contains(&reach), "{reach}");
    }

    #[test]
    fn a_loose_ring_grows_whatever_its_direction() {
        let mut corners = ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (0.0, 8.0)]);
        for _ in 0..2 {
            assert_relative_eq!(area(&offset_ring(&corners, 1.0)), 22.0 * 10.0, epsilon = 1e-4);
            assert_relative_eq!(area(&offset_ring(&corners, -1.0)), 18.0 * 6.0, epsilon = 1e-4);
            corners.reverse();
        }
    }

    #[test]
    fn too_much_leaves_nothing() {
        assert!(offset(&[plate_with_hole()], -6.1).is_empty());
        assert!(offset(&[plate_with_hole()], f64::NAN).is_empty());
        assert!(offset(&[], 1.0).is_empty());
    }

    proptest! {
        /// The quick way against the general way, on stars of any shape. The general way drops a corner now and then
        /// where edges are nearly in line, which is seen in the third decimal.
        #[test]
        fn drawn_edges_are_what_moved_edges_wind_round(
            reaches in prop::collection::vec(3.0..14.0f64, 3..40), by in -7.0..3.0f64, round in any::<bool>(),
            rounded_mm in 0.0..1.5f64,
        ) {
            let count = reaches.len() as f64;
            let corner = |(i, r): (usize, &f64)| {
                let angle = i as f64 / count * std::f64::consts::TAU;
                Point::new(50.0 + r * angle.cos(), 7.0 + r * angle.sin())
            };
            let star: Ring = reaches.iter().enumerate().map(corner).collect();
            // Without rounding, or with arcs of short edges at its corners.
            let star = match rounded_mm {
                0.2.. => offset_round(&[Polygon { outer: star, holes: vec![] }], rounded_mm).remove(0).outer,
                _ => star,
            };
            let join = if round { Join::Round } else { Join::Mitre };
            let quick = grow(&[Polygon { outer: star.clone(), holes: vec![] }], by, join);
            let general = wound_forwards(&[moved_ring(&star, by, join)]);
            let corners = |of: &[Polygon]| of.iter().flat_map(Polygon::rings).map(Vec::len).sum::<usize>();
            let within = if corners(&general) < corners(&quick) { 5e-3 } else { 1e-4 };
            prop_assert!((area(&quick) - area(&general)).abs() < within, "{} {}", area(&quick), area(&general));
            prop_assert_eq!(quick.len(), general.len());
        }
    }

    proptest! {
        #[test]
        fn growing_undoes_shrinking_of_a_rectangle(w in 5.0..80.0_f64, d in 5.0..40.0_f64, by in 0.1..2.0_f64) {
            let plate = Polygon { outer: ring(&[(1.0, 2.0), (1.0 + w, 2.0), (1.0 + w, 2.0 + d), (1.0, 2.0 + d)]), holes: vec![] };
            let back = offset(&offset(&[plate], -by), by);
            prop_assert!((area(&back) - w * d).abs() < 1e-3);
        }
    }
}
