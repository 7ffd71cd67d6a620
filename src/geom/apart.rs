//! Rings that keep clear of each other and of themselves: then joining, cutting and offsetting need no search for
//! crossings, only who lies within whom.
//!
//! ```text
//!   ┌──────────┐      going inwards over each ring the winding number changes by one;
//!   │  ┌────┐  │      a ring is an edge of the answer where the answer changes with it
//!   │  └────┘  │
//!   └──────────┘
//! ```
//!
//! Nearly all rings of a print are like that. Where they cross, they are taken apart at their crossings (`untangle`);
//! where they touch, these functions say so and the general way is taken (`boolean`).

use super::boolean::tidied;
use super::untangle::{crossings, untangled};
use super::{Point, Polygon, Ring, Segment, box_of, edges_of, ring_contains, signed_area};

/// Coordinates from here on are left to the general way, mm.
const FAR_MM: f64 = 1e6;

/// Rings from here on are left to the general way, which does not compare all with all.
const MOST_RINGS: usize = 400;

/// A ring with what is asked of it again and again.
struct Known<'a> {
    ring: &'a Ring,
    low: Point,
    high: Point,
    area_mm2: f64,
    /// A place on it that is no corner: other rings may share corners.
    spot: Point,
    /// It belongs to the second of two sets.
    second: bool,
}

impl<'a> Known<'a> {
    fn new(ring: &'a Ring, second: bool) -> Option<Self> {
        let (low, high) = box_of(ring)?;
        let near = |p: Point| p.x.abs() < FAR_MM && p.y.abs() < FAR_MM;
        let whole = ring.len() >= 3 && near(low) && near(high) && ring.iter().all(|p| near(*p));
        whole.then(|| Self { ring, low, high, area_mm2: signed_area(ring), spot: spot_on(ring), second })
    }

    /// Whether this ring, which does not cross the other one, lies within it.
    fn within(&self, other: &Self) -> bool {
        self.low.x >= other.low.x
            && self.low.y >= other.low.y
            && self.high.x <= other.high.x
            && self.high.y <= other.high.y
            && ring_contains(other.ring, self.spot)
    }

    fn turns(&self) -> i32 {
        if self.area_mm2 > 0.0 { 1 } else { -1 }
    }
}

/// The middle of the longest edge.
fn spot_on(ring: &Ring) -> Point {
    let longest = edges_of(ring).max_by(|a, b| a.length_mm().total_cmp(&b.length_mm()));
    longest.as_ref().map_or_else(Point::default, Segment::middle)
}

/// What the rings of `first` and `second` surround, by the rule `is_inside` on the winding numbers of both; `None`
/// where any edge comes near another that is not its neighbour.
pub(super) fn arranged<'a>(
    first: impl IntoIterator<Item = &'a Ring>,
    second: impl IntoIterator<Item = &'a Ring>,
    is_inside: impl Fn(i32, i32) -> bool,
) -> Option<Vec<Polygon>> {
    let rings = known(first, second)?;
    crossings(&bare(&rings), 0)?;
    Some(by_winding(rings, is_inside))
}

/// What rings wind round counter-clockwise more often than clockwise; `None` where edges touch that are no neighbours,
/// or cross more often than there are edges.
pub(super) fn arranged_forwards<'a>(rings: impl IntoIterator<Item = &'a Ring>) -> Option<Vec<Polygon>> {
    let rings = known(rings, std::iter::empty())?;
    let bare = bare(&rings);
    let crossings = crossings(&bare, bare.iter().map(|ring| ring.len()).sum())?;
    let is_inside = |times: i32, _| times > 0;
    if crossings.is_empty() {
        return Some(by_winding(rings, is_inside));
    }
    let apart = untangled(&bare, &crossings)?;
    Some(by_winding(known(&apart, std::iter::empty())?, is_inside))
}

fn bare<'a>(rings: &[Known<'a>]) -> Vec<&'a Ring> {
    rings.iter().map(|known| known.ring).collect()
}

fn known<'a>(
    first: impl IntoIterator<Item = &'a Ring>,
    second: impl IntoIterator<Item = &'a Ring>,
) -> Option<Vec<Known<'a>>> {
    let with = |second: bool| move |ring| Known::new(ring, second);
    let mut rings: Vec<Known<'a>> = Vec::new();
    for ring in first.into_iter().map(with(false)).chain(second.into_iter().map(with(true))) {
        rings.push(ring?);
        if rings.len() > MOST_RINGS {
            return None;
        }
    }
    Some(rings)
}

/// Polygons from rings that do not cross, by a rule on how often both sets wind round a place.
fn by_winding(mut rings: Vec<Known<'_>>, is_inside: impl Fn(i32, i32) -> bool) -> Vec<Polygon> {
    // From the largest to the smallest: what lies round a ring comes before it.
    rings.sort_by(|a, b| b.area_mm2.abs().total_cmp(&a.area_mm2.abs()));
    let mut edges: Vec<(usize, bool)> = Vec::new();
    for (at, ring) in rings.iter().enumerate() {
        let mut winding = [0, 0];
        for around in rings[..at].iter().filter(|around| ring.within(around)) {
            winding[usize::from(around.second)] += around.turns();
        }
        let outside = is_inside(winding[0], winding[1]);
        winding[usize::from(ring.second)] += ring.turns();
        let inside = is_inside(winding[0], winding[1]);
        if outside != inside {
            edges.push((at, inside));
        }
    }
    nested(&rings, &edges)
}

/// Polygons from the rings that are edges (with each whether inside it is inside), largest first.
fn nested(rings: &[Known<'_>], edges: &[(usize, bool)]) -> Vec<Polygon> {
    let mut made: Vec<(usize, Polygon)> = Vec::new();
    for &(at, inside) in edges {
        let mut ring = rings[at].ring.clone();
        if (rings[at].area_mm2 > 0.0) != inside {
            ring.reverse();
        }
        from_the_left(&mut ring, inside);
        let ring = tidied(ring.into_iter());
        if inside {
            made.push((at, Polygon { outer: ring, holes: Vec::new() }));
        } else if let Some(around) = made.iter_mut().rev().find(|around| rings[at].within(&rings[around.0])) {
            around.1.holes.push(ring);
        }
    }
    let mut polygons: Vec<Polygon> = made.into_iter().map(|m| m.1).collect();
    let leftmost = |ring: &Ring| ring.iter().copied().min_by(further_left).unwrap_or_default();
    let order = |a: &Ring, b: &Ring| further_left(&leftmost(a), &leftmost(b));
    polygons.sort_by(|a, b| order(&a.outer, &b.outer));
    polygons.iter_mut().for_each(|p| p.holes.sort_by(order));
    polygons
}

fn further_left(a: &Point, b: &Point) -> std::cmp::Ordering {
    a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y))
}

/// Begins a ring about its leftmost corner, so that its beginning does not depend on where it came from: a hole
/// there, an outer ring one corner before, as the general way does.
fn from_the_left(ring: &mut Ring, outer: bool) {
    let leftmost = (0..ring.len()).min_by(|&a, &b| further_left(&ring[a], &ring[b])).unwrap_or(0);
    let begin = if outer { leftmost + ring.len() - 1 } else { leftmost };
    let count = ring.len().max(1);
    ring.rotate_left(begin % count);
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::{difference, nest, union};
    use super::*;
    use proptest::prelude::*;

    fn ring(corners: &[(f64, f64)]) -> Ring {
        corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Ring {
        ring(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    }

    #[test]
    fn rings_that_cross_or_touch_are_left_to_others() {
        let nonzero = |a: i32, _: i32| a != 0;
        let none: [&Ring; 0] = [];
        let bow = ring(&[(0.0, 0.0), (4.0, 3.0), (4.0, 0.0), (0.0, 3.0)]);
        assert!(arranged([&bow], none, nonzero).is_none());
        let spike = ring(&[(0.0, 0.0), (4.0, 0.0), (4.0, 5.0), (4.0, 3.0), (0.0, 3.0)]);
        assert!(arranged([&spike], none, nonzero).is_none());
        let (a, b) = (rectangle(0.0, 0.0, 2.0, 2.0), rectangle(2.0, 1.0, 5.0, 4.0));
        assert!(arranged([&a, &b], none, nonzero).is_none());
        let twice = ring(&[(0.0, 0.0), (0.0, 0.0), (4.0, 0.0), (4.0, 5.0)]);
        assert!(arranged([&twice], none, nonzero).is_none());
        let lost = ring(&[(0.0, 0.0), (f64::NAN, 0.0), (4.0, 5.0)]);
        assert!(arranged([&lost], none, nonzero).is_none());
    }

    #[test]
    fn a_triangle_and_a_plate_with_an_island_are_clear() {
        let nonzero = |a: i32, _: i32| a != 0;
        let none: [&Ring; 0] = [];
        let triangle = ring(&[(0.0, 0.0), (4.0, 0.0), (1.0, 3.0)]);
        assert_eq!(arranged([&triangle], none, nonzero).unwrap()[0].area_mm2(), 6.0);
        let rings = [rectangle(4.0, 4.0, 5.0, 6.0), rectangle(0.0, 0.0, 10.0, 12.0), rectangle(2.0, 2.0, 8.0, 9.0)];
        let odd = arranged(&rings, none, |a, _| a % 2 != 0).unwrap();
        assert_eq!(odd.iter().map(|p| p.holes.len()).collect::<Vec<_>>(), [1, 0]);
        assert_eq!(odd.iter().map(Polygon::area_mm2).sum::<f64>(), 120.0 - 42.0 + 2.0);
    }

    /// Rectangles on whole numbers that never share an edge line: some lie clear of each other, some cross.
    fn any_rectangles() -> impl Strategy<Value = Vec<Ring>> {
        prop::collection::vec((0..30i32, 0..30i32, 1..15i32, 1..15i32), 1..7).prop_map(|all| {
            let at = |i: usize, v: i32| f64::from(v) + 0.1 * i as f64;
            all.iter()
                .enumerate()
                .map(|(i, &(x, y, w, h))| rectangle(at(i, x), at(i, y), at(i, x + w) + 0.03, at(i, y + h) + 0.03))
                .collect()
        })
    }

    proptest! {
        /// Against the general way (a polygon library), wherever the quick way says anything at all.
        #[test]
        fn agrees_with_the_general_way(first in any_rectangles(), second in any_rectangles()) {
            let area = |of: &[Polygon]| of.iter().map(Polygon::area_mm2).sum::<f64>();
            let all = |of: &[Ring]| of.iter().map(|r| Polygon { outer: r.clone(), holes: Vec::new() }).collect::<Vec<_>>();
            let (a, b) = (all(&first), all(&second));
            // A far ring that crosses itself forces the general way and adds 2 x 6 mm² to it.
            let bow = || Polygon { outer: ring(&[(90.0, 0.0), (94.0, 6.0), (94.0, 0.0), (90.0, 6.0)]), holes: vec![] };
            let general = |a: &[Polygon]| [a, &[bow()]].concat();
            prop_assert!((area(&union(&a, &b)) - (area(&union(&general(&a), &b)) - 12.0)).abs() < 1e-3);
            prop_assert!((area(&difference(&a, &b)) - (area(&difference(&general(&a), &b)) - 12.0)).abs() < 1e-3);
            let odd = nest(&[&first[..], &[bow().outer]].concat());
            prop_assert!((area(&nest(&first)) - (area(&odd) - 12.0)).abs() < 1e-3);
        }
    }
}
