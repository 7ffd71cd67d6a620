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
//! Nearly all rings of a print are like that. Where they are not, these functions say so and the general way is
//! taken (`boolean`).

use super::boolean::tidied;
use super::{Point, Polygon, Ring, Segment, SegmentGrid, box_of, ring_contains, signed_area};

/// Edges that come nearer to each other than this may as well touch, mm.
const TOUCH_MM: f64 = 1e-6;

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
    /// It belongs to the second of two sets.
    second: bool,
}

impl<'a> Known<'a> {
    fn new(ring: &'a Ring, second: bool) -> Option<Self> {
        let (low, high) = box_of(ring)?;
        let near = |p: Point| p.x.abs() < FAR_MM && p.y.abs() < FAR_MM;
        let whole = ring.len() >= 3 && near(low) && near(high) && ring.iter().all(|p| near(*p));
        whole.then(|| Self { ring, low, high, area_mm2: signed_area(ring), second })
    }

    /// Whether this ring, clear of the other one, lies within it.
    fn within(&self, other: &Self) -> bool {
        self.low.x > other.low.x
            && self.low.y > other.low.y
            && self.high.x < other.high.x
            && self.high.y < other.high.y
            && ring_contains(other.ring, self.ring[0])
    }

    fn turns(&self) -> i32 {
        if self.area_mm2 > 0.0 { 1 } else { -1 }
    }
}

/// What the rings of `first` and `second` surround, by the rule `is_inside` on the winding numbers of both; `None`
/// where any edge comes near another that is not its neighbour.
pub(super) fn arranged<'a>(
    first: impl IntoIterator<Item = &'a Ring>,
    second: impl IntoIterator<Item = &'a Ring>,
    is_inside: impl Fn(i32, i32) -> bool,
) -> Option<Vec<Polygon>> {
    let with = |second: bool| move |ring| Known::new(ring, second);
    let mut rings: Vec<Known<'a>> = Vec::new();
    for ring in first.into_iter().map(with(false)).chain(second.into_iter().map(with(true))) {
        rings.push(ring?);
        if rings.len() > MOST_RINGS {
            return None;
        }
    }
    if !keep_clear(&rings) {
        return None;
    }
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
    Some(nested(&rings, &edges))
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

/// Whether no edge comes near another that is not its neighbour, and no ring turns back on itself.
fn keep_clear(rings: &[Known<'_>]) -> bool {
    if rings.iter().any(|known| turns_back(known.ring)) {
        return false;
    }
    let edges: Vec<Segment> = rings.iter().flat_map(|known| edges_of(known.ring)).collect();
    // Edges beside each other in the list are neighbours in their ring, but for the first and the last of each.
    let mut closing: Vec<(u32, u32)> = Vec::with_capacity(rings.len());
    let mut begin = 0;
    for known in rings {
        closing.push((begin, begin + known.ring.len() as u32 - 1));
        begin += known.ring.len() as u32;
    }
    let neighbours = |a: u32, b: u32| {
        let (a, b) = (a.min(b), a.max(b));
        match closing.binary_search_by_key(&a, |c| c.0) {
            Ok(at) => b == a + 1 && b <= closing[at].1 || b == closing[at].1,
            Err(at) => b == a + 1 && b <= closing[at - 1].1,
        }
    };
    SegmentGrid::new(&edges, cell_mm(rings, &edges)).cells().all(|cell| {
        cell.iter().enumerate().all(|(at, &a)| {
            let first = &edges[a as usize];
            cell[at + 1..].iter().all(|&b| a == b || clear(first, &edges[b as usize]) || neighbours(a, b))
        })
    })
}

/// Cells about as wide as an edge is long, but hardly more cells than edges.
fn cell_mm(rings: &[Known<'_>], edges: &[Segment]) -> f64 {
    let count = edges.len().max(1) as f64;
    let length: f64 = edges.iter().map(Segment::length_mm).sum();
    let (low, high) =
        rings.iter().fold((Point::new(FAR_MM, FAR_MM), Point::new(-FAR_MM, -FAR_MM)), |(low, high), r| {
            (Point::new(low.x.min(r.low.x), low.y.min(r.low.y)), Point::new(high.x.max(r.high.x), high.y.max(r.high.y)))
        });
    let size = high - low;
    (1.5 * length / count).max((size.x * size.y / (2.0 * count)).sqrt())
}

fn edges_of(ring: &Ring) -> impl Iterator<Item = Segment> + '_ {
    (0..ring.len()).map(|i| Segment::new(ring[i], ring[(i + 1) % ring.len()]))
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
