//! The openings of one layer's outline: holes, and bays open to the side.

use super::LayerShape;
use crate::geom::{Point, Polygon, Ring, box_of, convex_hull, opened, ring_contains, signed_area};

/// Narrower openings hold no hardware, mm: a 2 mm magnet is the smallest sold.
pub(super) const LEAST_BORE_MM: f64 = 2.0;

/// Twice the area over the edge's length of a circle of the least bore, with some room for rough edges.
const LEAST_FULLNESS_MM: f64 = 0.9 * 0.5 * LEAST_BORE_MM;

/// Half the width of a hair between a side of the outline and its hull, mm.
const HAIR_MM: f64 = 0.02;

/// A place in a layer where an insert could lie.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Opening {
    pub polygon: Polygon,
    pub area_mm2: f64,
    pub low: Point,
    pub high: Point,
    /// A bay: open to the side.
    pub side: bool,
}

impl Opening {
    /// `None` for cracks between beads and slopes' slivers, which are most of what an outline leaves open.
    fn new(polygon: Polygon, side: bool) -> Option<Self> {
        let area_mm2 = polygon.area_mm2();
        let edge_mm: f64 = polygon.rings().map(|r| length_round(r)).sum();
        let (low, high) = box_of(&polygon.outer)?;
        let wide = 2.0 * area_mm2 >= LEAST_FULLNESS_MM * edge_mm;
        let tall = (high.x - low.x).min(high.y - low.y) >= 0.95 * LEAST_BORE_MM;
        (wide && tall).then_some(Self { polygon, area_mm2, low, high, side })
    }

    /// Whether the two could overlap at all.
    pub fn is_near(&self, low: Point, high: Point) -> bool {
        self.low.x < high.x && low.x < self.high.x && self.low.y < high.y && low.y < self.high.y
    }
}

fn length_round(ring: &[Point]) -> f64 {
    (0..ring.len()).map(|i| ring[i].distance(ring[(i + 1) % ring.len()])).sum()
}

/// Whether two polygons have the same corners in the same order, to a micrometre.
pub(super) fn identical(a: &Polygon, b: &Polygon) -> bool {
    let same_ring = |a: &Ring, b: &Ring| a.len() == b.len() && a.iter().zip(b).all(|(p, q)| (*p - *q).length() < 1e-3);
    same_ring(&a.outer, &b.outer)
        && a.holes.len() == b.holes.len()
        && a.holes.iter().zip(&b.holes).all(|(a, b)| same_ring(a, b))
}

/// The openings of one layer, which [`Pockets`](super::Pockets) follows through the layers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Openings(pub(super) Vec<Opening>);

impl Openings {
    /// Every opening of a layer's outline that is wide enough for an insert.
    #[must_use]
    pub fn of(shape: &LayerShape) -> Self {
        let outline = &shape.outline;
        let mut found: Vec<Opening> = Vec::new();
        for polygon in outline {
            found.extend(polygon.holes.iter().filter_map(|hole| hole_of(hole, outline)));
            found.extend(bays(&polygon.outer).into_iter().filter_map(|bay| Opening::new(bay, true)));
        }
        Self(found)
    }
}

/// A hole turned the right way round, with whatever stands in it as islands.
fn hole_of(hole: &Ring, outline: &[Polygon]) -> Option<Opening> {
    let forward = |ring: &Ring, left: bool| -> Ring {
        if (signed_area(ring) > 0.0) == left { ring.clone() } else { ring.iter().rev().copied().collect() }
    };
    let empty = Opening::new(Polygon { outer: forward(hole, true), holes: Vec::new() }, false)?;
    let islands: Vec<Ring> = outline
        .iter()
        .filter(|p| p.outer.first().is_some_and(|&q| is_inside(q, &empty)))
        .map(|p| forward(&p.outer, false))
        .collect();
    if islands.is_empty() { Some(empty) } else { Opening::new(Polygon { holes: islands, ..empty.polygon }, false) }
}

fn is_inside(p: Point, opening: &Opening) -> bool {
    if !opening.is_near(p - Point::new(1e-9, 1e-9), p + Point::new(1e-9, 1e-9)) {
        return false;
    }
    ring_contains(&opening.polygon.outer, p)
}

/// What lies between an outer ring, counter-clockwise, and its convex hull, where an insert might fit.
///
/// ```text
///    hull --->  a - - - - - b      one side of the hull, and the way of the ring from a to b
///               +--+     +--+
///                  +-----+
/// ```
fn bays(outer: &Ring) -> Vec<Polygon> {
    let hull = convex_hull(outer);
    let least_mm2 = 0.25 * std::f64::consts::PI * LEAST_BORE_MM * LEAST_BORE_MM;
    if signed_area(&hull) - signed_area(outer) < least_mm2 {
        return Vec::new();
    }
    let beside_hull = ways_between(outer, &hull).into_iter().filter(is_deep).map(|mut way| {
        // Out along the side of the hull, back along the ring.
        way[1..].reverse();
        Polygon { outer: way, holes: Vec::new() }
    });
    // A straight side is never quite straight: without the hairs along it the bay keeps its own shape.
    beside_hull.flat_map(|bay| opened(&[bay], HAIR_MM)).collect()
}

/// The ways of a ring from each corner of its hull to the next; straight ones are left out.
fn ways_between(ring: &Ring, hull: &[Point]) -> Vec<Ring> {
    let Some(start) = hull.first().and_then(|first| ring.iter().position(|p| p == first)) else { return Vec::new() };
    let mut corners = hull.iter().skip(1).chain(hull.first());
    let mut next = corners.next();
    let (mut ways, mut way) = (Vec::new(), Vec::new());
    for &p in ring.iter().cycle().skip(start).take(ring.len() + 1) {
        way.push(p);
        if way.len() > 1 && next == Some(&p) {
            next = corners.next();
            let done = std::mem::replace(&mut way, vec![p]);
            ways.extend((done.len() > 2).then_some(done));
        }
    }
    ways
}

/// Whether a way goes far enough from the line between its ends for an opening of the least fullness F: an area A at
/// most as deep as d along a length L has an edge P of 2 L at least, so 2 A >= F P asks for d >= F.
fn is_deep(way: &Ring) -> bool {
    let [Some(&from), Some(&to)] = [way.first(), way.last()] else { return false };
    let Some(along) = (to - from).unit() else { return true };
    way.iter().any(|p| along.cross(*p - from) >= LEAST_FULLNESS_MM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ring(points: &[(f64, f64)]) -> Ring {
        points.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    fn found(outline: Vec<Polygon>) -> Vec<Opening> {
        Openings::of(&LayerShape { outline, ..LayerShape::default() }).0
    }

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Ring {
        ring(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    }

    fn reversed(mut ring: Ring) -> Ring {
        ring.reverse();
        ring
    }

    #[test]
    fn holes_and_bays_are_found_and_cracks_are_not() {
        let outer = ring(&[
            (0.0, 0.0),
            (30.0, 0.0),
            (30.0, 5.0),
            (24.0, 5.0),
            (24.0, 9.0),
            (30.0, 9.0),
            (30.0, 12.0),
            (0.0, 12.0),
        ]);
        let holes = vec![reversed(rectangle(3.0, 3.0, 8.0, 9.0)), reversed(rectangle(12.0, 2.0, 12.7, 10.0))];
        let found = found(vec![Polygon { outer, holes }]);
        assert_eq!(found.len(), 2);
        assert!(!found[0].side && (found[0].area_mm2 - 30.0).abs() < 1e-9);
        assert!(found[1].side && (found[1].area_mm2 - 24.0).abs() < 1e-3);
        assert!(signed_area(&found[0].polygon.outer) > 0.0);
    }

    #[test]
    fn a_bay_in_a_side_that_is_not_quite_straight_keeps_its_shape() {
        let outer = ring(&[
            (0.0, 0.0),
            (30.0, 0.0),
            (30.0, 12.0),
            (25.0, 11.996),
            (20.0, 11.999),
            (20.0, 8.0),
            (14.0, 8.0),
            (14.0, 11.997),
            (0.0, 12.0),
        ]);
        let found = found(vec![Polygon { outer, holes: Vec::new() }]);
        assert_eq!(found.len(), 1);
        let (low, high) = (found[0].low, found[0].high);
        assert!((low.x - 14.0).abs() < 0.01 && (high.x - 20.0).abs() < 0.01, "{low:?} {high:?}");
    }

    proptest! {
        /// What lies between a ring and its hull is the hull less the ring.
        #[test]
        fn ways_from_corner_to_corner_leave_nothing_out(reaches in prop::collection::vec(3.0..14.0f64, 4..30)) {
            let step = std::f64::consts::TAU / reaches.len() as f64;
            let corner = |(i, r): (usize, &f64)| Point::new(r * (step * i as f64).cos(), r * (step * i as f64).sin());
            let star: Ring = reaches.iter().enumerate().map(corner).collect();
            let hull = convex_hull(&star);
            let between: f64 = ways_between(&star, &hull).iter().map(|way| -signed_area(way)).sum();
            prop_assert!((between - (signed_area(&hull) - signed_area(&star))).abs() < 1e-9);
        }
    }

    #[test]
    fn a_bay_too_shallow_for_any_insert_is_not_looked_at() {
        let notch = |depth: f64| ring(&[(0.0, 0.0), (1.0, depth), (9.0, depth), (10.0, 0.0)]);
        assert!(is_deep(&notch(0.95)) && !is_deep(&notch(0.85)) && !is_deep(&notch(-3.0)));
    }

    #[test]
    fn a_post_in_a_hole_is_an_island() {
        let frame =
            Polygon { outer: rectangle(0.0, 0.0, 20.0, 16.0), holes: vec![reversed(rectangle(2.0, 2.0, 18.0, 14.0))] };
        let post = Polygon { outer: rectangle(5.0, 5.0, 9.0, 8.0), holes: Vec::new() };
        let found = found(vec![frame, post]);
        assert_eq!(found.len(), 1);
        assert!((found[0].area_mm2 - (16.0 * 12.0 - 12.0)).abs() < 1e-9);
    }

    #[test]
    fn shifted_corners_are_not_identical() {
        let a = Polygon { outer: rectangle(0.0, 0.0, 5.0, 3.0), holes: Vec::new() };
        let b = Polygon { outer: rectangle(0.0, 0.0, 5.0, 3.1), holes: Vec::new() };
        assert!(identical(&a, &a) && !identical(&a, &b));
    }

    fn opening_of(hole: Ring) -> usize {
        found(vec![Polygon { outer: rectangle(-40.0, -40.0, 40.0, 40.0), holes: vec![reversed(hole)] }]).len()
    }

    /// A slit of this width and 20 mm, along x or along the diagonal.
    fn slit(wide: f64, aslant: bool) -> Ring {
        let (along, half) =
            (if aslant { Point::new(0.5_f64.sqrt(), 0.5_f64.sqrt()) } else { Point::new(1.0, 0.0) }, 0.5 * wide);
        [(-10.0, -half), (10.0, -half), (10.0, half), (-10.0, half)].map(|(u, v)| along * u + along.left() * v).to_vec()
    }

    /// Nothing narrower than a hair less than 2 mm; of a slit aslant its box does not tell, but its area over its edge does.
    #[test]
    fn an_opening_is_as_wide_as_the_smallest_insert() {
        assert_eq!((opening_of(rectangle(3.0, 3.0, 4.85, 4.85)), opening_of(rectangle(3.0, 3.0, 4.95, 4.95))), (0, 1));
        assert_eq!((opening_of(slit(1.8, false)), opening_of(slit(2.0, false))), (0, 1));
        assert_eq!((opening_of(slit(0.9, true)), opening_of(slit(1.0, true))), (0, 1));
    }

    #[test]
    fn openings_are_near_where_their_boxes_overlap() {
        let [opening] = &found(vec![Polygon {
            outer: rectangle(0.0, 0.0, 40.0, 30.0),
            holes: vec![reversed(rectangle(10.0, 12.0, 20.0, 18.0))],
        }])[..] else {
            panic!("one opening")
        };
        let is_near = |x0, y0, x1, y1| opening.is_near(Point::new(x0, y0), Point::new(x1, y1));
        assert!(is_near(19.0, 17.0, 25.0, 25.0) && is_near(5.0, 5.0, 11.0, 13.0) && is_near(12.0, 13.0, 14.0, 14.0));
        for (x0, y0, x1, y1) in
            [(21.0, 13.0, 25.0, 17.0), (5.0, 13.0, 9.0, 17.0), (12.0, 19.0, 18.0, 25.0), (12.0, 5.0, 18.0, 11.0)]
        {
            assert!(!is_near(x0, y0, x1, y1), "{x0} {y0}");
        }
    }

    #[test]
    fn a_bay_is_as_deep_wherever_it_lies() {
        let notch = |depth: f64| ring(&[(30.0, 0.0), (30.0 - depth, 1.0), (30.0 - depth, 9.0), (30.0, 10.0)]);
        assert!(is_deep(&notch(0.95)) && !is_deep(&notch(0.85)));
        let aside: Ring = notch(0.95).iter().map(|p| *p + Point::new(-70.0, 200.0)).collect();
        assert!(is_deep(&aside));
    }
}
